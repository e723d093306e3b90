#include "libkinetics/tracking/idle_watch.h"

#include <algorithm>
#include <cstdlib>
#include <optional>
#include <utility>

namespace kinetics {
namespace {

/// Time between looks over the whole picture, s.
constexpr double kLookEveryS = 3.0;
/// A disc may be gone from sight for so long, s: people walk past. A rep's way takes longer than
/// half of it.
constexpr double kGoneS = 1.5;
/// So long, s, another disc may take to come and lie still where one has left.
constexpr double kReplacedS = 6.0;
/// And so far from there it may lie, in its radii: lifters rack the bar at different heights. A bar
/// that rests on a chest or a box is farther down than that.
constexpr double kInPlaceRadii = 1.3;
/// What happened before a disc that had only just come moved on is looked at for so long, s.
constexpr double kBeforeNewS = 1.0;
/// A disc elsewhere is the same one, moved, when its size differs by less than this (log: its lip
/// may have been taken), and it is no farther aside than this: bars are lifted upwards.
constexpr double kAlike = 0.25;
constexpr double kSameColumnRadii = 2.0;
/// Nearer to its place than this a disc has not moved: in px, and as a share of its radius.
constexpr double kAtPlacePx = 1.0;
constexpr double kAtPlaceShare = 0.02;
/// And not at all: a bar that is held is never so still.
constexpr double kStillPx = 0.5;
constexpr double kStillShare = 0.007;
constexpr int kLooksToSettle = 2;
constexpr double kShapeSigma = 0.003;
constexpr double kLeastRim = 0.30;
/// Smaller than this share of the largest disc that has been seen twice, it is clutter: a head.
constexpr double kClutterShare = 0.45;
constexpr int kSampleStep = 8;
constexpr int kChangedGrey = 16;
constexpr int kFewestChanged = 10;
constexpr std::size_t kMostDiscs = 12;
constexpr std::size_t kMostMoments = 24;

bool settled(const RestingDisc& disc) {
  return disc.stillness >= kLooksToSettle;
}

/// Whether one that was seen later is the other at another height.
bool may_be_moved(const RestingDisc& left, const RestingDisc& later) {
  const double radius_px = left.fit.ellipse.mean_radius_px();
  const bool alike = std::abs(std::log(later.fit.ellipse.mean_radius_px() / radius_px)) < kAlike;
  return &left != &later && later.seen_at_s > left.seen_at_s && alike &&
         std::abs(later.place.x() - left.place.x()) < kSameColumnRadii * radius_px;
}

}  // namespace

double RestingDisc::left_at_s() const {
  return settled(*this) ? seen_at_s : seen_at_s - kBeforeNewS;
}

bool IdleWatch::take(const Frame& frame) {
  const CameraPose before = moments_.empty() ? CameraPose{} : moments_.back().pose;
  const CameraPose pose = camera_.follow(frame, known(before));
  moments_.push_back({frame.t_s, pose});
  if (moments_.size() > kMostMoments) moments_.pop_front();

  const double least_px = least_radius_px();
  std::optional<double> alarm_from_s;
  for (RestingDisc& disc : discs_) {
    const RestingDisc before_it = disc;
    disc.away = gone(disc, frame, pose);
    disc.away_s = disc.away ? frame.t_s - disc.seen_at_s : 0.0;
    // It was somewhere, and nobody saw where.
    const bool back = !disc.away && settled(before_it) && before_it.away_s >= kGoneS;
    if (back && disc.fit.ellipse.mean_radius_px() >= least_px) {
      alarm_from_s = std::min(alarm_from_s.value_or(before_it.seen_at_s), before_it.seen_at_s);
    }
  }
  forget_replaced();
  forget_passed(frame.t_s);
  if (!alarm_from_s) alarm_from_s = taken_up_from_s(frame.t_s);
  if (alarm_from_s) {
    alarm_from_s_ = *alarm_from_s;
    return true;
  }
  if (frame.t_s >= next_look_s_) {
    if (has_changed(frame.luma))
      take_up(finder_->look(frame.luma, known(pose), least_px), frame.t_s, pose);
    next_look_s_ = frame.t_s + kLookEveryS;
  } else {
    look_for_away(frame, pose);
  }
  return false;
}

void IdleWatch::forget_discs() {
  discs_.clear();
  finder_->begin_anew();
  next_look_s_ = -1.0;
}

/// Looks where those that are away may have gone.
void IdleWatch::look_for_away(const Frame& frame, const CameraPose& pose) {
  const double least_px = least_radius_px();
  std::vector<Ellipse> sought;
  for (const RestingDisc& left : discs_) {
    const bool followed = std::any_of(discs_.begin(), discs_.end(), [&](const RestingDisc& d) {
      return !d.away && d.others_away_from_s && may_be_moved(left, d);
    });
    if (!left.away || followed || left.fit.ellipse.mean_radius_px() < least_px) continue;
    sought.push_back({pose.now(left.place), left.fit.ellipse.shape});
  }
  for (const Ellipse& like : sought) {
    take_up(DiscFinder::look_in_column(frame.luma, like, known(pose)), frame.t_s, pose);
  }
}

/// When a disc left its place that is now seen to move on, or to be gone for good.
std::optional<double> IdleWatch::taken_up_from_s(double now_s) const {
  const double least_px = least_radius_px();
  std::optional<double> from_s;
  for (const RestingDisc& left : discs_) {
    if (!left.away || left.fit.ellipse.mean_radius_px() < least_px) continue;
    const bool on_its_way = std::any_of(discs_.begin(), discs_.end(), [&](const RestingDisc& d) {
      return d.away && d.others_away_from_s && may_be_moved(left, d);
    });
    const double away_s = now_s - left.left_at_s();
    if (away_s < (on_its_way ? kGoneS : kReplacedS)) continue;
    if (on_its_way || settled(left)) {
      from_s = std::min(from_s.value_or(left.left_at_s()), left.left_at_s());
    }
  }
  return from_s;
}

/// What was seen once and never lay still was somebody's head.
void IdleWatch::forget_passed(double now_s) {
  std::erase_if(discs_, [&](const RestingDisc& d) {
    return d.away && !settled(d) && now_s - d.seen_at_s > kReplacedS;
  });
}

/// Where a disc was, another lies still that came meanwhile: discs were changed. Should it be a bar
/// that is held so still, it will leave its new place as well.
void IdleWatch::forget_replaced() {
  std::vector<Ellipse> came;
  for (RestingDisc& disc : discs_) {
    if (!disc.others_away_from_s || disc.away || !settled(disc)) continue;
    disc.others_away_from_s.reset();
    came.push_back({disc.place, disc.fit.ellipse.shape});
  }
  std::erase_if(discs_, [&](const RestingDisc& d) {
    return d.away && std::any_of(came.begin(), came.end(), [&](const Ellipse& e) {
             return (d.place - e.centre).norm() < kInPlaceRadii * e.mean_radius_px();
           });
  });
}

bool IdleWatch::gone(RestingDisc& disc, const Frame& frame, const CameraPose& pose) {
  Ellipse expected = disc.fit.ellipse;
  expected.centre = pose.now(disc.place);
  const double radius_px = expected.mean_radius_px();
  const auto fit = measure_rim(frame.luma,
                               expected,
                               {.search_px = 3.0 + kAtPlaceShare * radius_px,
                                .shape_sigma_rel = kShapeSigma,
                                .depth = disc.fit.depth,
                                .min_rim_seen = kLeastRim});
  if (!fit) return true;
  const double moved_px = (pose.first(fit->ellipse.centre) - disc.place).norm();
  if (moved_px > std::max(kAtPlacePx, kAtPlaceShare * radius_px)) return true;
  disc.seen_at_s = frame.t_s;
  const bool still = moved_px <= std::max(kStillPx, kStillShare * radius_px);
  if (!settled(disc)) disc.stillness = still ? disc.stillness + 1 : 0;
  return false;
}

/// Whether more is new since the last look than noise explains: judged on one pixel in so many, it
/// must be as much as the smallest disc covers.
bool IdleWatch::has_changed(const LumaView& picture) {
  std::vector<std::uint8_t> sample;
  for (int y = kSampleStep / 2; y < picture.height; y += kSampleStep) {
    for (int x = kSampleStep / 2; x < picture.width; x += kSampleStep) {
      sample.push_back(picture.at(x, y));
    }
  }
  int changed = 0;
  for (std::size_t k = 0; k < sample.size() && k < sample_.size(); ++k) {
    changed += std::abs(sample[k] - sample_[k]) > kChangedGrey ? 1 : 0;
  }
  const bool has = sample_.size() != sample.size() || changed >= kFewestChanged;
  if (has) sample_ = std::move(sample);
  return has;
}

void IdleWatch::take_up(const std::vector<RimFit>& found, double now_s, const CameraPose& pose) {
  const double least_px = least_radius_px();
  std::optional<double> away_from_s;
  for (const RestingDisc& d : discs_) {
    if (!d.away || d.fit.ellipse.mean_radius_px() < least_px) continue;
    away_from_s = std::min(away_from_s.value_or(d.left_at_s()), d.left_at_s());
  }
  std::erase_if(discs_, [&](const RestingDisc& d) {
    return !settled(d) && d.fit.ellipse.mean_radius_px() < least_px;
  });
  for (const RimFit& fit : found) {
    if (fit.ellipse.mean_radius_px() < least_px || discs_.size() >= kMostDiscs) continue;
    discs_.push_back({.fit = fit,
                      .place = pose.first(fit.ellipse.centre),
                      .found_at_s = now_s,
                      .seen_at_s = now_s,
                      .others_away_from_s = away_from_s});
  }
}

double IdleWatch::least_radius_px() const {
  double largest = least_px_ / kClutterShare;
  for (const RestingDisc& d : discs_) {
    if (d.stillness > 0) largest = std::max(largest, d.fit.ellipse.mean_radius_px());
  }
  return kClutterShare * largest;
}

std::vector<Ellipse> IdleWatch::known(const CameraPose& pose) const {
  std::vector<Ellipse> out;
  for (const RestingDisc& d : discs_) {
    out.push_back(d.fit.ellipse);
    out.back().centre = pose.now(d.place);
  }
  return out;
}

CameraPose IdleWatch::pose_at(double t_s) const {
  CameraPose pose = moments_.empty() ? CameraPose{} : moments_.front().pose;
  for (const Moment& m : moments_) {
    if (m.t_s <= t_s) pose = m.pose;
  }
  return pose;
}

std::vector<LyingDisc> IdleWatch::resting(const CameraPose& pose) const {
  std::vector<LyingDisc> out;
  for (const RestingDisc& d : discs_) {
    if (!settled(d)) continue;
    out.push_back({d.fit, d.found_at_s});
    out.back().fit.ellipse.centre = pose.now(d.place);
  }
  return out;
}

}  // namespace kinetics
