#include "libkinetics/tracking/hub_place.h"

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

/// A hub that stands out from the face by some centimetres moves faster by this share, 1 sigma.
constexpr double kParallaxSigma = 0.006;
/// Errors of so many neighbouring frames are alike.
constexpr double kAlikeFrames = 15.0;
/// Bounds of how much a rim errs for the part of it not seen, px.
constexpr double kLeastPerCover = 0.2;
constexpr double kMostPerCover = 30.0;
constexpr double kUsuallySeen = 0.9;  // quantile
constexpr double kShowsWell = 0.8;
/// Neither is thought to have less than this share of what parts them.
constexpr double kLeastShare = 0.03;

double quantile(std::vector<double> values, double share) {
  const auto k = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + k, values.end());
  return values[static_cast<std::size_t>(k)];
}

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

/// And which of the two errs for what covers it: an edge that is not the ring's own moves its size
/// as much as its centre, and neither has a steady size by chance. The rim's share of the variance.
double rims_share_of_unsteadiness(const std::vector<Pair>& pairs, const HubPlace& place) {
  const Line rim = fit_line(pairs, place.middle_y, [](const Pair& p) { return radius_of(*p.rim); });
  const Line hub = fit_line(pairs, place.middle_y, [](const Pair& p) { return radius_of(*p.hub); });
  const double both = square(rim.spread) + square(hub.spread);
  return std::clamp(square(rim.spread) / both, kLeastShare, 1.0 - kLeastShare);
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

  place.rims_unsteadiness = rims_share_of_unsteadiness(pairs, place);
  const double rims = place.rims_unsteadiness;
  std::vector<double> per_cover;
  for (const Pair& p : pairs) {
    const double rim_cover = std::max(0.0, kWholeRim - static_cast<double>(p.rim->rim_seen));
    const double cover = rims * square(rim_cover) + (1.0 - rims) * square(place.hub_cover(*p.hub));
    const double left = square(1.4826 * apart(p)) - stated(p) - floor_variance;
    per_cover.push_back(left / std::max(1e-4, cover));
  }
  std::vector<double> sizes, hub_noise;
  for (const Pair& p : pairs) {
    sizes.push_back(std::abs(p.log_size() - place.log_size));
    hub_noise.push_back(size_variance(*p.hub));
  }
  const double size_variance =
      std::max(0.0, square(1.4826 * median_of(sizes)) - median_of(hub_noise));
  // By the same token, but as shares of their radii.
  const double larger = square(std::exp(place.log_size));
  const double rims_size = rims / (rims + (1.0 - rims) * larger);
  place.rim_size_variance = rims_size * size_variance;
  place.hub_size_variance = (1.0 - rims_size) * size_variance;
  const double variance = std::max(0.0, median_of(per_cover));
  const auto bounded = [](double v) {
    return std::clamp(std::sqrt(v), kLeastPerCover, kMostPerCover);
  };
  place.rim_px_per_cover = bounded(rims * variance);
  place.hub_px_per_cover = bounded((1.0 - rims) * variance);
}

}  // namespace

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

std::vector<Pair> pairs_of(const std::vector<Glimpse>& hub, const GlimpsesByFrame& disc) {
  std::vector<Pair> pairs;
  for (const Glimpse& g : hub) {
    const auto rim = disc.find(g.frame);
    if (g.seen && rim != disc.end() && rim->second.seen) pairs.push_back({&g, &rim->second});
  }
  return pairs;
}

double stated_variance(double sigma_px, const Glimpse& g) {
  return std::max(1e-6, square(sigma_px) - square(static_cast<double>(g.lasting_px)));
}

double size_variance(const Glimpse& g) {
  return square(std::max(kWholeRimPx, static_cast<double>(g.shape_sigma_px)) / radius_of(g));
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

}  // namespace kinetics
