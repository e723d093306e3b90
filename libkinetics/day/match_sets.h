#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/core/note.h"
#include "libkinetics/day/day_rows.h"
#include "libkinetics/day/found_set.h"

/// Says which row of the sheet each set of a recording is, and how sure that is.

namespace kinetics {

/// What speaks against a match costs points; the matching with the fewest in sum is taken. One
/// point makes it e (2.7) times less believable. A value that is off costs by its distance from
/// what was expected, counted in standard errors z: 2.5 ln(1 + z²/4), which is about z²/2 nearby
/// and grows slowly far off, so that a single odd value does not decide (Student's t with 4 degrees
/// of freedom). The sizes are common practice, no source.
struct MatchOptions {
  /// How far from the written time a set begins, s. Smaller trusts the sheet's clock more.
  double time_sigma_s = 90.0;
  /// A set that comes after others whose rows stand below its own, and for each more of those.
  double late_cost = 2.0;
  double later_cost = 1.0;
  /// A row without a set, and a set without a row.
  double missed_cost = 3.0;
  double extra_cost = 6.0;
  /// Each rep more or less than planned, up to a number of them.
  double rep_cost = 1.0;
  int most_reps_off = 4;
  /// How far one lifter's range and lockout differ from set to set, m.
  double rom_sigma_m = 0.02;
  double lockout_sigma_m = 0.02;
  /// How far they differ among lifters, m. A lifter of whom nothing is known costs as much as one
  /// whose usual value is off by a likely amount.
  double rom_spread_m = 0.06;
  double lockout_spread_m = 0.08;
  double disc_sigma_m = 0.03;
  /// Time of day at which the recording began by its own clock, since midnight, and how far that
  /// may be off the sheet's. Without it any difference is as likely.
  std::optional<double> recording_start_s = std::nullopt;
  double clock_sigma_s = 300.0;
  /// Most rows by which a set may come late and still be recognised without a correction. Each one
  /// more doubles time and memory.
  int most_rows_late = 6;
  /// Whether usual values that the roster lacks may be learnt within the day.
  bool learn = true;
  /// Points that the next best matching must cost more for this one to be likely or certain: it is
  /// then less believable by a factor of 7 or 400.
  double likely_points = 2.0;
  double certain_points = 6.0;
};

/// The coach's word on a set, which no evidence overrules.
struct Correction {
  std::size_t set = 0;     ///< index into the sets
  std::optional<int> row;  ///< as a spreadsheet numbers it; empty: no row's
};

enum class MatchCertainty { kCertain, kLikely, kDoubtful };

/// "certain", "likely", "doubtful".
[[nodiscard]] std::string_view in_words(MatchCertainty certainty);

struct CostTerm {
  std::string what;  ///< "range 6 cm above the usual"
  double points = 0.0;
};

/// What else a set could be.
struct Alternative {
  std::optional<std::size_t> row;  ///< index into the rows; empty: an extra set
  double extra_points = 0.0;       ///< of the best matching with it, over the best of all
};

struct SetMatch {
  std::optional<std::size_t> row;  ///< index into the rows; empty: an extra set
  /// Of an extra set: a row of the lifter whose range and lockout it shows, when only one fits.
  std::optional<std::size_t> like = std::nullopt;
  std::vector<CostTerm> terms;  ///< whose sum is the set's share of the total
  /// By what the best alternative costs more. Never certain for a lifter of whom neither the roster
  /// tells a height nor a correction names a set, nor for an extra set beside such: what is learnt
  /// within a day may be learnt shifted by one lifter, and then confirms itself.
  MatchCertainty certainty = MatchCertainty::kDoubtful;
  /// The same of the lifter: other rows of the same lifter do not count against it, nor that it is
  /// an extra set of the same lifter. Of an extra set never certain: a guest may be built alike.
  MatchCertainty lifter_certainty = MatchCertainty::kDoubtful;
  /// Best first; the first always, up to two more when they are within `certain_points`.
  std::vector<Alternative> alternatives;
  bool corrected = false;  ///< the coach said so
};

struct DayMatch {
  std::vector<SetMatch> sets;       ///< one for each set
  std::vector<std::size_t> missed;  ///< rows without a set
  double total_points = 0.0;        ///< of all sets, missed rows and the clock
  /// Time of day by the sheet's clock when the recording began; empty when no row has a time.
  std::optional<double> recording_began_s;
  double clock_points = 0.0;  ///< for how far that is from `recording_start_s`
  Notes notes;
};

/// Matches sets and rows one to one, as a whole.
///
/// Method  Times, reps, discs, ranges and lockouts cost points for each pair; order costs points
///         for each set that comes late. The least total over all matchings is found by dynamic
///         programming over sets and rows in order, with the rows that were passed over and may
///         still come kept in mind (order_search.h), and so is the least total for each single
///         pair, which tells how sure each match is. A general assignment solver could not price
///         the order, which is a property of two matches. The clocks' difference is tried at the
///         values that most pairs agree on; the rivals count as alternatives. Heights above an
///         unknown zero and usual values that the roster lacks are medians over matches that are
///         not doubtful, three or more, without the set that is judged; the matching is then made
///         again, until it stays.
/// Input   sets in time order; rows as from day_rows.
/// Errors  Error{kUsage} for a correction that names a set or row that is not there, or one of them
///         twice; for sets out of order; for options not above zero; for more sets and rows than
///         fit in memory (some 1400 of each).
[[nodiscard]] DayMatch match_sets(const std::vector<FoundSet>& sets,
                                  const std::vector<DayRow>& rows,
                                  const std::vector<Correction>& corrections = {},
                                  const MatchOptions& options = {});

/// "Set 5 is row 7, Odalys Brandt (likely). Or row 8, Mirek Tolland: 3.1 points more. ..."
[[nodiscard]] std::string in_a_sentence(const DayMatch& match,
                                        std::size_t set,
                                        const std::vector<DayRow>& rows);

}  // namespace kinetics
