#include "samples/render/fall.h"

#include <cmath>
#include <numbers>
#include <vector>

namespace render {
namespace {

constexpr double kGravity_mps2 = 9.80665;
// Discs of rubber on a platform: a contact of some 15 ms, a quarter of the speed comes back (common
// practice, no source).
constexpr double kContact_s = 0.015;
constexpr double kRebound = 0.25;

// One stretch: a constant acceleration, and a pulse A(1 − cos 2πt/T) that lasts all of it.
struct Stretch {
  double lasts_s, constant_mps2, pulse_mps2;
  [[nodiscard]] Jet at(double t) const {
    const double w = 2.0 * std::numbers::pi / lasts_s;
    return {0.5 * constant_mps2 * t * t +
                pulse_mps2 * (0.5 * t * t + (std::cos(w * t) - 1.0) / (w * w)),
            constant_mps2 * t + pulse_mps2 * (t - std::sin(w * t) / w),
            constant_mps2 + pulse_mps2 * (1.0 - std::cos(w * t))};
  }
};

// Downwards is positive, as for any shape of a way down.
class Falling : public Shape {
 public:
  Falling(double free_m, double accel_mps2) {
    const double fall_s = std::sqrt(2.0 * free_m / accel_mps2);
    append({fall_s, accel_mps2, 0.0});
    for (const double rebound : {kRebound, kRebound, 0.0}) {
      const double down = ends_.back().rate, up = rebound * down;
      append({kContact_s, 0.0, -(down + up) / kContact_s});
      if (up > 0.0) append({2.0 * up / kGravity_mps2, kGravity_mps2, 0.0});
    }
  }
  [[nodiscard]] double length_s() const { return length_s_; }
  [[nodiscard]] double lands_s() const { return stretches_.front().lasts_s; }
  [[nodiscard]] double travel_m() const { return ends_.back().value; }

  Jet at(double s) const override {
    double t = s * length_s_;
    std::size_t k = 0;
    while (k + 1 < stretches_.size() && t > stretches_[k].lasts_s) t -= stretches_[k++].lasts_s;
    const Jet j = from(k, t);
    const double travel = travel_m();
    return {
        j.value / travel, j.rate * length_s_ / travel, j.accel * length_s_ * length_s_ / travel};
  }

 private:
  [[nodiscard]] Jet from(std::size_t k, double t) const {
    const Jet start = k == 0 ? Jet{} : ends_[k - 1], own = stretches_[k].at(t);
    return {start.value + start.rate * t + own.value, start.rate + own.rate, own.accel};
  }
  void append(const Stretch& stretch) {
    stretches_.push_back(stretch);
    ends_.push_back(from(stretches_.size() - 1, stretch.lasts_s));
    length_s_ += stretch.lasts_s;
  }
  std::vector<Stretch> stretches_;
  std::vector<Jet> ends_;
  double length_s_ = 0.0;
};

}  // namespace

Fall fall(double drop_m, double accel_mps2) {
  // The discs give a little at each contact: so much less is fallen freely.
  double lo = 0.0, hi = drop_m;
  for (int i = 0; i < 60; ++i) {
    const double mid = 0.5 * (lo + hi);
    (Falling(mid, accel_mps2).travel_m() < drop_m ? lo : hi) = mid;
  }
  auto shape = std::make_shared<const Falling>(hi, accel_mps2);
  return {.shape = shape, .length_s = shape->length_s(), .lands_s = shape->lands_s()};
}

}  // namespace render
