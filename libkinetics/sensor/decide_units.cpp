#include "libkinetics/sensor/decide_units.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <fmt/format.h>

#include "libkinetics/core/median.h"

namespace kinetics::sensor_detail {
namespace {

// Cheap sensors are off by some per cent; a bar held unsteadily adds some more.
constexpr double kLeastRest_g = 0.75;
constexpr double kMostRest_g = 1.30;
// Below this nothing of gravity is left.
constexpr double kNoGravity_g = 0.40;
// No gyroscope of this size turns faster: 4000 deg/s.
constexpr double kFastestTurn_radps = 70.0;

std::vector<Eigen::Vector3d> vectors_of(const HeadTable& table,
                                        const Triple& columns,
                                        const Triple* also = nullptr) {
  std::vector<Eigen::Vector3d> vectors(table.rows);
  for (int axis = 0; axis < 3; ++axis) {
    const auto& values = table.columns[columns[static_cast<std::size_t>(axis)]].values;
    for (std::size_t i = 0; i < table.rows; ++i) vectors[i][axis] = values[i];
    if (also == nullptr) continue;
    const auto& more = table.columns[(*also)[static_cast<std::size_t>(axis)]].values;
    for (std::size_t i = 0; i < table.rows; ++i) vectors[i][axis] += more[i];
  }
  return vectors;
}

bool is_g(double rest, double one_g) {
  return rest > kLeastRest_g * one_g && rest < kMostRest_g * one_g;
}

// What the vertical did within a fifth of a second: as felt, and as the gyroscope has it if its
// unit were rad/s.
struct TiltStep {
  Eigen::Vector3d felt, told;
};

// How the accelerometer's tilt follows the gyroscope.
struct TiltFit {
  double factor = 0.0;       // rad/s in one unit of the gyroscope
  double correlation = 0.0;  // 1: the one explains the other
  std::vector<TiltStep> steps;

