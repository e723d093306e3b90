// Wrong "sensor" blocks are refused with the place of the mistake; made-up ones are all good.
#include <catch2/catch.hpp>

#include "samples/render/script.h"
#include "tests/simulate/made_log.h"

using Catch::Contains;

TEST_CASE("a misspelt or impossible field of the sensor is named", "[simulate][bad-input]") {
  CHECK_THROWS_WITH(simulate::parse_sensor(R"({"sensor": {"rate": 3}})", "a.json"),
                    Contains("a.json.sensor.rate") && Contains("rate_hz"));
  CHECK_THROWS_WITH(simulate::parse_sensor(R"({"sensor": {"rate_hz": -3}})", "a.json"),
                    Contains("a.json.sensor.rate_hz") && Contains("out of range"));
  CHECK_THROWS_WITH(simulate::parse_sensor(R"({"sensor": {"mount": {"place": "knee"}}})", "a.json"),
                    Contains("a.json.sensor.mount.place") && Contains("sleeve"));
  CHECK_THROWS_WITH(
      simulate::parse_sensor(R"({"sensor": {"file": {"decimal_comma": true}}})", "a.json"),
      Contains("delimiter"));
  CHECK_THROWS_WITH(simulate::parse_sensor("{", "a.json"), Contains("a.json"));
  CHECK_THROWS_WITH(simulate::read_sensor("no/such.json"), Contains("no/such.json"));
}

TEST_CASE("a scene with a sensor still makes its clip", "[simulate]") {
  CHECK_NOTHROW(render::parse_scene(R"({"sensor": {"rate_hz": 100}})", "a.json"));
}

TEST_CASE("every made-up sensor is a good one, and the same each time", "[simulate]") {
  for (std::uint64_t seed = 1; seed <= 100; ++seed)
    for (const bool hard : {false, true}) {
      CAPTURE(seed, hard);
      const std::string text = simulate::random_log_scene(seed, hard);
      CHECK(text == simulate::random_log_scene(seed, hard));
      const render::Scene scene = render::parse_scene(text, "made up");
      const simulate::SensorSpec spec = simulate::parse_sensor(text, "made up");
      if (seed > 8) continue;
      const simulate::SimulatedLog log = simulate::simulate_log(scene, spec);
      CHECK(log.truth.reps.size() >= 3);
      CHECK(log.rows.size() > 100);
    }
}
