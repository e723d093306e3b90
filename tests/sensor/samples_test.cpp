// The small logs of tests/data/logs (made by make_logs.py there: what is in them is written there),
// and the fuzz target over them and over mutated copies.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/sensor/read_log.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

using namespace kinetics;

namespace {

const std::filesystem::path kLogs = std::filesystem::path(KINETICS_SOURCE_DIR) / "tests/data/logs";

std::vector<std::string> seeds() {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(kLogs)) {
    if (entry.path().extension() != ".py") paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> all;
  for (const auto& path : paths) {
    std::ifstream file(path, std::ios::binary);
    all.emplace_back(std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>());
  }
  return all;
}

int run(const std::string& bytes) {
  return LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

}  // namespace

TEST_CASE("the small logs are read as what they are", "[sensor]") {
  struct Case {
    const char* name;
    std::size_t samples;
    double rate_hz;
    bool gyroscope;
  };
  const auto c = GENERATE(values<Case>({
      {"epoch_ms_g.csv", 400, 50.0, false},
      {"semicolon_decimal_comma.csv", 400, 50.0, false},
      {"tab_utf16.txt", 400, 50.0, false},
      {"iso_quoted_mg.csv", 400, 50.0, false},
      {"preamble_six_axes.csv", 700, 100.0, true},
      {"raw_counts_no_header.txt", 400, 50.0, false},
      {"packets.csv", 700, 100.0, false},
      {"whole_seconds.csv", 200, 25.0, false},
      {"labelled_rows.csv", 400, 50.0, true},
      {"own_columns_own_rows.csv", 400, 50.0, true},
      {"troubled.csv", 378, 50.0, false},
      {"accel_alone.csv", 700, 100.0, false},
  }));
  CAPTURE(c.name);
  const SensorLog log = read_log(kLogs / c.name);
  CHECK(log.samples.size() == c.samples);
  CHECK(log.rate_hz == Approx(c.rate_hz).epsilon(0.01));
  CHECK(log.has_gyroscope == c.gyroscope);
  // At rest 1 g, tilted by 0.35 and 0.2 rad; 0.004 g of noise a reading.
  const SensorSample& first = log.samples.front();
  CHECK(first.accel_mps2.norm() == Approx(9.80665).margin(0.2));
  CHECK(first.accel_mps2[0] == Approx(9.80665 * std::sin(0.35)).margin(0.2));
}

TEST_CASE("the fuzz target holds on the small logs, cut anywhere and mutated", "[sensor][fuzz]") {
  const std::vector<std::string> all = seeds();
  REQUIRE(all.size() >= 12);
  std::mt19937 random(20261125);
  const auto pick = [&](std::size_t below) {
    return std::uniform_int_distribution<std::size_t>(0, below - 1)(random);
  };
  static constexpr std::string_view kScraps[] = {
      ",",    ";",   "\n",          "\r",          "\"", "-",  "1e308",
      "nan",  ":",   "2026-11-25T", "99999999999", "\t", "#",  "\xFF\xFE",
      "time", "(g)", ".",           "e",           "0x", "--", " "};
  std::size_t finished = 0;
  for (const std::string& seed : all) {
    finished += run(seed) == 0 ? 1 : 0;
    for (int i = 0; i < 12; ++i) {
      std::string bytes = seed.substr(0, 200 + pick(2500));
      for (std::size_t change = 0, changes = 1 + pick(12); change < changes; ++change) {
        const std::size_t at = pick(bytes.size());
        switch (pick(4)) {
          case 0:
            bytes[at] = static_cast<char>(pick(256));
            break;
          case 1:
            bytes.insert(at, kScraps[pick(std::size(kScraps))]);
            break;
          case 2:
            bytes.erase(at, 1 + pick(40));
            break;
          default: {
            const std::string& other = all[pick(all.size())];
            bytes.insert(at, other.substr(pick(other.size()), pick(300)));
          }
        }
        if (bytes.empty()) bytes = " ";
      }
      bytes += static_cast<char>(pick(8));  // chooses the options
      finished += run(bytes) == 0 ? 1 : 0;
    }
  }
  // A broken promise ends the program within the target.
  CHECK(finished == all.size() * 13);
}
