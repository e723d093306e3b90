#pragma once

#include <string>
#include <string_view>
#include <vector>

/// The few SVG elements that charts are made of. Private to the report.

namespace kinetics::svg {

struct Point {
  double x = 0.0;
  double y = 0.0;
};

/// What every chart shares: type, paper, frame and grid. A chart's own style sheet stands behind
/// it.
extern const std::string_view kChartStyle;

enum class Anchor { kStart, kMiddle, kEnd };

/// Text that may hold anything, made safe to stand in XML.
[[nodiscard]] std::string escaped(std::string_view text);

/// Collects elements. `style` is the name of a class of the drawing's style sheet.
class Drawing {
 public:
  Drawing(double width, double height) : width_(width), height_(height) {}

  void rect(double x, double y, double width, double height, std::string_view style);
  void line(Point from, Point to, std::string_view style);
  void polyline(const std::vector<Point>& points, std::string_view style);
  void polygon(const std::vector<Point>& points, std::string_view style);
  void circle(Point centre, double radius, std::string_view style);
  void text(Point at, Anchor anchor, std::string_view style, std::string_view text);
  /// Reads from bottom to top; `at` is the middle of the text.
  void upright_text(Point at, std::string_view style, std::string_view text);

  /// An element to stand within a page, whose style sheet serves it; `label` is read aloud. What
  /// lies above `top` is cut off.
  [[nodiscard]] std::string element(std::string_view label, double top = 0.0) const;

  /// The whole document. `style_sheet`, behind kChartStyle, and `definitions` are put in as they
  /// are.
  [[nodiscard]] std::string document(std::string_view title,
                                     std::string_view description,
                                     std::string_view style_sheet,
                                     std::string_view definitions) const;

 private:
  double width_;
  double height_;
  std::string body_;
};

}  // namespace kinetics::svg
