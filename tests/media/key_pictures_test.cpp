// Key pictures alone, and going to a time: the same pictures at the same times as a plain read from
// the start gives. Clips of several kinds are made by the ffmpeg program.
#include "libkinetics/media/key_pictures.h"

#include <map>

#include <catch2/catch.hpp>

#include "libkinetics/media/clip_reader.h"
#include "tests/media/made_clip.h"

using kinetics::ClipReader;
using kinetics::Frame;
using kinetics::KeyPictures;
using kinetics_test::bytes_of;
using kinetics_test::ffmpeg;
using kinetics_test::Folder;
using kinetics_test::read_all;

namespace {

/// What the coder is told; pictures lean on later ones in the second, on some across key pictures
/// in the third.
std::string coding() {
  return GENERATE("-bf 0 -g 30",
                  "-bf 3 -g 30",
                  "-bf 3 -g 30 -x264-params open-gop=1",
                  "-bf 3 -g 45 -sc_threshold 0");
}

void make_clip(const std::string& path, const std::string& coded) {
  ffmpeg(
      "-f lavfi -i testsrc=size=160x120:rate=30:duration=9 -vf noise=alls=12:allf=t -c:v libx264 " +
      coded + " -pix_fmt yuv420p " + path);
}

std::map<double, std::string> looks_of(const std::string& path) {
  ClipReader clip(path);
  std::map<double, std::string> out;
  for (const Frame& f : read_all(clip)) out[f.t_s] = bytes_of(f.luma);
  return out;
}

}  // namespace

TEST_CASE("key pictures are those of the clip, at their times", "[media]") {
  const Folder folder;
  const std::string coded = coding();
  CAPTURE(coded);
  make_clip(folder / "clip.mp4", coded);
  const std::map<double, std::string> all = looks_of(folder / "clip.mp4");
  const ClipReader clip(folder / "clip.mp4");
  KeyPictures keys(clip.info());
  const double after_s = GENERATE(-1.0, 2.5);
  REQUIRE(keys.go_after(after_s));
  double last_s = after_s;
  int count = 0;
  while (const auto frame = keys.next()) {
    CHECK(frame->t_s > last_s);
    CHECK(frame->t_s - last_s <= KeyPictures::kMostApartS);
    last_s = frame->t_s;
    REQUIRE(all.count(frame->t_s) == 1);
    CHECK(bytes_of(frame->luma) == all.at(frame->t_s));
    ++count;
  }
  CHECK(keys.at_end());
  CHECK(count >= (after_s < 0.0 ? 6 : 4));
}

TEST_CASE("where key pictures are rare there are none to look at", "[media]") {
  const Folder folder;
  make_clip(folder / "clip.mp4", "-g 250 -sc_threshold 0");
  const ClipReader clip(folder / "clip.mp4");
  KeyPictures keys(clip.info());
  REQUIRE(keys.go_after(0.5));
  CHECK_FALSE(keys.next());
  CHECK_FALSE(keys.at_end());
}

TEST_CASE("a reader that hurries, forth or back, shows the pictures that are there", "[media]") {
  const Folder folder;
  const std::string coded = coding();
  CAPTURE(coded);
  make_clip(folder / "clip.mp4", coded);
  const std::map<double, std::string> all = looks_of(folder / "clip.mp4");
  ClipReader clip(folder / "clip.mp4");
  for (const double to_s : {6.0, 3.05, 0.0, 8.2}) {
    CAPTURE(to_s);
    clip.hurry_to(to_s);
    auto expected = all.upper_bound(to_s);
    const bool last = to_s == 8.2;
    for (int seen = 0; last || seen < 20;) {
      const auto frame = clip.next();
      if (!frame) break;
      // It may begin earlier, with pictures that are right as well.
      REQUIRE(all.count(frame->t_s) == 1);
      CHECK(bytes_of(frame->luma) == all.at(frame->t_s));
      if (frame->t_s <= to_s) continue;
      REQUIRE(expected != all.end());
      CHECK(frame->t_s == expected->first);
      ++expected;
      ++seen;
    }
    if (last) CHECK(expected == all.end());
  }
  CHECK(clip.notes().empty());
}
