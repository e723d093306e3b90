#include "libkinetics/tracking/bar_of_disc.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/tracking/view.h"

namespace kinetics {
namespace {

/// How far coding lets the picture lag behind a slow edge, px, 1 sigma: a block is left as it was
/// until the change is worth its bits. Hardly at all where every pixel's noise is coded anew; so
/// much where no pixel is. From rendered clips coded finely and coarsely.
constexpr double kHoldFinePx = 0.01;
constexpr double kHoldCoarsePx = 0.036;
/// Errors of the disc's place hang together over about such a time: from one picture to the next
/// they correlate by 0.9 at 240 pictures a second, hardly at 30. By coverage on rendered clips.
constexpr double kAlikeS = 0.012;
/// Share of rays that must meet an outer rim, on average over the places the disc has been.
constexpr float kLeastOuterRim = 0.42F;
/// A rim outside the followed one, seen wherever the disc went: the followed one is a lip or a
/// smaller disc. Returns the factor between them, 1 when there is none.
double outer_rim_factor(const DiscFollower& disc) {
  const std::vector<float> seen = disc.mean_census();
  if (seen.empty()) return 1.0;
  // Where nothing concentric is, rays still meet edges of whatever stands behind: the usual share.
  std::vector<float> beyond(seen.begin() + 34, seen.end());
  std::nth_element(beyond.begin(), beyond.begin() + 33, beyond.end());
  const float usual = beyond[33];
  for (int b = RimCensus::kCount - 2; RimCensus::factor(b) > 1.04; --b) {
    const auto k = static_cast<std::size_t>(b);
    const bool peak = seen[k] >= seen[k - 1] && seen[k] >= seen[k + 1];
    if (peak && seen[k] > std::max(kLeastOuterRim, usual + 0.25F)) return RimCensus::factor(b);
  }
  return 1.0;
}

DiscTrack track_from(const std::vector<Glimpse>& glimpses,
                     const Gathered& gathered,
                     double rim_factor) {
  DiscTrack track;
  track.sightings.reserve(gathered.times_s.size());
  std::size_t next = 0;
  for (std::size_t f = 0; f < gathered.times_s.size(); ++f) {
    DiscSighting s;
    s.frame = static_cast<std::int64_t>(f);
    s.t_s = gathered.times_s[f];
    while (next < glimpses.size() && static_cast<std::size_t>(glimpses[next].frame) < f) ++next;
    if (next < glimpses.size() && static_cast<std::size_t>(glimpses[next].frame) == f) {
      const Glimpse& g = glimpses[next];
      const double hw = std::hypot(g.xx, g.xy);
      const double hh = std::hypot(g.yy, g.xy);
      s.sighting = g.seen ? Sighting::kSeen : Sighting::kCoasted;
      s.centre = {g.x_px, g.y_px};
      s.half_width_px = rim_factor * hw;
      s.half_height_px = rim_factor * hh;
      s.tilt = g.xy * (g.xx + g.yy) / std::max(1e-9, hw * hh);
      s.sigma_x_px = g.sigma_x_px;
      s.sigma_y_px = g.sigma_y_px;
      s.rim_seen = g.rim_seen;
      s.camera_shift = {g.x_px - g.still_x_px, g.y_px - g.still_y_px};
    }
    track.sightings.push_back(s);
  }
  return track;
}

}  // namespace

std::vector<DiscMerit> merits_of(const Gathered& gathered, const TrackingOptions& options) {
  std::vector<DiscMerit> merits;
  merits.reserve(gathered.discs.size());
  for (const DiscFollower& d : gathered.discs) {
    merits.push_back(merit_of(d, gathered.times_s, 0.5 * options.disc_diameter_m));
  }
  return merits;
}

TrackedBar bar_of_disc(const Gathered& gathered,
                       const std::vector<DiscMerit>& merits,
                       std::size_t chosen,
                       const ClipInfo& clip,
                       const TrackingOptions& options) {
  const double lasts_s = gathered.times_s.back() - gathered.times_s.front();
  const double frame_rate_hz =
      lasts_s > 0.0 ? static_cast<double>(gathered.times_s.size() - 1) / lasts_s : 30.0;
  const JoinedGlimpses joined = join_glimpses(gathered.discs, merits, chosen, frame_rate_hz);
  const std::vector<Glimpse>& glimpses = joined.glimpses;
  const double rim_factor = outer_rim_factor(gathered.discs[chosen]);

  ViewResult view =
      path_in_gym(glimpses, gathered.times_s, clip, gathered.uprights, rim_factor, options);
  TrackedBar result{.disc = track_from(glimpses, gathered, rim_factor),
                    .path = std::move(view.path),
                    .notes = std::move(view.notes)};
  result.path.scale_sigma_rel = std::hypot(result.path.scale_sigma_rel, joined.scale_sigma_rel);
  const TimeBase tick = gathered.tick;
  const double hold_px = kHoldFinePx + (kHoldCoarsePx - kHoldFinePx) * gathered.unchanged_share;
  if (view.px_per_m > 0.0) result.path.hold_sigma_m = hold_px / view.px_per_m;
  result.path.alike_s = kAlikeS;
  result.path.stamp_sigma_s =
      static_cast<double>(tick.num) / tick.den / std::sqrt(12.0) / clip.slow_motion_factor;
  if (!gathered.camera_seen) {
    result.notes.push_back(
        {NoteKind::kCaution,
         "The background has too little texture to see whether the camera moved; "
         "it is taken as still."});
  }
  check(result.path);
  return result;
}

}  // namespace kinetics
