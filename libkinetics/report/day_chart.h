#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/report/chart.h"
#include "libkinetics/report/day_view.h"

/// One lifter's day as a small picture: the mean velocity of every rep, set beside set. Internal to
/// the room.

namespace kinetics::day_view {

/// In units of the drawing, of which some four make a millimetre on paper.
struct ChartShape {
  double width = 370.0;
  double height = 92.0;
  double gutter = 44.0;  ///< left of the first set, as wide as a table's first column

  [[nodiscard]] double gutter_share() const { return gutter / width; }
};

/// From the slowest to the fastest of all lifters, and the zones, so that pictures can be compared.
[[nodiscard]] svg::Span velocity_scale(const std::vector<LifterDay>& lifters);

/// An `svg` element for a page that has kDayChartStyle. Every set has a strip of the same width. A
/// rep is a dot with its 95 % interval; a ring when it may be slowed, a triangle that points down
/// when it is, with the word below where there is room; a square when it was no full one; a cross
/// when it was not measured.
[[nodiscard]] std::string day_chart(std::span<const DayColumn> columns,
                                    const svg::Span& scale,
                                    const ChartShape& shape,
                                    std::string_view label);

extern const std::string_view kDayChartStyle;

}  // namespace kinetics::day_view
