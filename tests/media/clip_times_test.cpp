// Presentation times against ffprobe, which reads the same containers by its own program, and
// against the times the clips were made with.
#include <algorithm>
#include <array>
#include <cstring>
#include <fstream>

#include <catch2/catch.hpp>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

const std::string kPattern = "-f lavfi -i testsrc=size=64x48:rate=30:duration=1 ";

// Every picture's stamp is ffprobe's, and its seconds are the ticks' difference.
void check_against_probe(const std::string& path, double factor = 1.0) {
  ClipReader clip(path);
  const std::vector<Frame> frames = read_all(clip);
  const std::vector<std::int64_t> expected = probed_stamps(path);
  REQUIRE(!expected.empty());
  REQUIRE(frames.size() == expected.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    CAPTURE(i);
    CHECK(frames[i].index == static_cast<std::int64_t>(i));
    CHECK(frames[i].stamp.ticks == expected[i]);
    CHECK_FALSE(frames[i].stamp_repaired);
    const double seconds = static_cast<double>(expected[i] - expected[0]) *
                           frames[i].stamp.base.num / frames[i].stamp.base.den;
    CHECK(frames[i].t_s == Approx(seconds / factor).epsilon(1e-15).margin(1e-15));
  }
  CHECK(clip.fraction_read() > 0.8);
}

}  // namespace

TEST_CASE("constant rate clips keep their stamps in every container", "[media][times]") {
  const Folder folder;
  const std::string name =
      GENERATE("a.mp4", "a.mov", "a.mkv", "a.ts", "a.avi", "a.3gp", "a.flv", "a.mpg");
  CAPTURE(name);
  const std::string codec = name == "a.mpg" ? "-c:v mpeg2video " : "-c:v libx264 -bf 2 ";
  ffmpeg(kPattern + codec + "-pix_fmt yuv420p " + (folder / name));
  if (name == "a.avi") {  // carries no presentation times for reordered pictures: they are guessed
    ClipReader clip(folder / name);
    const std::vector<Frame> frames = read_all(clip);
    REQUIRE(frames.size() == 30);
    for (std::size_t i = 0; i < frames.size(); ++i) {
      CHECK(frames[i].t_s == Approx(static_cast<double>(i) / 30.0).margin(1e-9));
    }
  } else {
    check_against_probe(folder / name);
  }
}

TEST_CASE("uneven times come out as they were put in", "[media][times]") {
  const Folder folder;
  const std::string name = GENERATE("vfr.mp4", "vfr.mkv");
  // Every seventh picture dropped, the others up to 4 ms late: a phone in poor light.
  const std::string filter =
      "-vf \"select='mod(n\\,7)',settb=1/90000,setpts='PTS+mod(N*97\\,360)'\" -vsync passthrough ";
  ffmpeg(kPattern + filter + "-enc_time_base 1:90000 -c:v libx264 -pix_fmt yuv420p " +
         (folder / name));
  check_against_probe(folder / name);

  ClipReader clip(folder / name);
  const std::vector<Frame> frames = read_all(clip);
  const double tick_s = name == "vfr.mkv" ? 0.001 : 1.0 / 90000.0;
  std::vector<double> expected_s;
  for (int n = 0; n < 30; ++n) {
    if (n % 7 == 0) continue;
    const auto kept = static_cast<int>(expected_s.size());
    expected_s.push_back(n / 30.0 + (kept * 97 % 360) / 90000.0);
  }
  REQUIRE(frames.size() == expected_s.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    CHECK(frames[i].t_s == Approx(expected_s[i] - expected_s[0]).margin(tick_s));
  }
}

TEST_CASE("NTSC times are exact to the tick", "[media][times]") {
  const Folder folder;
  ffmpeg(
      "-f lavfi -i testsrc=size=64x48:rate=60000/1001:duration=1 -c:v libx264 -pix_fmt yuv420p " +
      (folder / "ntsc.mp4"));
  check_against_probe(folder / "ntsc.mp4");
  ClipReader clip(folder / "ntsc.mp4");
  const std::vector<Frame> frames = read_all(clip);
  CHECK(frames.at(59).t_s == Approx(59 * 1001.0 / 60000.0).epsilon(1e-15));
}

