#include "tools/kinetics/compare_command.h"

#include <charconv>
#include <cstddef>
#include <filesystem>
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
#include "libkinetics/report/compare_table.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/compare.h"
#include "libkinetics/training/compare_spans.h"
#include "tools/kinetics/text_outputs.h"

namespace kinetics::cli {
namespace {

struct CompareArguments {
  std::string logbook;
  std::optional<std::string> plan;
  std::optional<std::string> lift;
  std::optional<std::string> before;
  std::optional<std::string> after;
  std::optional<double> match_percent;
  std::optional<double> worthwhile_mps;
  std::optional<std::string> csv;
  std::optional<std::string> json;
  std::optional<std::string> plot;
};

/// The lift asked for, as the logbook spells it, or the only one.
std::string lift_of(const CompareArguments& arguments, const std::vector<LiftedSession>& sessions) {
  const std::vector<std::string> lifts = lifts_in(sessions);
  if (lifts.empty()) {
    throw Error(ErrorCode::kUnreadable,
                arguments.logbook,
                "no session in it says who lifted what on which day",
                "Analyse with --sheet and --logbook, or import sets");
  }
  if (!arguments.lift && lifts.size() == 1) return lifts.front();
  if (!arguments.lift) {
    throw Error(ErrorCode::kUsage,
                "--lift",
                "which lift is to be compared is not said",
                fmt::format("The logbook holds {}", fmt::join(lifts, ", ")));
  }
  for (const std::string& lift : lifts) {
    if (same_name(lift, *arguments.lift)) return lift;
  }
  throw Error(ErrorCode::kUsage,
              fmt::format("--lift {}", *arguments.lift),
              "the logbook holds no session of this lift",
              meant_or_known(*arguments.lift, lifts, "Analyse sessions of it first"));
}

std::string waves_in_words(const std::vector<CompareSpan>& waves) {
  std::string out;
  for (const CompareSpan& wave : waves) {
    out += fmt::format(
        "{}{} ({} to {})", out.empty() ? "" : ", ", wave.name, in_iso(wave.from), in_iso(wave.to));
  }
  return out.empty() ? "there are none in the logbook" : out;
}

/// "2" or "wave 2", "2031-03-07", "2031-02-14..2031-03-14".
CompareSpan span_of(const std::string& option,
                    const std::string& typed,
                    const std::vector<CompareSpan>& waves) {
  const std::size_t dots = typed.find("..");
  const auto from = day_in(typed.substr(0, dots));
  const auto to = dots == std::string::npos ? from : day_in(typed.substr(dots + 2));
  if (from && to && *from <= *to) {
    return {.name = *from == *to ? day_in_words(*from) : typed, .from = *from, .to = *to};
  }
  const std::string digits = typed.starts_with("wave ") ? typed.substr(5) : typed;
  std::size_t number = 0;
  const auto [end, failed] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (failed == std::errc{} && end == digits.data() + digits.size()) {
    for (const CompareSpan& wave : waves) {
      if (wave.name == fmt::format("wave {}", number)) return wave;
    }
  }
  throw Error(
      ErrorCode::kUsage,
      fmt::format("{} {}", option, typed),
      "this is no wave, day or span of days",
      fmt::format("Give a wave's number, a day, or FROM..TO; waves: {}", waves_in_words(waves)));
}

/// The plan asked for, or the logbook's own, if it has one.
std::optional<TrainingPlan> plan_for(const CompareArguments& arguments) {
  const std::string file = arguments.plan.value_or(plan_of(arguments.logbook).string());
  if (!arguments.plan && !std::filesystem::exists(file)) return std::nullopt;
  return read_training_plan(file);
}

/// Both spans: as asked for, else the last two waves.
std::pair<CompareSpan, CompareSpan> spans_of(const CompareArguments& arguments,
                                             const std::vector<CompareSpan>& waves) {
  if (arguments.before && arguments.after) {
    return {span_of("--before", *arguments.before, waves),
            span_of("--after", *arguments.after, waves)};
  }
  if (arguments.before || arguments.after) {
    throw Error(ErrorCode::kUsage,
                arguments.before ? "--before" : "--after",
                "one side alone cannot be compared",
                "Give both --before and --after, or neither for the last two waves");
  }
  if (waves.size() < 2) {
    throw Error(ErrorCode::kUsage,
                arguments.logbook,
                fmt::format("fewer than two waves are in it: {}", waves_in_words(waves)),
                "Give --before and --after as days: 2031-02-14..2031-02-28");
  }
  return {waves[waves.size() - 2], waves.back()};
}

void run(const CompareArguments& arguments) {
  CompareReport report;
  std::vector<std::string> inputs;
  if (arguments.plan) inputs.push_back(*arguments.plan);
  TextOutputs outputs(inputs);
  outputs.add("--csv", arguments.csv, [&] { return to_csv(report); });
  outputs.add("--json", arguments.json, [&] { return to_json(report); });
  outputs.add("--plot", arguments.plot, [&] { return to_svg(report); });
  const History history = read_history(arguments.logbook);
  const LiftedSessions lifted = lifted_sessions(history.sets);
  const std::string lift = lift_of(arguments, lifted.sessions);
  CompareOptions options{.worthwhile_mps = arguments.worthwhile_mps};
  constexpr double kPercent = 100.0;
  if (arguments.match_percent) options.match_share = *arguments.match_percent / kPercent;
  const std::optional<TrainingPlan> plan = plan_for(arguments);
  const auto waves = waves_of(plan ? &*plan : nullptr, lift, lifted.sessions);
  const auto [before, after] = spans_of(arguments, waves);
  report.main = compare(lifted.sessions, lift, before, after, options);
  report.sessions = session_by_session(lifted.sessions, lift, after, options);
  for (const Notes* notes : {&lifted.notes, &history.notes}) {
    report.main.notes.insert(report.main.notes.end(), notes->begin(), notes->end());
  }
  outputs.write(to_table(report));
}

}  // namespace

std::function<void()> add_compare_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand(
      "compare", "Whether the bar moves faster than before at the same load: team and each lifter");
  auto arguments = std::make_shared<CompareArguments>();
  command->add_option("logbook,--logbook", arguments->logbook, "The logbook's folder")->required();
  command->add_option("--lift", arguments->lift, "Which lift; needed when there are several");
  command->add_option("--plan", arguments->plan, "Plan; default: plan.toml in the logbook");
  command->add_option("--before",
                      arguments->before,
                      "Wave number, day, or FROM..TO; default: the wave before the last");
  command->add_option("--after", arguments->after, "Likewise; default: the last wave");
  command
      ->add_option("--match",
                   arguments->match_percent,
                   "Loads that differ by no more than this count as like; default: 10 percent")
      ->check(CLI::Range(0.1, 50.0));
  command
      ->add_option("--worthwhile",
                   arguments->worthwhile_mps,
                   "Smallest change that matters, m/s; default: 0.2 of the spread between lifters")
      ->check(CLI::Range(0.001, 0.5));
  command->add_option("--csv", arguments->csv, "One row a lifter, for a spreadsheet");
  command->add_option("--json", arguments->json, "The comparison for another program");
  command->add_option("--plot", arguments->plot, "Differences and sessions as SVG");
  return [command, arguments] {
    if (command->parsed()) run(*arguments);
  };
}

}  // namespace kinetics::cli
