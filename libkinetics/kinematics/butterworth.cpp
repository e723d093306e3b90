#include "libkinetics/kinematics/butterworth.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <cstddef>
#include <numbers>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

constexpr std::size_t kPadding = 9;

// One pass in transposed direct form, started as if `first` had come in for ever.
void pass(std::vector<double>& values, const LowPass& f) {
  // In its steady state under a constant the output equals the input, for the gain at 0 Hz is 1.
  const double first = values.front();
  double z1 = (1.0 - f.a0) * first;
  double z2 = (f.a2 + f.b2) * first;
  for (double& v : values) {
    const double in = v;
    const double out = f.a0 * in + z1;
    z1 = f.a1 * in + f.b1 * out + z2;
    z2 = f.a2 * in + f.b2 * out;
    v = out;
  }
}

double residual(const std::vector<double>& values, double cutoff_hz, double rate_hz) {
  const std::vector<double> smooth = filter_both_ways(values, butterworth(cutoff_hz, rate_hz));
  double sum = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    sum += (values[i] - smooth[i]) * (values[i] - smooth[i]);
  }
  return std::sqrt(sum / static_cast<double>(values.size()));
}

}  // namespace

double pass_correction(int passes) {
  return std::pow(std::exp2(1.0 / passes) - 1.0, 0.25);
}

LowPass butterworth(double cutoff_hz, double rate_hz, int passes) {
  if (!(cutoff_hz > 0.0 && cutoff_hz < 0.5 * rate_hz) || passes < 1) {
    throw Error(ErrorCode::kUsage,
                "cut-off frequency",
                fmt::format("{:g} Hz does not lie between 0 and half the {:g} frames per second",
                            cutoff_hz,
                            rate_hz),
                "6 Hz is usual");
  }
  const double w = std::tan(std::numbers::pi * cutoff_hz / rate_hz) / pass_correction(passes);
  const double k1 = std::numbers::sqrt2 * w;
  const double k2 = w * w;
  LowPass f;
  f.a0 = k2 / (1.0 + k1 + k2);
  f.a1 = 2.0 * f.a0;
  f.a2 = f.a0;
  const double k3 = 2.0 * f.a0 / k2;
  f.b1 = k3 - 2.0 * f.a0;
  f.b2 = 1.0 - 2.0 * f.a0 - k3;
  return f;
}

std::vector<double> filter_once(const std::vector<double>& values, const LowPass& f) {
  std::vector<double> out(values.size());
  double z1 = 0.0;
  double z2 = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    out[i] = f.a0 * values[i] + z1;
    z1 = f.a1 * values[i] + f.b1 * out[i] + z2;
    z2 = f.a2 * values[i] + f.b2 * out[i];
  }
  return out;
}

std::vector<double> filter_both_ways(const std::vector<double>& values, const LowPass& f) {
  const std::size_t n = values.size();
  if (n <= kPadding) {
    throw Error(ErrorCode::kUnreadable,
                "bar path",
                fmt::format("{} even samples are too few for the filter", n),
                fmt::format("It needs {} or more", kPadding + 1));
  }
  std::vector<double> longer;
  longer.reserve(n + 2 * kPadding);
  for (std::size_t i = kPadding; i > 0; --i) longer.push_back(2.0 * values[0] - values[i]);
  longer.insert(longer.end(), values.begin(), values.end());
  for (std::size_t i = 1; i <= kPadding; ++i) {
    longer.push_back(2.0 * values[n - 1] - values[n - 1 - i]);
  }
  pass(longer, f);
  std::reverse(longer.begin(), longer.end());
  pass(longer, f);
  std::reverse(longer.begin(), longer.end());
  const auto first = longer.begin() + kPadding;
  return {first, first + static_cast<std::ptrdiff_t>(n)};
}

double gain_both_ways(const LowPass& f, double frequency_hz, double rate_hz) {
  const std::complex<double> z = std::polar(1.0, -2.0 * std::numbers::pi * frequency_hz / rate_hz);
  const std::complex<double> gain =
      (f.a0 + f.a1 * z + f.a2 * z * z) / (1.0 - f.b1 * z - f.b2 * z * z);
  return std::norm(gain);
}

CutOff residual_analysis(const std::vector<double>& values, double rate_hz) {
  constexpr double kLineFrom = 0.12;
  constexpr double kLineTo = 0.22;
  constexpr int kLinePoints = 16;
  double mean_f = 0.0;
  double mean_r = 0.0;
  double ff = 0.0;
  double fr = 0.0;
  for (int i = 0; i < kLinePoints; ++i) {
    const double f = rate_hz * (kLineFrom + (kLineTo - kLineFrom) * i / (kLinePoints - 1));
    const double r = residual(values, f, rate_hz);
    mean_f += f / kLinePoints;
    mean_r += r / kLinePoints;
    ff += f * f / kLinePoints;
    fr += f * r / kLinePoints;
  }
  const double slope = (fr - mean_f * mean_r) / (ff - mean_f * mean_f);
  CutOff out;
  out.noise_rms = std::max(mean_r - slope * mean_f, 0.0);
  // R falls as the cut-off rises, so halving finds where it meets the noise.
  double lo = std::min(0.5, 0.01 * rate_hz);
  double hi = kLineFrom * rate_hz;
  for (int i = 0; i < 40; ++i) {
    const double mid = 0.5 * (lo + hi);
    (residual(values, mid, rate_hz) > out.noise_rms ? lo : hi) = mid;
  }
  out.cutoff_hz = 0.5 * (lo + hi);
  return out;
}

}  // namespace kinetics
