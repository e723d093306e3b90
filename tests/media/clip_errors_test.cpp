// Inputs that are no clip: one sentence for each kind of trouble, naming the file.
#include <filesystem>

#include <catch2/catch.hpp>
#include <sys/stat.h>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

std::string trouble_with(const std::string& path) {
  try {
    ClipReader clip(path);
    while (clip.next()) {
    }
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK(error.where() == path);
    CHECK_FALSE(error.mend().empty());
    return error.what();
  }
  return "no trouble";
}

const std::string kPattern = "-f lavfi -i testsrc=size=64x48:rate=30:duration=1 ";

}  // namespace

TEST_CASE("no file, a folder and an empty file are told apart", "[media][bad-input]") {
  const Folder folder;
  CHECK_THAT(trouble_with(folder / "none.mp4"), Catch::Contains("no such file"));
  CHECK_THAT(trouble_with(folder.path().string()), Catch::Contains("folder"));
  spill(folder / "empty.mp4", "");
  CHECK_THAT(trouble_with(folder / "empty.mp4"), Catch::Contains("is empty"));
  REQUIRE(::mkfifo((folder / "pipe.mp4").c_str(), 0600) == 0);
  CHECK_THAT(trouble_with(folder / "pipe.mp4"), Catch::Contains("not an ordinary file"));
}

TEST_CASE("what is not video at all is called so", "[media][bad-input]") {
  const Folder folder;
  spill(folder / "text.mp4", "squat 5 x 3 at 70 %, box, 2 chains\n");
  CHECK_THAT(trouble_with(folder / "text.mp4"), Catch::Contains("not a video that can be read"));
  spill(folder / "zeros.mov", std::string(100'000, '\0'));
  CHECK_THAT(trouble_with(folder / "zeros.mov"), Catch::Contains("not a video that can be read"));
}

TEST_CASE("sound alone has no pictures", "[media][bad-input]") {
  const Folder folder;
  ffmpeg("-f lavfi -i sine=duration=1 -c:a aac " + (folder / "sound.m4a"));
  CHECK_THAT(trouble_with(folder / "sound.m4a"), Catch::Contains("sound but no picture track"));
}

TEST_CASE("an MP4 without its index was cut off", "[media][bad-input]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "whole.mp4"));
  const std::string whole = slurp(folder / "whole.mp4");  // the index is written last
  spill(folder / "cut.mp4", whole.substr(0, whole.size() / 2));
  CHECK_THAT(trouble_with(folder / "cut.mp4"),
             Catch::Contains("cut off before it was finished") && Catch::Contains("Re-export"));
}

TEST_CASE("a playlist does not make the reader open other files", "[media][bad-input]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "real.ts"));
  spill(folder / "list.mp4",
        "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:1.0,\nreal.ts\n#EXT-X-ENDLIST\n");
  CHECK_THAT(trouble_with(folder / "list.mp4"), Catch::Contains("list.mp4"));
  spill(folder / "script.mp4", "ffconcat version 1.0\nfile real.ts\n");
  CHECK_THAT(trouble_with(folder / "script.mp4"), Catch::Contains("script.mp4"));
}

TEST_CASE("a picture size of zero is named", "[media][bad-input]") {
  const Folder folder;
  const std::string path = folder / "zero.avi";
  ffmpeg(kPattern + "-c:v rawvideo -pix_fmt yuv420p " + path);
  std::string bytes = slurp(path);
  // AVI stream format 'strf': 4 bytes length, 4 header size, then width and height.
  const std::size_t format = bytes.find("strf");
  REQUIRE(format != std::string::npos);
  for (std::size_t i = 0; i < 8; ++i) bytes[format + 12 + i] = 0;
  spill(path, bytes);
  CHECK_THAT(trouble_with(path), Catch::Contains("a size of 0 x 0"));
}

TEST_CASE("a codec nobody knows is named", "[media][bad-input]") {
  const Folder folder;
  const std::string path = folder / "odd.mp4";
  ffmpeg(kPattern + "-c:v mpeg4 -pix_fmt yuv420p " + path);
  std::string bytes = slurp(path);
  for (std::size_t at; (at = bytes.find("mp4v")) != std::string::npos;)
    bytes.replace(at, 4, "zzzz");
  for (std::size_t at; (at = bytes.find("esds")) != std::string::npos;)
    bytes.replace(at, 4, "free");
  spill(path, bytes);
  CHECK_THAT(trouble_with(path), Catch::Contains("no decoder here"));
}

TEST_CASE("a clip of which nothing decodes says so", "[media][bad-input]") {
  const Folder folder;
  const std::string path = folder / "noise.mp4";
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p -movflags faststart " + path);
  std::string bytes = slurp(path);
  const std::size_t media = bytes.rfind("mdat");
  REQUIRE(media != std::string::npos);
  for (std::size_t i = media + 4; i < bytes.size(); ++i) bytes[i] = static_cast<char>(i * 37);
  spill(path, bytes);
  CHECK_THAT(trouble_with(path), Catch::Contains("not one of its pictures could be decoded"));
}

TEST_CASE("a file name with a colon is no protocol", "[media]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "a.mp4"));
  std::filesystem::rename(folder / "a.mp4", folder / "set:3 top.mp4");
  ClipReader clip(folder / "set:3 top.mp4");
  CHECK(read_all(clip).size() == 30);
}
