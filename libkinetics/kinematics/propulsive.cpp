#include "libkinetics/kinematics/propulsive.h"

#include <algorithm>

#include "libkinetics/loading/mass.h"

namespace kinetics {

std::size_t propulsive_end(const std::vector<MotionSample>& states, double lean) {
  // A braking arm takes time; a spike of noise in the acceleration leaves no drop in velocity.
  constexpr double kLeastBraking_s = 0.04;
  constexpr double kLeastOfGravity = 0.7;
  for (std::size_t i = 1; i < states.size(); ++i) {
    const MotionSample& s = states[i];
    if (s.accel_mps2 + lean * s.accel_sigma_mps2 >= -kStandardGravity) continue;
    std::size_t later = i;
    while (later + 1 < states.size() && states[later].t_s - s.t_s < kLeastBraking_s) ++later;
    const double drop = states[later].velocity_mps - s.velocity_mps;
    const double took_s = std::max(states[later].t_s - s.t_s, 1e-6);
    if (drop / took_s < kLeastOfGravity * -kStandardGravity) return i;
  }
  return states.size() - 1;
}

}  // namespace kinetics
