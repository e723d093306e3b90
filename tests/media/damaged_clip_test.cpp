// Damaged recordings: what can be read is read, what cannot is told, and nothing ever crashes.
#include <random>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

const std::string kPattern = "-f lavfi -i testsrc=size=64x48:rate=30:duration=2 ";

// Times must increase and pictures keep one size, whatever the bytes. True when it was readable.
bool survives(const std::string& path) {
  try {
    ClipReader clip(path, {.threads = 1});
    double last_s = -1.0;
    unsigned sum = 0;
    while (const auto frame = clip.next()) {
      REQUIRE(frame->t_s > last_s);
      REQUIRE(frame->luma.width == clip.info().width_px);
      REQUIRE(frame->luma.height == clip.info().height_px);
      last_s = frame->t_s;
      sum += frame->luma.at(0, 0);
      sum += frame->luma.at(frame->luma.width - 1, frame->luma.height - 1);
      REQUIRE(clip.fraction_read() <= 1.0);
    }
    CAPTURE(sum);
    return true;
  } catch (const Error& error) {
    REQUIRE(error.code() == ErrorCode::kUnreadable);
    REQUIRE(std::string(error.what()).find(path) != std::string::npos);
    return false;
  }
}

}  // namespace

TEST_CASE("a clip that ends early gives what it has and says so", "[media][damage]") {
  const Folder folder;
  const std::string name = GENERATE("whole.mp4", "whole.mkv");
  CAPTURE(name);
  ffmpeg(kPattern + "-c:v libx264 -g 15 -pix_fmt yuv420p -movflags faststart " + (folder / name));
  const std::string whole = slurp(folder / name);
  spill(folder / ("cut-" + name), whole.substr(0, whole.size() * 6 / 10));
  ClipReader clip(folder / ("cut-" + name));
  const std::vector<Frame> frames = read_all(clip);
  CHECK(frames.size() > 5);
  CHECK(frames.size() < 60);
  REQUIRE(any_note_says(clip.notes(), "it was cut off"));
  CHECK(clip.notes().back().kind == NoteKind::kCaution);
}

TEST_CASE("a whole clip is not called cut off", "[media][damage]") {
  const Folder folder;
  const std::string name = GENERATE("a.mp4", "a.mkv", "a.webm", "a.avi", "a.ts", "a.mov");
  CAPTURE(name);
  const std::string codec = name == "a.webm" ? "-c:v libvpx-vp9 -deadline realtime "
                                             : "-c:v libx264 -bf 3 -pix_fmt yuv420p ";
  const std::string sound = "-f lavfi -i sine=duration=2.3 -ac 1 -ar 48000 ";
  ffmpeg(kPattern + sound + codec + (folder / name));
  ClipReader clip(folder / name);
  CHECK(read_all(clip).size() == 60);
  CHECK_FALSE(any_note_says(clip.notes(), "cut off"));
}

TEST_CASE("damaged pictures are left out and counted", "[media][damage]") {
  const Folder folder;
  const std::string path = folder / "hurt.mp4";
  ffmpeg(
      "-f lavfi -i testsrc2=size=320x240:rate=30:duration=2 -c:v libx264 -g 15 -bf 0 "
      "-pix_fmt yuv420p -movflags faststart " +
      path);
  std::string bytes = slurp(path);
  const std::size_t middle = bytes.size() / 2;
  for (std::size_t i = 0; i < 2000; ++i) bytes[middle + i] = static_cast<char>(0x55 ^ i);
  spill(path, bytes);
  ClipReader clip(path);
  const std::vector<Frame> frames = read_all(clip);
  CHECK(frames.size() < 60);
  CHECK(frames.size() >= 30);
  CHECK(any_note_says(clip.notes(), "damaged and left out"));
}

TEST_CASE("300 seeded corruptions are read or refused, never worse", "[media][damage]") {
  const Folder folder;
  const std::string tiny = "-f lavfi -i testsrc=size=64x48:rate=30:duration=0.4 ";
  ffmpeg(tiny + "-c:v libx264 -bf 2 -pix_fmt yuv420p -movflags faststart " + (folder / "a.mp4"));
  ffmpeg(tiny + "-c:v libvpx-vp9 -deadline realtime -pix_fmt yuv420p " + (folder / "b.mkv"));
  ffmpeg(tiny + "-c:v mpeg4 -pix_fmt yuv420p " + (folder / "c.avi"));
  const std::vector<std::string> originals{
      slurp(folder / "a.mp4"), slurp(folder / "b.mkv"), slurp(folder / "c.avi")};

  int readable = 0;
  for (unsigned seed = 1; seed <= 300; ++seed) {
    CAPTURE(seed);
    std::mt19937 random(seed);
    std::string bytes = originals[seed % originals.size()];
    const auto anywhere = [&] {
      return std::uniform_int_distribution<std::size_t>(0, bytes.size() - 1)(random);
    };
    // Half of the damage goes to the first 800 bytes, where the headers are.
    const int flips = std::uniform_int_distribution<int>(1, 20)(random);
    for (int i = 0; i < flips; ++i) {
      const std::size_t at = seed % 2 == 0 ? anywhere() : anywhere() % 800;
      bytes[at] = static_cast<char>(std::uniform_int_distribution<int>(0, 255)(random));
    }
    if (seed % 5 == 0) bytes.resize(anywhere() + 1);
    spill(folder / "damaged", bytes);
    readable += survives(folder / "damaged") ? 1 : 0;
  }
  // Both outcomes must occur, or the damage was not what it was meant to be.
  CHECK(readable > 50);
  CHECK(readable < 299);
}
