#include "libkinetics/tracking/track_by_colour.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/media/read_ahead.h"
#include "libkinetics/tracking/bar_of_disc.h"
#include "libkinetics/tracking/colourfulness.h"
#include "libkinetics/tracking/gather_discs.h"
#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

/// A rim of which less than this share is seen, over the whole clip, hardly shows.
constexpr double kHardlyShows = 0.75;
/// Colour must show so much more of it, and as much of what the bar did.
constexpr double kClearlyMore = 0.10;
constexpr double kMostOfTheWay = 0.7;
constexpr double kMostOfTheTime = 0.8;
constexpr double kLeastSize = 0.85;
/// Where nothing was found by brightness, colour must show a disc that is well seen and lifted.
constexpr double kLeastRim = 0.6;
constexpr double kLeastLiftM = 0.2;
/// Disc and surroundings differ by at least so many levels of colourfulness.
constexpr double kLeastDifference = 12.0;

struct Seen {
  double rim = 0.0;  ///< mean share
  double radius_px = 0.0;
  double up_and_down_px = 0.0;
  double frames = 0.0;
};

Seen summary(const DiscTrack& disc) {
  Seen seen;
  double top = 1e12;
  double bottom = -1e12;
  std::vector<double> radii;
  for (const DiscSighting& s : disc.sightings) {
    if (s.sighting != Sighting::kSeen) continue;
    seen.rim += s.rim_seen;
    radii.push_back(std::sqrt(s.half_width_px * s.half_height_px));
    const double still_y = s.centre.y_px - s.camera_shift.y_px;
    top = std::min(top, still_y);
    bottom = std::max(bottom, still_y);
  }
  if (radii.empty()) return seen;
  seen.frames = static_cast<double>(radii.size());
  seen.rim /= seen.frames;
  seen.up_and_down_px = bottom - top;
  seen.radius_px = median_of(std::move(radii));
  return seen;
}

/// Whether the disc differs from what is around it, in a picture of colourfulness.
bool stands_out(const LumaView& picture, const DiscSighting& disc) {
  constexpr int kRays = 64;
  std::vector<double> differences;
  for (int i = 0; i < kRays; ++i) {
    const double phi = 2.0 * std::numbers::pi * i / kRays;
    const auto grey = [&](double share) {
      return static_cast<double>(grey_at(
          picture,
          static_cast<float>(disc.centre.x_px + share * disc.half_width_px * std::cos(phi)),
          static_cast<float>(disc.centre.y_px + share * disc.half_height_px * std::sin(phi))));
    };
    differences.push_back(0.5 * (grey(0.75) + grey(0.85)) - 0.5 * (grey(1.15) + grey(1.25)));
  }
  return std::abs(median_of(std::move(differences))) > kLeastDifference;
}

/// All that is gathered by colour; nothing when the disc seen by brightness does not stand out.
std::optional<Gathered> gather_by_colour(ClipReader& clip,
                                         const TrackingOptions& options,
                                         const DiscTrack* by_brightness,
                                         const Progress& progress) {
  const DiscSighting* first = nullptr;
  if (by_brightness) {
    const auto& all = by_brightness->sightings;
    const auto seen = std::find_if(all.begin(), all.end(), [](const DiscSighting& s) {
      return s.sighting == Sighting::kSeen;
    });
    if (seen == all.end()) return std::nullopt;
    first = &*seen;
  }
  DiscGatherer gatherer(options);
  ReadAhead ahead(clip);
  std::int64_t number = 0;
  for (; auto frame = ahead.next(); ++number) {
    const auto coloured = colourfulness_of(*frame, clip.info());
    if (!coloured) return std::nullopt;
    if (first && number == first->frame && !stands_out(coloured->luma, *first)) return std::nullopt;
    gatherer.take(*frame, *coloured);
    if (progress && number % 16 == 0) progress(ahead.fraction_read());
  }
  if (number == 0) return std::nullopt;
  return std::move(gatherer).take_all();
}

bool shows_more(const Seen& colour, const Seen& brightness) {
  return colour.rim > brightness.rim + kClearlyMore &&
         colour.up_and_down_px > kMostOfTheWay * brightness.up_and_down_px &&
         colour.frames > kMostOfTheTime * brightness.frames &&
         colour.radius_px > kLeastSize * brightness.radius_px;
}

}  // namespace

bool poorly_seen(const DiscTrack& by_brightness) {
  return summary(by_brightness).rim < kHardlyShows;
}

std::optional<TrackedBar> track_by_colour(ClipReader& clip,
                                          const TrackingOptions& options,
                                          const DiscTrack* by_brightness,
                                          const Progress& progress) {
  check_tracking(options, clip.info());
  try {
    const auto gathered = gather_by_colour(clip, options, by_brightness, progress);
    if (!gathered) return std::nullopt;
    const std::vector<DiscMerit> merits = merits_of(*gathered, options);
    const std::size_t chosen = pick_disc(*gathered, merits, clip.info(), options.seed);
    const DiscMerit& merit = merits[chosen];
    if (!by_brightness && (merit.up_and_down_m < kLeastLiftM || merit.rim_seen < kLeastRim))
      return std::nullopt;
    TrackedBar bar = bar_of_disc(*gathered, merits, chosen, clip.info(), options);
    if (by_brightness && !shows_more(summary(bar.disc), summary(*by_brightness)))
      return std::nullopt;
    bar.notes.push_back({NoteKind::kDecision,
                         "The disc's edge hardly shows by its brightness; it was followed by its "
                         "colour."});
    return bar;
  } catch (const Error& e) {
    // What was wrong by brightness is told instead.
    if (e.code() != ErrorCode::kNothingToTrack) throw;
    return std::nullopt;
  }
}

}  // namespace kinetics
