#include "tools/kinetics/logbook_command.h"

#include <chrono>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/check.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/import_sets.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/logbook/make_index.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/json.h"
#include "libkinetics/report/logbook_table.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "tools/kinetics/arguments.h"
#include "tools/kinetics/interruption.h"
#include "tools/kinetics/output_file.h"
#include "tools/kinetics/progress_bar.h"

namespace kinetics::cli {
namespace {

struct LogbookArguments {
  std::string folder;
  HistoryFilter filter;
  bool with_files = false;
  bool set_aside = false;
  std::optional<std::string> csv;
  std::optional<std::string> json;
  std::string input;
  std::optional<std::string> roster;
  bool correct = false;
};

std::string counted(std::size_t n, const std::string& what) {
  return fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
}

void check_days(const HistoryFilter& filter) {
  if (filter.from_day) (void)parse_day("--from", *filter.from_day);
  if (filter.to_day) (void)parse_day("--to", *filter.to_day);
}

Progress shown_on(ProgressBar& bar) {
  return [&bar](double fraction) {
    throw_if_interrupted();
    bar.show(fraction);
  };
}

void check(const LogbookArguments& arguments) {
  remember_interruptions();
  LogbookCheck found;
  {
    ProgressBar bar("Reading every session");
    found = check_logbook(arguments.folder, shown_on(bar));
  }
  std::string text = check_in_words(found);
  if (arguments.set_aside) {
    for (const std::string& moved : set_aside(arguments.folder, found)) {
      text += fmt::format("Moved: {}\n", printable(moved));
    }
  }
  print(text);
  if (found.damaged.empty()) return;
  throw Error(ErrorCode::kUnreadable,
              arguments.folder,
              fmt::format("{} cannot be used", counted(found.damaged.size(), "file")),
              "Each is listed above, with what to do");
}

void make_index(const LogbookArguments& arguments) {
  remember_interruptions();
  IndexMade made;
  {
    ProgressBar bar("Reading every session");
    made = make_index_anew(arguments.folder, shown_on(bar));
  }
  std::string text = fmt::format(
      "{} read into the index in {:.1f} s.\n", counted(made.files, "session file"), made.seconds);
  for (const Note& note : made.notes) {
    text += wrapped(printable("Note: " + note.text), kTableColumns, "", "  ");
  }
  print(text);
}

void list(const LogbookArguments& arguments) {
  check_days(arguments.filter);
  print(list_in_words(list_sessions(arguments.folder, arguments.filter), arguments.with_files));
}

/// The sessions that count and pass the filter, without their frames.
std::vector<NamedSession> counting_sessions(const LogbookArguments& arguments) {
  std::vector<NamedSession> out;
  ProgressBar bar("Reading sessions");
  const SessionList all = list_sessions(arguments.folder, arguments.filter);
  double done = 0.0;
  for (const SessionEntry& entry : all.sessions) {
    throw_if_interrupted();
    bar.show(done++ / static_cast<double>(all.sessions.size()));
    if (!entry.problem.empty() || !entry.replaced_by.empty()) continue;
    const std::filesystem::path path = std::filesystem::path(arguments.folder) / entry.file;
    out.push_back({entry.file, load_session_summary(path.string())});
  }
  return out;
}

void give_out(const LogbookArguments& arguments) {
  check_days(arguments.filter);
  if (!arguments.csv && !arguments.json) {
    throw Error(ErrorCode::kUsage,
                "logbook export",
                "nothing says where to",
                "Give --csv FILE or --json FILE; - for standard output");
  }
  std::optional<OutputFile> csv;
  std::optional<OutputFile> json;
  if (arguments.csv) csv.emplace("--csv", *arguments.csv);
  if (arguments.json) json.emplace("--json", *arguments.json);
  if (csv && json && csv->is_standard_output() == json->is_standard_output() &&
      (csv->is_standard_output() || csv->target() == json->target())) {
    throw Error(ErrorCode::kUsage,
                fmt::format("--json {}", *arguments.json),
                "--csv already goes there",
                "Give each its own name");
  }
  remember_interruptions();
  const std::vector<NamedSession> sessions = counting_sessions(arguments);
  std::string text;
  for (const auto* const file : {&csv, &json}) {
    if (!*file) continue;
    (*file)->write(file == &csv ? to_set_csv(sessions) : to_json(sessions));
    if (!(*file)->is_standard_output()) {
      text += fmt::format(
          "Written: {} ({})\n", printable((*file)->name()), counted(sessions.size(), "session"));
    }
  }
  const bool to_screen = (csv && csv->is_standard_output()) || (json && json->is_standard_output());
  if (!to_screen) print(text);
}

/// The roster that was given, else the logbook's own, if it has one.
std::optional<Roster> roster_for(const LogbookArguments& arguments) {
  if (arguments.roster) return read_roster(*arguments.roster);
  std::error_code failed;
  const std::filesystem::path own = roster_of(arguments.folder);
  if (!std::filesystem::exists(own, failed)) return std::nullopt;
  return read_roster(own.string());
}

void take_in(const LogbookArguments& arguments) {
  const std::optional<Roster> roster = roster_for(arguments);
  SetsRead sets = read_set_csv(arguments.input);
  check_logbook_writable(arguments.folder);
  const Imported imported = import_sets(std::move(sets),
                                        arguments.folder,
                                        roster ? &*roster : nullptr,
                                        arguments.correct ? IfOther::kCorrect : IfOther::kRefuse);
  std::string text = fmt::format(
      "{} stored in {}", counted(imported.stored.size(), "set"), printable(arguments.folder));
  if (imported.corrected > 0) {
    text += fmt::format(", {} of them in place of other numbers", imported.corrected);
  }
  text += imported.known > 0 ? fmt::format("; {} there already.\n", imported.known) : ".\n";
  for (const Note& note : imported.notes) {
    text += wrapped(printable("Note: " + note.text), kTableColumns, "", "  ");
  }
  print(text);
}

void add_filter(CLI::App& command, LogbookArguments& arguments) {
  command.add_option("--lifter", arguments.filter.lifter, "Only this lifter's");
  command.add_option("--lift", arguments.filter.lift, "Only of this lift");
  command.add_option("--from", arguments.filter.from_day, "From this day on: 2031-03-07");
  command.add_option("--to", arguments.filter.to_day, "Up to this day, itself included");
}

}  // namespace

std::function<void()> add_logbook_command(CLI::App& app) {
  CLI::App* const command =
      app.add_subcommand("logbook", "Look after the folder that all sessions are kept in");
  command->require_subcommand(1);
  auto arguments = std::make_shared<LogbookArguments>();
  const auto add = [&](const char* name, const char* help) {
    CLI::App* const sub = command->add_subcommand(name, help);
    sub->add_option("folder", arguments->folder, "The logbook's folder")->required();
    return sub;
  };

  CLI::App* const checked =
      add("check", "Read every file, tell of damage and how to mend it, and mend the index");
  checked->add_flag("--set-aside",
                    arguments->set_aside,
                    "Move files that no program can read into the folder 'damaged' beside them");

  CLI::App* const indexed = add("index", "Make the index anew from the session files");

  CLI::App* const listed = add("list", "List the sessions by day");
  add_filter(*listed, *arguments);
  listed->add_flag("--files", arguments->with_files, "Name each session's file as well");

  CLI::App* const exported = add("export", "Write sessions out for a spreadsheet or a program");
  add_filter(*exported, *arguments);
  exported->add_option("--csv", arguments->csv, "One row a rep; - for standard output");
  exported->add_option("--json", arguments->json, "Everything but the frames; - likewise");

  CLI::App* const imported =
      command->add_subcommand("import", "Store sets of which only numbers are known");
  imported
      ->add_option("numbers",
                   arguments->input,
                   "One row a rep (CSV): date, lifter, lift, load_kg, set, rep, "
                   "mean_velocity_mps, and what else export writes")
      ->required();
  imported->add_option("--logbook", arguments->folder, "The logbook's folder")->required();
  imported->add_option(
      "--roster",
      arguments->roster,
      "Names must stand in this roster (TOML). Default: the logbook's own, if any");
  imported->add_flag("--correct",
                     arguments->correct,
                     "Where the logbook has a set with other numbers, let the new ones count; the "
                     "old ones are kept");

  return [=] {
    if (checked->parsed()) check(*arguments);
    if (indexed->parsed()) make_index(*arguments);
    if (listed->parsed()) list(*arguments);
    if (exported->parsed()) give_out(*arguments);
    if (imported->parsed()) take_in(*arguments);
  };
}

}  // namespace kinetics::cli
