#pragma once

#include <optional>

/// From where on a rep is worth a word. The coach's to choose; every default is common practice,
/// without a source unless one is named.

namespace kinetics {

/// Mean velocities that the coach wants, ends included.
struct VelocityBand {
  double lowest_mps = 0.0;
  double highest_mps = 0.0;
  bool operator==(const VelocityBand&) const = default;
};

struct Thresholds {
  /// Share of the set's fastest mean velocity that may be lost, 0 to 1. 20 % is in wide use where
  /// speed is trained (F. Pareja-Blanco et al., Scand J Med Sci Sports 2017; 27:724-735, from
  /// memory, compares 20 % with 40 %).
  double slowed_loss = 0.20;
  /// How far a mean velocity may lie below the lifter's own expectation, m/s. About what one
  /// lifter's line scatters by: 0.06 m/s in the full squat (L. Sánchez-Medina et al., Sports Med
  /// Int Open 2017; 1:E80-E88).
  double below_expected_mps = 0.06;
  /// Band in which a set is to move. No default: what is right depends on lift, lifter and day, so
  /// that without one nothing is called too heavy or too light.
  std::optional<VelocityBand> zone = std::nullopt;
  /// How far a rep may turn round above the reference, m.
  double high_bottom_m = 0.02;
  /// How far a rep's pause may differ from the middle one of its set, s.
  double uneven_pause_s = 0.30;
  bool operator==(const Thresholds&) const = default;
};

}  // namespace kinetics
