// log_accuracy: simulates logs of a sensor on a bar whose motion is known exactly, measures them,
// and says how far off the measurements are. With --check it fails unless the targets hold.
#include <algorithm>
#include <chrono>
#include <fstream>
#include <functional>
#include <iostream>
#include <sstream>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/inertial/estimate_log.h"
#include "libkinetics/inertial/fuse.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/sensor/read_log.h"
#include "libkinetics/session/analyse.h"
#include "tests/end_to_end/clips.h"
#include "tests/end_to_end/logs.h"
#include "tests/end_to_end/report.h"
#include "tests/end_to_end/score.h"

namespace {

namespace fs = std::filesystem;

struct Arguments {
  std::string scenes = KINETICS_SOURCE_DIR "/tests/end_to_end/log_scenes";
  std::string cache = KINETICS_BUILD_DIR "/accuracy_logs";
  std::vector<std::string> only;
  std::vector<std::uint64_t> random;  // first seed, count
  bool hard = false, worn = false, details = false, check = false, no_file = false, facts = false,
       clips = false;
  std::string json_file;
};

struct Wanted {
  std::string name, scene_json;
};

std::vector<Wanted> wanted_logs(const Arguments& args) {
  std::vector<Wanted> out;
  if (args.random.size() == 2) {
    for (std::uint64_t k = 0; k < args.random[1]; ++k) {
      const std::uint64_t seed = args.random[0] + k;
      const char* const kind = args.worn ? "worn_" : args.hard ? "hard_" : "random_";
      out.push_back({kind + std::to_string(seed),
                     args.worn ? simulate::random_worn_scene(seed)
                               : simulate::random_log_scene(seed, args.hard)});
    }
  } else {
    for (const fs::directory_entry& file : fs::directory_iterator(args.scenes)) {
      if (file.path().extension() != ".json") continue;
      std::ostringstream text;
      text << std::ifstream(file.path()).rdbuf();
      out.push_back({file.path().stem().string(), text.str()});
    }
    std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  }
  if (!args.only.empty())
    std::erase_if(out, [&](const Wanted& w) {
      return std::find(args.only.begin(), args.only.end(), w.name) == args.only.end();
    });
  return out;
}

// Read with nothing but what somebody must say who has the file alone.
kinetics::SensorLog read(const accuracy::MadeLog& made, const Arguments& args) {
  if (args.no_file) return accuracy::as_read(made);
  kinetics::LogOptions options;
  options.gyroscope_file = made.gyro_file;
  if (made.sensor.file.time == "none") options.rate_hz = made.sensor.rate_hz;
  kinetics::SensorLog log = kinetics::read_log(made.file, options);
  if (args.facts)
    for (const kinetics::Note& note : log.notes) std::cout << "    " << note.text << '\n';
  return log;
}

kinetics::Session measure_log(const accuracy::MadeLog& made, const Arguments& args) {
  kinetics::StrapdownOptions options;
  options.gravity_mps2 = made.log.truth.gravity_mps2;
  kinetics::LogMotion found = kinetics::estimate_log_motion(read(made, args), options);
  if (args.facts) {
    const kinetics::LogFacts& f = found.facts;
    std::cout << "    still " << f.still_s << " s, gravity " << f.gravity_read_mps2 << ", scale "
              << f.scale << ", offset " << f.accel_offset_mps2.transpose() << ", rate bias "
              << f.rate_bias_radps.transpose() << ", lockouts " << f.lockouts << '\n';
    for (const kinetics::Note& note : found.notes) std::cout << "    " << note.text << '\n';
  }
  kinetics::Session out;
  out.reps = kinetics::find_reps(found.motion).reps;
  out.motion = std::move(found.motion);
  return out;
}

accuracy::Score timed(const std::string& name,
                      const render::ClipTruth& truth,
                      const std::function<kinetics::Session()>& measure) {
  const auto start = std::chrono::steady_clock::now();
  accuracy::Score score;
  try {
    score = accuracy::compare(name, measure(), truth);
  } catch (const std::exception& e) {
    score.name = name;
    score.trouble = e.what();
    score.truth_reps = score.missed = truth.reps.size();
  }
  const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - start;
  score.analysis_s = spent.count();
  return score;
}

accuracy::Score measure(const accuracy::MadeLog& made, const Arguments& args) {
  accuracy::Score score =
      timed(made.name, accuracy::truth_of(made), [&] { return measure_log(made, args); });
  if (!made.log.rows.empty()) score.clip_s = made.log.rows.back().stamp_s;
  return score;
}

// The other half of a pair, and both together.
struct PairScores {
  accuracy::Score clip, fused;
};

kinetics::Session fuse(const kinetics::Session& clip,
                       const accuracy::MadeLog& made,
                       const Arguments& args) {
  kinetics::FuseOptions options;
  options.log.gravity_mps2 = made.log.truth.gravity_mps2;
  options.clip = clip.options.motion;
  kinetics::FusedMotion found = kinetics::fuse(clip.path, read(made, args), options);
  if (args.facts) {
    const auto say = [](const char* what, const kinetics::Measured& m, double truth, double unit) {
      std::cout << "    " << what << ' ' << unit * m.value() << " ± " << unit * m.sigma()
                << ", true " << unit * truth << '\n';
    };
    const simulate::LogTruth& is = made.log.truth;
    if (found.clock.offset_s.ok())
      say("offset, ms", found.clock.offset_s, is.first_row_in_clip_s - is.lag_s, 1e3);
    if (found.clock.skew.ok())
      say("skew, ppm", found.clock.skew, 1.0 / (1.0 + 1e-6 * is.skew_ppm) - 1.0, 1e6);
    for (const kinetics::Note& note : found.notes) std::cout << "    " << note.text << '\n';
  }
  kinetics::Session out;
  out.reps = kinetics::find_reps(found.motion).reps;
  out.motion = std::move(found.motion);
  return out;
}

PairScores measure_pair(const Wanted& wanted,
                        const accuracy::MadeLog& made,
                        const Arguments& args) {
  const accuracy::MadeClip clip = accuracy::make_clip(wanted.name, wanted.scene_json, args.cache);
  kinetics::Session session;
  PairScores out;
  out.clip = timed(wanted.name + ", clip", clip.truth, [&] {
    return session = kinetics::analyse_clip(clip.file.string(), clip.options);
  });
  out.fused = timed(wanted.name + ", fused", clip.truth, [&] { return fuse(session, made, args); });
  return out;
}

void show(const accuracy::Score& score, const Arguments& args) {
  accuracy::print_row(std::cout, score);
  if (args.details)
    for (const std::string& line : score.details) std::cout << line << '\n';
  std::cout.flush();
}

// What the issue calls consumer-grade: nothing much worse than the simulator's defaults.
bool consumer_grade(const simulate::SensorSpec& s) {
  return s.errors.accel_noise_ug_rthz <= 300.0 && s.errors.gyro_noise_dps_rthz <= 0.02 &&
         s.errors.accel_scale_pct <= 1.5 && s.errors.accel_bias_mg <= 40.0 &&
         s.errors.accel_range_g > 4.0 && s.shake.rattle_mps2 <= 0.6 &&
         s.clock.dropped_share <= 0.01 && s.clock.rows_a_packet == 1;
}

struct Group {
  std::string name;
  std::function<bool(const simulate::SensorSpec&)> holds;
  accuracy::Score score;
};

constexpr const char* kLogAlone = "pairs, the log alone";
constexpr const char* kClipAlone = "pairs, the clip alone";
constexpr const char* kFused = "pairs, fused";

std::vector<Group> groups() {
  const auto inertial = [](const simulate::SensorSpec& s) { return s.kind == "inertial"; };
  return {{"all logs", [](const auto&) { return true; }, {}},
          {"100 Hz, gyroscope, consumer grade",
           [=](const auto& s) {
             return inertial(s) && s.gyroscope && s.rate_hz > 90.0 && s.rate_hz < 110.0 &&
                    consumer_grade(s);
           },
           {}},
          {"any rate, gyroscope", [=](const auto& s) { return inertial(s) && s.gyroscope; }, {}},
          {"no gyroscope", [=](const auto& s) { return inertial(s) && !s.gyroscope; }, {}},
          {"no gyroscope, 25 Hz and below",
           [=](const auto& s) { return inertial(s) && !s.gyroscope && s.rate_hz < 30.0; },
           {}},
          {kLogAlone, [](const auto&) { return false; }, {}},
          {kClipAlone, [](const auto&) { return false; }, {}},
          {kFused, [](const auto&) { return false; }, {}},
          {"position logs", [=](const auto& s) { return !inertial(s); }, {}}};
}

// Of sensors that nobody calibrated, what counts is the count.
bool print_counts(std::ostream& out, const Group& all) {
  const double truths = std::max(1.0, double(all.score.truth_reps));
  out << '\n';
  const bool found = accuracy::print_target(
      out, all.name + ": missed", double(all.score.missed) / truths, 0.01, "of all");
  return accuracy::print_target(
             out, all.name + ": invented", double(all.score.invented) / truths, 0.02, "of all") &&
         found;
}

bool print_targets(std::ostream& out, const std::vector<Group>& all) {
  bool holds = true;
  const auto target =
      [&](const Group& g, const char* what, double got, double limit, const char* unit) {
        holds = accuracy::print_target(out, g.name + ": " + what, got, limit, unit) && holds;
      };
  double better = 1e9;
  for (const Group& g : all)
    if (g.name == kLogAlone || g.name == kClipAlone)
      better = std::min(better, g.score.mean_velocity.widest());
  out << '\n';
  for (const Group& g : all) {
    if (g.score.truth_reps == 0) continue;
    if (g.name == "all logs") {
      target(g, "missed", double(g.score.missed), 0.0, "");
      target(g, "invented", double(g.score.invented), 0.0, "");
      target(g, "given the wrong kind", double(g.score.mislabelled), 0.0, "");
      continue;
    }
    if (g.name.starts_with("100 Hz"))
      target(g, "mean velocity, farther limit", g.score.mean_velocity.widest(), 0.04, "m/s");
    if (g.name == kFused) {
      target(g, "missed", double(g.score.missed), 0.0, "");
      target(g, "found but not measured", double(g.score.not_measured), 0.0, "");
      target(g, "mean velocity, farther limit", g.score.mean_velocity.widest(), 0.015, "m/s");
      target(g,
             "limit, beyond that of the better source",
             g.score.mean_velocity.widest() - better,
             0.0,
             "m/s");
    }
    // Counted over fewer repetitions the share says too little: at 300 its own spread is ±2.5 %.
    constexpr std::size_t kEnough = 300;
    if (g.score.mean_velocity.values.size() >= kEnough)
      target(g,
             "mean velocity, coverage off 95 %",
             std::abs(g.score.mean_velocity.coverage() - 0.95),
             0.02,
             "");
  }
  return holds;
}

void write_figures(const std::string& file,
                   const std::vector<accuracy::Score>& scores,
                   const std::vector<Group>& all) {
  using nlohmann::json;
  json logs = json::array(), totals = json::array();
  for (const accuracy::Score& s : scores) logs.push_back(json::parse(figures_as_json(s)));
  for (const Group& g : all) totals.push_back(json::parse(figures_as_json(g.score)));
  std::ofstream(file) << json{{"logs", logs}, {"groups", totals}}.dump(2) << '\n';
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Measures simulated logs whose motion is known exactly."};
  Arguments args;
  app.add_option("--scenes", args.scenes, "folder of scene files")->check(CLI::ExistingDirectory);
  app.add_option("--cache", args.cache, "folder to write logs in");
  app.add_option("--scene", args.only, "only the scenes of these names");
  app.add_option("--random", args.random, "made-up scenes instead: first seed and how many")
      ->expected(2);
  app.add_flag("--hard", args.hard, "with --random: pile up conditions");
  app.add_flag(
      "--worn", args.worn, "with --random: uncalibrated sensors, cut short or worn all day");
  app.add_flag("--details", args.details, "one line a repetition too");
  app.add_flag("--facts", args.facts, "what the estimate says of each sensor too");
  app.add_flag("--no-file", args.no_file, "hand the rows over as a perfect reader would");
  app.add_flag("--clips", args.clips, "render and measure the clips of pairs too");
  app.add_flag("--check", args.check, "fail unless every target holds");
  app.add_option("--json", args.json_file, "write the figures to this file");
  CLI11_PARSE(app, argc, argv);
  try {
    std::vector<Group> all = groups();
    std::vector<accuracy::Score> scores;
    accuracy::print_head(std::cout, "log");
    for (const Wanted& wanted : wanted_logs(args)) {
      const accuracy::MadeLog made = accuracy::make_log(wanted.name, wanted.scene_json, args.cache);
      const accuracy::Score score = measure(made, args);
      for (Group& group : all)
        if (group.holds(made.sensor)) group.score.add(score);
      scores.push_back(score);
      show(score, args);
      if (!args.clips || !made.has_clip) continue;
      const PairScores pair = measure_pair(wanted, made, args);
      show(pair.clip, args);
      show(pair.fused, args);
      scores.push_back(pair.clip);
      scores.push_back(pair.fused);
      for (Group& group : all) {
        if (group.name == kLogAlone) group.score.add(score);
        if (group.name == kClipAlone) group.score.add(pair.clip);
        if (group.name == kFused) group.score.add(pair.fused);
      }
    }
    std::cout << '\n';
    for (Group& group : all) {
      group.score.name = group.name;
      if (group.score.truth_reps > 0) accuracy::print_row(std::cout, group.score);
    }
    if (!args.json_file.empty()) write_figures(args.json_file, scores, all);
    const bool good =
        args.worn ? print_counts(std::cout, all.front()) : print_targets(std::cout, all);
    return args.check && !good ? 1 : 0;
  } catch (const std::exception& e) {
    std::cerr << "log_accuracy: " << e.what() << '\n';
    return 2;
  }
}
