#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/roster/read_gear.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/toml_file.h"
#include "libkinetics/roster/toml_table.h"

namespace kinetics {
namespace {

using roster_detail::NumberRange;
using roster_detail::TomlTable;

constexpr NumberRange kVelocityMps{0.02, 5.0};
constexpr NumberRange kBarHeightM{0.05, 3.0};
constexpr NumberRange kBoxHeightM{0.05, 1.2};
constexpr double kPercent = 100.0;
// Less than this between turning point and lockout is no lift.
constexpr double kLeastRiseM = 0.05;

std::optional<VelocityBand> read_zone(TomlTable& table) {
  const std::vector<double> ends = table.numbers("zone_mps", kVelocityMps);
  if (ends.empty()) return std::nullopt;
  if (ends.size() != 2 || !(ends[0] < ends[1])) {
    table.refuse("zone_mps",
                 "'zone_mps' is not a band of velocities",
                 "Write the lowest and the highest: zone_mps = [0.70, 0.95]");
  }
  return VelocityBand{.lowest_mps = ends[0], .highest_mps = ends[1]};
}

Thresholds read_thresholds(TomlTable& top) {
  Thresholds out;
  auto table = top.one_table("thresholds", "[thresholds]");
  if (!table) return out;
  if (const auto percent = table->number("slowed_loss_percent", {1.0, 95.0})) {
    out.slowed_loss = *percent / kPercent;
  }
  out.below_expected_mps =
      table->number("below_expected_mps", {0.0, 1.0}).value_or(out.below_expected_mps);
  out.zone = read_zone(*table);
  out.high_bottom_m = table->length_m("high_bottom", {0.0, 0.5}).value_or(out.high_bottom_m);
  out.uneven_pause_s = table->number("uneven_pause_s", {0.0, 10.0}).value_or(out.uneven_pause_s);
  table->finish();
  return out;
}

std::vector<ExpectedVelocity> read_expected(TomlTable& lift) {
  std::vector<ExpectedVelocity> out;
  for (TomlTable& table : lift.tables("expected", "{ load_kg = 100, velocity_mps = 0.8 }")) {
    ExpectedVelocity point;
    point.load_kg = table.needed_mass_kg("load", roster_detail::kMassKg);
    const auto velocity = table.number("velocity_mps", kVelocityMps);
    if (!velocity) table.refuse("", "an expected velocity is missing", "Add velocity_mps = ...");
    point.velocity_mps = *velocity;
    point.sigma_mps = table.number("sigma_mps", {0.0, 1.0}).value_or(0.0);
    table.finish();
    out.push_back(point);
  }
  std::sort(out.begin(), out.end(), [](const ExpectedVelocity& a, const ExpectedVelocity& b) {
    return a.load_kg < b.load_kg;
  });
  for (std::size_t i = 1; i < out.size(); ++i) {
    if (out[i].load_kg - out[i - 1].load_kg < 1e-9) {
      lift.refuse("expected",
                  fmt::format("two velocities are expected at {:g} kg", out[i].load_kg),
                  "Leave one out");
    }
    if (out[i].velocity_mps > out[i - 1].velocity_mps) {
      lift.refuse("expected",
                  fmt::format("{:g} kg is expected to move faster than {:g} kg",
                              out[i].load_kg,
                              out[i - 1].load_kg),
                  "A heavier bar is no faster: look at both entries");
    }
  }
  return out;
}

void check_bar(const TomlTable& table, const LifterLift& lift, const Gear& gear) {
  if (!lift.bar) return;
  std::vector<std::string> bars;
  bars.reserve(gear.bars.size());
  for (const BarGear& bar : gear.bars) bars.push_back(bar.name);
  const bool known = std::any_of(
      bars.begin(), bars.end(), [&](const std::string& bar) { return same_name(bar, *lift.bar); });
  if (known) return;
  table.refuse("bar",
               fmt::format("no [[bar]] is named '{}'", *lift.bar),
               meant_or_known(*lift.bar, bars, "Add a [[bar]] of that name"));
}

LifterLift read_lift(TomlTable& table, const Gear& gear) {
  LifterLift lift;
  lift.line = table.line();
  lift.lift = table.needed_text("lift");
  lift.bar = table.text("bar");
  check_bar(table, lift, gear);
  lift.box_height_m = table.length_m("box_height", kBoxHeightM);
  lift.best_single_kg = table.mass_kg("best_single", roster_detail::kMassKg);
  lift.best_single_mps = table.number("best_single_mps", kVelocityMps);
  lift.best_single_sigma_mps =
      table.number("best_single_sigma_mps", {0.0, 0.3}).value_or(lift.best_single_sigma_mps);
  lift.lockout_height_m = table.length_m("lockout_height", kBarHeightM);
  lift.bottom_height_m = table.length_m("bottom_height", kBarHeightM);
  lift.height_sigma_m = table.length_m("height_sigma", {0.0, 0.2}).value_or(lift.height_sigma_m);
  lift.zone = read_zone(table);
  lift.expected = read_expected(table);
  table.finish();
  if (lift.lockout_height_m && lift.bottom_height_m &&
      *lift.lockout_height_m - *lift.bottom_height_m < kLeastRiseM) {
    table.refuse("",
                 fmt::format("the lockout of '{}' is not above its bottom", lift.lift),
                 "Give both as heights of the bar's centre above the floor");
  }
  return lift;
}

bool same_variant(const LifterLift& a, const LifterLift& b) {
  return same_name(a.lift, b.lift) && folded(a.bar.value_or("")) == folded(b.bar.value_or("")) &&
         a.box_height_m == b.box_height_m;
}

Lifter read_lifter(TomlTable& table, const Gear& gear) {
  Lifter lifter;
  lifter.name = table.needed_text("name");
  for (TomlTable& entry : table.tables("lift", "[[lifter.lift]]")) {
    LifterLift lift = read_lift(entry, gear);
    for (const LifterLift& other : lifter.lifts) {
      if (!same_variant(lift, other)) continue;
      entry.refuse("lift",
                   fmt::format("'{}' of {} with the same bar and box stands at line {} already",
                               lift.lift,
                               lifter.name,
                               other.line),
                   "Tell them apart by bar or box_height_cm, or leave one out");
    }
    lifter.lifts.push_back(std::move(lift));
  }
  table.finish();
  return lifter;
}

std::vector<Lifter> read_lifters(TomlTable& top, const Gear& gear) {
  std::vector<Lifter> lifters;
  for (TomlTable& table : top.tables("lifter", "[[lifter]]")) {
    Lifter lifter = read_lifter(table, gear);
    for (const Lifter& other : lifters) {
      if (!same_name(lifter.name, other.name)) continue;
      table.refuse("name",
                   fmt::format("there are two lifters '{}'", lifter.name),
                   "Put all lifts of one lifter below one [[lifter]]");
    }
    lifters.push_back(std::move(lifter));
  }
  return lifters;
}

MassUnit read_unit(TomlTable& top) {
  const auto unit = top.text("unit");
  if (!unit || same_name(*unit, "kg")) return MassUnit::kKilogram;
  if (same_name(*unit, "lb")) return MassUnit::kPound;
  top.refuse("unit", fmt::format("'{}' is no unit of mass here", *unit), "Write \"kg\" or \"lb\"");
}

}  // namespace

std::vector<DiscPairs> disc_pairs(const Gear& gear) {
  std::vector<DiscPairs> out;
  out.reserve(gear.discs.size());
  for (const DiscGear& disc : gear.discs) {
    const Mass mass = disc.unit == MassUnit::kPound
                          ? Mass::pounds(disc.mass_kg / kKilogramsPerPound)
                          : Mass::kilograms(disc.mass_kg);
    out.push_back({.mass = mass, .pairs = disc.count / 2});
  }
  return out;
}

Roster parse_roster(const std::string& text, const std::string& name) {
  const toml::table table = roster_detail::parsed_toml(text, name);
  TomlTable top(table, name, "the roster");
  Roster roster;
  roster.file = name;
  roster.club = top.text("club").value_or("");
  roster.unit = read_unit(top);
  roster.thresholds = read_thresholds(top);
  roster.gear = roster_detail::read_gear(top);
  roster.lifters = read_lifters(top, roster.gear);
  top.finish();
  if (roster.lifters.empty()) {
    throw Error(ErrorCode::kUnreadable,
                name,
                "no lifter stands in this roster",
                "Add one: [[lifter]] and below it name = \"...\"");
  }
  return roster;
}

Roster read_roster(const std::string& path) {
  return parse_roster(roster_detail::whole_toml_file(path, "roster"), path);
}

}  // namespace kinetics
