// The file a logger writes, read by eye: each habit the reader must understand, in one line.
#include <catch2/catch.hpp>

#include "tests/simulate/made_log.h"

using Catch::Contains;
using Catch::EndsWith;
using Catch::StartsWith;

namespace {

simulate::SensorSpec level(double rate_hz) {
  simulate::SensorSpec spec = made::perfect(rate_hz);
  spec.mount.angles_deg = std::array{0.0, 0.0, 0.0};  // y up
  return spec;
}

}  // namespace

TEST_CASE("columns and units are written as asked", "[simulate]") {
  simulate::SensorSpec spec = level(50.0);
  SECTION("plain") {
    const auto lines = made::lines_of(made::resting(1.0), spec);
    CHECK(lines[0] == "time_s,ax_mps2,ay_mps2,az_mps2,gx_radps,gy_radps,gz_radps");
    CHECK_THAT(lines[2], StartsWith("0.0200,0.00000,9.80665,0.00000,"));
  }
  SECTION("decimal commas, semicolons, g and degrees, without a gyroscope") {
    spec.gyroscope = false;
    spec.file = {.delimiter = ";", .decimal_comma = true, .time = "ms", .accel_unit = "g"};
    spec.file.header = "words";
    const auto lines = made::lines_of(made::resting(1.0), spec);
    CHECK(lines[0] == "Elapsed time (ms);Acceleration x (g);Acceleration y (g);Acceleration z (g)");
    CHECK(lines[2] == "20;0,00000;1,00000;0,00000");
  }
  SECTION("times of day with dates") {
    spec.gyroscope = false;
    spec.file.started_unix_s = 1700000000.0;  // 2023-11-14 22:13:20 UTC
    spec.file.time = "iso";
    CHECK_THAT(made::lines_of(made::resting(1.0), spec)[2],
               StartsWith("2023-11-14T22:13:20.020Z,"));
    spec.file.time = "epoch_ms";
    CHECK_THAT(made::lines_of(made::resting(1.0), spec)[2], StartsWith("1700000000020,"));
    spec.file.time = "clock";
    CHECK_THAT(made::lines_of(made::resting(1.0), spec)[2], StartsWith("22:13:20.020,"));
  }
  SECTION("everything a spreadsheet may do to it") {
    spec.file = {.delimiter = "\t", .header = "short"};
    spec.file.quoted = spec.file.crlf = spec.file.byte_order_mark = spec.file.comments = true;
    spec.file.extra_columns = spec.file.gyro_first = spec.file.magnitude = true;
    const auto lines = made::lines_of(made::resting(1.0), spec);
    CHECK_THAT(lines[0], StartsWith("\xEF\xBB\xBF# ") && EndsWith("\r"));
    CHECK(lines[3] ==
          "\"row\"\t\"t\"\t\"gx\"\t\"gy\"\t\"gz\"\t\"ax\"\t\"ay\"\t\"az\"\t\"magnitude\"\t"
          "\"temperature_c\"\t\"battery_v\"\r");
    CHECK_THAT(lines[4], StartsWith("\"1\"\t\"0.0000\"\t\"0.00000\"") && Contains("\"9.80665\""));
  }
  SECTION("no header and no time") {
    spec.file.header = spec.file.time = "none";
    CHECK_THAT(made::lines_of(made::resting(1.0), spec)[0], StartsWith("0.00000,9.80665,"));
  }
}

TEST_CASE("a gyroscope's own file has its own rows", "[simulate]") {
  simulate::SensorSpec spec = level(50.0);
  spec.file.gyro_file = true;
  spec.clock.gyro_late_s = 0.007;
  const simulate::SimulatedLog log = simulate::simulate_log(made::resting(1.0), spec);
  REQUIRE(log.gyro_rows.size() >= log.rows.size() - 1);
  CHECK(log.gyro_rows[0].stamp_s == Approx(0.007));
  CHECK(simulate::gyro_path("a/squat.csv") == "a/squat.gyro.csv");
}
