#include "libkinetics/inertial/align.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

namespace kinetics {
namespace {

constexpr double kCoarse_s = 0.05;
constexpr double kFine_s = 0.005;
constexpr double kLeastOverlap_s = 3.0;
constexpr double kMoving_mps = 0.08;

// A velocity at even times; `known` 0 where there is none.
struct EvenVelocity {
  double start_s = 0.0;
  std::vector<float> velocity;
  std::vector<float> known;
};

EvenVelocity resampled(const Motion& motion, double step_s, double from_s, double to_s) {
  EvenVelocity out;
  out.start_s = from_s;
  const auto count = static_cast<std::size_t>(std::max(0.0, (to_s - from_s) / step_s)) + 1;
  out.velocity.assign(count, 0.0F);
  out.known.assign(count, 0.0F);
  std::size_t i = 0;
  const std::vector<MotionSample>& s = motion.samples;
  for (std::size_t k = 0; k < count; ++k) {
    const double t = from_s + static_cast<double>(k) * step_s;
    while (i + 1 < s.size() && s[i + 1].t_s <= t) ++i;
    if (t < s.front().t_s || t > s.back().t_s || !s[i].measured) continue;
    const std::size_t next = std::min(i + 1, s.size() - 1);
    const double span = s[next].t_s - s[i].t_s;
    const double part = span > 0.0 ? (t - s[i].t_s) / span : 0.0;
    out.velocity[k] =
        static_cast<float>(s[i].velocity_mps + part * (s[next].velocity_mps - s[i].velocity_mps));
    out.known[k] = 1.0F;
  }
  return out;
}

struct Likeness {
  double product = 0.0;
  double clip_square = 0.0;
  double log_square = 0.0;
  double count = 0.0;

  [[nodiscard]] double correlation() const {
    return product / std::sqrt(std::max(clip_square * log_square, 1e-12));
  }
};

// The clip's sample k beside the log's k + shift.
Likeness compare(const EvenVelocity& clip, const EvenVelocity& log, std::ptrdiff_t shift) {
  const auto clip_count = static_cast<std::ptrdiff_t>(clip.velocity.size());
  const auto log_count = static_cast<std::ptrdiff_t>(log.velocity.size());
  const std::ptrdiff_t first = std::max<std::ptrdiff_t>(0, -shift);
  const std::ptrdiff_t end = std::min(clip_count, log_count - shift);
  float product = 0.0F;
  float clip_square = 0.0F;
  float log_square = 0.0F;
  float count = 0.0F;
  for (std::ptrdiff_t k = first; k < end; ++k) {
    const auto c = static_cast<std::size_t>(k);
    const auto l = static_cast<std::size_t>(k + shift);
    const float both = clip.known[c] * log.known[l];
    product += both * clip.velocity[c] * log.velocity[l];
    clip_square += both * clip.velocity[c] * clip.velocity[c];
    log_square += both * log.velocity[l] * log.velocity[l];
    count += both;
  }
  return {product, clip_square, log_square, count};
}

}  // namespace

Alignment align(const Motion& clip, const Motion& log) {
  Alignment best;
  const auto whole = [](const Motion& m, double step_s) {
    return resampled(m, step_s, m.samples.front().t_s, m.samples.back().t_s);
  };
  const EvenVelocity c = whole(clip, kCoarse_s);
  const EvenVelocity l = whole(log, kCoarse_s);
  double clip_energy = 0.0;
  for (const float v : c.velocity) clip_energy += static_cast<double>(v * v);
  const auto least = static_cast<std::ptrdiff_t>(kLeastOverlap_s / kCoarse_s);
  const auto first = -static_cast<std::ptrdiff_t>(c.velocity.size()) + least;
  const auto last = static_cast<std::ptrdiff_t>(l.velocity.size()) - least;
  std::vector<double> score;
  std::ptrdiff_t top = first;
  double top_score = -1.0;
  for (std::ptrdiff_t shift = first; shift <= last; ++shift) {
    const Likeness like = compare(c, l, shift);
    // Held against all of the clip's movement: a shift that overlaps one rep only must not win.
    const double s =
        like.product / std::sqrt(std::max(clip_energy * std::max(like.log_square, 1e-9), 1e-12));
    score.push_back(s);
    if (s > top_score) {
      top_score = s;
      top = shift;
    }
  }
  if (score.empty()) return best;
  const auto far = static_cast<std::ptrdiff_t>(1.0 / kCoarse_s);
  for (std::ptrdiff_t shift = first; shift <= last; ++shift) {
    if (std::abs(shift - top) < far) continue;
    best.rival = std::max(best.rival, score[static_cast<std::size_t>(shift - first)]);
  }
  const double coarse_s = c.start_s - l.start_s - static_cast<double>(top) * kCoarse_s;

  // Finer, over the stretch they share.
  const double from_s =
      std::max(clip.samples.front().t_s, log.samples.front().t_s + coarse_s) + 0.1;
  const double to_s = std::min(clip.samples.back().t_s, log.samples.back().t_s + coarse_s) - 0.1;
  const EvenVelocity fine_clip = resampled(clip, kFine_s, from_s, to_s);
  const auto reach = static_cast<std::ptrdiff_t>(2.0 * kCoarse_s / kFine_s);
  const double margin_s = static_cast<double>(reach) * kFine_s;
  const EvenVelocity fine_log =
      resampled(log, kFine_s, from_s - coarse_s - margin_s, to_s - coarse_s + margin_s);
  best.agreement = -1.0;
  for (std::ptrdiff_t shift = 0; shift <= 2 * reach; ++shift) {
    const Likeness like = compare(fine_clip, fine_log, shift);
    if (like.correlation() <= best.agreement) continue;
    best.agreement = like.correlation();
    best.offset_s = coarse_s + margin_s - static_cast<double>(shift) * kFine_s;
    best.overlap_s = like.count * kFine_s;
  }
  for (std::size_t k = 0; k < fine_clip.velocity.size(); ++k) {
    if (std::abs(static_cast<double>(fine_clip.velocity[k])) > kMoving_mps) {
      best.moving_s += kFine_s;
    }
  }
  return best;
}

}  // namespace kinetics
