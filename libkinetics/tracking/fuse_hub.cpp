#include "libkinetics/tracking/fuse_hub.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/disc_course.h"
#include "libkinetics/tracking/hub_place.h"

namespace kinetics {
namespace {

/// They part when farther from each other than so many sigma; in size when by more than this, log.
constexpr double kPartedSigmas = 4.0;
constexpr double kPartedSize = 0.02;
/// Of whom so much more is seen than of the other, as a share of what usually is, is believed when
/// they part; with less between them it is judged over so long to either side.
constexpr double kClearLead = 0.2;
constexpr double kJudgedTogetherS = 0.5;
/// All sizes of a hub seen alone may be wrong together by so much, px: of so small a ring blur and
/// greys shift the edge by a good share of its size.
constexpr float kEdgeAlikePx = 0.25F;
/// A rim whose size is unsteady may be another edge all along: this share of its unsteadiness may
/// be an error of the scale.
constexpr double kUnsteadyRim = 0.4;
/// A wandering rim is steadied over so long to either side, about a repetition, if that halves what
/// parts the two.
constexpr double kWanderS = 1.5;
constexpr std::size_t kFewestToWander = 20;
constexpr double kWanderExplains = 0.5;
/// A rim of steady size does not wander: then it is the hub that does. Share of the rim in how
/// unsteady the two sizes are.
constexpr double kWandersAlone = 0.5;

/// Glimpses no farther apart than this follow each other; between them no bar goes faster than that
/// (the pull of a snatch peaks near 2 m/s; common practice, no source), and two ways of seeing it
/// differ by less than this share of its radius.
constexpr std::int32_t kNextFrames = 3;
constexpr double kFastestMps = 2.5;
constexpr double kLooseRadii = 0.15;

/// How far a quantity strays, frame by frame, from what it usually is, over more than some frames.
struct Wander {
  std::vector<double> by;  ///< zero all along when that explains little of its scatter
};

template <class Quantity>
Wander wander_of(const std::vector<Pair>& pairs, std::size_t window, Quantity quantity) {
  std::vector<double> values;
  std::vector<std::pair<double, double>> weighed;
  for (const Pair& p : pairs) {
    values.push_back(quantity(p));
    weighed.emplace_back(values.back(), p.weight());
  }
  const double usual = weighted_median(weighed);
  Wander wander{.by = std::vector<double>(pairs.size())};
  std::vector<double> before, after;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    const std::size_t from = std::min(i - std::min(i, window), pairs.size() - window);
    const std::size_t to = std::min(i + window, pairs.size());
    wander.by[i] = median_of({values.begin() + static_cast<std::ptrdiff_t>(from),
                              values.begin() + static_cast<std::ptrdiff_t>(to)}) -
                   usual;
    before.push_back(std::abs(values[i] - usual));
    after.push_back(std::abs(values[i] - usual - wander.by[i]));
  }
  // Wild ones, which no wander explains, count for no more than ten usual ones.
  const double cap = 10.0 * median_of(after);
  double left = 0.0;
  double total = 0.0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    left += std::min(after[i], cap);
    total += std::min(before[i], cap);
  }
  if (left > kWanderExplains * total) {
    std::fill(wander.by.begin(), wander.by.end(), 0.0);
  }
  return wander;
}

