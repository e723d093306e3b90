#include "libkinetics/tracking/gather_discs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/read_ahead.h"
#include "libkinetics/tracking/camera_motion.h"
#include "libkinetics/tracking/colourfulness.h"
#include "libkinetics/tracking/disc_finder.h"

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
/// Looks that find nothing new while nothing moves are put off by this factor each, up to a
/// longest.
constexpr double kLookPutOff = 1.3;
constexpr double kLookLatestS = 1.2;
/// The same where what lies still is known: what was missed may be a bar that was hidden, no more.
constexpr double kLookBesideKnownS = 2.4;
constexpr double kLookBesideWorkS = 8.0;
/// How long a disc that has gone from sight is looked for eagerly, s.
constexpr double kSoughtForS = 20.0;
/// A disc that has travelled this far has shown that it is worked, in radii.
constexpr double kWorkedRadii = 1.0;
/// Farther than this in its own radii no bar is lifted: a head, a hand, a hub.
constexpr double kLongestLiftRadii = 6.0;
/// Nobody has moved a disc that has travelled less; a bar that has travelled more was taken up.
constexpr double kUnmovedRadii = 0.1;
constexpr double kTakenUpRadii = 0.25;
/// Beside a bar that is worked such a disc is looked at in every so many frames only.
constexpr std::int32_t kGlanceStride = 30;
constexpr double kRimOfEstablished = 0.65;
constexpr std::size_t kGlimpsesOfEstablished = 60;
/// Smaller than this share of the bar's disc, a round thing is clutter.
constexpr double kClutterShare = 0.6;
/// A picture that changed by less than this share of what pictures did just before is one of them
/// once more, coded anew.
constexpr double kCopyShare = 0.15;
/// More in a row are a scene that has come to rest.
constexpr int kMostCopies = 3;
/// Moments at which upright edges are looked for, s.
constexpr std::array<double, 2> kLookForUprightsAtS{0.0, 4.0};

/// Whether this is a disc that is followed already, or a part of one. A wider rim around a followed
/// hub is something new.
bool overlaps(const DiscFollower& disc, const RimFit& found) {
  const double followed = disc.ellipse().mean_radius_px();
  const double radius = found.ellipse.mean_radius_px();
  return radius < 1.15 * followed &&
         (disc.ellipse().centre - found.ellipse.centre).norm() < 0.5 * std::max(followed, radius);
}

/// The disc that has shown itself to be the bar's: worked over a lift's length, its rim well seen.
const DiscFollower* established(const std::vector<DiscFollower>& discs) {
  const DiscFollower* best = nullptr;
  for (const DiscFollower& d : discs) {
    const bool lifted = d.travel_radii() > kWorkedRadii && d.travel_radii() < kLongestLiftRadii;
    if (!lifted || d.usual_rim() < kRimOfEstablished ||
        d.glimpses().size() < kGlimpsesOfEstablished) {
      continue;
    }
    if (!best || d.ellipse().mean_radius_px() > best->ellipse().mean_radius_px()) best = &d;
  }
  return best;
}

/// Size below which nothing is of interest, px.
double radius_of_clutter_px(const DiscFollower* bar) {
  return bar ? kClutterShare * bar->ellipse().mean_radius_px() : 0.0;
}

