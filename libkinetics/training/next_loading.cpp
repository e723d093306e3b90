#include "libkinetics/training/next_loading.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/load_words.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/sheet/gear_words.h"

namespace kinetics {
namespace {

using std::chrono::days;
constexpr int kWeek = 7;
constexpr double kPercent = 100.0;
constexpr double kTooSmall = 1e-9;

std::string place(const TrainingPlan& plan, int line) {
  return line > 0 ? fmt::format("{}:{}", plan.file, line) : plan.file;
}

/// Everything one wave's loadings are worked out from.
struct Scene {
  const TrainingPlan& plan;
  const Roster& roster;
  const WavePlan& wave;
  const std::vector<LiftedSession>& history;
  std::vector<WaveSession> sessions;
  std::vector<VelocityExpectation> judged_by;  ///< of each wave, by what was known before it
  VelocityExpectation foreseen_by;             ///< by all that is known
};

bool has_lift(const Lifter& lifter, const std::string& lift) {
  return std::any_of(lifter.lifts.begin(), lifter.lifts.end(), [&](const LifterLift& entry) {
    return same_name(entry.lift, lift);
  });
}

/// Who is meant by the wave. Names that the roster does not hold are refused.
std::vector<const Lifter*> lifters_of(const Scene& scene) {
  std::vector<const Lifter*> out;
  std::vector<std::string> names;
  for (const Lifter& lifter : scene.roster.lifters) names.push_back(lifter.name);
  for (const std::string& name : scene.wave.lifters) {
    const Lifter* const lifter = find_lifter(scene.roster, name);
    if (lifter == nullptr || !has_lift(*lifter, scene.wave.lift)) {
      throw Error(ErrorCode::kUnreadable,
                  place(scene.plan, scene.wave.line),
                  lifter == nullptr
                      ? fmt::format("no lifter '{}' is in the roster", name)
                      : fmt::format("{} has no lift '{}' in the roster", name, scene.wave.lift),
                  lifter == nullptr ? meant_or_known(name, names, "Add a [[lifter]]")
                                    : "Add a [[lifter.lift]] with it below the lifter");
    }
    out.push_back(lifter);
  }
  if (!scene.wave.lifters.empty()) return out;
  for (const Lifter& lifter : scene.roster.lifters) {
    if (has_lift(lifter, scene.wave.lift)) out.push_back(&lifter);
  }
  if (!out.empty()) return out;
  std::vector<std::string> lifts;
  for (const Lifter& lifter : scene.roster.lifters) {
    for (const LifterLift& entry : lifter.lifts) lifts.push_back(entry.lift);
  }
  std::sort(lifts.begin(), lifts.end());
  lifts.erase(std::unique(lifts.begin(), lifts.end()), lifts.end());
  throw Error(ErrorCode::kUnreadable,
              place(scene.plan, scene.wave.line),
              fmt::format("no lifter in the roster has the lift '{}'", scene.wave.lift),
              meant_or_known(scene.wave.lift, lifts, "Add a [[lifter.lift]] to the roster"));
}

/// The bar of that name, the usual one when none is named; nothing when there is none.
const BarGear* usual_bar(const Gear& gear, const std::string& name) {
  if (name.empty()) return gear.bars.empty() ? nullptr : &gear.bars.front();
  for (const BarGear& bar : gear.bars) {
    if (same_name(bar.name, name)) return &bar;
  }
  return nullptr;
}

/// What the roster knows of the lift in this variant.
const LifterLift* entry_of(const Scene& scene, const Lifter& lifter, const WaveVariant& variant) {
  const BarGear* const bar = usual_bar(scene.roster.gear, variant.bar);
  return find_lift(lifter, scene.wave.lift, bar != nullptr ? bar->name : "", variant.box_height_m);
}

/// The best single of the variant, else of the lift in any other.
std::optional<double> best_single(const Scene& scene,
                                  const Lifter& lifter,
                                  const WaveVariant& variant) {
  const LifterLift* const entry = entry_of(scene, lifter, variant);
  if (entry != nullptr && entry->best_single_kg) return entry->best_single_kg;
  for (const LifterLift& other : lifter.lifts) {
    if (same_name(other.lift, scene.wave.lift) && other.best_single_kg) return other.best_single_kg;
  }
  return std::nullopt;
}

/// How high the bar is at both ends of the lift; what is not known comes from the usual range.
std::optional<LiftHeights> heights_of(const PlannedSet& set, std::optional<double> rom_m) {
  if (set.lockout_height_m && set.bottom_height_m) {
    return LiftHeights{.bottom_m = *set.bottom_height_m, .top_m = *set.lockout_height_m};
  }
  if (!rom_m) return std::nullopt;
  if (set.lockout_height_m) {
    return LiftHeights{.bottom_m = *set.lockout_height_m - *rom_m, .top_m = *set.lockout_height_m};
  }
  if (set.bottom_height_m) {
    return LiftHeights{.bottom_m = *set.bottom_height_m, .top_m = *set.bottom_height_m + *rom_m};
  }
  return std::nullopt;
}

std::optional<double> usual_rom_m(const Scene& scene, const Lifter& lifter) {
  std::optional<double> last;
  for (const LiftedSession& s : scene.history) {
    if (!same_name(s.lifter, lifter.name) || !same_name(s.lift, scene.wave.lift)) continue;
    if (s.rom_m) last = s.rom_m;
  }
  return last;
}

bool has_gear(const BarLoad& load) {
  return !load.chains.empty() || !load.bands.empty();
}

/// A row of a session sheet with this load, looked up in the roster.
PlannedSet planned_set(const Scene& scene,
                       const Lifter& lifter,
                       const WaveSession& session,
                       double load_kg) {
  const WaveVariant& variant = session.variant;
  const std::string where = place(scene.plan, variant.line);
  SheetRow row{.row = variant.line,
               .lifter = lifter.name,
               .lift = scene.wave.lift,
               .bar = variant.bar,
               .box_height_m = variant.box_height_m,
               .load_kg = load_kg,
               .load_unit = scene.roster.unit,
               .chains = gear_from_words(variant.chains, where),
               .bands = gear_from_words(variant.bands, where),
               .set = std::nullopt,
               .start = {},
               .planned_reps = session.reps,
               .notes = {},
               .clip = {}};
  const Sheet sheet{.file = scene.plan.file, .table = {}, .columns = {}, .rows = {}, .notes = {}};
  try {
    return plan_set(sheet, row, &scene.roster);
  } catch (const Error& error) {
    throw Error(error.code(), where, error.problem(), error.mend());
  }
}

/// Straight weight that chains and bands come to, on average or at the top. Neither depends on the
/// discs.
double gear_kg(const PlannedSet& set, const LiftHeights& heights, PercentOf of) {
  if (of == PercentOf::kBar || !has_gear(set.load)) return 0.0;
  const LoadSpan span = load_span(set.load, heights.bottom_m, heights.top_m);
  const double straight_kg = set.load.bar_kg + set.load.discs_kg + set.load.collars_kg;
  const double top_kg = span.top.weight_n / set.load.gravity_mps2;
  return (of == PercentOf::kTop ? top_kg : span.straight_kg) - straight_kg;
}

/// Straight weight on the bar that the wave asks for.
double wave_kg(const Scene& scene,
               const Lifter& lifter,
               const WaveSession& session,
               double best_kg,
               Notes* notes) {
  const double share_kg = session.share * best_kg;
  if (scene.wave.percent_of == PercentOf::kBar) return share_kg;
  const BarGear* const bar = usual_bar(scene.roster.gear, session.variant.bar);
  const PlannedSet set =
      planned_set(scene, lifter, session, std::max(share_kg, bar != nullptr ? bar->mass_kg : 0.0));
  if (!has_gear(set.load)) return share_kg;
  const auto heights = heights_of(set, usual_rom_m(scene, lifter));
  if (heights) return std::max(0.0, share_kg - gear_kg(set, *heights, scene.wave.percent_of));
  if (notes != nullptr) {
    notes->push_back(
        {NoteKind::kCaution,
         "How high the bar is at bottom and top is not known: the percentage is of the "
         "straight weight. Add lockout_height_cm and bottom_height_cm to the roster."});
  }
  return share_kg;
}

/// The planned session nearest to a day that was lifted on; none when none is near.
const WaveSession* session_on(const Scene& scene, CalendarDay day) {
  const WaveSession* best = nullptr;
  for (const WaveSession& s : scene.sessions) {
    const auto off = std::abs((s.day - day).count());
    if (2 * off >= scene.wave.every_days) continue;
    if (best == nullptr || off < std::abs((best->day - day).count())) best = &s;
  }
  return best;
}

/// Past sessions of the lifter in the wave that `next` belongs to; light days tell nothing new.
std::vector<DoneSession> done_sessions(const Scene& scene,
                                       const Lifter& lifter,
                                       const WaveSession& next,
                                       const std::optional<VelocityBand>& zone) {
  std::vector<DoneSession> out;
  for (const LiftedSession& lifted : scene.history) {
    if (!same_name(lifted.lifter, lifter.name) || !same_name(lifted.lift, scene.wave.lift))
      continue;
    if (lifted.day >= next.day) continue;
    const WaveSession* const planned = session_on(scene, lifted.day);
    if (planned == nullptr || planned->second_day) continue;
    DoneSession done{.lifted = lifted, .expected_mps = Reason::kNotApplicable, .zone = zone};
    done.expected_mps = scene.judged_by[static_cast<std::size_t>(planned->wave - 1)](
        lifted.lifter, lifted.lift, lifted.set_up, lifted.mean_load_kg);
    const auto best_kg = best_single(scene, lifter, planned->variant);
    // A new wave begins at the plan's own load; the velocities before it still count.
    if (best_kg && planned->wave == next.wave) {
      const double step = scene.plan.adjust.step_share;
      const double off =
          (lifted.stated_load_kg - wave_kg(scene, lifter, *planned, *best_kg, nullptr)) / *best_kg;
      done.offset_share = step * std::round(off / step);
    }
    out.push_back(std::move(done));
  }
  return out;
}

void hang(const Scene& scene, NextLoading& out) {
  const BarGear* const bar = usual_bar(scene.roster.gear, out.session.variant.bar);
  constexpr double kUsualBarKg = 20.0;
  const double bar_kg = bar != nullptr ? bar->mass_kg : kUsualBarKg;
  const double collars_kg = 2.0 * scene.roster.gear.collar_kg;
  const auto owned = disc_pairs(scene.roster.gear);
  if (owned.empty()) {
    out.hung = {.side = {}, .total_kg = out.wanted_kg};
    out.notes.push_back({NoteKind::kCaution, "The roster has no discs: the total is not rounded."});
    return;
  }
  // An empty bar needs no collars.
  const double empty_kg = bar_kg + (out.wanted_kg > bar_kg + collars_kg ? collars_kg : 0.0);
  const DiscPlan discs = plan_discs(Mass::kilograms(out.wanted_kg), empty_kg, owned);
  out.hung = discs.nearest();
  out.collars = !out.hung.side.empty() && collars_kg > 0.0;
  if (out.hung.side.empty()) out.hung.total_kg = bar_kg;
  out.exact = discs.exact;
  if (out.hung.total_kg > out.wanted_kg + kTooSmall && !discs.below) {
    out.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("The bar alone, {:g} kg, is more than the {:.1f} kg wanted: take a lighter "
                     "one.",
                     bar_kg,
                     out.wanted_kg)});
  }
  if (!discs.above) {
    out.notes.push_back(
        {NoteKind::kCaution,
         fmt::format("The club's discs do not reach the {:.1f} kg wanted.", out.wanted_kg)});
  }
}

