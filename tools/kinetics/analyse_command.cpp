#include "tools/kinetics/analyse_command.h"

#include <functional>
#include <memory>
#include <numbers>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/gravity.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/overlay.h"
#include "libkinetics/session/analyse.h"
#include "tools/kinetics/arguments.h"
#include "tools/kinetics/day_command.h"
#include "tools/kinetics/interruption.h"
#include "tools/kinetics/outputs.h"
#include "tools/kinetics/progress_bar.h"
#include "tools/kinetics/sheet_choice.h"

namespace kinetics::cli {
namespace {

struct AnalyseArguments {
  std::string input;
  std::optional<std::string> log;  ///< beside a clip
  AnalysisOptions options;
  SheetChoice sheet;
  OutputArguments outputs;
  std::optional<std::string> overlay;
  std::optional<std::string> logbook;
  DayArguments day;
};

// The library's own range in the unit that is typed.
Range scaled(Range range, double factor) {
  return {range.least * factor, range.greatest * factor};
}

void add_clip_options(CLI::App& command, AnalyseArguments& arguments) {
  const auto add = [&](const std::string& name, auto parse, const std::string& help) {
    command.add_option_function<std::string>(name, parse, help)->group("About the clip");
  };
  TrackingOptions& tracking = arguments.options.tracking;
  add(
      "--disc-diameter",
      [&](const std::string& typed) {
        tracking.disc_diameter_m = parse_length_m("--disc-diameter", typed, kDiscDiameterM);
      },
      "Outer diameter of the disc in view: 450 (mm), 45cm, 0.45m, 17.7in. Default 450 mm");
  add(
      "--seed",
      [&](const std::string& typed) { tracking.seed = parse_seed("--seed", typed); },
      "X,Y,T: a point on the disc, in pixels from the left and the top, and when, in seconds");
  add(
      "--capture-fps",
      [&](const std::string& typed) {
        arguments.options.clip.capture_rate_hz =
            parse_number("--capture-fps", typed, "pictures a second", kCaptureRateHz);
      },
      "Pictures a second the camera really took, for slow motion that is stored slowed");
  add(
      "--readout-ms",
      [&](const std::string& typed) {
        constexpr double kPerSecond = 1000.0;
        tracking.readout_s =
            parse_number("--readout-ms", typed, "ms", scaled(kReadoutS, kPerSecond)) / kPerSecond;
      },
      "Time the camera takes to read one picture, ms; 0 for a global shutter");
  add(
      "--camera-roll-deg",
      [&](const std::string& typed) {
        constexpr double kDegrees = 180.0 / std::numbers::pi;
        tracking.camera_roll_rad =
            parse_number("--camera-roll-deg", typed, "degrees", scaled(kCameraRollRad, kDegrees)) /
            kDegrees;
      },
      "Turn that makes the picture upright, degrees, clockwise positive. Default: measured");
}

void add_log_options(CLI::App& command, AnalyseArguments& arguments) {
  const auto add = [&](const std::string& name, auto parse, const std::string& help) {
    command.add_option_function<std::string>(name, parse, help)->group("About the log");
  };
  LogOptions& log = arguments.options.log;
  command
      .add_option("--log",
                  arguments.log,
                  "The log of a sensor on the bar during the same set, used together with the clip")
      ->group("About the log");
  add(
      "--columns",
      [&](const std::string& typed) { log.columns = typed; },
      "What each column is, from the left: t,ax,ay,az,gx,gy,gz, h for a height, - to skip one");
  add(
      "--units",
      [&](const std::string& typed) { log.units = typed; },
      "Units of the columns, for example g,deg/s or accel=mg,time=ms");
  add(
      "--rate",
      [&](const std::string& typed) {
        log.rate_hz = parse_number("--rate", typed, "rows a second", kLogRateHz);
      },
      "Rows a second, when the log's own times are missing or wrong");
  add(
      "--gyroscope",
      [&](const std::string& typed) { log.gyroscope_file = typed; },
      "Second file with the rotation rates, when they are not beside the accelerations");
  add(
      "--latitude",
      [&](const std::string& typed) {
        arguments.options.strapdown.gravity_mps2 =
            gravity_at(parse_number("--latitude", typed, "degrees", kLatitudeDeg));
      },
      "Where the log was made, degrees north of the equator; gravity differs by 0.5 %");
}

void add_rep_options(CLI::App& command, AnalyseArguments& arguments) {
  const auto add = [&](const std::string& name, auto parse, const std::string& help) {
    command.add_option_function<std::string>(name, parse, help)->group("About the reps");
  };
  RepOptions& reps = arguments.options.reps;
  add(
      "--threshold",
      [&](const std::string& typed) {
        reps.threshold_mps = parse_number("--threshold", typed, "m/s", kThresholdMps);
      },
      "Upward velocity at which a rise begins and ends, m/s. Default 0.02");
  add(
      "--min-rise",
      [&](const std::string& typed) {
        reps.min_rise_m = parse_length_m("--min-rise", typed, kMinRiseM);
      },
      "Least rise that counts as a rep: 100 (mm), 10cm, 0.1m, 4in. Default 100 mm");
  add(
      "--slowed-loss",
      [&](const std::string& typed) {
        constexpr double kPercent = 100.0;
        reps.slowed_loss =
            parse_number("--slowed-loss", typed, "percent", scaled(kSlowedLoss, kPercent)) /
            kPercent;
        arguments.sheet.slowed_loss = reps.slowed_loss;
      },
      "Loss from the set's fastest rep that makes a rep slowed, percent. Default 20");
  add(
      "--set-gap",
      [&](const std::string& typed) {
        reps.set_gap_s = parse_number("--set-gap", typed, "s", kSetGapS);
      },
      "Rest after which a new set is counted, s. Default 30");
}

void add_output_options(CLI::App& command, AnalyseArguments& arguments) {
  const auto add = [&](const char* name, auto& place, const char* help) {
    command.add_option(name, place, help)->group("Results");
  };
  add("--csv", arguments.outputs.csv, "Write one row a rep to this file; - for standard output");
  add("--json", arguments.outputs.json, "Write the whole session to this file; - likewise");
  add("--plot", arguments.outputs.plot, "Draw height and velocity over time as this SVG");
  add("--report",
      arguments.outputs.report,
      "Write a page to print, of the set or of the whole day, as this HTML");
  add("--overlay", arguments.overlay, "Draw the bar's path on a copy of the clip, this MP4");
  add("--logbook", arguments.logbook, "Store the session as a new file in this folder");
}

void add_set_options(CLI::App& command, AnalyseArguments& arguments) {
  const auto add = [&](const char* name, auto& place, const char* help) {
    command.add_option(name, place, help)->group("About the set");
  };
  SheetChoice& sheet = arguments.sheet;
  add("--sheet", sheet.sheet, "Session sheet (CSV) that tells who lifted what, one row a set");
  add("--roster", sheet.roster, "The club's roster (TOML): lifters, gear, thresholds");
  const auto parsed = [&](const char* name, auto parse, const char* help) {
    command.add_option_function<std::string>(name, parse, help)->group("About the set");
  };
  parsed(
      "--row",
      [&](const std::string& typed) {
        sheet.row = static_cast<int>(parse_number("--row", typed, "", kSheetRow));
      },
      "Row of the sheet, as the spreadsheet numbers it; needed when it holds several sets "
      "and none of them names the clip");
  parsed(
      "--date",
      [&](const std::string& typed) {
        arguments.options.held_on = {.day = parse_day("--date", typed), .told_by = "--date"};
      },
      "Day of the lifting: 2031-03-07. Default: the sheet's, else when the clip was recorded");
  parsed(
      "--below-expected",
      [&](const std::string& typed) {
        sheet.below_expected_mps =
            parse_number("--below-expected", typed, "m/s", kBelowExpectedMps);
      },
      "How far below the lifter's expectation a rep may be, m/s. Default: the roster's, or 0.06");
  parsed(
      "--zone",
      [&](const std::string& typed) { sheet.zone = parse_zone("--zone", typed); },
      "LOW,HIGH: mean velocities that are wanted, m/s. Default: the roster's, or none");
  parsed(
      "--high-bottom",
      [&](const std::string& typed) {
        sheet.high_bottom_m = parse_length_m("--high-bottom", typed, kHighBottomM);
      },
      "How far a rep may turn round above the usual: 20 (mm), 2cm. Default: the roster's, or 20 "
      "mm");
  parsed(
      "--uneven-pause",
      [&](const std::string& typed) {
        sheet.uneven_pause_s = parse_number("--uneven-pause", typed, "s", kUnevenPauseS);
      },
      "How far a pause may differ from the set's middle one, s. Default: the roster's, or 0.3");
}

Session analyse_with_progress(const AnalyseArguments& arguments) {
  const bool log_alone = names_a_log(arguments.input);
  ProgressBar bar(log_alone ? "Reading the log" : "Following the bar");
  const Progress progress = [&](double fraction) {
    throw_if_interrupted();
    bar.show(fraction);
  };
  if (log_alone) return analyse_log(arguments.input, arguments.options, progress);
  if (!arguments.log) return analyse_clip(arguments.input, arguments.options, progress);
  return analyse_clip_with_log(arguments.input, *arguments.log, arguments.options, progress);
}

/// Refuses what cannot go together before any work is done.
void check_inputs(const AnalyseArguments& arguments) {
  if (!names_a_log(arguments.input)) return;
  if (arguments.log) {
    throw Error(ErrorCode::kUsage,
                "--log " + *arguments.log,
                fmt::format("{} is a log itself, and --log goes beside a clip", arguments.input),
                "Give the clip first, or one log alone");
  }
  if (arguments.overlay) {
    throw Error(ErrorCode::kUsage,
                "--overlay " + *arguments.overlay,
                fmt::format("{} is a log and has no pictures to draw on", arguments.input),
                "Use --plot, or give the clip with --log");
  }
}

void draw_overlay(const Session& session, const AnalyseArguments& arguments) {
  ProgressBar bar("Drawing the overlay");
  write_overlay(session, arguments.input, *arguments.overlay, [&](double fraction) {
    throw_if_interrupted();
    bar.show(fraction);
  });
}

/// Refuses what goes with one set only.
void check_day(const AnalyseArguments& arguments) {
  const OutputArguments& outputs = arguments.outputs;
  const char* given = arguments.log                     ? "--log"
                      : outputs.csv                     ? "--csv"
                      : outputs.json                    ? "--json"
                      : outputs.plot                    ? "--plot"
                      : arguments.overlay               ? "--overlay"
                      : arguments.sheet.row             ? "--row"
                      : arguments.options.tracking.seed ? "--seed"
                                                        : nullptr;
  if (given == nullptr) return;
  throw Error(ErrorCode::kUsage,
              given,
              fmt::format("it goes with one set, and {} is a whole day", arguments.input),
              "Leave it out; each set's session file in the logbook can be shown by itself");
}

void run(AnalyseArguments& arguments) {
  if (is_a_day(arguments.input, arguments.sheet, arguments.logbook.has_value())) {
    check_day(arguments);
    arguments.day.report = arguments.outputs.report;
    analyse_whole_day(
        arguments.input, arguments.sheet, arguments.logbook, arguments.options, arguments.day);
    return;
  }
  refuse_day_options(arguments.day);
  check_inputs(arguments);
  // Before the long work: a name mistyped in the sheet is known at once.
  const Notes on_sheet = use_sheet(arguments.sheet, arguments.input, arguments.options);
  std::vector<std::string> inputs{arguments.input};
  if (arguments.log) inputs.push_back(*arguments.log);
  if (!arguments.options.log.gyroscope_file.empty()) {
    inputs.push_back(arguments.options.log.gyroscope_file.string());
  }
  for (const auto& file : {arguments.sheet.sheet, arguments.sheet.roster}) {
    if (file) inputs.push_back(*file);
  }
  Outputs outputs(arguments.outputs, std::move(inputs));
  if (arguments.overlay) outputs.reserve("--overlay", *arguments.overlay);
  if (arguments.logbook) check_logbook_writable(*arguments.logbook);

  remember_interruptions();
  Session session = analyse_with_progress(arguments);
  session.notes.insert(session.notes.begin(), on_sheet.begin(), on_sheet.end());
  if (arguments.logbook && session.provenance.held_on.empty()) {
    session.notes.push_back(
        {NoteKind::kCaution,
         "The day of the lifting is not known: give it with --date, or profiles "
         "and comparisons over weeks cannot place this session."});
  }
  throw_if_interrupted();
  // The overlay takes longest and can be stopped: until it is whole nothing else is written.
  if (arguments.overlay) draw_overlay(session, arguments);
  std::string stored;
  if (arguments.logbook) stored = store_session(session, *arguments.logbook);
  outputs.write(session, stored);
}

}  // namespace

std::function<void()> add_analyse_command(CLI::App& app) {
  CLI::App* const command =
      app.add_subcommand("analyse", "Measure every rep in a side-on clip or a sensor's log");
  auto arguments = std::make_shared<AnalyseArguments>();
  command
      ->add_option("input",
                   arguments->input,
                   "The clip, as the phone made it, or a log (.csv, .tsv, .txt, .log, .dat); with "
                   "--sheet also a folder, or one recording of a whole day")
      ->required();
  add_output_options(*command, *arguments);
  add_day_options(*command, arguments->day);
  add_set_options(*command, *arguments);
  add_clip_options(*command, *arguments);
  add_log_options(*command, *arguments);
  add_rep_options(*command, *arguments);
  return [command, arguments] {
    if (command->parsed()) run(*arguments);
  };
}

}  // namespace kinetics::cli