/// A lost disc that may be this one: same size, about the same column.
DiscFollower* lost_like(std::vector<DiscFollower>& discs, const RimFit& found, double t_s) {
  DiscFollower* best = nullptr;
  for (DiscFollower& d : discs) {
    const double radius = d.ellipse().mean_radius_px();
    const bool same_size = std::abs(std::log(found.ellipse.mean_radius_px() / radius)) < 0.08;
    const Eigen::Vector2d apart = found.ellipse.centre - d.ellipse().centre;
    const bool hub_in_view = d.hub() && d.hub()->seen();
    if (d.hidden_s(t_s) < 0.05 || hub_in_view || !same_size || std::abs(apart.x()) > 1.5 * radius ||
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

/// Returns whether something new was among them.
bool welcome(Gathered& gathered,
             const std::vector<RimFit>& found,
             const CameraPose& pose,
             double t_s,
             std::int32_t frame,
             double least_px) {
  bool any_new = false;
  for (const RimFit& fit : found) {
    if (fit.ellipse.mean_radius_px() < least_px) continue;
    const bool known =
        std::any_of(gathered.discs.begin(), gathered.discs.end(), [&](const DiscFollower& d) {
          return d.hidden_s(t_s) < 0.05 && overlaps(d, fit);
        });
    if (known) continue;
    any_new = true;
    if (DiscFollower* lost = lost_like(gathered.discs, fit, t_s)) {
      lost->adopt(fit, pose, t_s, frame);
    } else if (make_room(gathered.discs, fit, t_s)) {
      gathered.discs.emplace_back(fit, pose, t_s, frame);
    }
  }
  return any_new;
}

/// Lets go of what is too small to be the disc, once that is known. What sits in its middle stays
/// as long as the disc has no hub of its own to be followed by.
void drop_clutter(std::vector<DiscFollower>& discs) {
  const DiscFollower* bar = established(discs);
  if (!bar) return;
  const double least = radius_of_clutter_px(bar);
  const Eigen::Vector2d at = bar->ellipse().centre;
  const double middle = bar->hub() ? 0.0 : 0.3 * bar->ellipse().mean_radius_px();
  std::erase_if(discs, [&](const DiscFollower& d) {
    return d.ellipse().mean_radius_px() < least && (d.ellipse().centre - at).norm() > middle;
  });
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

bool any_moving(const std::vector<DiscFollower>& discs) {
  return std::any_of(
      discs.begin(), discs.end(), [](const DiscFollower& d) { return !d.seen() || !d.at_rest(); });
}

bool look_eagerly(const std::vector<DiscFollower>& discs, double t_s) {
  bool worked = false;
  for (const DiscFollower& d : discs) {
    worked = worked || d.travel_radii() > kWorkedRadii;
    // One that was worked has gone from sight: it may come back anywhere.
    const bool gone = !d.seen() && d.hidden_s(t_s) < kSoughtForS &&
                      d.ellipse().mean_radius_px() >= radius_of_clutter_px(established(discs));
    if (gone && d.travel_radii() > 0.5 * kWorkedRadii) return true;
  }
  return !worked;
}

/// Brings one disc up to the newest frame.
void follow_recent(DiscFollower& disc, const std::deque<RecentFrame>& recent) {
  const RecentFrame& now = recent.back();
  if (disc.at_rest()) {
    if (now.number - disc.last_frame() < kRestStride) return;
    if (disc.rested(now.frame.luma, now.pose, now.frame.t_s, now.number)) return;
  }
  for (const RecentFrame& r : recent) {
    if (r.number > disc.last_frame()) {
      disc.follow(r.frame.luma, r.pose, r.frame.t_s, r.number, r.copy);
    }
  }
}

/// Whether a disc is in view that lay still and was taken up: the bar's, most likely. It is well
/// seen and no smaller than others.
bool bar_is_worked(const std::vector<DiscFollower>& discs) {
  double largest_px = 0.0;
  double worked_px = 0.0;
  for (const DiscFollower& d : discs) {
    if (!d.seen() || d.glimpses().size() < kGlimpsesOfEstablished) continue;
    const double radius_px = d.ellipse().mean_radius_px();
    largest_px = std::max(largest_px, radius_px);
    const bool taken_up = d.travel_radii() > kTakenUpRadii && d.travel_radii() < kLongestLiftRadii;
    if (taken_up && d.usual_rim() > kRimOfEstablished) worked_px = std::max(worked_px, radius_px);
  }
  return worked_px > 0.0 && worked_px > kClutterShare * largest_px;
}

/// Looks now and then whether a disc that nobody has moved still lies where it lay.
void glance_at(DiscFollower& disc, const RecentFrame& now) {
  if (now.number - disc.last_frame() < kGlanceStride) return;
  if (disc.at_rest() && disc.rested(now.frame.luma, now.pose, now.frame.t_s, now.number)) return;
  disc.follow(now.frame.luma, now.pose, now.frame.t_s, now.number, now.copy);
}

/// The part of the picture that a census of the disc's rims reads, and some more.
cv::Rect census_area(const Ellipse& disc, const LumaView& picture) {
  const double radius = disc.shape.cwiseAbs().rowwise().sum().maxCoeff();
  const int reach = static_cast<int>(1.75 * radius) + 12;
  const cv::Point centre(static_cast<int>(disc.centre.x()), static_cast<int>(disc.centre.y()));
  return cv::Rect(centre.x - reach, centre.y - reach, 2 * reach, 2 * reach) &
         cv::Rect(0, 0, picture.width, picture.height);
}

std::vector<Ellipse> seen_now(const std::vector<DiscFollower>& discs) {
  std::vector<Ellipse> ellipses;
  for (const DiscFollower& d : discs) {
    if (d.seen()) ellipses.push_back(d.ellipse());
  }
  return ellipses;
}

}  // namespace

Copy RepeatedPixels::same_as_last(const LumaView& picture) {
  sample_.clear();
  for (int y = 3; y < picture.height; y += 29) {
    for (int x = 5; x < picture.width; x += 13) sample_.push_back(picture.at(x, y));
  }
  std::size_t same = 0;
  double change = 0.0;
  if (sample_.size() == last_.size()) {
    for (std::size_t k = 0; k < sample_.size(); ++k) {
      same += sample_[k] == last_[k] ? 1 : 0;
      change += std::abs(static_cast<int>(sample_[k]) - static_cast<int>(last_[k]));
    }
  }
  const double count = static_cast<double>(sample_.size());
  const bool comparable = sample_.size() == last_.size();
  last_.swap(sample_);
  if (!comparable) return Copy::kNo;
  // Where nothing moves any two pictures are nearly alike: only beside pictures that did change is
  // one that hardly does a copy. The largest change of late may be a key picture's.
  std::array<double, kChanges> largest = changes_;
  std::nth_element(largest.begin(), largest.begin() + 1, largest.end(), std::greater<>());
  const bool copied = change < kCopyShare * largest[1] && copies_ < kMostCopies;
  copies_ = copied ? copies_ + 1 : 0;
  std::rotate(changes_.begin(), changes_.begin() + 1, changes_.end());
  changes_.back() = change;
  if (same == last_.size()) return Copy::kExact;
  shares_ += static_cast<double>(same) / count;
  ++pictures_;
  return copied ? Copy::kPerhaps : Copy::kNo;
}

DiscGatherer::DiscGatherer(const TrackingOptions& options, std::optional<SeenBefore> before)
    : seed_(options.seed),
      before_(std::move(before)),
      finder_(before_ && before_->finder ? before_->finder : std::make_shared<DiscFinder>()),
      eager_s_(kLookEagerlyS) {
  finder_->begin_anew();
}

void DiscGatherer::take(const Frame& frame, const Frame& searched) {
  const LumaView& picture = searched.luma;
  const double t_s = frame.t_s;
  const auto number = static_cast<std::int32_t>(gathered_.times_s.size());
  gathered_.times_s.push_back(t_s);
  gathered_.tick = frame.stamp.base;
  pose_ = camera_.follow(frame, seen_now(gathered_.discs));
  recent_.push_back({searched, pose_, number, repeats_.same_as_last(picture)});
  if (recent_.size() > static_cast<std::size_t>(kRestStride)) recent_.pop_front();
  follow_all();
  look_at_colours(frame);
  if (number % 8 == 0) {
    drop_twins(gathered_.discs);
    drop_clutter(gathered_.discs);
  }
  welcome_known(t_s, number);
  if (number == 0 || t_s >= next_look_s_) look(picture, t_s, number);
  if (seed_ && t_s >= seed_->t_s) {
    seed_disc(gathered_, *seed_, picture, pose_, t_s, number);
    seed_.reset();
  }
  look_for_uprights(frame.luma, t_s);
}

/// The finder has judged what was seen before and does not look there again.
void DiscGatherer::welcome_known(double t_s, std::int32_t number) {
  if (!before_) return;
  std::vector<RimFit> here;
  for (const LyingDisc& d : before_->resting) {
    if (d.since_s > t_s) continue;
    here.push_back(d.fit);
    here.back().ellipse.centre = pose_.now(d.fit.ellipse.centre);
  }
  std::erase_if(before_->resting, [&](const LyingDisc& d) { return d.since_s <= t_s; });
  welcome(gathered_, here, pose_, t_s, number, least_radius_px());
}

void DiscGatherer::look_for_uprights(const LumaView& picture, double t_s) {
  // They are wanted of a bar that is worked only: beside one that is not it is not worth the time.
  if (!uprights_from_s_ && (!before_ || bar_is_worked(gathered_.discs))) uprights_from_s_ = t_s;
  const std::size_t enough = before_ ? 1 : kLookForUprightsAtS.size();
  if (!uprights_from_s_ || next_uprights_ == enough) return;
  if (t_s < *uprights_from_s_ + kLookForUprightsAtS[next_uprights_]) return;
  gathered_.uprights.look(picture);
  ++next_uprights_;
}

/// Whether the bar's disc has a rim that shows by its colour only.
void DiscGatherer::look_at_colours(const Frame& frame) {
  if (!coloured_) return;
  for (DiscFollower& d : gathered_.discs) {
    if (d.travel_radii() < kWorkedRadii || !d.wants_colours()) continue;
    const auto colours = colourfulness_of(frame, *coloured_, census_area(d.ellipse(), frame.luma));
    if (!colours) {
      coloured_.reset();
      return;
    }
    d.take_colours(colours->luma);
  }
}

void DiscGatherer::follow_all() {
  const bool worked = before_ && bar_is_worked(gathered_.discs);
  for (DiscFollower& d : gathered_.discs) {
    if (worked && d.travel_radii() < kUnmovedRadii) {
      glance_at(d, recent_.back());
    } else {
      follow_recent(d, recent_);
    }
  }
}

double DiscGatherer::least_radius_px() const {
  const double clutter_px = radius_of_clutter_px(established(gathered_.discs));
  return before_ ? std::max(before_->least_radius_px, clutter_px) : clutter_px;
}

void DiscGatherer::look(const LumaView& picture, double t_s, std::int32_t number) {
  const double least_px = least_radius_px();
  const std::vector<RimFit> found = finder_->look(picture, seen_now(gathered_.discs), least_px);
  const bool any_new = welcome(gathered_, found, pose_, t_s, number, least_px);
  eager_s_ = any_new || any_moving(gathered_.discs)
                 ? kLookEagerlyS
                 : std::min(kLookLatestS, kLookPutOff * eager_s_);
  if (before_) {
    next_look_s_ = t_s + (bar_is_worked(gathered_.discs) ? kLookBesideWorkS : kLookBesideKnownS);
  } else {
    next_look_s_ = t_s + (look_eagerly(gathered_.discs, t_s) ? eager_s_ : kLookCalmlyS);
  }
}

const Gathered& DiscGatherer::finish() {
  gathered_.unchanged_share = repeats_.share();
  gathered_.camera_seen = camera_.seen();
  return gathered_;
}

Gathered gather_discs(ClipReader& clip, const TrackingOptions& options, const Progress& progress) {
  DiscGatherer gatherer(options);
  gatherer.with_colours_of(clip.info());
  ReadAhead ahead(clip, pictures_ahead(clip.info()));
  for (std::int64_t number = 0; auto frame = ahead.next(); ++number) {
    gatherer.take(*frame);
    if (progress && number % 16 == 0) progress(ahead.fraction_read());
  }
  return std::move(gatherer).take_all();
}

}  // namespace kinetics
