// Reading ahead changes nothing but when the work is done.
#include "libkinetics/media/read_ahead.h"

#include <catch2/catch.hpp>

#include "tests/media/made_clip.h"

using kinetics::ClipInfo;
using kinetics::ClipReader;
using kinetics::pictures_ahead;
using kinetics::ReadAhead;
using kinetics::testing::ffmpeg;
using kinetics::testing::Folder;

namespace {

void make_clip(const Folder& folder) {
  ffmpeg("-f lavfi -i testsrc=size=160x120:rate=30:duration=2 -c:v libx264 -pix_fmt yuv420p " +
         (folder / "clip.mp4"));
}

}  // namespace

TEST_CASE("pictures read ahead are the reader's own, in order and to the last", "[media]") {
  const Folder folder;
  make_clip(folder);
  ClipReader plain(folder / "clip.mp4");
  ClipReader source(folder / "clip.mp4");
  ReadAhead ahead(source, 3);
  int count = 0;
  while (const auto expected = plain.next()) {
    const auto got = ahead.next();
    REQUIRE(got);
    CHECK(got->t_s == expected->t_s);
    CHECK(got->index == expected->index);
    CHECK(got->luma.at(80, 60) == expected->luma.at(80, 60));
    ++count;
  }
  CHECK_FALSE(ahead.next());
  CHECK(count == 60);
  CHECK(ahead.fraction_read() == Approx(plain.fraction_read()));
}

TEST_CASE("a reader may be left before its end", "[media]") {
  const Folder folder;
  make_clip(folder);
  ClipReader source(folder / "clip.mp4");
  {
    ReadAhead ahead(source, 2);
    CHECK(ahead.next());
  }
  CHECK(source.next());  // it is the caller's again
}

TEST_CASE("small pictures are read further ahead than large ones", "[media]") {
  const auto ahead = [](int width_px, int height_px, int bit_depth) {
    ClipInfo clip;
    clip.width_px = width_px;
    clip.height_px = height_px;
    clip.bit_depth = bit_depth;
    return pictures_ahead(clip);
  };
  // 80 MB over 1.5 bytes a pixel: 1280 x 720 gives 57.9, 1920 x 1080 gives 25.7.
  CHECK(ahead(1280, 720, 8) == 57);
  CHECK(ahead(1920, 1080, 8) == 25);
  CHECK(ahead(1920, 1080, 10) == 12);
  CHECK(ahead(3840, 2160, 8) == 6);
  CHECK(ahead(160, 120, 8) == 64);
}
