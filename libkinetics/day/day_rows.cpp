#include "libkinetics/day/day_rows.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cstddef>
#include <map>
#include <numbers>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/roster/names.h"
#include "libkinetics/sheet/plan_set.h"

namespace kinetics {
namespace {

constexpr double kSecondsPerHour = 3600.0;
constexpr double kSecondsPerMinute = 60.0;

// The number at the front of `text`, which it is cut off from.
std::optional<int> take_number(std::string_view& text) {
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || value < 0) return std::nullopt;
  text.remove_prefix(static_cast<std::size_t>(end - text.data()));
  return value;
}

std::optional<int> place_in_order(std::string_view text) {
  const std::optional<int> place = take_number(text);
  if (!place || !(text.empty() || text == ".")) return std::nullopt;
  return place;
}

std::string alike(const SheetRow& row, const std::string& bar) {
  std::string out = folded(row.lift) + '|' + folded(bar);
  if (row.box_height_m) out += fmt::format("|{:.0f} cm", *row.box_height_m * 100.0);
  return out;
}

DayRow as_day_row(const Sheet& sheet, const SheetRow& row, const Roster* roster) {
  DayRow out{.row = row.row,
             .lifter = row.lifter,
             .lift = alike(row, row.bar),
             .start_s = time_of_day_s(row.start),
             .planned_reps = row.planned_reps};
  if (roster == nullptr) return out;
  const PlannedSet planned = plan_set(sheet, row, roster);
  out.lifter = planned.plan.lifter;
  out.lift = alike(row, planned.plan.bar);
  const double sigma_m = planned.height_sigma_m;
  if (planned.lockout_height_m) {
    out.usual_lockout_m = Measured(*planned.lockout_height_m, sigma_m);
    if (planned.bottom_height_m) {
      out.usual_rom_m = Measured(*planned.lockout_height_m - *planned.bottom_height_m,
                                 std::numbers::sqrt2 * sigma_m);
    }
  }
  return out;
}

// What each row is sorted by, when all have it.
template <typename KeyOf>
std::optional<std::vector<double>> keys(const std::vector<SheetRow>& rows, KeyOf key_of) {
  std::vector<double> out;
  for (const SheetRow& row : rows) {
    const auto key = key_of(row);
    if (!key) return std::nullopt;
    out.push_back(static_cast<double>(*key));
  }
  return out;
}

// Whether each lifter's rows follow each other, for more than one lifter with more than one row.
bool lifter_by_lifter(const std::vector<SheetRow>& rows) {
  std::set<std::string> done;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::string name = folded(rows[i].lifter);
    if (i > 0 && same_name(rows[i - 1].lifter, name)) continue;
    if (!done.insert(name).second) return false;
  }
  return done.size() > 1 && rows.size() > done.size();
}

// The number of each row's set among its lifter's.
std::vector<double> counted_sets(const std::vector<SheetRow>& rows) {
  std::map<std::string, int> count;
  std::vector<double> out;
  out.reserve(rows.size());
  for (const SheetRow& row : rows) out.push_back(++count[folded(row.lifter)]);
  return out;
}

}  // namespace

std::optional<double> time_of_day_s(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front())) != 0) {
    text.remove_prefix(1);
  }
  const auto hours = take_number(text);
  if (!hours || text.empty() || (text.front() != ':' && text.front() != 'h')) return std::nullopt;
  text.remove_prefix(1);
  const auto minutes = take_number(text);
  if (!minutes || *minutes > 59 || *hours > 23) return std::nullopt;
  int seconds = 0;
  if (!text.empty() && text.front() == ':') {
    text.remove_prefix(1);
    const auto given = take_number(text);
    if (!given || *given > 59) return std::nullopt;
    seconds = *given;
  }
  int hour = *hours;
  const std::string half = folded(text);
  if (half == "am" || half == "pm") {
    if (hour < 1 || hour > 12) return std::nullopt;
    hour = hour % 12 + (half == "pm" ? 12 : 0);
  } else if (!half.empty()) {
    return std::nullopt;
  }
  return hour * kSecondsPerHour + *minutes * kSecondsPerMinute + seconds;
}

DayPlan day_rows(const Sheet& sheet, const Roster* roster) {
  DayPlan out;
  std::vector<std::pair<double, DayRow>> rows;
  std::optional<std::vector<double>> order =
      keys(sheet.rows, [](const SheetRow& row) { return time_of_day_s(row.start); });
  if (!order) {
    order = keys(sheet.rows, [](const SheetRow& row) { return place_in_order(row.start); });
  }
  if (!order && lifter_by_lifter(sheet.rows)) {
    order = keys(sheet.rows, [](const SheetRow& row) { return row.set; });
    if (!order) order = counted_sets(sheet.rows);
    out.notes.push_back({NoteKind::kDecision,
                         "The sheet goes lifter by lifter without times: everybody's first set "
                         "was expected first, then everybody's second. Give times, or places in "
                         "the order, when it was otherwise."});
  }
  for (std::size_t i = 0; i < sheet.rows.size(); ++i) {
    rows.emplace_back(order ? (*order)[i] : 0.0, as_day_row(sheet, sheet.rows[i], roster));
  }
  std::stable_sort(
      rows.begin(), rows.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  out.rows.reserve(rows.size());
  for (auto& [key, row] : rows) out.rows.push_back(std::move(row));
  return out;
}

}  // namespace kinetics
