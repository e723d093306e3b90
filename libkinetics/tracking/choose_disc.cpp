#include "libkinetics/tracking/choose_disc.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/fuse_hub.h"
#include "libkinetics/tracking/scraps.h"
#include "libkinetics/tracking/steady_shape.h"

namespace kinetics {
namespace {

constexpr double kLeastExcursionM = 0.10;
/// A rival must reach this share of the winner's score.
constexpr double kRivalShare = 0.6;
/// A rim may be lost for most of the way, before a dark floor, while its hub is seen all along.
constexpr double kLeastShareOfTravel = 0.25;
constexpr double kLeastRimOfOuter = 0.45;
/// A near disc that is hidden for so much of the way tells less of it than the far one of its bar,
/// of which nothing on the near one's face can fill in. What lies beside it by more than this, in
/// radii, is the far one, if it is no smaller than this share: discs hang some 1.4 m apart, and
/// nearer than 3 m nobody films. A head is half as large.
constexpr double kLeastShareBesideFar = 0.7;
constexpr double kOffTheFaceRadii = 0.5;
constexpr double kLeastSizeOfFar = 0.65;
/// Sizes nearer than this cannot tell which disc is the nearer one, log.
constexpr double kSameSize = 0.12;
/// A larger disc is surely one when this share of what is seen of the other's rim is seen of its.
constexpr double kAsWellSeen = 0.9;

/// A glimpse more than this many frames after the last may be of another thing.
constexpr std::int32_t kLongestBreakFrames = 15;
/// No lift of ours moves the bar farther in one go; what seems to is smaller than a disc.
constexpr double kLikelyLiftM = 1.1;
constexpr double kLongestLiftM = 1.6;

double likely_lift(double length_m) {
  return std::clamp((kLongestLiftM - length_m) / (kLongestLiftM - kLikelyLiftM), 0.0, 1.0);
}

/// One way up or down, in still pixels.
struct Excursion {
  double from_x = 0.0, from_y = 0.0;
  double to_x = 0.0, to_y = 0.0;

