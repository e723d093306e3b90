// What happens to readings: numbers against Python's own float(), clipped and missing ones against
// what was put into the log, heights against the lift they were made from.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <span>
#include <sstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/read_log.h"
#include "tests/sensor/made_log.h"
#include "tests/support/python.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

constexpr double kG = 9.80665;

bool says(const SensorLog& log, const std::string& words) {
  return std::any_of(log.notes.begin(), log.notes.end(), [&](const Note& note) {
    return note.text.find(words) != std::string::npos;
  });
}

bool cautions(const SensorLog& log) {
  return std::any_of(log.notes.begin(), log.notes.end(), [](const Note& note) {
    return note.kind == NoteKind::kCaution;
  });
}

std::string plain_log(const std::vector<TrueRow>& rows,
                      const std::string& header = "time,ax,ay,az") {
  return written(header, rows, ",", plain_cells(1.0, 1.0));
}

}  // namespace

TEST_CASE("numbers are those that Python reads in the same file", "[sensor]") {
  // Every way to print a double, at 0.01 s from row to row.
  std::mt19937_64 random(17);
  std::uniform_real_distribution<double> value(-30.0, 30.0);
  std::uniform_int_distribution<int> digits(0, 17);
  std::string text = "time,ax,ay,az,gx,gy,gz\n";
  for (int i = 0; i < 500; ++i) {
    text += fmt::format("{:.2f},9.{},0.{},-0.{},{:.{}f},{:.{}g},{:.{}e}\n",
                        0.01 * i,
                        random() % 1000000,
                        random() % 1000000000000,
                        random(),
                        value(random),
                        digits(random),
                        value(random),
                        digits(random) + 1,
                        value(random),
                        digits(random));
  }
  const MadeFile file(text);
  const MadeFile program("", "read.py");
  std::istringstream python_read(python(program.path().string(),
                                        "import csv, sys\n"
                                        "for row in list(csv.reader(open(sys.argv[1])))[1:]:\n"
                                        "    print(*[repr(float(cell)) for cell in row])\n",
                                        "'" + file.path().string() + "'"));
  const SensorLog log = read_log(file.path(), {.units = "m/s2,rad/s,s"});
  REQUIRE(log.samples.size() == 500);
  for (const SensorSample& sample : log.samples) {
    double cells[7] = {};
    for (double& cell : cells) python_read >> cell;
    CHECK(sample.t_s == Approx(cells[0]).margin(1e-12));
    for (int axis = 0; axis < 3; ++axis) {
      CHECK(sample.accel_mps2[axis] == static_cast<float>(cells[1 + axis]));
      CHECK(sample.rate_radps[axis] == static_cast<float>(cells[4 + axis]));
    }
  }
}

TEST_CASE("rows without a reading are left out with a note that names the first", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const std::string nothing = GENERATE("", "NaN", "nan", "null", "N/A", "inf", "-");
  CAPTURE(nothing);
  int row_number = 0;
  const MadeFile file(written("time,ax,ay,az", truth, ",", [&](const TrueRow& row) {
    auto cells = plain_cells(1.0, 1.0)(row);
    if (row_number++ % 40 == 20) cells[2] = nothing;
    return cells;
  }));
  const SensorLog log = read_log(file.path());
  CHECK(log.rows == truth.size());
  CHECK(log.samples.size() == truth.size() - 7);
  CHECK(says(log,
             "7 rows were left out because a reading is missing, the first at " + file.line(22) +
                 ": 'ay'"));
}

TEST_CASE("a few wrong rows are left out with a note that names the first", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  std::string text = plain_log(truth);
  const auto spoil_line = [&](int line, const std::string& with) {
    std::size_t from = 0;
    for (int i = 1; i < line; ++i) from = text.find('\n', from) + 1;
    text.replace(from, text.find('\n', from) - from, with);
  };
  spoil_line(60, "0.5,##,1,2");
  spoil_line(90, "connection lost");
  spoil_line(120, "2.36,0.1");
  const MadeFile file(text);
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == truth.size() - 3);
  CHECK(says(log,
             "3 rows were wrong and left out, the first at " + file.line(60) +
                 ": '##' in 'ax' is not a number"));
}

