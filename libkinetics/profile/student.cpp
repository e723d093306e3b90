#include "libkinetics/profile/student.h"

#include <algorithm>
#include <cmath>

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace kinetics {
namespace {

// Beyond it Student's distribution is the normal one to eight digits.
constexpr double kManyDegrees = 1e9;
// Fewer than one cannot be estimated well enough to widen an interval by.
constexpr double kFewestDegrees = 1.0;

}  // namespace

double student95(double degrees) {
  if (!(degrees < kManyDegrees)) return boost::math::quantile(boost::math::normal(), 0.975);
  return boost::math::quantile(boost::math::students_t(std::max(degrees, kFewestDegrees)), 0.975);
}

double student_two_sided(double t, double degrees) {
  const double size = std::abs(t);
  if (!(degrees < kManyDegrees)) {
    return 2.0 * boost::math::cdf(boost::math::complement(boost::math::normal(), size));
  }
  const boost::math::students_t student(std::max(degrees, kFewestDegrees));
  return 2.0 * boost::math::cdf(boost::math::complement(student, size));
}

}  // namespace kinetics
