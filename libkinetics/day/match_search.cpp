#include "libkinetics/day/match_search.h"

#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/day/clock.h"
#include "libkinetics/day/usual_of_day.h"

namespace kinetics::day_detail {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr int kMostPasses = 5;
constexpr std::ptrdiff_t kMostShift = 1;
constexpr int kClockRefinements = 3;
constexpr double kSameClockS = 1.0;
constexpr double kMostStates = 16.8e6;  // of eight bytes each, twice
constexpr int kLeastWindow = 3;
constexpr int kLearningWindow = 3;  // the few who come later are matched once all is learnt

class MatchSearch {
 public:
  MatchSearch(const MatchQuestion& question, Notes& notes) : q_(question) {
    choose_window(notes);
    learns_ = q_.guesses || std::any_of(q_.sets.begin(), q_.sets.end(), [](const FoundSet& set) {
                return set.lockout_m && !set.above_floor;
              });
  }

  [[nodiscard]] std::vector<Story> stories() const {
    std::vector<Story> stories;
    for (RowsOfSets& start : starts()) stories.push_back(settle(std::move(start)));
    keep_cheap(stories);
    for (Story& story : stories) story = match_once(std::move(story.usual), story.clocks, window_);
    keep_cheap(stories);
    return stories;
  }

 private:
  void choose_window(Notes& notes) {
    window_ =
        std::min(q_.options.most_rows_late + 1,
                 std::max(1, static_cast<int>(std::min<std::size_t>(q_.open_rows.size(), 16))));
    const int wanted = window_;
    while (window_ > kLeastWindow &&
           states_of(q_.open_sets.size(), q_.open_rows.size(), window_) > kMostStates) {
      --window_;
    }
    if (states_of(q_.open_sets.size(), q_.open_rows.size(), window_) > kMostStates) {
      throw Error(ErrorCode::kUsage,
                  "match_sets",
                  fmt::format("{} sets and {} rows are too many", q_.sets.size(), q_.rows.size()),
                  "Give one session at a time");
    }
    if (window_ == wanted) return;
    notes.push_back({NoteKind::kDecision,
                     fmt::format("The day is so long that sets were looked for up to {} rows "
                                 "late, not {}.",
                                 window_ - 1,
                                 wanted - 1)});
  }

  // Guesses whose sets are whose, to learn from. What is learnt from a matching that is shifted by
  // a row confirms it, so that the shifted ones are each given their chance; the cheapest in the
  // end is taken. Where the roster knows everybody there is nothing to guess.
  [[nodiscard]] std::vector<RowsOfSets> starts() const {
    std::vector<RowsOfSets> out{q_.fixed.row_of};
    if (!q_.guesses) return out;
    const auto sets = static_cast<std::ptrdiff_t>(q_.sets.size());
    const auto rows = static_cast<std::ptrdiff_t>(q_.rows.size());
    for (std::ptrdiff_t shift = -kMostShift; shift <= kMostShift; ++shift) {
      out.push_back(shifted(0, sets / 2 + 1, shift));
      out.push_back(shifted(sets / 2 - 1, sets, rows - sets + shift));
    }
    return out;
  }

  // The cheapest first, and with it what may still be an alternative.
  void keep_cheap(std::vector<Story>& stories) const {
    std::stable_sort(stories.begin(), stories.end(), [](const Story& a, const Story& b) {
      return a.best().total() < b.best().total();
    });
    const double most = stories.front().best().total() + 2.0 * q_.options.certain_points;
    std::erase_if(stories, [&](const Story& story) { return story.best().total() > most; });
  }

  [[nodiscard]] RowsOfSets shifted(std::ptrdiff_t first,
                                   std::ptrdiff_t last,
                                   std::ptrdiff_t shift) const {
    RowsOfSets out = q_.fixed.row_of;
    for (std::ptrdiff_t set = std::max<std::ptrdiff_t>(first, 0); set < last; ++set) {
      const auto at = static_cast<std::size_t>(set);
      const std::ptrdiff_t row = set + shift;
      if (at >= out.size() || row < 0 || row >= static_cast<std::ptrdiff_t>(q_.rows.size()))
        continue;
      if (may_be(at, static_cast<std::size_t>(row))) out[at] = static_cast<std::size_t>(row);
    }
    return out;
  }