void weigh(const Scene& scene, const Lifter& lifter, NextLoading& out) {
  const auto heights = heights_of(out.set, usual_rom_m(scene, lifter));
  const BarLoad& load = out.set.load;
  if (!has_gear(load)) {
    out.bottom_kg = out.mean_kg = out.top_kg = out.hung.total_kg;
  } else if (heights) {
    const LoadSpan span = load_span(load, heights->bottom_m, heights->top_m);
    out.bottom_kg = span.bottom.weight_n / load.gravity_mps2;
    out.mean_kg = span.straight_kg;
    out.top_kg = span.top.weight_n / load.gravity_mps2;
  } else {
    out.notes.push_back({NoteKind::kCaution,
                         "What chains and bands add is not known: lockout_height_cm and "
                         "bottom_height_cm are missing in the roster."});
  }
  if (!out.top_kg) return;
  for (Note& note : load_cautions(load, *out.top_kg, heights, out.set.plan.limits)) {
    out.notes.push_back(std::move(note));
  }
}

NextLoading loading_of(const Scene& scene,
                       const Lifter& lifter,
                       const WaveSession& session,
                       double best_kg) {
  NextLoading out{.lifter = lifter.name,
                  .session = session,
                  .best_single_kg = best_kg,
                  .adjustment = {},
                  .hung = {},
                  .set = {},
                  .bottom_kg = std::nullopt,
                  .mean_kg = std::nullopt,
                  .top_kg = std::nullopt,
                  .expected_mps = Reason::kNotApplicable,
                  .notes = {}};
  out.wave_kg = wave_kg(scene, lifter, session, best_kg, &out.notes);
  const LifterLift* const entry = entry_of(scene, lifter, session.variant);
  const auto zone = entry != nullptr && entry->zone ? entry->zone : scene.roster.thresholds.zone;
  out.adjustment =
      adjust(done_sessions(scene, lifter, session, zone), scene.plan.adjust, session.taper);
  out.wanted_kg = out.wave_kg + out.adjustment.offset_share * best_kg;
  hang(scene, out);
  out.set = planned_set(scene, lifter, session, out.hung.total_kg);
  out.set.load.discs_a_side = out.hung.side;
  weigh(scene, lifter, out);
  if (out.mean_kg) {
    const SetUp set_up{
        .bar = out.set.plan.bar, .box_height_m = session.variant.box_height_m, .accommodating = {}};
    const Measured usual = scene.foreseen_by(lifter.name, scene.wave.lift, set_up, *out.mean_kg);
    out.expected_mps = usual;
    if (usual.ok()) {
      out.expected_mps =
          Measured(usual.value(), std::hypot(usual.sigma(), scene.plan.adjust.day_sigma_mps));
    }
  }
  return out;
}

