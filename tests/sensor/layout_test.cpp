// One motion in the layouts loggers write: whatever the layout, the samples must be those of the
// motion. Truth is the motion itself; tolerances are the digits the cells were written with.
#include <cmath>
#include <functional>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/sensor/read_log.h"
#include "tests/sensor/made_log.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

constexpr double kG = 9.80665;  // exact: 3rd CGPM, 1901
constexpr double kDegree = 3.14159265358979323846 / 180.0;

void check_samples(const SensorLog& log,
                   const std::vector<TrueRow>& truth,
                   double accel_tolerance_mps2,
                   double time_tolerance_s = 1e-4) {
  REQUIRE(log.samples.size() == truth.size());
  REQUIRE(log.rows == truth.size());
  double worst_accel = 0.0;
  double worst_time = 0.0;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    worst_time = std::max(worst_time, std::abs(log.samples[i].t_s - truth[i].t_s));
    for (int axis = 0; axis < 3; ++axis) {
      worst_accel = std::max(worst_accel,
                             std::abs(log.samples[i].accel_mps2[axis] -
                                      truth[i].accel_mps2[static_cast<std::size_t>(axis)]));
    }
  }
  CHECK(worst_accel < accel_tolerance_mps2);
  CHECK(worst_time < time_tolerance_s);
}

std::string utf16(const std::string& ascii, bool little, bool mark) {
  std::string out;
  const auto put = [&](char c) {
    if (!little) out += '\0';
    out += c;
    if (little) out += '\0';
  };
  if (mark) out += little ? "\xFF\xFE" : "\xFE\xFF";
  for (const char c : ascii) put(c);
  return out;
}

std::string with_decimal_comma(std::string cell) {
  for (char& c : cell) c = c == '.' ? ',' : c;
  return cell;
}

}  // namespace

TEST_CASE("any delimiter is found", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string delimiter = GENERATE(",", ";", "\t", "|", " ", ", ", "   ", " | ");
  CAPTURE(delimiter);
  const std::string header = "time" + delimiter + "ax" + delimiter + "ay" + delimiter + "az";
  const MadeFile file(written(header, truth, delimiter, plain_cells(1.0, 1.0)));
  check_samples(read_log(file.path()), truth, 2e-5);
}

TEST_CASE("a decimal comma is found beside any delimiter but the comma", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string delimiter = GENERATE(";", "\t", "|", " ");
  CAPTURE(delimiter);
  const auto cells = [](const TrueRow& row) {
    auto plain = plain_cells(1.0, 1.0)(row);
    for (std::string& cell : plain) cell = with_decimal_comma(cell);
    return plain;
  };
  const std::string header = "t" + delimiter + "ax" + delimiter + "ay" + delimiter + "az";
  const MadeFile file(written(header, truth, delimiter, cells));
  check_samples(read_log(file.path()), truth, 2e-5);
}

TEST_CASE("quoted cells are read, with a decimal comma inside too", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const bool comma = GENERATE(false, true);
  const auto cells = [&](const TrueRow& row) {
    auto plain = plain_cells(1.0, 1.0)(row);
    for (std::string& cell : plain) {
      cell = '"' + (comma ? with_decimal_comma(cell) : cell) + '"';
    }
    return plain;
  };
  const MadeFile file(written("\"time, s\",\"ax\",\"ay\",\"az\"", truth, ",", cells));
  check_samples(read_log(file.path()), truth, 2e-5);
}

TEST_CASE("line ends, byte order marks and encodings make no difference", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string end = GENERATE("\n", "\r\n", "\r");
  const std::string plain = written("time,ax,ay,az", truth, ",", plain_cells(1.0, 1.0), end);
  CAPTURE(end);
  SECTION("plain") {
    const MadeFile file(plain);
    check_samples(read_log(file.path()), truth, 2e-5);
  }
  SECTION("UTF-8 with a mark") {
    const MadeFile file("\xEF\xBB\xBF" + plain);
    check_samples(read_log(file.path()), truth, 2e-5);
  }
  SECTION("UTF-16") {
    const bool little = GENERATE(true, false);
    const bool mark = GENERATE(true, false);
    CAPTURE(little, mark);
    const MadeFile file(utf16(plain, little, mark));
    check_samples(read_log(file.path()), truth, 2e-5);
  }
}

