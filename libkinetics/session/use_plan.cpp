#include "libkinetics/session/use_plan.h"

#include <utility>

#include <fmt/format.h>

namespace kinetics {

void use_planned(PlannedSet planned, AnalysisOptions& options) {
  options.loading.load = std::move(planned.load);
  options.loading.bar_height_at_bottom_m = planned.bottom_height_m;
  options.loading.bar_height_at_lockout_m = planned.lockout_height_m;
  if (planned.height_sigma_m > 0.0) options.loading.height_sigma_m = planned.height_sigma_m;
  options.thresholds = planned.thresholds;
  if (options.held_on.day.empty() && !planned.held_on.empty()) {
    options.held_on = {
        .day = planned.held_on,
        .told_by = fmt::format("row {} of {}", planned.plan.row, planned.plan.sheet)};
  }
  options.plan = std::move(planned.plan);
}

}  // namespace kinetics
