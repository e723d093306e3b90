#pragma once

#include <cctype>
#include <string>

namespace kinetics {

/// The same text with its first letter, if that is one of A to Z, as a capital. Private to the
/// report.
[[nodiscard]] inline std::string capital(std::string text) {
  if (!text.empty()) {
    text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  }
  return text;
}

}  // namespace kinetics
