#include "tools/kinetics/plan_command.h"

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/report/loading_sheet.h"
#include "libkinetics/report/plan_table.h"
#include "libkinetics/report/wave_chart.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/expectation.h"
#include "libkinetics/training/next_loading.h"
#include "tools/kinetics/text_outputs.h"

namespace kinetics::cli {
namespace {

struct PlanArguments {
  std::string logbook;
  std::optional<std::string> roster;
  std::optional<std::string> plan;
  std::optional<std::string> day;
  std::optional<std::string> lift;
  std::optional<std::string> csv;
  std::optional<std::string> json;
  std::optional<std::string> plot;
  std::optional<std::string> loading_sheet;
  std::string paper = "a4";
};

NextOptions options_of(const PlanArguments& arguments) {
  NextOptions options{.day = std::nullopt, .lift = arguments.lift};
  if (!arguments.day) return options;
  options.day = day_in(*arguments.day);
  if (!options.day) {
    throw Error(ErrorCode::kUsage,
                fmt::format("--day {}", *arguments.day),
                "this is no day of the calendar",
                "Write year, month and day: 2031-03-07");
  }
  return options;
}

Paper paper_of(const std::string& word) {
  return word == "letter" ? Paper::kLetter : Paper::kA4;
}

std::optional<CalendarDay> last_day(const std::vector<LiftedSet>& sets) {
  std::optional<CalendarDay> last;
  for (const LiftedSet& set : sets) {
    const auto day = day_in(set.day);
    if (day && (!last || *day > *last)) last = day;
  }
  return last;
}

void run(const PlanArguments& arguments) {
  const std::string roster_file = arguments.roster.value_or(roster_of(arguments.logbook).string());
  const std::string plan_file = arguments.plan.value_or(plan_of(arguments.logbook).string());
  NextPlan next;
  TrainingPlan plan;
  Roster roster;
  History history;
  TextOutputs outputs({roster_file, plan_file});
  outputs.add("--csv", arguments.csv, [&] { return to_csv(next, roster.unit); });
  outputs.add("--json", arguments.json, [&] { return to_json(next); });
  outputs.add("--plot", arguments.plot, [&] {
    std::optional<CalendarDay> day;
    if (!next.days.empty()) day = next.days.front().day;
    return wave_chart(plan, last_day(history.sets), day);
  });
  outputs.add("--loading-sheet", arguments.loading_sheet, [&] {
    return loading_sheet(next, roster.club, roster.unit, paper_of(arguments.paper));
  });
  const NextOptions options = options_of(arguments);
  roster = read_roster(roster_file);
  plan = read_training_plan(plan_file);
  history = read_history(arguments.logbook);
  next = next_plan(plan, roster, history.sets, expectation_as_of(history.sets, roster), options);
  next.notes.insert(next.notes.end(), history.notes.begin(), history.notes.end());
  outputs.write(to_table(next, roster.unit));
}

}  // namespace

std::function<void()> add_plan_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand(
      "plan", "What goes on the bar next time: every lifter's load, discs and velocity to expect");
  auto arguments = std::make_shared<PlanArguments>();
  command->add_option("logbook,--logbook", arguments->logbook, "The logbook's folder")->required();
  command->add_option("--roster", arguments->roster, "Roster; default: roster.toml in the logbook");
  command->add_option("--plan", arguments->plan, "Plan; default: plan.toml in the logbook");
  command->add_option("--day", arguments->day, "This planned day instead of the next, 2031-03-07");
  command->add_option("--lift", arguments->lift, "This lift only");
  command->add_option(
      "--csv", arguments->csv, "Session sheet with the planned loads, one row a set");
  command->add_option("--json", arguments->json, "The plan for another program");
  command->add_option("--plot", arguments->plot, "Wave chart as SVG");
  command->add_option("--loading-sheet",
                      arguments->loading_sheet,
                      "Sheet for the crew that loads, as HTML for printing");
  command->add_option("--paper", arguments->paper, "Paper of the loading sheet")
      ->transform(CLI::IsMember({"a4", "letter"}, CLI::ignore_case))
      ->capture_default_str();
  return [command, arguments] {
    if (command->parsed()) run(*arguments);
  };
}

}  // namespace kinetics::cli
