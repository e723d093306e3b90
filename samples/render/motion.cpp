#include "samples/render/motion.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

namespace render {
namespace {

constexpr double kGravity_mps2 = 9.80665;
// Step of the search for sign changes. Far below any feature a script can make.
constexpr double kScan_s = 0.0005;

class MinimumJerk : public Shape {
 public:
  Jet at(double s) const override {
    return {s * s * s * (10.0 + s * (6.0 * s - 15.0)),
            30.0 * s * s * (1.0 - s) * (1.0 - s),
            60.0 * s * (1.0 - s) * (1.0 - 2.0 * s)};
  }
};

class Turning : public Shape {
 public:
  Turning(double a0, double a1) : a0_(a0), a1_(a1) {}
  Jet at(double s) const override {
    // Quintic Hermite basis for accelerations on top of the minimum-jerk quintic.
    const double s2 = s * s, s3 = s2 * s, s4 = s3 * s, s5 = s4 * s;
    const Jet base = MinimumJerk().at(s);
    const Jet h0{0.5 * s2 - 1.5 * s3 + 1.5 * s4 - 0.5 * s5,
                 s - 4.5 * s2 + 6.0 * s3 - 2.5 * s4,
                 1.0 - 9.0 * s + 18.0 * s2 - 10.0 * s3};
    const Jet h1{
        0.5 * s3 - s4 + 0.5 * s5, 1.5 * s2 - 4.0 * s3 + 2.5 * s4, 3.0 * s - 12.0 * s2 + 10.0 * s3};
    return {base.value + a0_ * h0.value + a1_ * h1.value,
            base.rate + a0_ * h0.rate + a1_ * h1.rate,
            base.accel + a0_ * h0.accel + a1_ * h1.accel};
  }

 private:
  double a0_, a1_;
};

// A shape given by its rate; the travel is its integral by Gauss-Legendre quadrature, which for
// these smooth rates is exact to rounding.
class ByRate : public Shape {
 public:
  explicit ByRate(std::function<Jet(double)> rate) : rate_(std::move(rate)) {
    for (std::size_t k = 0; k < kCells; ++k)
      sums_[k + 1] = sums_[k] + integral(double(k) / kCells, double(k + 1) / kCells);
  }
  Jet at(double s) const override {
    const auto k = std::min(static_cast<std::size_t>(s * kCells), kCells - 1);
    const double total = sums_[kCells];
    const Jet r = rate_(s);
    return {(sums_[k] + integral(double(k) / kCells, s)) / total, r.value / total, r.rate / total};
  }

