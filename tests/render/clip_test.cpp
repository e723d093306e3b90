// What the container says, read by ffprobe, against the truth; and the same scene twice.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <catch2/catch.hpp>

#include "tests/render/made_clip.h"

using Catch::Matchers::WithinAbs;

namespace {

std::string small_scene(const std::string& capture, const std::string& more = "") {
  return R"({"camera": {"width_px": 320, "height_px": 240, "focal_px": 320},
    "capture": {"preset": "ultrafast")" +
         capture + R"(},
    "motion": {"sets": [{"reps": 0, "before_s": 0.5, "after_s": 0.5, "walk_out": false}]})" +
         more + "}";
}

std::vector<double> stamps_of(const MadeClip& clip) {
  std::vector<double> out;
  for (const std::string& line : probed(clip, "frame=pts_time")) out.push_back(std::stod(line));
  return out;
}

std::string bytes_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("stamps in the container are the truth's, also when irregular", "[render]") {
  const std::string capture =
      GENERATE(R"(, "frame_rate_hz": 29.97)",
               R"(, "frame_rate_hz": 59.94)",
               R"(, "frame_rate_hz": 30, "stamp_jitter_s": 0.005, "dropped_share": 0.1)",
               R"(, "frame_rate_hz": 30, "dropped_share": 0.1, "delivered_rate_hz": 60)");
  CAPTURE(capture);
  const MadeClip clip = made_clip("stamps", small_scene(capture));
  const std::vector<double> stamps = stamps_of(clip);
  REQUIRE(stamps.size() == clip.truth.frames.size());
  for (std::size_t i = 0; i < stamps.size(); ++i)  // ffprobe prints microseconds
    CHECK_THAT(stamps[i] - stamps[0], WithinAbs(clip.truth.frames[i].stamp_s, 1.1e-6));
}

TEST_CASE("a clip brought to another rate shows the picture nearest in time", "[render]") {
  const double delivered_hz = GENERATE(24.0, 60.0);
  const MadeClip clip = made_clip("delivered",
                                  small_scene(R"(, "frame_rate_hz": 30, "delivered_rate_hz": )" +
                                              std::to_string(delivered_hz)));
  REQUIRE(clip.truth.frames.size() > 20);
  for (std::size_t i = 0; i < clip.truth.frames.size(); ++i) {
    const auto& frame = clip.truth.frames[i];
    CHECK_THAT(frame.stamp_s, WithinAbs(static_cast<double>(i) / delivered_hz, 1e-9));
    CHECK_THAT(frame.t_s * 30.0, WithinAbs(std::round(frame.t_s * 30.0), 1e-6));
    CHECK(std::abs(frame.t_s - frame.stamp_s) < 0.5 / 30.0 + 1e-9);
  }
}

TEST_CASE("29.97 means 30000/1001", "[render]") {
  const MadeClip clip = made_clip("ntsc", small_scene(R"(, "frame_rate_hz": 29.97)"));
  CHECK_THAT(clip.truth.frames.at(20).t_s, WithinAbs(20.0 * 1001.0 / 30000.0, 1e-12));
}

TEST_CASE("slow motion is stored slowed and the truth speaks of real time", "[render]") {
  const MadeClip clip = made_clip(
      "slow",
      small_scene(R"(, "frame_rate_hz": 240, "stored_rate_hz": 30, "slow_motion_tag": true)"));
  const std::vector<double> stamps = stamps_of(clip);
  REQUIRE(stamps.size() == clip.truth.frames.size());
  CHECK_THAT(stamps.back() - stamps[0], WithinAbs(8.0 * clip.truth.frames.back().t_s, 2e-6));
  const auto tag = probed(clip, "format_tags=com.android.capture.fps");
  REQUIRE(tag.size() == 1);
  CHECK_THAT(std::stod(tag[0]), WithinAbs(240.0, 1e-6));
}

TEST_CASE("a turned clip is stored on its side and shown upright", "[render]") {
  struct Row {
    int turn;
    std::string stored, rotation;
  };
  // ffprobe counts the other way round, from -180 to 180.
  const auto row =
      GENERATE(Row{90, "240,320", "-90"}, Row{180, "320,240", "-180"}, Row{270, "240,320", "90"});
  CAPTURE(row.turn);
  const std::string turned = ", \"rotation_deg\": " + std::to_string(row.turn);
  const std::string plain = R"(, "frame_rate_hz": 10, "noise_sigma": 0, "crf": 0)";
  const MadeClip clip = made_clip("turned", small_scene(plain + turned));
  CHECK(probed(clip, "stream=width,height").at(0).rfind(row.stored, 0) == 0);
  CHECK(probed(clip, "stream_side_data=rotation").at(0).rfind(row.rotation, 0) == 0);
  // ffmpeg turns it on decoding: the very pixels of the same clip stored upright.
  CHECK(luma_of(clip).front() == luma_of(made_clip("upright", small_scene(plain))).front());
}

TEST_CASE("every codec makes a clip that decodes to all its frames", "[render]") {
  struct Row {
    std::string codec, ending;
  };
  const auto row = GENERATE(Row{"h264", ".mkv"},
                            Row{"hevc", ".mp4"},
                            Row{"vp9", ".webm"},
                            Row{"mpeg4", ".avi"},
                            Row{"mjpeg", ".avi"},
                            Row{"mjpeg", ".mkv"});
  CAPTURE(row.codec, row.ending);
  const MadeClip clip = made_clip(
      "codec", small_scene(R"(, "frame_rate_hz": 10, "codec": ")" + row.codec + '"'), row.ending);
  CHECK(luma_of(clip).size() == clip.truth.frames.size());
}

TEST_CASE("the same scene gives the same clip, byte for byte", "[render]") {
  struct Row {
    std::string coding, ending;
  };
  const auto row = GENERATE(Row{R"("frame_rate_hz": 20)", ".mp4"},
                            Row{R"("frame_rate_hz": 20)", ".mkv"},
                            Row{R"("frame_rate_hz": 20, "codec": "vp9")", ".webm"},
                            Row{R"("frame_rate_hz": 240, "bit_rate_bps": 300000)", ".mp4"});
  CAPTURE(row.coding, row.ending);
  const std::string small = small_scene(", " + row.coding, R"(, "tremor_px": 2)");
  const MadeClip a = made_clip("one", small, row.ending), b = made_clip("two", small, row.ending);
  CHECK(bytes_of(a.path) == bytes_of(b.path));
}

TEST_CASE("the same seed makes up the same scene, another seed another", "[render]") {
  const std::string scene = render::random_scene(4, false);
  CHECK(render::random_scene(4, false) == scene);
  CHECK(render::random_scene(5, false) != scene);
}

TEST_CASE("what is written as truth reads back the same", "[render]") {
  const MadeClip clip = made_clip("truth", small_scene(R"(, "frame_rate_hz": 10)"));
  const std::string path = clip.path + ".json";
  render::write_truth(clip.truth, path);
  const render::ClipTruth back = render::read_truth(path);
  REQUIRE(back.frames.size() == clip.truth.frames.size());
  CHECK(back.frames[3].height_m == clip.truth.frames[3].height_m);
  CHECK(back.frames[3].rim_centre.x == clip.truth.frames[3].rim_centre.x);
}
