#include "libkinetics/tracking/track_by_look.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/media/read_ahead.h"
#include "libkinetics/tracking/bar_of_disc.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/colourfulness.h"
#include "libkinetics/tracking/gather_discs.h"
#include "libkinetics/tracking/image.h"
#include "libkinetics/tracking/local_contrast.h"

namespace kinetics {
namespace {

/// A rim of which less than this share is seen, over the whole clip, is poorly seen.
constexpr double kPoorRim = 0.75;
/// And hardly, with less than this, or in less than this share of the pictures.
constexpr double kHardlyRim = 0.6;
constexpr double kMostOfThePictures = 0.8;
/// Another look must show so much more of it, and as much of what the bar did.
constexpr double kClearlyMore = 0.10;
constexpr double kMostOfTheWay = 0.7;
constexpr double kMostOfTheTime = 0.8;
/// A ring that is smaller than what brightness showed is one on the disc's face.
constexpr double kLeastSize = 0.95;
/// Where little or nothing was found by brightness, another look must show a disc that is well seen
/// and lifted.
constexpr double kLeastRim = 0.6;
constexpr double kLeastLiftM = 0.2;
/// Farther than this in its own radii no disc is lifted in a set: what went farther is a hub.
constexpr double kLongestLiftRadii = 6.0;
/// A disc is at least so many times as large as its hub, and as often seen to go the same way.
constexpr double kLargerThanHub = 1.5;
/// Two looks follow one disc when they tell its size and way so nearly alike, over so much of the
/// pictures; what they make of the way then differs by less than this, log.
constexpr double kSameSize = 0.10;
constexpr double kSameWay = 0.98;
constexpr double kSeenByBoth = 0.5;
constexpr double kLooksAgree = 0.03;
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

/// All that is gathered by another look; nothing when the disc seen by brightness does not stand
/// out by its colour.
std::optional<Gathered> gather_by(Look look,
                                  ClipReader& clip,
                                  const TrackingOptions& options,
                                  const DiscTrack* by_brightness,
                                  const Progress& progress) {
  const DiscSighting* first = nullptr;
  if (by_brightness && look == Look::kColour) {
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
    const auto looked_at = look == Look::kColour ? colourfulness_of(*frame, clip.info())
                                                 : std::optional(local_contrast_of(*frame));
    if (!looked_at) return std::nullopt;
    if (first && number == first->frame && !stands_out(looked_at->luma, *first))
      return std::nullopt;
    gatherer.take(*frame, *looked_at);
    if (progress && number % 16 == 0) progress(ahead.fraction_read());
  }
  if (number == 0) return std::nullopt;
  return std::move(gatherer).take_all();
}

bool shows_more(const Seen& look, const Seen& brightness) {
  return look.rim > brightness.rim + kClearlyMore &&
         look.up_and_down_px > kMostOfTheWay * brightness.up_and_down_px &&
         look.frames > kMostOfTheTime * brightness.frames &&
         look.radius_px > kLeastSize * brightness.radius_px;
}

/// As much of the rim, of a thing no smaller, in clearly more pictures.
bool shows_longer(const Seen& look, const Seen& brightness) {
  return look.rim * look.frames > (1.0 + kClearlyMore) * brightness.rim * brightness.frames &&
         look.radius_px > kLeastSize * brightness.radius_px;
}

/// The disc of which brightness showed the hub.
bool shows_disc_of_hub(const Seen& look, const Seen& brightness) {
  return brightness.up_and_down_px > kLongestLiftRadii * brightness.radius_px &&
         look.radius_px > kLargerThanHub * brightness.radius_px &&
         look.up_and_down_px > kMostOfTheWay * brightness.up_and_down_px &&
         look.frames > kMostOfTheTime * brightness.frames;
}

/// What is seen of the disc's rim, or of a ring on its face that goes along with it: among faint
/// edges half a circle shows in many places, but not about the middle of another.
double best_rim(const Gathered& gathered,
                const std::vector<DiscMerit>& merits,
                std::size_t chosen) {
  constexpr double kOnFaceRadii = 0.35;
  constexpr double kAlong = 0.95;
  const DiscMerit& disc = merits[chosen];
  double best = disc.rim_seen;
  for (std::size_t k = 0; k < merits.size(); ++k) {
    const double apart_px =
        std::hypot(merits[k].where.x_px - disc.where.x_px, merits[k].where.y_px - disc.where.y_px);
    if (apart_px < kOnFaceRadii * disc.radius_px && merits[k].rim_seen > best &&
        moves_along(gathered.discs[k], gathered.discs[chosen]) > kAlong) {
      best = merits[k].rim_seen;
    }
  }
  return best;
}

/// How much farther the bar went by one look than by another, log; 0 where they did not follow one
/// thing.
double farther_by(const BarPath& one, const BarPath& other) {
  double n = 0.0;
  double a = 0.0;
  double b = 0.0;
  double aa = 0.0;
  double ab = 0.0;
  double bb = 0.0;
  for (std::size_t i = 0; i < one.points.size() && i < other.points.size(); ++i) {
    const PathPoint& p = one.points[i];
    const PathPoint& q = other.points[i];
    if (!p.seen || !q.seen) continue;
    n += 1.0;
    a += p.y_m;
    b += q.y_m;
    aa += p.y_m * p.y_m;
    ab += p.y_m * q.y_m;
    bb += q.y_m * q.y_m;
  }
  if (n < kSeenByBoth * static_cast<double>(one.points.size())) return 0.0;
  const double one_way = aa - a * a / n;
  const double other_way = bb - b * b / n;
  const double both = ab - a * b / n;
  if (!(both > kSameWay * std::sqrt(one_way * other_way))) return 0.0;
  return 0.5 * std::log(one_way / other_way);
}

Note note_on_looks(double differ_by) {
  return {NoteKind::kCaution,
          fmt::format("The disc hardly shows, and two ways of looking at it differ by {:.0f} % in "
                      "how far the bar went: all numbers are less sure by as much. Have light on "
                      "the disc, a light wall behind it or bright tape around its rim.",
                      100.0 * differ_by)};
}

Note note_on(Look look) {
  if (look == Look::kColour)
    return {NoteKind::kDecision,
            "The disc's edge hardly shows by its brightness; it was followed by its colour."};
  return {
      NoteKind::kCaution,
      "The disc hardly differs in brightness from what is behind it; faint edges were followed. "
      "Repetitions may be missing. Have light on the disc, a light wall behind it or bright "
      "tape around its rim."};
}

}  // namespace

bool seems_a_hub(const DiscTrack& disc) {
  const Seen seen = summary(disc);
  return seen.up_and_down_px > kLongestLiftRadii * seen.radius_px;
}

DiscShown shown(const DiscTrack& disc) {
  const Seen seen = summary(disc);
  return {.share_of_pictures =
              seen.frames / static_cast<double>(std::max<std::size_t>(1, disc.sightings.size())),
          .rim = seen.rim};
}

bool poorly_seen(const DiscTrack& disc) {
  return shown(disc).rim < kPoorRim;
}

bool half_covered(const DiscTrack& disc) {
  return shown(disc).rim < kHardlyRim;
}

bool hardly_seen(const DiscTrack& disc) {
  return half_covered(disc) || shown(disc).share_of_pictures < kMostOfThePictures;
}

std::optional<TrackedBar> track_by_look(Look look,
                                        ClipReader& clip,
                                        const TrackingOptions& options,
                                        const DiscTrack* by_brightness,
                                        const Progress& progress) {
  check_tracking(options, clip.info());
  try {
    const auto gathered = gather_by(look, clip, options, by_brightness, progress);
    if (!gathered) return std::nullopt;
    const std::vector<DiscMerit> merits = merits_of(*gathered, options);
    const std::size_t chosen = pick_disc(*gathered, merits, clip.info(), options.seed);
    const bool alone = !by_brightness || look == Look::kContrast;
    if (alone && (merits[chosen].up_and_down_m < kLeastLiftM ||
                  best_rim(*gathered, merits, chosen) < kLeastRim)) {
      return std::nullopt;
    }
    TrackedBar bar = bar_of_disc(*gathered, merits, chosen, clip.info(), options, Stamps::kMend);
    const Seen seen = summary(bar.disc);
    if (by_brightness && look == Look::kColour && !shows_more(seen, summary(*by_brightness)))
      return std::nullopt;
    if (by_brightness && look == Look::kContrast && !shows_longer(seen, summary(*by_brightness)) &&
        !shows_disc_of_hub(seen, summary(*by_brightness))) {
      return std::nullopt;
    }
    bar.notes.push_back(note_on(look));
    return bar;
  } catch (const Error& e) {
    // What was wrong by brightness is told instead.
    if (e.code() != ErrorCode::kNothingToTrack) throw;
    return std::nullopt;
  }
}

TrackedBar surer_of(TrackedBar by_brightness, TrackedBar by_contrast) {
  const Seen brightness = summary(by_brightness.disc);
  const Seen contrast = summary(by_contrast.disc);
  const bool same_size = std::abs(std::log(contrast.radius_px / brightness.radius_px)) < kSameSize;
  const double differ_by =
      same_size ? std::abs(farther_by(by_contrast.path, by_brightness.path)) : 0.0;
  if (differ_by < kLooksAgree) return by_contrast;
  const bool by_brightness_too = shown(by_brightness.disc).share_of_pictures > kMostOfThePictures;
  TrackedBar kept = by_brightness_too ? std::move(by_brightness) : std::move(by_contrast);
  kept.path.scale_sigma_rel = std::hypot(kept.path.scale_sigma_rel, differ_by);
  kept.notes.push_back(note_on_looks(differ_by));
  return kept;
}

}  // namespace kinetics
