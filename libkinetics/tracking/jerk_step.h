#pragma once

#include <Eigen/Core>

/// One step of a coordinate whose jerk is white noise. Internal.

namespace kinetics {

/// Carries place, velocity and acceleration `dt_s` forwards, and their covariance, to which a jerk
/// of this density (units² / s⁵) adds.
inline void step_white_jerk(double dt_s,
                            double jerk_psd,
                            Eigen::Vector3d& state,
                            Eigen::Matrix3d& cov) {
  Eigen::Matrix3d f = Eigen::Matrix3d::Identity();
  f(0, 1) = f(1, 2) = dt_s;
  f(0, 2) = 0.5 * dt_s * dt_s;
  const double dt2 = dt_s * dt_s;
  const double dt3 = dt2 * dt_s;
  Eigen::Matrix3d noise;
  noise << dt3 * dt2 / 20.0, dt2 * dt2 / 8.0, dt3 / 6.0,  //
      dt2 * dt2 / 8.0, dt3 / 3.0, dt2 / 2.0,              //
      dt3 / 6.0, dt2 / 2.0, dt_s;
  state = f * state;
  cov = f * cov * f.transpose() + jerk_psd * noise;
}

}  // namespace kinetics
