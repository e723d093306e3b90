#include "libkinetics/history/lifted_set.h"

#include <cstddef>
#include <utility>

#include "libkinetics/core/median.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

LiftedRep remembered(const Rep& rep) {
  return {.number = rep.number,
          .kind = rep.kind,
          .mean_velocity_mps = rep.mean_velocity_mps,
          .peak_velocity_mps = rep.peak_velocity_mps,
          .propulsive_velocity_mps = rep.propulsive_velocity_mps,
          .rom_m = rep.rom_m,
          .mean_force_n = rep.mean_force_n,
          .mean_power_w = rep.mean_power_w,
          .work_j = rep.work_j,
          .bottom_load_kg = rep.bottom_load_kg,
          .mean_load_kg = rep.mean_load_kg,
          .top_load_kg = rep.top_load_kg,
          .sticking_low_height = rep.sticking_low_height};
}

// Chains and bands stand behind the first comma of the load in words. Numbers from elsewhere have
// the words alone.
std::string accommodating_in_words(const SetPlan& plan, const BarLoad& load) {
  const std::string words = load_in_words(plan.stated_load_kg, plan.unit, load);
  const std::size_t comma = words.find(", ");
  return comma == std::string::npos ? plan.accommodating : words.substr(comma + 2);
}

// Within a recording. A rep that the coach excluded may have been the first of its set.
bool begins_set(const Rep& rep, const Rep* before) {
  return before == nullptr || rep.set != before->set || rep.number <= before->number;
}

}  // namespace

std::vector<LiftedSet> lifted_sets(const Session& session) {
  std::vector<LiftedSet> out;
  if (!session.options.plan) return out;
  const SetPlan& plan = *session.options.plan;
  const BarLoad load = session.options.loading.load.value_or(BarLoad{});
  const Rep* before = nullptr;
  for (const Rep& rep : session.reps) {
    if (begins_set(rep, std::exchange(before, &rep))) {
      const int in_recording = static_cast<int>(out.size());
      out.push_back({.session = {},
                     .day = session.provenance.held_on,
                     .start = plan.start,
                     .lifter = plan.lifter,
                     .lift = plan.lift,
                     .bar = plan.bar,
                     .box_height_m = plan.box_height_m,
                     .accommodating = accommodating_in_words(plan, load),
                     .stated_load_kg = plan.stated_load_kg,
                     .unit = plan.unit,
                     .set = plan.set.value_or(1) + in_recording,
                     .reps = {}});
    }
    out.back().reps.push_back(remembered(rep));
  }
  return out;
}

double usual_mean_load_kg(const LiftedSet& set) {
  std::vector<double> loads_kg;
  for (const LiftedRep& rep : set.reps) {
    if (rep.kind == RepKind::kFull && rep.mean_load_kg.ok()) {
      loads_kg.push_back(rep.mean_load_kg.value());
    }
  }
  if (loads_kg.empty()) return set.stated_load_kg;
  return median_of(std::move(loads_kg));
}

}  // namespace kinetics
