#include "libkinetics/tracking/disc_follower.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/tracking/circle_finder.h"
#include "libkinetics/tracking/disc_finder.h"
#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

using Eigen::Vector2d;

/// Sudden change of speed a bar may show between frames (box, floor, hooks), m/s².
constexpr double kJolt = 12.0;
/// No bar leaves its predicted course faster than this, m/s.
constexpr double kFastestMps = 2.0;
/// Fraction of the frame interval the shutter is taken to be open, for the expected blur.
constexpr double kShutterShare = 0.4;
/// Systematic error of one centre that no covariance sees, px (pixel grid, compression).
constexpr double kCentreFloorPx = 0.03;
/// And more where part of the rim is missing: what covers it, or looks like it, has edges of its
/// own that pull the fit. Judged on rendered clips of all kinds.
constexpr double kCoveredPx = 0.6;
constexpr double kWholeRim = 0.95;
/// Of a disc that moves by less than this from picture to picture a copy tells the truth, px.
constexpr double kCopyTellsPx = 0.5;
/// A picture may be a copy when the disc stands where it stood but for this share of the way it was
/// expected to go. Where some were, at a smaller pace too, px.
constexpr double kCopiedShare = 0.15;
constexpr double kFastEnoughPx = 1.0;
constexpr double kFastWhereCopiesPx = 0.25;
constexpr int kCopiesKnown = 4;
/// Hidden longer than this, the prediction says nothing of the place any more, s.
constexpr double kLostAfterS = 1.5;
/// Found again farther than this from where it was expected, it is on another course.
constexpr double kOffCourseRadii = 0.05;

/// How much the shape may change from frame to frame, and when it has got away, as fractions.
constexpr double kShapeSigma = 0.003;
constexpr double kRimForNewShape = 0.7;
constexpr double kShapeSigmaLoose = 0.04;
/// A disc within this of where it was found has not been worked yet.
constexpr double kAtRestRadii = 0.10;
/// Between two looks this near each other it is taken to have been still, px.
constexpr double kStillPx = 0.10;
constexpr int kFramesBetweenViews = 12;
constexpr double kNewPlaceRadii = 0.5;
constexpr double kGoodAgreement = 0.78;
constexpr int kViewsWhenGood = 4;
constexpr int kMostViews = 25;
constexpr int kViewsInOnePlace = 6;
constexpr double kRimForNewView = 0.5;
constexpr double kRimWhenHeldWrongly = 0.65;
/// From repetition to repetition a bar passes the same places.
constexpr int kMostCensuses = 80;
constexpr int kMostColourCensuses = 16;
constexpr double kRimForWider = 0.6;
/// Another view must explain the rim so much better than the present one usually does: in one
/// picture, with half the rim before a leg, a wrong view can look as good.
constexpr double kBetterBy = 0.06;
/// Views of one rim differ in size by less than this.
constexpr double kInside = 0.93;
/// With so much less of the rim than usual something is amiss, and another place must agree with it
/// so much better to be taken instead.
constexpr double kRimMissing = 0.15;
constexpr double kBetterPlace = 0.10;
/// More than this, and it is another ring of the same disc.
constexpr double kOtherRing = 1.06;
constexpr double kRimWhenSure = 0.30;
constexpr double kRimWhenWide = 0.42;

/// A disc is searched for its hub again after so many frames; each time in vain the next is put off
/// by this factor.
constexpr std::int32_t kFramesBetweenHubs = 6;
constexpr double kHubPutOff = 1.6;
/// While the hub is in view, the rim is looked for no farther from where it must be than this, as a
/// share of the radius.
constexpr double kReachBesideHub = 0.06;
/// Where the rim must be by its hub, 1 sigma, as a share of the radius: its place on the face.
constexpr double kHubSigma = 0.01;
constexpr double kOffsetRate = 0.05;
/// Of a ring, this share of what usually shows must show.
constexpr double kRingSeen = 0.62;

}  // namespace

DiscFollower::DiscFollower(
    const RimFit& first, const CameraPose& pose, double t_s, std::int32_t frame, Kind kind)
    : kind_(kind), census_(kMostCensuses), colour_census_(kMostColourCensuses) {
  adopt(first, pose, t_s, frame);
  top_px_ = bottom_px_ = still_centre().y();
}