 private:
  static constexpr std::size_t kCells = 64;
  double integral(double from, double to) const {
    // Five-point Gauss-Legendre nodes and weights (Abramowitz & Stegun, table 25.4).
    constexpr std::array<double, 3> node{0.0, 0.538469310105683, 0.906179845938664};
    constexpr std::array<double, 3> weight{0.568888888888889, 0.478628670499366, 0.236926885056189};
    const double mid = 0.5 * (from + to), half = 0.5 * (to - from);
    double sum = weight[0] * rate_(mid).value;
    for (std::size_t i = 1; i < 3; ++i)
      sum += weight[i] * (rate_(mid - half * node[i]).value + rate_(mid + half * node[i]).value);
    return half * sum;
  }
  std::function<Jet(double)> rate_;
  std::array<double, kCells + 1> sums_{};
};

// Bisection to the last bits; f changes sign between a and b.
double root(const std::function<double(double)>& f, double a, double b) {
  const bool rises = f(a) < 0.0;
  for (int i = 0; i < 80; ++i) {
    const double m = 0.5 * (a + b);
    ((f(m) < 0.0) == rises ? a : b) = m;
  }
  return 0.5 * (a + b);
}

// First (or, when `last`, last) place in [from, to] where f passes zero in the given direction.
double crossing(const std::function<double(double)>& f,
                double from,
                double to,
                bool rising,
                bool last,
                double fallback) {
  double found = fallback;
  double a = from;
  for (int i = 1; a < to; ++i) {
    const double b = std::min(from + i * kScan_s, to);
    const double fa = f(a), fb = f(b);
    if (rising ? (fa < 0.0 && fb >= 0.0) : (fa >= 0.0 && fb < 0.0)) {
      found = root(f, a, b);
      if (!last) return found;
    }
    a = b;
  }
  return found;
}

double highest(const std::function<double(double)>& f, double from, double to) {
  double best = from;
  for (double t = from; t <= to; t += kScan_s)
    if (f(t) > f(best)) best = t;
  double a = std::max(best - kScan_s, from), b = std::min(best + kScan_s, to);
  for (int i = 0; i < 100; ++i) {  // ternary search
    const double p = a + (b - a) / 3.0, q = b - (b - a) / 3.0;
    (f(p) < f(q) ? a : b) = f(p) < f(q) ? p : q;
  }
  return 0.5 * (a + b);
}

}  // namespace

std::shared_ptr<const Shape> minimum_jerk() {
  static const auto shape = std::make_shared<const MinimumJerk>();
  return shape;
}

std::shared_ptr<const Shape> skewed(double a, double b) {
  return std::make_shared<const ByRate>([a, b](double s) {
    const double u = 1.0 - s;
    const double r = std::pow(s, a) * std::pow(u, b);
    return Jet{
        r,
        a * std::pow(s, a - 1.0) * std::pow(u, b) - b * std::pow(s, a) * std::pow(u, b - 1.0),
        0.0};
  });
}

std::shared_ptr<const Shape> two_humps(double depth, double where, double width) {
  return std::make_shared<const ByRate>([=](double s) {
    const Jet base = MinimumJerk().at(s);
    const double e = std::exp(-(s - where) * (s - where) / (width * width));
    const double de = -2.0 * (s - where) / (width * width) * e;
    return Jet{base.rate * (1.0 - depth * e),
               base.accel * (1.0 - depth * e) - base.rate * depth * de,
               0.0};
  });
}

std::shared_ptr<const Shape> turning(double accel_start, double accel_end) {
  return std::make_shared<const Turning>(accel_start, accel_end);
}

void Curve::move(double t0, double t1, double to, std::shared_ptr<const Shape> shape) {
  if (t1 <= t0 || (!moves_.empty() && t0 < moves_.back().t1 - 1e-9))
    throw std::logic_error("moves of a curve must follow each other");
  moves_.push_back({t0, t1, end_, to, std::move(shape)});
  end_ = to;
}

void Curve::wobble(double t0, double t1, double amplitude, double frequency_hz, double phase_rad) {
  if (t1 > t0) wobbles_.push_back({t0, t1, amplitude, frequency_hz, phase_rad});
}

Jet Curve::at(double t) const {
  Jet out{start_, 0.0, 0.0};
  const auto next = std::upper_bound(
      moves_.begin(), moves_.end(), t, [](double at, const Move& m) { return at < m.t0; });
  if (next != moves_.begin()) {
    const Move& m = *std::prev(next);
    const double span = m.t1 - m.t0, travel = m.to - m.from;
    if (t >= m.t1) {
      out.value = m.to;
    } else {
      const Jet j = m.shape->at((t - m.t0) / span);
      out = {m.from + travel * j.value, travel * j.rate / span, travel * j.accel / (span * span)};
    }
  }
  for (const Wobble& w : wobbles_) {
    if (t <= w.t0 || t >= w.t1) continue;
    // Fades over a second, or half the time there is.
    const double fade = std::min(1.0, 0.5 * (w.t1 - w.t0));
    const bool leaving = t > w.t1 - fade;
    const double sign = leaving ? -1.0 : 1.0;
    const double s = std::min(1.0, (leaving ? w.t1 - t : t - w.t0) / fade);
    Jet e = MinimumJerk().at(s);
    e = s < 1.0 ? Jet{e.value, sign * e.rate / fade, e.accel / (fade * fade)} : Jet{1.0, 0.0, 0.0};
    const double omega = 2.0 * std::numbers::pi * w.frequency_hz;
    const double angle = omega * (t - w.t0) + w.phase_rad;
    const Jet f{w.amplitude * std::sin(angle),
                w.amplitude * omega * std::cos(angle),
                -w.amplitude * omega * omega * std::sin(angle)};
    out.value += e.value * f.value;
    out.rate += e.rate * f.value + e.value * f.rate;
    out.accel += e.accel * f.value + 2.0 * e.rate * f.rate + e.value * f.accel;
  }
  return out;
}

RepTruth measure(const RepMark& mark, const Curve& height) {
  const auto velocity = [&](double t) { return height.at(t).rate; };
  const auto above = [&](double t) { return height.at(t).rate - kThreshold_mps; };
  const auto below = [&](double t) { return -height.at(t).rate - kThreshold_mps; };
  RepTruth out{.set = mark.set, .rep = mark.rep, .kind = mark.kind};

  // A wobble on top of the script can shift the crossings past the move's own ends a little.
  constexpr double kSlack_s = 0.1;
  const double peak = highest(velocity, mark.rise_start_s, mark.rise_end_s);
  const double early = std::max(mark.rise_start_s - kSlack_s, mark.descent_end_s);
  // The first crossing of the rise proper: any later one belongs to a dip inside it.
  out.start_s = crossing(above, early, peak, true, false, mark.rise_start_s);
  out.end_s = crossing(above, peak, mark.rise_end_s + kSlack_s, false, true, mark.rise_end_s);
  out.rom_m = height.at(out.end_s).value - height.at(out.start_s).value;
  out.mean_velocity_mps = out.rom_m / (out.end_s - out.start_s);
  out.peak_velocity_mps = velocity(peak);
  out.time_to_peak_s = peak - out.start_s;
  const double braking = crossing([&](double t) { return height.at(t).accel + kGravity_mps2; },
                                  out.start_s,
                                  out.end_s,
                                  false,
                                  false,
                                  out.end_s);
  out.propulsive_velocity_mps =
      (height.at(braking).value - height.at(out.start_s).value) / (braking - out.start_s);

  if (mark.descent_end_s > mark.descent_start_s) {
    const double lowering = highest(below, mark.descent_start_s, mark.descent_end_s);
    const double from = crossing(
        below, mark.descent_start_s - kSlack_s, lowering, true, false, mark.descent_start_s);
    const double to =
        crossing(below, lowering, mark.descent_end_s + kSlack_s, false, true, mark.descent_end_s);
    out.eccentric_s = to - from;
    out.eccentric_velocity_mps = (height.at(to).value - height.at(from).value) / out.eccentric_s;
    out.pause_s = out.start_s - to;
  }
  return out;
}

}  // namespace render
