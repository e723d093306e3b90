// Stated 95 % intervals of force, power, work, impulse and of the sticking region's events hold the
// truth, over lifts, frame rates and noise that the smoother was not told of.
//
// The lifts differ from rep to rep (Monte Carlo, seeded). Truth is integrated here from the exact
// motion (tests/support/lifts) and the load written out by hand, without the library's own
// balances. A true 95 % interval counted over 1000 stays within 0.931 to 0.967 (binomial, 99 %).
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/force.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/kinematics/sticking.h"
#include "tests/support/lifts.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

constexpr double kG = 9.80665;

struct Tally {
  int count = 0;
  int covered = 0;
  double sum = 0.0;
  double square = 0.0;
  double sigma = 0.0;

  void add(const Measured& m, double truth) {
    if (!m.ok()) return;
    const double error = m.value() - truth;
    ++count;
    covered += m.lo() <= truth && truth <= m.hi() ? 1 : 0;
    sum += error;
    square += error * error;
    sigma += m.sigma();
  }
  [[nodiscard]] double coverage() const { return static_cast<double>(covered) / count; }
  [[nodiscard]] double bias() const { return sum / count; }
  [[nodiscard]] double rms() const { return std::sqrt(square / count); }
};

using Table = std::map<std::string, Tally>;

/// A bar of 100 kg with two strands of chain, 3.8 kg a metre each, of which some are on the floor
/// all the way up.
struct HandLoad {
  double straight_kg = 100.0;
  double chain_kg_per_m = 0.0;
  [[nodiscard]] double kg(double above_floor_m) const {
    return straight_kg + chain_kg_per_m * above_floor_m;
  }
};

struct TrueForces {
  double mean_n = 0.0, peak_n = 0.0, work_j = 0.0, peak_w = 0.0, impulse_ns = 0.0;
  double propulsive_n = 0.0, propulsive_w = 0.0, propulsive_ns = 0.0, propulsive_s = 0.0;
};

TrueForces true_forces(const Lift& lift, const TrueRep& rep, const HandLoad& load, double floor_m) {
  constexpr int kSteps = 20000;
  TrueForces out;
  const double dt = (rep.end_s - rep.start_s) / kSteps;
  bool braked = false;
  for (int i = 0; i < kSteps; ++i) {
    const double t = rep.start_s + (i + 0.5) * dt;
    const double v = lift.velocity_mps(t);
    const double a = lift.accel_mps2(t);
    const double kg = load.kg(lift.height_m(t) + floor_m);
    const double force = kg * (kG + a) + load.chain_kg_per_m * std::max(v, 0.0) * std::max(v, 0.0);
    out.impulse_ns += force * dt;
    out.work_j += force * v * dt;
    out.peak_n = std::max(out.peak_n, force);
    out.peak_w = std::max(out.peak_w, force * v);
    braked = braked || a < -kG;
    if (braked) continue;
    out.propulsive_ns += force * dt;
    out.propulsive_w += force * v * dt;
    out.propulsive_s += dt;
  }
  out.mean_n = out.impulse_ns / (rep.end_s - rep.start_s);
  out.propulsive_n = out.propulsive_ns / out.propulsive_s;
  out.propulsive_w /= out.propulsive_s;
  return out;
}

struct TrueEvents {
  bool any = false;
  double first_s = 0.0, low_s = 0.0, second_s = 0.0;
};

TrueEvents true_events(const Lift& lift, const TrueRep& rep) {
  constexpr int kSteps = 20000;
  TrueEvents out;
  std::vector<double> turns;
  const auto v = [&](int i) {
    return lift.velocity_mps(rep.start_s + (rep.end_s - rep.start_s) * i / kSteps);
  };
  bool rising = true;
  for (int i = 1; i < kSteps; ++i) {
    if ((v(i) > v(i - 1)) == rising) continue;
    turns.push_back(rep.start_s + (rep.end_s - rep.start_s) * (i - 1) / kSteps);
    rising = !rising;
  }
  if (turns.size() < 3) return out;
  return {true, turns[0], turns[1], turns[2]};
}

struct Draw {
  std::mt19937 random;
  double between(double lo, double hi) {
    return std::uniform_real_distribution<double>(lo, hi)(random);
  }
};

constexpr Shape kShapes[] = {Shape::kMinimumJerk,
                             Shape::kHalfSine,
                             Shape::kTwoHumps,
                             Shape::kStall,
                             Shape::kSlips,
                             Shape::kSlowLockout,
                             Shape::kLateRush};
constexpr const char* kShapeNames[] = {
    "minimum jerk", "half sine", "two humps", "stall", "slips", "slow lockout", "late rush"};

bool has_dip(Shape shape) {
  return shape == Shape::kTwoHumps || shape == Shape::kStall || shape == Shape::kSlips;
}

