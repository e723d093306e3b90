// The parts of scripts/bench logs that are ours: makes an hour of six axes at 1 kHz, and reads it.
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <random>
#include <span>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/sensor/read_log.h"

namespace {

// Seeded noise about stillness: what a number says does not change how long it takes to read.
int make(const char* path, long rows) {
  std::FILE* const file = std::fopen(path, "wb");
  if (file == nullptr) return EXIT_FAILURE;
  std::mt19937 random(7);
  std::normal_distribution<float> accel_g(0.0F, 0.05F);
  std::normal_distribution<float> rate_dps(0.0F, 20.0F);
  std::string block = "timestamp (ms),ax (g),ay (g),az (g),gx (deg/s),gy (deg/s),gz (deg/s)\n";
  for (long i = 0; i < rows; ++i) {
    fmt::format_to(std::back_inserter(block),
                   "{},{:.5f},{:.5f},{:.5f},{:.4f},{:.4f},{:.4f}\n",
                   1795608000000 + i,
                   0.1F + accel_g(random),
                   -0.2F + accel_g(random),
                   0.97F + accel_g(random),
                   rate_dps(random),
                   rate_dps(random),
                   rate_dps(random));
    if (block.size() > (1U << 20U) || i + 1 == rows) {
      if (std::fwrite(block.data(), 1, block.size(), file) != block.size()) return EXIT_FAILURE;
      block.clear();
    }
  }
  return std::fclose(file) == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

int read(const char* path, bool stream) {
  std::size_t samples = 0;
  if (stream) {
    static_cast<void>(kinetics::read_log(
        path, {}, [&](const kinetics::SensorLog&, std::span<const kinetics::SensorSample> some) {
          samples += some.size();
        }));
  } else {
    samples = kinetics::read_log(path).samples.size();
  }
  std::printf("%zu\n", samples);
  return EXIT_SUCCESS;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string_view what = argc > 2 ? argv[1] : "";
  try {
    if (what == "make" && argc == 4) return make(argv[2], std::atol(argv[3]));
    if (what == "whole") return read(argv[2], false);
    if (what == "stream") return read(argv[2], true);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "log_reading: %s\n", error.what());
    return EXIT_FAILURE;
  }
  std::fprintf(stderr, "usage: log_reading make FILE ROWS | whole FILE | stream FILE\n");
  return 2;
}
