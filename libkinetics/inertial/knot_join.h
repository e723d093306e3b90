#pragma once

#include <cstddef>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <ceres/sized_cost_function.h>

#include "libkinetics/inertial/bins.h"

/// What the readings between two knots say of the attitudes and velocities there: they integrated,
/// and the term of the batch estimate that they make.
///
/// Internal to the room.

namespace kinetics {

/// What the gyroscope is off by, as far as it is known.
struct GyroErrors {
  Eigen::Vector3d rate_bias_radps = Eigen::Vector3d::Zero();
  Eigen::Vector3d main_axis = Eigen::Vector3d::UnitZ();
  Eigen::Vector3d main_scale = Eigen::Vector3d::Zero();  ///< added to a turn of 1 rad about it
};

/// Turn from the bin before to bin `to`, freed of the errors: (frame then)_from_(frame now).
[[nodiscard]] Eigen::Quaterniond turn_to(const std::vector<Bin>& bins,
                                         std::size_t to,
                                         const GyroErrors& errors);

/// Readings integrated from one knot to the next, in the frame of the first, with their derivatives
/// by what the sensor may be off by.
struct Integrated {
  double span_s = 0.0;
  Eigen::Quaterniond turn = Eigen::Quaterniond::Identity();
  Eigen::Vector3d gain_mps = Eigen::Vector3d::Zero();  ///< of velocity, gravity included
  Eigen::Matrix3d turn_by_rate = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d gain_by_rate = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d gain_by_offset = Eigen::Matrix3d::Zero();
  Eigen::Matrix3d turn_by_scale = Eigen::Matrix3d::Zero();  ///< of the turning about the main axis
  Eigen::Matrix3d gain_by_scale = Eigen::Matrix3d::Zero();
  double rough_mps = 0.0;  ///< sum of the sizes of what was integrated beyond gravity
  double main_rad = 0.0;   ///< turned about the main axis, to and fro
  double other_rad = 0.0;  ///< and about others
};

[[nodiscard]] Integrated integrate(const std::vector<Bin>& bins,
                                   std::size_t first,
                                   std::size_t last,
                                   const GyroErrors& errors);

/// Unknowns of a knot: world_from_sensor as x, y, z, w, then velocity.
inline constexpr int kKnotSize = 7;

/// Unknowns that all knots share, three of each but the last.
namespace shared_at {
inline constexpr int kRateBias = 0;   ///< change of it
inline constexpr int kMainScale = 3;  ///< GyroErrors::main_scale
inline constexpr int kOffset = 6;     ///< of the accelerations
inline constexpr int kLever = 9;      ///< of the sensor off the bar's axis
inline constexpr int kScale = 12;     ///< of the accelerations, beyond 1
}  // namespace shared_at
inline constexpr int kSharedSize = 13;

/// Both knots' attitude and velocity against the readings in between: three residuals of the turn,
/// three of the velocity, in their sigmas.
class KnotJoin final : public ceres::SizedCostFunction<6, kKnotSize, kKnotSize, kSharedSize> {
 public:
  struct Data {
    Integrated in;
    double gravity_mps2 = 0.0;
    double turn_sigma_rad = 1.0;
    double gain_sigma_mps = 1.0;
    Eigen::Vector3d rate0_radps = Eigen::Vector3d::Zero();  ///< turning at both knots
    Eigen::Vector3d rate1_radps = Eigen::Vector3d::Zero();
  };

  explicit KnotJoin(const Data& data) : data_(data) {}

  bool Evaluate(const double* const* unknowns,
                double* residuals,
                double** jacobians) const override;

 private:
  Data data_;
};

}  // namespace kinetics
