#include "libkinetics/tracking/fuse_hub.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "libkinetics/tracking/median.h"

namespace kinetics {
namespace {

/// Seen together less often than this, nothing is learnt.
constexpr std::size_t kFewestTogether = 12;
/// Rings whose size differs more than this from the usual ratio are other rings, log.
constexpr double kSameRing = 0.10;
/// A hub that stands out from the face by some centimetres moves faster by this share, 1 sigma.
constexpr double kParallaxSigma = 0.006;
/// Errors of so many neighbouring frames are alike.
constexpr double kAlikeFrames = 15.0;
/// Error of a whole rim, px, and the bounds of how much a rim errs for the part of it not seen.
constexpr double kWholeRimPx = 0.03;
constexpr double kWholeRim = 0.95;
constexpr double kLeastPerCover = 0.2;
constexpr double kMostPerCover = 30.0;
/// They part when farther from each other than so many sigma; in size when by more than this, log.
constexpr double kPartedSigmas = 4.0;
constexpr double kPartedSize = 0.02;
constexpr double kUsuallySeen = 0.9;  // quantile
constexpr double kShowsWell = 0.8;
/// A rim whose size is unsteady may be another edge all along: this share of its unsteadiness may
/// be an error of the scale.
constexpr double kUnsteadyRim = 0.4;
/// Neither is thought to have less than this share of what parts them.
constexpr double kLeastShare = 0.03;
/// A wandering rim is steadied over so long to either side, about a repetition, if that halves what
/// parts the two.
constexpr double kWanderS = 1.5;
constexpr std::size_t kFewestToWander = 20;
constexpr double kWanderExplains = 0.5;

double square(double x) {
  return x * x;
}

double radius_of(const Glimpse& g) {
  return std::sqrt(std::abs(static_cast<double>(g.xx) * g.yy - static_cast<double>(g.xy) * g.xy));
}

double quantile(std::vector<double> values, double share) {
  const auto k = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + k, values.end());
  return values[static_cast<std::size_t>(k)];
}

double weighted_median(std::vector<std::pair<double, double>> value_and_weight) {
  std::sort(value_and_weight.begin(), value_and_weight.end());
  double total = 0.0;
  for (const auto& [value, weight] : value_and_weight) total += weight;
  double sum = 0.0;
  for (const auto& [value, weight] : value_and_weight) {
    sum += weight;
    if (sum >= 0.5 * total) return value;
  }
  return 0.0;
}

/// One frame in which both were seen.
struct Pair {
  const Glimpse* hub = nullptr;
  const Glimpse* rim = nullptr;
  [[nodiscard]] double dx() const { return hub->x_px - rim->x_px; }
  [[nodiscard]] double dy() const { return hub->y_px - rim->y_px; }
  [[nodiscard]] double log_size() const { return std::log(radius_of(*rim) / radius_of(*hub)); }
  /// A rim that shows little of itself teaches little.
  [[nodiscard]] double weight() const { return std::pow(rim->rim_seen, 8); }
};

std::vector<Pair> pairs_of(const std::vector<Glimpse>& hub, const GlimpsesByFrame& disc) {
  std::vector<Pair> pairs;
  for (const Glimpse& g : hub) {
    const auto rim = disc.find(g.frame);
    if (g.seen && rim != disc.end() && rim->second.seen) pairs.push_back({&g, &rim->second});
  }
  return pairs;
}

/// Offset = at_middle + slope · (y − middle), by weighted least squares with Tukey's biweight.
struct Line {
  double at_middle = 0.0, slope = 0.0, slope_sigma = 0.0, spread = 0.0;
  [[nodiscard]] double at(double y_from_middle) const { return at_middle + slope * y_from_middle; }
};

template <class Offset>
Line fit_line(const std::vector<Pair>& pairs, double middle, Offset offset) {
  Line line;
  std::vector<std::pair<double, double>> start;
  for (const Pair& p : pairs) start.emplace_back(offset(p), p.weight());
  line.at_middle = weighted_median(start);
  for (int pass = 0; pass < 6; ++pass) {
    std::vector<std::pair<double, double>> apart;
    for (const Pair& p : pairs) {
      apart.emplace_back(std::abs(offset(p) - line.at(p.hub->y_px - middle)), p.weight());
    }
    line.spread = std::max(0.01, 1.4826 * weighted_median(apart));
    const double unit = square(line.spread) * kAlikeFrames;
    double ww = 0.0;
    double ws = 0.0;
    double wss = 1.0 / square(kParallaxSigma);
    double wo = 0.0;
    double wso = 0.0;
    for (const Pair& p : pairs) {
      const double s = p.hub->y_px - middle;
      const double ratio = (offset(p) - line.at(s)) / (4.685 * line.spread);
      if (std::abs(ratio) >= 1.0) continue;
      const double w = p.weight() * square(1.0 - ratio * ratio) / unit;
      ww += w;
      ws += w * s;
      wss += w * s * s;
      wo += w * offset(p);
      wso += w * s * offset(p);
    }
    const double det = ww * wss - ws * ws;
    if (ww <= 0.0 || det <= 0.0) return line;
    line.at_middle = (wss * wo - ws * wso) / det;
    line.slope = (ww * wso - ws * wo) / det;
    line.slope_sigma = std::sqrt(ww / det);
  }
  return line;
}

/// Where the hub lies on the face, as the camera sees it, and how far each of the two errs.
struct HubPlace {
  double middle_y = 0.0;
  Line x, y;
  double hub_radius_px = 0.0;  ///< usual
  double log_size = 0.0;       ///< of the disc over the hub
  double size_sigma = 0.0;
  double rim_usual = 1.0, hub_usual = 1.0;  ///< share of each that shows when it shows well
  double rim_floor_px = kWholeRimPx;        ///< error of each when it shows well
  double hub_floor_px = kWholeRimPx;
  double px_per_cover = 0.6;       ///< and more per share of rim not seen
  double rim_size_variance = 0.0;  ///< of its log, beyond what its edges state

