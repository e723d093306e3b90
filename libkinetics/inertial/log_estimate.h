#pragma once

#include <vector>

#include "libkinetics/inertial/estimate_log.h"
#include "libkinetics/inertial/lockouts.h"
#include "libkinetics/inertial/vertical.h"

/// An inertial log's estimate with what fusion needs of its inside.
///
/// Internal to the room.

namespace kinetics {

/// Scale error that is left in the accelerations after gravity was looked at (1 sigma). Common for
/// uncalibrated parts, no source.
inline constexpr double kAccelScaleSigma = 0.01;

struct LogEstimate {
  std::vector<UpwardReading> readings;
  UpwardAssumptions assumed;  ///< of the last pass
  LogStates states;
  LogFacts facts;
};

/// Errors  as estimate_log_motion.
[[nodiscard]] LogEstimate estimate_upward(const SensorLog& log, const StrapdownOptions& options);

/// What the coach should be told about it.
[[nodiscard]] Notes notes_on(const LogEstimate& estimate, const StrapdownOptions& options);

[[nodiscard]] Motion motion_of(const std::vector<UpwardReading>& readings, const LogStates& states);

}  // namespace kinetics
