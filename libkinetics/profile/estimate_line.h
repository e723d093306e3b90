#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/profile/line.h"
#include "libkinetics/profile/mixed_model.h"
#include "libkinetics/profile/points.h"

/// Points to lines: one lifter's alone, and many lifters' together. Private to the room.

namespace kinetics {

/// The points that count, as one group of a mixed model: [1, load / unit - origin].
struct LineRows {
  MixedGroup group;
  Eigen::VectorXd recency;
  Eigen::VectorXd age_days;
  double load_unit_kg = 1.0;
  double origin = 0.0;
  double lightest_kg = 0.0;
  double heaviest_kg = 0.0;
  int days = 0;
  bool days_repeat = false;  ///< some day has more than one point
};

/// `slope_mps_per_kg` turns the load's error into one of velocity.
[[nodiscard]] LineRows line_rows(const std::vector<ProfilePoint>& points,
                                 double load_unit_kg,
                                 double origin,
                                 double slope_mps_per_kg);

/// The lifter's line from these rows alone: two different loads or more.
///
/// With `bent` a parabola: three different loads or more, and more than three rows.
///
/// Scatter   from the rows; `assumed_scatter_mps` when there are only two of them.
/// Days      what the sets of a day share is told apart when three days or more allow it.
/// Recency   decides how much each row says of the line; the interval is that of this estimate if
///           all rows scatter alike.
[[nodiscard]] VelocityLine own_line(const LineRows& rows,
                                    double assumed_scatter_mps,
                                    bool bent = false);

/// How far the rows' velocity at one load changes a week, with its 95 % interval: a line with a
/// term of time, all rows counting the same. Three days or more over `least_weeks`; else nothing.
struct LineDrift {
  double mps_per_week = 0.0;
  Interval interval;
  double weeks = 0.0;  ///< first to last day
  int days = 0;
};
[[nodiscard]] std::optional<LineDrift> line_drift(const LineRows& rows, double least_weeks);

/// Akaike's criterion for few rows: how badly the rows fit a straight or bent line, after its
/// number of parameters. Smaller is better; only differences matter.
///
/// Source  C. M. Hurvich, C.-L. Tsai, Biometrika 1989; 76:297-307 (from memory).
[[nodiscard]] double aicc(const LineRows& rows, bool bent);

/// A fit to many lifters.
struct ClubLine {
  MixedFit fit;
  MixedOptions options;
  std::vector<MixedGroup> groups;
};
[[nodiscard]] ClubLine club_line(const std::vector<LineRows>& lifters);

/// One lifter's line, leaning on the club's as far as the lifter's own rows leave it open. `at` is
/// the lifter's place in `club.groups`.
///
/// Interval  mean squared error of the prediction, with what estimating the deviations adds.
/// Source    R. N. Kackar, D. A. Harville, J Am Stat Assoc 1984; 79:853-862; F. E. Satterthwaite,
///           Biometrics Bull 1946; 2:110-114 (both from memory).
[[nodiscard]] VelocityLine leaning_line(const ClubLine& club, std::size_t at, const LineRows& rows);

}  // namespace kinetics
