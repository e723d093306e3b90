#include "libkinetics/report/day_view.h"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/report/day_words.h"
#include "libkinetics/roster/load_words.h"
#include "libkinetics/roster/names.h"

namespace kinetics::day_view {
namespace {

std::string without_unit(double load_kg, MassUnit unit) {
  const std::string words = load_in_words(load_kg, unit, BarLoad{});
  return words.substr(0, words.find(' '));
}

void append(std::string& words, const std::string& more) {
  if (more.empty()) return;
  if (!words.empty()) words += ", ";
  words += more;
}

std::string box_in_words(const std::optional<double>& height_m) {
  return height_m ? fmt::format("box {:g} cm", 100.0 * *height_m) : "";
}

std::string work_of(const Session& session) {
  std::string out;
  if (const auto& plan = session.options.plan) {
    out = plan->lift;
    append(out, plan->bar);
    append(out, box_in_words(plan->box_height_m));
  }
  const BarLoad load = session.options.loading.load.value_or(BarLoad{});
  for (const Chain& chain : load.chains) {
    append(out, fmt::format("{} x {}", chain.strands, chain.name));
  }
  for (const Band& band : load.bands) append(out, fmt::format("{} x {}", band.count, band.name));
  return out;
}

/// What the sheet alone says of it.
std::string work_of(const SheetRow& row) {
  std::string out = row.lift;
  append(out, row.bar);
  append(out, box_in_words(row.box_height_m));
  for (const auto* gear : {&row.chains, &row.bands}) {
    for (const GearCount& piece : *gear) {
      append(out, fmt::format("{} x {}", piece.count, piece.name));
    }
  }
  return out;
}

std::size_t index_of(std::vector<std::string>& works, const std::string& work) {
  const auto at = std::find_if(
      works.begin(), works.end(), [&](const std::string& w) { return same_name(w, work); });
  if (at != works.end()) return static_cast<std::size_t>(at - works.begin());
  works.push_back(work);
  return works.size() - 1;
}

bool has(const Rep& rep, FlagKind flag) {
  return std::find(rep.flags.begin(), rep.flags.end(), flag) != rep.flags.end();
}

Slowed slowed(const Session& session, const Rep& rep) {
  Slowed out = has(rep, FlagKind::kMaybeSlowed) ? Slowed::kMaybe : Slowed::kNo;
  for (const Finding& f : session.findings) {
    if (f.set != rep.set || f.rep != rep.number || f.kind != FindingKind::kSlowed) continue;
    out = f.certainty == Certainty::kCertain ? Slowed::kYes : Slowed::kMaybe;
  }
  return has(rep, FlagKind::kSlowed) ? Slowed::kYes : out;
}

std::string hours_and_minutes(const std::string& clock) {
  const std::size_t seconds = clock.find(':', clock.find(':') + 1);
  return clock.find(':') == std::string::npos ? clock : clock.substr(0, seconds);
}

void fill_in(DayColumn& column, const DaySet& set) {
  const Session& session = set.session;
  for (const Rep& rep : session.reps) {
    column.reps.push_back({.full = rep.kind == RepKind::kFull,
                           .mean_mps = rep.mean_velocity_mps,
                           .slowed = slowed(session, rep)});
  }
  column.recorded = set.number;
  column.figures = set_figures(session);
  column.time = hours_and_minutes(begin_of(set));
  column.match = match_in_words(set);
  column.zone = session.options.thresholds.zone;
}

class Viewing {
 public:
  explicit Viewing(const DaySession& day) : day_(day) {}

  [[nodiscard]] DayView all() {
    std::vector<const DaySet*> set_of(day_.rows.size(), nullptr);
    for (const DaySet& set : day_.sets) {
      if (set.match.row) set_of.at(*set.match.row) = &set;
    }
    for (std::size_t i = 0; i < day_.rows.size(); ++i) add_row(i, set_of[i]);
    add_extras();
    return std::move(view_);
  }

 private:
  LifterDay& lifter(const std::string& name) {
    auto& lifters = view_.lifters;
    const auto at = std::find_if(lifters.begin(), lifters.end(), [&](const LifterDay& l) {
      return same_name(l.lifter, name);
    });
    if (at != lifters.end()) return *at;
    return lifters.emplace_back(LifterDay{.lifter = name, .columns = {}});
  }

  /// A seen set with the same words on the sheet, which knows the usual bar: the lifter's own, else
  /// anybody's.
  [[nodiscard]] const DaySet* fellow_of(std::size_t row, const SheetRow& sheet_row) const {
    const DaySet* anybodys = nullptr;
    for (const DaySet& set : day_.sets) {
      if (!set.match.row) continue;
      const DayRow& other = day_.rows.at(*set.match.row);
      const SheetRow* other_sheet = sheet_row_of(day_, other);
      if (other_sheet == nullptr || !same_name(work_of(*other_sheet), work_of(sheet_row))) continue;
      if (same_name(other.lifter, day_.rows[row].lifter)) return &set;
      if (anybodys == nullptr) anybodys = &set;
    }
    return anybodys;
  }

  void add_missed(DayColumn& column, std::size_t row, const SheetRow* sheet_row) {
    column.kind = ColumnKind::kMissed;
    column.match = "missed";
    if (sheet_row == nullptr) return;
    const DaySet* fellow = fellow_of(row, *sheet_row);
    column.work =
        index_of(view_.works, fellow != nullptr ? work_of(fellow->session) : work_of(*sheet_row));
    if (fellow == nullptr) return;
    const bool own = same_name(day_.rows.at(*fellow->match.row).lifter, day_.rows[row].lifter);
    if (own) column.zone = fellow->session.options.thresholds.zone;
  }

  void add_row(std::size_t row, const DaySet* set) {
    LifterDay& into = lifter(day_.rows[row].lifter);
    const SheetRow* sheet_row = sheet_row_of(day_, day_.rows[row]);
    DayColumn column;
    column.row = day_.rows[row].row;
    column.planned_reps = day_.rows[row].planned_reps;
    column.label = fmt::format("{}", into.columns.size() + 1);
    if (sheet_row != nullptr) {
      if (sheet_row->set) column.label = fmt::format("{}", *sheet_row->set);
      column.load = without_unit(sheet_row->load_kg, unit_of(day_));
      if (time_of_day_s(sheet_row->start)) column.time = sheet_row->start;
    }
    if (set != nullptr) {
      fill_in(column, *set);
      column.work = index_of(view_.works, work_of(set->session));
    } else {
      add_missed(column, row, sheet_row);
    }
    into.columns.push_back(std::move(column));
  }

  void add_extras() {
    LifterDay nobody;
    for (const DaySet& set : day_.sets) {
      if (set.match.row) continue;
      DayColumn column;
      fill_in(column, set);
      column.kind = ColumnKind::kExtra;
      column.label = "-";
      column.zone = std::nullopt;
      nobody.columns.push_back(std::move(column));
    }
    if (!nobody.columns.empty()) view_.lifters.push_back(std::move(nobody));
  }

  const DaySession& day_;
  DayView view_;
};

}  // namespace

DayView view_of(const DaySession& day) {
  return Viewing(day).all();
}

}  // namespace kinetics::day_view
