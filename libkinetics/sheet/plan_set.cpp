#include "libkinetics/sheet/plan_set.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/loading/plan_discs.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

// Discs may be off by 0.25 % under the IPF's rules (second-hand copy of the rule book); taken as
// one standard error, since a gym's discs are looser than a meet's and share their maker's fault.
constexpr double kDiscSigmaRel = 0.0025;
constexpr double kUsualBarKg = 20.0;  // common practice, when no roster tells the bar

template <typename Thing, typename NameOf>
const Thing* by_name(const std::vector<Thing>& things, const std::string& name, NameOf name_of) {
  for (const Thing& thing : things) {
    if (same_name(name_of(thing), name)) return &thing;
  }
  return nullptr;
}

template <typename Thing, typename NameOf>
std::vector<std::string> names_of(const std::vector<Thing>& things, NameOf name_of) {
  std::vector<std::string> out;
  out.reserve(things.size());
  for (const Thing& thing : things) out.push_back(name_of(thing));
  return out;
}

std::string bar_name(const BarGear& bar) {
  return bar.name;
}
std::string lifter_name(const Lifter& lifter) {
  return lifter.name;
}
std::string lift_name(const LifterLift& lift) {
  return lift.lift;
}
std::string chain_name(const ChainGear& gear) {
  return gear.chain.name;
}
std::string band_name(const BandGear& gear) {
  return gear.band.name;
}

/// Works out one row and gathers what is wrong with it.
class Planner {
 public:
  Planner(const Sheet& sheet,
          const SheetRow& row,
          const Roster* roster,
          std::vector<SheetProblem>& problems)
      : sheet_(sheet), row_(row), roster_(roster), problems_(problems) {}

  PlannedSet plan() {
    copy_row();
    if (roster_ == nullptr) {
      without_roster();
      return std::move(out_);
    }
    out_.thresholds = roster_->thresholds;
    const BarGear* const bar = find_bar();
    if (const LifterLift* lift = find_lift(bar)) take_lift(*lift, bar);
    load_bar(bar);
    hang_chains();
    fix_bands();
    need_heights();
    for (const Rack& rack : roster_->gear.racks) {
      out_.plan.limits.push_back({.of = rack.name, .limit_kg = rack.limit_kg});
    }
    return std::move(out_);
  }

 private:
  void complain(SheetField field, std::string what, std::string mend) {
    problems_.push_back({.row = row_.row,
                         .column = column_name(sheet_, field),
                         .what = std::move(what),
                         .mend = std::move(mend)});
  }

  void copy_row() {
    SetPlan& plan = out_.plan;
    plan.sheet = std::filesystem::path(sheet_.file).filename().string();
    plan.row = row_.row;
    plan.lifter = row_.lifter;
    plan.lift = row_.lift;
    plan.bar = row_.bar;
    plan.box_height_m = row_.box_height_m;
    plan.stated_load_kg = row_.load_kg;
    plan.unit = row_.load_unit;
    plan.set = row_.set;
    plan.planned_reps = row_.planned_reps;
    plan.start = row_.start;
    plan.notes = row_.notes;
    out_.held_on = row_.date;
    out_.load.straight_sigma_kg = kDiscSigmaRel * row_.load_kg;
  }

  void without_roster() {
    for (const SheetField field : {SheetField::kChains, SheetField::kBands}) {
      const auto& gear = field == SheetField::kChains ? row_.chains : row_.bands;
      if (gear.empty()) continue;
      complain(field,
               fmt::format("'{}' cannot be looked up without a roster", gear.front().name),
               "Give --roster FILE");
    }
    out_.load.bar_kg = std::min(kUsualBarKg, row_.load_kg);
    out_.load.discs_kg = row_.load_kg - out_.load.bar_kg;
  }

  const BarGear* find_bar() {
    const std::vector<BarGear>& bars = roster_->gear.bars;
    if (row_.bar.empty()) return bars.empty() ? nullptr : &bars.front();
    const BarGear* const bar = by_name(bars, row_.bar, &bar_name);
    if (bar == nullptr) {
      complain(SheetField::kBar,
               fmt::format("no bar '{}' is in the roster", row_.bar),
               meant_or_known(row_.bar, names_of(bars, &bar_name), "Add a [[bar]] to it"));
    }
    return bar;
  }