TEST_CASE("what stands above, between and behind the rows is passed over", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string head =
      GENERATE("# remark\n# another, with, commas, in it\ntime,ax,ay,az",
               "Workshop logger no. 3\nFirmware 1.2, range 8\nChannels: 3\n\ntime,ax,ay,az",
               "% time,ax,ay,az",
               "# t ,ax ,ay ,az\n# s,m/s^2,m/s^2,m/s^2",
               "time,ax,ay,az\ns,m/s2,m/s2,m/s2",
               "time,ax,ay,az\n[s],[m/s2],[m/s2],[m/s2]",
               "// made in the gym\n//\ntime,ax,ay,az\n// rows follow");
  CAPTURE(head);
  std::string text = written(head, truth, ",", plain_cells(1.0, 1.0));
  text.insert(text.size() / 2 + text.substr(text.size() / 2).find('\n') + 1, "\n# a pause\n\n");
  const MadeFile file(text + "\n\n# the end\n");
  check_samples(read_log(file.path()), truth, 2e-5);
}

TEST_CASE("a delimiter at the end of header or rows is no column", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const auto cells = [](const TrueRow& row) {
    auto plain = plain_cells(1.0, 1.0)(row);
    plain.push_back("");
    return plain;
  };
  SECTION("of both") {
    const MadeFile file(written("time;ax;ay;az;", truth, ";", cells));
    check_samples(read_log(file.path()), truth, 2e-5);
  }
  SECTION("of the rows") {
    const MadeFile file(written("time;ax;ay;az", truth, ";", cells));
    check_samples(read_log(file.path()), truth, 2e-5);
  }
  SECTION("of the header") {
    const MadeFile file(written("time;ax;ay;az;", truth, ";", plain_cells(1.0, 1.0)));
    check_samples(read_log(file.path()), truth, 2e-5);
  }
}

TEST_CASE("units are read from the header", "[sensor]") {
  struct Case {
    const char* header;
    double time_unit_s;
    double accel_unit_mps2;
    double rate_unit_radps;
    double tolerance_mps2;
  };
  const auto c = GENERATE(
      Case{"time (s),ax (g),ay (g),az (g)", 1.0, kG, 0.0, 1e-4},
      Case{"time_ms,ax_mg,ay_mg,az_mg", 1e-3, 1e-3 * kG, 0.0, 2e-3},
      Case{"t [us],ax [m/s^2],ay [m/s^2],az [m/s^2]", 1e-6, 1.0, 0.0, 2e-5},
      Case{"timestamp [ns],acc_x (m/s\xC2\xB2),acc_y (m/s\xC2\xB2),acc_z (m/s\xC2\xB2)",
           1e-9,
           1.0,
           0.0,
           2e-5},
      Case{"elapsed (\xC2\xB5s),X-axis (g),Y-axis (g),Z-axis (g)", 1e-6, kG, 0.0, 1e-4},
      Case{"seconds,accelerometerX(m/s2),accelerometerY(m/s2),accelerometerZ(m/s2)",
           1.0,
           1.0,
           0.0,
           2e-5},
      Case{"time (s),ax (cm/s2),ay (cm/s2),az (cm/s2)", 1.0, 0.01, 0.0, 2e-3},
      Case{"t (ms),ax (g),ay (g),az (g),gx (deg/s),gy (deg/s),gz (deg/s)", 1e-3, kG, kDegree, 1e-4},
      Case{"t (ms),ax (g),ay (g),az (g),gx (\xC2\xB0/s),gy (\xC2\xB0/s),gz (\xC2\xB0/s)",
           1e-3,
           kG,
           kDegree,
           1e-4},
      Case{"t (ms),ax (g),ay (g),az (g),gx (dps),gy (dps),gz (dps)", 1e-3, kG, kDegree, 1e-4},
      Case{"ms,acc_x,acc_y,acc_z,angular velocity x (rad/s),angular velocity y (rad/s),angular "
           "velocity z (rad/s)",
           1e-3,
           1.0,
           1.0,
           2e-5},
      Case{"ms,AccX,AccY,AccZ,rotationRateX (mdeg/s),rotationRateY (mdeg/s),rotationRateZ (mdeg/s)",
           1e-3,
           kG,
           1e-3 * kDegree,
           1e-4});
  CAPTURE(c.header);
  const auto truth = true_rows(50.0, 6.0);
  const MadeFile file(written(
      c.header, truth, ",", plain_cells(c.time_unit_s, c.accel_unit_mps2, c.rate_unit_radps)));
  const SensorLog log = read_log(file.path());
  check_samples(log, truth, c.tolerance_mps2);
  CHECK(log.has_gyroscope == (c.rate_unit_radps > 0.0));
  CHECK(log.rate_hz == Approx(50.0).epsilon(1e-3));
  if (!log.has_gyroscope) return;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    CHECK(log.samples[i].rate_radps[0] == Approx(truth[i].rate_radps[0]).margin(2e-5));
  }
}

