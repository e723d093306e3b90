#pragma once

#include <string>
#include <vector>

#include "libkinetics/core/weekday.h"
#include "libkinetics/training/lifted_session.h"

/// Invented lifters whose velocity at a load is known, for tests.

namespace kinetics_test {

inline kinetics::CalendarDay day(const std::string& text) {
  return kinetics::day_in(text).value();
}

/// Reps at one loading, all of the given velocity and error.
inline kinetics::LiftedSet made_set(const std::string& on_day,
                                    const std::string& lifter,
                                    double load_kg,
                                    const std::vector<double>& velocities_mps,
                                    double sigma_mps = 0.01) {
  kinetics::LiftedSet set;
  set.day = on_day;
  set.lifter = lifter;
  set.lift = "box squat";
  set.bar = "straight bar";
  set.stated_load_kg = load_kg;
  for (const double v : velocities_mps) {
    kinetics::LiftedRep rep;
    rep.number = static_cast<int>(set.reps.size()) + 1;
    rep.mean_velocity_mps = kinetics::Measured(v, sigma_mps);
    rep.mean_load_kg = kinetics::Measured(load_kg, 0.1);
    rep.rom_m = kinetics::Measured(0.5, 0.002);
    set.reps.push_back(rep);
  }
  return set;
}

/// A session's mean, as if measured.
inline kinetics::LiftedSession made_session(kinetics::CalendarDay on_day,
                                            const std::string& lifter,
                                            double load_kg,
                                            double velocity_mps,
                                            double sigma_mps) {
  kinetics::LiftedSession out;
  out.day = on_day;
  out.lifter = lifter;
  out.lift = "box squat";
  out.set_up.bar = "straight bar";
  out.stated_load_kg = out.mean_load_kg = load_kg;
  out.velocity_mps = kinetics::Measured(velocity_mps, sigma_mps);
  out.sets = 8;
  out.reps = 16;
  return out;
}

}  // namespace kinetics_test
