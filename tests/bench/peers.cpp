// peers: OpenCV's general trackers beside our own on the same clips, followed by the same
// kinematics. They are given the disc's true place to start from; we find it ourselves.
#include <chrono>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/session/analyse.h"
#include "tests/bench/box_tracker.h"
#include "tests/end_to_end/clips.h"
#include "tests/end_to_end/score.h"

namespace {

namespace fs = std::filesystem;
using accuracy::MadeClip;
using accuracy::Score;

std::string text_of(const fs::path& path) {
  std::ifstream file(path);
  if (!file) throw std::runtime_error(path.string() + ": there is no such scene");
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

template <typename Analysis>
Score timed(const MadeClip& clip, const Analysis& analysis) {
  const auto start = std::chrono::steady_clock::now();
  Score score;
  try {
    const kinetics::Session session = analysis();
    const std::chrono::duration<double> spent = std::chrono::steady_clock::now() - start;
    score = accuracy::compare(clip.name, session, clip.truth);
    score.analysis_s = spent.count();
  } catch (const std::exception& e) {
    score.name = clip.name;
    score.trouble = e.what();
    score.truth_reps = score.missed = clip.truth.reps.size();
  }
  return score;
}

void print_head() {
  fmt::print("{:<34} {:<10} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>9} {:>7}\n",
             "clip",
             "by",
             "reps",
             "invented",
             "mean",
             "lower",
             "upper",
             "held",
             "centre",
             "time");
  fmt::print("{:<34} {:<10} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>9} {:>7}\n",
             "",
             "",
             "found",
             "",
             "m/s",
             "m/s",
             "m/s",
             "%",
             "px RMS",
             "x ours");
}

void print_row(const std::string& clip, const std::string& by, const Score& s, double ours_s) {
  fmt::print("{:<34} {:<10} {:>7} {:>8} ",
             clip,
             by,
             fmt::format("{}/{}", s.found, s.truth_reps),
             s.invented);
  if (!s.trouble.empty()) {
    fmt::print("{}\n", s.trouble);
    return;
  }
  const accuracy::Errors& e = s.mean_velocity;
  if (e.values.empty()) {
    fmt::print("{:>8} {:>8} {:>8} {:>8} ", "-", "-", "-", "-");
  } else {
    fmt::print("{:>+8.4f} {:>+8.4f} {:>+8.4f} {:>8.0f} ",
               e.bias(),
               e.lower(),
               e.upper(),
               100.0 * e.coverage());
  }
  fmt::print("{:>9.2f} {:>7.1f}\n", s.centre_rms_px(), s.analysis_s / ours_s);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"OpenCV's general trackers beside our own on rendered clips."};
  std::string scenes = KINETICS_SOURCE_DIR "/tests/end_to_end/scenes";
  std::string cache = KINETICS_BUILD_DIR "/accuracy_clips";
  std::vector<std::string> names{"square_720p30_squat",
                                 "square_1080p60_squat",
                                 "yaw20_720p30_squat",
                                 "hidden_moments_720p30_bench",
                                 "knock_720p30_squat"};
  app.add_option("--scenes", scenes, "folder of scene files")->check(CLI::ExistingDirectory);
  app.add_option("--cache", cache, "folder to keep rendered clips in");
  app.add_option("--scene", names, "scenes to use, by name");
  CLI11_PARSE(app, argc, argv);
  constexpr peers::Kind kKinds[] = {
      peers::Kind::kCsrt, peers::Kind::kKcf, peers::Kind::kMosse, peers::Kind::kMedianFlow};
  try {
    print_head();
    std::map<std::string, Score> totals;
    for (const std::string& name : names) {
      const MadeClip clip =
          accuracy::make_clip(name, text_of(fs::path(scenes) / (name + ".json")), cache);
      const Score ours =
          timed(clip, [&] { return kinetics::analyse_clip(clip.file.string(), clip.options); });
      print_row(name, "kinetics", ours, ours.analysis_s);
      totals["kinetics"].add(ours);
      for (const peers::Kind kind : kKinds) {
        const Score theirs = timed(clip, [&] { return peers::follow(kind, clip); });
        print_row("", peers::name_of(kind), theirs, ours.analysis_s);
        totals[peers::name_of(kind)].add(theirs);
        std::fflush(stdout);
      }
    }
    const double ours_s = totals["kinetics"].analysis_s;
    print_row("all clips", "kinetics", totals["kinetics"], ours_s);
    for (const peers::Kind kind : kKinds) {
      print_row("", peers::name_of(kind), totals[peers::name_of(kind)], ours_s);
    }
    fmt::print(
        "Errors are measured minus true, mean concentric velocity; limits of agreement are "
        "bias ± 1.96 SD.\nTheirs: started from the true box; time includes decoding and "
        "turning each picture into colours. held: share of\ntrue values inside the stated "
        "95 % interval.\n");
    return 0;
  } catch (const std::exception& e) {
    std::cerr << "peers: " << e.what() << '\n';
    return 2;
  }
}
