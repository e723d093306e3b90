#pragma once

#include <cstdint>

#include "libkinetics/kinematics/rep.h"
#include "tests/inertial/logged.h"
#include "tests/support/lifts.h"

/// Whole sets for the inertial tests: unrack, walk-out, reps, back to the rack.

namespace kinetics_test {

enum class SetKind { kSquat, kBox, kBench, kTouchAndGo, kDeadlift, kGrind, kSpeed };
inline constexpr SetKind kSetKinds[] = {SetKind::kSquat,
                                        SetKind::kBox,
                                        SetKind::kBench,
                                        SetKind::kTouchAndGo,
                                        SetKind::kDeadlift,
                                        SetKind::kGrind,
                                        SetKind::kSpeed};
inline constexpr int kRepsOfSet = 5;

/// Five reps that differ by the seed. Without `rests` it starts and ends in the lifter's hands.
[[nodiscard]] Lift a_set(SetKind kind, std::uint32_t seed, bool rests = true);

/// A consumer's sensor at a random angle, its errors drawn by the seed.
[[nodiscard]] Logging ordinary_sensor(std::uint32_t seed);

/// Mean velocities against the truth.
struct Tally {
  int truths = 0;
  int found = 0;
  int measured = 0;
  int covered = 0;
  int rom_covered = 0;
  double sum = 0.0;
  double square = 0.0;

  /// `late_s` is taken off the times of the reps first.
  void add(const Lift& lift, const kinetics::SetTable& table, double late_s = 0.0);
  [[nodiscard]] double bias() const { return sum / measured; }
  [[nodiscard]] double limits() const;  ///< 1.96 SD
  [[nodiscard]] double coverage() const { return static_cast<double>(covered) / measured; }
};

}  // namespace kinetics_test
