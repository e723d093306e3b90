#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "samples/render/motion.h"

/// From "five squats, slowing down" to the bar's motion.

namespace render {

/// One set. What is left empty follows from the lift.
struct SetSpec {
  std::string lift = "squat";  ///< squat, box_squat, bench, deadlift, press or row
  int reps = 5;
  std::optional<double> rom_m{};
  std::optional<double> top_height_m{};
  std::optional<double> concentric_s{};  ///< of the first rep
  std::optional<double> eccentric_s{};
  std::optional<double> pause_s{};  ///< at the bottom; 0 turns at once
  std::optional<double> rest_s{};   ///< at the top (deadlift: on the floor)
  /// smooth, grinder, early, late, speed
  std::string shape = "smooth";
  double slowing = 0.03;          ///< each rep takes this share longer than the one before
  double variation = 0.02;        ///< 1 sigma of every rep's own duration and range, as a share
  std::string last_rep = "full";  ///< what becomes of the last rep: full, partial, failed, grinder
  std::vector<int> partial_reps{};  ///< numbers of reps cut short
  std::string lowering = "guided";  ///< of a deadlift: guided or dropped from the top
  bool walk_out = true;             ///< take the bar out of the rack and put it back
  double sideways_m = 0.07;         ///< how far the bar travels sideways in a bench press
  double rock_m = 0.003;            ///< rocking while sitting on the box
  double before_s = 1.5;            ///< stillness before the set
  double after_s = 2.0;             ///< and after it
};

struct MotionSpec {
  std::vector<SetSpec> sets{SetSpec{}};
  double sway_m = 0.004;             ///< of a standing lifter, sideways
  double depth_drift_m = 0.0;        ///< the bar wanders away from the camera by up to this
  double disc_turn_deg_per_s = 4.0;  ///< slow turning of the disc about the sleeve
};

/// Throws std::invalid_argument for a lift or shape that does not exist.
[[nodiscard]] BarMotion script_motion(const MotionSpec& spec, std::uint64_t seed);

/// Facts about a lift that the picture needs too.
struct LiftFacts {
  double top_height_m, rom_m, concentric_s, eccentric_s, pause_s, rest_s;
  bool starts_low, racked, lying, overhead;
  double walk_m;  ///< sideways from the rack to where the reps are done
};
[[nodiscard]] LiftFacts facts_of(const std::string& lift);

}  // namespace render