  // Matches, learns what is usual of whom from the matches that are not doubtful, and again.
  [[nodiscard]] Story settle(RowsOfSets lifter_of) const {
    Story story;
    for (int pass = 0; pass < kMostPasses; ++pass) {
      story = match_once(usual_of_day(q_.sets, q_.rows, lifter_of, q_.options),
                         story.clocks,
                         std::min(window_, kLearningWindow));
      if (!learns_) break;
      RowsOfSets now = undoubted(story);
      if (now == lifter_of) break;
      lifter_of = std::move(now);
    }
    return story;
  }

  // Clocks that were out of question in the last pass are not tried again.
  [[nodiscard]] Story match_once(std::vector<Usual> usual,
                                 const std::vector<Hypothesis>& last,
                                 int window) const {
    Story story{.usual = std::move(usual),
                .body = std::vector<double>(q_.sets.size() * q_.rows.size(), kNever),
                .clocks = {}};
    for (std::size_t set = 0; set < q_.sets.size(); ++set) {
      for (std::size_t row = 0; row < q_.rows.size(); ++row) {
        if (!may_be(set, row)) continue;
        const std::size_t at = set * q_.rows.size() + row;
        story.body[at] = body_points(q_.sets[set], q_.rows[row], story.usual[at], q_.options);
      }
    }
    std::vector<double> candidates;
    for (const Hypothesis& clock : last) {
      if (clock.began_s) candidates.push_back(*clock.began_s);
    }
    if (candidates.empty()) candidates = clock_candidates(q_.sets, q_.rows, story.body, q_.options);
    story.clocks = try_clocks(story.body, candidates, window);
    const double most = story.best().total() + 2.0 * q_.options.certain_points;
    std::erase_if(story.clocks, [&](const Hypothesis& clock) { return clock.total() > most; });
    return story;
  }

  [[nodiscard]] bool may_be(std::size_t set, std::size_t row) const {
    return q_.fixed.set[set] ? q_.fixed.row_of[set] == row : !q_.fixed.row[row];
  }

  [[nodiscard]] double time_points(std::size_t set,
                                   std::size_t row,
                                   std::optional<double> began_s) const {
    if (!began_s || !q_.rows[row].start_s) return 0.0;
    return misfit(lateness_s(q_.sets[set], q_.rows[row], *began_s) / q_.options.time_sigma_s);
  }

  [[nodiscard]] std::vector<Hypothesis> try_clocks(const std::vector<double>& body,
                                                   const std::vector<double>& candidates,
                                                   int window) const {
    std::vector<Hypothesis> out;
    if (candidates.empty()) out.push_back(solve(body, std::nullopt, window));
    for (const double candidate : candidates) {
      Hypothesis best = solve(body, candidate, window);
      for (int i = 0; i < kClockRefinements; ++i) {
        const auto began_s = began_by_matches(q_.sets, q_.rows, best.row_of);
        if (!began_s || std::abs(*began_s - *best.began_s) < kSameClockS) break;
        Hypothesis next = solve(body, *began_s, window);
        if (!(next.total() < best.total())) break;
        const bool same = next.row_of == best.row_of;
        best = std::move(next);
        if (same) break;
      }
      const bool known = std::any_of(out.begin(), out.end(), [&](const Hypothesis& other) {
        return std::abs(*other.began_s - *best.began_s) < kSameClockS;
      });
      if (!known) out.push_back(std::move(best));
    }
    return out;
  }

  // Later rows that the coach gave to earlier sets.
  [[nodiscard]] int overtaken_by_fixed(std::size_t set, std::size_t row) const {
    int count = 0;
    for (std::size_t other = 0; other < set; ++other) {
      if (q_.fixed.row_of[other] && *q_.fixed.row_of[other] > row) ++count;
    }
    return count;
  }

