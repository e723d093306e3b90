#pragma once

#include <cstddef>
#include <string>
#include <string_view>

/// Laying out plain text for a person.

namespace kinetics {

/// Characters shown, for UTF-8 text without combining marks.
[[nodiscard]] std::size_t shown_width(std::string_view text);

/// Breaks `text` at spaces so that no line is wider than `width`; the first line starts with
/// `first`, the others with `rest`. A word that is too long for a line is cut. Ends with a newline.
[[nodiscard]] std::string wrapped(std::string_view text,
                                  std::size_t width,
                                  std::string_view first = "",
                                  std::string_view rest = "");

/// Replaces control characters, which a file name may hold and a terminal would obey.
[[nodiscard]] std::string printable(std::string_view text);

}  // namespace kinetics
