#include "samples/simulate/sensor.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "samples/simulate/noise.h"
#include "samples/simulate/rig.h"

namespace simulate {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

constexpr double kStandardGravity_mps2 = 9.80665;
constexpr double kMilliG = 1e-3 * kStandardGravity_mps2;
constexpr double kMicroG = 1e-6 * kStandardGravity_mps2;
constexpr double kDegree = std::numbers::pi / 180.0;

// One three-axis sensor's errors, in its own units.
struct AxisErrors {
  double density, bias, walk, instability, scale, range;
};

// Turns a true reading into what the sensor gives out. Keeps the state of its wandering bias.
class Channel {
 public:
  Channel(const AxisErrors& errors, const ErrorSpec& all, double rate_hz, std::uint64_t seed)
      : errors_(errors), forgets_s_(all.instability_s), bits_(all.bits), normal_(seed) {
    noise_ = errors.density * std::sqrt(rate_hz);
    offset_ = errors.bias * normal_.draw3();
    wander_ = errors.instability * normal_.draw3();
    const double askew = all.misalignment_deg * kDegree;
    for (int row = 0; row < 3; ++row)
      for (int column = 0; column < 3; ++column)
        shape_(row, column) =
            row == column ? 1.0 + errors.scale * normal_.draw() : askew * normal_.draw();
  }

  // `own_noise` is added before the reading is cut off and rounded.
  Vector3d read(const Vector3d& truth, double dt_s, const Vector3d& own_noise) {
    if (dt_s > 0.0) {
      offset_ += errors_.walk * std::sqrt(dt_s) * normal_.draw3();
      // First-order Gauss–Markov, exact over the step.
      const double keep = std::exp(-dt_s / forgets_s_);
      wander_ =
          keep * wander_ + errors_.instability * std::sqrt(1.0 - keep * keep) * normal_.draw3();
    }
    Vector3d out = shape_ * truth + offset_ + wander_ + noise_ * normal_.draw3() + own_noise;
    if (errors_.range <= 0.0) return out;
    const double step = bits_ > 0 ? errors_.range / std::pow(2.0, bits_ - 1) : 0.0;
    for (double& value : out) {
      value = std::clamp(value, -errors_.range, errors_.range);
      if (step > 0.0) value = std::min(std::round(value / step) * step, errors_.range - step);
    }
    return out;
  }

 private:
  AxisErrors errors_;
  double forgets_s_;
  int bits_;
  Normal normal_;
  double noise_ = 0.0;
  Vector3d offset_ = Vector3d::Zero(), wander_ = Vector3d::Zero();
  Matrix3d shape_ = Matrix3d::Identity();
};

Channel accelerometer(const ErrorSpec& e, double rate_hz, std::uint64_t seed) {
  return Channel({.density = e.accel_noise_ug_rthz * kMicroG,
                  .bias = e.accel_bias_mg * kMilliG,
                  .walk = e.accel_walk_ug_rts * kMicroG,
                  .instability = e.accel_instability_mg * kMilliG,
                  .scale = 0.01 * e.accel_scale_pct,
                  .range = e.accel_range_g * kStandardGravity_mps2},
                 e,
                 rate_hz,
                 seed);
}

Channel gyroscope(const ErrorSpec& e, double rate_hz, std::uint64_t seed) {
  return Channel({.density = e.gyro_noise_dps_rthz * kDegree,
                  .bias = e.gyro_bias_dps * kDegree,
                  .walk = e.gyro_walk_dps_rts * kDegree,
                  .instability = e.gyro_instability_dps * kDegree,
                  .scale = 0.01 * e.gyro_scale_pct,
                  .range = e.gyro_range_dps * kDegree},
                 e,
                 rate_hz,
                 seed);
}

// The sensor's low-pass filter, as a weighted mean over the time before the sample.
class Filter {
 public:
  Filter(double half_power_hz) {
    if (half_power_hz <= 0.0) return;
    // A Hann window of length L has half its power at 0.72/L (F. J. Harris, Proc IEEE 1978;
    // 66:51–83, table 1: a main lobe 1.44 bins wide at −3 dB).
    length_s_ = 0.72 / half_power_hz;
    constexpr double kNode_s = 0.0005;  // ten a period of the highest ring
    const int nodes = std::clamp(static_cast<int>(length_s_ / kNode_s), 8, 200);
    double sum = 0.0;
    for (int k = 0; k < nodes; ++k) {
      const double s = (k + 0.5) / nodes;
      nodes_.push_back({-length_s_ * s, 1.0 - std::cos(2.0 * std::numbers::pi * s)});
      sum += nodes_.back().weight;
    }
    for (Node& node : nodes_) node.weight /= sum;
  }
  // The window is symmetric: what it tells is true of its middle.
  [[nodiscard]] double lag_s() const { return nodes_.empty() ? 0.0 : 0.5 * length_s_; }
  RigState at(const Rig& rig, double t) const {
    RigState out = rig.at(t);
    if (nodes_.empty()) return out;
    out.specific_force_mps2.setZero(), out.rate_radps.setZero();
    for (const Node& node : nodes_) {
      const RigState one = rig.at(t + node.ago_s);
      out.specific_force_mps2 += node.weight * one.specific_force_mps2;
      out.rate_radps += node.weight * one.rate_radps;
    }
    return out;
  }

