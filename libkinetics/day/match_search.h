#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include "libkinetics/day/corrections.h"
#include "libkinetics/day/match_sets.h"
#include "libkinetics/day/order_search.h"
#include "libkinetics/day/pair_cost.h"

/// The matchings of a day that come into question.
///
/// Internal to the room.

namespace kinetics::day_detail {

using RowsOfSets = std::vector<std::optional<std::size_t>>;

/// What is to be matched, and what the coach has left open of it.
struct MatchQuestion {
  const std::vector<FoundSet>& sets;
  const std::vector<DayRow>& rows;
  const MatchOptions& options;
  Fixed fixed;
  std::vector<std::size_t> open_sets;
  std::vector<std::size_t> open_rows;
  bool guesses = false;  ///< the roster does not know everybody
};

/// Errors  as match_sets, for the corrections.
[[nodiscard]] MatchQuestion match_question(const std::vector<FoundSet>& sets,
                                           const std::vector<DayRow>& rows,
                                           const std::vector<Correction>& corrections,
                                           const MatchOptions& options);

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

/// Cheapest first, and with it what may still be an alternative: never empty.
///
/// Errors  as match_sets, for too many sets and rows.
[[nodiscard]] std::vector<Story> match_stories(const MatchQuestion& question, Notes& notes);

/// How sure a match is whose best rival costs so much more.
[[nodiscard]] MatchCertainty certainty_of(double extra_points, const MatchOptions& options);

[[nodiscard]] bool same_lifter(const std::vector<DayRow>& rows,
                               const std::optional<std::size_t>& a,
                               const std::optional<std::size_t>& b);

}  // namespace kinetics::day_detail
