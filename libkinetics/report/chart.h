#pragma once

#include <vector>

#include "libkinetics/report/svg.h"

/// One chart's place on the page and its two scales. Private to the report.

namespace kinetics::svg {

struct Span {
  double from = 0.0;
  double to = 0.0;
  [[nodiscard]] double length() const { return to - from; }
};

/// Round values (1, 2 or 5 times a power of ten) inside `span`, about `wanted` of them.
[[nodiscard]] std::vector<double> round_ticks(Span span, int wanted);

/// How many decimals tell such ticks apart.
[[nodiscard]] int decimals_of(const std::vector<double>& ticks);

/// `values` with a margin, so that no line runs along the edge. Never empty.
[[nodiscard]] Span with_margin(Span values, double margin);

struct Chart {
  double left = 0.0;
  double top = 0.0;
  double width = 0.0;
  double height = 0.0;
  Span x;
  Span y;

  [[nodiscard]] double at_x(double value) const {
    return left + width * (value - x.from) / x.length();
  }
  [[nodiscard]] double at_y(double value) const {
    return top + height * (y.to - value) / y.length();
  }
  [[nodiscard]] double bottom() const { return top + height; }
};

}  // namespace kinetics::svg
