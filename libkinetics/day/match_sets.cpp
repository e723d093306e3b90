#include "libkinetics/day/match_sets.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/day/check_match.h"
#include "libkinetics/day/clock.h"
#include "libkinetics/day/corrections.h"
#include "libkinetics/day/order_search.h"
#include "libkinetics/day/pair_cost.h"
#include "libkinetics/day/usual_of_day.h"

namespace kinetics {
namespace {

using namespace day_detail;

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr int kMostPasses = 5;
constexpr std::ptrdiff_t kMostShift = 1;
constexpr int kClockRefinements = 3;
constexpr double kSameClockS = 1.0;
constexpr double kMostStates = 16.8e6;  // of eight bytes each, twice
constexpr int kLeastWindow = 3;
constexpr int kLearningWindow = 3;  // the few who come later are matched once all is learnt
constexpr std::size_t kMostAlternatives = 3;

/// The best matching when the recording began at one time of day.
struct Hypothesis {
  std::optional<double> began_s;
  OrderProblem problem;  ///< among what the coach left open
  OrderSolution solution;
  double other_points = 0.0;  ///< clock, and sets that the coach named
  std::vector<std::optional<std::size_t>> row_of;
  std::vector<int> overtaken;
  [[nodiscard]] double total() const { return solution.total + other_points; }
};

class DayMatcher {
 public:
  DayMatcher(const std::vector<FoundSet>& sets,
             const std::vector<DayRow>& rows,
             const std::vector<Correction>& corrections,
             const MatchOptions& options)
      : sets_(sets),
        rows_(rows),
        options_(options),
        fixed_(look_up(corrections, sets.size(), rows)) {
    for (std::size_t set = 0; set < sets.size(); ++set) {
      if (!fixed_.set[set]) open_sets_.push_back(set);
    }
    for (std::size_t row = 0; row < rows.size(); ++row) {
      if (!fixed_.row[row]) open_rows_.push_back(row);
    }
    choose_window();
    guesses_ = options_.learn && !std::all_of(rows_.begin(), rows_.end(), [](const DayRow& row) {
                 return row.usual_rom_m && row.usual_lockout_m;
               });
    learns_ = guesses_ || std::any_of(sets_.begin(), sets_.end(), [](const FoundSet& set) {
                return set.lockout_m && !set.above_floor;
              });
  }

  DayMatch match() {
    std::vector<Story> stories;
    for (RowsOfSets& start : starts()) stories.push_back(settle(std::move(start)));
    keep_cheap(stories);
    for (Story& story : stories) story = match_once(std::move(story.usual), story.clocks, window_);
    keep_cheap(stories);
    conclude(stories);
    add_notes();
    return std::move(out_);
  }

 private:
  void choose_window() {
    window_ = std::min(options_.most_rows_late + 1,
                       std::max(1, static_cast<int>(std::min<std::size_t>(open_rows_.size(), 16))));
    const int wanted = window_;
    while (window_ > kLeastWindow &&
           states_of(open_sets_.size(), open_rows_.size(), window_) > kMostStates) {
      --window_;
    }
    if (states_of(open_sets_.size(), open_rows_.size(), window_) > kMostStates) {
      throw Error(ErrorCode::kUsage,
                  "match_sets",
                  fmt::format("{} sets and {} rows are too many", sets_.size(), rows_.size()),
                  "Give one session at a time");
    }
    if (window_ == wanted) return;
    out_.notes.push_back({NoteKind::kDecision,
                          fmt::format("The day is so long that sets were looked for up to {} rows "
                                      "late, not {}.",
                                      window_ - 1,
                                      wanted - 1)});
  }

  using RowsOfSets = std::vector<std::optional<std::size_t>>;

  /// What was learnt of the lifters, and the matchings that follow from it.
  struct Story {
    std::vector<Usual> usual;  ///< sets × rows
    std::vector<double> body;  ///< sets × rows: points without time and order
    std::vector<Hypothesis> clocks;
    [[nodiscard]] const Hypothesis& best() const {
      return *std::min_element(
          clocks.begin(), clocks.end(), [](const Hypothesis& a, const Hypothesis& b) {
            return a.total() < b.total();
          });
    }
  };

  // Guesses whose sets are whose, to learn from. What is learnt from a matching that is shifted by
  // a row confirms it, so that the shifted ones are each given their chance; the cheapest in the
  // end is taken. Where the roster knows everybody there is nothing to guess.
  [[nodiscard]] std::vector<RowsOfSets> starts() const {
    std::vector<RowsOfSets> out{fixed_.row_of};
    if (!guesses_) return out;
    const auto sets = static_cast<std::ptrdiff_t>(sets_.size());
    const auto rows = static_cast<std::ptrdiff_t>(rows_.size());
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
    const double most = stories.front().best().total() + 2.0 * options_.certain_points;
    std::erase_if(stories, [&](const Story& story) { return story.best().total() > most; });
  }