void DiscFollower::adopt(const RimFit& found,
                         const CameraPose& pose,
                         double t_s,
                         std::int32_t frame) {
  last_t_s_ = t_s;
  last_frame_ = frame;
  usual_rim_ = found.rim_seen;
  usual_agreement_ = found.agreement;
  ellipse_ = found.ellipse;
  depth_ = found.depth;
  view_sigma_rel_ = found.view_sigma_rel;
  sleeve_seen_ = found.sleeve_seen;
  const Vector2d still = pose.first(found.ellipse.centre);
  course_.start({t_s, still.x(), still.y()}, px_per_m());
  if (!glimpses_.empty() && glimpses_.back().frame == frame) glimpses_.pop_back();
  take(found, pose, frame);
}

void DiscFollower::take(const RimFit& fit, const CameraPose& pose, std::int32_t frame) {
  // The shape changes by some percent a second while the lifter walks; with most of the rim in view
  // one frame fixes it. With half of it covered the old shape is the better guess.
  const double trust = glimpses_.empty() ? 1.0 : std::clamp((fit.rim_seen - 0.6) / 0.3, 0.02, 0.8);
  ellipse_.centre = fit.ellipse.centre;
  ellipse_.shape += trust * (fit.ellipse.shape - ellipse_.shape);
  if (fit.rim_seen > 0.6) depth_ = fit.depth;
  hidden_since_s_ = -1.0;
  usual_rim_ += 0.1 * (fit.rim_seen - usual_rim_);
  usual_agreement_ += 0.05 * (fit.agreement - usual_agreement_);
  const Vector2d still = pose.first(fit.ellipse.centre);
  const double floor_px =
      kCentreFloorPx + kCoveredPx * std::max(0.0, kWholeRim - std::min(fit.rim_seen, 1.0));
  const double sx = std::hypot(std::sqrt(fit.centre_cov_px2(0, 0)), floor_px);
  const double sy = std::hypot(std::sqrt(fit.centre_cov_px2(1, 1)), floor_px);
  course_.take_up({last_t_s_, still.x(), still.y(), sx, sy}, px_per_m());
  top_px_ = std::min(top_px_, still.y());
  bottom_px_ = std::max(bottom_px_, still.y());
  Glimpse g;
  g.frame = frame;
  g.seen = true;
  g.x_px = static_cast<float>(fit.ellipse.centre.x());
  g.y_px = static_cast<float>(fit.ellipse.centre.y());
  g.xx = static_cast<float>(fit.ellipse.shape(0, 0));
  g.xy = static_cast<float>(fit.ellipse.shape(0, 1));
  g.yy = static_cast<float>(fit.ellipse.shape(1, 1));
  g.sigma_x_px = static_cast<float>(sx);
  g.sigma_y_px = static_cast<float>(sy);
  g.lasting_px = static_cast<float>(floor_px);
  g.held_sigma_x_px = static_cast<float>(std::sqrt(fit.held_cov_px2(0, 0)));
  g.held_sigma_y_px = static_cast<float>(std::sqrt(fit.held_cov_px2(1, 1)));
  for (int k = 0; k < 6; ++k) {
    g.centre_by_shape[static_cast<std::size_t>(k)] =
        static_cast<float>(fit.centre_by_shape(k / 3, k % 3));
  }
  g.shape_sigma_px = static_cast<float>(fit.shape_sigma_px);
  g.rim_seen = static_cast<float>(fit.rim_seen);
  g.still_x_px = static_cast<float>(still.x());
  g.still_y_px = static_cast<float>(still.y());
  glimpses_.push_back(g);
}

bool DiscFollower::is_copy(const RimFit& fit, const CameraPose& pose, double expected_px) {
  const Glimpse& last = glimpses_.back();
  const double fast_px = copies_ < kCopiesKnown ? kFastEnoughPx : kFastWhereCopiesPx;
  const Vector2d moved =
      pose.first(fit.ellipse.centre) - Vector2d(last.still_x_px, last.still_y_px);
  const bool copied =
      last.seen && expected_px > fast_px && moved.norm() < kCopiedShare * expected_px;
  if (copied) ++copies_;
  return copied;
}