/// The session that comes next, or that of the day asked for.
const WaveSession* next_session(const Scene& scene, const NextOptions& options) {
  std::optional<CalendarDay> last;
  for (const LiftedSession& s : scene.history) {
    if (same_name(s.lift, scene.wave.lift) && (!last || s.day > *last)) last = s.day;
  }
  const WaveSession* best = nullptr;
  for (const WaveSession& s : scene.sessions) {
    const bool fits = options.day ? s.day == *options.day : !last || s.day > *last;
    if (fits && (best == nullptr || s.day < best->day)) best = &s;
  }
  return best;
}

/// Looks up once for all lifters what was expected before each wave, and what is now.
void expect(Scene& scene, const WaveSession& next, const ExpectationAsOf& expectation) {
  for (const WaveSession& s : scene.sessions) {
    if (s.wave > next.wave) break;
    if (static_cast<std::size_t>(s.wave) > scene.judged_by.size()) {
      scene.judged_by.push_back(expectation(s.day));
    }
  }
  scene.foreseen_by = expectation(next.day);
}

LiftDay lift_day(const Scene& scene, const WaveSession& session) {
  LiftDay out{.day = session.day,
              .lift = scene.wave.lift,
              .session = session,
              .weeks = scene.wave.weeks,
              .meet = scene.plan.meet ? scene.plan.meet->name : "",
              .rest_s = scene.wave.rest_s,
              .loadings = {},
              .notes = volume_notes(session, scene.plan.volume)};
  for (const Lifter* lifter : lifters_of(scene)) {
    const auto best_kg = best_single(scene, *lifter, session.variant);
    if (best_kg) {
      out.loadings.push_back(loading_of(scene, *lifter, session, *best_kg));
      continue;
    }
    out.notes.push_back({NoteKind::kCaution,
                         fmt::format("{} is left out: the roster has no best single in the {}.",
                                     lifter->name,
                                     scene.wave.lift)});
  }
  std::stable_sort(out.loadings.begin(), out.loadings.end(), [](const auto& a, const auto& b) {
    return a.hung.total_kg < b.hung.total_kg;
  });
  return out;
}

