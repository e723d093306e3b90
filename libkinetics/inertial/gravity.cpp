#include "libkinetics/inertial/gravity.h"

#include <cmath>
#include <numbers>

namespace kinetics {

double gravity_at(double latitude_deg, double height_m) {
  const double twice = 2.0 * latitude_deg * std::numbers::pi / 180.0;
  const double c = std::cos(twice);
  const double at_sea = 9.80616 * (1.0 - 0.0026373 * c + 0.0000059 * c * c);
  return at_sea - 3.086e-6 * height_m;
}

}  // namespace kinetics
