#include "libkinetics/session/judge.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "libkinetics/flags/expectation.h"
#include "libkinetics/flags/find_flags.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

// Mean over the reps; they differ by the little that their ranges do.
std::optional<double> usual_load_kg(const std::vector<Rep>& reps) {
  double sum = 0.0;
  int count = 0;
  for (const Rep& rep : reps) {
    if (rep.kind != RepKind::kFull || !rep.mean_load_kg.ok()) continue;
    sum += rep.mean_load_kg.value();
    ++count;
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

FlagReferences references_of(const Session& session) {
  FlagReferences out;
  out.load_kg = usual_load_kg(session.reps);
  for (const Rep& rep : session.reps) out.force_n.push_back(rep.mean_force_n);
  const LoadingChoice& loading = session.options.loading;
  if (loading.bar_height_at_lockout_m && loading.bar_height_at_bottom_m) {
    out.depth_m = *loading.bar_height_at_lockout_m - *loading.bar_height_at_bottom_m;
    out.depth_sigma_m = std::numbers::sqrt2 * loading.height_sigma_m;
  }
  if (!session.options.plan) return out;
  out.best_single_kg = session.options.plan->best_single_kg;
  if (out.load_kg) {
    out.expected_mps = expected_velocity(session.options.plan->expected, *out.load_kg);
  }
  return out;
}

void note_missing_expectation(Session& session, const FlagReferences& references) {
  const SetPlan& plan = *session.options.plan;
  if (plan.expected.empty() || !references.load_kg || references.expected_mps.ok()) return;
  session.notes.push_back(
      {NoteKind::kDecision,
       fmt::format("Nothing is expected of {} at {:.1f} kg: the roster tells of {:g} to {:g} kg.",
                   plan.lifter,
                   *references.load_kg,
                   plan.expected.front().load_kg,
                   plan.expected.back().load_kg)});
}

void note_other_count(Session& session) {
  const SetPlan& plan = *session.options.plan;
  const auto found = static_cast<int>(session.reps.size());
  if (!plan.planned_reps || *plan.planned_reps == found) return;
  session.notes.push_back(
      {NoteKind::kDecision,
       fmt::format("The sheet plans {} reps and {} were found.", *plan.planned_reps, found)});
}

// The heaviest top of all reps, and how high it was when a height is known.
void add_load_cautions(Session& session) {
  const LoadingChoice& loading = session.options.loading;
  if (!loading.load) return;
  double top_kg = 0.0;
  for (const Rep& rep : session.reps) {
    if (rep.top_load_kg.ok()) top_kg = std::max(top_kg, rep.top_load_kg.value());
  }
  double rise_m = 0.0;
  for (const Rep& rep : session.reps) {
    if (rep.rom_m.ok()) rise_m = std::max(rise_m, rep.rom_m.value());
  }
  std::optional<LiftHeights> heights;
  if (rise_m > 0.0 && loading.bar_height_at_bottom_m) {
    const double bottom_m = *loading.bar_height_at_bottom_m;
    heights = LiftHeights{.bottom_m = bottom_m, .top_m = bottom_m + rise_m};
  } else if (rise_m > 0.0 && loading.bar_height_at_lockout_m) {
    const double top_m = *loading.bar_height_at_lockout_m;
    heights = LiftHeights{.bottom_m = top_m - rise_m, .top_m = top_m};
  }
  const std::vector<LoadLimit> limits =
      session.options.plan ? session.options.plan->limits : std::vector<LoadLimit>{};
  for (Note& note : load_cautions(*loading.load, top_kg, heights, limits)) {
    session.notes.push_back(std::move(note));
  }
}

}  // namespace

void judge(Session& session) {
  Thresholds thresholds = session.options.thresholds;
  thresholds.slowed_loss = session.options.reps.slowed_loss;
  const FlagReferences references = references_of(session);
  session.findings = find_flags(session.reps, session.motion, thresholds, references);
  if (session.options.plan) {
    note_missing_expectation(session, references);
    note_other_count(session);
  }
  add_load_cautions(session);
}

}  // namespace kinetics
