#include "libkinetics/report/svg.h"

#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/text.h"

namespace kinetics::svg {
namespace {

std::string_view word_for(Anchor anchor) {
  switch (anchor) {
    case Anchor::kStart:
      return "start";
    case Anchor::kMiddle:
      return "middle";
    case Anchor::kEnd:
      return "end";
  }
  return "start";
}

// A tenth of a unit is finer than any screen shows and keeps a long path small.
std::string listed(const std::vector<Point>& points) {
  std::string out;
  for (const Point& p : points) {
    fmt::format_to(std::back_inserter(out), "{}{:.1f},{:.1f}", out.empty() ? "" : " ", p.x, p.y);
  }
  return out;
}

}  // namespace

const std::string_view kChartStyle = R"(
text{font-family:"DejaVu Sans",Verdana,system-ui,sans-serif;fill:#222}
.paper{fill:#fff}.title{font-size:21px;font-weight:bold}.subtitle{font-size:15px}
.label{font-size:15px;font-weight:bold}.tick{font-size:14px}.small{font-size:13px}
.words{font-size:14px}.name{font-size:14px;font-weight:bold}
.frame{fill:none;stroke:#888;stroke-width:1}.grid{stroke:#ddd;stroke-width:1}
)";

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : printable(text)) {
    switch (c) {
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '&':
        out += "&amp;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

void Drawing::rect(double x, double y, double width, double height, std::string_view style) {
  body_ += fmt::format(
      "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" class=\"{}\"/>\n",
      x,
      y,
      width,
      height,
      style);
}

void Drawing::line(Point from, Point to, std::string_view style) {
  body_ +=
      fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" class=\"{}\"/>\n",
                  from.x,
                  from.y,
                  to.x,
                  to.y,
                  style);
}

void Drawing::polyline(const std::vector<Point>& points, std::string_view style) {
  body_ += fmt::format("<polyline points=\"{}\" class=\"{}\"/>\n", listed(points), style);
}

void Drawing::polygon(const std::vector<Point>& points, std::string_view style) {
  body_ += fmt::format("<polygon points=\"{}\" class=\"{}\"/>\n", listed(points), style);
}

void Drawing::circle(Point centre, double radius, std::string_view style) {
  body_ += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"{:.1f}\" class=\"{}\"/>\n",
                       centre.x,
                       centre.y,
                       radius,
                       style);
}

void Drawing::text(Point at, Anchor anchor, std::string_view style, std::string_view text) {
  body_ +=
      fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\" class=\"{}\">{}</text>\n",
                  at.x,
                  at.y,
                  word_for(anchor),
                  style,
                  escaped(text));
}

void Drawing::upright_text(Point at, std::string_view style, std::string_view text) {
  body_ += fmt::format(
      "<text transform=\"translate({:.1f} {:.1f}) rotate(-90)\" text-anchor=\"middle\" "
      "class=\"{}\">{}</text>\n",
      at.x,
      at.y,
      style,
      escaped(text));
}

std::string Drawing::element(std::string_view label, double top) const {
  return fmt::format(
      "<svg viewBox=\"0 {:g} {:g} {:g}\" role=\"img\" aria-label=\"{}\">\n{}</svg>\n",
      top,
      width_,
      height_ - top,
      escaped(label),
      body_);
}

std::string Drawing::document(std::string_view title,
                              std::string_view description,
                              std::string_view style_sheet,
                              std::string_view definitions) const {
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:g} {1:g}\" role=\"img\">\n"
      "<title>{2}</title>\n<desc>{3}</desc>\n<style>{4}{5}</style>\n<defs>{6}</defs>\n"
      "<rect width=\"{0:g}\" height=\"{1:g}\" class=\"paper\"/>\n{7}</svg>\n",
      width_,
      height_,
      escaped(title),
      escaped(description),
      kChartStyle,
      style_sheet,
      definitions,
      body_);
}

}  // namespace kinetics::svg
