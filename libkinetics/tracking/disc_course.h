#pragma once

#include <deque>

#include <Eigen/Core>

/// Where a disc goes: predicted from its last sightings, corrected by the next. Internal.

namespace kinetics {

/// Radius of a competition disc, m: turns what lifters do into pixels for prediction only.
inline constexpr double kUsualDiscRadiusM = 0.225;

/// Constant-acceleration Kalman filter of one coordinate, with white jerk.
class CoordinateFilter {
 public:
  void restart(double value, double sigma, double velocity_sigma, double accel_sigma);
  void predict(double dt_s, double jerk_psd);
  void update(double measured, double sigma);
  void shift(double by) { state_(0) += by; }
  [[nodiscard]] double value() const { return state_(0); }
  [[nodiscard]] double velocity() const { return state_(1); }
  [[nodiscard]] double sigma() const;
  /// Forgets acceleration and lets velocity fade, for a disc nobody sees; never faster than `most`.
  void slow_down(double factor, double most);

 private:
  Eigen::Vector3d state_ = Eigen::Vector3d::Zero();
  Eigen::Matrix3d cov_ = Eigen::Matrix3d::Identity();
};

/// Where a disc was seen: still coordinates (camera motion taken out) and their sigmas, px.
struct Sighted {
  double t_s = 0.0;
  double x = 0.0, y = 0.0;
  double sigma_x = 0.0, sigma_y = 0.0;
};

/// A disc's course in still coordinates, px. Learns besides how far pictures stray from their times
/// (a clip that was brought to another rate), for such a picture shows the disc off its course by
/// as much more as it is faster. Every `px_per_m` is the picture's scale at the disc.
class DiscCourse {
 public:
  void start(const Sighted& at, double px_per_m);
  void predict(double dt_s, double px_per_m);
  /// Predicts what has been seen not to move.
  void rest(double dt_s);
  /// Lets a sighting correct the prediction.
  void take_up(const Sighted& now, double px_per_m);
  /// Lets a place known otherwise correct it, of which the pictures' times say nothing.
  void hold_at(const Eigen::Vector2d& still, double sigma_px);
  /// For a disc nobody sees, which is not thought to go faster than a bar may.
  void fade(double factor, double px_per_m);
  /// It was in another place all the time.
  void shift(const Eigen::Vector2d& by);

  [[nodiscard]] Eigen::Vector2d centre() const { return {x_.value(), y_.value()}; }
  [[nodiscard]] Eigen::Vector2d velocity_px_per_s() const { return {x_.velocity(), y_.velocity()}; }
  [[nodiscard]] double speed_px_per_s() const;
  /// Of the predicted place, the larger of both directions' sigmas.
  [[nodiscard]] double sigma_px() const;
  /// How far pictures may be thought to stray from their times, s: rather more than they do; 0 as
  /// long as none was seen to.
  [[nodiscard]] double slip_s() const;

 private:
  void update(const Sighted& now);
  [[nodiscard]] bool learn_slip(const Sighted& now, double px_per_m);

  CoordinateFilter x_, y_;
  double dt_s_ = 0.0;         ///< of the last prediction
  std::deque<Sighted> last_;  ///< sightings
  double slip_s2_ = 0.0;
  double last_off_s_ = 0.0;  ///< how far off its course it was seen last, as a time
};

}  // namespace kinetics
