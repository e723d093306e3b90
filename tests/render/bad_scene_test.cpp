// Wrong scenes are refused with the place of the mistake; made-up ones are all good.
#include <catch2/catch.hpp>

#include "samples/render/scene.h"
#include "samples/render/script.h"

using Catch::Contains;

TEST_CASE("a misspelt field is named, with the ones there are", "[render][bad-input]") {
  CHECK_THROWS_WITH(render::parse_scene(R"({"camera": {"yaw": 3}})", "a.json"),
                    Contains("a.json.camera.yaw") && Contains("yaw_deg"));
}

TEST_CASE("values of the wrong kind or size are named", "[render][bad-input]") {
  CHECK_THROWS_WITH(render::parse_scene(R"({"camera": {"yaw_deg": "left"}})", "a.json"),
                    Contains("a.json.camera.yaw_deg"));
  CHECK_THROWS_WITH(render::parse_scene(R"({"camera": {"width_px": 641}})", "a.json"),
                    Contains("even"));
  CHECK_THROWS_WITH(render::parse_scene(R"({"capture": {"frame_rate_hz": 0}})", "a.json"),
                    Contains("a.json.capture.frame_rate_hz") && Contains("out of range"));
  CHECK_THROWS_WITH(render::parse_scene("{", "a.json"), Contains("a.json"));
  CHECK_THROWS_WITH(render::read_scene("no/such/scene.json"), Contains("no/such/scene.json"));
}

TEST_CASE("a lift that does not exist is named", "[render][bad-input]") {
  render::MotionSpec spec;
  spec.sets = {{.lift = "curl"}};
  CHECK_THROWS_WITH(render::script_motion(spec, 1), Contains("curl") && Contains("deadlift"));
}

TEST_CASE("every made-up scene is a good scene", "[render]") {
  for (std::uint64_t seed = 1; seed <= 200; ++seed)
    for (const bool hard : {false, true}) {
      CAPTURE(seed, hard);
      const render::Scene scene = render::parse_scene(render::random_scene(seed, hard), "made up");
      const render::BarMotion bar = render::script_motion(scene.motion, scene.seed);
      CHECK(bar.reps.size() >= 3);
      CHECK(bar.end_s < 90.0);
    }
}
