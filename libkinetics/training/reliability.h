#pragma once

#include <vector>

/// How far a number repeats, and which change is worth a word.

namespace kinetics {

/// Two tests of the same lifters.
struct Reliability {
  double mean_change = 0.0;          ///< second less first
  double typical_error = 0.0;        ///< SD of the differences over the square root of two
  double variation_percent = 0.0;    ///< typical error in percent of the grand mean
  double between_sd = 0.0;           ///< between lifters, in the first test
  double smallest_worthwhile = 0.0;  ///< 0.2 between_sd
  double minimum_detectable = 0.0;   ///< 1.96 √2 typical_error: 95 % of repeats differ by less
};

/// Errors  Error{kUsage} unless both have the same number of lifters, two or more.
/// Source  W. G. Hopkins, Sports Med 2000; 30:1-15 (from memory; 0.2 × SD second-hand).
[[nodiscard]] Reliability reliability(const std::vector<double>& first,
                                      const std::vector<double>& second);

/// Two-sided 95 % quantile of Student's t. Errors: Error{kUsage} unless `freedom` > 0.
[[nodiscard]] double student_t_95(double freedom);

/// Share of a standard deviation between lifters that is worth a word (see above).
inline constexpr double kSmallestWorthwhileShare = 0.2;

/// Standard deviation with n − 1; 0 for fewer than two values.
[[nodiscard]] double standard_deviation(const std::vector<double>& values);

}  // namespace kinetics
