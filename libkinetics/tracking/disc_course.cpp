#include "libkinetics/tracking/disc_course.h"

#include <algorithm>
#include <cmath>

#include "libkinetics/tracking/jerk_step.h"

namespace kinetics {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

/// Jerk density for prediction, m²/s⁵: a speed rep's jerk of some 60 m/s³ lasting 0.1 s.
constexpr double kJerkPsd = 400.0;
/// Sideways a bar does less, as a share of that.
constexpr double kSidewaysShare = 0.3;
/// A hidden disc is not thought to go faster than this, m/s: the last glimpse may have been wrong.
constexpr double kFastestHiddenMps = 1.5;
/// Slip of the pictures' times is judged on a disc that moves at least this fast, by being off its
/// course by more than this many sigmas, and is never more than this share of a frame interval.
constexpr double kSlipMps = 0.25;
constexpr double kSlipSigmas = 6.0;
constexpr double kMostSlip = 0.6;
constexpr double kSlipRate = 0.3;
constexpr double kSlipLeak = 0.02;
/// More than this share of the most it can be, and twice what it was: the course is drawn anew,
/// from this many sightings.
constexpr double kSlipToTell = 0.05;
constexpr std::size_t kCourse = 6;

/// Upright, of the straight line through the sightings: what is predicted from pictures off their
/// times by turns may even go the other way.
double usual_velocity_px_per_s(const std::deque<Sighted>& sightings) {
  const auto count = static_cast<double>(sightings.size());
  double t_s = 0.0;
  double y = 0.0;
  for (const Sighted& s : sightings) {
    t_s += s.t_s / count;
    y += s.y / count;
  }
  double square = 0.0;
  double product = 0.0;
  for (const Sighted& s : sightings) {
    square += (s.t_s - t_s) * (s.t_s - t_s);
    product += (s.t_s - t_s) * (s.y - y);
  }
  return square > 0.0 ? product / square : 0.0;
}

}  // namespace

void CoordinateFilter::restart(double value,
                               double sigma,
                               double velocity_sigma,
                               double accel_sigma) {
  state_ << value, 0.0, 0.0;
  cov_.setZero();
  cov_.diagonal() << sigma * sigma, velocity_sigma * velocity_sigma, accel_sigma * accel_sigma;
}

void CoordinateFilter::predict(double dt_s, double jerk_psd) {
  step_white_jerk(dt_s, jerk_psd, state_, cov_);
}

void CoordinateFilter::update(double measured, double sigma) {
  const double variance = cov_(0, 0) + sigma * sigma;
  const Vector3d gain = cov_.col(0) / variance;
  state_ += gain * (measured - state_(0));
  cov_ -= gain * cov_.row(0).eval();
  cov_ = 0.5 * (cov_ + cov_.transpose()).eval();
}

double CoordinateFilter::sigma() const {
  return std::sqrt(std::max(0.0, cov_(0, 0)));
}

void CoordinateFilter::slow_down(double factor, double most) {
  state_(1) = std::clamp(factor * state_(1), -most, most);
  state_(2) *= 0.5 * factor;
}

void DiscCourse::start(const Sighted& at, double px_per_m) {
  x_.restart(at.x, 0.3, 0.5 * px_per_m, 3.0 * px_per_m);
  y_.restart(at.y, 0.3, 1.0 * px_per_m, 3.0 * px_per_m);
  last_ = {at};
}

void DiscCourse::predict(double dt_s, double px_per_m) {
  const double jerk_psd = kJerkPsd * px_per_m * px_per_m;
  x_.predict(dt_s, kSidewaysShare * jerk_psd);
  y_.predict(dt_s, jerk_psd);
  dt_s_ = dt_s;
}

void DiscCourse::rest(double dt_s) {
  x_.predict(dt_s, 1.0);
  y_.predict(dt_s, 1.0);
}

void DiscCourse::take_up(const Sighted& now, double px_per_m) {
  last_.push_back(now);
  if (last_.size() > kCourse) last_.pop_front();
  if (!learn_slip(now, px_per_m)) return update(now);
  // The course so far was drawn too trustingly: draw it anew.
  const std::deque<Sighted> sightings = last_;
  start(sightings.front(), px_per_m);
  for (std::size_t i = 1; i < sightings.size(); ++i) {
    predict(sightings[i].t_s - sightings[i - 1].t_s, px_per_m);
    update(sightings[i]);
  }
  last_ = sightings;
}

void DiscCourse::update(const Sighted& now) {
  x_.update(now.x, std::hypot(now.sigma_x, slip_s() * x_.velocity()));
  y_.update(now.y, std::hypot(now.sigma_y, slip_s() * y_.velocity()));
}

/// Pictures whose times are not those they were taken at show the disc ahead of its course in one
/// and behind it in the next. A bar that itself leaves its course is off to the same side twice,
/// and noise does not grow with speed. Returns whether much was learnt.
bool DiscCourse::learn_slip(const Sighted& now, double px_per_m) {
  const double off_px = now.y - y_.value();
  const double velocity = usual_velocity_px_per_s(last_);
  if (std::abs(velocity) < kSlipMps * px_per_m) {
    last_off_s_ = 0.0;
    return false;
  }
  // Sightings of true times are off by noise, which prediction carries on two- or threefold, and
  // by jerks.
  const double jerk_m = std::sqrt(kJerkPsd * std::pow(dt_s_, 5) / 20.0);
  const double sigma_px = std::hypot(now.sigma_y, jerk_m * px_per_m);
  const double off_s = std::abs(off_px) > kSlipSigmas * sigma_px ? off_px / velocity : 0.0;
  const double most_s = kMostSlip * dt_s_;
  const double before = slip_s2_;
  slip_s2_ = std::clamp(
      (1.0 - kSlipLeak) * before - kSlipRate * off_s * last_off_s_, 0.0, most_s * most_s);
  last_off_s_ = off_s;
  return slip_s2_ > 2.0 * before && slip_s2_ > kSlipToTell * most_s * most_s;
}

void DiscCourse::hold_at(const Vector2d& still, double sigma_px) {
  x_.update(still.x(), sigma_px);
  y_.update(still.y(), sigma_px);
}

void DiscCourse::fade(double factor, double px_per_m) {
  x_.slow_down(factor, 0.5 * kFastestHiddenMps * px_per_m);
  y_.slow_down(factor, kFastestHiddenMps * px_per_m);
}

void DiscCourse::shift(const Vector2d& by) {
  x_.shift(by.x());
  y_.shift(by.y());
  for (Sighted& seen : last_) {
    seen.x += by.x();
    seen.y += by.y();
  }
}

double DiscCourse::speed_px_per_s() const {
  return std::hypot(x_.velocity(), y_.velocity());
}

double DiscCourse::sigma_px() const {
  return std::max(x_.sigma(), y_.sigma());
}

double DiscCourse::slip_s() const {
  return std::sqrt(slip_s2_);
}

}  // namespace kinetics
