#include "tests/inertial/sets.h"

#include <cmath>
#include <random>

namespace kinetics_test {
namespace {

class Draw {
 public:
  explicit Draw(std::uint32_t seed) : random_(seed) {}
  double operator()(double lo, double hi) {
    return std::uniform_real_distribution<double>(lo, hi)(random_);
  }
  Shape one_of(Shape a, Shape b) { return (*this)(0.0, 1.0) < 0.5 ? a : b; }

 private:
  std::mt19937 random_;
};

void add_rep(SetKind kind, Draw& d, Lift& lift) {
  switch (kind) {
    case SetKind::kSquat:
      lift.move(-0.6, d(1.0, 1.8))
          .rep(0.6, d(0.8, 1.6), d.one_of(Shape::kMinimumJerk, Shape::kTwoHumps))
          .sway(d(1.0, 2.0), 0.002, 0.8);
      return;
    case SetKind::kBox:
      lift.move(-0.5, d(1.0, 1.8)).sway(d(0.8, 3.0), 0.003, 0.7);
      lift.rep(0.5, d(0.6, 1.2)).sway(d(1.0, 2.0), 0.003, 0.7);
      return;
    case SetKind::kBench:
      lift.move(-0.35, d(1.0, 1.8)).rest(d(0.5, 1.2));
      lift.rep(0.35, d(0.6, 1.5), d.one_of(Shape::kMinimumJerk, Shape::kSlowLockout))
          .rest(d(1.0, 2.0));
      return;
    case SetKind::kTouchAndGo:
      lift.move(-0.4, d(0.8, 1.2)).rep(0.4, d(0.5, 1.0)).rest(d(0.3, 0.8));
      return;
    case SetKind::kDeadlift:
      lift.rep(0.55, d(0.8, 2.5), d.one_of(Shape::kMinimumJerk, Shape::kLateRush))
          .sway(d(0.8, 1.5), 0.002, 1.0)
          .move(-0.55, d(0.8, 1.2))
          .rest(d(0.5, 2.0));
      return;
    case SetKind::kGrind:
      lift.move(-0.45, 1.5)
          .rep(0.45, d(2.0, 4.0), d.one_of(Shape::kStall, Shape::kTwoHumps))
          .rest(1.5);
      return;
    case SetKind::kSpeed:
      lift.move(-0.5, d(0.8, 1.2)).rest(d(0.1, 0.5)).rep(0.5, d(0.45, 0.7)).rest(1.0);
      return;
  }
}

}  // namespace

Lift a_set(SetKind kind, std::uint32_t seed, bool rests) {
  Draw d(seed * 7919U + static_cast<std::uint32_t>(kind));
  const bool racked = kind != SetKind::kDeadlift;
  Lift lift(1.0);
  if (rests) {
    lift.rest(3.0);
    if (racked) {
      lift.move(0.06, 0.6).sway(1.0, 0.004, 0.7).carry(0.0, 0.4, 1.5).sway(1.5, 0.002, 0.6);
    }
  } else {
    lift.sway(d(0.3, 1.0), 0.003, 0.6);
  }
  for (int i = 0; i < kRepsOfSet; ++i) add_rep(kind, d, lift);
  if (rests) {
    if (racked) lift.sway(1.0, 0.003, 0.7).carry(0.0, -0.4, 1.5).move(-0.06, 0.5);
    lift.rest(3.0);
  } else {
    lift.sway(0.5, 0.003, 0.7);
  }
  return lift;
}

Logging ordinary_sensor(std::uint32_t seed) {
  Draw d(seed + 1000U);
  Logging l;
  l.seed = seed + 1U;
  l.accel_offset_mps2 = {d(-0.3, 0.3), d(-0.3, 0.3), d(-0.3, 0.3)};
  l.accel_scale = {d(0.985, 1.015), d(0.985, 1.015), d(0.985, 1.015)};
  l.rate_bias_radps = {d(-0.03, 0.03), d(-0.03, 0.03), d(-0.03, 0.03)};
  l.rate_scale = d(0.99, 1.01);
  l.tremble_m = 0.00003;
  const Eigen::Vector3d axis(d(-1.0, 1.0), d(-1.0, 1.0), d(-1.0, 1.0));
  l.world_from_sensor = Eigen::Quaterniond(Eigen::AngleAxisd(d(0.0, 6.0), axis.normalized()));
  return l;
}

void Tally::add(const Lift& lift, const kinetics::SetTable& table, double late_s) {
  found += static_cast<int>(table.reps.size());
  for (const TrueRep& truth : lift.truth()) {
    ++truths;
    for (const kinetics::Rep& rep : table.reps) {
      const double middle = 0.5 * (rep.start_s + rep.end_s) - late_s;
      if (std::abs(middle - 0.5 * (truth.start_s + truth.end_s)) > 0.5) continue;
      if (!rep.mean_velocity_mps) continue;
      const double error = rep.mean_velocity_mps.value() - truth.mean_mps;
      ++measured;
      sum += error;
      square += error * error;
      covered += std::abs(error) <= kinetics::kNormal95 * rep.mean_velocity_mps.sigma() ? 1 : 0;
      rom_covered += rep.rom_m.lo() <= truth.rom_m && truth.rom_m <= rep.rom_m.hi() ? 1 : 0;
    }
  }
}

double Tally::limits() const {
  return 1.96 * std::sqrt(square / measured - bias() * bias());
}

}  // namespace kinetics_test