  static Excursion from(const Glimpse& g) {
    return {g.still_x_px, g.still_y_px, g.still_x_px, g.still_y_px};
  }
  [[nodiscard]] double length_px() const { return std::abs(to_y - from_y); }
  [[nodiscard]] double sideways_px() const { return std::abs(to_x - from_x); }
  [[nodiscard]] bool turned(const Glimpse& g, double least_px) const {
    const bool back = (g.still_y_px - to_y) * (to_y - from_y) < 0.0;
    return back && length_px() > least_px && std::abs(g.still_y_px - to_y) > least_px;
  }
  [[nodiscard]] Excursion back_from_its_end() const { return {to_x, to_y, to_x, to_y}; }
  /// Goes on to a glimpse when that is farther out.
  void reach(const Glimpse& g) {
    const bool farther = std::abs(g.still_y_px - from_y) > length_px();
    if (!farther) return;
    to_x = g.still_x_px;
    to_y = g.still_y_px;
  }
};

/// A follower's glimpses with what its hub tells.
GlimpsesByFrame with_hub(const DiscFollower& disc, double frame_rate_hz, double& scale_sigma_rel) {
  const auto steady = [&](std::vector<Glimpse> seen) {
    steady_shape(frame_rate_hz, seen);
    return seen;
  };
  GlimpsesByFrame glimpses;
  for (const Glimpse& g : steady(disc.glimpses())) glimpses[g.frame] = g;
  if (disc.hub())
    scale_sigma_rel = std::max(scale_sigma_rel,
                               fuse_hub(steady(disc.hub()->glimpses()), frame_rate_hz, glimpses));
  return glimpses;
}

}  // namespace

double moves_along(const DiscFollower& a, const DiscFollower& b) {
  std::map<std::int32_t, double> height;
  for (const Glimpse& g : a.glimpses()) {
    if (g.seen) height[g.frame] = g.still_y_px;
  }
  std::vector<std::pair<double, double>> both;
  for (const Glimpse& g : b.glimpses()) {
    const auto found = height.find(g.frame);
    if (g.seen && found != height.end()) both.emplace_back(found->second, g.still_y_px);
  }
  if (both.size() < 20) return 0.0;
  double ma = 0.0;
  double mb = 0.0;
  for (const auto& [x, y] : both) {
    ma += x;
    mb += y;
  }
  ma /= static_cast<double>(both.size());
  mb /= static_cast<double>(both.size());
  double xx = 0.0;
  double xy = 0.0;
  double yy = 0.0;
  for (const auto& [x, y] : both) {
    xx += (x - ma) * (x - ma);
    xy += (x - ma) * (y - mb);
    yy += (y - mb) * (y - mb);
  }
  return xx > 0.0 && yy > 0.0 ? xy / std::sqrt(xx * yy) : 0.0;
}

double DiscMerit::score() const {
  // Walking past goes sideways; a lift goes up and comes down again.
  const double upright = up_and_down_m / (up_and_down_m + 0.7 * sideways_m + 0.05);
  // Travel counts in pixels: in metres by its own size, a hub would seem to go farther than its
  // rim.
  return up_and_down_m * radius_px * upright * rim_seen * rim_seen * std::sqrt(radius_px);
}

DiscMerit merit_of(const DiscFollower& disc,
                   const std::vector<double>& frame_times_s,
                   double disc_radius_m) {
  DiscMerit merit;
  std::vector<double> radii;
  std::vector<double> xs;
  std::vector<double> ys;
  double rim = 0.0;
  for (const Glimpse& g : disc.glimpses()) {
    if (!g.seen) continue;
    radii.push_back(std::sqrt(std::abs(g.xx * g.yy - g.xy * g.xy)));
    xs.push_back(g.x_px);
    ys.push_back(g.y_px);
    rim += g.rim_seen;
  }
  if (radii.empty()) return merit;
  merit.rim_seen = rim / static_cast<double>(radii.size());
  merit.radius_px = median_of(radii);
  merit.where = {median_of(xs), median_of(ys)};
  merit.from = {disc.glimpses().front().x_px, disc.glimpses().front().y_px};
  merit.seen_from_s = frame_times_s[static_cast<std::size_t>(disc.glimpses().front().frame)];
  const double m_per_px = disc_radius_m / merit.radius_px;

  // Excursions between turning points that are at least kLeastExcursionM apart. Only continuous
  // stretches count: a jump after a gap may be another thing.
  const double least_px = kLeastExcursionM / m_per_px;
  Excursion leg;
  const auto count_leg = [&] {
    const double length_m = leg.length_px() * m_per_px;
    if (length_m < kLeastExcursionM) return;
    merit.up_and_down_m += likely_lift(length_m) * length_m;
    merit.sideways_m += likely_lift(length_m) * leg.sideways_px() * m_per_px;
  };
  std::int32_t last = -100;
  for (const Glimpse& g : disc.glimpses()) {
    if (!g.seen) continue;
    if (g.frame - last > kLongestBreakFrames) {
      count_leg();
      leg = Excursion::from(g);
    }
    last = g.frame;
    if (leg.turned(g, least_px)) {
      count_leg();
      leg = leg.back_from_its_end();
    }
    leg.reach(g);
  }
  count_leg();
  return merit;
}

bool shows_enough(const DiscMerit& larger, const DiscMerit& other) {
  // Beside it, not above: a ring on the face may have been seen at other heights than the rim.
  const double apart_px = std::abs(larger.where.x_px - other.where.x_px);
  const bool far_disc = apart_px > kOffTheFaceRadii * larger.radius_px &&
                        other.radius_px > kLeastSizeOfFar * larger.radius_px;
  const double least_share = far_disc ? kLeastShareBesideFar : kLeastShareOfTravel;
  const double travel_px = larger.up_and_down_m * larger.radius_px;
  return travel_px > least_share * other.up_and_down_m * other.radius_px &&
         larger.rim_seen > kLeastRimOfOuter;
}

std::optional<Choice> choose_disc(const std::vector<DiscFollower>& discs,
                                  const std::vector<DiscMerit>& merits) {
  if (discs.empty()) return std::nullopt;
  const auto best =
      static_cast<std::size_t>(std::max_element(merits.begin(),
                                                merits.end(),
                                                [](const DiscMerit& a, const DiscMerit& b) {
                                                  return a.score() < b.score();
                                                }) -
                               merits.begin());
  Choice choice{.disc = best, .rival = std::nullopt};
  if (merits[best].up_and_down_m == 0.0) {
    // Nothing moved: the largest well-seen disc is the one to show.
    for (std::size_t k = 0; k < discs.size(); ++k) {
      if (merits[k].rim_seen * merits[k].radius_px >
          merits[choice.disc].rim_seen * merits[choice.disc].radius_px) {
        choice.disc = k;
      }
    }
    return choice;
  }
  // Hub, lip and the far disc of the same bar move alike; the near disc's rim is the largest.
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (k == choice.disc || merits[k].radius_px <= merits[choice.disc].radius_px) continue;
    if (shows_enough(merits[k], merits[best]) && moves_along(discs[k], discs[choice.disc]) > 0.95) {
      choice.disc = k;
    }
  }
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (k == choice.disc || merits[k].score() < kRivalShare * merits[choice.disc].score()) continue;
    // A smaller one is farther off: the next rack's.
    const bool as_near = std::log(merits[k].radius_px / merits[choice.disc].radius_px) > -kSameSize;
    const bool elsewhere = std::hypot(merits[k].where.x_px - merits[choice.disc].where.x_px,
                                      merits[k].where.y_px - merits[choice.disc].where.y_px) >
                           1.5 * merits[choice.disc].radius_px;
    if (as_near && elsewhere && moves_along(discs[k], discs[choice.disc]) < 0.95) {
      choice.rival = k;
      break;
    }
  }
  return choice;
}

