#include "libkinetics/tracking/track_bar.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/gather_discs.h"
#include "libkinetics/tracking/view.h"

namespace kinetics {
namespace {

/// How far coding lets the picture lag behind a slow edge, px, 1 sigma: a block is left as it was
/// until the change is worth its bits. Hardly at all where every pixel's noise is coded anew; so
/// much where no pixel is. From rendered clips coded finely and coarsely.
constexpr double kHoldFinePx = 0.01;
constexpr double kHoldCoarsePx = 0.06;
/// Share of rays that must meet an outer rim, on average over the places the disc has been.
constexpr float kLeastOuterRim = 0.42F;
void check_options(const TrackingOptions& options, const ClipInfo& clip) {
  const auto refuse = [](std::string what, std::string mend) {
    throw Error(ErrorCode::kUsage, "", std::move(what), std::move(mend));
  };
  if (!(options.disc_diameter_m > 0.05 && options.disc_diameter_m < 1.0)) {
    refuse(fmt::format("a disc of {} m is not on any bar", options.disc_diameter_m),
           "Give its outer diameter, for example 450 mm");
  }
  if (options.readout_s && !(*options.readout_s >= 0.0 && *options.readout_s < 0.1)) {
    refuse(fmt::format("a readout of {} s is not possible", *options.readout_s),
           "Phones need 5 to 30 ms");
  }
  if (options.camera_roll_rad && !(std::abs(*options.camera_roll_rad) < 0.8)) {
    refuse("a camera roll of more than 45 degrees cannot be corrected", "Turn the clip first");
  }
  if (options.seed) {
    const PixelPoint& at = options.seed->at;
    if (!(at.x_px >= 0.0 && at.y_px >= 0.0 && at.x_px < clip.width_px &&
          at.y_px < clip.height_px)) {
      refuse(fmt::format("the seed {:.0f},{:.0f} lies outside the picture of {} x {} pixels",
                         at.x_px,
                         at.y_px,
                         clip.width_px,
                         clip.height_px),
             "Count from the top left of the picture as it is shown");
    }
    if (!(options.seed->t_s >= 0.0)) refuse("the seed's time is negative", "Count from the start");
  }
}

/// The disc the seed points at, as the follower that was there then.
std::optional<std::size_t> disc_at_seed(const Gathered& gathered, const DiscSeed& seed) {
  const auto after = std::lower_bound(gathered.times_s.begin(), gathered.times_s.end(), seed.t_s);
  if (after == gathered.times_s.end()) return std::nullopt;
  const auto frame = static_cast<std::int32_t>(after - gathered.times_s.begin());
  std::optional<std::size_t> best;
  double nearest = 1e9;
  for (std::size_t k = 0; k < gathered.discs.size(); ++k) {
    for (const Glimpse& g : gathered.discs[k].glimpses()) {
      if (g.frame != frame) continue;
      const double apart = std::hypot(g.x_px - seed.at.x_px, g.y_px - seed.at.y_px);
      if (apart < std::sqrt(std::abs(g.xx * g.yy - g.xy * g.xy)) && apart < nearest) {
        nearest = apart;
        best = k;
      }
    }
  }
  return best;
}

std::size_t pick_disc(const Gathered& gathered,
                      const std::vector<DiscMerit>& merits,
                      const ClipInfo& clip,
                      const std::optional<DiscSeed>& seed) {
  if (seed) {
    if (const auto pointed = disc_at_seed(gathered, *seed)) return *pointed;
    throw Error(
        ErrorCode::kNothingToTrack,
        clip.path,
        fmt::format("no disc is followed at the seed {:.0f},{:.0f} at {:.2f} s (the clip lasts "
                    "{:.2f} s)",
                    seed->at.x_px,
                    seed->at.y_px,
                    seed->t_s,
                    gathered.times_s.back()),
        "Point at the middle of the disc at a moment within the clip");
  }
  const auto choice = choose_disc(gathered.discs, merits);
  if (!choice) {
    throw Error(
        ErrorCode::kNothingToTrack,
        clip.path,
        "no disc is in view in this clip",
        "Film the bar's end side-on with the whole disc in the picture, or point at it with "
        "--seed x,y,t");
  }
  if (choice->rival) {
    const DiscMerit& a = merits[choice->disc];
    const DiscMerit& b = merits[*choice->rival];
    throw Error(
        ErrorCode::kNothingToTrack,
        clip.path,
        fmt::format(
            "two discs are lifted and nothing tells which is meant: one near {:.0f},{:.0f}, "
            "one near {:.0f},{:.0f}",
            a.where.x_px,
            a.where.y_px,
            b.where.x_px,
            b.where.y_px),
        fmt::format("Choose with --seed {:.0f},{:.0f},{:.2f} or --seed {:.0f},{:.0f},{:.2f}",
                    a.from.x_px,
                    a.from.y_px,
                    a.seen_from_s,
                    b.from.x_px,
                    b.from.y_px,
                    b.seen_from_s));
  }
  return choice->disc;
}

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

TrackedBar track_bar(ClipReader& clip, const TrackingOptions& options, const Progress& progress) {
  check_options(options, clip.info());
  const Gathered gathered = gather_discs(clip, options, progress);

  std::vector<DiscMerit> merits;
  for (const DiscFollower& d : gathered.discs) {
    merits.push_back(merit_of(d, gathered.times_s, 0.5 * options.disc_diameter_m));
  }
  const std::size_t chosen = pick_disc(gathered, merits, clip.info(), options.seed);
  const double lasts_s = gathered.times_s.back() - gathered.times_s.front();
  const double frame_rate_hz =
      lasts_s > 0.0 ? static_cast<double>(gathered.times_s.size() - 1) / lasts_s : 30.0;
  const JoinedGlimpses joined = join_glimpses(gathered.discs, merits, chosen, frame_rate_hz);
  const std::vector<Glimpse>& glimpses = joined.glimpses;
  const double rim_factor = outer_rim_factor(gathered.discs[chosen]);

  ViewResult view =
      path_in_gym(glimpses, gathered.times_s, clip.info(), gathered.uprights, rim_factor, options);
  TrackedBar result{.disc = track_from(glimpses, gathered, rim_factor),
                    .path = std::move(view.path),
                    .notes = std::move(view.notes)};
  result.path.scale_sigma_rel = std::hypot(result.path.scale_sigma_rel, joined.scale_sigma_rel);
  const TimeBase tick = gathered.tick;
  const double hold_px = kHoldFinePx + (kHoldCoarsePx - kHoldFinePx) * gathered.unchanged_share;
  if (view.px_per_m > 0.0) result.path.hold_sigma_m = hold_px / view.px_per_m;
  result.path.stamp_sigma_s =
      static_cast<double>(tick.num) / tick.den / std::sqrt(12.0) / clip.info().slow_motion_factor;
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