  // Mean square of what one unit of so many rad/s leaves unexplained. A fast turn need not be
  // followed to be believed: where the vertical stood, there was none.
  [[nodiscard]] double miss(double unit_radps) const {
    constexpr double kFollowed = 0.9;
    constexpr double kStood = 0.3;
    double sum = 0.0;
    double count = 0.0;
    for (const TiltStep& s : steps) {
      Eigen::Vector3d told = unit_radps * s.told;
      if (told.norm() > kFollowed) {
        if (s.felt.norm() > kStood) continue;
        told *= kFollowed / told.norm();
      }
      sum += (s.felt - told).squaredNorm();
      count += 1.0;
    }
    return count > 0.0 ? sum / count : 0.0;
  }
};

// One unit is likelier than the other when it leaves so much less of the tilt unexplained; a header
// is overruled only by a clear case.
constexpr double kLikelier = 1.25;
constexpr double kClearly = 2.0;
constexpr std::size_t kFewestSteps = 10;

// A direction fixed in the room, seen from a body that turns at ω, moves as u' = −ω × u (Poisson's
// formula); held against the gyroscope over a fifth of a second at a time.
TiltFit fit_tilt(const std::vector<Eigen::Vector3d>& accel,
                 const std::vector<Eigen::Vector3d>& gyro,
                 double step_s,
                 double rest) {
  const std::size_t width = std::max<std::size_t>(2, std::lround(0.2 / step_s));
  TiltFit fit;
  double dp = 0.0;
  double pp = 0.0;
  double dd = 0.0;
  // Its offset is no turn.
  Eigen::Vector3d offset = Eigen::Vector3d::Zero();
  for (int axis = 0; axis < 3; ++axis) {
    std::vector<double> values;
    for (const Eigen::Vector3d& rate : gyro) {
      if (std::isfinite(rate[axis])) values.push_back(rate[axis]);
    }
    if (!values.empty()) offset[axis] = median_of(std::move(values));
  }
  for (std::size_t i = 0; i + width < accel.size(); i += std::max<std::size_t>(1, width / 2)) {
    const Eigen::Vector3d& from = accel[i];
    const Eigen::Vector3d& to = accel[i + width];
    // Only where the sensor hardly accelerates does it feel the vertical; straight up or down, as a
    // bar mostly does, it still points there.
    const auto off = [&](const Eigen::Vector3d& v) { return std::abs(v.norm() - rest) / rest; };
    const double most_off = std::max(off(from), off(to));
    if (!(most_off < 0.3)) continue;
    Eigen::Vector3d turn = 0.5 * (gyro[i] + gyro[i + width]);
    for (std::size_t j = i + 1; j < i + width; ++j) turn += gyro[j];
    turn = step_s * (turn - static_cast<double>(width) * offset);
    const Eigen::Vector3d change = to.normalized() - from.normalized();
    if (!turn.allFinite() || !change.allFinite() || change.norm() > 0.9) continue;
    const Eigen::Vector3d predicted = -turn.cross((from.normalized() + to.normalized()) / 2.0);
    fit.steps.push_back({change, predicted});
    if (most_off >= 0.08 || change.norm() < 0.05) continue;
    dp += change.dot(predicted);
    pp += predicted.squaredNorm();
    dd += change.squaredNorm();
  }
  if (!(pp > 0.0) || !(dd > 0.0)) return fit;
  fit.factor = dp / pp;
  fit.correlation = dp / std::sqrt(pp * dd);
  return fit;
}

constexpr std::string_view kOverruleAccel = "Overrule with --units, for example --units accel=g.";
constexpr std::string_view kOverruleGyro = "Overrule with --units, for example --units gyro=deg/s.";

Decision raw_rotation_counts(const TiltFit& fit) {
  // Sensitivities in use, counts per deg/s.
  static constexpr double kCounts[] = {131.0, 114.3, 65.5, 57.1, 32.8, 28.57, 16.4, 14.29};
  Decision decision;
  if (fit.correlation < 0.7) {
    decision.usable = false;
    decision.notes.push_back(
        {NoteKind::kCaution,
         "The rotation rates are raw counts of unknown scale and are left out. State the scale, "
         "for example --units gyro=16.4/deg/s."});
    return decision;
  }
  double counts = kDegree / fit.factor;
  for (const double known : kCounts) {
    if (std::abs(counts / known - 1.0) < 0.07) counts = known;
  }
  decision.to_si = kDegree / counts;
  decision.says = fmt::format("raw counts, {:.4g} to 1 deg/s by how the tilt turns", counts);
  decision.notes.push_back(
      {NoteKind::kCaution,
       fmt::format("The rotation rates are raw counts; {:.4g} counts are taken as 1 deg/s, because "
                   "then they agree with the tilt. Overrule with --units gyro=N/deg/s.",
                   counts)});
  return decision;
}

}  // namespace

Rest rest_of(const HeadTable& table, const Triple& columns, double step_s, const Triple* also) {
  const std::vector<Eigen::Vector3d> vectors = vectors_of(table, columns, also);
  const std::size_t width =
      std::clamp<std::size_t>(static_cast<std::size_t>(0.5 / std::max(step_s, 1e-4)), 4, 2000);
  struct Stretch {
    double unrest;
    double length;
  };
  std::vector<Stretch> stretches;
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  double squares = 0.0;
  std::size_t count = 0;
  const auto close = [&] {
    if (count > 0) {
      const Eigen::Vector3d mean = sum / static_cast<double>(count);
      const double variance = squares / static_cast<double>(count) - mean.squaredNorm();
      stretches.push_back({std::sqrt(std::max(0.0, variance)), mean.norm()});
    }
    sum.setZero();
    squares = 0.0;
    count = 0;
  };
  for (const Eigen::Vector3d& v : vectors) {
    if (!v.allFinite()) continue;
    sum += v;
    squares += v.squaredNorm();
    if (++count == width) close();
  }
  if (stretches.empty()) close();
  std::erase_if(stretches, [](const Stretch& s) {
    return !std::isfinite(s.unrest) || !std::isfinite(s.length);
  });
  if (stretches.empty()) return {};
  std::sort(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) {
    return a.unrest < b.unrest;
  });
  std::vector<double> lengths;
  for (std::size_t i = 0; i <= (stretches.size() - 1) / 4; ++i) {
    lengths.push_back(stretches[i].length);
  }
  const double middle = median_of(lengths);
  for (double& length : lengths) length = std::abs(length - middle);
  return {.magnitude = middle, .spread = middle > 0.0 ? median_of(lengths) / middle : 1.0};
}