std::optional<std::size_t> nearer_of(const Choice& choice, const std::vector<DiscMerit>& merits) {
  const DiscMerit& chosen = merits[choice.disc];
  if (!choice.rival) return choice.disc;
  const DiscMerit& rival = merits[*choice.rival];
  const bool larger = std::log(rival.radius_px / chosen.radius_px) > kSameSize;
  if (larger && rival.rim_seen > kAsWellSeen * chosen.rim_seen) return choice.rival;
  return std::nullopt;
}

JoinedGlimpses join_glimpses(const std::vector<DiscFollower>& discs,
                             const std::vector<DiscMerit>& merits,
                             std::size_t chosen,
                             double frame_rate_hz) {
  JoinedGlimpses out;
  const GlimpsesByFrame by_itself = with_hub(discs[chosen], frame_rate_hz, out.scale_sigma_rel);
  GlimpsesByFrame joined = by_itself;
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (k == chosen) continue;
    const bool same_disc =
        std::abs(std::log(merits[k].radius_px / merits[chosen].radius_px)) < kSameSize &&
        std::abs(merits[k].where.x_px - merits[chosen].where.x_px) < 1.5 * merits[chosen].radius_px;
    if (!same_disc || merits[k].up_and_down_m == 0.0) continue;
    std::size_t overlap = 0;
    std::size_t own = 0;
    for (const Glimpse& g : discs[k].glimpses()) {
      if (!g.seen) continue;
      ++own;
      const auto found = joined.find(g.frame);
      overlap += found != joined.end() && found->second.seen ? 1 : 0;
    }
    if (10 * overlap > own) continue;  // seen both at once: two discs
    for (const auto& [frame, g] : with_hub(discs[k], frame_rate_hz, out.scale_sigma_rel)) {
      Glimpse& slot = joined[frame];
      if (g.seen && !slot.seen) slot = g;
    }
  }
  // What lies still behind a resting disc seems to be a ring on its face until the bar is lifted.
  const auto may_be_ring = [&](std::size_t k) {
    return k != chosen && merits[k].up_and_down_m > 0.0;
  };
  // Hubs first: they keep their place on the face better than a groove or a lip.
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (may_be_ring(k) && discs[k].hub()) fill_from_ring(discs[k].hub()->glimpses(), joined);
  }
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (may_be_ring(k)) fill_from_ring(discs[k].glimpses(), joined);
  }
  drop_unjoined(by_itself, frame_rate_hz, joined);
  out.glimpses.reserve(joined.size());
  for (const auto& [frame, g] : joined) {
    out.glimpses.push_back(g);
    out.glimpses.back().frame = frame;
  }
  doubt_scraps(frame_rate_hz, out.glimpses);
  return out;
}

}  // namespace kinetics