  const LifterLift* find_lift(const BarGear* bar) {
    const Lifter* const lifter = by_name(roster_->lifters, row_.lifter, &lifter_name);
    if (lifter == nullptr) {
      complain(SheetField::kLifter,
               fmt::format("no lifter '{}' is in the roster", row_.lifter),
               meant_or_known(
                   row_.lifter, names_of(roster_->lifters, &lifter_name), "Add a [[lifter]]"));
      return nullptr;
    }
    out_.plan.lifter = lifter->name;
    if (by_name(lifter->lifts, row_.lift, &lift_name) == nullptr) {
      complain(SheetField::kLift,
               fmt::format("{} has no lift '{}' in the roster", lifter->name, row_.lift),
               meant_or_known(row_.lift,
                              names_of(lifter->lifts, &lift_name),
                              "Add a [[lifter.lift]] below the lifter"));
      return nullptr;
    }
    const LifterLift* const best =
        kinetics::find_lift(*lifter, row_.lift, bar != nullptr ? bar->name : "", row_.box_height_m);
    if (best == nullptr) {
      out_.notes.push_back({NoteKind::kDecision,
                            fmt::format("The roster knows '{}' of {} with other bars or boxes "
                                        "only: nothing of it was used.",
                                        row_.lift,
                                        lifter->name)});
    }
    return best;
  }

  void take_lift(const LifterLift& lift, const BarGear* bar) {
    SetPlan& plan = out_.plan;
    plan.lift = lift.lift;
    plan.best_single_kg = lift.best_single_kg;
    out_.lockout_height_m = lift.lockout_height_m;
    out_.bottom_height_m = lift.bottom_height_m;
    out_.height_sigma_m = lift.height_sigma_m;
    plan.expected = lift.expected;
    if (lift.zone) out_.thresholds.zone = lift.zone;
    // Heights given for any bar are a straight bar's.
    if (lift.bar || bar == nullptr) return;
    if (out_.lockout_height_m) *out_.lockout_height_m += bar->sleeves_raised_m;
    if (out_.bottom_height_m) *out_.bottom_height_m += bar->sleeves_raised_m;
  }

  void load_bar(const BarGear* bar) {
    BarLoad& load = out_.load;
    load.bar_kg = bar != nullptr ? bar->mass_kg : std::min(kUsualBarKg, row_.load_kg);
    if (bar != nullptr) {
      out_.plan.bar = bar->name;
      if (bar->limit_kg) {
        out_.plan.limits.push_back({.of = bar->name, .limit_kg = *bar->limit_kg});
      }
    }
    constexpr double kRounding = 0.05;  // of a pound bar written in kilograms
    double rest = row_.load_kg - load.bar_kg;
    if (rest < -kRounding) {
      complain(SheetField::kLoad,
               fmt::format("{:g} kg is less than the bar's own {:g} kg", row_.load_kg, load.bar_kg),
               "Give bar, discs and collars together");
      return;
    }
    rest = std::max(rest, 0.0);
    // An empty bar, or one loaded without collars, has none to take off.
    const double collars = 2.0 * roster_->gear.collar_kg;
    load.collars_kg = rest > collars ? collars : 0.0;
    load.discs_kg = rest - load.collars_kg;
    if (!roster_->gear.discs.empty()) check_discs(load);
  }

  // No error: discs may have been lent, or the coach may mean another bar.
  void check_discs(const BarLoad& load) {
    const DiscPlan discs = plan_discs(
        Mass::kilograms(row_.load_kg), load.bar_kg + load.collars_kg, disc_pairs(roster_->gear));
    constexpr double kNearKg = 0.1;  // what rounding pounds to kilograms may cost
    if (std::abs(discs.nearest().total_kg - row_.load_kg) < kNearKg) return;
    std::string nearest = fmt::format("{:g} kg", discs.nearest().total_kg);
    if (discs.below && discs.above) {
      nearest = fmt::format("{:g} kg or {:g} kg", discs.below->total_kg, discs.above->total_kg);
    }
    out_.notes.push_back(
        {NoteKind::kDecision,
         fmt::format(
             "The roster's discs do not make {:g} kg; nearest is {}.", row_.load_kg, nearest)});
  }

  bool can_hang(SheetField field, const GearCount& wanted, const std::optional<int>& owned) {
    if (wanted.count % 2 != 0) {
      complain(field,
               fmt::format("{} of '{}' cannot hang evenly", wanted.count, wanted.name),
               fmt::format("Count both sides together: 2 x {0}, or 1 x {0} a side", wanted.name));
      return false;
    }
    if (owned && wanted.count > *owned) {
      complain(field,
               fmt::format("{} of '{}' are written down and the roster has {}",
                           wanted.count,
                           wanted.name,
                           *owned),
               "Count both sides together, or mend 'count' in the roster");
      return false;
    }
    return true;
  }