/// The hub keeps its place on the face. A rim that slowly wanders about it has taken another edge
/// or another view for its own for a while: when that is most of what parts the two, it is taken
/// out.
void steady_rim(std::vector<Pair> pairs, double frame_rate_hz, GlimpsesByFrame& disc) {
  const auto window =
      std::max(kFewestToWander, static_cast<std::size_t>(std::lround(kWanderS * frame_rate_hz)));
  const auto place = learn_place(pairs);
  if (!place || place->rims_unsteadiness < kWandersAlone) return;
  // Another ring on the face than the usual one says nothing of the rim's size.
  std::erase_if(pairs, [&](const Pair& p) {
    return std::abs(std::log(radius_of(*p.hub) / place->hub_radius_px)) > kSameRing;
  });
  if (pairs.size() < 2 * window) return;
  // What the parallax of the hub explains is no wandering.
  const Wander x = wander_of(pairs, window, [&](const Pair& p) {
    return p.dx() - place->x.at(p.hub->y_px - place->middle_y);
  });
  const Wander y = wander_of(pairs, window, [&](const Pair& p) {
    return p.dy() - place->y.at(p.hub->y_px - place->middle_y);
  });
  const Wander size = wander_of(pairs, window, [](const Pair& p) { return p.log_size(); });
  std::vector<std::int32_t> frames;
  for (const Pair& p : pairs) frames.push_back(p.rim->frame);
  std::size_t nearest = 0;
  for (auto& [frame, rim] : disc) {
    while (nearest + 1 < frames.size() &&
           std::abs(frames[nearest + 1] - frame) <= std::abs(frames[nearest] - frame)) {
      ++nearest;
    }
    const auto dx = static_cast<float>(x.by[nearest]);
    const auto dy = static_cast<float>(y.by[nearest]);
    const auto stretch = static_cast<float>(std::exp(-size.by[nearest]));
    rim.x_px += dx;
    rim.y_px += dy;
    rim.still_x_px += dx;
    rim.still_y_px += dy;
    rim.xx *= stretch;
    rim.xy *= stretch;
    rim.yy *= stretch;
  }
}

/// A glimpse of the disc as its hub alone tells it.
Glimpse from_hub(const Glimpse& hub, const HubPlace& place) {
  Glimpse g = hub;
  const auto dx = static_cast<float>(place.x.at(hub.y_px - place.middle_y));
  const auto dy = static_cast<float>(place.y.at(hub.y_px - place.middle_y));
  g.x_px -= dx;
  g.y_px -= dy;
  g.still_x_px -= dx;
  g.still_y_px -= dy;
  const auto size = static_cast<float>(std::exp(place.log_size));
  g.xx *= size;
  g.xy *= size;
  g.yy *= size;
  g.shape_sigma_px = size * std::hypot(hub.shape_sigma_px, kEdgeAlikePx);
  const double lasting = place.hub_lasting_px(hub);
  g.sigma_x_px =
      static_cast<float>(std::hypot(std::sqrt(stated_variance(hub.sigma_x_px, hub)), lasting));
  g.sigma_y_px =
      static_cast<float>(std::hypot(std::sqrt(stated_variance(hub.sigma_y_px, hub)), lasting));
  g.lasting_px = static_cast<float>(lasting);
  return g;
}

/// Weighted mean of two sightings, of centre and size; the rest from the rim.
Glimpse mean_of(const Glimpse& rim, const Glimpse& hub, const HubPlace& place) {
  Glimpse g = rim;
  const double rim_lasting = place.rim_lasting_px(rim);
  const double rim_x = stated_variance(rim.sigma_x_px, rim) + square(rim_lasting);
  const double rim_y = stated_variance(rim.sigma_y_px, rim) + square(rim_lasting);
  const double hub_x = square(hub.sigma_x_px);
  const double hub_y = square(hub.sigma_y_px);
  const double share_x = rim_x / (rim_x + hub_x);
  const double share_y = rim_y / (rim_y + hub_y);
  const double rim_size = size_variance(rim) + place.rim_size_variance;
  const double hub_size = size_variance(hub) + place.hub_size_variance;
  const double share_size = rim_size / (rim_size + hub_size);
  const double larger = share_size * std::log(radius_of(hub) / radius_of(rim));
  const auto stretch = static_cast<float>(std::exp(larger));
  g.xx *= stretch;
  g.xy *= stretch;
  g.yy *= stretch;
  const auto move_x = static_cast<float>(share_x * (hub.x_px - rim.x_px));
  const auto move_y = static_cast<float>(share_y * (hub.y_px - rim.y_px));
  g.x_px += move_x;
  g.y_px += move_y;
  g.still_x_px += move_x;
  g.still_y_px += move_y;
  g.sigma_x_px = static_cast<float>(std::sqrt(share_x * hub_x));
  g.sigma_y_px = static_cast<float>(std::sqrt(share_y * hub_y));
  g.lasting_px = static_cast<float>(
      std::hypot((1.0 - share_y) * rim_lasting, share_y * static_cast<double>(hub.lasting_px)));
  return g;
}

