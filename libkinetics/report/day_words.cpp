#include "libkinetics/report/day_words.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace kinetics::day_view {
namespace {

/// One point makes a match e times less believable (day/match_sets.h).
std::string less_likely(double points) {
  constexpr double kMost = 1000.0;
  const double times = std::exp(std::max(points, 0.0));
  if (times < 1.5) return "about as likely";
  if (times > kMost) return "over 1000 times less likely";
  return fmt::format("{:.{}f} times less likely", times, times < 9.5 ? 1 : 0);
}

}  // namespace

std::string row_in_words(const DaySession& day, const std::optional<std::size_t>& row) {
  if (!row) return "an extra set";
  return fmt::format("row {}, {}", day.rows.at(*row).row, day.rows.at(*row).lifter);
}

std::string match_in_words(const DaySet& set) {
  if (set.match.corrected) return set.match.row ? "your word" : "extra set, your word";
  if (!set.match.row) return "extra set";
  return std::string(in_words(set.match.certainty));
}

std::vector<std::string> alternatives_in_words(const DaySession& day, const DaySet& set) {
  std::vector<std::string> out;
  if (set.match.corrected || set.match.certainty == MatchCertainty::kCertain) return out;
  for (const Alternative& other : set.match.alternatives) {
    out.push_back(
        fmt::format("{} ({})", row_in_words(day, other.row), less_likely(other.extra_points)));
  }
  return out;
}

std::string flags_in_words(const std::vector<SetFlag>& flags) {
  std::string out;
  for (const SetFlag& flag : flags) out += (out.empty() ? "" : "; ") + in_words(flag);
  return out;
}

std::string minutes_and_seconds(double t_s) {
  constexpr int kSecondsPerMinute = 60;
  const auto whole_s = static_cast<long>(std::floor(std::max(t_s, 0.0)));
  return fmt::format("{}:{:02}", whole_s / kSecondsPerMinute, whole_s % kSecondsPerMinute);
}

std::string begin_of(const DaySet& set) {
  return set.clock.empty() ? minutes_and_seconds(set.found.start_s) : set.clock;
}

MassUnit unit_of(const DaySession& day) {
  const auto& rows = day.sheet.rows;
  const bool pounds = !rows.empty() && std::all_of(rows.begin(), rows.end(), [](const auto& row) {
    return row.load_unit == MassUnit::kPound;
  });
  return pounds ? MassUnit::kPound : MassUnit::kKilogram;
}

}  // namespace kinetics::day_view
