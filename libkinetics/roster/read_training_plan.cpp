#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/roster/names.h"
#include "libkinetics/roster/toml_file.h"
#include "libkinetics/roster/toml_table.h"
#include "libkinetics/roster/training_plan.h"

namespace kinetics {
namespace {

using roster_detail::NumberRange;
using roster_detail::TomlTable;

constexpr double kPercent = 100.0;
constexpr NumberRange kShareOfBest{10.0, 110.0};
constexpr NumberRange kStep{-20.0, 20.0};
constexpr NumberRange kWorkPercent{5.0, 150.0};
constexpr NumberRange kBoxHeightM{0.05, 1.2};
constexpr NumberRange kLoadKg{0.1, 1000.0};
constexpr NumberRange kDistanceM{0.01, 5000.0};
constexpr NumberRange kVelocityMps{0.0, 0.5};
// A wave may go beyond the best single in no week.
constexpr double kHighestShare = 1.10;
constexpr double kLowestShare = 0.05;

double share(TomlTable& table, const std::string& key, NumberRange range, double otherwise) {
  const auto percent = table.number(key, range);
  return percent ? *percent / kPercent : otherwise;
}

std::optional<int> weekday(TomlTable& table, const std::string& key) {
  const auto name = table.text(key);
  if (!name) return std::nullopt;
  const auto day = weekday_from_text(*name);
  if (!day) {
    table.refuse(key,
                 fmt::format("'{}' is no day of the week", *name),
                 "Write it in full or as three letters: \"Friday\", \"Fri\"");
  }
  return day;
}

std::optional<FromTo> from_to(TomlTable& table, const std::string& key, NumberRange range) {
  const std::vector<double> ends = table.numbers(key, range);
  if (ends.empty() && !table.has(key)) return std::nullopt;
  if (ends.size() != 2 || !(ends[0] <= ends[1])) {
    table.refuse(key,
                 fmt::format("'{}' is not a band", key),
                 fmt::format("Write the least and the most: {} = [18, 30]", key));
  }
  return FromTo{.least = ends[0], .most = ends[1]};
}

WaveVariant read_variant(TomlTable& table) {
  WaveVariant out;
  out.line = table.line();
  out.weeks = table.whole("weeks", 1, 52).value_or(1);
  out.bar = table.text("bar").value_or("");
  out.box_height_m = table.length_m("box_height", kBoxHeightM);
  out.chains = table.text("chains").value_or("");
  out.bands = table.text("bands").value_or("");
  table.finish();
  return out;
}

PercentOf read_percent_of(TomlTable& table) {
  const std::string word = folded(table.text("percent_of").value_or("bar"));
  if (word == "bar") return PercentOf::kBar;
  if (word == "mean") return PercentOf::kMean;
  if (word == "top") return PercentOf::kTop;
  table.refuse("percent_of",
               fmt::format("'{}' is no load here", word),
               "Write \"bar\", \"mean\" or \"top\"");
}

/// Every week of every wave must be a load that can be lifted.
void check_shares(TomlTable& table, const WavePlan& wave) {
  for (const double start : {wave.start_share, wave.reset_share.value_or(wave.start_share)}) {
    const double last = start + wave.step_share * (wave.weeks - 1);
    if (std::max(start, last) <= kHighestShare && std::min(start, last) >= kLowestShare) continue;
    table.refuse("step_percent",
                 fmt::format("the wave goes from {:g} % to {:g} % of the best single",
                             kPercent * start,
                             kPercent * last),
                 "Lower start_percent, step_percent or weeks");
  }
}

void read_dates(TomlTable& table, const std::optional<Meet>& meet, WavePlan& wave) {
  wave.first_day = table.day("first_day");
  wave.last_days_before_meet = table.whole("last_days_before_meet", 1, 60);
  if (wave.first_day && wave.last_days_before_meet) {
    table.refuse("last_days_before_meet",
                 "this wave has a first day and is counted back from the meet as well",
                 "Leave one of them out");
  }
  if (!wave.first_day && !wave.last_days_before_meet) {
    table.refuse("",
                 "when this wave begins is not said",
                 "Add first_day = 2031-03-07, or last_days_before_meet = 8 and a [meet]");
  }
  if (wave.last_days_before_meet && !meet) {
    table.refuse("last_days_before_meet",
                 "there is no meet to count back from",
                 "Add [meet] day = 2031-05-17");
  }
}

WavePlan read_wave(TomlTable& table, const std::optional<Meet>& meet) {
  WavePlan wave;
  wave.line = table.line();
  wave.lift = table.needed_text("lift");
  wave.lifters = table.texts("lifters");
  wave.start_share = share(table, "start_percent", kShareOfBest, wave.start_share);
  wave.step_share = share(table, "step_percent", kStep, wave.step_share);
  wave.weeks = table.whole("weeks", 1, 26).value_or(wave.weeks);
  if (table.has("reset_percent")) {
    wave.reset_share = share(table, "reset_percent", kShareOfBest, wave.start_share);
  }
  wave.waves = table.whole("waves", 1, 26).value_or(wave.waves);
  wave.every_days = table.whole("every_days", 1, 28).value_or(wave.every_days);
  wave.sets = table.whole("sets", 1, 40).value_or(wave.sets);
  wave.reps = table.whole("reps", 1, 30).value_or(wave.reps);
  wave.rest_s = table.whole("rest_s", 5, 1800);
  wave.percent_of = read_percent_of(table);
  check_shares(table, wave);
  read_dates(table, meet, wave);
  if (table.has("taper_work_percent")) {
    wave.taper_work_shares = table.numbers("taper_work_percent", kWorkPercent);
    for (double& percent : wave.taper_work_shares) percent /= kPercent;
    if (wave.taper_work_shares.size() > static_cast<std::size_t>(wave.waves * wave.weeks)) {
      table.refuse("taper_work_percent",
                   "the taper is longer than all waves together",
                   "Give one percentage for each session that is to be cut");
    }
  }
  wave.second_day_after = table.whole("second_day_after", 1, 27);
  wave.second_day_work_share =
      share(table, "second_day_work_percent", kWorkPercent, wave.second_day_work_share);
  if (wave.second_day_after && *wave.second_day_after >= wave.every_days) {
    table.refuse("second_day_after",
                 "the second day falls on or after the next session",
                 fmt::format("Give 1 to {} days", wave.every_days - 1));
  }
  for (TomlTable& entry : table.tables("variant", "{ weeks = 3, bar = \"...\" }")) {
    wave.variants.push_back(read_variant(entry));
  }
  if (wave.variants.empty()) wave.variants.push_back({.weeks = 1, .line = wave.line});
  table.finish();
  return wave;
}

SpecialPlan read_special(TomlTable& table) {
  SpecialPlan out;
  out.line = table.line();
  const auto day = weekday(table, "day");
  if (!day) table.refuse("", "[[special]] has no 'day'", "Add day = \"Monday\"");
  out.weekday = *day;
  out.exercises = table.texts("exercises");
  if (out.exercises.empty()) {
    table.refuse("exercises", "[[special]] has no exercises", "Add exercises = [\"...\", \"...\"]");
  }
  // Two or three weeks are the rule; a coach may try four.
  out.every_weeks = table.whole("every_weeks", 1, 12).value_or(out.every_weeks);
  out.first_day = table.day("first_day");
  table.finish();
  return out;
}

AccessoryPlan read_accessory(TomlTable& table) {
  AccessoryPlan out;
  out.line = table.line();
  out.name = table.needed_text("name");
  out.load_kg = table.needed_mass_kg("load", kLoadKg);
  const auto distance_m = table.length_m("distance", kDistanceM);
  if (!distance_m) table.refuse("", "[[accessory]] has no 'distance_m'", "Add distance_m = ...");
  out.distance_m = *distance_m;
  const auto times = table.whole("times", 1, 1000);
  if (!times) table.refuse("", "[[accessory]] has no 'times'", "Add times = trips or reps");
  out.times = *times;
  out.heavy_weekday = weekday(table, "heavy");
  out.medium_weekday = weekday(table, "medium");
  out.light_weekday = weekday(table, "light");
  if (!out.heavy_weekday && !out.medium_weekday && !out.light_weekday) {
    table.refuse("", "this work has no day", "Add heavy = \"Friday\", medium or light");
  }
  out.medium_share = share(table, "medium_percent", kWorkPercent, out.medium_share);
  out.light_share = share(table, "light_percent", kWorkPercent, out.light_share);
  table.finish();
  return out;
}

AdjustRule read_adjust(TomlTable& top) {
  AdjustRule out;
  auto table = top.one_table("adjust", "[adjust]");
  if (!table) return out;
  out.raise_above_mps =
      table->number("raise_above_mps", kVelocityMps).value_or(out.raise_above_mps);
  out.lower_below_mps =
      table->number("lower_below_mps", kVelocityMps).value_or(out.lower_below_mps);
  out.sessions_to_raise = table->whole("sessions_to_raise", 1, 10).value_or(out.sessions_to_raise);
  out.least_reps = table->whole("least_reps", 2, 200).value_or(out.least_reps);
  out.step_share = share(*table, "step_percent", {0.1, 10.0}, out.step_share);
  out.most_raise_share = share(*table, "most_raise_percent", {0.0, 20.0}, out.most_raise_share);
  out.most_lower_share = share(*table, "most_lower_percent", {0.0, 40.0}, out.most_lower_share);
  out.day_sigma_mps = table->number("day_sigma_mps", {0.0, 0.3}).value_or(out.day_sigma_mps);
  table->finish();
  return out;
}

VolumeLimits read_volume(TomlTable& top) {
  VolumeLimits out;
  auto table = top.one_table("volume", "[volume]");
  if (!table) return out;
  out.session_reps = from_to(*table, "reps", {1.0, 1000.0});
  out.accessory_week_kg_m = from_to(*table, "accessory_week_kg_m", {0.0, 1e8});
  table->finish();
  return out;
}

std::optional<Meet> read_meet(TomlTable& top) {
  auto table = top.one_table("meet", "[meet]");
  if (!table) return std::nullopt;
  Meet meet;
  meet.name = table->text("name").value_or("meet");
  const auto day = table->day("day");
  if (!day) table->refuse("", "[meet] has no 'day'", "Add day = 2031-05-17");
  meet.day = *day;
  table->finish();
  return meet;
}

}  // namespace

TrainingPlan parse_training_plan(const std::string& text, const std::string& name) {
  const toml::table table = roster_detail::parsed_toml(text, name);
  TomlTable top(table, name, "the plan");
  TrainingPlan plan;
  plan.file = name;
  plan.name = top.text("name").value_or("");
  plan.meet = read_meet(top);
  for (TomlTable& entry : top.tables("wave", "[[wave]]")) {
    plan.waves.push_back(read_wave(entry, plan.meet));
  }
  for (TomlTable& entry : top.tables("special", "[[special]]")) {
    plan.specials.push_back(read_special(entry));
  }
  for (TomlTable& entry : top.tables("accessory", "[[accessory]]")) {
    plan.accessories.push_back(read_accessory(entry));
  }
  plan.volume = read_volume(top);
  plan.adjust = read_adjust(top);
  top.finish();
  if (plan.waves.empty()) {
    top.refuse("", "no wave stands in this plan", "Add one: [[wave]] and below it lift = \"...\"");
  }
  return plan;
}

TrainingPlan read_training_plan(const std::string& path) {
  return parse_training_plan(roster_detail::whole_toml_file(path, "plan"), path);
}

}  // namespace kinetics
