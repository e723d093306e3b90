#include "libkinetics/tracking/choose_disc.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "libkinetics/tracking/median.h"

namespace kinetics {
namespace {

constexpr double kLeastExcursionM = 0.10;
/// A rival must reach this share of the winner's score.
constexpr double kRivalShare = 0.6;
/// Sizes nearer than this cannot tell which disc is the nearer one.
/// A rim may be lost for most of the way, before a dark floor, while its hub is seen all along.
constexpr double kLeastShareOfTravel = 0.25;
constexpr double kLeastRimOfOuter = 0.45;
constexpr double kSameSize = 0.12;

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

/// Correlation of two discs' heights over the frames both were seen in; 0 when there are too few.
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

/// Where the rim was not seen, takes the middle of a ring on the same disc (hub, groove) instead:
/// one that keeps its place in the disc wherever both are seen.
void fill_from_hub(const std::vector<Glimpse>& ring, std::map<std::int32_t, Glimpse>& joined) {
  constexpr std::size_t kFewestTogether = 12;
  constexpr double kSamePlaceRadii = 0.25;
  constexpr double kSteadyRadii = 0.03;
  std::vector<double> dx;
  std::vector<double> dy;
  double radius = 0.0;
  for (const Glimpse& g : ring) {
    const auto found = joined.find(g.frame);
    if (!g.seen || found == joined.end() || !found->second.seen) continue;
    const Glimpse& rim = found->second;
    radius = std::sqrt(std::abs(rim.xx * rim.yy - rim.xy * rim.xy));
    dx.push_back(g.still_x_px - rim.still_x_px);
    dy.push_back(g.still_y_px - rim.still_y_px);
  }
  if (dx.size() < kFewestTogether) return;
  const double off_x = median_of(dx);
  const double off_y = median_of(dy);
  std::vector<double> apart;
  for (std::size_t k = 0; k < dx.size(); ++k) {
    apart.push_back(std::hypot(dx[k] - off_x, dy[k] - off_y));
  }
  const double scatter = median_of(apart);
  if (std::hypot(off_x, off_y) > kSamePlaceRadii * radius || scatter > kSteadyRadii * radius)
    return;

  const auto shape_near = [&](std::int32_t frame) {
    auto next = joined.lower_bound(frame);
    while (next != joined.end() && !next->second.seen) ++next;
    auto before = joined.lower_bound(frame);
    while (before != joined.begin() && (before == joined.end() || !before->second.seen)) --before;
    const bool has_next = next != joined.end();
    const bool has_before = before != joined.end() && before->second.seen;
    if (!has_next) return before->second;
    if (!has_before || next->first - frame < frame - before->first) return next->second;
    return before->second;
  };
  std::vector<Glimpse> filled;
  for (const Glimpse& g : ring) {
    const auto found = joined.find(g.frame);
    if (!g.seen || (found != joined.end() && found->second.seen)) continue;
    Glimpse rim = shape_near(g.frame);
    rim.frame = g.frame;
    rim.x_px = static_cast<float>(g.x_px - off_x);
    rim.y_px = static_cast<float>(g.y_px - off_y);
    rim.still_x_px = static_cast<float>(g.still_x_px - off_x);
    rim.still_y_px = static_cast<float>(g.still_y_px - off_y);
    rim.sigma_x_px = static_cast<float>(std::hypot(g.sigma_x_px, scatter));
    rim.sigma_y_px = static_cast<float>(std::hypot(g.sigma_y_px, scatter));
    rim.lasting_px = static_cast<float>(std::hypot(g.lasting_px, scatter));
    rim.rim_seen = 0.3F;  // enough to be a sighting, too little to measure the ruler by
    filled.push_back(rim);
  }
  for (const Glimpse& g : filled) joined[g.frame] = g;
}

}  // namespace

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
    const double travel_px = merits[k].up_and_down_m * merits[k].radius_px;
    const double best_travel_px = merits[best].up_and_down_m * merits[best].radius_px;
    if (travel_px > kLeastShareOfTravel * best_travel_px && merits[k].rim_seen > kLeastRimOfOuter &&
        moves_along(discs[k], discs[choice.disc]) > 0.95) {
      choice.disc = k;
    }
  }
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (k == choice.disc || merits[k].score() < kRivalShare * merits[choice.disc].score()) continue;
    const bool same_size =
        std::abs(std::log(merits[k].radius_px / merits[choice.disc].radius_px)) < kSameSize;
    const bool elsewhere = std::hypot(merits[k].where.x_px - merits[choice.disc].where.x_px,
                                      merits[k].where.y_px - merits[choice.disc].where.y_px) >
                           1.5 * merits[choice.disc].radius_px;
    if (same_size && elsewhere && moves_along(discs[k], discs[choice.disc]) < 0.95) {
      choice.rival = k;
      break;
    }
  }
  return choice;
}

std::vector<Glimpse> join_glimpses(const std::vector<DiscFollower>& discs,
                                   const std::vector<DiscMerit>& merits,
                                   std::size_t chosen) {
  std::map<std::int32_t, Glimpse> joined;
  for (const Glimpse& g : discs[chosen].glimpses()) joined[g.frame] = g;
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
    for (const Glimpse& g : discs[k].glimpses()) {
      if (!g.seen) continue;
      Glimpse& slot = joined[g.frame];
      if (!slot.seen) slot = g;
    }
  }
  for (std::size_t k = 0; k < discs.size(); ++k) {
    if (k != chosen) fill_from_hub(discs[k].glimpses(), joined);
  }
  std::vector<Glimpse> glimpses;
  glimpses.reserve(joined.size());
  for (const auto& [frame, g] : joined) glimpses.push_back(g);
  return glimpses;
}

}  // namespace kinetics
