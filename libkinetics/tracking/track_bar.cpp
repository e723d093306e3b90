#include "libkinetics/tracking/track_bar.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/tracking/bar_of_disc.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/gather_discs.h"

namespace kinetics {
namespace {

/// Of a disc that is lifted in plain view more of the rim is seen, on average: what shows less are
/// pieces of other things, taken for a disc for a moment each.
constexpr double kRimOfADisc = 0.5;

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

}  // namespace

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
  const auto nearer = nearer_of(*choice, merits);
  if (!nearer) {
    const DiscMerit& a = merits[choice->disc];
    const DiscMerit& b = merits[*choice->rival];
    if (std::max(a.rim_seen, b.rim_seen) < kRimOfADisc) {
      throw Error(ErrorCode::kNothingToTrack,
                  clip.path,
                  "no disc shows clearly enough to be followed: something stands before it, or it "
                  "is too like what is behind it",
                  "Let nobody stand before the disc; have light on it, a light wall behind it or "
                  "bright tape around its rim; or point at it with --seed x,y,t");
    }
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
  return *nearer;
}

void check_tracking(const TrackingOptions& options, const ClipInfo& clip) {
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

TrackedBar track_bar(ClipReader& clip, const TrackingOptions& options, const Progress& progress) {
  check_tracking(options, clip.info());
  const Gathered gathered = gather_discs(clip, options, progress);
  const std::vector<DiscMerit> merits = merits_of(gathered, options);
  const std::size_t chosen = pick_disc(gathered, merits, clip.info(), options.seed);
  return bar_of_disc(gathered, merits, chosen, clip.info(), options, Stamps::kMend);
}

}  // namespace kinetics
