#pragma once

#include <vector>

#include "libkinetics/inertial/bins.h"
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

/// The log at the rate of the estimate. Errors  as estimate_log_motion.
[[nodiscard]] std::vector<Bin> condensed(const SensorLog& log, const StrapdownOptions& options);

/// Errors  as estimate_log_motion.
[[nodiscard]] LogEstimate estimate_upward(std::vector<Bin> bins,
                                          bool has_gyroscope,
                                          const StrapdownOptions& options);

/// What the coach should be told about it.
[[nodiscard]] Notes notes_on(const LogEstimate& estimate, const StrapdownOptions& options);

/// Hand `states` over where they are not needed any more: an hour of them is 160 MB.
[[nodiscard]] Motion motion_of(const std::vector<UpwardReading>& readings, LogStates states);

}  // namespace kinetics
