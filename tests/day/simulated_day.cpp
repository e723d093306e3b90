#include "tests/day/simulated_day.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace kinetics_test {
namespace {

using kinetics::DayRow;
using kinetics::FoundSet;
using kinetics::Measured;

struct Body {
  double rom_m = 0.0;
  double lockout_m = 0.0;
  int reps = 2;
};

struct Turn {
  std::optional<std::size_t> row;  // empty: the extra set
  std::optional<std::size_t> whose;
  Body body;
  bool seen = true;
};

double normal(std::mt19937& random, double middle, double sigma) {
  return std::normal_distribution<double>(middle, sigma)(random);
}

int up_to(std::mt19937& random, int most) {
  return std::uniform_int_distribution<int>(0, most)(random);
}

bool chance(std::mt19937& random, double share) {
  return std::bernoulli_distribution(share)(random);
}

// Heights of people differ by some 7 cm, and a bar's height at lockout with them.
Body random_body(std::mt19937& random, const DayScene& scene) {
  return {.rom_m = normal(random, 0.52, 0.055),
          .lockout_m = normal(random, 1.42, 0.075),
          .reps = scene.same_reps ? 2 : 2 + up_to(random, 1)};
}

std::vector<Turn> turns_with_mishaps(std::mt19937& random,
                                     const DayScene& scene,
                                     const std::vector<Body>& bodies) {
  std::vector<Turn> turns;
  const auto lifters = static_cast<std::size_t>(scene.lifters);
  for (std::size_t row = 0; row < lifters * static_cast<std::size_t>(scene.rounds); ++row) {
    turns.push_back({.row = row, .whose = row, .body = bodies[row % lifters]});
  }
  // At least three rows apart, so that each mishap stands alone as the scene says.
  const int count = static_cast<int>(turns.size());
  std::vector<int> at;
  while (at.size() < 4) {
    const int place = 1 + up_to(random, count - 4);
    const bool free =
        std::all_of(at.begin(), at.end(), [&](int other) { return std::abs(other - place) >= 3; });
    if (free) at.push_back(place);
  }
  std::swap(turns[static_cast<std::size_t>(at[0])], turns[static_cast<std::size_t>(at[0]) + 1]);
  turns[static_cast<std::size_t>(at[1])].seen = false;
  // The extra set is a guest's, or by somebody from the sheet who goes twice.
  const Turn& before = turns[static_cast<std::size_t>(at[2])];
  const bool guest = chance(random, 0.5);
  Turn extra{.row = std::nullopt,
             .whose = guest ? std::nullopt : before.whose,
             .body = guest ? random_body(random, scene) : before.body};
  const int skipped = at[3];
  turns.insert(turns.begin() + at[2] + 1, extra);
  turns.erase(turns.begin() + skipped + (skipped > at[2] ? 1 : 0));
  return turns;
}

FoundSet seen_set(std::mt19937& random, const DayScene& scene, const Body& body, double start_s) {
  FoundSet out{.reps = body.reps,
               .start_s = start_s,
               .end_s = start_s + 3.0 * body.reps,
               .rom_m = normal(random, body.rom_m, 0.012),
               .lockout_m = normal(random, body.lockout_m, 0.010),
               .above_floor = scene.above_floor};
  if (chance(random, scene.reps_miscounted)) out.reps += chance(random, 0.5) ? 1 : -1;
  return out;
}

}  // namespace

SimulatedDay simulate_day(const DayScene& scene, std::mt19937& random) {
  std::vector<Body> bodies;
  bodies.reserve(static_cast<std::size_t>(scene.lifters));
  for (int i = 0; i < scene.lifters; ++i) bodies.push_back(random_body(random, scene));
  const std::vector<Turn> turns = turns_with_mishaps(random, scene, bodies);

  SimulatedDay day;
  const double turn_s = 60.0 + up_to(random, 40);
  const double began_s = 17.0 * 3600.0 - 120.0 - up_to(random, 300);
  for (std::size_t row = 0; row < bodies.size() * static_cast<std::size_t>(scene.rounds); ++row) {
    const std::size_t who = row % bodies.size();
    DayRow out{.row = static_cast<int>(row) + 2,
               .lifter = "lifter " + std::to_string(who + 1),
               .lift = "box squat",
               .planned_reps = bodies[who].reps};
    const double planned_s = 17.0 * 3600.0 + turn_s * static_cast<double>(row);
    if (scene.times_written) out.start_s = 60.0 * std::floor(planned_s / 60.0);
    if (scene.heights_known) {
      out.usual_rom_m = Measured(bodies[who].rom_m + normal(random, 0.0, 0.007), 0.007);
      out.usual_lockout_m = Measured(bodies[who].lockout_m + normal(random, 0.0, 0.005), 0.005);
    }
    day.rows.push_back(out);
  }

  double clock_s = 17.0 * 3600.0;
  const std::size_t bumped = turns.size() / 2;
  for (std::size_t i = 0; i < turns.size(); ++i) {
    // By the clock, an extra set is squeezed in and a skipped turn's time goes by.
    if (scene.by_the_clock && turns[i].row) {
      const auto slot = static_cast<double>(std::min(*turns[i].row, day.rows.size() - 1));
      clock_s = std::max(clock_s + 20.0, 17.0 * 3600.0 + turn_s * slot + normal(random, 8.0, 12.0));
    } else {
      clock_s += std::max(25.0, normal(random, turn_s, 0.2 * turn_s));
    }
    if (!turns[i].seen) continue;
    FoundSet set = seen_set(random, scene, turns[i].body, clock_s - began_s);
    if (!scene.above_floor) {
      set.view = i < bumped ? 1 : 2;
      *set.lockout_m -= set.view == 1 ? 0.95 : 0.61;
    }
    day.sets.push_back(set);
    day.truth.push_back(turns[i].row);
    day.lifter.push_back(turns[i].whose);
  }
  day.recording_began_s = began_s;
  if (scene.clock_known) day.recording_start_s = began_s + up_to(random, 1200) - 600.0;
  return day;
}

}  // namespace kinetics_test