std::string planned_days(const std::vector<CalendarDay>& known, CalendarDay day) {
  if (known.empty()) return "The plan has no sessions of it";
  const auto nearest = std::min_element(known.begin(), known.end(), [&](auto a, auto b) {
    return std::abs((a - day).count()) < std::abs((b - day).count());
  });
  return fmt::format("The nearest planned day is {}", in_iso(*nearest));
}

/// Special exercises and accessory work of the week of the first day.
void plan_week(const TrainingPlan& plan, CalendarDay day, NextPlan& out) {
  out.week_begins = day - days{weekday_number(day)};
  const CalendarDay sunday = out.week_begins + days{kWeek - 1};
  std::optional<CalendarDay> begin;
  for (const WavePlan& wave : plan.waves) {
    const CalendarDay first = wave_sessions(wave, plan.meet).front().day;
    if (!begin || first < *begin) begin = first;
  }
  for (SpecialPlan special : plan.specials) {
    if (!special.first_day) special.first_day = *begin - days{weekday_number(*begin)};
    for (auto& session : special_sessions(special, out.week_begins, sunday)) {
      out.specials.push_back(std::move(session));
    }
    for (Note& note : rotation_notes(special)) out.notes.push_back(std::move(note));
  }
  std::stable_sort(out.specials.begin(), out.specials.end(), [](const auto& a, const auto& b) {
    return a.day < b.day;
  });
  constexpr double kBeforeMeet = 0.5;
  const bool meet_near = plan.meet && plan.meet->day >= out.week_begins &&
                         plan.meet->day - out.week_begins < days{2 * kWeek};
  out.accessories = accessory_week(plan.accessories,
                                   plan.volume.accessory_week_kg_m,
                                   out.week_begins,
                                   meet_near ? kBeforeMeet : 1.0);
}

}  // namespace