Decision decide_acceleration(const Rest& rest, const Unit& given, const Unit& header) {
  Decision decision;
  const Unit by_rest = is_g(rest.magnitude, 1.0)                ? unit_in("g")
                       : is_g(rest.magnitude, kStandardGravity) ? unit_in("m/s2")
                       : is_g(rest.magnitude, 1000.0)           ? unit_in("mg")
                                                                : Unit{};
  const Unit& stated = given ? given : header;
  const double stated_rest_g = rest.magnitude * stated.in_si / kStandardGravity;
  if (stated && stated_rest_g > kLeastRest_g && stated_rest_g < kMostRest_g) {
    decision.to_si = stated.in_si;
    decision.says = stated.name + (given ? ", as given" : ", from the header");
    return decision;
  }
  // At rest near zero in whatever unit could be meant: gravity was taken out, or the log is of
  // something else.
  const bool no_gravity =
      stated ? stated_rest_g < kNoGravity_g && !by_rest : rest.magnitude < kNoGravity_g;
  if (no_gravity) {
    decision.usable = false;
    return decision;
  }
  if (given) {
    decision.to_si = given.in_si;
    decision.says = given.name + ", as given";
    decision.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("In {}, as --units says, the acceleration at rest is {:.3g} m/s² instead of "
                     "about 9.8 m/s².",
                     given.name,
                     rest.magnitude * given.in_si)});
  } else if (by_rest) {
    decision.to_si = by_rest.in_si;
    decision.says = fmt::format("{}, because it is {:.4g} at rest", by_rest.name, rest.magnitude);
    if (header) {
      decision.notes.push_back(
          {NoteKind::kCaution,
           fmt::format("The header says {}, but the acceleration at rest is {:.4g}: it is read as "
                       "{}. {}",
                       header.name,
                       rest.magnitude,
                       by_rest.name,
                       kOverruleAccel)});
    }
  } else if (header && stated_rest_g > 0.5 && stated_rest_g < 2.0) {
    decision.to_si = header.in_si;
    decision.says = header.name + ", from the header";
    decision.notes.push_back(
        {NoteKind::kCaution,
         fmt::format(
             "In {} the acceleration at rest is {:.3g} g instead of 1 g: the sensor's scale "
             "is far off, or it is never at rest.",
             header.name,
             stated_rest_g)});
  } else {
    decision.to_si = kStandardGravity / rest.magnitude;
    decision.counts = true;
    decision.says = fmt::format("raw counts, {:.5g} to 1 g at rest", rest.magnitude);
    decision.notes.push_back(
        {NoteKind::kCaution,
         fmt::format(
             "The acceleration is in no known unit ({:.5g} at rest): its quietest stretches "
             "are taken as 1 g. {}",
             rest.magnitude,
             kOverruleAccel)});
  }
  return decision;
}