  [[nodiscard]] double rim_lasting_px(const Glimpse& rim) const {
    const double cover = std::max(0.0, kWholeRim - static_cast<double>(rim.rim_seen));
    return std::hypot(rim_floor_px, px_per_cover * cover);
  }
  [[nodiscard]] double hub_lasting_px(const Glimpse& hub) const {
    return std::hypot(hub_floor_px, px_per_cover * hub_cover(hub));
  }
  [[nodiscard]] double hub_cover(const Glimpse& hub) const {
    return std::max(0.0, hub_usual - static_cast<double>(hub.rim_seen));
  }
  [[nodiscard]] bool hub_shows_more(const Glimpse& hub, const Glimpse& rim) const {
    return hub.rim_seen / hub_usual > rim.rim_seen / rim_usual;
  }
};

/// The part of a glimpse's variance that its own edges state.
double stated_variance(double sigma_px, const Glimpse& g) {
  return std::max(1e-6, square(sigma_px) - square(static_cast<double>(g.lasting_px)));
}

/// Of the log of its size, as its edges state.
double size_variance(const Glimpse& g) {
  return square(std::max(kWholeRimPx, static_cast<double>(g.shape_sigma_px)) / radius_of(g));
}

/// Which of the two errs, and by what share of their joint variance. Both move with the bar and the
/// camera, so the third difference of what parts them goes along with the third difference of one
/// track only by that track's own errors.
double hubs_share_of_tremble(const std::vector<Pair>& pairs) {
  std::vector<double> parts, hubs, rims;
  const auto third = [&](std::size_t i, auto value) {
    return value(pairs[i + 3]) - 3.0 * value(pairs[i + 2]) + 3.0 * value(pairs[i + 1]) -
           value(pairs[i]);
  };
  for (std::size_t i = 0; i + 3 < pairs.size(); ++i) {
    if (pairs[i + 3].hub->frame - pairs[i].hub->frame != 3) continue;
    hubs.push_back(third(i, [](const Pair& p) { return static_cast<double>(p.hub->y_px); }));
    rims.push_back(third(i, [](const Pair& p) { return static_cast<double>(p.rim->y_px); }));
    parts.push_back(std::abs(hubs.back() - rims.back()));
  }
  const double wild = 5.0 * 1.4826 * median_of(parts);
  double by_hub = 0.0;
  double by_both = 0.0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (parts[i] > wild) continue;
    by_hub += (hubs[i] - rims[i]) * hubs[i];
    by_both += parts[i] * parts[i];
  }
  return by_both > 0.0 ? std::clamp(by_hub / by_both, kLeastShare, 1.0 - kLeastShare) : 0.5;
}

