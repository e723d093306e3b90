#include "libkinetics/session/rep_loading.h"

#include <cmath>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

struct Middle {
  double value = 0.0;
  double sigma = 0.0;
};

/// Median, and its standard error from the spread of the values (one value: none to go by).
Middle middle_of(std::vector<double> values) {
  const double median = median_of(values);
  for (double& v : values) v = std::abs(v - median);
  constexpr double kOfNormal = 1.4826022;  // standard deviation over median absolute deviation
  return {median, kOfNormal * median_of(values) / std::sqrt(static_cast<double>(values.size()))};
}

}  // namespace

std::optional<BarHeight> bar_height_of(const LoadingChoice& loading, std::span<const Rep> reps) {
  const bool at_bottom = loading.bar_height_at_bottom_m.has_value();
  const std::optional<double> given =
      at_bottom ? loading.bar_height_at_bottom_m : loading.bar_height_at_lockout_m;
  if (!given) return std::nullopt;
  std::vector<double> heights;
  for (const bool full : {true, false}) {
    for (const Rep& rep : reps) {
      if (!rep.mean_velocity_mps.ok() || (full && rep.kind != RepKind::kFull)) continue;
      heights.push_back(at_bottom ? rep.bottom_height_m : rep.top_height_m);
    }
    if (!heights.empty()) break;
  }
  if (heights.empty()) return std::nullopt;
  const Middle middle = middle_of(heights);
  return BarHeight{*given - middle.value, std::hypot(loading.height_sigma_m, middle.sigma)};
}

void measure_forces(const Motion& motion,
                    const LoadingChoice& loading,
                    double threshold_mps,
                    std::span<Rep> reps) {
  const std::optional<BarHeight> height = bar_height_of(loading, reps);
  for (Rep& rep : reps) {
    static_cast<RepForces&>(rep) =
        loading.load ? rep_forces(motion, rep, *loading.load, height, threshold_mps)
                     : no_forces(Reason::kLoadUnknown);
  }
}

}  // namespace kinetics
