#include "libkinetics/report/chart.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace kinetics::svg {

std::vector<double> round_ticks(Span span, int wanted) {
  const double rough = span.length() / std::max(wanted, 1);
  if (!(rough > 0.0)) return {span.from};
  const double decade = std::pow(10.0, std::floor(std::log10(rough)));
  double step = 10.0 * decade;
  for (const double nice : {1.0, 2.0, 5.0}) {
    if (nice * decade >= rough) {
      step = nice * decade;
      break;
    }
  }
  std::vector<double> ticks;
  for (double k = std::ceil(span.from / step - 1e-9); k * step <= span.to + 1e-9 * step; k += 1.0) {
    ticks.push_back(k == 0.0 ? 0.0 : k * step);  // a negative zero would be shown with its sign
  }
  return ticks;
}

int decimals_of(const std::vector<double>& ticks) {
  if (ticks.size() < 2) return 1;
  const double step = ticks[1] - ticks[0];
  return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 4);
}

Span with_margin(Span values, double margin) {
  constexpr double kLeast = 1e-3;
  const double room = margin * std::max(values.length(), kLeast);
  return {values.from - room, values.to + room};
}

}  // namespace kinetics::svg