TEST_CASE("a log that stops in the middle of a row is read up to there", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  std::string text = plain_log(truth);
  text.resize(text.size() - 12);
  const MadeFile file(text);
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == truth.size() - 1);
  CHECK(says(log, "The last row is cut short"));
}

TEST_CASE("zero bytes at the end, as after a loss of power, do no harm", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const MadeFile file(plain_log(truth) + std::string(200000, '\0'));
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == truth.size());
  CHECK(says(log, "zero bytes"));
}

TEST_CASE("a header that is there again after a restart is passed over", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  std::string text = plain_log(truth);
  text.insert(text.find('\n', text.size() / 2) + 1, "time,ax,ay,az\n");
  const MadeFile file(text);
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == truth.size());
  CHECK(says(log, "The header is there again"));
}

TEST_CASE("readings that stand at the end of the range are marked", "[sensor]") {
  auto rows = true_rows(100.0, 11.0);
  // A drop into the rack: half a sine of 6 g on y, in a sensor that ends at 4 g.
  std::vector<bool> clipped(rows.size());
  for (std::size_t i = 940; i < 950; ++i) {
    rows[i].accel_mps2[1] += 6.0 * kG * std::sin(std::numbers::pi * double(i - 939) / 11.0);
    clipped[i] = rows[i].accel_mps2[1] > 4.0 * kG;
    rows[i].accel_mps2[1] = std::min(rows[i].accel_mps2[1], 4.0 * kG);
  }
  REQUIRE(std::count(clipped.begin(), clipped.end(), true) >= 3);
  const MadeFile file(plain_log(rows));
  const SensorLog log = read_log(file.path());
  REQUIRE(log.samples.size() == rows.size());
  CHECK(log.accel_range_mps2 == Approx(4.0 * kG).epsilon(1e-5));
  for (std::size_t i = 0; i < rows.size(); ++i) CHECK(log.samples[i].clipped == clipped[i]);
  CHECK(says(log, "end of the sensor's range (4 g)"));
}

TEST_CASE("a coarse sensor's quiet peaks are not the end of a range", "[sensor]") {
  auto rows = true_rows(25.0, 60.0);
  for (TrueRow& row : rows) {  // 8 bits over ±8 g
    for (double& a : row.accel_mps2) a = std::round(a / kG * 16.0) / 16.0 * kG;
  }
  const MadeFile file(plain_log(rows));
  const SensorLog log = read_log(file.path());
  CHECK(log.accel_range_mps2 == 0.0);
  CHECK_FALSE(cautions(log));
}

TEST_CASE("a header that the rest contradicts is not believed", "[sensor]") {
  const auto truth = true_rows(50.0, 11.0);
  const MadeFile file(plain_log(truth, "time (s),ax (g),ay (g),az (g)"));
  const SensorLog log = read_log(file.path());
  CHECK(log.samples[100].accel_mps2[2] == Approx(truth[100].accel_mps2[2]).margin(1e-4));
  CHECK(says(log, "The header says g, but the acceleration at rest is 9.8"));
  // The user's word counts, with a caution.
  const SensorLog told = read_log(file.path(), {.units = "g"});
  CHECK(told.samples[100].accel_mps2[2] == Approx(truth[100].accel_mps2[2] * kG).margin(1e-3));
  CHECK(says(told, "as --units says"));
}

TEST_CASE("raw counts of rotation rate are scaled by how the tilt turns, or left out", "[sensor]") {
  // 131 and 16.4 counts to 1 deg/s, 8192 to 1 g. The rows of true_rows() turn from 2 s to 4 s.
  const double counts_per_dps = GENERATE(131.0, 16.4);
  const double seconds = GENERATE(11.0, 1.9);
  CAPTURE(counts_per_dps, seconds);
  const double counts = counts_per_dps * 180.0 / std::numbers::pi;
  const auto truth = true_rows(100.0, seconds);
  const MadeFile file(written("t_ms,ax,ay,az,gx,gy,gz", truth, ",", [&](const TrueRow& row) {
    std::vector<std::string> cells{number(1000.0 * row.t_s, 0)};
    for (const double a : row.accel_mps2) cells.push_back(number(a / kG * 8192.0, 0));
    for (const double w : row.rate_radps) cells.push_back(number(w * counts, 0));
    return cells;
  }));
  const SensorLog log = read_log(file.path());
  CHECK(says(log, "raw counts"));
  CHECK(log.has_gyroscope == (seconds > 2.0));
  if (!log.has_gyroscope) return;
  for (std::size_t i = 0; i < truth.size(); i += 5) {
    CHECK(log.samples[i].rate_radps[0] ==
          Approx(truth[i].rate_radps[0]).margin(1.0 / counts).epsilon(1e-3));
  }
}

