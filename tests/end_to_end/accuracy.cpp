// accuracy: renders clips whose motion is known exactly, measures them, and says how far off the
// measurements are. With --check it fails unless the targets hold.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iostream>
#include <sstream>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/session/analyse.h"
#include "libkinetics/session/correct.h"
#include "tests/end_to_end/clips.h"
#include "tests/end_to_end/report.h"
#include "tests/end_to_end/score.h"

namespace {

namespace fs = std::filesystem;

struct Arguments {
  std::string scenes = KINETICS_SOURCE_DIR "/tests/end_to_end/scenes";
  std::string cache = KINETICS_BUILD_DIR "/accuracy_clips";
  std::vector<std::string> only;
  std::vector<std::uint64_t> random;  // first seed, count
  bool hard = false, details = false, check = false, render_only = false;
  std::string json_file;
  std::vector<std::string> known_short;
};

struct Wanted {
  std::string name, scene_json;
  bool keep = true;
};

std::vector<Wanted> wanted_clips(const Arguments& args) {
  std::vector<Wanted> out;
  if (args.random.size() == 2) {
    for (std::uint64_t k = 0; k < args.random[1]; ++k) {
      const std::uint64_t seed = args.random[0] + k;
      out.push_back({(args.hard ? "hard_" : "random_") + std::to_string(seed),
                     render::random_scene(seed, args.hard)});
    }
    return out;
  }
  for (const fs::directory_entry& file : fs::directory_iterator(args.scenes)) {
    const std::string name = file.path().stem().string();
    if (file.path().extension() != ".json") continue;
    if (!args.only.empty() &&
        std::find(args.only.begin(), args.only.end(), name) == args.only.end())
      continue;
    std::ostringstream text;
    text << std::ifstream(file.path()).rdbuf();
    out.push_back({name, text.str()});
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.name < b.name; });
  return out;
}

/// Errors as they are with every diameter the disc may have been said to have: all lengths of a
/// clip share that error, so that with one drawn diameter a clip's ranges all hold or all fail by
/// chance.
accuracy::Score compare_as_told(const accuracy::MadeClip& clip, const kinetics::Session& session) {
  accuracy::Score out = accuracy::compare(clip.name, session, clip.truth);
  out.mean_velocity = out.peak_velocity = out.rom = {};
  for (const double told_m : accuracy::told_diameters_m(clip.scene)) {
    const accuracy::Score told =
        accuracy::compare(clip.name, kinetics::with_disc_diameter(session, told_m), clip.truth);
    out.mean_velocity.add(told.mean_velocity);
    out.peak_velocity.add(told.peak_velocity);
    out.rom.add(told.rom);
  }
  return out;
}

accuracy::Score measure(const accuracy::MadeClip& clip) {
  const auto start = std::chrono::steady_clock::now();
  std::chrono::duration<double> spent{};
  accuracy::Score score;
  try {
    const kinetics::Session session = kinetics::analyse_clip(clip.file.string(), clip.options);
    spent = std::chrono::steady_clock::now() - start;
    score = compare_as_told(clip, session);
  } catch (const std::exception& e) {
    score.name = clip.name;
    score.trouble = e.what();
    score.truth_reps = score.missed = clip.truth.reps.size();
  }
  score.analysis_s = spent.count();
  if (!clip.truth.frames.empty()) score.clip_s = clip.truth.frames.back().t_s;
  return score;
}

// The conditions DESIGN.md's tighter limits speak of.
bool is_square_1080p60(const render::Scene& s) {
  return std::abs(s.camera.yaw_deg) < 2.0 && s.camera.width_px >= 1920 &&
         std::abs(s.camera.height_m - s.camera.aim_height_m) < 0.1 && s.camera.k1 == 0.0 &&
         s.capture.frame_rate_hz > 59.0 && s.capture.frame_rate_hz < 61.0;
}

/// Coded with as many bits as phones spend on 1080p60: 12 Mbit/s with HEVC, some 20 with H.264
/// (from memory).
bool is_clean_1080p60(const render::Scene& s) {
  return is_square_1080p60(s) && s.capture.bit_rate_bps >= 12e6;
}

bool is_square_1080p(const render::Scene& s) {
  return std::abs(s.camera.yaw_deg) < 2.0 && s.camera.width_px >= 1920 && s.camera.k1 == 0.0;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Measures rendered clips whose motion is known exactly."};
  Arguments args;
  app.add_option("--scenes", args.scenes, "folder of scene files")->check(CLI::ExistingDirectory);
  app.add_option("--cache", args.cache, "folder to keep rendered clips in");
  app.add_option("--scene", args.only, "only the scenes of these names");
  app.add_option("--random", args.random, "made-up scenes instead: first seed and how many")
      ->expected(2);
  app.add_flag("--hard", args.hard, "with --random: pile up conditions");
  app.add_flag("--details", args.details, "one line a repetition too");
  app.add_flag("--check", args.check, "fail unless every target holds");
  app.add_option("--known-short", args.known_short, "but for targets that begin with these words");
  app.add_flag("--render-only", args.render_only, "make the clips and stop");
  app.add_option("--json", args.json_file, "write the figures to this file");
  CLI11_PARSE(app, argc, argv);
  try {
    accuracy::Report report;
    accuracy::print_head(std::cout, "clip");
    for (const Wanted& wanted : wanted_clips(args)) {
      const accuracy::MadeClip clip =
          accuracy::make_clip(wanted.name, wanted.scene_json, args.cache);
      if (args.render_only) continue;
      const accuracy::Score score = measure(clip);
      report.add(score,
                 {.square_1080p = is_square_1080p(clip.scene),
                  .square_1080p60 = is_square_1080p60(clip.scene),
                  .clean_1080p60 = is_clean_1080p60(clip.scene)});
      accuracy::print_row(std::cout, score);
      if (args.details)
        for (const std::string& line : score.details) std::cout << line << '\n';
      std::cout.flush();
    }
    if (args.render_only) return 0;
    report.print_totals(std::cout);
    if (!args.json_file.empty()) std::ofstream(args.json_file) << report.as_json() << '\n';
    const bool good = report.print_targets(std::cout, args.known_short);
    return args.check && !good ? 1 : 0;
  } catch (const std::exception& e) {
    std::cerr << "accuracy: " << e.what() << '\n';
    return 2;
  }
}
