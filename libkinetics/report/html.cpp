#include "libkinetics/report/html.h"

#include <fmt/format.h>

#include "libkinetics/report/svg.h"

namespace kinetics::html {
namespace {

// Points on paper, pixels on a screen. The page's size is the printer's; only the margin is ours.
constexpr std::string_view kStyleSheet = R"(
@page{margin:8mm}
*{box-sizing:border-box}
body{font:13px/1.3 Arial,"Liberation Sans","DejaVu Sans Condensed",Helvetica,sans-serif;
color:#222;background:#fff;margin:0 auto;padding:12px;max-width:1120px}
h1{font-size:20px;line-height:1.2;margin:0 0 3px}h2{font-size:14px;margin:0}
p{margin:0 0 2px}ul{margin:0;padding-left:1.3em}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
div.foot{margin-top:7px;padding-top:3px;border-top:1px solid #888}
@media print{body{padding:0;max-width:none;font-size:7pt;line-height:1.22}
h1{font-size:12pt}h2{font-size:8.4pt}div.foot{font-size:6.4pt;margin-top:1.2mm;padding-top:.6mm}}
)";

}  // namespace

std::string escaped(std::string_view text) {
  return svg::escaped(text);
}

std::string element(std::string_view tag, std::string_view style, std::string_view text) {
  if (style.empty()) return fmt::format("<{0}>{1}</{0}>\n", tag, escaped(text));
  return fmt::format("<{0} class=\"{1}\">{2}</{0}>\n", tag, style, escaped(text));
}

std::string page(std::string_view title, std::string_view style_sheet, std::string_view body) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<title>{}</title>\n<style>{}{}</style>\n</head>\n<body>\n{}</body>\n</html>\n",
      escaped(title),
      kStyleSheet,
      style_sheet,
      body);
}

}  // namespace kinetics::html
