#include "libkinetics/report/plan_words.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;

std::string trimmed_number(double value) {
  std::string out = fmt::format("{:.2f}", value);
  out.erase(out.find_last_not_of('0') + 1);
  if (out.ends_with('.')) out.pop_back();
  return out;
}

}  // namespace

std::string load_number(double kg, MassUnit unit) {
  return trimmed_number(unit == MassUnit::kPound ? kg / kKilogramsPerPound : kg);
}

std::string discs_short(const DiscStack& side, MassUnit unit) {
  if (side.empty()) return "none";
  const bool one_unit = std::all_of(
      side.begin(), side.end(), [&](const Disc& disc) { return disc.mass.unit() == unit; });
  if (!one_unit) return describe(side);
  std::string out;
  for (const Disc& disc : side) {
    if (!out.empty()) out += " + ";
    if (disc.count > 1) out += fmt::format("{} × ", disc.count);
    out += trimmed_number(disc.mass.value());
  }
  return out;
}

std::string session_in_words(const WaveSession& session, int weeks) {
  std::string out = fmt::format("wave {}, week {} of {}, {:g} % of the best single",
                                session.wave,
                                session.week,
                                weeks,
                                kPercent * session.share);
  if (session.second_day) out += ", the week's lighter day";
  if (session.taper) out += ", cut before the meet";
  return out;
}

std::string sets_in_words(const LiftDay& day) {
  std::string out = fmt::format(
      "{} set{} of {}", day.session.sets, day.session.sets == 1 ? "" : "s", day.session.reps);
  if (day.rest_s) out += fmt::format(", {} s rest", *day.rest_s);
  return out;
}

std::string move_in_words(const NextLoading& loading) {
  const double offset = kPercent * loading.adjustment.offset_share;
  std::string out(in_words(loading.adjustment.move));
  constexpr double kNone = 1e-6;
  if (std::abs(offset) < kNone) return out;
  return out +
         fmt::format(", {:g} % {} the wave", std::abs(offset), offset > 0 ? "above" : "below");
}

std::string expected_in_words(const Measured& expected) {
  if (!expected.ok()) return "not known";
  return fmt::format("{:.2f} to {:.2f}", std::max(0.0, expected.lo()), expected.hi());
}

std::string plan_cautions() {
  return "A plan, not an order: the coach decides on the day, the lifter may always take less. "
         "Stop "
         "on pain or dizziness and see a licensed clinician; young, new, pregnant or returning "
         "lifters need a licensed professional's advice first. Local rules and the venue's rules "
         "come "
         "first. Collars on every set, safeties set to the lift, trained spotters; racks, safeties "
         "and spotters for the load at the top.";
}

Notes shared_notes(const LiftDay& day) {
  Notes out = day.notes;
  for (const NextLoading& loading : day.loadings) {
    for (const Note& note : loading.notes) {
      const auto same =
          std::count_if(day.loadings.begin(), day.loadings.end(), [&](const NextLoading& other) {
            return std::find(other.notes.begin(), other.notes.end(), note) != other.notes.end();
          });
      Note told = note;
      if (same == 1 && day.loadings.size() > 1) told.text = loading.lifter + ": " + note.text;
      if (std::find(out.begin(), out.end(), told) == out.end()) out.push_back(std::move(told));
    }
  }
  return out;
}

}  // namespace kinetics