TEST_CASE("a late clock and a cut by edit list start at zero", "[media][times]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -g 10 -bf 2 -pix_fmt yuv420p " + (folder / "whole.mp4"));
  ffmpeg("-ss 0.4 -i " + (folder / "whole.mp4") + " -c copy " + (folder / "cut.mp4"));
  ffmpeg("-i " + (folder / "whole.mp4") + " -c copy -output_ts_offset 36000 " +
         (folder / "late.mkv"));
  for (const char* name : {"cut.mp4", "late.mkv"}) {
    CAPTURE(name);
    check_against_probe(folder / name);
    ClipReader clip(folder / name);
    const std::vector<Frame> frames = read_all(clip);
    CHECK(frames.front().t_s == 0.0);
    CHECK(clip.notes().empty());
  }
}

TEST_CASE("sound beside the pictures changes nothing", "[media][times]") {
  const Folder folder;
  ffmpeg(kPattern + "-f lavfi -i sine=duration=1 -c:v libx264 -pix_fmt yuv420p -c:a aac " +
         (folder / "sound.mp4"));
  check_against_probe(folder / "sound.mp4");
}

TEST_CASE("cover art is not the clip", "[media][times]") {
  const Folder folder;
  ffmpeg("-f lavfi -i testsrc=size=640x480:rate=1:duration=1 -frames:v 1 " + (folder / "c.jpg"));
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "a.mp4"));
  ffmpeg("-i " + (folder / "c.jpg") + " -i " + (folder / "a.mp4") +
         " -map 0 -map 1 -c copy -disposition:v:0 attached_pic " + (folder / "covered.mp4"));
  ClipReader clip(folder / "covered.mp4");
  CHECK(clip.info().width_px == 64);
  CHECK(read_all(clip).size() == 30);
}

TEST_CASE("a bare stream without times follows the rate it states, and says so", "[media][times]") {
  const Folder folder;
  ffmpeg("-f lavfi -i testsrc=size=64x48:rate=50:duration=1 -c:v libx264 -bf 2 -pix_fmt yuv420p " +
         (folder / "bare.h264"));
  ClipReader clip(folder / "bare.h264");
  const std::vector<Frame> frames = read_all(clip);
  REQUIRE(frames.size() == 50);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    CHECK(frames[i].stamp_repaired);
    CHECK(frames[i].t_s == Approx(static_cast<double>(i) / 50.0).margin(1e-6));
  }
  CHECK(any_note_says(clip.notes(), "50 pictures a second were assumed"));
}

TEST_CASE("repeated stamps in a file become times in between", "[media][times]") {
  const Folder folder;
  // Pictures 10 and 11 share a stamp.
  ffmpeg(kPattern + "-c:v mjpeg -pix_fmt yuvj420p " + (folder / "once.mkv"));
  ffmpeg("-i " + (folder / "once.mkv") +
         " -c copy -bsf:v \"setts=ts='if(eq(N\\,11)\\,PREV_INPTS\\,TS)'\" " +
         (folder / "twice.mkv"));
  const std::vector<std::int64_t> probed = probed_stamps(folder / "twice.mkv");
  REQUIRE(probed.at(10) == probed.at(11));  // else the clip is not what this test is about
  ClipReader clip(folder / "twice.mkv");
  const std::vector<Frame> frames = read_all(clip);
  REQUIRE(frames.size() == 30);
  CHECK(frames[11].stamp_repaired);
  CHECK(frames[11].t_s == Approx((frames[10].t_s + frames[12].t_s) / 2));
  CHECK(any_note_says(clip.notes(), "1 picture had a time out of order"));
}

