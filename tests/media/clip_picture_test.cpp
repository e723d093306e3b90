// Picture content against the ffmpeg program's own decoding and its own turning for display.
// Luma is compared byte for byte: the same decoder libraries leave no room for a tolerance.
#include <cstdlib>

#include <catch2/catch.hpp>

#include "libkinetics/media/clip_reader.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

const std::string kPattern = "-f lavfi -i testsrc=size=64x48:rate=30:duration=0.4 ";

std::string luma_of(const std::string& path) {
  ClipReader clip(path);
  std::string bytes;
  for (const Frame& frame : read_all(clip)) bytes += bytes_of(frame.luma);
  return bytes;
}

// Writes another display matrix into an MP4's only track header (ISO/IEC 14496-12: 40 bytes after
// the type of a version 0 'tkhd' box; from memory, and ffprobe shows the same).
void set_display_matrix(const std::string& path, int a, int b, int c, int d) {
  std::string bytes = slurp(path);
  const std::size_t header = bytes.find("tkhd");
  REQUIRE(header != std::string::npos);
  const auto put = [&](int place, int value) {
    const auto fixed = static_cast<std::uint32_t>(value * 65536);
    for (int i = 0; i < 4; ++i) {
      bytes[header + 4 + 40 + static_cast<std::size_t>(4 * place + i)] =
          static_cast<char>(fixed >> (24 - 8 * i));
    }
  };
  put(0, a);
  put(1, b);
  put(3, c);
  put(4, d);
  spill(path, bytes);
}

}  // namespace

TEST_CASE("luma is the decoder's own for every codec", "[media][picture]") {
  struct Coded {
    std::string name;
    std::string encoder;
    std::string options;
    std::string codec;
  };
  const Coded coded = GENERATE(values<Coded>(
      {{"h264.mp4", "libx264", "-pix_fmt yuv420p", "h264"},
       {"h264-444.mkv", "libx264", "-pix_fmt yuv444p", "h264"},
       {"hevc.mp4", "libx265", "-pix_fmt yuv420p -x265-params log-level=0", "hevc"},
       {"vp9.webm", "libvpx-vp9", "-pix_fmt yuv420p -deadline realtime", "vp9"},
       {"av1.mp4", "libaom-av1", "-cpu-used 8 -usage realtime -pix_fmt yuv420p", "av1"},
       {"mpeg4.avi", "mpeg4", "-pix_fmt yuv420p", "mpeg4"},
       {"mjpeg.mov", "mjpeg", "-pix_fmt yuvj422p", "mjpeg"},
       {"grey.mkv", "ffv1", "-pix_fmt gray", "ffv1"},
       {"nv12.avi", "rawvideo", "-pix_fmt nv12", "rawvideo"}}));
  CAPTURE(coded.name);
  if (!ffmpeg_has_encoder(coded.encoder)) {
    WARN("this ffmpeg has no " << coded.encoder << ": " << coded.name << " is not tested");
    return;
  }
  const Folder folder;
  const std::string path = folder / coded.name;
  ffmpeg(kPattern + "-c:v " + coded.encoder + " " + coded.options + " " + path);
  ClipReader clip(path);
  CHECK(clip.info().codec == coded.codec);
  CHECK(clip.info().bit_depth == 8);
  const std::string ours = luma_of(path);
  CHECK(ours.size() == 12U * 64U * 48U);
  CHECK((ours == ffmpeg_luma(path)));
}

TEST_CASE("deep luma keeps its high eight bits", "[media][picture]") {
  const auto [name, options, depth] = GENERATE(table<std::string, std::string, int>(
      {{"hevc10.mp4", "-c:v libx265 -x265-params log-level=0 -pix_fmt yuv420p10le", 10},
       {"h26410.mp4", "-c:v libx264 -pix_fmt yuv420p10le", 10},
       {"vp910.webm", "-c:v libvpx-vp9 -deadline realtime -pix_fmt yuv422p12le", 12},
       {"grey16.mkv", "-c:v ffv1 -pix_fmt gray16le", 16}}));
  CAPTURE(name);
  const Folder folder;
  ffmpeg(kPattern + options + " " + (folder / name));
  ClipReader clip(folder / name);
  CHECK(clip.info().bit_depth == depth);
  const std::string deep = ffmpeg_luma(folder / name);
  std::string expected;
  for (std::size_t i = 0; i + 1 < deep.size(); i += 2) {
    const int word = static_cast<std::uint8_t>(deep[i]) | static_cast<std::uint8_t>(deep[i + 1])
                                                              << 8;
    expected.push_back(static_cast<char>(word >> (depth - 8)));
  }
  CHECK((luma_of(folder / name) == expected));
}