  [[nodiscard]] Hypothesis solve(const std::vector<double>& body,
                                 std::optional<double> began_s,
                                 int window) const {
    Hypothesis out{.began_s = began_s,
                   .problem = {.sets = q_.open_sets.size(),
                               .rows = q_.open_rows.size(),
                               .pair = {},
                               .overtaken = {},
                               .extra = q_.options.extra_cost,
                               .missed = q_.options.missed_cost,
                               .late = q_.options.late_cost,
                               .later = q_.options.later_cost,
                               .window = window},
                   .solution = {},
                   .other_points = clock_points(began_s, q_.options),
                   .row_of = q_.fixed.row_of,
                   .overtaken = std::vector<int>(q_.sets.size(), 0)};
    for (const std::size_t set : q_.open_sets) {
      for (const std::size_t row : q_.open_rows) {
        out.problem.pair.push_back(body[set * q_.rows.size() + row] +
                                   time_points(set, row, began_s));
        out.problem.overtaken.push_back(overtaken_by_fixed(set, row));
      }
    }
    for (std::size_t set = 0; set < q_.sets.size(); ++set) {
      if (!q_.fixed.row_of[set]) continue;
      const std::size_t row = *q_.fixed.row_of[set];
      out.other_points += body[set * q_.rows.size() + row] + time_points(set, row, began_s);
    }
    out.solution = OrderSearch(out.problem).solution();
    for (std::size_t i = 0; i < q_.open_sets.size(); ++i) {
      if (!out.solution.row_of[i]) continue;
      out.row_of[q_.open_sets[i]] = q_.open_rows[*out.solution.row_of[i]];
      out.overtaken[q_.open_sets[i]] = out.solution.overtaken[i];
    }
    return out;
  }

  // By set: the row that it is, unless somebody else's costs hardly more.
  [[nodiscard]] RowsOfSets undoubted(const Story& story) const {
    const Hypothesis& best = story.best();
    const std::vector<double> totals = OrderSearch(best.problem).totals_with_each();
    const std::size_t columns = q_.open_rows.size() + 1;
    RowsOfSets out = best.row_of;
    for (std::size_t i = 0; i < q_.open_sets.size(); ++i) {
      std::optional<std::size_t>& row = out[q_.open_sets[i]];
      for (std::size_t column = 0; row && column < columns; ++column) {
        if (column < q_.open_rows.size() && same_lifter(q_.rows, q_.open_rows[column], row))
          continue;
        const double extra = totals[i * columns + column] - best.solution.total;
        if (certainty_of(extra, q_.options) == MatchCertainty::kDoubtful) row.reset();
      }
    }
    return out;
  }

  const MatchQuestion& q_;
  int window_ = 1;
  bool learns_ = false;  ///< there are heights or zeros to be learnt
};

}  // namespace

MatchQuestion match_question(const std::vector<FoundSet>& sets,
                             const std::vector<DayRow>& rows,
                             const std::vector<Correction>& corrections,
                             const MatchOptions& options) {
  MatchQuestion out{.sets = sets,
                    .rows = rows,
                    .options = options,
                    .fixed = look_up(corrections, sets.size(), rows),
                    .open_sets = {},
                    .open_rows = {}};
  for (std::size_t set = 0; set < sets.size(); ++set) {
    if (!out.fixed.set[set]) out.open_sets.push_back(set);
  }
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (!out.fixed.row[row]) out.open_rows.push_back(row);
  }
  out.guesses = options.learn && !std::all_of(rows.begin(), rows.end(), [](const DayRow& row) {
                  return row.usual_rom_m && row.usual_lockout_m;
                });
  return out;
}

std::vector<Story> match_stories(const MatchQuestion& question, Notes& notes) {
  return MatchSearch(question, notes).stories();
}

MatchCertainty certainty_of(double extra_points, const MatchOptions& options) {
  if (extra_points >= options.certain_points) return MatchCertainty::kCertain;
  return extra_points >= options.likely_points ? MatchCertainty::kLikely
                                               : MatchCertainty::kDoubtful;
}

bool same_lifter(const std::vector<DayRow>& rows,
                 const std::optional<std::size_t>& a,
                 const std::optional<std::size_t>& b) {
  return a && b && rows[*a].lifter == rows[*b].lifter;
}

}  // namespace kinetics::day_detail
