#include "libkinetics/tracking/scraps.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/disc_course.h"

namespace kinetics {
namespace {

/// Shares of the rim usually seen: at least so much is well seen, less than so much is a scrap.
constexpr double kWellSeen = 0.75;
constexpr double kScrap = 0.62;
constexpr double kLongestS = 0.25;
/// What a bar may leave the curve by: a centimetre, and less within a moment. A step in
/// acceleration between the middle two of four points leaves the cubic through them by up to this
/// share of the step times the square of the time between the two (worked out for all places of the
/// step); bars in a lift speed up and slow down by some 8 m/s² (common practice, no source).
constexpr double kOffCurveM = 0.01;
constexpr double kShareOfStep = 0.03;
constexpr double kStepMps2 = 8.0;
/// So many sigma off the curve need not be a mistake.
constexpr double kNoMistakeSigmas = 2.0;

double usual_rim(const std::vector<Glimpse>& glimpses) {
  std::vector<double> rims;
  for (const Glimpse& g : glimpses) {
    if (g.seen) rims.push_back(g.rim_seen);
  }
  return rims.empty() ? 0.0 : median_of(rims);
}

/// The cubic through four points, by Lagrange's formula.
double cubic_at(const std::array<double, 4>& at, const std::array<double, 4>& values, double x) {
  double sum = 0.0;
  for (std::size_t i = 0; i < 4; ++i) {
    double share = values[i];
    for (std::size_t j = 0; j < 4; ++j) {
      if (j != i) share *= (x - at[j]) / (at[i] - at[j]);
    }
    sum += share;
  }
  return sum;
}

/// Sigma of a glimpse that lies off the curve by more than the bar may.
float grown(float sigma_px, double off_px, double allowed_px) {
  const double sigma = sigma_px;
  const double allowed = allowed_px + kNoMistakeSigmas * sigma;
  return static_cast<float>(std::hypot(sigma, std::max(0.0, std::abs(off_px) - allowed)));
}

}  // namespace

void doubt_scraps(double frame_rate_hz, std::vector<Glimpse>& glimpses) {
  const double usual = usual_rim(glimpses);
  std::vector<std::size_t> well;
  for (std::size_t k = 0; k < glimpses.size(); ++k) {
    if (glimpses[k].seen && glimpses[k].rim_seen >= kWellSeen * usual) well.push_back(k);
  }
  const double longest = kLongestS * frame_rate_hz;
  for (std::size_t w = 1; w + 2 < well.size(); ++w) {
    const std::array<std::size_t, 4> around{well[w - 1], well[w], well[w + 1], well[w + 2]};
    std::array<double, 4> frames{};
    std::array<double, 4> xs{};
    std::array<double, 4> ys{};
    for (std::size_t i = 0; i < 4; ++i) {
      const Glimpse& g = glimpses[around[i]];
      frames[i] = g.frame;
      xs[i] = g.still_x_px;
      ys[i] = g.still_y_px;
    }
    const bool brief = frames[1] - frames[0] <= longest && frames[2] - frames[1] <= longest &&
                       frames[3] - frames[2] <= longest;
    if (!brief) continue;
    const double gap_s = (frames[2] - frames[1]) / frame_rate_hz;
    const double allowed_m = std::min(kOffCurveM, kShareOfStep * kStepMps2 * gap_s * gap_s);
    for (std::size_t k = around[1] + 1; k < around[2]; ++k) {
      Glimpse& g = glimpses[k];
      if (!g.seen || g.rim_seen >= kScrap * usual) continue;
      const double radius_px = std::sqrt(std::abs(static_cast<double>(g.xx) * g.yy - g.xy * g.xy));
      const double allowed_px = allowed_m / kUsualDiscRadiusM * radius_px;
      g.sigma_x_px = grown(g.sigma_x_px, g.still_x_px - cubic_at(frames, xs, g.frame), allowed_px);
      g.sigma_y_px = grown(g.sigma_y_px, g.still_y_px - cubic_at(frames, ys, g.frame), allowed_px);
    }
  }
}

}  // namespace kinetics