  void hang_chains() {
    for (const GearCount& wanted : row_.chains) {
      const std::vector<ChainGear>& known = roster_->gear.chains;
      const ChainGear* const gear = by_name(known, wanted.name, &chain_name);
      if (gear == nullptr) {
        complain(SheetField::kChains,
                 fmt::format("no chain '{}' is in the roster", wanted.name),
                 meant_or_known(wanted.name, names_of(known, &chain_name), "Add a [[chain]]"));
        continue;
      }
      if (!can_hang(SheetField::kChains, wanted, gear->count)) continue;
      out_.load.chains.push_back(gear->chain);
      out_.load.chains.back().strands = wanted.count;
    }
  }

  void fix_bands() {
    for (const GearCount& wanted : row_.bands) {
      const std::vector<BandGear>& known = roster_->gear.bands;
      const BandGear* const gear = by_name(known, wanted.name, &band_name);
      if (gear == nullptr) {
        complain(SheetField::kBands,
                 fmt::format("no band '{}' is in the roster", wanted.name),
                 meant_or_known(wanted.name, names_of(known, &band_name), "Add a [[band]]"));
        continue;
      }
      if (!can_hang(SheetField::kBands, wanted, gear->count)) continue;
      out_.load.bands.push_back(gear->band);
      out_.load.bands.back().count = wanted.count;
    }
  }

  // What chains and bands weigh depends on how high the bar is.
  void need_heights() {
    const SetPlan& plan = out_.plan;
    if (out_.load.chains.empty() && out_.load.bands.empty()) return;
    if (out_.lockout_height_m || out_.bottom_height_m) return;
    complain(out_.load.chains.empty() ? SheetField::kBands : SheetField::kChains,
             fmt::format("how high the bar is in {}'s {} is not known", plan.lifter, plan.lift),
             "Add lockout_height_cm or bottom_height_cm to the lift in the roster");
  }

  const Sheet& sheet_;
  const SheetRow& row_;
  const Roster* roster_;
  std::vector<SheetProblem>& problems_;
  PlannedSet out_;
};

std::string rows_in_words(const Sheet& sheet) {
  constexpr std::size_t kMost = 12;
  std::string out;
  for (std::size_t i = 0; i < std::min(sheet.rows.size(), kMost); ++i) {
    out += fmt::format("{}{}", i > 0 ? "; " : "", in_words(sheet.rows[i]));
  }
  if (sheet.rows.size() > kMost) out += fmt::format("; and {} more", sheet.rows.size() - kMost);
  return out;
}

const SheetRow* only_row_of(const Sheet& sheet, const std::string& clip) {
  const SheetRow* found = nullptr;
  const auto name = std::filesystem::path(clip).filename();
  for (const SheetRow& row : sheet.rows) {
    if (name.empty() || std::filesystem::path(row.clip).filename() != name) continue;
    if (found) return nullptr;
    found = &row;
  }
  return found;
}

}  // namespace

const SheetRow& choose_row(const Sheet& sheet, std::optional<int> row, const std::string& clip) {
  if (sheet.rows.empty()) {
    throw Error(ErrorCode::kUsage,
                sheet.file,
                sheet.rows_to_fill > 0 ? "no row of this sheet is filled in yet"
                                       : "this sheet has no row below its headings",
                "Write lifter, lift and load of the set into a row");
  }
  if (!row && sheet.rows.size() == 1) return sheet.rows.front();
  if (row) {
    for (const SheetRow& candidate : sheet.rows) {
      if (candidate.row == *row) return candidate;
    }
  } else if (const SheetRow* named = only_row_of(sheet, clip)) {
    return *named;
  }
  throw Error(ErrorCode::kUsage,
              sheet.file,
              row ? fmt::format("row {} holds no set", *row)
                  : fmt::format("this sheet holds {} sets", sheet.rows.size()),
              fmt::format("Give --row with one of these: {}", rows_in_words(sheet)));
}

PlannedSet plan_set(const Sheet& sheet, const SheetRow& row, const Roster* roster) {
  std::vector<SheetProblem> problems;
  PlannedSet out = Planner(sheet, row, roster, problems).plan();
  if (!problems.empty()) throw as_error(problems.front(), sheet.file);
  return out;
}

SheetCheck check_sheet(const Sheet& sheet, const Roster& roster) {
  SheetCheck out;
  for (const SheetRow& row : sheet.rows) {
    PlannedSet planned = Planner(sheet, row, &roster, out.problems).plan();
    for (Note& note : planned.notes) {
      note.text = fmt::format("Row {}: {}", row.row, note.text);
      out.notes.push_back(std::move(note));
    }
  }
  return out;
}

}  // namespace kinetics
