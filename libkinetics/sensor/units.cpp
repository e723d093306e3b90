#include "libkinetics/sensor/units.h"

#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/cells.h"

namespace kinetics::sensor_detail {
namespace {

struct KnownUnit {
  std::string_view spelling;  // lower case, without spaces, '^', '*', '.'
  UnitOf of;
  double in_si;
  std::string_view name;
};

constexpr UnitOf kT = UnitOf::kTime;
constexpr UnitOf kA = UnitOf::kAcceleration;
constexpr UnitOf kW = UnitOf::kRotationRate;
constexpr UnitOf kL = UnitOf::kLength;
constexpr UnitOf kV = UnitOf::kSpeed;
constexpr UnitOf kB = UnitOf::kMagneticField;
constexpr UnitOf kO = UnitOf::kOther;
constexpr double kG = kStandardGravity;

constexpr KnownUnit kUnits[] = {
    {"s", kT, 1.0, "s"},
    {"sec", kT, 1.0, "s"},
    {"secs", kT, 1.0, "s"},
    {"second", kT, 1.0, "s"},
    {"seconds", kT, 1.0, "s"},
    {"ms", kT, 1e-3, "ms"},
    {"msec", kT, 1e-3, "ms"},
    {"msecs", kT, 1e-3, "ms"},
    {"millis", kT, 1e-3, "ms"},
    {"millisec", kT, 1e-3, "ms"},
    {"millisecond", kT, 1e-3, "ms"},
    {"milliseconds", kT, 1e-3, "ms"},
    {"us", kT, 1e-6, "µs"},
    {"usec", kT, 1e-6, "µs"},
    {"micros", kT, 1e-6, "µs"},
    {"microsec", kT, 1e-6, "µs"},
    {"microsecond", kT, 1e-6, "µs"},
    {"microseconds", kT, 1e-6, "µs"},
    {"ns", kT, 1e-9, "ns"},
    {"nsec", kT, 1e-9, "ns"},
    {"nanos", kT, 1e-9, "ns"},
    {"nanosec", kT, 1e-9, "ns"},
    {"nanosecond", kT, 1e-9, "ns"},
    {"nanoseconds", kT, 1e-9, "ns"},
    {"min", kT, 60.0, "min"},
    {"minutes", kT, 60.0, "min"},
    {"g", kA, kG, "g"},
    {"gs", kA, kG, "g"},
    {"g's", kA, kG, "g"},
    {"gn", kA, kG, "g"},
    {"mg", kA, 1e-3 * kG, "mg"},
    {"milli-g", kA, 1e-3 * kG, "mg"},
    {"millig", kA, 1e-3 * kG, "mg"},
    {"ug", kA, 1e-6 * kG, "µg"},
    {"m/s2", kA, 1.0, "m/s²"},
    {"m/s/s", kA, 1.0, "m/s²"},
    {"m/sec2", kA, 1.0, "m/s²"},
    {"ms-2", kA, 1.0, "m/s²"},
    {"ms2", kA, 1.0, "m/s²"},
    {"mps2", kA, 1.0, "m/s²"},
    {"mpss", kA, 1.0, "m/s²"},
    {"m/ss", kA, 1.0, "m/s²"},
    {"m_s2", kA, 1.0, "m/s²"},
    {"m/(s2)", kA, 1.0, "m/s²"},
    {"mm/s2", kA, 1e-3, "mm/s²"},
    {"cm/s2", kA, 1e-2, "cm/s²"},
    {"gal", kA, 1e-2, "cm/s²"},
    {"rad/s", kW, 1.0, "rad/s"},
    {"rad/sec", kW, 1.0, "rad/s"},
    {"rads-1", kW, 1.0, "rad/s"},
    {"rads", kW, 1.0, "rad/s"},
    {"rps", kW, 1.0, "rad/s"},
    {"radps", kW, 1.0, "rad/s"},
    {"rad_s", kW, 1.0, "rad/s"},
    {"radians/s", kW, 1.0, "rad/s"},
    {"radians/sec", kW, 1.0, "rad/s"},
    {"radians/second", kW, 1.0, "rad/s"},
    {"radianspersecond", kW, 1.0, "rad/s"},
    {"mrad/s", kW, 1e-3, "mrad/s"},
    {"deg/s", kW, kDegree, "deg/s"},
    {"deg/sec", kW, kDegree, "deg/s"},
    {"deg/second", kW, kDegree, "deg/s"},
    {"degs-1", kW, kDegree, "deg/s"},
    {"degs", kW, kDegree, "deg/s"},
    {"deg_s", kW, kDegree, "deg/s"},
    {"degps", kW, kDegree, "deg/s"},
    {"dps", kW, kDegree, "deg/s"},
    {"d/s", kW, kDegree, "deg/s"},
    {"degrees/s", kW, kDegree, "deg/s"},
    {"degrees/sec", kW, kDegree, "deg/s"},
    {"degrees/second", kW, kDegree, "deg/s"},
    {"degreespersecond", kW, kDegree, "deg/s"},
    {"mdps", kW, 1e-3 * kDegree, "mdeg/s"},
    {"mdeg/s", kW, 1e-3 * kDegree, "mdeg/s"},
    {"rpm", kW, 6.0 * kDegree, "rpm"},
    {"m", kL, 1.0, "m"},
    {"meter", kL, 1.0, "m"},
    {"meters", kL, 1.0, "m"},
    {"metre", kL, 1.0, "m"},
    {"metres", kL, 1.0, "m"},
    {"dm", kL, 0.1, "dm"},
    {"cm", kL, 0.01, "cm"},
    {"centimeters", kL, 0.01, "cm"},
    {"centimetres", kL, 0.01, "cm"},
    {"mm", kL, 0.001, "mm"},
    {"millimeters", kL, 0.001, "mm"},
    {"millimetres", kL, 0.001, "mm"},
    {"in", kL, 0.0254, "in"},
    {"inch", kL, 0.0254, "in"},
    {"inches", kL, 0.0254, "in"},
    {"ft", kL, 0.3048, "ft"},
    {"m/s", kV, 1.0, "m/s"},
    {"ms-1", kV, 1.0, "m/s"},
    {"mps", kV, 1.0, "m/s"},
    {"cm/s", kV, 0.01, "cm/s"},
    {"mm/s", kV, 0.001, "mm/s"},
    {"ut", kB, 1e-6, "µT"},
    {"mt", kB, 1e-3, "mT"},
    {"nt", kB, 1e-9, "nT"},
    {"t", kB, 1.0, "T"},
    {"gauss", kB, 1e-4, "G"},
    {"mgauss", kB, 1e-7, "mG"},
    {"degc", kO, 1.0, "°C"},
    {"c", kO, 1.0, "°C"},
    {"hpa", kO, 1.0, "hPa"},
    {"pa", kO, 1.0, "Pa"},
    {"kpa", kO, 1.0, "kPa"},
    {"%", kO, 1.0, "%"},
    {"v", kO, 1.0, "V"},
    {"mv", kO, 1.0, "mV"},
    {"n", kO, 1.0, "N"},
    {"w", kO, 1.0, "W"},
    {"kg", kO, 1.0, "kg"},
    {"hz", kO, 1.0, "Hz"},
    {"deg", kO, 1.0, "°"},
    {"rad", kO, 1.0, "rad"},
};

// Spaces and the signs of powers and products are left out: "m / s^2", "m·s^-2", "m s⁻²".
std::string squeezed(std::string_view text) {
  std::string out;
  for (const char c : in_ascii(text)) {
    if (c == ' ' || c == '^' || c == '*' || c == '.' || c == '\t') continue;
    out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  return out;
}

Unit known(std::string_view spelling) {
  for (const KnownUnit& unit : kUnits) {
    if (unit.spelling == spelling) return {unit.of, unit.in_si, std::string(unit.name)};
  }
  return {};
}

// "16384/g", "131/deg/s", "16.4LSB/dps": counts per unit.
Unit counts_per_unit(std::string_view text) {
  const std::size_t slash = text.find('/');
  if (slash == std::string_view::npos) return {};
  const std::optional<double> counts = number_in(trimmed(text.substr(0, slash)), '.');
  if (!counts || !(*counts > 0.0) || !std::isfinite(*counts)) return {};
  Unit unit = known(squeezed(text.substr(slash + 1)));
  if (unit.of != UnitOf::kAcceleration && unit.of != UnitOf::kRotationRate) return {};
  unit.in_si /= *counts;
  unit.name = fmt::format("{:g} counts to 1 {}", *counts, unit.name);
  return unit;
}

}  // namespace

std::string in_ascii(std::string_view text) {
  struct Sign {
    std::string_view utf8;
    std::string_view ascii;
  };
  static constexpr Sign kSigns[] = {
      {"\xC2\xB2", "2"},      {"\xC2\xB9", "1"},
      {"\xC2\xB0", "deg"},    {"\xC2\xBA", "deg"},
      {"\xC2\xB5", "u"},      {"\xCE\xBC", "u"},
      {"\xC2\xB7", "*"},      {"\xC3\x97", "*"},
      {"\xCF\x89", "w"},      {"\xC2\xA0", " "},
      {"\xE2\x81\xBB", "-"},  {"\xE2\x88\x92", "-"},
      {"\xE2\x82\x82", "2"},  {"\xE2\x8B\x85", "*"},
      {"\xE2\x88\x95", "/"},  {"\xE2\x81\x84", "/"},
      {"\xEF\xBB\xBF", ""},   {"\xE2\x81\xB2", "2"},
      {"\xE3\x8E\xB2", "us"}, {"\xE2\x80\xB2\xE2\x80\xB2", "''"},
  };
  static constexpr Sign kLatin1[] = {
      {"\xB2", "2"}, {"\xB9", "1"}, {"\xB0", "deg"}, {"\xBA", "deg"}, {"\xB5", "u"}, {"\xB7", "*"}};
  std::string out;
  while (!text.empty()) {
    std::size_t taken = 1;
    std::string_view put = text.substr(0, 1);
    for (const Sign& sign : kSigns) {
      if (text.starts_with(sign.utf8)) {
        put = sign.ascii;
        taken = sign.utf8.size();
        break;
      }
    }
    if (taken == 1) {
      for (const Sign& sign : kLatin1) {
        if (text.starts_with(sign.utf8)) put = sign.ascii;
      }
    }
    out += put;
    text.remove_prefix(taken);
  }
  return out;
}

Unit unit_in(std::string_view text) {
  text = trimmed(text);
  if (text.empty() || text.size() > 40) return {};
  if (Unit unit = known(squeezed(text))) return unit;
  if (std::isdigit(static_cast<unsigned char>(text.front()))) return counts_per_unit(text);
  return {};
}

GivenUnits given_units(std::string_view text) {
  const auto fail = [](std::string_view part, std::string_view why) {
    throw Error(ErrorCode::kUsage,
                fmt::format("--units {}", part),
                std::string(why),
                "Write units like 'g,deg/s' or 'accel=m/s2,gyro=rad/s,time=ms,height=mm'; raw "
                "counts as 'accel=16384/g'");
  };
  GivenUnits given;
  while (!trimmed(text).empty()) {
    const std::size_t comma = text.find_first_of(",;");
    const std::string_view part = trimmed(text.substr(0, comma));
    text = comma == std::string_view::npos ? std::string_view() : text.substr(comma + 1);
    if (part.empty()) continue;
    const std::size_t equals = part.find('=');
    const std::string_view key =
        equals == std::string_view::npos ? std::string_view() : trimmed(part.substr(0, equals));
    const Unit unit = unit_in(equals == std::string_view::npos ? part : part.substr(equals + 1));
    const auto take = [&](Unit& slot, std::string_view name) {
      if (slot) fail(part, fmt::format("a unit of {} is given twice", name));
      slot = unit;
    };
    if (unit.of == UnitOf::kTime && (key.empty() || key == "time" || key == "t")) {
      take(given.time, "time");
    } else if (unit.of == UnitOf::kAcceleration &&
               (key.empty() || key == "accel" || key == "acceleration" || key == "a")) {
      take(given.acceleration, "acceleration");
    } else if (unit.of == UnitOf::kRotationRate &&
               (key.empty() || key == "gyro" || key == "rotation" || key == "rate")) {
      take(given.rotation_rate, "rotation rate");
    } else if (unit.of == UnitOf::kLength &&
               (key.empty() || key == "height" || key == "position" || key == "h")) {
      take(given.length, "height");
    } else {
      fail(part, "this is no unit of time, acceleration, rotation rate or height");
    }
  }
  return given;
}

}  // namespace kinetics::sensor_detail
