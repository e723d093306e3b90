// Pictures in any order are those that a reading from the beginning comes to, byte for byte.
#include "libkinetics/media/clip_pictures.h"

#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

struct Kind {
  std::string name;
  std::string options;
};

}  // namespace

TEST_CASE("any picture in any order is the one of a whole reading", "[media][pictures]") {
  const Folder folder;
  const auto kind = GENERATE(
      values<Kind>({{"key pictures far apart.mp4", "-c:v libx264 -bf 3 -g 50"},
                    {"open groups.mp4", "-c:v libx264 -bf 2 -g 12 -x264-params open-gop=1"},
                    {"not from zero.mkv", "-c:v libx264 -bf 0 -g 20 -output_ts_offset 7.3"},
                    {"transport.ts", "-c:v libx264 -bf 2 -g 25"},
                    {"all key.avi", "-c:v mjpeg"},
                    {"no index.h264", "-c:v libx264 -g 30"}}));
  CAPTURE(kind.name);
  const std::string path = folder / kind.name;
  ffmpeg("-f lavfi -i testsrc=size=96x64:rate=30:duration=5 -pix_fmt yuvj420p " + kind.options +
         " \"" + path + "\"");
  ClipReader reader(path);
  std::vector<double> times_s;
  std::vector<ColourPicture> pictures;
  while (const auto frame = reader.next()) {
    times_s.push_back(frame->t_s);
    pictures.push_back(to_colour(*frame, reader.info()));
  }
  REQUIRE(pictures.size() == 150);
  ClipPictures any(path, reader.info());
  std::mt19937 random(11);
  std::vector<std::size_t> order{149, 0, 1, 2, 148, 149, 75, 74, 73, 72};
  for (int i = 0; i < 30; ++i) order.push_back(random() % pictures.size());
  for (const std::size_t i : order) {
    CAPTURE(i);
    CHECK((any.at(times_s[i], 1 << 16).bgr == pictures[i].bgr));
  }
}

TEST_CASE("a slowed and turned clip is looked through in real time and upright",
          "[media][pictures]") {
  const Folder folder;
  const std::string path = folder / "slow.mp4";
  ffmpeg("-f lavfi -i testsrc=size=96x64:rate=30:duration=3 -c:v libx264 -g 20 \"" + path + "\"");
  ClipReader reader(path, {.capture_rate_hz = 240.0});
  ClipInfo info = reader.info();
  std::vector<double> times_s;
  while (const auto frame = reader.next()) times_s.push_back(frame->t_s);
  REQUIRE(times_s.size() == 90);
  CHECK(times_s[8] == Approx(8.0 / 240.0));
  info.rotation_deg = 90;
  std::swap(info.width_px, info.height_px);
  ClipPictures any(path, info);
  const ColourPicture picture = any.at(times_s[40], 1 << 16);
  CHECK(picture.width_px == 64);
  CHECK(picture.height_px == 96);
  CHECK(any.at(times_s[40], 48).height_px == 48);
}

TEST_CASE("a clip that went away is named", "[media][pictures]") {
  CHECK_THROWS_AS(ClipPictures("/no/such/clip.mp4", {}), Error);
}
