#include "tests/support/made_day.h"

#include <algorithm>
#include <cstddef>
#include <random>

#include <fmt/format.h>

#include "libkinetics/day/day_rows.h"

namespace kinetics_test {
namespace {

using namespace kinetics;

class Draw {
 public:
  explicit Draw(std::uint32_t seed) : engine_(seed) {}
  double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }

 private:
  std::mt19937 engine_;
};

std::string in_quotes(const std::string& cell) {
  std::string out = "\"";
  for (const char c : cell) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + '"';
}

std::string clock_of(int place) {
  const int minutes = 17 * 60 + 5 + place;
  return fmt::format("{}:{:02}", minutes / 60, minutes % 60);
}

std::string load_of(int lifter, int set, bool decimal_commas) {
  std::string out = fmt::format("{:.1f}", 82.5 + 10.0 * lifter + 2.5 * set);
  if (decimal_commas) std::replace(out.begin(), out.end(), '.', ',');
  return out;
}

bool is_second_lift(const DayRecipe& recipe, int set) {
  return recipe.second_lift && set >= 2 * recipe.sets / 3;
}

void fill_reps(
    Session& session, const DayRecipe& recipe, Draw& draw, double usual_mps, bool hidden) {
  double fastest_mps = 0.0;
  for (int i = 0; i < recipe.reps; ++i) {
    Rep rep;
    rep.set = 1;
    rep.number = i + 1;
    rep.start_s = 3.0 * i;
    rep.end_s = 3.0 * i + 0.9;
    const double mean_mps = usual_mps * (1.0 - 0.05 * i) + draw.between(-0.03, 0.03);
    rep.mean_velocity_mps = Measured(mean_mps, draw.between(0.005, 0.012));
    rep.rom_m = Measured(0.6, 0.002);
    const double load_kg = session.options.plan ? session.options.plan->stated_load_kg : 100.0;
    rep.bottom_load_kg = Measured(load_kg + (recipe.chains ? 4.9 : 0.0), 0.1);
    rep.mean_load_kg = Measured(load_kg + (recipe.chains ? 7.8 : 0.0), 0.1);
    rep.top_load_kg = Measured(load_kg + (recipe.chains ? 10.7 : 0.0), 0.1);
    if (hidden && i == 1) {
      rep.mean_velocity_mps = Reason::kDiscHidden;
      rep.flags.push_back(FlagKind::kNotMeasured);
    } else {
      fastest_mps = std::max(fastest_mps, mean_mps);
    }
    session.reps.push_back(rep);
  }
  for (Rep& rep : session.reps) {
    if (!rep.mean_velocity_mps.ok()) {
      rep.velocity_loss = rep.mean_velocity_mps.reason();
      continue;
    }
    const double loss = 1.0 - rep.mean_velocity_mps.value() / fastest_mps;
    rep.velocity_loss = Measured(loss, loss > 0.0 ? 0.01 : 0.0);
    const double limit = session.options.reps.slowed_loss;
    if (loss > limit + 0.015)
      rep.flags.push_back(FlagKind::kSlowed);
    else if (loss > limit - 0.015)
      rep.flags.push_back(FlagKind::kMaybeSlowed);
  }
}

SetPlan plan_of(const SheetRow& row) {
  return {.sheet = "speed_day.csv",
          .row = row.row,
          .lifter = row.lifter,
          .lift = row.lift,
          .bar = "straight bar",
          .box_height_m = row.box_height_m,
          .stated_load_kg = row.load_kg,
          .unit = row.load_unit,
          .set = row.set,
          .planned_reps = row.planned_reps,
          .start = row.start};
}

DaySet made_set(const DaySession& day, const DayRecipe& recipe, Draw& draw, int place) {
  DaySet out;
  out.number = static_cast<int>(day.sets.size()) + 1;
  out.found.start_s = 60.0 * place + 4.0;
  out.recording = "monday.mp4";
  out.clock = fmt::format("{}:04", clock_of(place));
  out.session.provenance = {.program_version = "0.1.0",
                            .analysed_at = "2031-03-07T18:40:00Z",
                            .source_name = "monday.mp4",
                            .source_sha256 = "",
                            .libraries = ""};
  double usual_mps = draw.between(0.68, 0.85);
  if (place < static_cast<int>(day.rows.size())) {
    const auto row = static_cast<std::size_t>(place);
    const SheetRow* sheet_row = sheet_row_of(day, day.rows[row]);
    out.session.options.plan = plan_of(*sheet_row);
    if (recipe.zone) out.session.options.thresholds.zone = VelocityBand{0.65, 0.85};
    BarLoad load{.bar_kg = 20.0, .discs_kg = sheet_row->load_kg - 20.0};
    if (recipe.chains) {
      load.chains.push_back({.name = "heavy chain", .mass_kg_per_m = 5.7, .strands = 2});
    }
    out.session.options.loading.load = load;
    out.match.row = row;
    out.match.certainty = MatchCertainty::kCertain;
    out.match.lifter_certainty = MatchCertainty::kCertain;
    if (recipe.doubtful.contains(place)) {
      out.match.certainty = MatchCertainty::kDoubtful;
      out.match.lifter_certainty = MatchCertainty::kDoubtful;
      out.match.alternatives = {{.row = (row + 1) % day.rows.size(), .extra_points = 0.6},
                                {.row = std::nullopt, .extra_points = 1.7}};
    }
    if (is_second_lift(recipe, sheet_row->set.value_or(1) - 1)) usual_mps -= 0.2;
  } else {
    out.match.like = 0;
    out.match.alternatives = {{.row = 0, .extra_points = 1.2}};
  }
  fill_reps(out.session, recipe, draw, usual_mps, recipe.not_measured.contains(place));
  out.found.reps = static_cast<int>(out.session.reps.size());
  return out;
}

}  // namespace

