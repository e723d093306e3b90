#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/report/set_figures.h"
#include "libkinetics/speed_day/day_session.h"

/// What the reports of a day say of its matches. Internal to the room.

namespace kinetics::day_view {

/// "row 22, Mirek Tolland", or "an extra set".
[[nodiscard]] std::string row_in_words(const DaySession& day,
                                       const std::optional<std::size_t>& row);

/// "certain", "likely", "doubtful", "your word"; "extra set" for a set without a row.
[[nodiscard]] std::string match_in_words(const DaySet& set);

/// What else the set could be, likeliest first: "row 22, Mirek Tolland (7 times less likely)".
/// None when the match is certain, or the coach's word.
[[nodiscard]] std::vector<std::string> alternatives_in_words(const DaySession& day,
                                                             const DaySet& set);

/// Sets that are doubtful only because rows of one lifter read alike.
struct AlikeDoubt {
  std::vector<int> numbers;  ///< DaySet::number
  /// "Nos. 3 to 6 and 8 are Odalys Brandt's, but rows 4 to 8 read alike: ..."
  std::string words;
};
/// By lifter, three sets and more at a time: fewer are told one by one.
[[nodiscard]] std::vector<AlikeDoubt> alike_doubts(const DaySession& day);
/// Whether a set is told in one of these.
[[nodiscard]] bool told_in(const std::vector<AlikeDoubt>& doubts, const DaySet& set);

/// "slowed: rep 4; maybe high bottom: reps 1, 3".
[[nodiscard]] std::string flags_in_words(const std::vector<SetFlag>& flags);

/// "17:05:30" by the sheet's clock, else "3:05" since the recording began.
[[nodiscard]] std::string begin_of(const DaySet& set);

/// Minutes and seconds: "63:05".
[[nodiscard]] std::string minutes_and_seconds(double t_s);

/// Pounds when every row of the sheet is in pounds.
[[nodiscard]] MassUnit unit_of(const DaySession& day);

}  // namespace kinetics::day_view
