#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <system_error>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/logbook/set_csv.h"
#include "libkinetics/logbook/set_csv_row.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/rep_quantities.h"
#include "libkinetics/session/version.h"

namespace kinetics {
namespace {

constexpr int kMostSets = 200;
constexpr int kMostReps = 200;
constexpr double kLeastLoadKg = 1.0;
constexpr double kMostLoadKg = 1000.0;
constexpr double kInchM = 0.0254;  // exactly (international yard and pound agreement, 1959)
constexpr std::uintmax_t kLargestBytes = std::uintmax_t{256} << 20U;

/// What a number can be at most, by its unit: beyond it the unit was mistaken.
double greatest_of(const Quantity& q) {
  const std::map<std::string_view, double> by_unit{{"m/s", 5.0},
                                                   {"m", 3.0},
                                                   {"s", 600.0},
                                                   {"kg", 2.0 * kMostLoadKg},
                                                   {"N", 50000.0},
                                                   {"W", 50000.0},
                                                   {"J", 100000.0},
                                                   {"N s", 100000.0},
                                                   {"1", 100.0}};
  const auto found = by_unit.find(q.unit);
  return found == by_unit.end() ? 1e9 : found->second;
}

std::optional<double> in_one_of(
    const SetCsvRow& row,
    std::initializer_list<std::pair<std::string_view, double>> headings_and_units,
    double least,
    double greatest) {
  std::optional<double> out;
  for (const auto& [heading, unit] : headings_and_units) {
    const auto value = row.number(heading, least / unit, greatest / unit);
    if (!value) continue;
    if (out) row.refuse(heading, "it is given in two units", "Leave one of the two cells empty");
    out = *value * unit;
  }
  return out;
}

/// "2 x heavy chain + 2 x light band" of both cells, parted as loads in words are.
std::string accommodating_in(const SetCsvRow& row) {
  std::string out;
  for (const char* const heading : {"chains", "bands"}) {
    std::string cell = row.cell(heading);
    if (cell == "-" || cell == "0" || same_name(cell, "none")) cell.clear();
    for (std::size_t from = 0; from < cell.size();) {
      const std::size_t to = std::min(cell.find('+', from), cell.size());
      std::string part = cell.substr(from, to - from);
      part.erase(0, std::min(part.find_first_not_of(' '), part.size()));
      part.erase(part.find_last_not_of(' ') + 1);
      if (part.find(',') != std::string::npos) {
        row.refuse(heading, "several pieces are parted by a comma", "Part them by ' + '");
      }
      if (!part.empty()) out += (out.empty() ? "" : ", ") + part;
      from = to + 1;
    }
  }
  return out;
}

SetPlan plan_in(const SetCsvRow& row, const std::string& file) {
  SetPlan plan{.sheet = std::filesystem::path(file).filename().string(),
               .row = row.number(),
               .lifter = row.needed("lifter"),
               .lift = row.needed("lift"),
               .bar = row.cell("bar"),
               .start = row.cell("start"),
               .notes = row.cell("notes")};
  plan.box_height_m = in_one_of(
      row, {{"box_height_m", 1.0}, {"box_height_cm", 0.01}, {"box_height_in", kInchM}}, 0.05, 1.2);
  const auto load_kg = in_one_of(
      row, {{"load_kg", 1.0}, {"load_lb", kKilogramsPerPound}}, kLeastLoadKg, kMostLoadKg);
  if (!load_kg) row.refuse("load_kg", "the load is missing", "Give load_kg or load_lb");
  plan.stated_load_kg = *load_kg;
  plan.unit = row.cell("load_lb").empty() ? MassUnit::kKilogram : MassUnit::kPound;
  plan.set = row.whole("set", 1, kMostSets);
  if (!plan.set) row.refuse("set", "the set's number is missing", "Number the day's sets 1, 2, 3");
  plan.planned_reps = row.whole("planned_reps", 1, kMostReps);
  plan.best_single_kg = in_one_of(
      row, {{"best_single_kg", 1.0}, {"best_single_lb", kKilogramsPerPound}}, 1.0, kMostLoadKg);
  plan.accommodating = accommodating_in(row);
  return plan;
}

std::string date_in(const SetCsvRow& row) {
  std::string date = row.needed("date");
  if (!day_in(date)) {
    row.refuse("date", fmt::format("'{}' is no day", date), "Write it like 2031-03-07");
  }
  return date;
}

RepKind kind_in(const SetCsvRow& row) {
  const std::string word = row.cell("kind");
  if (word.empty()) return RepKind::kFull;
  for (const RepKind kind : {RepKind::kFull, RepKind::kPartial, RepKind::kFailed}) {
    if (in_words(kind) == word) return kind;
  }
  row.refuse("kind", fmt::format("'{}' is no kind of rep", word), "Write full, partial or failed");
}

constexpr Reason kAllReasons[] = {Reason::kDiscHidden,
                                  Reason::kTooFewFrames,
                                  Reason::kOutsideClip,
                                  Reason::kNoReadings,
                                  Reason::kLoadUnknown,
                                  Reason::kHeightUnknown,
                                  Reason::kWithinNoise,
                                  Reason::kNotApplicable,
                                  Reason::kNotGiven};

/// "rom_m: disc hidden; pause_s: not applicable", by name.
std::map<std::string, Reason> reasons_in(const SetCsvRow& row) {
  std::map<std::string, Reason> out;
  const std::string cell = row.cell("not_measured");
  for (std::size_t from = 0; from < cell.size();) {
    const std::size_t to = std::min(cell.find("; ", from), cell.size());
    const std::string part = cell.substr(from, to - from);
    const std::size_t colon = std::min(part.find(": "), part.size());
    const std::string words = colon < part.size() ? part.substr(colon + 2) : "";
    const auto* const reason = std::find_if(std::begin(kAllReasons),
                                            std::end(kAllReasons),
                                            [&](Reason r) { return in_words(r) == words; });
    if (reason == std::end(kAllReasons)) {
      row.refuse("not_measured",
                 fmt::format("'{}' is not a name and a reason", part),
                 "Write it like 'rom_m: disc hidden', parted by '; '");
    }
    out[part.substr(0, colon)] = *reason;
    from = to + 2;
  }
  return out;
}

/// The standard error as it is told; nothing when it is not.
std::optional<double> sigma_in(const SetCsvRow& row, const Quantity& q, double value) {
  const double most = greatest_of(q);
  if (const auto sigma = row.number(name_of(q, "_sigma"), 0.0, most)) return sigma;
  const std::string lo_name = name_of(q, "_lo");
  const std::string hi_name = name_of(q, "_hi");
  const auto lo = row.number(lo_name, -3.0 * most, 3.0 * most);
  const auto hi = row.number(hi_name, -3.0 * most, 3.0 * most);
  if (!lo && !hi) return std::nullopt;
  if (!lo || !hi) {
    row.refuse(lo ? hi_name : lo_name, "one end of the interval is missing", "Give both ends");
  }
  if (*lo > value || *hi < value) {
    row.refuse(lo_name, "the interval does not hold the value", "Give both ends of it");
  }
  return (*hi - *lo) / (2.0 * kNormal95);
}

bool is_load(const Quantity& q) {
  return q.unit == "kg";
}

/// One rep; `unsure` gathers the names of numbers whose error was made up.
Rep rep_in(const SetCsvRow& row, std::set<std::string>& unsure) {
  Rep rep;
  const auto number = row.whole("rep", 1, kMostReps);
  if (!number) row.refuse("rep", "the rep's number is missing", "Number the set's reps 1, 2, 3");
  rep.number = *number;
  rep.kind = kind_in(row);
  if (rep.kind == RepKind::kPartial) rep.flags.push_back(FlagKind::kPartial);
  if (rep.kind == RepKind::kFailed) rep.flags.push_back(FlagKind::kFailed);
  constexpr double kLongestS = 1e6;
  constexpr double kHighestM = 1e3;
  rep.start_s = row.number("start_s", 0.0, kLongestS).value_or(0.0);
  rep.end_s = row.number("end_s", 0.0, kLongestS).value_or(0.0);
  rep.bottom_height_m = row.number("bottom_height_m", -kHighestM, kHighestM).value_or(0.0);
  rep.top_height_m = row.number("top_height_m", -kHighestM, kHighestM).value_or(0.0);
  const std::map<std::string, Reason> reasons = reasons_in(row);
  for (const Quantity& q : kQuantities) {
    const std::string name = name_of(q);
    const double most = greatest_of(q);
    const auto value = row.number(name, -most, most);
    if (!value) {
      const auto reason = reasons.find(name);
      rep.*q.member = reason == reasons.end() ? Reason::kNotGiven : reason->second;
      continue;
    }
    auto sigma = sigma_in(row, q, *value);
    if (!sigma) {
      sigma = (is_load(q) ? kUnsureLoadShare : kUnsureShare) * std::abs(*value);
      if (!is_load(q)) unsure.insert(name);
    }
    rep.*q.member = Measured(*value, *sigma);
  }
  const bool may_be_empty = rep.kind == RepKind::kFailed || reasons.count("mean_velocity_mps") > 0;
  if (!rep.mean_velocity_mps.ok() && !may_be_empty) {
    row.refuse("mean_velocity_mps",
               "the mean velocity is missing",
               "Write it, or tell in not_measured why there is none");
  }
  if (rep.mean_velocity_mps.ok() && rep.mean_velocity_mps.value() <= 0.0) {
    row.refuse("mean_velocity_mps", "a rise's mean velocity is above 0", "Mend the number");
  }
  return rep;
}

Measured product(const Measured& a, const Measured& b, double factor) {
  const double value = factor * a.value() * b.value();
  return {value, factor * std::hypot(a.sigma() * b.value(), b.sigma() * a.value())};
}

bool not_given(const Measured& number) {
  return !number.ok() && number.reason() == Reason::kNotGiven;
}

/// At both ends of a rise the bar moves at 0.02 m/s, so that its kinetic energy is as good as nil:
/// the work is that against weight alone.
void work_out(Rep& rep, const SetPlan& plan) {
  const bool straight = plan.accommodating.empty();
  const Measured load(plan.stated_load_kg, kUnsureLoadShare * plan.stated_load_kg);
  for (Measured* const of : {&rep.bottom_load_kg, &rep.mean_load_kg, &rep.top_load_kg}) {
    if (not_given(*of)) *of = straight ? load : Measured(Reason::kHeightUnknown);
  }
  const Measured& mean = rep.mean_load_kg;
  if (!mean.ok()) return;
  constexpr double kG = kStandardGravity;
  if (straight && not_given(rep.mean_force_n)) {
    rep.mean_force_n = Measured(kG * mean.value(), kG * mean.sigma());
  }
  if (not_given(rep.work_j) && rep.rom_m.ok()) rep.work_j = product(mean, rep.rom_m, kG);
  if (not_given(rep.mean_power_w) && rep.mean_velocity_mps.ok()) {
    rep.mean_power_w = product(mean, rep.mean_velocity_mps, kG);
  }
}

/// Loss against the fastest full rep, for those that do not tell it.
void work_out_losses(std::vector<Rep>& reps) {
  Measured fastest;
  for (const Rep& rep : reps) {
    const Measured& v = rep.mean_velocity_mps;
    if (rep.kind == RepKind::kFull && v.ok() && (!fastest.ok() || v.value() > fastest.value())) {
      fastest = v;
    }
  }
  if (!fastest.ok()) return;
  for (Rep& rep : reps) {
    const Measured& v = rep.mean_velocity_mps;
    if (!v.ok() || !not_given(rep.velocity_loss)) continue;
    const double ratio = v.value() / fastest.value();
    const bool itself = v == fastest;
    rep.velocity_loss =
        Measured(std::max(0.0, 1.0 - ratio),
                 itself ? 0.0 : std::hypot(v.sigma(), ratio * fastest.sigma()) / fastest.value());
  }
}

using SetKey = std::tuple<std::string, std::string, std::string, int>;

/// A set while its rows are gathered.
struct Gathered {
  std::string date;
  SetPlan plan;
  std::string source;
  std::vector<Rep> reps = {};
  std::string cells = {};  ///< of all rows, for the digest
  std::set<std::string> unsure = {};
  int last_row = 0;
};

/// The heading of the first thing said of the set that differs from what its first row says.
std::optional<std::string_view> contradiction(const Gathered& set,
                                              const SetPlan& plan,
                                              const std::string& source) {
  if (plan.stated_load_kg != set.plan.stated_load_kg || plan.unit != set.plan.unit) {
    return plan.unit == MassUnit::kPound ? "load_lb" : "load_kg";
  }
  if (!same_name(plan.bar, set.plan.bar)) return "bar";
  if (plan.box_height_m != set.plan.box_height_m) return "box_height_m";
  if (plan.accommodating != set.plan.accommodating) return "chains";
  if (plan.start != set.plan.start) return "start";
  if (plan.planned_reps != set.plan.planned_reps) return "planned_reps";
  if (plan.best_single_kg != set.plan.best_single_kg) return "best_single_kg";
  if (plan.notes != set.plan.notes) return "notes";
  if (source != set.source) return "source";
  return std::nullopt;
}

/// All cells that are read, by heading, so that the order of columns does not matter.
std::string cells_of(const SetCsvRow& row, const SetTableText& text) {
  std::string out;
  for (const auto& [heading, column] : text.columns) {
    if (heading == "session") continue;
    const std::string cell = row.cell(heading);
    if (!cell.empty()) out += fmt::format("{}\x1f{}\x1e", heading, cell);
  }
  return out + '\n';
}

void add_row(const SetCsvRow& row,
             const SetTableText& text,
             std::vector<Gathered>& sets,
             std::map<SetKey, std::size_t>& places) {
  const std::string date = date_in(row);
  SetPlan plan = plan_in(row, text.file);
  const std::string source = row.cell("source");
  const SetKey key{date, folded(plan.lifter), folded(plan.lift), *plan.set};
  const auto [place, is_new] = places.emplace(key, sets.size());
  if (is_new) {
    sets.push_back({.date = date, .plan = std::move(plan), .source = source});
  } else if (const auto heading = contradiction(sets[place->second], plan, source)) {
    row.refuse(
        *heading,
        fmt::format("row {} says something else of the same set", sets[place->second].plan.row),
        "Say the same in every row of a set, or give the sets different numbers");
  }
  Gathered& set = sets[place->second];
  Rep rep = rep_in(row, set.unsure);
  for (const Rep& other : set.reps) {
    if (other.number != rep.number) continue;
    row.refuse("rep",
               fmt::format("rep {} of this set is there already", rep.number),
               "Number the set's reps 1, 2, 3, or give the sets different numbers");
  }
  work_out(rep, set.plan);
  set.reps.push_back(std::move(rep));
  set.cells += cells_of(row, text);
  set.last_row = row.number();
}

std::string rows_in_words(const Gathered& set) {
  return set.plan.row == set.last_row ? fmt::format("row {}", set.plan.row)
                                      : fmt::format("rows {} to {}", set.plan.row, set.last_row);
}

Session session_of(Gathered set) {
  std::sort(set.reps.begin(), set.reps.end(), [](const Rep& a, const Rep& b) {
    return a.number < b.number;
  });
  work_out_losses(set.reps);
  Session out;
  out.provenance = {.program_version = std::string(version()),
                    .analysed_at = now_in_iso(),
                    .source_name = set.plan.sheet,
                    .source_sha256 = sha256_of(set.cells),
                    .libraries = library_versions(),
                    .held_on = set.date};
  out.notes.push_back({NoteKind::kDecision,
                       fmt::format("The numbers were taken over from {}, {}{}{}; nothing was "
                                   "measured here.",
                                   set.plan.sheet,
                                   rows_in_words(set),
                                   set.source.empty() ? "" : ", which tells its source: ",
                                   set.source)});
  if (!set.unsure.empty()) {
    out.notes.push_back(
        {NoteKind::kCaution,
         fmt::format(
             "How sure they are is not told of {}: {:g} % was taken for one standard error.",
             fmt::join(set.unsure, ", "),
             100.0 * kUnsureShare)});
  }
  out.options.plan = std::move(set.plan);
  out.reps = std::move(set.reps);
  return out;
}

}  // namespace

SetsRead parse_set_csv(const std::string& text, const std::string& file) {
  const SetTableText table = find_columns(text, file);
  SetsRead out;
  const std::vector<std::string>& unknown = table.unknown;
  if (!unknown.empty()) {
    out.notes.push_back(
        {NoteKind::kDecision,
         fmt::format("Not read, as no such column is known: {}.", fmt::join(unknown, ", "))});
  }
  std::vector<Gathered> sets;
  std::map<SetKey, std::size_t> places;
  for (std::size_t r = 1; r < table.table.rows.size(); ++r) {
    const SetCsvRow row(table, r);
    if (row.is_blank()) continue;
    row.refuse_more_cells();
    add_row(row, table, sets, places);
  }
  if (sets.empty()) {
    throw Error(ErrorCode::kUnreadable, file, "no row below the headings", "Give one row a rep");
  }
  for (Gathered& set : sets) out.sessions.push_back(session_of(std::move(set)));
  return out;
}

SetsRead read_set_csv(const std::string& path) {
  const auto refuse = [&](const std::string& what, const std::string& mend) {
    throw Error(ErrorCode::kUnreadable, path, what, mend);
  };
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (!std::filesystem::exists(status)) refuse("no such file", "Check its name and folder");
  if (std::filesystem::is_directory(status)) refuse("this is a folder", "Give a file in it");
  if (std::filesystem::is_regular_file(status) &&
      std::filesystem::file_size(path, failed) > kLargestBytes) {
    refuse("this is too large", "Split it by years");
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  if (!file) refuse("this cannot be read", "Allow reading it, or give another file");
  return parse_set_csv(std::move(content).str(), path);
}

}  // namespace kinetics
