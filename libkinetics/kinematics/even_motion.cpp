#include "libkinetics/kinematics/even_motion.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "libkinetics/core/median.h"
#include "libkinetics/kinematics/butterworth.h"

namespace kinetics {
namespace {

struct EvenSeries {
  double start_s = 0.0;
  double step_s = 0.0;
  std::vector<double> x_m;
  std::vector<double> y_m;
};

constexpr std::size_t kFewestEven = 12;

double usual_step(const std::vector<PathPoint>& points) {
  std::vector<double> steps;
  for (std::size_t i = 1; i < points.size(); ++i) {
    steps.push_back(points[i].t_s - points[i - 1].t_s);
  }
  return median_of(std::move(steps));
}

// Straight lines between sightings: at frame rate their error is far below the noise.
EvenSeries resample(const std::vector<PathPoint>& points,
                    const std::vector<char>& usable,
                    SeenStretch stretch,
                    double step_s) {
  EvenSeries out{points[stretch.first].t_s, step_s, {}, {}};
  std::size_t before = stretch.first;
  std::size_t after = stretch.first;
  for (std::size_t k = 0;; ++k) {
    const double t = out.start_s + static_cast<double>(k) * step_s;
    if (t > points[stretch.last].t_s + 1e-9) break;
    while (after < stretch.last && (points[after].t_s < t || usable[after] == 0)) {
      if (usable[after] != 0) before = after;
      ++after;
    }
    const PathPoint& p = points[before];
    const PathPoint& q = points[after];
    const double span = q.t_s - p.t_s;
    const double part = span > 0.0 ? std::clamp((t - p.t_s) / span, 0.0, 1.0) : 0.0;
    out.x_m.push_back(p.x_m + part * (q.x_m - p.x_m));
    out.y_m.push_back(p.y_m + part * (q.y_m - p.y_m));
  }
  return out;
}

std::vector<double> central_difference(const std::vector<double>& v, double step_s) {
  const std::size_t n = v.size();
  std::vector<double> out(n);
  for (std::size_t i = 1; i + 1 < n; ++i) out[i] = (v[i + 1] - v[i - 1]) / (2.0 * step_s);
  out[0] = (v[1] - v[0]) / step_s;
  out[n - 1] = (v[n - 1] - v[n - 2]) / step_s;
  return out;
}

double root_sum_square(const std::vector<double>& v) {
  double sum = 0.0;
  for (const double x : v) sum += x * x;
  return std::sqrt(sum);
}

// What white noise of one unit leaves in height, velocity and acceleration after the filter.
struct NoiseGain {
  double height, velocity, accel;
};

NoiseGain noise_gain(const LowPass& f, double step_s) {
  std::vector<double> impulse(2001, 0.0);
  impulse[1000] = 1.0;
  const std::vector<double> h = filter_both_ways(impulse, f);
  const std::vector<double> v = central_difference(h, step_s);
  return {root_sum_square(h), root_sum_square(v), root_sum_square(central_difference(v, step_s))};
}

double value_at(const EvenSeries& e, const std::vector<double>& values, double t_s) {
  const double place =
      std::clamp((t_s - e.start_s) / e.step_s, 0.0, static_cast<double>(values.size() - 1));
  const auto i = std::min(static_cast<std::size_t>(place), values.size() - 2);
  const double part = place - static_cast<double>(i);
  return values[i] + part * (values[i + 1] - values[i]);
}

}  // namespace

void butterworth_motion(const std::vector<PathPoint>& points,
                        const std::vector<char>& usable,
                        const std::vector<SeenStretch>& stretches,
                        const MotionOptions& options,
                        Motion& motion) {
  const double step_s = usual_step(points);
  const double rate_hz = 1.0 / step_s;
  std::vector<EvenSeries> series;
  std::size_t longest = 0;
  for (const SeenStretch s : stretches) {
    series.push_back(resample(points, usable, s, step_s));
    if (series.back().y_m.size() > series[longest].y_m.size()) longest = series.size() - 1;
  }
  if (series.empty() || series[longest].y_m.size() < kFewestEven) return;
  const CutOff found = residual_analysis(series[longest].y_m, rate_hz);
  motion.cutoff_hz = options.cutoff_hz.value_or(found.cutoff_hz);
  const LowPass low_pass = butterworth(motion.cutoff_hz, rate_hz);
  const NoiseGain gain = noise_gain(low_pass, step_s);
  for (std::size_t k = 0; k < series.size(); ++k) {
    const EvenSeries& e = series[k];
    if (e.y_m.size() < kFewestEven) continue;
    const std::vector<double> x = filter_both_ways(e.x_m, low_pass);
    const std::vector<double> height = filter_both_ways(e.y_m, low_pass);
    const std::vector<double> velocity = central_difference(height, step_s);
    const std::vector<double> accel = central_difference(velocity, step_s);
    for (std::size_t i = stretches[k].first; i <= stretches[k].last; ++i) {
      MotionSample& s = motion.samples[i];
      s.x_m = value_at(e, x, s.t_s);
      s.height_m = value_at(e, height, s.t_s);
      s.velocity_mps = value_at(e, velocity, s.t_s);
      s.accel_mps2 = value_at(e, accel, s.t_s);
      s.height_sigma_m = found.noise_rms * gain.height;
      s.velocity_sigma_mps = found.noise_rms * gain.velocity;
      s.accel_sigma_mps2 = found.noise_rms * gain.accel;
      s.measured = true;
    }
  }
}

}  // namespace kinetics
