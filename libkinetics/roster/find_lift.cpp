#include "libkinetics/roster/find_lift.h"

#include <cmath>

#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

constexpr double kSameBoxM = 0.006;  // two tape readings of one box

bool same_box(const LifterLift& lift, std::optional<double> box_height_m) {
  return box_height_m && std::abs(*box_height_m - *lift.box_height_m) < kSameBoxM;
}

}  // namespace

const Lifter* find_lifter(const Roster& roster, const std::string& name) {
  for (const Lifter& lifter : roster.lifters) {
    if (same_name(lifter.name, name)) return &lifter;
  }
  return nullptr;
}

const BarGear* find_bar(const Gear& gear, const std::string& name) {
  if (name.empty()) return gear.bars.empty() ? nullptr : &gear.bars.front();
  for (const BarGear& bar : gear.bars) {
    if (same_name(bar.name, name)) return &bar;
  }
  return nullptr;
}

const LifterLift* fitting_lift(const Lifter& lifter,
                               const std::string& lift,
                               const BarGear* bar,
                               std::optional<double> box_height_m) {
  const LifterLift* best = nullptr;
  int most = -1;
  for (const LifterLift& entry : lifter.lifts) {
    if (!same_name(entry.lift, lift)) continue;
    if (entry.bar && (bar == nullptr || !same_name(*entry.bar, bar->name))) continue;
    if (entry.box_height_m && !same_box(entry, box_height_m)) continue;
    const int named = (entry.bar ? 1 : 0) + (entry.box_height_m ? 1 : 0);
    if (named <= most) continue;
    most = named;
    best = &entry;
  }
  return best;
}

}  // namespace kinetics
