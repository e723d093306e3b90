#pragma once

#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "samples/render/dice.h"
#include "samples/render/motion.h"
#include "samples/simulate/ring.h"
#include "samples/simulate/sensor_spec.h"

/// The bar with the sensor on it: place, attitude, specific force and turning at any instant,
/// exact, for a sensor without any error.

namespace simulate {

/// Frame of the gym: x level in the plane of the lift, y up, z level towards the camera.
struct RigState {
  Eigen::Vector3d place_m;              ///< of the sensor, in the gym
  Eigen::Vector3d velocity_mps;         ///< of the sensor, in the gym
  Eigen::Matrix3d gym_from_sensor;      ///< turns a vector of the sensor into the gym's frame
  Eigen::Vector3d specific_force_mps2;  ///< as the sensor feels it, in its own frame
  Eigen::Vector3d rate_radps;           ///< its turning against the gym, in its own frame
};

class Rig {
 public:
  Rig(const render::BarMotion& bar,
      const std::string& lift,
      const SensorSpec& spec,
      std::uint64_t seed);

  [[nodiscard]] RigState at(double t) const;
  /// Of the bar's end, m/s: what makes discs rattle.
  [[nodiscard]] double bar_speed_mps(double t) const;
  /// Whether anything moves within `within_s` of t: bar, hands or a knock.
  [[nodiscard]] bool stirs(double t, double within_s) const;

 private:
  /// One turn about an axis of the frame that the turns before it made.
  struct Turn {
    Eigen::Vector3d axis;
    render::Curve angle;
    double by_height = 0.0;  ///< radians a metre of height gained, besides
  };
  /// A displacement on top of the bar's.
  struct Shift {
    Eigen::Vector3d along;
    render::Curve curve;
  };
  struct Busy {
    double from_s, to_s;
  };

  void turn_bar(const std::string& lift, const MountSpec& mount, render::Dice& dice);
  void turn_sleeve(const MountSpec& mount, render::Dice& dice);
  void shake_at_contacts(const ShakeSpec& shake, render::Dice& dice);
  void shake_in_sets(const ShakeSpec& shake, render::Dice& dice);
  void change_plates(double at_s, double strongest_g, render::Dice& dice);
  void handle(const HandlingSpec& spec, render::Dice& dice);
  void knock(double at_s, double peak_mps2, render::Dice& dice);
  void find_busy();

  render::BarMotion bar_;
  double start_height_m_;
  double gravity_mps2_;
  Eigen::Vector3d lever_m_ = Eigen::Vector3d::Zero();
  Eigen::Matrix3d mount_ = Eigen::Matrix3d::Identity();
  std::size_t turns_of_bar_ = 0;  ///< the lever is fixed behind these
  std::vector<Turn> turns_;
  std::vector<Shift> shifts_;
  Rings rings_;
  std::vector<Busy> busy_;
};

}  // namespace simulate
