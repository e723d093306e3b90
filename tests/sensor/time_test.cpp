// Times: written ones against Python's datetime (standard library, run here), and rows whose stamps
// are coarse, late, doubled, out of order or run over, against the even pace they were made at.
#include <algorithm>
#include <cmath>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/read_log.h"
#include "libkinetics/sensor/stamp_text.h"
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

// Rows with the stamp that `stamp` gives each, acceleration in m/s².
std::string stamped(const std::vector<TrueRow>& rows,
                    const std::string& time_name,
                    const std::function<std::string(const TrueRow&)>& stamp) {
  return written(time_name + ",ax,ay,az", rows, ",", [&](const TrueRow& row) {
    auto cells = plain_cells(1.0, 1.0)(row);
    cells[0] = stamp(row);
    return cells;
  });
}

std::string clock_text(double s, int decimals) {
  const int whole = static_cast<int>(s);
  return fmt::format("{:02d}:{:02d}:{:0{}.{}f}",
                     whole / 3600 % 24,
                     whole / 60 % 60,
                     s - whole + whole % 60,
                     decimals == 0 ? 2 : 3 + decimals,
                     decimals);
}

// Largest distance of the samples' times from the truth, once a common shift is taken off.
double worst_time_s(const SensorLog& log, const std::vector<TrueRow>& truth) {
  REQUIRE(log.samples.size() == truth.size());
  std::vector<double> off;
  for (std::size_t i = 0; i < truth.size(); ++i) off.push_back(log.samples[i].t_s - truth[i].t_s);
  const auto [least, most] = std::minmax_element(off.begin(), off.end());
  return 0.5 * (*most - *least);
}

// Largest error of the time between rows a quarter of a second apart, as a share of it: by as much
// a velocity gained in a rep is wrong.
double worst_stretch(const SensorLog& log, const std::vector<TrueRow>& truth, double rate_hz) {
  REQUIRE(log.samples.size() == truth.size());
  const auto apart = static_cast<std::size_t>(std::max(1.0, 0.25 * rate_hz));
  double worst = 0.0;
  for (std::size_t i = apart; i < truth.size(); ++i) {
    const double is_s = log.samples[i].t_s - log.samples[i - apart].t_s;
    const double was_s = truth[i].t_s - truth[i - apart].t_s;
    worst = std::max(worst, std::abs(is_s / was_s - 1.0));
  }
  return worst;
}

}  // namespace

TEST_CASE("written times mean what Python's datetime says", "[sensor]") {
  const std::string script = R"(
import sys
from datetime import datetime, timezone
for line in sys.argv[1:]:
    pattern, text = line.split("=", 1)
    when = datetime.strptime(text, pattern)
    if when.tzinfo is None:
        when = when.replace(tzinfo=timezone.utc)
    print("%.6f" % when.timestamp())
)";
  const std::vector<std::pair<std::string, std::string>> cases = {
      {"%Y-%m-%dT%H:%M:%S.%f%z", "2026-11-25T15:11:42.120+01:00"},
      {"%Y-%m-%dT%H:%M:%S.%f%z", "2026-11-25T15:11:42.120456Z"},
      {"%Y-%m-%dT%H:%M:%S%z", "2024-02-29T23:59:59-0530"},
      {"%Y-%m-%d %H:%M:%S.%f", "2026-01-01 00:00:00.5"},
      {"%Y-%m-%d %H:%M:%S,%f", "2026-12-31 23:59:59,999"},
      {"%Y/%m/%d %H:%M:%S", "2026/03/01 06:07:08"},
      {"%d.%m.%Y %H:%M:%S.%f", "25.11.2026 15:11:42.25"},
      {"%d/%m/%Y %H:%M:%S", "25/11/2026 15:11:42"},
      {"%m/%d/%Y %I:%M:%S.%f %p", "11/25/2026 3:11:42.5 PM"},
      {"%m/%d/%Y %I:%M:%S %p", "11/25/2026 12:00:01 AM"},
      {"%Y%m%dT%H%M%S", ""},  // not read: digits alone are a number
      {"%Y-%m-%d", "2026-11-25"}};
  std::string arguments;
  for (const auto& [pattern, text] : cases) {
    if (!text.empty()) arguments += fmt::format(" '{}={}'", pattern, text);
  }
  const MadeFile program("", "stamps.py");
  std::string printed = python(program.path().string(), script, arguments);
  for (const auto& [pattern, text] : cases) {
    if (text.empty()) continue;
    CAPTURE(text);
    const std::size_t end = printed.find('\n');
    const double expected_s = std::stod(printed.substr(0, end));
    printed.erase(0, end + 1);
    const auto stamp = sensor_detail::stamp_in(text);
    REQUIRE(stamp);
    CHECK(stamp->has_date);
    CHECK(stamp->s == Approx(expected_s).margin(1e-6).epsilon(0));
  }
}

