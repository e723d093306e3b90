#include "libkinetics/sensor/time_column.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace kinetics::sensor_detail {
namespace {

// Rows a second a log can have. The ends lie less than a factor of 1000 apart, so that never two
// of s, ms, µs and ns fit.
constexpr double kShortestStep_s = 1.0 / 2500.0;
constexpr double kLongestStep_s = 1.0 / 3.0;

struct Steps {
  std::vector<double> positive;  // ascending
  std::size_t zero = 0;
  std::size_t back = 0;
  double mean = 0.0;  // time a row, holes left out

  [[nodiscard]] bool shared() const { return zero * 9 >= positive.size(); }
};

Steps steps_of(const std::vector<double>& values) {
  Steps steps;
  double previous = std::nan("");
  std::size_t row = 0;
  std::size_t first_new = 0;  // rows that bring a new stamp: what is before and after them is cut
  std::size_t last_new = 0;
  for (const double value : values) {
    if (!std::isfinite(value)) continue;
    ++row;
    if (std::isfinite(previous)) {
      const double step = value - previous;
      if (step > 0.0) {
        steps.positive.push_back(step);
        if (first_new == 0) first_new = row;
        last_new = row;
      } else if (step == 0.0) {
        ++steps.zero;
      } else {
        ++steps.back;
      }
    }
    previous = value;
  }
  std::sort(steps.positive.begin(), steps.positive.end());
  if (steps.positive.empty()) return steps;
  // A step far beyond the usual ones is a hole, not the pace of the rows.
  const double middle = steps.positive[steps.positive.size() / 2];
  double sum = 0.0;
  std::size_t counted = 0;
  for (const double step : steps.positive) {
    if (step > 5.0 * middle) break;
    sum += step;
    ++counted;
  }
  const double stamps = static_cast<double>(steps.positive.size());
  // A few doubled stamps are stragglers; where they are the rule, several rows share each.
  double rows_a_stamp = 1.0;
  if (steps.shared()) {
    rows_a_stamp = stamps >= 3.0 ? static_cast<double>(last_new - first_new) / (stamps - 1.0)
                                 : 1.0 + static_cast<double>(steps.zero) / stamps;
  }
  steps.mean = sum / static_cast<double>(counted) / rows_a_stamp;
  return steps;
}

bool plausible(double step_s) {
  return step_s >= kShortestStep_s && step_s <= kLongestStep_s;
}

// Largest step of which all steps are multiples, counted in the last printed digit.
double common_step(const Steps& steps, double digit) {
  std::int64_t common = 0;
  for (const double step : steps.positive) {
    const double whole = std::round(step / digit);
    if (!(whole < 9e15)) return digit;
    common = std::gcd(common, static_cast<std::int64_t>(whole));
    if (common == 1) break;
  }
  return std::max(digit, digit * static_cast<double>(common));
}

double usual_share(const Steps& steps) {
  std::size_t most = 0;
  std::size_t run = 0;
  for (std::size_t i = 0; i < steps.positive.size(); ++i) {
    const bool same =
        i > 0 && steps.positive[i] - steps.positive[i - 1] <= 1e-3 * steps.positive[i];
    run = same ? run + 1 : 1;
    most = std::max(most, run);
  }
  return static_cast<double>(most) / static_cast<double>(steps.positive.size());
}

std::optional<Unit> unit_by_pace(double step) {
  for (const std::string_view name : {"s", "ms", "us", "ns"}) {
    const Unit unit = unit_in(name);
    if (plausible(step * unit.in_si)) return unit;
  }
  return std::nullopt;
}

bool is_day_count(double first, double step) {
  // Days since 1899-12-30, as spreadsheets count: 2000-01-01 to 2100-01-01.
  return first > 36526.0 && first < 73051.0 && plausible(step * 86400.0) && !plausible(step);
}

double first_of(const HeadColumn& column) {
  for (const double value : column.values) {
    if (std::isfinite(value)) return value;
  }
  return 0.0;
}

}  // namespace

std::optional<TimeColumn> survey_times(const HeadColumn& column,
                                       const Unit& header_unit,
                                       bool insist) {
  if (!column.has_numbers()) return std::nullopt;
  const Steps steps = steps_of(column.values);
  const std::size_t forward = steps.positive.size();
  if (forward == 0 || steps.back * 10 > forward) return std::nullopt;

  TimeColumn time;
  time.written = column.stamps > column.numbers;
  const double first = first_of(column);
  if (time.written) {
    time.unit = unit_in("s");
    time.wall_clock = column.stamps_have_date;
    if (!plausible(steps.mean) && !insist) return std::nullopt;
  } else if (header_unit && (insist || plausible(steps.mean * header_unit.in_si))) {
    time.unit = header_unit;
    time.unit_from_header = true;
  } else if (is_day_count(first, steps.mean)) {
    time.unit = {UnitOf::kTime, 86400.0, "days"};
  } else if (const std::optional<Unit> unit = unit_by_pace(steps.mean)) {
    time.unit = *unit;
    time.unit_contradicts_header = bool(header_unit);
  } else {
    return std::nullopt;
  }
  time.to_s = time.unit.in_si;
  if (!time.written) {
    const double first_s = first * time.to_s;
    time.wall_clock = first_s > 9.0e8 && first_s < 7.3e9;  // 1998 to 2201
  }

  time.step_s = steps.mean * time.to_s;
  const double digit = std::pow(10.0, -column.decimals);
  time.resolution_s = common_step(steps, digit) * time.to_s;
  time.goes_back = steps.back * 100 > column.values.size();
  time.distinct = static_cast<double>(forward + 1) / static_cast<double>(column.values.size());
  time.group_s = steps.positive[forward / 2] * time.to_s;
  const bool one_step = usual_share(steps) >= 0.8;
  time.coarse = steps.shared() || (time.resolution_s >= 0.2 * time.step_s && !one_step);
  if (one_step && !steps.shared()) time.resolution_s = digit * time.to_s;
  return time;
}

}  // namespace kinetics::sensor_detail