/// Part of the way from what the rim says to what the hub says. That they part lasts.
Glimpse between(const Glimpse& rim, const Glimpse& hub, double trust_in_hub) {
  const auto share = static_cast<float>(trust_in_hub);
  Glimpse g = share < 0.5F ? rim : hub;
  const auto mix = [&](float Glimpse::*member) {
    g.*member = rim.*member + share * (hub.*member - rim.*member);
  };
  for (const auto member : {&Glimpse::x_px,
                            &Glimpse::y_px,
                            &Glimpse::still_x_px,
                            &Glimpse::still_y_px,
                            &Glimpse::xx,
                            &Glimpse::xy,
                            &Glimpse::yy}) {
    mix(member);
  }
  const float doubt = std::sqrt(share * (1.0F - share)) * std::abs(hub.y_px - rim.y_px);
  g.lasting_px = std::hypot(g.lasting_px, doubt);
  return g;
}

bool parted(const Glimpse& rim, const Glimpse& hub, const HubPlace& place) {
  const double sigma = std::sqrt(stated_variance(rim.sigma_y_px, rim) +
                                 square(place.rim_lasting_px(rim)) + square(hub.sigma_y_px));
  return std::hypot(hub.x_px - rim.x_px, hub.y_px - rim.y_px) > kPartedSigmas * sigma;
}

/// Frames in which rim and hub part, and whom to believe in each.
///
/// The one that clearly shows more of itself. Else frames near each other are judged together: how
/// much each shows flickers, and the path would jump from one to the other and back.
class Partings {
 public:
  Partings(const std::vector<Glimpse>& hub,
           const GlimpsesByFrame& disc,
           const HubPlace& place,
           double frame_rate_hz)
      : reach_(static_cast<std::int32_t>(std::lround(kJudgedTogetherS * frame_rate_hz))) {
    for (const Glimpse& g : hub) {
      if (!g.seen) continue;
      const auto found = disc.find(g.frame);
      if (found == disc.end() || !found->second.seen) continue;
      if (!parted(found->second, from_hub(g, place), place)) continue;
      leads_[g.frame] = place.hub_lead(g, found->second);
    }
  }

  [[nodiscard]] bool parted_at(std::int32_t frame) const { return leads_.count(frame) > 0; }

  /// From 0, the rim is believed, to 1, the hub is.
  [[nodiscard]] double trust_in_hub(std::int32_t frame) const {
    const double own = leads_.at(frame);
    if (std::abs(own) > kClearLead) return own > 0.0 ? 1.0 : 0.0;
    double sum = 0.0;
    double count = 0.0;
    const auto end = leads_.upper_bound(frame + reach_);
    for (auto it = leads_.lower_bound(frame - reach_); it != end; ++it) {
      sum += std::clamp(it->second, -kClearLead, kClearLead);
      count += 1.0;
    }
    return std::max(0.0, sum / (kClearLead * count));
  }

 private:
  std::int32_t reach_;
  std::map<std::int32_t, double> leads_;  ///< of the hub, in what is seen of it
};

}  // namespace

