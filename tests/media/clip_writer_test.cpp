// The annotated clip: read back by ffprobe and by our own reader.
#include "libkinetics/media/clip_writer.h"

#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

ColourPicture flat(int width, int height, std::uint8_t b, std::uint8_t g, std::uint8_t r) {
  ColourPicture picture{width, height, {}};
  for (int i = 0; i < width * height; ++i) picture.bgr.insert(picture.bgr.end(), {b, g, r});
  return picture;
}

std::size_t files_in(const Folder& folder) {
  return static_cast<std::size_t>(
      std::distance(std::filesystem::directory_iterator(folder.path()), {}));
}

}  // namespace

TEST_CASE("uneven times survive writing", "[media][writer]") {
  const Folder folder;
  const std::vector<double> times_s{0.0, 1001.0 / 30000, 0.1, 0.1 + 1.0 / 240, 0.5, 0.75, 2.0};
  {
    ClipWriter writer(folder / "out.mp4", 64, 48);
    for (const double t_s : times_s) writer.add(flat(64, 48, 10, 200, 30), t_s);
    CHECK_FALSE(std::filesystem::exists(folder / "out.mp4"));
    writer.finish();
  }
  CHECK(files_in(folder) == 1);
  const std::vector<std::int64_t> stamps = probed_stamps(folder / "out.mp4");
  ClipReader clip(folder / "out.mp4");
  const std::vector<Frame> frames = read_all(clip);
  REQUIRE(frames.size() == times_s.size());
  REQUIRE(stamps.size() == times_s.size());
  for (std::size_t i = 0; i < times_s.size(); ++i) {
    CHECK(frames[i].t_s == Approx(times_s[i]).margin(0.5 / 90000));
    CHECK(static_cast<double>(stamps[i]) / 90000.0 == Approx(times_s[i]).margin(0.5 / 90000));
  }
}

TEST_CASE("colours survive writing, odd sizes lose a pixel", "[media][writer]") {
  const Folder folder;
  {
    ClipWriter writer(folder / "out.mp4", 65, 49);
    for (int i = 0; i < 3; ++i) writer.add(flat(65, 49, 40, 120, 220), i / 30.0);
    writer.finish();
  }
  // ffmpeg's own reading of the colours: 8-bit limited range chroma allows a few levels.
  ffmpeg("-i " + (folder / "out.mp4") + " -frames:v 1 -pix_fmt bgr24 -f rawvideo " +
         (folder / "raw"));
  const std::string raw = slurp(folder / "raw");
  REQUIRE(raw.size() == 3U * 64U * 48U);
  const std::size_t middle = 3 * (24 * 64 + 32);
  CHECK(std::abs(std::uint8_t(raw[middle]) - 40) <= 4);
  CHECK(std::abs(std::uint8_t(raw[middle + 1]) - 120) <= 4);
  CHECK(std::abs(std::uint8_t(raw[middle + 2]) - 220) <= 4);
}

TEST_CASE("the index stands in front so that a browser can start at once", "[media][writer]") {
  const Folder folder;
  ClipWriter writer(folder / "out.mp4", 64, 48);
  for (int i = 0; i < 5; ++i) writer.add(flat(64, 48, 0, 0, 0), i / 30.0);
  writer.finish();
  const std::string bytes = slurp(folder / "out.mp4");
  CHECK(bytes.find("moov") < bytes.find("mdat"));
}

TEST_CASE("an abandoned clip leaves nothing, and spares what was there", "[media][writer]") {
  const Folder folder;
  spill(folder / "out.mp4", "the coach's last overlay");
  {
    ClipWriter writer(folder / "out.mp4", 64, 48);
    for (int i = 0; i < 40; ++i) writer.add(flat(64, 48, 0, 0, 0), i / 30.0);
  }
  CHECK(files_in(folder) == 1);
  CHECK(slurp(folder / "out.mp4") == "the coach's last overlay");
}

TEST_CASE("a place that cannot be written is named before any work", "[media][writer][bad-input]") {
  const Folder folder;
  CHECK_THROWS_WITH(ClipWriter(folder / "no/such/out.mp4", 64, 48),
                    Catch::Contains("no/such/out.mp4") && Catch::Contains("cannot be written"));
  CHECK_THROWS_WITH(ClipWriter(folder.path().string(), 64, 48), Catch::Contains("folder"));
  CHECK_THROWS_AS(ClipWriter("", 64, 48), Error);
  CHECK(files_in(folder) == 0);
}

TEST_CASE("a full disk is an error and leaves nothing", "[media][writer][bad-input]") {
  // /dev/full accepts a file's opening and refuses every byte, but the writer works beside its
  // target, so a limit on the file's size stands in for the disk's.
  const Folder folder;
  const std::string out = folder / "out.mp4";
  const std::string program = std::string(KINETICS_BIN_DIR) + "/media_test";
  const std::string command = "ulimit -f 8; trap '' XFSZ; KINETICS_FULL_DISK_OUT='" + out + "' '" +
                              program + "' '[.full-disk-inner]' > /dev/null 2>&1";
  CHECK(std::system(("bash -c \"" + command + "\"").c_str()) == 0);
  CHECK(files_in(folder) == 0);
}

TEST_CASE("(inner) writing past the limit throws", "[.full-disk-inner]") {
  const char* out = std::getenv("KINETICS_FULL_DISK_OUT");
  REQUIRE(out != nullptr);
  const auto write = [&] {
    ClipWriter writer(out, 640, 480);
    ColourPicture noise = flat(640, 480, 0, 0, 0);
    for (int i = 0; i < 60; ++i) {
      unsigned state = static_cast<unsigned>(i) + 1;
      for (std::uint8_t& byte : noise.bgr) {
        state = state * 1664525U + 1013904223U;
        byte = static_cast<std::uint8_t>(state >> 24);
      }
      writer.add(noise, i / 30.0);
    }
    writer.finish();
  };
  CHECK_THROWS_WITH(write(), Catch::Contains("writing the clip failed"));
}