 private:
  struct Node {
    double ago_s, weight;
  };
  std::vector<Node> nodes_;
  double length_s_ = 0.0;
};

// When rows are taken, in the clip's time, and what the log's clock says then.
struct Instant {
  double t_s, stamp_s;
};

std::vector<Instant> instants(
    const SensorSpec& spec, double rate_hz, double from_s, double to_s, Normal& normal) {
  const ClockSpec& clock = spec.clock;
  const double step = 1.0 / rate_hz, fast = 1.0 + 1e-6 * clock.skew_ppm;
  std::vector<Instant> out;
  double packet_s = 0.0;
  for (std::int64_t k = 0;; ++k) {
    const double planned = from_s + double(k) * step;
    if (planned > to_s) break;
    double t = planned;
    if (clock.jitter_s > 0.0)
      t += std::clamp(clock.jitter_s * normal.draw(), -0.45 * step, 0.45 * step);
    double stamp = (t - from_s) * fast;
    if (clock.stamp_error_s > 0.0) stamp += clock.stamp_error_s * normal.draw();
    if (k % clock.rows_a_packet == 0) packet_s = stamp;
    out.push_back({t, clock.rows_a_packet > 1 ? packet_s : stamp});
  }
  return out;
}

class Recorder {
 public:
  Recorder(const render::BarMotion& bar,
           const std::string& lift,
           const SensorSpec& spec,
           std::uint64_t seed)
      : bar_(bar),
        spec_(spec),
        seed_(seed),
        rig_(bar, lift, spec, seed),
        filter_(spec.errors.filter_hz.value_or(0.5 * spec.rate_hz)) {}

  std::vector<Row> record(double from_s, double rate_hz, std::uint64_t stream) const {
    Normal normal(seed_ + 101 * stream);
    Channel accel = accelerometer(spec_.errors, rate_hz, seed_ + 11);
    Channel gyro = gyroscope(spec_.errors, rate_hz, seed_ + 12);
    const Filter filter(spec_.errors.filter_hz.value_or(0.5 * rate_hz));
    const double to_s = bar_.end_s + spec_.ends_after_s;
    const bool position = spec_.kind == "position";
    std::vector<Row> rows;
    double before = from_s;
    for (const Instant& now : instants(spec_, rate_hz, from_s, to_s, normal)) {
      Row row{.stamp_s = now.stamp_s};
      if (position) {
        row.height_m = cable_length(now.t_s, normal);
      } else {
        const RigState state = filter.at(rig_, now.t_s);
        const Vector3d rattle = rattling(now.t_s, normal);
        row.accel_mps2 = accel.read(state.specific_force_mps2, now.t_s - before, rattle);
        row.rate_radps =
            gyro.read(state.rate_radps, now.t_s - before, per_g_ * state.specific_force_mps2);
      }
      before = now.t_s;
      if (!lost(now.t_s, normal)) rows.push_back(row);
    }
    disturb_order(rows, normal);
    return rows;
  }
  [[nodiscard]] double lag_s() const { return spec_.kind == "position" ? 0.0 : filter_.lag_s(); }
  void set_gyro_per_g(Normal& normal) {
    const double sigma = spec_.errors.gyro_per_g_dps * kDegree / kStandardGravity_mps2;
    for (double& value : per_g_.reshaped()) value = sigma * normal.draw();
  }

