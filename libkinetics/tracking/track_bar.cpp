#include "libkinetics/tracking/track_bar.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <optional>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/tracking/camera_motion.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/disc_finder.h"
#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/uprights.h"
#include "libkinetics/tracking/view.h"

namespace kinetics {
namespace {

/// Discs followed at once. Each costs about as much as 50 µs a frame.
constexpr std::size_t kMostDiscs = 9;
/// A disc at rest is looked at in every so many frames only; what it did in between is caught up
/// from the last few frames when it turns out to have moved.
constexpr std::int32_t kRestStride = 4;
/// Time between looks over the whole picture, s: while no disc has moved yet or the best one is
/// hidden, and afterwards.
constexpr double kLookEagerlyS = 0.4;
constexpr double kLookCalmlyS = 4.0;
/// How long a disc that has gone from sight is looked for eagerly, s.
constexpr double kSoughtForS = 20.0;
/// A disc that has travelled this far has shown that it is worked, in radii.
constexpr double kWorkedRadii = 1.0;
/// How far coding lets the picture lag behind a slow edge, px, 1 sigma: a block is left as it was
/// until the change is worth its bits. Hardly at all where every pixel's noise is coded anew; so
/// much where no pixel is. From rendered clips coded finely and coarsely.
constexpr double kHoldFinePx = 0.01;
constexpr double kHoldCoarsePx = 0.06;
/// Share of rays that must meet an outer rim, on average over the places the disc has been.
constexpr float kLeastOuterRim = 0.42F;
/// Moments at which upright edges are looked for, s.
constexpr std::array<double, 4> kLookForUprightsAtS{0.0, 1.5, 4.0, 8.0};

/// Everything that is gathered in one pass over the clip.
struct Gathered {
  std::vector<DiscFollower> discs;
  std::vector<double> times_s;
  Uprights uprights;
  TimeBase tick;
  double unchanged_share = 0.0;  ///< of the pixels, from picture to picture
  bool camera_seen = true;
};

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

/// How much of each picture is the one before, pixel for pixel, judged on a sparse sample. All of
/// it: a frame stored twice. Much of it: the coder left blocks as they were, noise and all.
class RepeatedPixels {
 public:
  bool same_as_last(const LumaView& picture) {
    sample_.clear();
    for (int y = 3; y < picture.height; y += 29) {
      for (int x = 5; x < picture.width; x += 13) sample_.push_back(picture.at(x, y));
    }
    std::size_t same = 0;
    if (sample_.size() == last_.size()) {
      for (std::size_t k = 0; k < sample_.size(); ++k) same += sample_[k] == last_[k] ? 1 : 0;
    }
    const bool all = same == sample_.size();
    last_.swap(sample_);
    if (!all) {
      shares_ += static_cast<double>(same) / static_cast<double>(last_.size());
      ++pictures_;
    }
    return all;
  }

  /// Mean share of pixels left as they were, without frames stored twice.
  [[nodiscard]] double share() const { return pictures_ > 0 ? shares_ / pictures_ : 0.0; }

