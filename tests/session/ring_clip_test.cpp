// A ring that goes up and down as a disc's hub does, drawn by the ffmpeg program. The disc around
// it does not show; the true travel follows from its size in the drawing.
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/session/analyse.h"
#include "tests/media/made_clip.h"

using namespace kinetics;

namespace {

// A hub of 18 px whose disc would have 80 px, and goes 260 px: 0.73 m of a disc 0.45 m across.
constexpr double kTravelM = 260.0 / 80.0 * 0.225;

std::string hub_clip(const kinetics_test::Folder& folder) {
  std::string path = folder / "hub.mp4";
  kinetics_test::ffmpeg(
      "-f lavfi -i \"color=gray:size=360x480:rate=30:duration=13,format=yuv420p,"
      "geq=lum='40+4*(random(1)-0.5)+80*clip(18.5-hypot(X-180\\,Y-240-130*cos(2*PI*T/"
      "2.5))\\,0\\,1)'"
      ":cb='128':cr='128'\" -c:v libx264 -preset ultrafast -crf 18 -pix_fmt yuv420p " +
      path);
  return path;
}

}  // namespace

TEST_CASE("what goes too far for a disc of its size is measured with wide intervals", "[session]") {
  const kinetics_test::Folder folder;
  const std::string path = hub_clip(folder);
  const Session session = analyse_clip(path);
  CHECK(kinetics_test::any_note_says(session.notes, "point at the disc with --seed"));
  REQUIRE(!session.reps.empty());
  for (const Rep& rep : session.reps) {
    REQUIRE(rep.rom_m);
    CHECK(rep.rom_m.value() > 2.0 * kTravelM);
    CHECK(rep.rom_m.lo() < kTravelM);
  }

  AnalysisOptions pointed;
  pointed.tracking.seed = DiscSeed{.at = {180.0, 370.0}, .t_s = 0.0};
  const Session told = analyse_clip(path, pointed);
  REQUIRE(!told.reps.empty());
  REQUIRE(told.reps.front().rom_m);
  CHECK(told.reps.front().rom_m.sigma() < 0.05 * told.reps.front().rom_m.value());
}