  [[nodiscard]] RowsOfSets shifted(std::ptrdiff_t first,
                                   std::ptrdiff_t last,
                                   std::ptrdiff_t shift) const {
    RowsOfSets out = fixed_.row_of;
    for (std::ptrdiff_t set = std::max<std::ptrdiff_t>(first, 0); set < last; ++set) {
      const auto at = static_cast<std::size_t>(set);
      const std::ptrdiff_t row = set + shift;
      if (at >= out.size() || row < 0 || row >= static_cast<std::ptrdiff_t>(rows_.size())) continue;
      if (may_be(at, static_cast<std::size_t>(row))) out[at] = static_cast<std::size_t>(row);
    }
    return out;
  }

  // Matches, learns what is usual of whom from the matches that are not doubtful, and again.
  [[nodiscard]] Story settle(RowsOfSets lifter_of) const {
    Story story;
    for (int pass = 0; pass < kMostPasses; ++pass) {
      story = match_once(usual_of_day(sets_, rows_, lifter_of, options_),
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
                .body = std::vector<double>(sets_.size() * rows_.size(), kNever),
                .clocks = {}};
    for (std::size_t set = 0; set < sets_.size(); ++set) {
      for (std::size_t row = 0; row < rows_.size(); ++row) {
        if (!may_be(set, row)) continue;
        const std::size_t at = set * rows_.size() + row;
        story.body[at] = body_points(sets_[set], rows_[row], story.usual[at], options_);
      }
    }
    std::vector<double> candidates;
    for (const Hypothesis& clock : last) {
      if (clock.began_s) candidates.push_back(*clock.began_s);
    }
    if (candidates.empty()) candidates = clock_candidates(sets_, rows_, story.body, options_);
    story.clocks = try_clocks(story.body, candidates, window);
    const double most = story.best().total() + 2.0 * options_.certain_points;
    std::erase_if(story.clocks, [&](const Hypothesis& clock) { return clock.total() > most; });
    return story;
  }

  [[nodiscard]] bool may_be(std::size_t set, std::size_t row) const {
    return fixed_.set[set] ? fixed_.row_of[set] == row : !fixed_.row[row];
  }

  [[nodiscard]] double time_points(std::size_t set,
                                   std::size_t row,
                                   std::optional<double> began_s) const {
    if (!began_s || !rows_[row].start_s) return 0.0;
    return misfit(lateness_s(sets_[set], rows_[row], *began_s) / options_.time_sigma_s);
  }

  [[nodiscard]] std::vector<Hypothesis> try_clocks(const std::vector<double>& body,
                                                   const std::vector<double>& candidates,
                                                   int window) const {
    std::vector<Hypothesis> out;
    if (candidates.empty()) out.push_back(solve(body, std::nullopt, window));
    for (const double candidate : candidates) {
      Hypothesis best = solve(body, candidate, window);
      for (int i = 0; i < kClockRefinements; ++i) {
        const auto began_s = began_by_matches(sets_, rows_, best.row_of);
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
      if (fixed_.row_of[other] && *fixed_.row_of[other] > row) ++count;
    }
    return count;
  }

  [[nodiscard]] Hypothesis solve(const std::vector<double>& body,
                                 std::optional<double> began_s,
                                 int window) const {
    Hypothesis out{.began_s = began_s,
                   .problem = {.sets = open_sets_.size(),
                               .rows = open_rows_.size(),
                               .pair = {},
                               .overtaken = {},
                               .extra = options_.extra_cost,
                               .missed = options_.missed_cost,
                               .late = options_.late_cost,
                               .later = options_.later_cost,
                               .window = window},
                   .solution = {},
                   .other_points = clock_points(began_s, options_),
                   .row_of = fixed_.row_of,
                   .overtaken = std::vector<int>(sets_.size(), 0)};
    for (const std::size_t set : open_sets_) {
      for (const std::size_t row : open_rows_) {
        out.problem.pair.push_back(body[set * rows_.size() + row] + time_points(set, row, began_s));
        out.problem.overtaken.push_back(overtaken_by_fixed(set, row));
      }
    }
    for (std::size_t set = 0; set < sets_.size(); ++set) {
      if (!fixed_.row_of[set]) continue;
      const std::size_t row = *fixed_.row_of[set];
      out.other_points += body[set * rows_.size() + row] + time_points(set, row, began_s);
    }
    out.solution = OrderSearch(out.problem).solution();
    for (std::size_t i = 0; i < open_sets_.size(); ++i) {
      if (!out.solution.row_of[i]) continue;
      out.row_of[open_sets_[i]] = open_rows_[*out.solution.row_of[i]];
      out.overtaken[open_sets_[i]] = out.solution.overtaken[i];
    }
    return out;
  }

  void conclude(const std::vector<Story>& stories) {
    const Hypothesis& best = stories.front().best();
    tell(stories.front(), best);
    const std::vector<double> totals = totals_with_each(stories, best.total());
    for (std::size_t i = 0; i < open_sets_.size(); ++i) {
      weigh_alternatives(
          out_.sets[open_sets_[i]], totals.data() + i * (open_rows_.size() + 1), best.total());
    }
  }

  void tell(const Story& story, const Hypothesis& best) {
    std::vector<bool> lifted(rows_.size());
    for (std::size_t set = 0; set < sets_.size(); ++set) {
      SetMatch match{.row = best.row_of[set],
                     .like = std::nullopt,
                     .terms = terms_of(story, best, set),
                     .certainty = MatchCertainty::kCertain,
                     .lifter_certainty = MatchCertainty::kCertain,
                     .alternatives = {},
                     .corrected = fixed_.set[set]};
      if (match.row) {
        lifted[*match.row] = true;
      } else {
        match.like = looks_like(story, set);
      }
      out_.sets.push_back(std::move(match));
    }
    for (std::size_t row = 0; row < rows_.size(); ++row) {
      if (!lifted[row]) out_.missed.push_back(row);
    }
    out_.total_points = best.total();
    out_.recording_began_s = best.began_s;
    out_.clock_points = clock_points(best.began_s, options_);
  }

  // A row of the only lifter whose range and lockout are those of the set.
  [[nodiscard]] std::optional<std::size_t> looks_like(const Story& story, std::size_t set) const {
    std::optional<std::size_t> like;
    double least = options_.certain_points;
    double second = kNever;
    for (std::size_t row = 0; row < rows_.size(); ++row) {
      const Usual& usual = story.usual[set * rows_.size() + row];
      if (!usual.rom_m && !usual.lockout_m) continue;
      const double points = body_misfit(sets_[set], usual, options_);
      if (same_lifter(row, like)) {
        least = std::min(least, points);
      } else if (points < least) {
        second = like ? least : second;
        least = points;
        like = row;
      } else {
        second = std::min(second, points);
      }
    }
    if (second - least < options_.likely_points) like.reset();
    return like;
  }

  [[nodiscard]] std::vector<CostTerm> terms_of(const Story& story,
                                               const Hypothesis& best,
                                               std::size_t set) const {
    if (!best.row_of[set]) {
      if (fixed_.set[set]) return {{"no row's, as the coach says", 0.0}};
      return {{"an extra set", options_.extra_cost}};
    }
    const std::size_t row = *best.row_of[set];
    std::vector<CostTerm> terms =
        body_terms(sets_[set], rows_[row], story.usual[set * rows_.size() + row], options_);
    if (best.began_s && rows_[row].start_s) {
      terms.push_back(time_term(lateness_s(sets_[set], rows_[row], *best.began_s), options_));
    }
    if (best.overtaken[set] > 0) {
      terms.push_back(
          order_term(best.overtaken[set], late_cost(best.problem, best.overtaken[set])));
    }
    return terms;
  }

  // Least total of any matching in any story at any clock, for each open set with each open row
  // and, last, with none.
  [[nodiscard]] std::vector<double> totals_with_each(const std::vector<Story>& stories,
                                                     double best_total) const {
    std::vector<double> least(open_sets_.size() * (open_rows_.size() + 1), kNever);
    for (const Story& story : stories) {
      for (const Hypothesis& clock : story.clocks) {
        if (clock.total() > best_total + options_.certain_points) continue;
        const std::vector<double> totals = OrderSearch(clock.problem).totals_with_each();
        for (std::size_t i = 0; i < least.size(); ++i) {
          least[i] = std::min(least[i], totals[i] + clock.other_points);
        }
      }
    }
    return least;
  }

  [[nodiscard]] MatchCertainty certainty(double extra_points) const {
    if (extra_points >= options_.certain_points) return MatchCertainty::kCertain;
    return extra_points >= options_.likely_points ? MatchCertainty::kLikely
                                                  : MatchCertainty::kDoubtful;
  }

  [[nodiscard]] bool same_lifter(const std::optional<std::size_t>& a,
                                 const std::optional<std::size_t>& b) const {
    return a && b && rows_[*a].lifter == rows_[*b].lifter;
  }

  // Whether somebody said what a row's lifter looks like: the roster, or the coach by naming a set.
  // What is learnt alone does not count: a day shifted by one row teaches itself.
  [[nodiscard]] bool told(std::size_t row) const {
    if (rows_[row].usual_rom_m || rows_[row].usual_lockout_m) return true;
    return std::any_of(fixed_.row_of.begin(), fixed_.row_of.end(), [&](const auto& fixed) {
      return same_lifter(fixed, row);
    });
  }

  void weigh_alternatives(SetMatch& set, const double* totals, double best_total) const {
    double other_lifter = kNever;
    const std::optional<std::size_t> whose = set.row ? set.row : set.like;
    for (std::size_t column = 0; column <= open_rows_.size(); ++column) {
      std::optional<std::size_t> row;
      if (column < open_rows_.size()) row = open_rows_[column];
      const double extra = std::max(0.0, totals[column] - best_total);
      if (row == set.row || extra == kNever) continue;
      set.alternatives.push_back({row, extra});
      if (!same_lifter(row, whose)) other_lifter = std::min(other_lifter, extra);
    }
    std::stable_sort(
        set.alternatives.begin(),
        set.alternatives.end(),
        [](const Alternative& a, const Alternative& b) { return a.extra_points < b.extra_points; });
    set.lifter_certainty = certainty(other_lifter);
    if (!set.row && set.lifter_certainty == MatchCertainty::kCertain) {
      set.lifter_certainty = MatchCertainty::kLikely;
    }
    if (!set.alternatives.empty()) {
      set.certainty = certainty(set.alternatives.front().extra_points);
      shorten(set.alternatives);
    }
    if (set.row ? told(*set.row) : !guesses_) return;
    set.certainty = std::max(set.certainty, MatchCertainty::kLikely);
    set.lifter_certainty = std::max(set.lifter_certainty, MatchCertainty::kLikely);
  }

  void shorten(std::vector<Alternative>& alternatives) const {
    std::size_t keep = 1;
    while (keep < std::min(alternatives.size(), kMostAlternatives) &&
           alternatives[keep].extra_points < options_.certain_points) {
      ++keep;
    }
    alternatives.resize(keep);
  }

  // By set: the row that it is, unless somebody else's costs hardly more.
  [[nodiscard]] RowsOfSets undoubted(const Story& story) const {
    const Hypothesis& best = story.best();
    const std::vector<double> totals = OrderSearch(best.problem).totals_with_each();
    const std::size_t columns = open_rows_.size() + 1;
    RowsOfSets out = best.row_of;
    for (std::size_t i = 0; i < open_sets_.size(); ++i) {
      std::optional<std::size_t>& row = out[open_sets_[i]];
      for (std::size_t column = 0; row && column < columns; ++column) {
        if (column < open_rows_.size() && same_lifter(open_rows_[column], row)) continue;
        const double extra = totals[i * columns + column] - best.solution.total;
        if (certainty(extra) == MatchCertainty::kDoubtful) row.reset();
      }
    }
    return out;
  }

  void add_notes() {
    if (!options_.recording_start_s || !out_.recording_began_s) return;
    const double off_s = *options_.recording_start_s - *out_.recording_began_s;
    if (std::abs(off_s) < options_.time_sigma_s) return;
    out_.notes.push_back({NoteKind::kDecision,
                          fmt::format("The recording's clock was taken to be {:.1f} min {} the "
                                      "sheet's, since the sets agree with its times then.",
                                      std::abs(off_s) / 60.0,
                                      off_s < 0.0 ? "behind" : "ahead of")});
  }

  const std::vector<FoundSet>& sets_;
  const std::vector<DayRow>& rows_;
  const MatchOptions& options_;
  const Fixed fixed_;
  std::vector<std::size_t> open_sets_;
  std::vector<std::size_t> open_rows_;
  int window_ = 1;
  bool guesses_ = false;  ///< the roster does not know everybody
  bool learns_ = false;   ///< there are heights or zeros to be learnt
  DayMatch out_;
};

}  // namespace

DayMatch match_sets(const std::vector<FoundSet>& sets,
                    const std::vector<DayRow>& rows,
                    const std::vector<Correction>& corrections,
                    const MatchOptions& options) {
  check_match(sets, options);
  return DayMatcher(sets, rows, corrections, options).match();
}

}  // namespace kinetics