 private:
  double shares_ = 0.0;
  int pictures_ = 0;
  std::vector<std::uint8_t> sample_, last_;
};

/// Whether this is a disc that is followed already, or a part of one. A wider rim around a followed
/// hub is something new.
bool overlaps(const DiscFollower& disc, const RimFit& found) {
  const double followed = disc.ellipse().mean_radius_px();
  const double radius = found.ellipse.mean_radius_px();
  return radius < 1.15 * followed &&
         (disc.ellipse().centre - found.ellipse.centre).norm() < 0.5 * std::max(followed, radius);
}

/// A lost disc that may be this one: same size, about the same column.
DiscFollower* lost_like(std::vector<DiscFollower>& discs, const RimFit& found, double t_s) {
  DiscFollower* best = nullptr;
  for (DiscFollower& d : discs) {
    const double radius = d.ellipse().mean_radius_px();
    const bool same_size = std::abs(std::log(found.ellipse.mean_radius_px() / radius)) < 0.08;
    const Eigen::Vector2d apart = found.ellipse.centre - d.ellipse().centre;
    if (d.hidden_s(t_s) < 0.05 || !same_size || std::abs(apart.x()) > 1.5 * radius ||
        std::abs(apart.y()) > 6.0 * radius || d.travel_radii() < 0.3) {
      continue;
    }
    if (!best || d.travel_radii() > best->travel_radii()) best = &d;
  }
  return best;
}

/// Makes room for a new disc by dropping the one that has shown least.
bool make_room(std::vector<DiscFollower>& discs, const RimFit& found, double t_s) {
  if (discs.size() < kMostDiscs) return true;
  const auto worth = [&](const DiscFollower& d) {
    return 10.0 * d.travel_radii() + (d.seen() ? 1.0 : 0.0) + 0.01 * d.ellipse().mean_radius_px() -
           0.1 * d.hidden_s(t_s);
  };
  const auto least =
      std::min_element(discs.begin(), discs.end(), [&](const auto& a, const auto& b) {
        return worth(a) < worth(b);
      });
  if (worth(*least) > 1.0 + 0.01 * found.ellipse.mean_radius_px()) return false;
  discs.erase(least);
  return true;
}

/// Follows a disc's hub beside it: it may be seen where the rim is not.
void welcome_hub(Gathered& gathered,
                 const RimFit& disc,
                 const LumaView& picture,
                 const CameraPose& pose,
                 double t_s,
                 std::int32_t frame) {
  const auto hub = hub_of(picture, disc);
  if (!hub) return;
  const double radius = hub->ellipse.mean_radius_px();
  for (const DiscFollower& d : gathered.discs) {
    const bool alike = std::abs(std::log(d.ellipse().mean_radius_px() / radius)) < 0.15;
    if (alike && d.seen() && (d.ellipse().centre - hub->ellipse.centre).norm() < radius) return;
  }
  if (DiscFollower* lost = lost_like(gathered.discs, *hub, t_s)) {
    lost->adopt(*hub, pose, t_s, frame);
  } else if (make_room(gathered.discs, *hub, t_s)) {
    gathered.discs.emplace_back(*hub, pose, t_s, frame);
  }
}

void welcome(Gathered& gathered,
             const std::vector<RimFit>& found,
             const LumaView& picture,
             const CameraPose& pose,
             double t_s,
             std::int32_t frame) {
  for (const RimFit& fit : found) {
    const bool known =
        std::any_of(gathered.discs.begin(), gathered.discs.end(), [&](const DiscFollower& d) {
          return d.hidden_s(t_s) < 0.05 && overlaps(d, fit);
        });
    if (known) continue;
    if (DiscFollower* lost = lost_like(gathered.discs, fit, t_s)) {
      lost->adopt(fit, pose, t_s, frame);
    } else if (make_room(gathered.discs, fit, t_s)) {
      gathered.discs.emplace_back(fit, pose, t_s, frame);
    }
    welcome_hub(gathered, fit, picture, pose, t_s, frame);
  }
}

/// Two followers that came to sit on one disc: the one with the shorter history goes.
void drop_twins(std::vector<DiscFollower>& discs) {
  for (std::size_t i = 0; i < discs.size(); ++i) {
    for (std::size_t j = discs.size(); j-- > i + 1;) {
      if (!discs[i].seen() || !discs[j].seen()) continue;
      const double ri = discs[i].ellipse().mean_radius_px();
      const double rj = discs[j].ellipse().mean_radius_px();
      const double apart = (discs[i].ellipse().centre - discs[j].ellipse().centre).norm();
      if (apart > 0.25 * std::max(ri, rj) || std::abs(std::log(ri / rj)) > 0.1) continue;
      const bool keep_i = discs[i].glimpses().size() >= discs[j].glimpses().size();
      if (!keep_i) std::swap(discs[i], discs[j]);
      discs.erase(discs.begin() + static_cast<std::ptrdiff_t>(j));
    }
  }
}

/// Takes up the disc the coach points at, unless it is followed already.
void seed_disc(Gathered& gathered,
               const DiscSeed& seed,
               const LumaView& picture,
               const CameraPose& pose,
               double t_s,
               std::int32_t frame) {
  const Eigen::Vector2d at(seed.at.x_px, seed.at.y_px);
  for (const DiscFollower& d : gathered.discs) {
    if (d.seen() && (d.ellipse().centre - at).norm() < d.ellipse().mean_radius_px()) return;
  }
  const auto fit = find_disc_at(picture, at);
  if (!fit) {
    throw Error(ErrorCode::kNothingToTrack,
                fmt::format("seed {:.0f},{:.0f} at {:.2f} s", at.x(), at.y(), t_s),
                "no round rim is seen around this place",
                "Point at the middle of the disc at a moment when most of its rim is in view");
  }
  if (gathered.discs.size() >= kMostDiscs) gathered.discs.pop_back();
  gathered.discs.emplace_back(*fit, pose, t_s, frame);
}

bool look_eagerly(const std::vector<DiscFollower>& discs, double t_s) {
  bool worked = false;
  for (const DiscFollower& d : discs) {
    worked = worked || d.travel_radii() > kWorkedRadii;
    // One that was worked has gone from sight: it may come back anywhere.
    const bool gone = !d.seen() && d.hidden_s(t_s) < kSoughtForS;
    if (gone && d.travel_radii() > 0.5 * kWorkedRadii) return true;
  }
  return !worked;
}

/// A frame kept for a moment, with what is known of it.
struct Recent {
  Frame frame;
  CameraPose pose;
  std::int32_t number = 0;
  bool repeated = false;
};

/// Brings one disc up to the newest frame.
void follow_recent(DiscFollower& disc, const std::deque<Recent>& recent) {
  const Recent& now = recent.back();
  if (disc.at_rest()) {
    if (now.number - disc.last_frame() < kRestStride) return;
    if (disc.rested(now.frame.luma, now.pose, now.frame.t_s, now.number)) return;
  }
  for (const Recent& r : recent) {
    if (r.number > disc.last_frame()) {
      disc.follow(r.frame.luma, r.pose, r.frame.t_s, r.number, r.repeated);
    }
  }
}

std::vector<Ellipse> seen_now(const std::vector<DiscFollower>& discs) {
  std::vector<Ellipse> ellipses;
  for (const DiscFollower& d : discs) {
    if (d.seen()) ellipses.push_back(d.ellipse());
  }
  return ellipses;
}

Gathered follow_everything_round(ClipReader& clip,
                                 const TrackingOptions& options,
                                 const Progress& progress) {
  Gathered gathered;
  CameraMotion camera;
  DiscFinder finder;
  RepeatedPixels repeats;
  std::deque<Recent> recent;
  double next_look_s = 0.0;
  std::size_t next_uprights = 0;
  bool seeded = !options.seed;
  while (auto frame = clip.next()) {
    const LumaView& picture = frame->luma;
    const double t_s = frame->t_s;
    const auto number = static_cast<std::int32_t>(gathered.times_s.size());
    gathered.times_s.push_back(t_s);
    gathered.tick = frame->stamp.base;
    const CameraPose pose = camera.follow(*frame, seen_now(gathered.discs));
    recent.push_back({*frame, pose, number, repeats.same_as_last(picture)});
    if (recent.size() > static_cast<std::size_t>(kRestStride)) recent.pop_front();
    for (DiscFollower& d : gathered.discs) follow_recent(d, recent);
    if (number % 8 == 0) drop_twins(gathered.discs);
    if (t_s >= next_look_s) {
      welcome(gathered, finder.look(picture, seen_now(gathered.discs)), picture, pose, t_s, number);
      next_look_s = t_s + (look_eagerly(gathered.discs, t_s) ? kLookEagerlyS : kLookCalmlyS);
    }
    if (!seeded && t_s >= options.seed->t_s) {
      seeded = true;
      seed_disc(gathered, *options.seed, picture, pose, t_s, number);
    }
    if (next_uprights < kLookForUprightsAtS.size() && t_s >= kLookForUprightsAtS[next_uprights]) {
      gathered.uprights.look(picture);
      ++next_uprights;
    }
    if (progress && number % 16 == 0) progress(clip.fraction_read());
  }
  gathered.unchanged_share = repeats.share();
  gathered.camera_seen = camera.patches_agreeing() >= 3;
  return gathered;
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
  const Gathered gathered = follow_everything_round(clip, options, progress);

  std::vector<DiscMerit> merits;
  for (const DiscFollower& d : gathered.discs) {
    merits.push_back(merit_of(d, gathered.times_s, 0.5 * options.disc_diameter_m));
  }
  const std::size_t chosen = pick_disc(gathered, merits, clip.info(), options.seed);
  const std::vector<Glimpse> glimpses = join_glimpses(gathered.discs, merits, chosen);
  const double rim_factor = outer_rim_factor(gathered.discs[chosen]);

  ViewResult view =
      path_in_gym(glimpses, gathered.times_s, clip.info(), gathered.uprights, rim_factor, options);
  TrackedBar result{.disc = track_from(glimpses, gathered, rim_factor),
                    .path = std::move(view.path),
                    .notes = std::move(view.notes)};
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
