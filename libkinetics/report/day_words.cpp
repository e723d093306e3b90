#include "libkinetics/report/day_words.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

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

bool same_gear(const std::vector<GearCount>& a, const std::vector<GearCount>& b) {
  return std::equal(
      a.begin(), a.end(), b.begin(), b.end(), [](const GearCount& x, const GearCount& y) {
        return x.name == y.name && x.count == y.count;
      });
}

/// Whether two rows differ in nothing but number, set and time.
bool read_alike(const DaySession& day, std::size_t a, std::size_t b) {
  const DayRow& one = day.rows.at(a);
  const DayRow& other = day.rows.at(b);
  const SheetRow* one_on_sheet = sheet_row_of(day, one);
  const SheetRow* other_on_sheet = sheet_row_of(day, other);
  return one.lifter == other.lifter && one.lift == other.lift &&
         one.planned_reps == other.planned_reps && one_on_sheet != nullptr &&
         other_on_sheet != nullptr && one_on_sheet->load_kg == other_on_sheet->load_kg &&
         same_gear(one_on_sheet->chains, other_on_sheet->chains) &&
         same_gear(one_on_sheet->bands, other_on_sheet->bands);
}

/// Whether all that makes a match doubtful is that it may be a row that reads alike, or no row.
bool doubtful_among_alike(const DaySession& day, const DaySet& set) {
  const SetMatch& match = set.match;
  if (match.corrected || !match.row || match.certainty != MatchCertainty::kDoubtful) return false;
  bool any = false;
  for (const Alternative& other : match.alternatives) {
    if (!other.row) continue;
    const bool alike = read_alike(day, *match.row, *other.row);
    if (!alike && other.extra_points < MatchOptions{}.likely_points) return false;
    any = any || alike;
  }
  return any;
}

/// "3 to 6 and 8".
std::string ranges_in_words(std::vector<int> numbers) {
  std::sort(numbers.begin(), numbers.end());
  std::vector<std::string> ranges;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t last = i;
    while (last + 1 < numbers.size() && numbers[last + 1] == numbers[last] + 1) ++last;
    ranges.push_back(last > i + 1 ? fmt::format("{} to {}", numbers[i], numbers[last])
                                  : fmt::format("{}", numbers[i]));
    i = last > i + 1 ? last + 1 : i + 1;
  }
  const std::string end = ranges.back();
  ranges.pop_back();
  return ranges.empty() ? end : fmt::format("{} and {}", fmt::join(ranges, ", "), end);
}

}  // namespace

std::vector<AlikeDoubt> alike_doubts(const DaySession& day) {
  constexpr std::size_t kFewest = 3;
  struct Group {
    std::size_t row;  ///< of the first set
    std::vector<int> numbers;
    std::vector<int> rows;
  };
  std::vector<Group> groups;
  for (const DaySet& set : day.sets) {
    if (!doubtful_among_alike(day, set)) continue;
    auto at = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return read_alike(day, g.row, *set.match.row);
    });
    if (at == groups.end()) at = groups.insert(groups.end(), {*set.match.row, {}, {}});
    at->numbers.push_back(set.number);
    at->rows.push_back(day.rows[*set.match.row].row);
  }
  std::vector<AlikeDoubt> out;
  for (Group& g : groups) {
    if (g.numbers.size() < kFewest) continue;
    std::string words = fmt::format(
        "Nos. {} are {}'s, taken for rows {}; but these rows read alike in lift, load and reps, so "
        "order and time alone tell which is which. Say it of one of them, --assign NO=ROW, or "
        "NO=nobody for a set that the sheet has no row for, and its neighbours follow.",
        ranges_in_words(g.numbers),
        day.rows[g.row].lifter,
        ranges_in_words(g.rows));
    out.push_back({std::move(g.numbers), std::move(words)});
  }
  return out;
}

bool told_in(const std::vector<AlikeDoubt>& doubts, const DaySet& set) {
  return std::any_of(doubts.begin(), doubts.end(), [&](const AlikeDoubt& d) {
    return std::find(d.numbers.begin(), d.numbers.end(), set.number) != d.numbers.end();
  });
}

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
