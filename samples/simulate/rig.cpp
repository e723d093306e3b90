#include "samples/simulate/rig.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include <Eigen/Geometry>

namespace simulate {
namespace {

using Eigen::AngleAxisd;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using render::Contact;
using render::Dice;
using render::Jet;

constexpr double kDegree = std::numbers::pi / 180.0;
constexpr double kStandardGravity_mps2 = 9.80665;
// From the middle of the near discs along the bar: half of 1.31 m between the collars and some
// sleeve; just inside the collar.
constexpr double kMiddle_m = -0.86;
constexpr double kCollar_m = -0.12;

struct Span {
  double from_s, to_s;
};

// From the first to the last repetition of each set, with a little either side.
std::vector<Span> spans_of_sets(const render::BarMotion& bar) {
  std::map<int, Span> spans;
  for (const render::RepMark& rep : bar.reps) {
    const auto [at, fresh] =
        spans.try_emplace(rep.set, Span{rep.descent_start_s - 1.0, rep.rise_end_s + 1.0});
    at->second.to_s = rep.rise_end_s + 1.0;
  }
  std::vector<Span> out;
  for (const auto& [set, span] : spans) out.push_back(span);
  return out;
}

// A little of everything between the two frequencies; `sigma` in all.
void add_unrest(
    render::Curve& curve, Span span, double sigma, double lo_hz, double hi_hz, Dice& dice) {
  constexpr int kSines = 4;
  for (int k = 0; k < kSines; ++k)
    curve.wobble(span.from_s,
                 span.to_s,
                 sigma * std::sqrt(2.0 / kSines),
                 lo_hz * std::pow(hi_hz / lo_hz, (k + dice.uniform(0.0, 1.0)) / kSines),
                 dice.uniform(0.0, 2.0 * std::numbers::pi));
}

Vector3d any_direction(Dice& dice) {
  const double up = dice.uniform(-1.0, 1.0), around = dice.uniform(0.0, 2.0 * std::numbers::pi);
  const double level = std::sqrt(1.0 - up * up);
  return {level * std::cos(around), up, level * std::sin(around)};
}

Matrix3d turned(double z, double y, double x) {
  return (AngleAxisd(z, Vector3d::UnitZ()) * AngleAxisd(y, Vector3d::UnitY()) *
          AngleAxisd(x, Vector3d::UnitX()))
      .toRotationMatrix();
}

Matrix3d mounting(const MountSpec& mount, Dice& dice) {
  if (mount.angles_deg) {
    const auto& a = *mount.angles_deg;
    return turned(a[0] * kDegree, a[1] * kDegree, a[2] * kDegree);
  }
  if (mount.upside_down)  // the sensor's z along the gym's −y, then a little askew
    return turned(0.0, dice.uniform(-3.1, 3.1), 0.5 * std::numbers::pi) *
           turned(0.15 * dice.around(1.0), 0.15 * dice.around(1.0), 0.0);
  return AngleAxisd(dice.uniform(0.0, std::numbers::pi), any_direction(dice)).toRotationMatrix() *
         turned(dice.uniform(-3.1, 3.1), 0.0, dice.uniform(-3.1, 3.1));
}

double strength_g(const Contact& contact) {
  switch (contact.with) {
    case Contact::With::kHooks:
      return contact.leaves ? 0.8 : 3.0;
    case Contact::With::kBox:
      return 0.7;
    case Contact::With::kFloor:
    case Contact::With::kSafeties:
      return 4.0;
  }
  return 0.0;
}

}  // namespace

Rig::Rig(const render::BarMotion& bar,
         const std::string& lift,
         const SensorSpec& spec,
         std::uint64_t seed)
    : bar_(bar),
      start_height_m_(bar.height.at(0.0).value),
      gravity_mps2_(simulate::gravity_mps2(spec)) {
  Dice dice(seed);
  const MountSpec& mount = spec.mount;
  const double around = dice.uniform(0.0, 2.0 * std::numbers::pi);
  lever_m_ = {mount.off_axis_m * std::cos(around),
              mount.off_axis_m * std::sin(around),
              mount.place == "middle"   ? kMiddle_m
              : mount.place == "collar" ? kCollar_m
                                        : 0.0};  // a wrist turns about itself
  mount_ = mounting(mount, dice);
  turn_bar(lift, mount, dice);
  if (mount.place == "sleeve") turn_sleeve(mount, dice);
  turns_of_bar_ = turns_.size();
  shake_at_contacts(spec.shake, dice);
  shake_in_sets(spec.shake, dice);
  for (const double at_s : spec.plates_changed_s)
    change_plates(at_s, spec.shake.plate_change_g, dice);
  for (const HandlingSpec& handling : spec.handled) handle(handling, dice);
  find_busy();
}

void Rig::turn_bar(const std::string& lift, const MountSpec& mount, Dice& dice) {
  const bool on_back = lift == "squat" || lift == "box_squat";
  const double pitch = mount.bar_pitch_deg.value_or(on_back ? 12.0 : 5.0) * kDegree / 0.5;
  Turn yaw{Vector3d::UnitY(), render::Curve(), 0.0};
  Turn tilt{Vector3d::UnitX(), render::Curve(), 0.0};
  // A sleeve turns freely: the bar inside it does not take it along.
  Turn roll{Vector3d::UnitZ(), render::Curve(), mount.place == "sleeve" ? 0.0 : -pitch};
  if (mount.place == "wrist") {
    const double around = dice.uniform(0.0, 2.0 * std::numbers::pi);
    roll.axis = {std::sin(around), 0.0, std::cos(around)};
  }
  for (const Span& span : spans_of_sets(bar_)) {
    add_unrest(yaw.angle, span, mount.bar_tilt_deg * kDegree, 0.2, 0.8, dice);
    add_unrest(tilt.angle, span, mount.bar_tilt_deg * kDegree, 0.2, 0.8, dice);
    if (mount.place != "sleeve")
      add_unrest(roll.angle, span, mount.bar_pitch_noise_deg * kDegree, 0.25, 2.0, dice);
  }
  turns_.push_back(std::move(yaw));
  turns_.push_back(std::move(tilt));
  turns_.push_back(std::move(roll));
}

void Rig::turn_sleeve(const MountSpec& mount, Dice& dice) {
  Turn sleeve{Vector3d::UnitZ(), render::Curve(), 0.0};
  double angle = 0.0;
  for (std::size_t k = 0; k < bar_.reps.size(); ++k) {
    const render::RepMark& rep = bar_.reps[k];
    // A spin goes on for a while after the rise, unless the next repetition starts before.
    double until = rep.rise_end_s + 0.6;
    if (k + 1 < bar_.reps.size()) until = std::min(until, bar_.reps[k + 1].descent_start_s);
    angle += dice.around(mount.sleeve_turn_deg) * kDegree +
             2.0 * std::numbers::pi * mount.spin_turns * dice.uniform(0.8, 1.2);
    // Whole exponents: a polynomial, whose angle and rate agree to rounding.
    sleeve.angle.move(rep.descent_start_s, until, angle, render::skewed(2.0, 3.0));
  }
  turns_.push_back(std::move(sleeve));
}

void Rig::knock(double at_s, double peak_mps2, Dice& dice) {
  // Steel, wood and rubber ring between some 30 and 200 Hz (common practice, no source).
  for (int mode = 0; mode < 3; ++mode) {
    Vector3d direction = any_direction(dice);
    direction.y() += direction.y() < 0.0 ? -1.0 : 1.0;  // mostly up and down
    rings_.add({.at_s = at_s,
                .peak_mps2 = direction.normalized() * peak_mps2 * dice.uniform(0.4, 1.0),
                .frequency_hz = 30.0 * std::pow(200.0 / 30.0, dice.uniform(0.0, 1.0)),
                .decay_s = dice.uniform(0.015, 0.06)});
  }
}

void Rig::shake_at_contacts(const ShakeSpec& shake, Dice& dice) {
  for (const Contact& contact : bar_.contacts) {
    const double peak =
        shake.contacts * strength_g(contact) * kStandardGravity_mps2 * dice.uniform(0.6, 1.4);
    const double again_s = dice.uniform(0.06, 0.15), again = dice.uniform(0.1, 0.5);
    if (peak <= 0.0) continue;
    knock(contact.at_s, peak, dice);
    // The bar's other side, or a second bounce.
    if (contact.with != Contact::With::kBox) knock(contact.at_s + again_s, again * peak, dice);
  }
}

void Rig::shake_in_sets(const ShakeSpec& shake, Dice& dice) {
  if (shake.whip_mm > 0.0)
    for (const render::RepMark& rep : bar_.reps)
      for (const double at : {rep.rise_start_s, rep.rise_end_s}) {
        const double f = dice.uniform(4.0, 7.0), omega = 2.0 * std::numbers::pi * f;
        rings_.add({.at_s = at,
                    .peak_mps2 = Vector3d::UnitY() * 1e-3 * shake.whip_mm * omega * omega,
                    .frequency_hz = f,
                    .decay_s = 0.15});
      }
  if (shake.tremor_mm > 0.0)
    for (const Vector3d& along : {Vector3d::UnitX().eval(), Vector3d::UnitY().eval()}) {
      Shift tremor{along, render::Curve()};
      for (const Span& span : spans_of_sets(bar_))
        add_unrest(tremor.curve, span, 1e-3 * shake.tremor_mm, 7.0, 12.0, dice);
      shifts_.push_back(std::move(tremor));
    }
}

void Rig::change_plates(double at_s, double strongest_g, Dice& dice) {
  constexpr double kLasts_s = 7.0;
  busy_.push_back({at_s, at_s + kLasts_s});
  const int knocks = dice.whole(5, 9);
  for (int k = 0; k < knocks; ++k)
    knock(at_s + dice.uniform(0.3, kLasts_s - 0.5),
          strongest_g * kStandardGravity_mps2 * dice.uniform(0.1, 1.0),
          dice);
  // The bar slides and rolls a little in the hooks.
  for (const Vector3d& along : {Vector3d::UnitX().eval(), Vector3d::UnitZ().eval()}) {
    Shift slide{along, render::Curve()};
    slide.curve.wobble(at_s, at_s + kLasts_s, 0.006, dice.uniform(0.4, 0.9), dice.uniform(0, 6));
    shifts_.push_back(std::move(slide));
  }
  Turn roll{Vector3d::UnitZ(), render::Curve(), 0.0};
  roll.angle.move(at_s + 1.0, at_s + 2.5, dice.around(10.0) * kDegree);
  roll.angle.move(at_s + 4.0, at_s + 5.0, dice.around(10.0) * kDegree);
  turns_.push_back(std::move(roll));
}

void Rig::handle(const HandlingSpec& spec, Dice& dice) {
  const double from = spec.at_s, lasts = spec.length_s, to = from + lasts;
  busy_.push_back({from, to});
  Shift up{Vector3d::UnitY(), render::Curve()};
  up.curve.move(from, from + 0.3 * lasts, spec.rise_m);
  up.curve.move(from + 0.7 * lasts, to, 0.0);
  up.curve.wobble(from + 0.2 * lasts, from + 0.8 * lasts, 0.03, dice.uniform(1.6, 2.0), 0.0);
  if (spec.steps_mm > 0.0)
    up.curve.wobble(from + 0.2 * lasts, from + 0.8 * lasts, 1e-3 * spec.steps_mm, 1.9, 0.5);
  shifts_.push_back(std::move(up));
  for (const Vector3d& along : {Vector3d::UnitX().eval(), Vector3d::UnitZ().eval()}) {
    Shift level{along, render::Curve()};
    level.curve.wobble(from, to, dice.uniform(0.05, 0.2), dice.uniform(0.3, 0.7), 0.0);
    level.curve.wobble(from, to, 0.02, dice.uniform(1.6, 2.0), 0.0);
    shifts_.push_back(std::move(level));
  }
  Turn pick{any_direction(dice), render::Curve(), 0.0};
  pick.angle.move(from + 0.05 * lasts, from + 0.35 * lasts, spec.turn_deg * kDegree);
  pick.angle.wobble(from, to, 10.0 * kDegree, dice.uniform(0.8, 1.6), 0.0);
  Turn place{any_direction(dice), render::Curve(), 0.0};
  const double put_deg = spec.turn_deg * dice.uniform(-1.0, 1.0);
  if (!spec.returns) place.angle.move(from + 0.6 * lasts, to, put_deg * kDegree);
  if (spec.swing_deg > 0.0)
    place.angle.wobble(from, to, spec.swing_deg * kDegree, dice.uniform(0.8, 1.0), 0.0);
  if (spec.returns) pick.angle.move(from + 0.65 * lasts, to, 0.0);
  turns_.push_back(std::move(pick));
  turns_.push_back(std::move(place));
  for (int k = 0; k < spec.knocks; ++k) {
    const double at = k + 1 == spec.knocks ? to - 0.1 : from + dice.uniform(0.0, lasts);
    knock(at, kStandardGravity_mps2 * dice.uniform(0.5, 3.0), dice);
  }
}

// Where the bar moves, found by looking; hands and plates were noted when they were made.
void Rig::find_busy() {
  constexpr double kLook_s = 0.05;
  for (double t = 0.0; t < bar_.end_s; t += kLook_s)
    if (bar_speed_mps(t) > 0.01) busy_.push_back({t, t + kLook_s});
  for (const Ring& ring : rings_.all())
    busy_.push_back({ring.at_s, ring.at_s + 6.0 * ring.decay_s});
  std::sort(
      busy_.begin(), busy_.end(), [](const Busy& a, const Busy& b) { return a.from_s < b.from_s; });
  std::vector<Busy> joined;
  for (const Busy& busy : busy_)
    if (!joined.empty() && busy.from_s <= joined.back().to_s)
      joined.back().to_s = std::max(joined.back().to_s, busy.to_s);
    else
      joined.push_back(busy);
  busy_ = std::move(joined);
}

RigState Rig::at(double t) const {
  const Jet x = bar_.x.at(t), height = bar_.height.at(t), depth = bar_.depth.at(t);
  Vector3d place(x.value, height.value, -depth.value);
  Vector3d velocity(x.rate, height.rate, -depth.rate);
  Vector3d accel(x.accel, height.accel, -depth.accel);
  const RingState ring = rings_.at(t);
  place += ring.shift_m, velocity += ring.velocity_mps, accel += ring.accel_mps2;
  for (const Shift& shift : shifts_) {
    const Jet j = shift.curve.at(t);
    place += shift.along * j.value, velocity += shift.along * j.rate,
        accel += shift.along * j.accel;
  }
  // Turns one on the other: each adds its own turning, seen from the gym.
  Matrix3d attitude = Matrix3d::Identity();
  Vector3d omega = Vector3d::Zero(), alpha = Vector3d::Zero();
  for (std::size_t k = 0; k < turns_.size(); ++k) {
    if (k == turns_of_bar_) {
      const Vector3d lever = attitude * lever_m_, turning = omega.cross(lever);
      place += lever, velocity += turning;
      accel += alpha.cross(lever) + omega.cross(turning);
    }
    const Turn& turn = turns_[k];
    const Jet own = turn.angle.at(t);
    const Vector3d axis = attitude * turn.axis;
    const double rate = own.rate + turn.by_height * height.rate;
    alpha += axis * (own.accel + turn.by_height * height.accel) + omega.cross(axis * rate);
    omega += axis * rate;
    attitude *= AngleAxisd(own.value + turn.by_height * (height.value - start_height_m_), turn.axis)
                    .toRotationMatrix();
  }
  if (turns_of_bar_ == turns_.size()) {
    const Vector3d lever = attitude * lever_m_, turning = omega.cross(lever);
    place += lever, velocity += turning;
    accel += alpha.cross(lever) + omega.cross(turning);
  }
  attitude *= mount_;
  return {.place_m = place,
          .velocity_mps = velocity,
          .gym_from_sensor = attitude,
          .specific_force_mps2 = attitude.transpose() * (accel + Vector3d(0.0, gravity_mps2_, 0.0)),
          .rate_radps = attitude.transpose() * omega};
}

double Rig::bar_speed_mps(double t) const {
  return std::hypot(bar_.height.at(t).rate, bar_.x.at(t).rate);
}

bool Rig::stirs(double t, double within_s) const {
  const auto next =
      std::lower_bound(busy_.begin(), busy_.end(), t - within_s, [](const Busy& b, double at) {
        return b.to_s < at;
      });
  return next != busy_.end() && next->from_s <= t + within_s;
}

}  // namespace simulate
