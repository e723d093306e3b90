// Logs that cannot be used are refused with file, line where there is one, reason and mend; so are
// options that make no sense. One row of the table a message.
#include <cmath>
#include <functional>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/read_log.h"
#include "tests/sensor/made_log.h"

using namespace kinetics;
using namespace kinetics_test;

namespace {

struct Bad {
  const char* name;
  std::string text;
  const char* says;
  LogOptions options;
  ErrorCode code;
  int line;  // 0: no line
};

std::string rows_of(const std::string& header, double accel_unit = 1.0) {
  return written(header, true_rows(50.0, 6.0), ",", plain_cells(1.0, accel_unit));
}

std::string gravity_free() {
  auto rows = true_rows(50.0, 6.0);
  for (TrueRow& row : rows) {
    for (double& a : row.accel_mps2)
      a -= true_rows(1.0, 1.0)[0].accel_mps2[&a - &row.accel_mps2[0]];
    if (row.t_s > 1.9) row.accel_mps2 = rows[20].accel_mps2;
  }
  return written("time,linear acceleration x,linear acceleration y,linear acceleration z",
                 rows,
                 ",",
                 plain_cells(1.0, 1.0));
}

std::string mostly_wrong() {
  std::string text = "time,ax,ay,az\n";
  for (const TrueRow& row : true_rows(50.0, 6.0)) {
    const auto cells = plain_cells(1.0, 1.0)(row);
    text += cells[0] + "," + cells[1] + "," + (row.t_s < 5.0 ? cells[2] : "oops") + "," + cells[3] +
            "\n";
  }
  return text;
}

std::string both_commas() {
  std::string text = "time,ax,ay,az\n";
  for (int i = 0; i < 100; ++i) text += "0," + std::to_string(100 + i) + ",0,12,9,81,0,33\n";
  return text;
}

}  // namespace