std::string sheet_of(const DayRecipe& recipe) {
  const char d = recipe.decimal_commas ? ';' : ',';
  std::string out = fmt::format(
      "lifter{0}lift{0}box height (cm){0}load ({1}){0}chains{0}set{0}time{0}reps{0}shirt\n",
      d,
      recipe.pounds ? "lb" : "kg");
  int place = 0;
  for (int set = 0; set < recipe.sets; ++set) {
    for (std::size_t lifter = 0; lifter < recipe.lifters.size(); ++lifter, ++place) {
      const bool second = is_second_lift(recipe, set);
      const std::string load = load_of(static_cast<int>(lifter), set, recipe.decimal_commas);
      out += fmt::format("{1}{0}{2}{0}{3}{0}{4}{0}{5}{0}{6}{0}{7}{0}{8}{0}red\n",
                         d,
                         in_quotes(recipe.lifters[lifter]),
                         second ? "paused bench" : "box squat",
                         second ? "" : "45",
                         load,
                         recipe.chains ? "2 x heavy chain" : "",
                         set + 1,
                         clock_of(place),
                         recipe.reps);
    }
  }
  return out;
}

DaySession made_day(const DayRecipe& recipe) {
  DaySession day;
  day.held_on = "2031-03-07";
  SheetReading reading = parse_sheet(sheet_of(recipe), "speed_day.csv");
  if (!reading.problems.empty()) throw as_error(reading.problems.front(), "speed_day.csv");
  day.sheet = std::move(reading.sheet);
  day.rows = day_rows(day.sheet, nullptr).rows;
  day.recordings = {"monday.mp4"};
  Draw draw(recipe.seed);
  const int rows = static_cast<int>(day.rows.size());
  for (int place = 0; place < rows + recipe.extra; ++place) {
    if (recipe.missed.contains(place)) {
      day.missed.push_back(static_cast<std::size_t>(place));
    } else {
      day.sets.push_back(made_set(day, recipe, draw, place));
    }
  }
  return day;
}

}  // namespace kinetics_test
