#include "libkinetics/sensor/choose_time.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace kinetics::sensor_detail {
namespace {

// Whole seconds in one column, milliseconds or microseconds of the second in another: their sum is
// the time. The second runs over wherever the first steps on, and nowhere else.
void add_fraction(ChosenTime& chosen, const HeadTable& table, const Columns& columns) {
  const HeadColumn& whole = table.columns[chosen.column];
  for (const std::size_t column : columns.times) {
    const HeadColumn& part = table.columns[column];
    if (column == chosen.column || part.stamps > 0 || !part.whole_numbers || !part.numeric()) {
      continue;
    }
    const double most = *std::max_element(part.values.begin(), part.values.end());
    const double to_s = most < 1000.0 ? 1e-3 : 1e-6;
    std::size_t unlike = 0;
    HeadColumn sum = whole;
    for (std::size_t i = 0; i < table.rows; ++i) {
      if (!(part.values[i] >= 0.0) || part.values[i] * to_s >= 1.0) ++unlike;
      if (i > 0 && part.values[i] < part.values[i - 1] && whole.values[i] == whole.values[i - 1]) {
        ++unlike;
      }
      sum.values[i] += part.values[i] * to_s / chosen.time.to_s;
    }
    sum.decimals = most < 1000.0 ? 3 : 6;
    const std::optional<TimeColumn> time = survey_times(sum, chosen.time.unit);
    if (unlike * 50 > table.rows || !time || time->coarse) continue;
    const bool written = chosen.time.written;
    chosen.time = *time;
    chosen.time.written = written;
    chosen.fraction = column;
    chosen.fraction_to_s = to_s;
    return;
  }
}

}  // namespace

double first_number(const HeadColumn& column) {
  const auto& values = column.values;
  const auto found =
      std::find_if(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
  return found == values.end() ? 0.0 : *found;
}

std::optional<ChosenTime> choose_time(const HeadTable& table,
                                      const Columns& columns,
                                      const std::vector<Meaning>& meanings,
                                      const Unit& given) {
  std::optional<ChosenTime> best;
  const auto rank = [](const TimeColumn& time) {
    return std::tuple(!time.goes_back,

                      std::round(time.distinct * 20.0),
                      !time.coarse,
                      -std::ceil(std::log10(time.resolution_s)));
  };
  for (const std::size_t column : columns.times) {
    const bool insist = bool(given) || columns.given;
    const Unit& unit = given ? given : meanings[column].unit;
    const std::optional<TimeColumn> time = survey_times(table.columns[column], unit, insist);
    if (time && (!best || rank(*time) > rank(best->time)))
      best = ChosenTime{column, *time, {}, 0.0};
  }
  if (best && best->time.coarse && best->time.resolution_s > 0.99)
    add_fraction(*best, table, columns);
  return best;
}

double started_unix_s(const HeadTable& table,
                      const Columns& columns,
                      const std::vector<Meaning>& meanings,
                      const std::optional<ChosenTime>& chosen) {
  const auto first = [&](std::size_t column) { return first_number(table.columns[column]); };
  if (chosen && chosen->time.wall_clock) return first(chosen->column) * chosen->time.to_s;
  for (const std::size_t column : columns.times) {
    if (table.columns[column].stamps_have_date) return first(column);
    const std::optional<TimeColumn> time =
        survey_times(table.columns[column], meanings[column].unit);
    if (time && time->wall_clock) return first(column) * time->to_s;
  }
  if (columns.date && table.columns[*columns.date].stamps_have_date) {
    const bool clock = chosen && chosen->time.written;
    return first(*columns.date) + (clock ? first(chosen->column) : 0.0);
  }
  return 0.0;
}

}  // namespace kinetics::sensor_detail