TEST_CASE("clock readings are seconds of the day, and what is no time is none", "[sensor]") {
  CHECK(sensor_detail::stamp_in("15:11:42.125")->s == Approx(54702.125).epsilon(0).margin(1e-9));
  CHECK(sensor_detail::stamp_in("3:11:42.125 pm")->s == Approx(54702.125).epsilon(0).margin(1e-9));
  CHECK(sensor_detail::stamp_in("12:00:00 AM")->s == 0.0);
  CHECK(sensor_detail::stamp_in("11:42.5")->s == Approx(702.5).epsilon(0).margin(1e-9));
  CHECK(sensor_detail::stamp_in("15:11:42:125")->s == Approx(54702.125).epsilon(0).margin(1e-9));
  // The third of April or the fourth of March: only the time of day is certain.
  CHECK(sensor_detail::stamp_in("3/4/2026 01:00:00")->unclear_date);
  CHECK(sensor_detail::stamp_in("3/4/2026 01:00:00")->s == 3600.0);
  for (const char* text : {"",
                           "12",
                           "12.5",
                           "-3:00",
                           "1:2:3:4:5",
                           "25:61:00",
                           "2026-13-01",
                           "abc",
                           "2026-02-30",
                           "1:",
                           ":1",
                           "20261125",
                           "12:00:00 XM",
                           "13:00:00 PM",
                           "1e5",
                           "0x10",
                           "9999999999999999999:00"}) {
    CAPTURE(text);
    CHECK_FALSE(sensor_detail::stamp_in(text));
  }
}

TEST_CASE("written times of any kind give the rows their times", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const auto kind = GENERATE(0, 1, 2, 3);
  CAPTURE(kind);
  const auto stamp = [&](const TrueRow& row) {
    if (kind == 0) return "2026-11-25T" + clock_text(43200.0 + row.t_s, 3) + "Z";
    if (kind == 1) return "25.11.2026 " + clock_text(43200.0 + row.t_s, 3);
    if (kind == 2) return clock_text(43200.0 + row.t_s, 3);
    return fmt::format("00:{:06.3f}", row.t_s);
  };
  const MadeFile file(stamped(truth, "Timestamp", stamp));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 1e-5);
  // 2026-11-25 12:00 UTC, by `date -u -d 2026-11-25T12:00 +%s`.
  CHECK(log.started_unix_s ==
        (kind < 2 ? Approx(1795608000.0).epsilon(0).margin(1e-3) : Approx(0.0)));
}

