// A sample clip brought to another rate, or robbed of pictures, by the ffmpeg program. The truth is
// what the renderer stored beside the sample.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/session/analyse.h"
#include "tests/media/made_clip.h"

using namespace kinetics;

TEST_CASE("a converted clip is measured by the times its pictures were taken at", "[session]") {
  struct Case {
    const char* filter;
    const char* rate_hz;
    const char* words;  ///< of the caution
  };
  const Case c = GENERATE(
      Case{"fps=25", "25", "taken at 30 a second"},
      Case{"minterpolate=fps=25:mi_mode=blend:scd=none", "25", "taken at 30 a second"},
      // One picture in some 16, by no regular pattern.
      Case{
          "select='gt(mod(n*n*7+n*13\\,127)\\,7)',setpts=N/(30*TB)", "30", "Pictures are missing"});
  CAPTURE(c.filter);
  const std::filesystem::path samples =
      std::filesystem::path(KINETICS_SOURCE_DIR) / "samples/clips";
  std::ifstream stored(samples / "northgate_bench.truth.json");
  const auto truth = nlohmann::json::parse(stored).at("reps");
  const kinetics_test::Folder folder;
  const std::string clip = folder / "converted.mp4";
  kinetics_test::ffmpeg("-i " + (samples / "northgate_bench.mp4").string() + " -vf \"" + c.filter +
                        "\" -r " + c.rate_hz + " -c:v libx264 -preset ultrafast -crf 23 " + clip);

  const Session session = analyse_clip(clip);
  CHECK(kinetics_test::any_note_says(session.notes, c.words));
  REQUIRE(session.reps.size() == truth.size());
  double mean_off = 0.0;
  double peak_off = 0.0;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const double mean_mps = truth[i].at("mean_velocity_mps");
    const double peak_mps = truth[i].at("peak_velocity_mps");
    mean_off += std::abs(session.reps[i].mean_velocity_mps.value() / mean_mps - 1.0);
    peak_off += std::abs(session.reps[i].peak_velocity_mps.value() / peak_mps - 1.0);
  }
  // By the stamps alone peaks are 1, 9 and some 30 % off.
  CHECK(mean_off / static_cast<double>(truth.size()) < 0.05);
  CHECK(peak_off / static_cast<double>(truth.size()) < 0.025);
}
