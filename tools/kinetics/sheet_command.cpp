#include "tools/kinetics/sheet_command.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/report/sheet_check.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/new_sheet.h"
#include "libkinetics/sheet/sheet.h"
#include "tools/kinetics/output_file.h"

namespace kinetics::cli {
namespace {

void make_new(const std::string& roster_path, const std::optional<std::string>& path) {
  const std::string text = new_sheet(read_roster(roster_path));
  if (!path || *path == "-") return print(text);
  const auto refuse = [&] {
    throw Error(ErrorCode::kUsage,
                fmt::format("--output {}", *path),
                "this is there already and is never overwritten",
                "Choose another name");
  };
  if (std::filesystem::exists(std::filesystem::symlink_status(*path))) refuse();
  const OutputFile file("--output", *path);  // refuses a folder, or one that cannot be written to
  if (!write_whole_file(file.target(), text, IfPresent::kKeep)) refuse();
  print(fmt::format("Written: {}\n", printable(*path)));
}

void check(const std::string& sheet_path, const std::string& roster_path) {
  const Roster roster = read_roster(roster_path);
  const SheetReading reading = inspect_sheet(sheet_path);
  const SheetVerdict verdict = check_in_words(reading, roster);
  print(verdict.text);
  if (verdict.problems == 0) return;
  throw Error(ErrorCode::kUnreadable,
              sheet_path,
              fmt::format("{} cell{} to mend", verdict.problems, verdict.problems == 1 ? "" : "s"),
              "Each is listed above");
}

}  // namespace

std::function<void()> add_sheet_command(CLI::App& app) {
  struct SheetArguments {
    std::string roster;
    std::string sheet;
    std::optional<std::string> output;
  };
  CLI::App* const command =
      app.add_subcommand("sheet", "Make or check the sheet of a session: one row a set");
  command->require_subcommand(1);
  auto arguments = std::make_shared<SheetArguments>();
  const auto add_roster = [&](CLI::App* to) {
    to->add_option("--roster", arguments->roster, "The club's roster (TOML)")->required();
  };

  CLI::App* const fresh = command->add_subcommand("new", "Make an empty sheet from the roster");
  add_roster(fresh);
  fresh->add_option("-o,--output",
                    arguments->output,
                    "The new file; one that is there is never overwritten. Default: the screen");

  CLI::App* const checked =
      command->add_subcommand("check", "Say what is on every bar, and what is wrong in the sheet");
  checked->add_option("sheet", arguments->sheet, "The sheet (CSV)")->required();
  add_roster(checked);

  return [fresh, checked, arguments] {
    if (fresh->parsed()) make_new(arguments->roster, arguments->output);
    if (checked->parsed()) check(arguments->sheet, arguments->roster);
  };
}

}  // namespace kinetics::cli
