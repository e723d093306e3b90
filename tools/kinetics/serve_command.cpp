#include "tools/kinetics/serve_command.h"

#include <chrono>
#include <cstdio>
#include <functional>
#include <memory>
#include <string>
#include <thread>

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <unistd.h>

#include "tools/kinetics/arguments.h"
#include "tools/kinetics/interruption.h"
#include "tools/workbench/workbench.h"

namespace kinetics::cli {
namespace {

std::string greeting(const workbench::Workbench& bench, bool on_terminal) {
  const auto addresses = bench.addresses();
  std::string text = fmt::format("The workbench is open at {}\n", addresses.front());
  for (std::size_t i = 1; i < addresses.size(); ++i) {
    text += fmt::format("and for other devices at {}\n", addresses[i]);
  }
  if (!bench.pairing_code().empty()) {
    text += fmt::format("Pairing code: {}\n", bench.pairing_code());
    if (on_terminal) text += bench.pairing_picture();
  }
  if (!workbench::Workbench::has_page()) {
    text += "The page was not built into this program; only /api/ answers.\n";
  }
  return text + "Ctrl-C ends it.\n";
}

void run(const workbench::ServeOptions& options) {
  remember_interruptions();
  const workbench::Workbench bench(options);
  fmt::print("{}", greeting(bench, ::isatty(STDOUT_FILENO) != 0));
  std::fflush(stdout);
  constexpr std::chrono::milliseconds kLookAgain{100};
  while (!interrupted_once()) std::this_thread::sleep_for(kLookAgain);
}

}  // namespace

std::function<void()> add_serve_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand("serve", "Open the workbench in the browser");
  auto options = std::make_shared<workbench::ServeOptions>();
  command->add_option("--logbook", options->logbook, "The folder of the logbook; made when missing")
      ->required();
  command->add_option_function<std::string>(
      "--port",
      [options](const std::string& typed) {
        options->port = static_cast<int>(parse_number("--port", typed, "", {0.0, 65535.0}));
      },
      "Port to listen at; 0 for any that is free. Default 8321");
  command->add_flag("--lan",
                    options->lan,
                    "Let phones and tablets on this network in, with a pairing code. The network "
                    "can read what they see: use it where you trust it");
  command->add_option("--samples", options->samples, "Folder of the sample day. Default: its own");
  return [command, options] {
    if (command->parsed()) run(*options);
  };
}

}  // namespace kinetics::cli
