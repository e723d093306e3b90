// What names of columns mean. The names are of our own making, after the ways people write them;
// common practice, no source. Units: SI brochure (BIPM, 9th edition), g by the 3rd CGPM, 1901.
#include <numbers>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/sensor/column_meaning.h"

using namespace kinetics::sensor_detail;

TEST_CASE("names of columns are understood by their words", "[sensor]") {
  struct Case {
    const char* name;
    Kind kind;
    int axis;
    const char* unit;
  };
  const auto c = GENERATE(values<Case>({
      {"t", Kind::kTime, -1, ""},
      {"Time", Kind::kTime, -1, ""},
      {"TIMESTAMP", Kind::kTime, -1, ""},
      {"timeStamp_ms", Kind::kTime, -1, "ms"},
      {"Time since start in ms", Kind::kTime, -1, "ms"},
      {"epoch (ms)", Kind::kTime, -1, "ms"},
      {"elapsed (s)", Kind::kTime, -1, "s"},
      {"seconds_elapsed", Kind::kTime, -1, "s"},
      {"micros", Kind::kTime, -1, "\xC2\xB5s"},
      {"ms", Kind::kTime, -1, "ms"},
      {"time [\xC2\xB5s]", Kind::kTime, -1, "\xC2\xB5s"},
      {"t/ns", Kind::kTime, -1, "ns"},
      {"Date/Time", Kind::kTime, -1, ""},
      {"date", Kind::kDate, -1, ""},
      {"sample", Kind::kIndex, -1, ""},
      {"Packet counter", Kind::kIndex, -1, ""},
      {"ax", Kind::kAcceleration, 0, ""},
      {"aY", Kind::kAcceleration, 1, ""},
      {"AccZ", Kind::kAcceleration, 2, ""},
      {"acc_x", Kind::kAcceleration, 0, ""},
      {"accel.y", Kind::kAcceleration, 1, ""},
      {"z acceleration", Kind::kAcceleration, 2, ""},
      {"accelerometerX", Kind::kAcceleration, 0, ""},
      {"Acceleration x (m/s^2)", Kind::kAcceleration, 0, "m/s\xC2\xB2"},
      {"acceleration_y_m_s2", Kind::kAcceleration, 1, "m/s\xC2\xB2"},
      {"x-axis (g)", Kind::kAcceleration, 0, "g"},
      {"Y [mg]", Kind::kAcceleration, 1, "mg"},
      {"gFz", Kind::kAcceleration, 2, ""},
      {"acceleration including gravity x", Kind::kAcceleration, 0, ""},
      {"linear acceleration x (m/s2)", Kind::kLinearAcceleration, 0, "m/s\xC2\xB2"},
      {"userAccelerationY", Kind::kLinearAcceleration, 1, ""},
      {"acc z without g", Kind::kLinearAcceleration, 2, ""},
      {"gravity_x", Kind::kGravity, 0, ""},
      {"gx", Kind::kRotationRate, 0, ""},
      {"wy", Kind::kRotationRate, 1, ""},
      {"\xCF\x89z (rad/s)", Kind::kRotationRate, 2, "rad/s"},
      {"gyro_x (deg/s)", Kind::kRotationRate, 0, "deg/s"},
      {"GyroY_dps", Kind::kRotationRate, 1, "deg/s"},
      {"Angular velocity z (\xC2\xB0/s)", Kind::kRotationRate, 2, "deg/s"},
      {"rotationRateX", Kind::kRotationRate, 0, ""},
      {"x (rad/s)", Kind::kRotationRate, 0, "rad/s"},
      {"x", Kind::kAxis, 0, ""},
      {"Z-Axis", Kind::kAxis, 2, ""},
      {"mx", Kind::kOther, 0, ""},
      {"mag_y", Kind::kOther, 1, ""},
      {"x (\xC2\xB5T)", Kind::kOther, 0, ""},
      {"acceleration magnitude", Kind::kOther, -1, ""},
      {"quaternion x", Kind::kOther, 0, ""},
      {"velocity (m/s)", Kind::kOther, -1, ""},
      {"battery (%)", Kind::kOther, -1, ""},
      {"temperature", Kind::kOther, -1, ""},
      {"position", Kind::kHeight, -1, ""},
      {"Height [mm]", Kind::kHeight, -1, "mm"},
      {"displacement_cm", Kind::kHeight, -1, "cm"},
      {"distance (m)", Kind::kHeight, -1, "m"},
      {"accelerometerTimestamp_sinceStart(s)", Kind::kTime, -1, "s"},
      {"Beschleunigung X (m/s\xC2\xB2)", Kind::kAcceleration, 0, "m/s\xC2\xB2"},
      {"acc\xC3\xA9l\xC3\xA9ration y", Kind::kAcceleration, 1, ""},
      {"Drehrate Z [\xC2\xB0/s]", Kind::kRotationRate, 2, "deg/s"},
      {"remark", Kind::kUnknown, -1, ""},
      {"", Kind::kUnknown, -1, ""},
  }));
  CAPTURE(c.name);
  const Meaning meaning = meaning_of(c.name);
  CHECK(meaning.kind == c.kind);
  CHECK(meaning.axis == c.axis);
  CHECK(meaning.unit.name == c.unit);
}

TEST_CASE("units are what the SI says they are", "[sensor]") {
  const auto si = [](const char* text) { return unit_in(text).in_si; };
  CHECK(si("g") == 9.80665);
  CHECK(si("mg") == Approx(9.80665e-3));
  CHECK(si("m/s^2") == 1.0);
  CHECK(si("m s^-2") == 1.0);
  CHECK(si("m\xC2\xB7s\xE2\x81\xBB\xC2\xB2") == 1.0);
  CHECK(si("m/s\xB2") == 1.0);  // Latin-1
  CHECK(si("Gal") == 0.01);
  CHECK(si("deg/s") == Approx(std::numbers::pi / 180.0));
  CHECK(si("rpm") == Approx(2.0 * std::numbers::pi / 60.0));
  CHECK(si("ms") == 1e-3);
  CHECK(si("in") == 0.0254);
  CHECK(si("16384/g") == Approx(9.80665 / 16384.0));
  CHECK(si("16.4/deg/s") == Approx(std::numbers::pi / 180.0 / 16.4));
  for (const char* text : {"", "x", "axis", "foo/g", "0/g", "-3/g", "1e400/g", "grams"}) {
    CAPTURE(text);
    CHECK_FALSE(unit_in(text));
  }
}
