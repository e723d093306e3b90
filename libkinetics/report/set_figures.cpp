#include "libkinetics/report/set_figures.h"

#include <algorithm>

#include <fmt/format.h>

#include "libkinetics/report/flag_words.h"

namespace kinetics {
namespace {

using FullReps = std::vector<const Rep*>;

Measured fastest_of(const FullReps& reps) {
  Measured best;
  if (!reps.empty()) best = reps.front()->mean_velocity_mps;
  for (const Rep* rep : reps) {
    const Measured& mean = rep->mean_velocity_mps;
    if (mean.ok() && (!best.ok() || mean.value() > best.value())) best = mean;
  }
  return best;
}

Measured mean_of(const FullReps& reps, Measured Rep::*member) {
  double sum = 0.0;
  double sigmas = 0.0;
  for (const Rep* rep : reps) {
    const Measured& value = rep->*member;
    if (!value.ok()) return value;
    sum += value.value();
    sigmas += value.sigma();
  }
  const auto count = static_cast<double>(reps.size());
  return reps.empty() ? Measured() : Measured(sum / count, sigmas / count);
}

std::vector<SetFlag> flags_of(const Session& session, int set) {
  std::vector<SetFlag> out;
  for (const Rep& rep : session.reps) {
    if (rep.set != set) continue;
    for (const std::string& words : spoken_flags(session, rep)) {
      auto at = std::find_if(out.begin(), out.end(), [&](auto& f) { return f.words == words; });
      if (at == out.end()) at = out.insert(out.end(), {.words = words, .reps = {}});
      at->reps.push_back(rep.number);
    }
  }
  return out;
}

}  // namespace

std::string in_words(const SetFlag& flag) {
  return fmt::format(
      "{}: rep{} {}", flag.words, flag.reps.size() == 1 ? "" : "s", fmt::join(flag.reps, ", "));
}

SetFigures set_figures(const Session& session, int set) {
  SetFigures out;
  FullReps full;
  for (const Rep& rep : session.reps) {
    if (rep.set != set) continue;
    ++out.reps;
    if (rep.kind == RepKind::kFull) full.push_back(&rep);
  }
  out.fastest_mps = fastest_of(full);
  out.mean_mps = mean_of(full, &Rep::mean_velocity_mps);
  if (!full.empty()) {
    out.last_mps = full.back()->mean_velocity_mps;
    out.loss = full.back()->velocity_loss;
  }
  out.bottom_load_kg = mean_of(full, &Rep::bottom_load_kg);
  out.mean_load_kg = mean_of(full, &Rep::mean_load_kg);
  out.top_load_kg = mean_of(full, &Rep::top_load_kg);
  out.flags = flags_of(session, set);
  return out;
}

LoadUnit load_unit(MassUnit unit) {
  if (unit == MassUnit::kKilogram) return {};
  return {.name = "lb", .a_kg = 1.0 / kKilogramsPerPound};
}

}  // namespace kinetics