void DiscFollower::coast(const CameraPose& pose, double t_s, std::int32_t frame) {
  if (seen()) hidden_since_s_ = t_s;
  ellipse_.centre = pose.now(still_centre());
  Glimpse g;
  g.frame = frame;
  g.x_px = static_cast<float>(ellipse_.centre.x());
  g.y_px = static_cast<float>(ellipse_.centre.y());
  g.xx = static_cast<float>(ellipse_.shape(0, 0));
  g.xy = static_cast<float>(ellipse_.shape(0, 1));
  g.yy = static_cast<float>(ellipse_.shape(1, 1));
  g.still_x_px = static_cast<float>(still_centre().x());
  g.still_y_px = static_cast<float>(still_centre().y());
  if (hidden_s(t_s) < kLostAfterS) glimpses_.push_back(g);
}

/// Looks for the rim where it is expected; not there, on the circle of the known size that shows
/// best around.
std::optional<RimFit> DiscFollower::search(const LumaView& picture, double dt_s, double t_s) const {
  std::optional<RimFit> best = search_near(picture, ellipse_, dt_s, t_s);
  const double least = usual_rim_ - kRimMissing;
  if (course_.slip_s() > 0.0 && !hub_seen()) {
    // The picture may be of a moment before or after its time.
    const Vector2d slip_px = course_.slip_s() * course_.velocity_px_per_s();
    for (const double slips : {-1.0, 1.0, -2.0, 2.0}) {
      if (best && best->rim_seen > least) return best;
      Ellipse expected = ellipse_;
      expected.centre += slips * slip_px;
      const auto other = search_near(picture, expected, dt_s, t_s);
      if (other && (!best || other->agreement > best->agreement + kBetterPlace)) best = other;
    }
  }
  const bool search_far = hidden_s(t_s) > 0.1 && hidden_s(t_s) < kLostAfterS && !hub_seen();
  return !best && search_far ? search_around(picture, t_s) : best;
}

std::optional<RimFit> DiscFollower::search_near(const LumaView& picture,
                                                const Ellipse& expected,
                                                double dt_s,
                                                double t_s) const {
  const double radius = ellipse_.mean_radius_px();
  const double farthest = (hub_seen() ? kReachBesideHub : 0.45) * radius;
  const double near =
      std::min(farthest, 2.0 + 0.02 * radius + 0.5 * kJolt * dt_s * dt_s * px_per_m());
  const double slip_px = course_.slip_s() * speed_px_per_s();
  const double spread = 3.0 * std::hypot(course_.sigma_px(), slip_px);
  RimOptions options{.search_px = near,
                     .shape_sigma_rel = kShapeSigma,
                     .blur_px = kShutterShare * dt_s * course_.velocity_px_per_s(),
                     .depth = depth_,
                     .min_rim_seen = seen() ? kRimWhenSure : kRimWhenWide};
  // From near to far: among a groove, a lip and a leg some shift always looks like half a rim.
  std::optional<RimFit> best = measure_rim(picture, expected, options);
  if (best && best->rim_seen > usual_rim_ - kRimMissing) return best;
  options.min_rim_seen = kRimWhenWide;
  for (const double reach : {near + spread, 3.0 * (near + spread) + 4.0}) {
    options.search_px = std::min(farthest, reach);
    if (best && reach > near + spread) break;
    if (reach < near + 1.0) continue;
    const auto wider = measure_rim(picture, expected, options);
    if (wider && (!best || wider->agreement > best->agreement + kBetterPlace)) best = wider;
  }
  if (best && best->rim_seen < usual_rim_ - kRimMissing) {
    // Something covers it, or the shape has changed faster than expected.
    options.search_px = near;
    options.shape_sigma_rel = kShapeSigmaLoose;
    const auto loose = measure_rim(picture, best->ellipse, options);
    // Only a shape that most of the rim agrees with may replace the known one: behind a spotter
    // half a rim fits many.
    if (loose && loose->rim_seen > kRimForNewShape &&
        loose->agreement > best->agreement + kBetterPlace) {
      best = loose;
    }
  }
  if (best) {
    // Nothing on a bar goes that fast: this is another edge.
    const double moved_px = (best->ellipse.centre - expected.centre).norm();
    if (moved_px < kFastestMps * px_per_m() * std::max(dt_s, hidden_s(t_s)) + near) return best;
  }
  return std::nullopt;
}

