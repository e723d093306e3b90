#pragma once

#include <string>
#include <string_view>

/// Pages that need nothing but themselves. Private to the report.

namespace kinetics::html {

/// Text that may hold anything, made safe to stand in a page or an attribute.
[[nodiscard]] std::string escaped(std::string_view text);

/// `<tag class="style">text</tag>`, the text escaped. An empty style is left out.
[[nodiscard]] std::string element(std::string_view tag,
                                  std::string_view style,
                                  std::string_view text);

/// The whole page: what all reports look like, then `style_sheet`, and `body` as it is. Prints in
/// black on white on A4 and Letter alike; well-formed XML too; no script, font or outside file.
[[nodiscard]] std::string page(std::string_view title,
                               std::string_view style_sheet,
                               std::string_view body);

}  // namespace kinetics::html
