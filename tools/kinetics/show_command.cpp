#include "tools/kinetics/show_command.h"

#include <functional>
#include <memory>
#include <string>

#include <CLI/CLI.hpp>

#include "libkinetics/logbook/session_file.h"
#include "tools/kinetics/outputs.h"

namespace kinetics::cli {

std::function<void()> add_show_command(CLI::App& app) {
  struct ShowArguments {
    std::string session;
    OutputArguments outputs;
  };
  CLI::App* const command = app.add_subcommand("show", "Print a session from the logbook again");
  auto arguments = std::make_shared<ShowArguments>();
  command->add_option("session", arguments->session, "A session file of a logbook")->required();
  command->add_option(
      "--csv", arguments->outputs.csv, "Write one row a rep; - for standard output");
  command->add_option("--json", arguments->outputs.json, "Write the whole session; - likewise");
  command->add_option("--plot", arguments->outputs.plot, "Draw height and velocity as this SVG");
  command->add_option("--report",
                      arguments->outputs.report,
                      "Write a page with table, drawing and words, to print, as this HTML");
  return [command, arguments] {
    if (!command->parsed()) return;
    const Outputs outputs(arguments->outputs, {arguments->session});
    outputs.write(load_session(arguments->session));
  };
}

}  // namespace kinetics::cli