/// A disc of the known size anywhere near the prediction: circle voting on a reduced cut-out.
std::optional<RimFit> DiscFollower::search_around(const LumaView& picture, double t_s) const {
  const double radius = ellipse_.mean_radius_px();
  const double reach = radius * (1.4 + std::min(2.5, 3.0 * hidden_s(t_s)));
  const cv::Rect all(0, 0, picture.width, picture.height);
  const cv::Rect area = cv::Rect(static_cast<int>(ellipse_.centre.x() - 0.7 * reach - radius),
                                 static_cast<int>(ellipse_.centre.y() - reach - radius),
                                 static_cast<int>(1.4 * reach + 2.0 * radius),
                                 static_cast<int>(2.0 * (reach + radius))) &
                        all;
  const int factor = std::max(1, static_cast<int>(radius / 14.0));
  if (area.width < 3 * factor || area.height < 3 * factor) return std::nullopt;
  LumaView cut = picture;
  cut.origin += area.x * picture.step_x + area.y * picture.step_y;
  cut.width = area.width;
  cut.height = area.height;
  const auto circles = find_circles(shrink(cut, factor),
                                    {.min_radius_px = 0.9 * radius / factor,
                                     .max_radius_px = 1.1 * radius / factor,
                                     .min_score = 0.25,
                                     .max_count = 3});
  std::optional<RimFit> best;
  for (const Circle& c : circles) {
    Ellipse guess = ellipse_;
    guess.centre = {area.x + factor * (c.x_px + 0.5) - 0.5, area.y + factor * (c.y_px + 0.5) - 0.5};
    const auto fit = measure_rim(picture,
                                 guess,
                                 {.search_px = 0.15 * radius + 2.0,
                                  .shape_sigma_rel = 0.01,
                                  .depth = depth_,
                                  .min_rim_seen = std::max(kRimWhenWide, 0.6 * usual_rim_)});
    if (fit && (!best || fit->rim_seen > best->rim_seen)) best = fit;
  }
  return best;
}

void DiscFollower::follow(
    const LumaView& picture, const CameraPose& pose, double t_s, std::int32_t frame, Copy copy) {
  const double dt_s = t_s - last_t_s_;
  last_t_s_ = t_s;
  last_frame_ = frame;
  course_.predict(dt_s, px_per_m());
  if (!seen() && !hub_seen()) {
    // A guess for some tenths of a second, then nothing is known of where it goes.
    const double fade = hidden_s(t_s) > 0.15 ? std::exp(-dt_s / 0.2) : 1.0;
    course_.fade(fade, px_per_m());
  }
  ellipse_.centre = pose.now(still_centre());
  follow_hub(picture, pose, t_s, frame, copy);
  const double expected_px = speed_px_per_s() * dt_s;
  const bool told_nothing = copy == Copy::kExact && expected_px > kCopyTellsPx;
  const bool lost = hidden_s(t_s) > kLostAfterS && !hub_seen();
  if (told_nothing || lost) return coast(pose, t_s, frame);

  const auto fit = search(picture, dt_s, t_s);
  if (!fit || (copy == Copy::kPerhaps && is_copy(*fit, pose, expected_px))) {
    return coast(pose, t_s, frame);
  }
  if (kind_ == Kind::kRing) {
    // So small a thing looks like many others; but little of it is ever covered.
    const bool whole = fit->rim_seen > kRingSeen * usual_rim_;
    return whole ? take(*fit, pose, frame) : coast(pose, t_s, frame);
  }
  const RimFit rim = better_view(picture, *fit, frame);
  leave_wrong_course(rim, pose);
  take(rim, pose, frame);
  count_rims(picture);
  learn_hub_offset(rim);
  look_for_hub(picture, rim, pose, t_s, frame);
}

/// A hidden disc that turns up off the course it was thought to be on shows that the course was
/// wrong: something else had been taken for its rim. Without this the next picture's prediction
/// would be wrong as well.
void DiscFollower::leave_wrong_course(const RimFit& found, const CameraPose& pose) {
  const double radius = ellipse_.mean_radius_px();
  const bool off_course =
      (found.ellipse.centre - ellipse_.centre).norm() > kOffCourseRadii * radius;
  if (seen() || hub_seen() || !off_course) return;
  const Vector2d still = pose.first(found.ellipse.centre);
  course_.start({last_t_s_, still.x(), still.y()}, px_per_m());
}

