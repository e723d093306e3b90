// Acceleration and rotation rate logged apart: in two files, in rows of their own, in labelled
// rows. Truth is the motion the logs were made from; between rows a rate is interpolated, so that
// it may be off by the noise of two rows and the bend between them.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/read_log.h"
#include "tests/sensor/made_log.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

constexpr double kDegree = 3.14159265358979323846 / 180.0;
constexpr double kRateTolerance_radps =
    0.03;  // ten sigma of the noise, or 50 ms of the turn's bend

bool says(const SensorLog& log, const std::string& words) {
  return std::any_of(log.notes.begin(), log.notes.end(), [&](const Note& note) {
    return note.text.find(words) != std::string::npos;
  });
}

// Without noise, and with time counted from `start_s`.
std::string gyroscope_text(const std::vector<TrueRow>& rows,
                           const std::string& header,
                           double start_s,
                           double unit_s = 1.0) {
  return written(header, rows, ",", [&](const TrueRow& row) {
    std::vector<std::string> cells{number((start_s + row.t_s) / unit_s, unit_s < 0.5 ? 0 : 4)};
    for (const double w : row.rate_radps) cells.push_back(number(w / kDegree, 4));
    return cells;
  });
}

std::string accel_text(const std::vector<TrueRow>& rows,
                       const std::string& header,
                       double start_s,
                       double unit_s = 1.0) {
  return written(header, rows, ",", [&](const TrueRow& row) {
    auto cells = plain_cells(1.0, 1.0)(row);
    cells[0] = number((start_s + row.t_s) / unit_s, unit_s < 0.5 ? 0 : 4);
    return cells;
  });
}

// The rate of the motion at a time of the sample.
void check_rates(const SensorLog& log,
                 const std::vector<TrueRow>& truth,
                 double rate_hz,
                 double shift_s = 0.0) {
  REQUIRE(log.has_gyroscope);
  double worst = 0.0;
  for (const SensorSample& sample : log.samples) {
    const auto row = static_cast<std::size_t>(
        std::clamp<double>(std::lround((sample.t_s + shift_s) * rate_hz), 0.0, truth.size() - 1.0));
    for (int axis = 0; axis < 3; ++axis) {
      worst = std::max(worst,
                       std::abs(sample.rate_radps[axis] -
                                truth[row].rate_radps[static_cast<std::size_t>(axis)]));
    }
  }
  CHECK(worst < kRateTolerance_radps);
}

}  // namespace

TEST_CASE("two files on one clock are merged on time", "[sensor]") {
  const auto accel = true_rows(100.0, 10.0);
  const auto gyro = true_rows(40.0, 10.0);
  const double start_s = GENERATE(0.0, 812.5, 1795608000.0);
  CAPTURE(start_s);
  const MadeFile accel_file(accel_text(accel, "time (s),x,y,z", start_s));
  const MadeFile gyro_file(gyroscope_text(gyro, "time (s),x,y,z", start_s), "gyro.csv");
  const SensorLog log = read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()});
  CHECK(log.samples.size() == accel.size());
  check_rates(log, accel, 100.0);
}

TEST_CASE("each file may have its own unit of time", "[sensor]") {
  const auto accel = true_rows(100.0, 10.0);
  const auto gyro = true_rows(100.0, 10.0);
  const MadeFile accel_file(accel_text(accel, "epoch (ms),ax,ay,az", 1795608000.0, 1e-3));
  const MadeFile gyro_file(
      gyroscope_text(gyro, "timestamp (us),gx (deg/s),gy (deg/s),gz (deg/s)", 1795608000.0, 1e-6),
      "gyro.csv");
  const SensorLog log = read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()});
  CHECK(log.samples.size() == accel.size());
  check_rates(log, accel, 100.0);
}

TEST_CASE("clocks of different origin are laid together at their starts, and that is said",
          "[sensor]") {
  const auto rows = true_rows(100.0, 10.0);
  const MadeFile accel_file(accel_text(rows, "epoch (ms),ax,ay,az", 1795608000.0, 1e-3));
  const MadeFile gyro_file(gyroscope_text(rows, "elapsed (s),gx,gy,gz", 12.0), "gyro.csv");
  const SensorLog log = read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()});
  CHECK(log.samples.size() == rows.size());
  check_rates(log, rows, 100.0);
  CHECK(says(log, "begin at the same moment"));
}

