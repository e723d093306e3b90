#pragma once

#include <vector>

#include <Eigen/Core>

#include "libkinetics/kinematics/motion.h"

/// How errors of the motion hang together over time, for numbers that are made of many instants.
///
/// Internal to the room.

namespace kinetics {

/// A share of the state (height, velocity, acceleration) at one instant.
struct StateWeight {
  double t_s = 0.0;
  Eigen::Vector3d weight = Eigen::Vector3d::Zero();
};

/// A number that is a weighted sum of states; one error of it is the same sum of the errors.
using StateForm = std::vector<StateWeight>;

/// Joint covariance of several such numbers, one row and column each.
///
/// Method    Given the sightings, the errors of consecutive samples are a Markov chain (either of
///           the smoother's links or of the lasting drift), so the sum is carried from sample to
///           sample and only what is new at each is added: exact, in one pass. Between samples the
///           model's own bridge says how the state leans on its two neighbours.
/// Cost      O(samples between the first and the last instant).
[[nodiscard]] Eigen::MatrixXd covariance_of(const Motion& motion,
                                            const std::vector<StateForm>& forms);

/// Standard error of one such number.
[[nodiscard]] double sigma_of(const Motion& motion, const StateForm& form);

}  // namespace kinetics