/// Follows the hub and lets it say where the rim must be.
void DiscFollower::follow_hub(
    const LumaView& picture, const CameraPose& pose, double t_s, std::int32_t frame, Copy copy) {
  if (!hub_) return;
  hub_->follow(picture, pose, t_s, frame, copy);
  if (!hub_->seen()) return;
  ellipse_.centre = hub_->ellipse().centre - hub_offset_px_;
  if (seen()) return;
  const Vector2d still = pose.first(ellipse_.centre);
  const double sigma = kHubSigma * ellipse_.mean_radius_px();
  course_.hold_at(still, sigma);
}

void DiscFollower::look_for_hub(const LumaView& picture,
                                const RimFit& fit,
                                const CameraPose& pose,
                                double t_s,
                                std::int32_t frame) {
  if (hub_seen() || frame < hub_due_ || fit.rim_seen < usual_rim_ - 0.05) return;
  hub_pause_ = std::max(kFramesBetweenHubs, static_cast<std::int32_t>(kHubPutOff * hub_pause_));
  hub_due_ = frame + hub_pause_;
  const auto found = hub_of(picture, fit);
  if (!found) return;
  hub_pause_ = 0;
  hub_offset_px_ = found->ellipse.centre - fit.ellipse.centre;
  if (hub_) {
    hub_->adopt(*found, pose, t_s, frame);
  } else {
    hub_ = std::make_unique<DiscFollower>(*found, pose, t_s, frame, Kind::kRing);
  }
}

/// The hub's place on the face as the camera sees it changes slowly with the view.
void DiscFollower::learn_hub_offset(const RimFit& fit) {
  if (!hub_seen() || fit.rim_seen < usual_rim_ - 0.05) return;
  hub_offset_px_ += kOffsetRate * (hub_->ellipse().centre - fit.ellipse.centre - hub_offset_px_);
}

bool DiscFollower::at_rest() const {
  return seen() && glimpses_.size() > 8 && travel_radii() < kAtRestRadii &&
         std::abs(still_centre().x() - glimpses_.front().still_x_px) <
             kAtRestRadii * ellipse_.mean_radius_px();
}

void DiscFollower::stay_until(std::int32_t frame) {
  Glimpse between = glimpses_.back();
  for (std::int32_t f = last_frame_ + 1; f < frame; ++f) {
    between.frame = f;
    glimpses_.push_back(between);
  }
}

bool DiscFollower::rested(const LumaView& picture,
                          const CameraPose& pose,
                          double t_s,
                          std::int32_t frame) {
  Ellipse expected = ellipse_;
  expected.centre = pose.now(still_centre());
  const auto fit = measure_rim(picture,
                               expected,
                               {.search_px = 3.0 + 0.02 * ellipse_.mean_radius_px(),
                                .shape_sigma_rel = kShapeSigma,
                                .depth = depth_,
                                .min_rim_seen = kRimWhenSure});
  if (!fit || fit->rim_seen < usual_rim_ - kRimMissing) return false;
  const Glimpse last = glimpses_.back();
  const Vector2d moved =
      pose.first(fit->ellipse.centre) - Vector2d(last.still_x_px, last.still_y_px);
  const double allowed = kStillPx + 4.0 * std::hypot(std::sqrt(fit->centre_cov_px2(1, 1)),
                                                     static_cast<double>(last.sigma_y_px));
  if (moved.norm() > allowed) return false;
  // Its hub stood still with it: a disc told now by one and now by the other would seem to tremble.
  if (hub_seen() && hub_->last_frame_ == last_frame_) hub_->stay_until(frame);
  stay_until(frame);
  const double dt_s = t_s - last_t_s_;
  course_.rest(dt_s);
  last_t_s_ = t_s;
  last_frame_ = frame;
  take(*fit, pose, frame);
  follow_hub(picture, pose, t_s, frame, Copy::kNo);
  look_for_hub(picture, *fit, pose, t_s, frame);
  return true;
}

/// What was followed of late is a ring inside the rim: takes its sightings for the rim's, as many
/// times wider. Of two sizes mixed, the hub's own would be believed.
void DiscFollower::outgrow_ring(double radius_px, double ratio) {
  for (Glimpse& g : glimpses_) {
    const double own = std::sqrt(std::abs(static_cast<double>(g.xx) * g.yy - g.xy * g.xy));
    if (own > std::sqrt(ratio) * radius_px) continue;  // the rim itself
    for (float* size : {&g.xx, &g.xy, &g.yy, &g.shape_sigma_px}) *size *= static_cast<float>(ratio);
  }
  census_.begin_anew();
}