TEST_CASE("wall clocks a time zone apart are brought together", "[sensor]") {
  const auto rows = true_rows(100.0, 10.0);
  const MadeFile accel_file(accel_text(rows, "epoch (s),ax,ay,az", 1795608000.0));
  const MadeFile gyro_file(gyroscope_text(rows, "epoch (s),gx,gy,gz", 1795608000.0 - 5.5 * 3600.0),
                           "gyro.csv");
  const SensorLog log = read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()});
  check_rates(log, rows, 100.0);
  CHECK(says(log, "5.5 h apart"));
}

TEST_CASE("where only one of the two was logging, rows are left out", "[sensor]") {
  const auto accel = true_rows(100.0, 10.0);
  auto gyro = true_rows(100.0, 10.0);
  gyro.erase(gyro.begin() + 600, gyro.begin() + 700);  // a hole of a second
  gyro.erase(gyro.begin(), gyro.begin() + 150);        // begins later
  const MadeFile accel_file(accel_text(accel, "time (s),ax,ay,az", 0.0));
  const MadeFile gyro_file(gyroscope_text(gyro, "time (s),gx,gy,gz", 0.004), "gyro.csv");
  const SensorLog log = read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()});
  // Rates run from 1.504 s to 5.994 s and on from 7.004 s. 0.1 s before the first a rate still
  // holds; inside the hole none does.
  CHECK(log.samples.size() == 1000 - 141 - 101);
  CHECK(says(log, "242 rows of acceleration"));
  check_rates(log, accel, 100.0, 1.41);
}

TEST_CASE("files of two different days are refused", "[sensor][bad-input]") {
  const auto rows = true_rows(100.0, 10.0);
  const MadeFile accel_file(accel_text(rows, "epoch (s),ax,ay,az", 1795608000.0));
  const MadeFile gyro_file(gyroscope_text(rows, "epoch (s),gx,gy,gz", 1795608000.0 - 3 * 86400.0),
                           "gyro.csv");
  CHECK_THROWS_WITH(read_log(accel_file.path(), {.gyroscope_file = gyro_file.path()}),
                    Catch::Contains("do not overlap in time"));
}

TEST_CASE("rows of their own and labelled rows are merged like two files", "[sensor]") {
  const auto rows = true_rows(50.0, 10.0);
  const bool labelled = GENERATE(true, false);
  CAPTURE(labelled);
  std::string text = labelled ? "time (ms),sensor,x,y,z\n" : "time (ms),ax,ay,az,gx,gy,gz\n";
  for (const TrueRow& row : rows) {
    const auto& a = row.accel_mps2;
    const auto& w = row.rate_radps;
    text += fmt::format("{:.0f},{}{:.5f},{:.5f},{:.5f}{}\n",
                        1000.0 * row.t_s,
                        labelled ? "accelerometer," : "",
                        a[0],
                        a[1],
                        a[2],
                        labelled ? "" : ",,,");
    text += fmt::format("{:.0f},{}{:.5f},{:.5f},{:.5f}\n",
                        1000.0 * row.t_s + 7.0,
                        labelled ? "gyroscope," : ",,,",
                        w[0] / kDegree,
                        w[1] / kDegree,
                        w[2] / kDegree);
  }
  const MadeFile file(text);
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == rows.size());
  CHECK(log.rate_hz == Approx(50.0));
  check_rates(log, rows, 50.0);
}

TEST_CASE("gravity and linear acceleration kept apart are added up", "[sensor]") {
  const auto rows = true_rows(100.0, 10.0);
  const MadeFile file(
      written("time (s),userAccelX (g),userAccelY (g),userAccelZ (g),gravityX,gravityY,gravityZ",
              rows,
              ",",
              [](const TrueRow& row) {
                std::vector<std::string> cells{number(row.t_s, 3)};
                const auto& a = row.accel_mps2;
                const double length = std::hypot(a[0], a[1], a[2]);
                for (const double each : a)
                  cells.push_back(number(each / 9.80665 - each / length, 6));
                for (const double each : a) cells.push_back(number(each / length, 6));
                return cells;
              }));
  const SensorLog log = read_log(file.path());
  REQUIRE(log.samples.size() == rows.size());
  for (std::size_t i = 0; i < rows.size(); i += 10) {
    CHECK(log.samples[i].accel_mps2[2] == Approx(rows[i].accel_mps2[2]).margin(2e-5));
  }
}
