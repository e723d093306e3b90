#include "libkinetics/session/speak_of_readings.h"

#include "libkinetics/session/rep_quantities.h"

namespace kinetics {

void speak_of_readings(std::vector<Rep>& reps) {
  for (Rep& rep : reps) {
    rep.sideways_m = rep.net_sideways_m = rep.path_deviation_m = Reason::kNotApplicable;
    for (const Quantity& q : kQuantities) {
      Measured& m = rep.*q.member;
      if (!m.ok() && m.reason() == Reason::kDiscHidden) m = Reason::kNoReadings;
    }
  }
}

}  // namespace kinetics
