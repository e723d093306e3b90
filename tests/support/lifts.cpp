#include "tests/support/lifts.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

namespace kinetics_test {
namespace {

constexpr double kPi = std::numbers::pi;

// Place, speed and acceleration of a shape at s from 0 to 1, unit rise in unit time.
struct Unit {
  double place, speed, accel;
};

Unit humps(double s, double third) {
  const double rise = 2.0 / kPi * (1.0 + third / 3.0);
  return {((1.0 - std::cos(kPi * s)) + third / 3.0 * (1.0 - std::cos(3.0 * kPi * s))) / kPi / rise,
          (std::sin(kPi * s) + third * std::sin(3.0 * kPi * s)) / rise,
          kPi * (std::cos(kPi * s) + 3.0 * third * std::cos(3.0 * kPi * s)) / rise};
}

Unit unit(Shape shape, double s) {
  const double r = 1.0 - s;
  switch (shape) {
    case Shape::kMinimumJerk:
      return {s * s * s * (10.0 - 15.0 * s + 6.0 * s * s),
              30.0 * s * s * r * r,
              60.0 * s * r * (1.0 - 2.0 * s)};
    case Shape::kHalfSine:
      return humps(s, 0.0);
    case Shape::kTwoHumps:
      return humps(s, 0.5);
    case Shape::kStall:
      return humps(s, 1.0);
    case Shape::kSlips:
      return humps(s, 1.15);
    case Shape::kSlowLockout: {  // velocity 105 s²(1 − s)⁴
      const double place = 105.0 * (s * s * s / 3.0 - s * s * s * s + 6.0 * std::pow(s, 5) / 5.0 -
                                    4.0 * std::pow(s, 6) / 6.0 + std::pow(s, 7) / 7.0);
      return {place,
              105.0 * s * s * std::pow(r, 4),
              105.0 * (2.0 * s * std::pow(r, 4) - 4.0 * s * s * std::pow(r, 3))};
    }
    case Shape::kLateRush:  // velocity 60 s³(1 − s)²
      return {60.0 * (std::pow(s, 4) / 4.0 - 2.0 * std::pow(s, 5) / 5.0 + std::pow(s, 6) / 6.0),
              60.0 * s * s * s * r * r,
              60.0 * (3.0 * s * s * r * r - 2.0 * s * s * s * r)};
    case Shape::kFreeFall:
      return {s * s, 2.0 * s, 2.0};
    case Shape::kHop:
      return {4.0 * s * r, 4.0 * (r - s), -8.0};
  }
  return {0.0, 0.0, 0.0};
}

// A sine under a window that starts and ends with zero slope and curvature.
double swayed(const Piece& p, double t_s) {
  const double s = (t_s - p.start_s) / p.length_s;
  const double edge = std::min(1.0, std::min(s, 1.0 - s) * p.length_s / 0.4);
  const double window = edge * edge * edge * (10.0 - 15.0 * edge + 6.0 * edge * edge);
  return p.sway_m * window * std::sin(2.0 * kPi * p.sway_hz * (t_s - p.start_s));
}

template <typename F>
double bisect(F above, double lo, double hi) {  // above(lo) false, above(hi) true
  for (int i = 0; i < 100; ++i) {
    const double mid = 0.5 * (lo + hi);
    (above(mid) ? hi : lo) = mid;
  }
  return 0.5 * (lo + hi);
}

}  // namespace

Piece& Lift::add(double length_s) {
  Piece p;
  p.start_s = now_s_;
  p.length_s = length_s;
  p.from_height_m = height_m_;
  p.from_x_m = x_m_;
  pieces_.push_back(p);
  now_s_ += length_s;
  return pieces_.back();
}

Lift& Lift::rest(double length_s) {
  add(length_s);
  return *this;
}

Lift& Lift::sway(double length_s, double amplitude_m, double hz) {
  Piece& p = add(length_s);
  p.sway_m = amplitude_m;
  p.sway_hz = hz;
  return *this;
}

Lift& Lift::move(double rise_m, double length_s, Shape shape) {
  Piece& p = add(length_s);
  p.rise_m = rise_m;
  p.shape = shape;
  height_m_ += rise_m;
  return *this;
}

Lift& Lift::bounce(double rise_m) {
  move(rise_m, 2.0 * std::sqrt(2.0 * rise_m / 9.80665), Shape::kHop);
  height_m_ -= rise_m;
  return *this;
}

Lift& Lift::carry(double rise_m, double aside_m, double length_s) {
  move(rise_m, length_s);
  pieces_.back().aside_m = aside_m;
  x_m_ += aside_m;
  return *this;
}

Lift& Lift::rep(double rise_m, double length_s, Shape shape) {
  move(rise_m, length_s, shape);
  reps_.push_back(pieces_.size() - 1);
  return *this;
}

const Piece& Lift::at(double t_s) const {
  const auto after = std::upper_bound(
      pieces_.begin(), pieces_.end(), t_s, [](double t, const Piece& p) { return t < p.start_s; });
  return after == pieces_.begin() ? *after : *(after - 1);
}

double Lift::height_m(double t_s) const {
  const Piece& p = at(t_s);
  const double s = std::clamp((t_s - p.start_s) / p.length_s, 0.0, 1.0);
  double h = p.from_height_m + p.rise_m * unit(p.shape, s).place;
  if (p.sway_m != 0.0) h += swayed(p, t_s);
  return h;
}

double Lift::velocity_mps(double t_s) const {
  const Piece& p = at(t_s);
  const double s = (t_s - p.start_s) / p.length_s;
  if (s > 1.0) return 0.0;
  if (p.sway_m != 0.0) return (swayed(p, t_s + 1e-5) - swayed(p, t_s - 1e-5)) / 2e-5;
  return p.rise_m / p.length_s * unit(p.shape, s).speed;
}

double Lift::accel_mps2(double t_s) const {
  const Piece& p = at(t_s);
  const double s = (t_s - p.start_s) / p.length_s;
  if (s > 1.0 || p.sway_m != 0.0) return 0.0;
  return p.rise_m / (p.length_s * p.length_s) * unit(p.shape, s).accel;
}

double Lift::x_m(double t_s) const {
  const Piece& p = at(t_s);
  const double s = std::clamp((t_s - p.start_s) / p.length_s, 0.0, 1.0);
  return p.from_x_m + p.aside_m * unit(Shape::kMinimumJerk, s).place;
}

std::vector<TrueRep> Lift::truth(double threshold_mps) const {
  std::vector<TrueRep> out;
  for (const std::size_t index : reps_) {
    const Piece& p = pieces_[index];
    const double end_s = p.start_s + p.length_s;
    const auto fast = [&](double t) { return velocity_mps(t) >= threshold_mps; };
    // Every shape has one crossing at each end of the piece; a fine walk brackets it.
    const double step = p.length_s / 20000.0;
    double lo = p.start_s + 1e-9;
    while (!fast(lo + step)) lo += step;
    double hi = end_s - 1e-9;
    while (!fast(hi - step)) hi -= step;
    TrueRep r;
    r.start_s = bisect(fast, lo, lo + step);
    r.end_s = bisect([&](double t) { return !fast(t); }, hi - step, hi);
    r.rom_m = height_m(r.end_s) - height_m(r.start_s);
    r.mean_mps = r.rom_m / (r.end_s - r.start_s);
    double braked_s = r.end_s;
    for (double t = r.start_s; t < r.end_s; t += step) {
      if (velocity_mps(t) > r.peak_mps) {
        r.peak_mps = velocity_mps(t);
        r.peak_at_s = t;
      }
      if (braked_s == r.end_s && accel_mps2(t) < -9.80665) braked_s = t;
    }
    r.propulsive_mps = (height_m(braked_s) - height_m(r.start_s)) / (braked_s - r.start_s);
    out.push_back(r);
  }
  return out;
}

kinetics::BarPath filmed(const Lift& lift, const Filming& filming) {
  std::mt19937 random(filming.seed);
  std::normal_distribution<double> normal;
  std::uniform_real_distribution<double> uniform(-1.0, 1.0);
  kinetics::BarPath path;
  const double phase = 0.5 * (uniform(random) + 1.0) / filming.rate_hz;
  double old_x = normal(random);
  double old_y = normal(random);
  const double fresh = std::sqrt(1.0 - filming.correlation * filming.correlation);
  for (int i = 0;; ++i) {
    double t = phase + i / filming.rate_hz;
    t += std::clamp(filming.jitter_s, 0.0, 0.4 / filming.rate_hz) * uniform(random);
    t = std::max(t, 0.0);
    if (t > lift.length_s()) break;
    old_x = filming.correlation * old_x + fresh * normal(random);
    old_y = filming.correlation * old_y + fresh * normal(random);
    kinetics::PathPoint p;
    p.t_s = t;
    p.x_m = lift.x_m(t) + filming.sigma_m * old_x;
    p.y_m = filming.scale * lift.height_m(t) + filming.sigma_m * old_y;
    p.sigma_x_m = p.sigma_y_m = filming.sigma_m * filming.stated_over_true;
    for (const auto& [from, to] : filming.hidden) {
      if (t >= from && t <= to) p.seen = false;
    }
    for (const auto& [when, off] : filming.jumps) {
      if (std::abs(t - when) < 0.5 / filming.rate_hz) p.y_m += off;
    }
    path.points.push_back(p);
  }
  return path;
}

}  // namespace kinetics_test
