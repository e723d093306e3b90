#include "libkinetics/media/slow_motion.h"

#include <charconv>
#include <cmath>

namespace kinetics {

double slow_motion_factor(double capture_hz, double stored_hz) {
  const double quotient = capture_hz / stored_hz;
  const double whole = std::round(quotient);
  if (whole >= 1.0 && std::abs(quotient - whole) <= std::min(0.02 * whole, 0.15)) return whole;
  const double half = std::round(2.0 * quotient) / 2.0;
  if (half >= 1.0 && std::abs(quotient - half) <= 0.005 * half) return half;
  return quotient;
}

std::optional<double> rate_from_tag(const std::string& text) {
  double rate = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), rate);
  if (error != std::errc() || !std::isfinite(rate) || rate <= 0.0) return std::nullopt;
  return rate;
}

}  // namespace kinetics