TEST_CASE("a log that cannot be used is refused, naming the place and the mend",
          "[sensor][bad-input]") {
  const std::string good = rows_of("time,ax,ay,az");
  const ErrorCode unreadable = ErrorCode::kUnreadable;
  const ErrorCode usage = ErrorCode::kUsage;
  const Bad bad = GENERATE_COPY(values<Bad>({
      {"empty", "", "the file is empty", {}, unreadable, 0},
      {"blank", "\n\n  \r\n\t\n", "the file is empty", {}, unreadable, 0},
      {"prose",
       "Dear coach,\nthe log is attached.\nRegards\n",
       "no rows of numbers",
       {},
       unreadable,
       0},
      {"header only", "time,ax,ay,az\n", "no rows of numbers", {}, unreadable, 0},
      {"one column", "1\n2\n3\n4\n5\n6\n", "no rows of numbers", {}, unreadable, 0},
      {"binary",
       std::string("\x7F"
                   "ELF\x02\x01\x01\0\0\0\0\0\0\0\0\0\x03\0\x3E",
                   19),
       "not a text file",
       {},
       unreadable,
       0},
      {"workbook",
       std::string("PK\x03\x04\x14\0\x06\0", 8),
       "workbook or an archive",
       {},
       unreadable,
       0},
      {"compressed", std::string("\x1F\x8B\x08\0", 4), "compressed", {}, unreadable, 0},
      {"JSON", "{\"t\": [1, 2, 3]}\n", "JSON", {}, unreadable, 0},
      {"too short",
       "time,ax,ay,az\n0.00,0.1,0.2,9.8\n0.02,0.1,0.2,9.8\n",
       "only 2 usable rows",
       {},
       unreadable,
       0},
      {"two axes",
       written("time,ax,ay",
               true_rows(50.0, 2.0),
               ",",
               [](const TrueRow& r) {
                 auto cells = plain_cells(1.0, 1.0)(r);
                 cells.pop_back();
                 return cells;
               }),
       "neither acceleration on three axes nor a height",
       {},
       unreadable,
       2},
      {"no time", rows_of("temperature,ax,ay,az"), "no column of times", {}, unreadable, 2},
      {"gravity taken out", gravity_free(), "gravity has been taken out", {}, unreadable, 2},
      {"both commas", both_commas(), "cannot be told apart", {}, unreadable, 2},
      {"many wrong rows",
       mostly_wrong(),
       "'oops' in 'ay' is not a number; 50 of 300 rows are wrong",
       {},
       unreadable,
       252},
      {"a line without end",
       good + std::string(3000000, '7'),
       "longer than 64 kB",
       {},
       unreadable,
       0},
      {"columns: unknown", good, "'speed' is none of", {.columns = "t,ax,ay,speed"}, usage, 0},
      {"columns: too many",
       good,
       "more columns are named than the log has (4)",
       {.columns = "t,ax,ay,az,gx,gy,gz"},
       usage,
       0},
      {"columns: twice", good, "'ax' is named twice", {.columns = "t,ax,ax,az"}, usage, 0},
      {"columns: axes missing",
       good,
       "acceleration needs all three axes",
       {.columns = "t,ax,ay"},
       usage,
       0},
      {"columns: nothing", good, "name either ax, ay and az, or h", {.columns = "t,-,-"}, usage, 0},
      {"units: unknown", good, "no unit of time", {.units = "furlongs"}, usage, 0},
      {"units: twice", good, "given twice", {.units = "g,m/s2"}, usage, 0},
      {"units: wrong kind", good, "no unit of time", {.units = "accel=mm"}, usage, 0},
      {"rate: zero", good, "out of range", {.rate_hz = 0.0}, usage, 0},
      {"rate: not a number", good, "out of range", {.rate_hz = std::nan("")}, usage, 0},
      {"gyroscope missing",
       good,
       "No such file",
       {.gyroscope_file = "/nowhere/gyro.csv"},
       unreadable,
       0},
  }));
  CAPTURE(bad.name);
  const MadeFile file(bad.text);
  bool refused = false;
  try {
    static_cast<void>(read_log(file.path(), bad.options));
  } catch (const Error& error) {
    refused = true;
    CHECK(error.code() == bad.code);
    CHECK_THAT(error.what(), Catch::Contains(bad.says));
    CHECK_FALSE(error.mend().empty());
    if (bad.code == ErrorCode::kUnreadable && bad.options.gyroscope_file.empty()) {
      CHECK(error.where() == (bad.line == 0 ? file.path().string() : file.line(bad.line)));
    }
  }
  CHECK(refused);
}

TEST_CASE("files that are not there or not files are named", "[sensor][bad-input]") {
  CHECK_THROWS_WITH(read_log("no/such/log.csv"), Catch::Contains("no/such/log.csv: No such file"));
  const MadeFile file("x");
  CHECK_THROWS_WITH(read_log(file.path().parent_path()), Catch::Contains("this is a folder"));
}

TEST_CASE("a gyroscope's file given as the log is told from acceleration", "[sensor][bad-input]") {
  const MadeFile file(written("time (s),gx (deg/s),gy (deg/s),gz (deg/s)",
                              true_rows(50.0, 6.0),
                              ",",
                              [](const TrueRow& row) {
                                std::vector<std::string> cells{number(row.t_s, 3)};
                                for (const double w : row.rate_radps) cells.push_back(number(w, 4));
                                return cells;
                              }));
  CHECK_THROWS_WITH(read_log(file.path()), Catch::Contains("rotation rates and no acceleration"));
}

TEST_CASE("a log of heights has no use for a gyroscope", "[sensor][bad-input]") {
  std::string text = "t,height (mm)\n";
  for (int i = 0; i < 100; ++i) text += std::to_string(0.02 * i) + "," + std::to_string(i) + "\n";
  const MadeFile file(text);
  CHECK_THROWS_WITH(read_log(file.path(), {.gyroscope_file = file.path()}),
                    Catch::Contains("no use for a gyroscope"));
}