NextPlan next_plan(const TrainingPlan& plan,
                   const Roster& roster,
                   const std::vector<LiftedSet>& history,
                   const ExpectationAsOf& expectation,
                   const NextOptions& options) {
  NextPlan out;
  out.rule = rule_in_words(plan.adjust);
  LiftedSessions lifted = lifted_sessions(history, roster.thresholds.slowed_loss);
  out.notes = std::move(lifted.notes);
  std::vector<CalendarDay> known;
  for (const WavePlan& wave : plan.waves) {
    if (options.lift && !same_name(*options.lift, wave.lift)) continue;
    Scene scene{.plan = plan,
                .roster = roster,
                .wave = wave,
                .history = lifted.sessions,
                .sessions = wave_sessions(wave, plan.meet),
                .judged_by = {},
                .foreseen_by = {}};
    for (const WaveSession& s : scene.sessions) known.push_back(s.day);
    if (const WaveSession* const next = next_session(scene, options)) {
      expect(scene, *next, expectation);
      out.days.push_back(lift_day(scene, *next));
    } else if (!options.day) {
      out.notes.push_back({NoteKind::kDecision,
                           fmt::format("The {} has no session left in the plan; its last was {}.",
                                       wave.lift,
                                       day_in_words(scene.sessions.back().day))});
    }
  }
  if (options.day && out.days.empty()) {
    throw Error(ErrorCode::kUsage,
                fmt::format("--day {}", in_iso(*options.day)),
                fmt::format("nothing is planned on this day in {}", plan.file),
                planned_days(known, *options.day));
  }
  if (options.lift && known.empty()) {
    std::vector<std::string> lifts;
    for (const WavePlan& wave : plan.waves) lifts.push_back(wave.lift);
    throw Error(ErrorCode::kUsage,
                fmt::format("--lift {}", *options.lift),
                fmt::format("no wave of this lift stands in {}", plan.file),
                meant_or_known(*options.lift, lifts, "Add a [[wave]] of it"));
  }
  std::stable_sort(
      out.days.begin(), out.days.end(), [](const auto& a, const auto& b) { return a.day < b.day; });
  if (!out.days.empty()) plan_week(plan, out.days.front().day, out);
  return out;
}

std::string set_up_in_words(const NextLoading& loading) {
  std::string out = loading.set.plan.bar.empty() ? "bar" : loading.set.plan.bar;
  if (loading.session.variant.box_height_m) {
    out += fmt::format(", box {:g} cm", kPercent * *loading.session.variant.box_height_m);
  }
  for (const std::string& gear : {loading.session.variant.chains, loading.session.variant.bands}) {
    if (!gear.empty()) out += ", " + gear;
  }
  return out;
}

}  // namespace kinetics