TEST_CASE("a rotation rate whose unit or sign the tilt contradicts is set right", "[sensor]") {
  const auto truth = true_rows(100.0, 11.0);
  const double sign = GENERATE(1.0, -1.0);
  const bool wrong_unit = GENERATE(true, false);
  CAPTURE(sign, wrong_unit);
  // Degrees a second under a header that says radians, or all three axes negated.
  const double unit = wrong_unit ? std::numbers::pi / 180.0 : 1.0;
  const MadeFile file(written("t,ax,ay,az,gx (rad/s),gy (rad/s),gz (rad/s)",
                              truth,
                              ",",
                              plain_cells(1.0, 1.0, sign * unit)));
  const SensorLog log = read_log(file.path());
  REQUIRE(log.has_gyroscope);
  for (std::size_t i = 0; i < truth.size(); i += 5) {
    CHECK(log.samples[i].rate_radps[1] == Approx(truth[i].rate_radps[1]).margin(2e-5));
  }
  CHECK(says(log, "The header says rad/s, but") == wrong_unit);
  CHECK(says(log, "its sign is turned round") == (sign < 0.0));
  CHECK(cautions(log) == (wrong_unit || sign < 0.0));
}

TEST_CASE("a set without rest tells deg/s from rad/s, whatever the gyroscope's offset",
          "[sensor]") {
  // A bar that rocks by 12 degrees in each rep of 2 s while it is pushed up and sideways: tilt and
  // turning in closed form. 24 Hz, no unit in the header, offsets of 3, 1 and -2 deg/s.
  constexpr double kDegree = std::numbers::pi / 180.0;
  const bool degrees = GENERATE(true, false);
  const double unit = degrees ? kDegree : 1.0;
  const double first = GENERATE(0.0, 0.7, 1.9);
  CAPTURE(degrees, first);
  std::vector<TrueRow> rows;
  for (int i = 0; i < 480; ++i) {
    const double t = i / 24.0;
    const double phase = std::numbers::pi * t + first;
    const double tilt = 12.0 * kDegree * std::sin(phase);
    const double up = 9.80665 + 2.5 * std::cos(2.0 * phase);
    const double aside = 1.0 * std::sin(phase + 1.0);
    rows.push_back({t,
                    {aside * std::cos(tilt) + up * std::sin(tilt),
                     0.05,
                     up * std::cos(tilt) - aside * std::sin(tilt)},
                    {3.0 * kDegree,
                     -12.0 * kDegree * std::numbers::pi * std::cos(phase) + 1.0 * kDegree,
                     -2.0 * kDegree}});
  }
  const MadeFile file(written("t,ax,ay,az,gx,gy,gz", rows, ",", plain_cells(1.0, 9.80665, unit)));
  const SensorLog log = read_log(file.path());
  REQUIRE(log.has_gyroscope);
  CHECK(log.samples[100].rate_radps.y() == Approx(rows[100].rate_radps[1]).margin(1e-4));
}

TEST_CASE("an ordinary log gives no cause for caution and names every choice", "[sensor]") {
  const auto truth = true_rows(100.0, 11.0);
  const MadeFile file(written(
      "time (s),ax (g),ay (g),az (g),mx (uT),my (uT),mz (uT)", truth, ",", [](const TrueRow& row) {
        auto cells = plain_cells(1.0, kG)(row);
        for (int i = 0; i < 3; ++i) cells.push_back("21.5");
        return cells;
      }));
  const SensorLog log = read_log(file.path());
  CHECK_FALSE(cautions(log));
  REQUIRE(log.notes.size() == 1);
  CHECK_THAT(log.notes[0].text,
             Catch::Contains("Time from 'time (s)' (s)") && Catch::Contains("'ax (g)'") &&
                 Catch::Contains("g, from the header") &&
                 Catch::Contains("Not used: 'mx (uT)', 'my (uT)', 'mz (uT)'") &&
                 Catch::Contains("--columns"));
}

