// Options that make no sense are refused before any picture is decoded, by name. The bounds are the
// project's own (common sense, no source).
#include "libkinetics/session/options.h"

#include <functional>
#include <limits>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/session/analyse.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using Catch::Contains;

namespace {

ClipInfo clip_of_20_s() {
  ClipInfo clip;
  clip.path = "set.mp4";
  clip.width_px = 1920;
  clip.height_px = 1080;
  clip.duration_s = 20.0;
  return clip;
}

const ClipInfo kClip = clip_of_20_s();

AnalysisOptions changed(const std::function<void(AnalysisOptions&)>& change) {
  AnalysisOptions options;
  change(options);
  return options;
}

}  // namespace

TEST_CASE("the defaults make sense for any clip", "[session]") {
  CHECK_NOTHROW(check(AnalysisOptions{}, kClip));
}

TEST_CASE("an option that is out of range or not a number is named", "[session][bad-input]") {
  const double bad = GENERATE(-3.0, 1e9, std::numeric_limits<double>::quiet_NaN());
  const auto [name, set] = GENERATE_COPY(table<std::string, std::function<void(AnalysisOptions&)>>(
      {{"capture rate", [bad](auto& o) { o.clip.capture_rate_hz = bad; }},
       {"disc diameter", [bad](auto& o) { o.tracking.disc_diameter_m = bad; }},
       {"camera roll", [bad](auto& o) { o.tracking.camera_roll_rad = bad; }},
       {"readout", [bad](auto& o) { o.tracking.readout_s = bad; }},
       {"threshold", [bad](auto& o) { o.reps.threshold_mps = bad; }},
       {"least rise", [bad](auto& o) { o.reps.min_rise_m = bad; }},
       {"slowed loss", [bad](auto& o) { o.reps.slowed_loss = bad; }},
       {"set gap", [bad](auto& o) { o.reps.set_gap_s = bad; }}}));
  CAPTURE(name, bad);
  CHECK_THROWS_WITH(check(changed(set), kClip), Contains(name) && Contains("out of range"));
}

TEST_CASE("a seed outside the picture or after the end is refused", "[session][bad-input]") {
  const auto with_seed = [](double x_px, double y_px, double t_s) {
    return changed([&](auto& o) { o.tracking.seed = DiscSeed{{x_px, y_px}, t_s}; });
  };
  CHECK_NOTHROW(check(with_seed(0.0, 0.0, 0.0), kClip));
  CHECK_NOTHROW(check(with_seed(1919.0, 1079.0, 20.0), kClip));
  CHECK_THROWS_WITH(check(with_seed(1920.0, 500.0, 1.0), kClip), Contains("1920 pixels wide"));
  CHECK_THROWS_WITH(check(with_seed(500.0, 1080.0, 1.0), kClip), Contains("outside the picture"));
  CHECK_THROWS_WITH(check(with_seed(500.0, 500.0, 20.5), kClip), Contains("lasts 20.00 s"));
}

TEST_CASE("a seed's time counts in real seconds of a slowed clip", "[session]") {
  ClipInfo slowed = kClip;
  slowed.slow_motion_factor = 8.0;  // 20 s stored are 2.5 s of lifting
  const auto options = changed([](auto& o) { o.tracking.seed = DiscSeed{{5.0, 5.0}, 3.0}; });
  CHECK_THROWS_WITH(check(options, slowed), Contains("lasts 2.50 s"));
}

TEST_CASE("a bad seed is a matter of use, found before the clip is followed", "[session]") {
  const kinetics_test::Folder folder;
  const std::string clip = folder / "clip.mp4";
  kinetics_test::ffmpeg("-f lavfi -i testsrc2=size=320x240:rate=30:duration=1 " + clip);
  const auto options = changed([](auto& o) { o.tracking.seed = DiscSeed{{900.0, 5.0}, 0.0}; });
  try {
    (void)analyse_clip(clip, options);
    FAIL("no error");
  } catch (const Error& e) {
    CHECK(e.code() == ErrorCode::kUsage);
    CHECK_THAT(e.what(), Contains("320 pixels wide"));
  }
}
