#pragma once

#include <string>

/// A text as a code that a phone's camera reads.

namespace kinetics::workbench {

/// Square SVG, black on white with the quiet margin of four modules. Throws kinetics::Error for a
/// text that is too long.
///
/// Source  ISO/IEC 18004, by libqrencode.
[[nodiscard]] std::string qr_svg(const std::string& text);

/// The same for a terminal, two modules a character, light on dark.
[[nodiscard]] std::string qr_text(const std::string& text);

}  // namespace kinetics::workbench
