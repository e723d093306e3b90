#include "libkinetics/roster/find_lift.h"

#include <cmath>

#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

constexpr double kSameBoxM = 0.006;

}  // namespace

const Lifter* find_lifter(const Roster& roster, std::string_view name) {
  for (const Lifter& lifter : roster.lifters) {
    if (same_name(lifter.name, name)) return &lifter;
  }
  return nullptr;
}

const LifterLift* find_lift(const Lifter& lifter,
                            std::string_view lift,
                            std::string_view bar,
                            std::optional<double> box_height_m) {
  const LifterLift* best = nullptr;
  int most = -1;
  for (const LifterLift& entry : lifter.lifts) {
    if (!same_name(entry.lift, lift)) continue;
    if (entry.bar && !same_name(*entry.bar, bar)) continue;
    const bool same_box = entry.box_height_m && box_height_m &&
                          std::abs(*entry.box_height_m - *box_height_m) < kSameBoxM;
    if (entry.box_height_m && !same_box) continue;
    const int named = (entry.bar ? 1 : 0) + (entry.box_height_m ? 1 : 0);
    if (named <= most) continue;
    most = named;
    best = &entry;
  }
  return best;
}

}  // namespace kinetics