TEST_CASE("units that no header states are decided from the numbers", "[sensor]") {
  struct Case {
    double time_unit_s;
    double accel_unit_mps2;
    double rate_unit_radps;
  };
  const auto c = GENERATE(Case{1.0, kG, kDegree},
                          Case{1e-3, 1.0, kDegree},
                          Case{1e-6, 1e-3 * kG, 1.0},
                          Case{1e-9, kG, 1.0},
                          Case{1e-3, 1.0, 1.0});
  const double rate_hz = GENERATE(12.5, 100.0, 1000.0);
  CAPTURE(c.time_unit_s, c.accel_unit_mps2, c.rate_unit_radps, rate_hz);
  const auto truth = true_rows(rate_hz, 11.0);
  const MadeFile file(written("timestamp,ax,ay,az,gx,gy,gz",
                              truth,
                              ",",
                              plain_cells(c.time_unit_s, c.accel_unit_mps2, c.rate_unit_radps)));
  const SensorLog log = read_log(file.path());
  check_samples(log, truth, 2e-3, 0.51e-3);
  REQUIRE(log.has_gyroscope);
  for (std::size_t i = 0; i < truth.size(); i += 7) {
    REQUIRE(log.samples[i].rate_radps[1] == Approx(truth[i].rate_radps[1]).margin(2e-5));
  }
}

TEST_CASE("raw counts are scaled by stillness, and that is said", "[sensor]") {
  const auto truth = true_rows(50.0, 11.0);
  const double counts_per_g = GENERATE(256.0, 2048.0, 4096.0, 16384.0);
  const MadeFile file(written("t_ms,ax,ay,az", truth, ",", [&](const TrueRow& row) {
    std::vector<std::string> cells{number(1000.0 * row.t_s, 0)};
    for (const double a : row.accel_mps2) cells.push_back(number(a / kG * counts_per_g, 0));
    return cells;
  }));
  const SensorLog log = read_log(file.path());
  // One count, and the length of gravity known from noisy stillness to a few parts in ten thousand.
  check_samples(log, truth, kG / counts_per_g + 0.02);
  CHECK(std::any_of(log.notes.begin(), log.notes.end(), [](const Note& note) {
    return note.kind == NoteKind::kCaution && note.text.find("no known unit") != std::string::npos;
  }));

  const SensorLog told =
      read_log(file.path(), {.units = "accel=" + number(counts_per_g, 0) + "/g"});
  check_samples(told, truth, 0.6 * kG / counts_per_g + 1e-5);
}

TEST_CASE("without a header the columns are told apart by their numbers", "[sensor]") {
  const auto truth = true_rows(100.0, 11.0);
  SECTION("time first, then acceleration and rotation rate") {
    const MadeFile file(written("", truth, ",", plain_cells(1.0, kG, kDegree)));
    const SensorLog log = read_log(file.path());
    check_samples(log, truth, 1e-4);
    CHECK(log.has_gyroscope);
    CHECK(log.samples[300].rate_radps[0] == Approx(truth[300].rate_radps[0]).margin(2e-5));
  }
  SECTION("a row number before them") {
    int row_number = 0;
    const MadeFile file(written("", truth, ";", [&](const TrueRow& row) {
      auto cells = plain_cells(1e-3, 1.0)(row);
      cells.insert(cells.begin(), std::to_string(row_number++));
      return cells;
    }));
    check_samples(read_log(file.path()), truth, 2e-5);
  }
  SECTION("rotation rate first, time last") {
    const MadeFile file(written("", truth, ",", [&](const TrueRow& row) {
      auto cells = plain_cells(1.0, 1.0, kDegree)(row);
      return std::vector<std::string>{
          cells[4], cells[5], cells[6], cells[1], cells[2], cells[3], cells[0]};
    }));
    const SensorLog log = read_log(file.path());
    check_samples(log, truth, 2e-5);
    CHECK(log.has_gyroscope);
    CHECK(log.samples[300].rate_radps[0] == Approx(truth[300].rate_radps[0]).margin(2e-5));
  }
  SECTION("the user says which is which") {
    const MadeFile file(written("", truth, ",", plain_cells(1.0, 1.0, kDegree)));
    const SensorLog log = read_log(file.path(), {.columns = "t,-,-,-,ax,ay,az", .units = "g"});
    REQUIRE(log.samples.size() == truth.size());
    CHECK_FALSE(log.has_gyroscope);
    CHECK(log.samples[300].accel_mps2[0] ==
          Approx(truth[300].rate_radps[0] / kDegree * kG).margin(1e-3));
  }
}

TEST_CASE("numbers are read as the shortest and the longest way they are printed", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string format = GENERATE("{:.9e}", "{:+.6f}", "{:.17g}", "{:G}");
  CAPTURE(format);
  const MadeFile file(written("time,ax,ay,az", truth, ",", [&](const TrueRow& row) {
    std::vector<std::string> cells{fmt::format(fmt::runtime(format), row.t_s)};
    for (const double a : row.accel_mps2) cells.push_back(fmt::format(fmt::runtime(format), a));
    return cells;
  }));
  check_samples(read_log(file.path()), truth, 1e-4);
}
