#pragma once

#include <utility>
#include <vector>

/// A smooth curve through measured rows that rises wherever they rise. Internal to the room.

namespace kinetics {

/// Cubic Hermite pieces whose slopes are limited so that the curve never overshoots a row; straight
/// on beyond both ends.
///
/// Source: F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304; end slopes by
/// the three-point rule of the same family, as SciPy's PchipInterpolator uses them.
class MonotoneCurve {
 public:
  /// Rows ascend in their first member; two or more.
  explicit MonotoneCurve(std::vector<std::pair<double, double>> rows);

  struct Point {
    double value = 0.0;
    double slope = 0.0;
    double integral = 0.0;  ///< from the first row
  };
  [[nodiscard]] Point at(double x) const;

  /// Where the straight piece before the first row meets zero; the first row when that is zero.
  [[nodiscard]] double zero_below() const;

 private:
  [[nodiscard]] Point inside(std::size_t piece, double x) const;

  std::vector<std::pair<double, double>> rows_;
  std::vector<double> slopes_;
};

}  // namespace kinetics
