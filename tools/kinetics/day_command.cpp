#include "tools/kinetics/day_command.h"

#include <algorithm>
#include <filesystem>
#include <optional>
#include <system_error>
#include <thread>
#include <tuple>
#include <utility>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/day_report.h"
#include "libkinetics/report/day_table.h"
#include "libkinetics/report/filled_sheet.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/sheet/sheet.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "tools/kinetics/arguments.h"
#include "tools/kinetics/interruption.h"
#include "tools/kinetics/output_file.h"
#include "tools/kinetics/progress_bar.h"

namespace kinetics::cli {
namespace {

constexpr Range kJobs{1.0, 256.0};

/// "3/8": the third of eight shares.
std::pair<int, int> parse_part(const std::string& typed) {
  const std::size_t slash = typed.find('/');
  const Range any{1.0, 100000.0};
  if (slash == std::string::npos) {
    throw Error(ErrorCode::kUsage,
                "--part " + typed,
                "this is no share of the work",
                "Give which of how many: --part 3/8");
  }
  const auto part = static_cast<int>(parse_number("--part", typed.substr(0, slash), "", any));
  const auto of = static_cast<int>(parse_number("--part", typed.substr(slash + 1), "", any));
  if (part > of) {
    throw Error(ErrorCode::kUsage,
                "--part " + typed,
                fmt::format("there are {} parts", of),
                "Count them from 1");
  }
  return {part, of};
}

DayOptions options_of(const SheetChoice& sheet,
                      const AnalysisOptions& analysis,
                      const DayArguments& arguments) {
  DayOptions out;
  out.analysis = analysis;
  out.overrule = [sheet](AnalysisOptions& options) { use_typed(sheet, options); };
  out.split.rest_s = analysis.reps.set_gap_s;
  // Each takes some 60 MB of memory.
  constexpr unsigned kMostAtOnce = 4;
  out.jobs = arguments.jobs.value_or(
      static_cast<int>(std::clamp(std::thread::hardware_concurrency(), 1U, kMostAtOnce)));
  if (arguments.part) std::tie(out.part, out.of) = parse_part(*arguments.part);
  for (const std::string& typed : arguments.assign) {
    out.assignments.push_back(parse_assignment(typed));
  }
  return out;
}

template <typename Work>
auto with_progress(const std::string& logbook, Work work) {
  ProgressBar bar("Watching the day");
  const Progress progress = [&](double fraction) {
    throw_if_interrupted();
    bar.show(fraction);
  };
  try {
    return work(progress);
  } catch (const Interrupted&) {
    throw Interrupted(
        fmt::format("stopped before the end; what was seen is kept in {}: run again "
                    "to go on",
                    logbook));
  }
}

/// A result's place, which may be none of the inputs.
std::optional<OutputFile> output(const std::string& option,
                                 const std::optional<std::string>& path,
                                 const std::vector<std::string>& inputs) {
  if (!path) return std::nullopt;
  OutputFile file(option, *path);
  for (const std::string& input : inputs) {
    std::error_code failed;
    if (input.empty() || !std::filesystem::equivalent(file.target(), input, failed)) continue;
    throw Error(ErrorCode::kUsage,
                option + " " + *path,
                "this is an input, which is never written to",
                "Choose another name");
  }
  return file;
}

}  // namespace

void add_day_options(CLI::App& command, DayArguments& arguments) {
  const auto add = [&](const char* name, auto& place, const char* help) {
    return command.add_option(name, place, help)->group("About a whole day");
  };
  add("--assign",
      arguments.assign,
      "SET=ROW or SET=nobody: whose a set is, by its number in the table; kept for later runs")
      ->take_all()
      ->allow_extra_args(false);
  command
      .add_option_function<std::string>(
          "--jobs",
          [&arguments](const std::string& typed) {
            arguments.jobs = static_cast<int>(parse_number("--jobs", typed, "", kJobs));
          },
          "Parts of recordings that are watched at once. Default: one a core, but no more than 4")
      ->group("About a whole day");
  add("--filled",
      arguments.filled,
      "Write the sheet with what was lifted filled in to this CSV; the sheet itself stays as it "
      "is");
  add("--part",
      arguments.part,
      "N/OF: only watch every OF-th recording from the N-th on, for work shared by several "
      "machines; a last run without it puts the day together");
}

bool is_a_day(const std::string& input, const SheetChoice& choice, bool has_logbook) {
  if (!choice.sheet) return false;
  if (std::filesystem::is_directory(input)) return true;
  if (choice.row || !has_logbook) return false;
  const Sheet sheet = read_sheet(*choice.sheet);
  if (sheet.rows.size() < 2) return false;
  // A sheet that names clips is one for clips, whichever they are.
  return std::all_of(
      sheet.rows.begin(), sheet.rows.end(), [](const SheetRow& row) { return row.clip.empty(); });
}

void refuse_day_options(const DayArguments& arguments) {
  const char* given = !arguments.assign.empty() ? "--assign"
                      : arguments.jobs          ? "--jobs"
                      : arguments.part          ? "--part"
                      : arguments.filled        ? "--filled"
                                                : nullptr;
  if (given == nullptr) return;
  throw Error(ErrorCode::kUsage,
              given,
              "it goes with a whole day: a folder, or a recording with a sheet of several sets",
              "Leave it out for a single set");
}

void analyse_whole_day(const std::string& input,
                       const SheetChoice& choice,
                       const std::optional<std::string>& logbook,
                       const AnalysisOptions& analysis,
                       const DayArguments& arguments) {
  if (!logbook) {
    throw Error(ErrorCode::kUsage,
                input,
                "a whole day needs --logbook",
                "Add --logbook FOLDER: every set is stored there, and a run that was interrupted "
                "goes on from there");
  }
  const Sheet sheet = read_sheet(*choice.sheet);
  std::optional<Roster> roster;
  if (choice.roster) roster = read_roster(*choice.roster);
  DayOptions options = options_of(choice, analysis, arguments);
  const std::vector<std::string> inputs{input, *choice.sheet, choice.roster.value_or("")};
  const auto filled = output("--filled", arguments.filled, inputs);
  const auto report = output("--report", arguments.report, inputs);
  check_logbook_writable(*logbook);
  remember_interruptions();
  if (arguments.part) {
    const DayShare share = with_progress(*logbook, [&](const Progress& progress) {
      return watch_day(input, sheet, *logbook, options, progress);
    });
    print(fmt::format(
        "{} of {} recordings are watched.{}\n",
        share.done,
        share.recordings,
        share.done == share.recordings ? " Run without --part to put the day together." : ""));
    return;
  }
  const DaySession day = with_progress(*logbook, [&](const Progress& progress) {
    return analyse_day(input, sheet, roster ? &*roster : nullptr, *logbook, options, progress);
  });
  if (filled) filled->write(filled_sheet(day));
  if (report) report->write(day_report(day, roster ? roster->club : std::string()));
  for (const auto& file : {filled, report}) {
    if (file && file->is_standard_output()) return;
  }
  print(day_table(day));
}

}  // namespace kinetics::cli
