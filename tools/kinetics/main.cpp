#include <cstdio>
#include <exception>
#include <string>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/report/text.h"
#include "libkinetics/session/version.h"
#include "tools/kinetics/analyse_command.h"
#include "tools/kinetics/compare_command.h"
#include "tools/kinetics/interruption.h"
#include "tools/kinetics/logbook_command.h"
#include "tools/kinetics/plan_command.h"
#include "tools/kinetics/profile_command.h"
#include "tools/kinetics/serve_command.h"
#include "tools/kinetics/sheet_command.h"
#include "tools/kinetics/show_command.h"
#include "tools/kinetics/sticking_command.h"

namespace {

enum ExitStatus {
  kDone = 0,
  kFailed = 1,
  kBadUsage = 2,
  kUnreadableInput = 3,
  kNothingToTrack = 4,
};

ExitStatus status_of(kinetics::ErrorCode code) {
  switch (code) {
    case kinetics::ErrorCode::kUsage:
      return kBadUsage;
    case kinetics::ErrorCode::kUnreadable:
      return kUnreadableInput;
    case kinetics::ErrorCode::kNothingToTrack:
      return kNothingToTrack;
    case kinetics::ErrorCode::kInternal:
      return kFailed;
  }
  return kFailed;
}

/// One line, whatever the message holds.
int fail(ExitStatus status, const std::string& message) {
  fmt::print(stderr, "kinetics: {}\n", kinetics::printable(message));
  return status;
}

int run(int argc, char** argv) {
  CLI::App app(
      "Bar velocity of every rep, from a side-on clip or a logger on the bar, and what it says of "
      "the training.",
      "kinetics");
  app.set_version_flag("--version", fmt::format("kinetics {}", kinetics::version()));
  app.require_subcommand(1);
  app.footer(
      "Exit status: 0 done (also when the clip holds no rep), 1 failed, 2 wrong use,\n"
      "3 the input cannot be read, 4 no disc to follow.");
  const auto analyse = kinetics::cli::add_analyse_command(app);
  const auto show = kinetics::cli::add_show_command(app);
  const auto sheet = kinetics::cli::add_sheet_command(app);
  const auto sticking = kinetics::cli::add_sticking_command(app);
  const auto logbook = kinetics::cli::add_logbook_command(app);
  const auto serve = kinetics::cli::add_serve_command(app);
  const auto profile = kinetics::cli::add_profile_command(app);
  const auto zone = kinetics::cli::add_zone_command(app);
  const auto plan = kinetics::cli::add_plan_command(app);
  const auto compare = kinetics::cli::add_compare_command(app);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    if (e.get_exit_code() == 0) return app.exit(e);  // --help, --version
    return fail(kBadUsage, fmt::format("{}. See kinetics --help.", e.what()));
  }
  analyse();
  show();
  sheet();
  sticking();
  profile();
  zone();
  logbook();
  serve();
  plan();
  compare();
  return kDone;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const kinetics::Error& e) {
    return fail(status_of(e.code()), e.what());
  } catch (const kinetics::cli::Interrupted& e) {
    return fail(kFailed, fmt::format("{}.", e.what()));
  } catch (const std::bad_alloc&) {
    return fail(kFailed, "out of memory. Close other programs and try again.");
  } catch (const std::exception& e) {
    return fail(kFailed,
                fmt::format("{}. This is a fault in kinetics; please report it.", e.what()));
  }
}
