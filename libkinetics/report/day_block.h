#pragma once

#include <string>
#include <string_view>

#include "libkinetics/report/chart.h"
#include "libkinetics/report/day_view.h"

/// One lifter's part of the page of a day: a chart of the reps over a table of the sets. Internal
/// to the room.

namespace kinetics::day_view {

struct BlockStyle {
  bool wide = false;  ///< over the page's whole width
  bool tall = false;  ///< few lifters have a page to themselves
  /// Many lifters are to fit on one page: lower charts, no row for when a set began and none for
  /// the match, which becomes a question mark behind the set; and where the load has rows for its
  /// bottom and top, none for the mean velocity.
  bool dense = false;
  bool letters = false;  ///< the works have letters, see work_letter
  svg::Span scale;       ///< of velocities
  LoadUnit unit;
};

/// More sets need the whole width.
inline constexpr std::size_t kMostNarrow = 12;

/// "A" for the first, and so on.
[[nodiscard]] std::string work_letter(std::size_t work);

/// A `section` for a page that has kDayBlockStyle.
[[nodiscard]] std::string day_block(const LifterDay& lifter, const BlockStyle& style);

extern const std::string_view kDayBlockStyle;

}  // namespace kinetics::day_view