TEST_CASE("slow motion is undone by the file's own tag or the given rate", "[media][slow-motion]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "plain.mp4"));
  const auto tagged = [&](const std::string& rate) {
    ffmpeg("-i " + (folder / "plain.mp4") +
           " -c copy -movflags use_metadata_tags -metadata "
           "com.android.capture.fps=" +
           rate + " " + (folder / "tagged.mp4"));
    return ClipReader(folder / "tagged.mp4");
  };

  ClipReader slowed = tagged("240.000000");
  CHECK(slowed.info().slow_motion_factor == 8.0);
  CHECK(read_all(slowed).at(29).t_s == Approx(29.0 / 240.0).epsilon(1e-12));
  CHECK(any_note_says(slowed.notes(), "divided by 8"));
  CHECK(slowed.notes().front().kind == NoteKind::kDecision);

  ClipReader real_time = tagged("30.000000");
  CHECK(real_time.info().slow_motion_factor == 1.0);
  CHECK(read_all(real_time).at(29).t_s == Approx(29.0 / 30.0).epsilon(1e-12));
  CHECK(real_time.notes().empty());

  ClipReader given(folder / "plain.mp4", {.capture_rate_hz = 120.0});
  CHECK(given.info().slow_motion_factor == 4.0);
  CHECK(read_all(given).at(29).t_s == Approx(29.0 / 120.0).epsilon(1e-12));

  // What the coach says outweighs the tag.
  tagged("240.000000");
  ClipReader overruled(folder / "tagged.mp4", {.capture_rate_hz = 30.0});
  CHECK(overruled.info().slow_motion_factor == 1.0);
}

TEST_CASE("the container tells when it was recorded, unless its clock was never set", "[media]") {
  const Folder folder;
  const auto recorded_at = [&](const std::string& tag) {
    const std::string path = folder / "clip.mp4";
    ffmpeg("-f lavfi -i testsrc2=size=64x64:rate=10:duration=0.5 " + tag + " '" + path + "'");
    return ClipReader(path).info().recorded_at;
  };
  // MP4 keeps whole seconds; FFmpeg tells them with six decimals.
  CHECK(recorded_at("-metadata creation_time=2031-03-07T16:05:00Z") ==
        "2031-03-07T16:05:00.000000Z");
  CHECK(recorded_at("-metadata creation_time=1970-01-01T00:00:10Z").empty());
  CHECK(recorded_at("").empty());
}

TEST_CASE("a capture rate below the stored one is refused", "[media][slow-motion][bad-input]") {
  const Folder folder;
  ffmpeg(kPattern + "-c:v libx264 -pix_fmt yuv420p " + (folder / "plain.mp4"));
  const double rate = GENERATE(10.0, 0.0, -240.0, std::numeric_limits<double>::quiet_NaN());
  CHECK_THROWS_WITH(ClipReader(folder / "plain.mp4", {.capture_rate_hz = rate}),
                    Catch::Contains("capture rate") && Catch::Contains("plain.mp4"));
}

// AddressSanitizer keeps freed memory back on purpose, so there is nothing to see under it.
#ifndef __SANITIZE_ADDRESS__
TEST_CASE("memory does not grow with the clip", "[media]") {
  const auto resident_kb = [] {
    std::ifstream statm("/proc/self/statm");
    long pages = 0;
    long resident = 0;
    statm >> pages >> resident;
    return resident * (::sysconf(_SC_PAGESIZE) / 1024);
  };
  const Folder folder;
  ffmpeg(
      "-f lavfi -i testsrc=size=320x240:rate=60:duration=40 -c:v libx264 -preset ultrafast "
      "-pix_fmt yuv420p " +
      (folder / "long.mp4"));
  ClipReader clip(folder / "long.mp4");
  long early = 0;
  std::int64_t count = 0;
  while (const auto frame = clip.next()) {
    if (++count == 300) early = resident_kb();
  }
  CHECK(count == 2400);
  // 2100 more pictures would be 240 MB; a few MB of allocator noise are allowed.
  CHECK(resident_kb() - early < 8 * 1024);
}
#endif
