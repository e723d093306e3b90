#include "libkinetics/tracking/bar_of_disc.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "libkinetics/tracking/disc_behind.h"
#include "libkinetics/tracking/lying_picture.h"
#include "libkinetics/tracking/mend_times.h"
#include "libkinetics/tracking/outer_rim.h"
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
constexpr double kAlikeS = 0.009;
/// A disc that is in view at the beginning is found within this, s.
constexpr double kSeenSoonS = 1.0;
/// A sleeve reaches so far across the face from here on that it can be made out, rad.
constexpr double kSleeveShowsRad = 0.30;
/// The largest discs are 450 mm across (federation rules), less their tolerance.
constexpr double kLargestDiscM = 0.449;

/// Where less than this share of the rim is seen, on average, what is seen may be some of a lip's
/// or of the rear rim; by so much of the size for all of it that is missing, 1 sigma.
constexpr double kEnoughRim = 0.6;
constexpr double kSizeByMissingRim = 0.16;

double missing_rim_sigma_rel(double rim_seen) {
  return kSizeByMissingRim * std::max(0.0, kEnoughRim - rim_seen);
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

/// What a coach should know of how the disc was seen.
void add_cautions(const BarPath& path, bool camera_seen, Notes& notes) {
  const auto first = std::find_if(
      path.points.begin(), path.points.end(), [](const PathPoint& p) { return p.seen; });
  const double unseen_s = first == path.points.end() ? 0.0 : first->t_s - path.points.front().t_s;
  if (unseen_s > kSeenSoonS) {
    notes.push_back({NoteKind::kCaution,
                     fmt::format("The disc was first seen {:.1f} s after the beginning; what was "
                                 "lifted before that is not measured.",
                                 unseen_s)});
  }
  if (seems_to_lie(path)) {
    notes.push_back(
        {NoteKind::kCaution,
         "The bar went to and fro across the picture, not up and down: the clip seems to lie on "
         "its side. Turn it upright in the phone's or computer's own picture viewer and analyse "
         "it again."});
  }
  if (!camera_seen) {
    notes.push_back({NoteKind::kCaution,
                     "The background has too little texture to see whether the camera moved; "
                     "it is taken as still."});
  }
}

/// A larger disc behind the one that was followed is the ruler where the largest there is was told
/// of; else the diameter told is the followed one's.
std::optional<DiscBehind> ruler_behind(const DiscFollower& disc,
                                       const OuterRim& outer,
                                       double disc_diameter_m) {
  if (outer.factor > 1.0 || disc_diameter_m < kLargestDiscM) return std::nullopt;
  return disc_behind(disc.mean_colour_census());
}

/// Far off square the outline does not tell which of a disc's two rims is the near one, unless the
/// sleeve does: by so much one looks smaller than the other.
double unsure_rim_rel(const DiscFollower& disc, double off_square_rad) {
  return off_square_rad < kSleeveShowsRad || disc.sleeve_seen() ? 0.0 : disc.depth().value(0);
}

Note note_on_view(double off_square_rad, double sigma_rel) {
  return {
      NoteKind::kCaution,
      fmt::format("The bar is seen some {:.0f} degrees off square and its sleeve cannot be made "
                  "out, so sizes are less sure (± {:.0f} %). Put the phone at bar height, "
                  "square to the bar.",
                  off_square_rad * 180.0 / std::numbers::pi,
                  std::ceil(196.0 * sigma_rel))};
}

Note note_on(const DiscBehind& behind, double disc_diameter_m) {
  return {NoteKind::kCaution,
          fmt::format("A larger disc hangs behind the one that was followed, {:.2f} times as "
                      "large, and is taken for the one of {:.0f} mm. Hang the largest disc "
                      "outermost, or tell the outer one's diameter with --disc-diameter.",
                      behind.factor,
                      1000.0 * disc_diameter_m)};
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
                       const TrackingOptions& options,
                       Stamps stamps) {
  const double lasts_s = gathered.times_s.back() - gathered.times_s.front();
  const double frame_rate_hz =
      lasts_s > 0.0 ? static_cast<double>(gathered.times_s.size() - 1) / lasts_s : 30.0;
  const JoinedGlimpses joined = join_glimpses(gathered.discs, merits, chosen, frame_rate_hz);
  const std::vector<Glimpse>& glimpses = joined.glimpses;
  const OuterRim outer = outer_rim(gathered.discs[chosen].mean_census());
  const std::optional<DiscBehind> behind =
      ruler_behind(gathered.discs[chosen], outer, options.disc_diameter_m);
  const double rim_factor = behind ? behind->factor : outer.factor;
  const double factor_sigma_rel = behind ? behind->sigma_rel : outer.sigma_rel;

  ViewResult view = path_in_gym(glimpses,
                                gathered.times_s,
                                clip,
                                gathered.uprights,
                                rim_factor,
                                options,
                                gathered.discs[chosen].depth().value(1));
  TrackedBar result{.disc = track_from(glimpses, gathered, rim_factor),
                    .path = std::move(view.path),
                    .notes = std::move(view.notes)};
  const double unsure_rim = unsure_rim_rel(gathered.discs[chosen], view.off_square_rad);
  const double rim = std::hypot(unsure_rim, missing_rim_sigma_rel(merits[chosen].rim_seen));
  const double rings = std::hypot(joined.scale_sigma_rel, factor_sigma_rel, rim);
  result.path.scale_sigma_rel =
      std::hypot(result.path.scale_sigma_rel, rings, gathered.discs[chosen].view_sigma_rel());
  const TimeBase tick = gathered.tick;
  const double hold_px = kHoldFinePx + (kHoldCoarsePx - kHoldFinePx) * gathered.unchanged_share;
  if (view.px_per_m > 0.0) result.path.hold_sigma_m = hold_px / view.px_per_m;
  result.path.alike_s = kAlikeS;
  const double tick_s = static_cast<double>(tick.num) / tick.den / clip.slow_motion_factor;
  if (stamps == Stamps::kMend) mend_times(result.path, result.notes);
  judge_stamps(result.path, tick_s, result.notes);
  add_cautions(result.path, gathered.camera_seen, result.notes);
  if (unsure_rim > 0.0) result.notes.push_back(note_on_view(view.off_square_rad, unsure_rim));
  if (behind) result.notes.push_back(note_on(*behind, options.disc_diameter_m));
  check(result.path);
  return result;
}

}  // namespace kinetics