TEST_CASE("a set that goes on past midnight is one set", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const MadeFile file(stamped(truth, "clock", [](const TrueRow& row) {
    return clock_text(std::fmod(86397.0 + row.t_s, 86400.0), 3);
  }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 1e-5);
  CHECK(says(log, "carried on"));
}

TEST_CASE("a counter that runs over is carried on", "[sensor]") {
  const auto truth = true_rows(100.0, 6.0);
  struct Case {
    const char* unit;
    double unit_s;
    double counts;
  };
  const auto c = GENERATE(Case{"us", 1e-6, 4294967296.0},
                          Case{"ms", 1e-3, 65536.0},
                          Case{"us", 1e-6, 16777216.0},
                          Case{"ms", 1e-3, 4294967296.0});
  CAPTURE(c.unit, c.counts);
  const MadeFile file(stamped(truth, fmt::format("t ({})", c.unit), [&](const TrueRow& row) {
    const double before = 3.0 / c.unit_s;
    return number(std::fmod(c.counts - before + std::round(row.t_s / c.unit_s), c.counts), 0);
  }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 1e-5);
  CHECK(says(log, "carried on"));
}

TEST_CASE("of several clocks the finest is taken, and the wall clock still gives the start",
          "[sensor]") {
  const auto truth = true_rows(100.0, 6.0);
  const MadeFile file(
      written("date,time,epoch (s),elapsed (ms),ax,ay,az", truth, ",", [](const TrueRow& row) {
        auto cells = plain_cells(1.0, 1.0)(row);
        const double wall_s = 1795608000.0 + row.t_s;
        return std::vector<std::string>{"2026-11-25",
                                        clock_text(43200.0 + row.t_s, 0),
                                        number(std::floor(wall_s), 0),
                                        number(1000.0 * row.t_s, 1),
                                        cells[1],
                                        cells[2],
                                        cells[3]};
      }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 1e-4);
  CHECK(says(log, "'elapsed (ms)'"));
  CHECK(log.started_unix_s == Approx(1795608000.0).epsilon(0).margin(1.0));
}

TEST_CASE("whole seconds and their fractions in two columns are one time", "[sensor]") {
  const auto truth = true_rows(50.0, 6.0);
  const bool micro = GENERATE(false, true);
  const MadeFile file(written(micro ? "epoch (s),us,ax,ay,az" : "DateTime,ms,ax,ay,az",
                              truth,
                              ",",
                              [&](const TrueRow& row) {
                                auto cells = plain_cells(1.0, 1.0)(row);
                                const double s = std::floor(row.t_s + 1e-9);
                                cells[0] = number((row.t_s - s) * (micro ? 1e6 : 1e3), 0);
                                cells.insert(cells.begin(),
                                             micro ? number(1795608000.0 + s, 0)
                                                   : "2026-11-25 " + clock_text(43200.0 + s, 0));
                                return cells;
                              }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 1e-5);
  CHECK(log.started_unix_s == Approx(1795608000.0).epsilon(0).margin(1e-3));
}

TEST_CASE("whole seconds and packets are laid out evenly", "[sensor]") {
  const double rate_hz = GENERATE(25.0, 50.0, 104.0, 200.0);
  CAPTURE(rate_hz);
  const auto truth = true_rows(rate_hz, 40.0);
  SECTION("whole seconds") {
    const MadeFile file(stamped(truth, "epoch (s)", [](const TrueRow& row) {
      return number(1795608000.0 + std::floor(row.t_s + 0.37), 0);
    }));
    const SensorLog log = read_log(file.path());
    // A whole second's edge is known to one row; a rep of a quarter second to some per cent.
    CHECK(worst_time_s(log, truth) < 2.0 / rate_hz);
    CHECK(worst_stretch(log, truth, rate_hz) < 0.04);
    CHECK(says(log, "laid out evenly"));
    CHECK(log.rate_hz == Approx(rate_hz).epsilon(0.01));
  }
  SECTION("packets that arrive up to 20 ms late") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> late_s(0.0, 0.02);
    int row_number = 0;
    double arrived_s = 0.0;
    const MadeFile file(stamped(truth, "received (ms)", [&](const TrueRow& row) {
      if (row_number++ % 8 == 0) arrived_s = row.t_s + 7.0 / rate_hz + late_s(random);
      return number(1000.0 * arrived_s, 0);
    }));
    const SensorLog log = read_log(file.path());
    CHECK(worst_time_s(log, truth) < 0.015);
    CHECK(worst_stretch(log, truth, rate_hz) < 0.06);
    CHECK(log.stamp_sigma_s > 0.0);
    CHECK(log.stamp_sigma_s < 0.02);
  }
}

TEST_CASE("stamps of a hundredth are no hindrance at 60 rows a second", "[sensor]") {
  const auto truth = true_rows(60.0, 30.0);
  const MadeFile file(stamped(truth, "time (s)", [](const TrueRow& row) {
    return number(std::floor(100.0 * row.t_s) / 100.0, 2);
  }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 0.01);
  CHECK(worst_stretch(log, truth, 60.0) < 0.03);
}

TEST_CASE("rows that were held back on the way belong into the time before", "[sensor]") {
  const auto truth = true_rows(100.0, 10.0);
  int row_number = 0;
  const MadeFile file(stamped(truth, "time (ms)", [&](const TrueRow& row) {
    const int n = row_number++;
    // From row 400 to 439 the link stood still; then all forty came at once.
    return number(n >= 400 && n < 440 ? 4390.0 : 1000.0 * row.t_s, 0);
  }));
  const SensorLog log = read_log(file.path());
  CHECK(worst_time_s(log, truth) < 0.006);
  CHECK(says(log, "laid out evenly"));
}

TEST_CASE("rows a little out of order are sorted, rows that are there twice dropped", "[sensor]") {
  auto rows = true_rows(100.0, 10.0);
  const auto truth = rows;
  std::swap(rows[200], rows[201]);
  std::rotate(rows.begin() + 500, rows.begin() + 520, rows.begin() + 540);
  rows.insert(rows.begin() + 700, rows[699]);
  const MadeFile file(
      stamped(rows, "time (ms)", [](const TrueRow& row) { return number(1000.0 * row.t_s, 0); }));
  const SensorLog log = read_log(file.path());
  REQUIRE(log.rows == truth.size() + 1);
  CHECK(worst_time_s(log, truth) < 1e-9);
  CHECK(log.samples[510].accel_mps2[0] == Approx(truth[510].accel_mps2[0]).margin(1e-4));
  CHECK(says(log, file.line(203)));  // the header is line 1, row 201 stands first
  CHECK(says(log, "21 rows were out of order"));
  CHECK(says(log, "1 row was there twice and dropped, " + file.line(702)));
}

TEST_CASE("a stray stamp is dropped and the rest kept", "[sensor]") {
  auto rows = true_rows(100.0, 10.0);
  const double stray_s = GENERATE(1e6, 0.0);
  CAPTURE(stray_s);
  rows[500].t_s = stray_s;
  const MadeFile file(
      stamped(rows, "time (ms)", [](const TrueRow& row) { return number(1000.0 * row.t_s, 0); }));
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == rows.size() - 1);
  CHECK(log.samples.back().t_s == Approx(9.99));
  CHECK(says(
      log, "1 row was dropped because the stamp does not fit those around it, " + file.line(502)));
}

TEST_CASE("a hole stays a hole", "[sensor]") {
  auto rows = true_rows(50.0, 10.0);
  rows.erase(rows.begin() + 200, rows.begin() + 260);
  const MadeFile file(
      stamped(rows, "time (ms)", [](const TrueRow& row) { return number(1000.0 * row.t_s, 0); }));
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == rows.size());
  CHECK(log.samples[200].t_s - log.samples[199].t_s == Approx(1.22));
  CHECK(says(log, "Rows are missing in 1 place; the longest hole lasts 1.22 s, from 3.98 s on"));
}

TEST_CASE("jitter is measured and left in the times", "[sensor]") {
  std::mt19937 random(9);
  const double sigma_s = 0.002;
  std::normal_distribution<double> jitter(0.0, sigma_s);
  const auto truth = true_rows(50.0, 40.0);
  const MadeFile file(stamped(truth, "time (s)", [&](const TrueRow& row) {
    return number(5.0 + row.t_s + jitter(random), 5);
  }));
  const SensorLog log = read_log(file.path());
  CHECK(log.samples.size() == truth.size());
  // Of 2000 draws a robust sigma is known to some 3 %; steps of neighbours are not independent.
  CHECK(log.stamp_sigma_s == Approx(sigma_s).epsilon(0.15));
  CHECK(log.rate_hz == Approx(50.0).epsilon(0.01));
}

TEST_CASE("the rate can be given, or stand above the rows", "[sensor]") {
  const auto truth = true_rows(104.0, 6.0);
  int row_number = 0;
  const auto stamp = [&](const TrueRow&) { return std::to_string(row_number++); };
  SECTION("given") {
    const MadeFile file(stamped(truth, "sample", stamp));
    const SensorLog log = read_log(file.path(), {.rate_hz = 104.0});
    CHECK(worst_time_s(log, truth) < 1e-6);
  }
  SECTION("in the file") {
    const MadeFile file("Sampling rate: 104 Hz\n" + stamped(truth, "sample", stamp));
    const SensorLog log = read_log(file.path());
    CHECK(worst_time_s(log, truth) < 1e-6);
    CHECK(says(log, "the file states 104 rows a second"));
  }
  SECTION("neither") {
    const MadeFile file(stamped(truth, "sample", stamp));
    CHECK_THROWS_WITH(read_log(file.path()), Catch::Contains("--rate"));
  }
}

TEST_CASE("time that goes back for good names the line", "[sensor][bad-input]") {
  auto rows = true_rows(100.0, 10.0);
  for (std::size_t i = 600; i < rows.size(); ++i) rows[i].t_s -= 6.0;
  const MadeFile file(
      stamped(rows, "time (ms)", [](const TrueRow& row) { return number(1000.0 * row.t_s, 0); }));
  CHECK_THROWS_WITH(read_log(file.path()),
                    Catch::Contains(file.line(602)) && Catch::Contains("goes back by 5.99 s"));
}

TEST_CASE("time that stands still names the line", "[sensor][bad-input]") {
  const auto rows = true_rows(200.0, 60.0);
  const MadeFile file(stamped(rows, "time (ms)", [](const TrueRow& row) {
    return number(1000.0 * std::min(row.t_s, 5.0), 0);
  }));
  CHECK_THROWS_WITH(read_log(file.path()),
                    Catch::Contains(file.line(1002)) && Catch::Contains("stands still"));
}
