#pragma once

#include <string>
#include <vector>

#include "libkinetics/history/lifted_set.h"

/// Sets with known numbers.

namespace kinetics_test {

/// One set of one rep, straight weight.
inline kinetics::LiftedSet one_set(double load_kg,
                                   double velocity_mps,
                                   const std::string& day = "2031-03-07",
                                   double sigma_mps = 0.0) {
  kinetics::LiftedSet set;
  set.day = day;
  set.lifter = "Odalys Brandt";
  set.lift = "squat";
  set.stated_load_kg = load_kg;
  set.reps.emplace_back();
  set.reps.back().mean_velocity_mps = kinetics::Measured(velocity_mps, sigma_mps);
  return set;
}

/// The same of several, on one day.
inline std::vector<kinetics::LiftedSet> sets_at(const std::vector<double>& loads_kg,
                                                const std::vector<double>& velocities_mps) {
  std::vector<kinetics::LiftedSet> out;
  for (std::size_t i = 0; i < loads_kg.size(); ++i) {
    out.push_back(one_set(loads_kg[i], velocities_mps[i]));
    out.back().set = static_cast<int>(i) + 1;
  }
  return out;
}

}  // namespace kinetics_test