TEST_CASE("pictures without a luma plane are turned into grey", "[media][picture]") {
  // testsrc2 in colours; grey after ITU-R BT.601, 0.299 R + 0.587 G + 0.114 B, which both
  // programs round in their own way: two levels allowed.
  const auto [name, options] =
      GENERATE(table<std::string, std::string>({{"rgb.mov", "-c:v png -pix_fmt rgb24"},
                                                {"palette.mov", "-c:v png -pix_fmt pal8"},
                                                {"rgb.mkv", "-c:v ffv1 -pix_fmt bgr0"},
                                                {"deep.mov", "-c:v png -pix_fmt rgb48be"}}));
  CAPTURE(name);
  const Folder folder;
  ffmpeg("-f lavfi -i testsrc2=size=64x48:rate=30:duration=0.2 " + options + " " + (folder / name));
  const std::string rgb_path = folder / "rgb.raw";
  ffmpeg("-i " + (folder / name) + " -pix_fmt rgb24 -f rawvideo " + rgb_path);
  const std::string rgb = slurp(rgb_path);
  const std::string grey = luma_of(folder / name);
  REQUIRE(rgb.size() == 3 * grey.size());
  int worst = 0;
  for (std::size_t i = 0; i < grey.size(); ++i) {
    const auto part = [&](std::size_t k) { return double(std::uint8_t(rgb[3 * i + k])); };
    const double expected = 0.299 * part(0) + 0.587 * part(1) + 0.114 * part(2);
    worst = std::max(worst, std::abs(int(std::uint8_t(grey[i])) - int(expected + 0.5)));
  }
  CHECK(worst <= 2);
}

TEST_CASE("turned and mirrored clips look as ffmpeg shows them", "[media][picture]") {
  const auto [a, b, c, d] = GENERATE(table<int, int, int, int>(
      {{1, 0, 0, 1}, {0, 1, -1, 0}, {-1, 0, 0, -1}, {0, -1, 1, 0}, {-1, 0, 0, 1}, {1, 0, 0, -1}}));
  CAPTURE(a, b, c, d);
  const Folder folder;
  const std::string path = folder / "turned.mp4";
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + path);
  set_display_matrix(path, a, b, c, d);
  ClipReader clip(path);
  CHECK(clip.info().width_px == (a != 0 ? 64 : 48));
  CHECK((luma_of(path) == ffmpeg_luma(path)));
}

TEST_CASE("mirrored quarter turns show what the display matrix says", "[media][picture]") {
  // Expected pictures from ffmpeg's own filters, applied to the plain clip: a mirror left to
  // right, then the quarter turn. (Its automatic turning is known to differ between versions here.)
  const auto [b, c, filter] = GENERATE(table<int, int, std::string>(
      {{1, 1, "hflip,transpose=cclock"}, {-1, -1, "hflip,transpose=clock"}}));
  CAPTURE(b, c, filter);
  const Folder folder;
  const std::string path = folder / "mirrored.mp4";
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + path);
  const std::string expected = ffmpeg_luma(path, filter);
  set_display_matrix(path, 0, b, c, 0);
  ClipReader clip(path);
  CHECK(clip.info().mirrored);
  CHECK((luma_of(path) == expected));
}

TEST_CASE("the pixel's shape turns with the picture", "[media][picture]") {
  const Folder folder;
  const std::string path = folder / "wide.mp4";
  ffmpeg(
      "-f lavfi -i testsrc=size=64x48:rate=30:duration=0.2,setsar=4/3 -c:v libx264 "
      "-pix_fmt yuv420p " +
      path);
  CHECK(ClipReader(path).info().pixel_aspect == Approx(4.0 / 3.0));
  set_display_matrix(path, 0, 1, -1, 0);
  ClipReader clip(path);
  CHECK(clip.info().pixel_aspect == Approx(3.0 / 4.0));
  CHECK(clip.info().rotation_deg == 90);
  CHECK(clip.info().readout == ReadoutDirection::kLeft);
  const ColourPicture upright = to_colour(clip.next().value(), clip.info());
  CHECK(upright.width_px == 48);
  CHECK(upright.height_px == 85);  // 64 / (3/4)
}

TEST_CASE("a frame keeps its pixels after the reader is gone", "[media][picture]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "a.mp4"));
  std::vector<Frame> frames;
  {
    ClipReader clip(folder / "a.mp4");
    frames = read_all(clip);
  }
  std::string bytes;
  for (const Frame& frame : frames) bytes += bytes_of(frame.luma);
  CHECK((bytes == ffmpeg_luma(folder / "a.mp4")));
}

TEST_CASE("colour pictures match ffmpeg's conversion", "[media][picture]") {
  const Folder folder;
  const std::string path = folder / "colour.mp4";
  // Broad areas of flat colour: chroma is interpolated differently at edges, so the mean counts.
  ffmpeg(
      "-f lavfi -i smptebars=size=320x240:rate=30:duration=0.1 -c:v libx264 -qp 4 "
      "-pix_fmt yuv420p " +
      path);
  set_display_matrix(path, 0, 1, -1, 0);
  ffmpeg("-i " + path + " -frames:v 1 -pix_fmt bgr24 -f rawvideo " + (folder / "bgr.raw"));
  const std::string expected = slurp(folder / "bgr.raw");
  ClipReader clip(path);
  const ColourPicture picture = to_colour(clip.next().value(), clip.info());
  REQUIRE(picture.width_px == 240);
  REQUIRE(picture.bgr.size() == expected.size());
  double sum = 0.0;
  for (std::size_t i = 0; i < expected.size(); ++i) {
    sum += std::abs(int(picture.bgr[i]) - int(std::uint8_t(expected[i])));
  }
  CHECK(sum / static_cast<double>(expected.size()) < 1.0);
  const ColourPicture small = to_colour(ClipReader(path).next().value(), clip.info(), 160);
  CHECK(small.height_px == 160);
  CHECK(small.width_px == 120);
}