Decision decide_rotation(const HeadTable& table,
                         const Triple& gyro,
                         const Triple* accel,
                         double step_s,
                         const Unit& given,
                         const Unit& header,
                         bool accel_in_counts) {
  Decision decision;
  if (given) {
    decision.to_si = given.in_si;
    decision.says = given.name + ", as given";
    return decision;
  }
  const std::vector<Eigen::Vector3d> rates = vectors_of(table, gyro);
  std::vector<double> sizes;
  for (const Eigen::Vector3d& rate : rates) {
    if (rate.allFinite()) sizes.push_back(rate.norm());
  }
  if (sizes.empty()) {
    decision.usable = false;
    return decision;
  }
  std::sort(sizes.begin(), sizes.end());
  const double most = sizes[sizes.size() - 1 - sizes.size() / 500];
  const double usual = sizes[sizes.size() / 2];
  TiltFit fit;
  if (accel != nullptr) {
    const Rest rest = rest_of(table, *accel, step_s);
    fit = fit_tilt(vectors_of(table, *accel), rates, step_s, rest.magnitude);
  }
  // Turning the other way throughout, as where all three axes were negated.
  const double sense = fit.correlation < -0.8 ? -1.0 : 1.0;
  fit.correlation *= sense;
  fit.factor *= sense;
  if (sense < 0.0) {
    decision.notes.push_back({NoteKind::kCaution,
                              "The tilt turns the opposite way of the rotation rate: its sign is "
                              "turned round on all axes."});
  }
  for (TiltStep& step : fit.steps) step.told *= sense;
  const double off = fit.factor / header.in_si;
  const bool tilt_agrees = fit.correlation < 0.8 || (off > 0.125 && off < 8.0) ||
                           fit.steps.size() < kFewestSteps ||
                           fit.miss(header.in_si) < kClearly * fit.miss(fit.factor);
  if (header && most * header.in_si < kFastestTurn_radps && tilt_agrees) {
    decision.to_si = sense * header.in_si;
    decision.says = header.name + ", from the header";
    return decision;
  }
  bool whole = true;
  for (const std::size_t column : gyro) whole = whole && table.columns[column].whole_numbers;
  // Quicker than any gyroscope reads even in deg/s, or whole numbers that are large at rest.
  if (most > kFastestTurn_radps / kDegree || (whole && accel_in_counts) ||
      (whole && most > 1000.0 && fit.correlation > 0.7 && fit.factor < 0.3 * kDegree)) {
    Decision counts = raw_rotation_counts(fit);
    counts.to_si *= sense;
    counts.notes.insert(counts.notes.begin(), decision.notes.begin(), decision.notes.end());
    return counts;
  }
  const double miss_degrees = fit.miss(kDegree);
  const double miss_radians = fit.miss(1.0);
  const bool clear =
      fit.steps.size() >= kFewestSteps &&
      std::max(miss_degrees, miss_radians) > kLikelier * std::min(miss_degrees, miss_radians);
  std::string why;
  bool degrees = true;
  if (most > kFastestTurn_radps) {
    why = fmt::format("because it reaches {:.4g}", most);
  } else if (clear) {
    degrees = miss_degrees < miss_radians;
    why = "because then it agrees with how the tilt turns";
  } else {
    // Radians hardly leave zero in a bar that does not turn; degrees show noise and offset.
    degrees = usual > 0.12 || most > 15.0;
    why = fmt::format("because it is {:.3g} most of the time", usual);
  }
  const Unit unit = unit_in(degrees ? "deg/s" : "rad/s");
  decision.to_si = sense * unit.in_si;
  decision.says = unit.name + ", " + why;
  if (header && unit.name != header.name) {
    decision.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("The header says {}, but the rotation rate is read as {}, {}. {}",
                     header.name,
                     unit.name,
                     why,
                     kOverruleGyro)});
  }
  return decision;
}

Decision decide_height(const HeadColumn& column, const Unit& given, const Unit& header) {
  Decision decision;
  if (given || header) {
    const Unit& unit = given ? given : header;
    decision.to_si = unit.in_si;
    decision.says = unit.name + (given ? ", as given" : ", from the header");
    return decision;
  }
  std::vector<double> values;
  for (const double value : column.values) {
    if (std::isfinite(value)) values.push_back(value);
  }
  if (values.empty()) {
    decision.usable = false;
    return decision;
  }
  std::sort(values.begin(), values.end());
  const double range =
      values[values.size() - 1 - values.size() / 200] - values[values.size() / 200];
  // A bar travels 0.15 to 2.2 m in a log.
  const Unit unit = unit_in(range < 3.0 ? "m" : range < 150.0 ? "cm" : "mm");
  decision.to_si = unit.in_si;
  decision.says = fmt::format("{}, because it covers {:.3g}", unit.name, range);
  decision.notes.push_back(
      {NoteKind::kCaution,
       fmt::format("No unit is stated for the height; it covers {:.3g} and is read as {}. Overrule "
                   "with --units, for example --units height=mm.",
                   range,
                   unit.name)});
  return decision;
}

}  // namespace kinetics::sensor_detail