double fuse_hub(const std::vector<Glimpse>& hub, double frame_rate_hz, GlimpsesByFrame& disc) {
  steady_rim(pairs_of(hub, disc), frame_rate_hz, disc);
  const auto place = learn_place(pairs_of(hub, disc));
  if (!place) return 0.0;
  const Partings partings(hub, disc, *place, frame_rate_hz);
  std::vector<Glimpse> fused;
  double shares = 0.0;
  for (const Glimpse& g : hub) {
    if (!g.seen) continue;
    const Glimpse by_hub = from_hub(g, *place);
    const auto found = disc.find(g.frame);
    if (found == disc.end() || !found->second.seen) {
      fused.push_back(by_hub);
      shares += 1.0;
      continue;
    }
    const Glimpse& rim = found->second;
    const double size = std::log(radius_of(rim) / radius_of(by_hub));
    if (std::abs(size) > kSameRing) {
      // One of them is another ring than usual: a groove for the rim, or a lip for the hub.
      const bool hub_usual = std::abs(std::log(radius_of(g) / place->hub_radius_px)) < kSameRing;
      if (!hub_usual) continue;
      fused.push_back(by_hub);
      shares += 1.0;
      continue;
    }
    if (partings.parted_at(g.frame)) {
      const double trust = partings.trust_in_hub(g.frame);
      fused.push_back(between(rim, by_hub, trust));
      shares += trust;
      continue;
    }
    Glimpse both = mean_of(rim, by_hub, *place);
    if (std::abs(size) > kPartedSize && place->hub_shows_more(g, rim)) {
      both.xx = by_hub.xx;
      both.xy = by_hub.xy;
      both.yy = by_hub.yy;
      both.shape_sigma_px = by_hub.shape_sigma_px;
    }
    shares += std::abs(both.y_px - rim.y_px) / std::max(1e-6F, std::abs(by_hub.y_px - rim.y_px));
    fused.push_back(both);
  }
  for (const Glimpse& g : fused) disc[g.frame] = g;
  const double share = shares / static_cast<double>(std::max<std::size_t>(1, disc.size()));
  const double unsteady = kUnsteadyRim * std::sqrt(place->rim_size_variance);
  return share * std::hypot(std::hypot(place->y.slope_sigma, place->size_sigma), unsteady);
}

void fill_from_ring(const std::vector<Glimpse>& ring, GlimpsesByFrame& disc) {
  constexpr double kSamePlaceRadii = 0.25;
  constexpr double kSteadyRadii = 0.03;
  const auto place = learn_place(pairs_of(ring, disc));
  if (!place) return;
  std::vector<double> radii;
  for (const Pair& p : pairs_of(ring, disc)) radii.push_back(radius_of(*p.rim));
  const double radius = median_of(radii);
  const bool on_face =
      std::hypot(place->x.at_middle, place->y.at_middle) < kSamePlaceRadii * radius;
  const bool steady = std::hypot(place->x.spread, place->y.spread) < kSteadyRadii * radius;
  if (!on_face || !steady) return;
  for (const Glimpse& g : ring) {
    Glimpse& slot = disc[g.frame];
    if (!g.seen || slot.seen) continue;
    // Another ring than the one whose size was learnt tells nothing of the disc's.
    if (std::abs(std::log(radius_of(g) / place->hub_radius_px)) > kSameRing) continue;
    slot = from_hub(g, *place);
  }
}

void drop_unjoined(const GlimpsesByFrame& own, double frame_rate_hz, GlimpsesByFrame& joined) {
  std::vector<Glimpse*> seen;
  for (auto& [frame, g] : joined) {
    if (g.seen) seen.push_back(&g);
    g.frame = frame;
  }
  const auto is_own = [&](const Glimpse& g) {
    const auto found = own.find(g.frame);
    return found != own.end() && found->second.seen;
  };
  const auto joins = [&](const Glimpse& a, const Glimpse& b) {
    const std::int32_t frames = b.frame - a.frame;
    if (frames > kNextFrames) return true;
    const double radius_px = std::sqrt(std::abs(static_cast<double>(b.xx) * b.yy - b.xy * b.xy));
    const double fastest_px = kFastestMps * frames / frame_rate_hz * radius_px / kUsualDiscRadiusM;
    const double apart_px = std::hypot(b.still_x_px - a.still_x_px, b.still_y_px - a.still_y_px);
    return apart_px < kLooseRadii * radius_px + fastest_px;
  };
  for (std::size_t from = 0; from < seen.size();) {
    if (is_own(*seen[from])) {
      ++from;
      continue;
    }
    std::size_t to = from + 1;
    while (to < seen.size() && !is_own(*seen[to]) && joins(*seen[to - 1], *seen[to])) ++to;
    const bool before = from == 0 || joins(*seen[from - 1], *seen[from]);
    const bool after = to == seen.size() || joins(*seen[to - 1], *seen[to]);
    if (!before || !after) {
      for (std::size_t i = from; i < to; ++i) seen[i]->seen = false;
    }
    from = to;
  }
}

}  // namespace kinetics