void simulate(std::size_t shape, double rate_hz, double sigma_m, std::uint32_t seed, Table& table) {
  Draw d{std::mt19937(seed)};
  Lift lift(1.0);
  lift.rest(1.0);
  for (int i = 0; i < 4; ++i) {
    const double rise = d.between(0.35, 0.65);
    const double takes = has_dip(kShapes[shape]) ? d.between(1.0, 3.0) : d.between(0.5, 1.6);
    lift.move(-rise, d.between(1.0, 1.8)).rest(d.between(0.3, 1.0));
    lift.rep(rise, takes, kShapes[shape]).rest(d.between(1.0, 1.5));
  }
  const BarPath path = filmed(lift,
                              {.rate_hz = rate_hz,
                               .sigma_m = sigma_m,
                               .stated_over_true = d.between(0.5, 2.0),
                               .jitter_s = 0.1 / rate_hz,
                               .seed = seed});
  const Motion motion = estimate_motion(path);
  const SetTable found = find_reps(motion);
  const std::vector<TrueRep> truth = lift.truth();
  CAPTURE(kShapeNames[shape], rate_hz, sigma_m, seed);
  REQUIRE(found.reps.size() == truth.size());
  // The floor lies 0.3 m below the path's zero, give or take a tape.
  const double floor_m = 0.3;
  const double told_m = floor_m + 0.01 * std::normal_distribution<double>()(d.random);
  const BarLoad load{.bar_kg = 20.0,
                     .discs_kg = 80.0,
                     .chains = {{.name = "13 mm", .mass_kg_per_m = 3.8, .free_length_m = 9.0}}};
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const Rep& rep = found.reps[i];
    const TrueRep& want = truth[i];
    const TrueForces f = true_forces(lift, want, {100.0, 7.6}, floor_m);
    const RepForces got = rep_forces(motion, rep, load, BarHeight{told_m, 0.01});
    table["mean force"].add(got.mean_force_n, f.mean_n);
    table["peak force"].add(got.peak_force_n, f.peak_n);
    table["propulsive force"].add(got.propulsive_force_n, f.propulsive_n);
    table["mean power"].add(got.mean_power_w, f.work_j / (want.end_s - want.start_s));
    table["peak power"].add(got.peak_power_w, f.peak_w);
    table["propulsive power"].add(got.propulsive_power_w, f.propulsive_w);
    table["work"].add(got.work_j, f.work_j);
    table["impulse"].add(got.impulse_ns, f.impulse_ns);
    table["propulsive impulse"].add(got.propulsive_impulse_ns, f.propulsive_ns);
    table["propulsive time"].add(rep.propulsive_s, f.propulsive_s);
    const double rise = lift.height_m(want.end_s) - lift.height_m(want.start_s);
    const auto place = [&](double t) {
      return (lift.height_m(t) - lift.height_m(want.start_s)) / rise;
    };
    const TrueEvents e = true_events(lift, want);
    const bool any = rep.sticking_low_height.ok();
    if (e.any) {
      table["sticking found"].add(Measured(any ? 0.0 : 1.0, 0.1), 0.0);
      table["first peak time"].add(rep.sticking_from_s, e.first_s - want.start_s);
      table["low time"].add(rep.sticking_low_s, e.low_s - want.start_s);
      table["second peak time"].add(rep.second_peak_s, e.second_s - want.start_s);
      table["first peak height"].add(rep.sticking_from_height, place(e.first_s));
      table["low height"].add(rep.sticking_low_height, place(e.low_s));
      table["second peak height"].add(rep.second_peak_height, place(e.second_s));
      table["first peak velocity"].add(rep.first_peak_velocity_mps, lift.velocity_mps(e.first_s));
      table["low velocity"].add(rep.sticking_velocity_mps, lift.velocity_mps(e.low_s));
    } else {
      table["none invented"].add(Measured(any ? 1.0 : 0.0, 0.1), 0.0);
    }
  }
}

void add_to(Table& sum, const Table& more) {
  for (const auto& [name, t] : more) {
    Tally& s = sum[name];
    s.count += t.count;
    s.covered += t.covered;
    s.sum += t.sum;
    s.square += t.square;
    s.sigma += t.sigma;
  }
}

}  // namespace

TEST_CASE("intervals of force, power and sticking heights hold the truth",
          "[kinematics][coverage]") {
  Table all;
  std::map<std::string, Table> parts;
  std::uint32_t seed = 4100;
  for (const double rate_hz : {30.0, 60.0, 120.0}) {
    for (const double sigma_m : {0.00015, 0.0005, 0.0015}) {
      for (std::size_t shape = 0; shape < std::size(kShapes); ++shape) {
        Table table;
        for (int k = 0; k < 4; ++k) simulate(shape, rate_hz, sigma_m, ++seed, table);
        add_to(all, table);
        add_to(parts[kShapeNames[shape]], table);
        add_to(parts[std::to_string(sigma_m)], table);
        add_to(parts[std::to_string(rate_hz)], table);
      }
    }
  }
  // 432 rises with a dip and 576 without: none is missed, and none is invented.
  CHECK(all["sticking found"].count == 432);
  CHECK(all["sticking found"].coverage() == 1.0);
  CHECK(all["none invented"].count == 576);
  CHECK(all["none invented"].coverage() == 1.0);
  for (const auto& [name, t] : all) {
    if (name == "sticking found" || name == "none invented") continue;
    CAPTURE(name, t.count, t.coverage(), t.bias(), t.rms());
    // 93 to 97 % are wanted; counted over 432 (the events) and 1008 (the rest), one per cent more
    // each way is chance.
    CHECK(t.coverage() >= 0.93);
    // Peaks are stated as unsure as they are on rendered clips, whose noise is not white
    // (end_to_end/depth_accuracy): wider than this noise asks for.
    if (name.starts_with("peak")) continue;
    CHECK(t.coverage() <= 0.98);
  }
  for (const auto& [condition, table] : parts) {
    for (const auto& [name, t] : table) {
      if (name == "sticking found" || name == "none invented") continue;
      CAPTURE(condition, name, t.count, t.coverage(), t.bias(), t.rms());
      CHECK(t.coverage() >= 0.89);  // 144 or more: 99 % of a true 95 % lie above 0.903
    }
  }
}