 private:
  Vector3d rattling(double t, Normal& normal) const {
    if (spec_.shake.rattle_mps2 <= 0.0) return Vector3d::Zero();
    const double share = std::min(1.0, rig_.bar_speed_mps(t) / 0.5);
    return spec_.shake.rattle_mps2 * share * normal.draw3();
  }
  // A cable runs from the floor, near under where the lifts are done, to the bar's end. It is read
  // from the log's first row on.
  double cable_length(double t, Normal& normal) const {
    const auto length = [&](double at) {
      return std::hypot(bar_.height.at(at).value,
                        bar_.x.at(at).value + spec_.errors.cable_aside_m,
                        bar_.depth.at(at).value);
    };
    const double noise = 1e-3 * spec_.errors.height_noise_mm * normal.draw();
    const double drawn = length(t) - length(-spec_.starts_before_s) + noise;
    const double step = 1e-3 * spec_.errors.height_step_mm;
    return step > 0.0 ? std::round(drawn / step) * step : drawn;
  }
  bool lost(double t, Normal& normal) const {
    const ClockSpec& clock = spec_.clock;
    if (clock.dropped_share > 0.0 && normal.dice().chance(clock.dropped_share)) return true;
    for (const GapSpec& gap : clock.gaps)
      if (t >= gap.at_s && t < gap.at_s + gap.length_s) return true;
    return clock.awake_s > 0.0 && !rig_.stirs(t, clock.awake_s);
  }
  void disturb_order(std::vector<Row>& rows, Normal& normal) const {
    const ClockSpec& clock = spec_.clock;
    if (clock.swapped_share > 0.0)
      for (std::size_t k = 1; k + 1 < rows.size(); ++k)
        if (normal.dice().chance(clock.swapped_share)) std::swap(rows[k], rows[k + 1]), ++k;
    if (clock.repeated_share <= 0.0) return;
    std::vector<Row> out;
    for (const Row& row : rows) {
      out.push_back(row);
      if (normal.dice().chance(clock.repeated_share)) out.push_back(row);
    }
    rows = std::move(out);
  }

  const render::BarMotion& bar_;
  const SensorSpec& spec_;
  std::uint64_t seed_;
  Rig rig_;
  Filter filter_;
  Matrix3d per_g_ = Matrix3d::Zero();
};

LogTruth truth_of(const render::BarMotion& bar, const SensorSpec& spec, double first_stamp_s) {
  const double fast = 1.0 + 1e-6 * spec.clock.skew_ppm;
  LogTruth out{.first_row_in_clip_s = -spec.starts_before_s + first_stamp_s / fast,
               .skew_ppm = spec.clock.skew_ppm,
               .gravity_mps2 = gravity_mps2(spec)};
  for (const render::RepMark& mark : bar.reps) {
    render::RepTruth rep = render::measure(mark, bar.height);
    out.reps_in_clip.push_back(rep);
    rep.start_s = (rep.start_s - out.first_row_in_clip_s) * fast;
    rep.end_s = (rep.end_s - out.first_row_in_clip_s) * fast;
    out.reps.push_back(rep);
  }
  return out;
}

}  // namespace

SimulatedLog simulate_log(const render::Scene& scene, const SensorSpec& spec) {
  const render::BarMotion bar = render::script_motion(scene.motion, scene.seed);
  SensorSpec full = spec;
  for (const render::PlateChangeSpec& change : scene.plate_changes)
    full.plates_changed_s.push_back(change.at_s);
  // Another stream of draws than the script's own.
  const std::uint64_t seed = (spec.seed != 0 ? spec.seed : scene.seed) * 0x9E3779B97F4A7C15ULL + 5;
  Recorder recorder(bar, scene.motion.sets.front().lift, full, seed);
  Normal normal(seed + 3);
  recorder.set_gyro_per_g(normal);
  SimulatedLog out;
  out.rows = recorder.record(-spec.starts_before_s, spec.rate_hz, 1);
  const double first_s = out.rows.empty() ? 0.0 : out.rows.front().stamp_s;
  if (spec.file.gyro_file && spec.gyroscope) {
    const double rate_hz = spec.clock.gyro_rate_hz > 0.0 ? spec.clock.gyro_rate_hz : spec.rate_hz;
    out.gyro_rows = recorder.record(-spec.starts_before_s + spec.clock.gyro_late_s, rate_hz, 2);
  }
  for (Row& row : out.gyro_rows) row.stamp_s += spec.clock.gyro_late_s - first_s;
  for (Row& row : out.rows) row.stamp_s -= first_s;
  out.truth = truth_of(bar, full, first_s);
  out.truth.lag_s = recorder.lag_s();
  return out;
}

}  // namespace simulate