/// How far rim and hub part beyond what their edges state: when both show well, and for every share
/// of rim that is covered.
void learn_errors(const std::vector<Pair>& pairs, HubPlace& place) {
  const auto apart = [&](const Pair& p) {
    return std::abs(p.dy() - place.y.at(p.hub->y_px - place.middle_y));
  };
  const auto stated = [](const Pair& p) {
    return stated_variance(p.rim->sigma_y_px, *p.rim) + stated_variance(p.hub->sigma_y_px, *p.hub);
  };
  std::vector<double> shown;
  for (const Pair& p : pairs) shown.push_back(p.rim->rim_seen);
  const double well = quantile(shown, kShowsWell);
  std::vector<double> apart_well, stated_well;
  for (const Pair& p : pairs) {
    if (static_cast<double>(p.rim->rim_seen) < well) continue;
    apart_well.push_back(apart(p));
    stated_well.push_back(stated(p));
  }
  const double floor_variance = std::max(
      2.0 * square(kWholeRimPx), square(1.4826 * median_of(apart_well)) - median_of(stated_well));
  const double share = hubs_share_of_tremble(pairs);
  place.rim_floor_px = std::max(kWholeRimPx, std::sqrt(floor_variance * (1.0 - share)));
  place.hub_floor_px = std::max(kWholeRimPx, std::sqrt(floor_variance * share));

  std::vector<double> per_cover;
  for (const Pair& p : pairs) {
    const double cover = square(std::max(0.0, kWholeRim - static_cast<double>(p.rim->rim_seen))) +
                         square(place.hub_cover(*p.hub));
    const double left = square(1.4826 * apart(p)) - stated(p) - floor_variance;
    per_cover.push_back(left / std::max(1e-4, cover));
  }
  std::vector<double> sizes, hub_noise;
  for (const Pair& p : pairs) {
    sizes.push_back(std::abs(p.log_size() - place.log_size));
    hub_noise.push_back(size_variance(*p.hub));
  }
  place.rim_size_variance = std::max(0.0, square(1.4826 * median_of(sizes)) - median_of(hub_noise));
  place.px_per_cover =
      std::clamp(std::sqrt(std::max(0.0, median_of(per_cover))), kLeastPerCover, kMostPerCover);
}

std::optional<HubPlace> learn_place(std::vector<Pair> pairs) {
  if (pairs.size() < kFewestTogether) return std::nullopt;
  HubPlace place;
  std::vector<std::pair<double, double>> sizes;
  for (const Pair& p : pairs) sizes.emplace_back(p.log_size(), p.weight());
  place.log_size = weighted_median(sizes);
  std::erase_if(pairs,
                [&](const Pair& p) { return std::abs(p.log_size() - place.log_size) > kSameRing; });
  if (pairs.size() < kFewestTogether) return std::nullopt;
  for (auto& [size, weight] : sizes) size = std::abs(size - place.log_size);
  place.size_sigma =
      1.4826 * weighted_median(sizes) * std::sqrt(kAlikeFrames / static_cast<double>(pairs.size()));

  std::vector<double> ys, rims, hubs, radii;
  for (const Pair& p : pairs) {
    radii.push_back(radius_of(*p.hub));
    ys.push_back(p.hub->y_px);
    rims.push_back(p.rim->rim_seen);
    hubs.push_back(p.hub->rim_seen);
  }
  place.middle_y = median_of(ys);
  place.hub_radius_px = median_of(radii);
  place.rim_usual = quantile(rims, kUsuallySeen);
  place.hub_usual = quantile(hubs, kUsuallySeen);
  place.x = fit_line(pairs, place.middle_y, [](const Pair& p) { return p.dx(); });
  place.y = fit_line(pairs, place.middle_y, [](const Pair& p) { return p.dy(); });

  learn_errors(pairs, place);
  return place;
}

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
void steady_rim(const std::vector<Pair>& pairs, double frame_rate_hz, GlimpsesByFrame& disc) {
  const auto window =
      std::max(kFewestToWander, static_cast<std::size_t>(std::lround(kWanderS * frame_rate_hz)));
  const auto place = learn_place(pairs);
  if (pairs.size() < 2 * window || !place) return;
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
  g.shape_sigma_px *= size;
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
  const double share_size = rim_size / (rim_size + size_variance(hub));
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

bool parted(const Glimpse& rim, const Glimpse& hub, const HubPlace& place) {
  const double sigma = std::sqrt(stated_variance(rim.sigma_y_px, rim) +
                                 square(place.rim_lasting_px(rim)) + square(hub.sigma_y_px));
  return std::hypot(hub.x_px - rim.x_px, hub.y_px - rim.y_px) > kPartedSigmas * sigma;
}

}  // namespace

double fuse_hub(const std::vector<Glimpse>& hub, double frame_rate_hz, GlimpsesByFrame& disc) {
  steady_rim(pairs_of(hub, disc), frame_rate_hz, disc);
  const auto place = learn_place(pairs_of(hub, disc));
  if (!place) return 0.0;
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
    if (parted(rim, by_hub, *place)) {
      const bool hub_right = place->hub_shows_more(g, rim);
      fused.push_back(hub_right ? by_hub : rim);
      shares += hub_right ? 1.0 : 0.0;
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
    slot = from_hub(g, *place);
  }
}

}  // namespace kinetics