/// Takes another idea of shape and depth whole, not a little at a time. It sees the centre
/// elsewhere: what was seen so far moves along, or the bar would seem to jump.
const RimFit& DiscFollower::change_view(const RimFit& present, const RimFit& better) {
  usual_agreement_ = better.agreement;
  usual_rim_ = better.rim_seen;
  const double radius_px = present.ellipse.mean_radius_px();
  const double ratio = better.ellipse.mean_radius_px() / radius_px;
  if (ratio > kOtherRing) outgrow_ring(radius_px, ratio);
  ellipse_.shape = better.ellipse.shape;
  depth_ = better.depth;
  view_sigma_rel_ = better.view_sigma_rel;
  sleeve_seen_ = better.sleeve_seen;
  const Vector2d jump = better.ellipse.centre - present.ellipse.centre;
  for (Glimpse& g : glimpses_) {
    g.x_px += static_cast<float>(jump.x());
    g.y_px += static_cast<float>(jump.y());
    g.still_x_px += static_cast<float>(jump.x());
    g.still_y_px += static_cast<float>(jump.y());
    g.centre_by_shape = {};  // of the other shape
  }
  course_.shift(jump);
  hub_offset_px_ -= jump;
  return better;
}

/// Now and then asks whether another idea of the camera's place explains the rim better.
RimFit DiscFollower::better_view(const LumaView& picture, const RimFit& fit, std::int32_t frame) {
  const Vector2d still = still_centre();
  const bool new_place =
      (still - view_checked_at_).norm() > kNewPlaceRadii * ellipse_.mean_radius_px();
  // Costly, so only as long as there is something to gain: never for long, and for a rim that
  // agrees well only a few times.
  const int enough = usual_agreement_ > kGoodAgreement ? kViewsWhenGood : kMostViews;
  if (frame < view_check_due_ || views_checked_ >= enough ||
      (!new_place && views_checked_ >= kViewsInOnePlace)) {
    return fit;
  }
  view_checked_at_ = still;
  view_check_due_ = frame + kFramesBetweenViews;
  ++views_checked_;
  // Before another background a rim may show that could not be seen when the disc was found, and a
  // fit that holds on to a groove here and to the rim there shows itself by a better one.
  // Of half a rim neither can be told; it may be half for being held wrongly, and then a whole one
  // is there.
  const bool half_lost = fit.rim_seen < kRimForNewView;
  const auto outer = half_lost ? std::nullopt : wider_rim(picture, fit, kRimForWider);
  if (outer && outer->agreement > usual_agreement_ - 0.15) {
    return change_view(fit, *outer);
  }
  const double least = std::max(fit.agreement, usual_agreement_) + kBetterBy;
  const auto other = confirm_disc(picture,
                                  fit.ellipse.centre,
                                  fit.ellipse.mean_radius_px(),
                                  half_lost ? kRimWhenHeldWrongly : kRimForNewView,
                                  least);
  // A lip or a painted ring often shows better than the rim around it, which is the disc's all the
  // same.
  const bool inside =
      other && other->ellipse.mean_radius_px() < kInside * fit.ellipse.mean_radius_px();
  return other && !inside && other->agreement >= least ? change_view(fit, *other) : fit;
}

void DiscFollower::count_rims(const LumaView& picture) {
  const Vector2d still = still_centre();
  if (census_.due(still, ellipse_.mean_radius_px())) census_.take(picture, ellipse_, still);
}

bool DiscFollower::wants_colours() const {
  return seen() && colour_census_.due(still_centre(), ellipse_.mean_radius_px());
}

void DiscFollower::take_colours(const LumaView& colourfulness) {
  colour_census_.take(colourfulness, ellipse_, still_centre());
}

double DiscFollower::px_per_m() const {
  return ellipse_.mean_radius_px() / kUsualDiscRadiusM;
}

double DiscFollower::travel_radii() const {
  return (bottom_px_ - top_px_) / ellipse_.mean_radius_px();
}

}  // namespace kinetics