TEST_CASE("heights are read in any unit, from the first row upwards", "[sensor]") {
  struct Case {
    const char* header;
    double unit_m;
    int decimals;
  };
  const auto c = GENERATE(Case{"time (s);position (m)", 1.0, 4},
                          Case{"time (s);Height [mm];Speed [m/s]", 1e-3, 0},
                          Case{"time (s);displacement_cm", 1e-2, 1},
                          Case{"t;distance", 1e-3, 0},
                          Case{"t;pos", 1.0, 3},
                          Case{"t;h", 1e-2, 1},
                          Case{"", 1e-3, 0});
  CAPTURE(c.header);
  std::string text = std::string(c.header) + (*c.header != '\0' ? "\n" : "");
  std::vector<double> truth_m;
  for (int i = 0; i < 500; ++i) {
    truth_m.push_back(0.3 - 0.3 * std::cos(2.0 * std::numbers::pi * i / 100.0));
    text += fmt::format("{:.2f};{:.{}f}", 0.02 * i, (truth_m.back() + 0.4) / c.unit_m, c.decimals);
    text += std::string(c.header).find("Speed") != std::string::npos ? ";0.1\n" : "\n";
  }
  const MadeFile file(text);
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.empty());
  REQUIRE(log.positions.size() == truth_m.size());
  const double step_m = c.unit_m * std::pow(10.0, -c.decimals);
  for (std::size_t i = 0; i < truth_m.size(); ++i) {
    CHECK(log.positions[i].t_s == Approx(0.02 * double(i)).margin(1e-9));
    CHECK(log.positions[i].height_m == Approx(truth_m[i]).margin(1.01 * step_m));
  }
  CHECK(log.height_step_m >= 0.99 * step_m);
  CHECK(log.height_step_m < 0.002);
  CHECK(log.rate_hz == Approx(50.0));
}

TEST_CASE("a stream hands over what a whole reading keeps, in pieces", "[sensor]") {
  // Larger than the head that decisions are made from (4 MB), so that blocks are joined.
  const auto truth = true_rows(1000.0, 150.0);
  const MadeFile file(written("time (ms),ax (g),ay (g),az (g),gx (deg/s),gy (deg/s),gz (deg/s)",
                              truth,
                              ",",
                              plain_cells(1e-3, kG, 3.14159265358979323846 / 180.0)));
  const SensorLog whole = read_log(file.path());
  REQUIRE(whole.samples.size() == truth.size());
  std::size_t seen = 0;
  std::size_t pieces = 0;
  double last_fraction = 0.0;
  LogOptions options;
  options.progress = [&](double fraction) {
    CHECK(fraction >= last_fraction);
    last_fraction = fraction;
  };
  bool same = true;
  const SensorLog streamed = read_log(
      file.path(), options, [&](const SensorLog& log, std::span<const SensorSample> samples) {
        ++pieces;
        CHECK(log.has_gyroscope);
        CHECK(log.rate_hz == Approx(1000.0));
        CHECK(log.samples.empty());
        for (const SensorSample& sample : samples) {
          const SensorSample& other = whole.samples[seen++];
          same = same && sample.t_s == other.t_s && sample.accel_mps2 == other.accel_mps2 &&
                 sample.rate_radps == other.rate_radps;
        }
      });
  CHECK(same);
  CHECK(seen == truth.size());
  CHECK(pieces > 2);
  CHECK(last_fraction == 1.0);
  CHECK(streamed.samples.empty());
  CHECK(streamed.rows == whole.rows);
  CHECK(streamed.notes == whole.notes);
  CHECK(whole.samples.back().accel_mps2[2] == Approx(truth.back().accel_mps2[2]).margin(1e-4));
}
