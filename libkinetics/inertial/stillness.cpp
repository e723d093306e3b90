#include "libkinetics/inertial/stillness.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

constexpr double kHalfWindow_s = 0.15;
constexpr std::size_t kFewestInWindow = 4;
// A held bar trembles by more than a lying one: 0.1 mm at 10 Hz is 0.4 m/s².
constexpr double kLeastStill_mps2 = 0.05;
constexpr double kMostStill_mps2 = 0.15;
constexpr double kLeastStill_radps = 0.02;
constexpr double kMostStill_radps = 0.06;
constexpr double kStillOverNoise = 2.0;
constexpr double kShortestStill_s = 1.0;
constexpr double kMostQuiet_mps2 = 0.35;
constexpr double kMostQuiet_radps = 0.25;
constexpr double kShortestQuiet_s = 0.25;

// Sums over the bins before each one, for windows in constant time.
class Sums {
 public:
  template <typename Value>
  Sums(const std::vector<Bin>& bins, Value value)
      : sum_(bins.size() + 1, Eigen::Vector3d::Zero()), square_(sum_) {
    for (std::size_t i = 0; i < bins.size(); ++i) {
      const Eigen::Vector3d v = value(bins[i]);
      sum_[i + 1] = sum_[i] + v;
      square_[i + 1] = square_[i] + v.cwiseAbs2();
    }
  }

  // Standard deviation per axis, root mean square over the axes.
  [[nodiscard]] double deviation(std::size_t first, std::size_t last) const {
    const double n = static_cast<double>(last - first + 1);
    const Eigen::Vector3d mean = (sum_[last + 1] - sum_[first]) / n;
    const Eigen::Vector3d square = (square_[last + 1] - square_[first]) / n;
    const double sum = (square - mean.cwiseAbs2()).sum();
    return std::sqrt(std::max(sum, 0.0) / 3.0 * n / (n - 1.0));
  }

 private:
  std::vector<Eigen::Vector3d> sum_;
  std::vector<Eigen::Vector3d> square_;
};

// Windows around each bin; at low rates wide enough to hold a few.
std::vector<CalmStretch> windows(const std::vector<Bin>& bins) {
  const std::size_t n = bins.size();
  std::vector<CalmStretch> out(n);
  std::size_t first = 0;
  std::size_t last = 0;
  for (std::size_t i = 0; i < n; ++i) {
    while (first < i && bins[i].t_s - bins[first].t_s > kHalfWindow_s) ++first;
    last = std::max(last, i);
    while (last + 1 < n && bins[last + 1].t_s - bins[i].t_s <= kHalfWindow_s) ++last;
    out[i] = {first, last};
    for (bool left = true; out[i].last - out[i].first + 1 < std::min(kFewestInWindow, n);) {
      if (left && out[i].first > 0) --out[i].first;
      if (!left && out[i].last + 1 < n) ++out[i].last;
      left = !left;
    }
  }
  return out;
}

double low_value(std::vector<double> values, double share) {
  const auto place =
      values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), place, values.end());
  return *place;
}

template <typename Calm>
std::vector<CalmStretch> stretches(const std::vector<Bin>& bins, double shortest_s, Calm calm) {
  std::vector<CalmStretch> out;
  for (std::size_t i = 0; i < bins.size(); ++i) {
    if (!calm(i)) continue;
    std::size_t last = i;
    while (last + 1 < bins.size() && calm(last + 1)) ++last;
    if (bins[last].t_s - bins[i].t_s >= shortest_s) out.push_back({i, last});
    i = last;
  }
  return out;
}

}  // namespace

Stillness find_stillness(const std::vector<Bin>& bins, bool has_gyroscope) {
  Stillness out;
  if (bins.size() < kFewestInWindow) return out;
  const Sums accel(bins, [](const Bin& b) { return b.accel_mps2; });
  const Sums rate(bins, [](const Bin& b) { return b.rate_radps; });
  const std::vector<CalmStretch> around = windows(bins);
  std::vector<double> accel_spread(bins.size());
  std::vector<double> rate_spread(bins.size());
  for (std::size_t i = 0; i < bins.size(); ++i) {
    accel_spread[i] = accel.deviation(around[i].first, around[i].last);
    rate_spread[i] = rate.deviation(around[i].first, around[i].last);
  }
  out.accel_noise_mps2 = low_value(accel_spread, 0.05);
  out.rate_noise_radps = low_value(rate_spread, 0.05);
  const double accel_limit =
      std::clamp(kStillOverNoise * out.accel_noise_mps2, kLeastStill_mps2, kMostStill_mps2);
  const double rate_limit =
      std::clamp(kStillOverNoise * out.rate_noise_radps, kLeastStill_radps, kMostStill_radps);
  const auto within = [&](std::size_t i, double most_mps2, double most_radps) {
    return accel_spread[i] <= most_mps2 && (!has_gyroscope || rate_spread[i] <= most_radps);
  };
  out.still = stretches(
      bins, kShortestStill_s, [&](std::size_t i) { return within(i, accel_limit, rate_limit); });
  out.quiet = stretches(bins, kShortestQuiet_s, [&](std::size_t i) {
    return within(i, kMostQuiet_mps2, kMostQuiet_radps);
  });
  return out;
}

}  // namespace kinetics
