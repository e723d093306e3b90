// Paths of a bar that goes up and down, seen at moments beside the stamps; truth is what was put
// in.
#include "libkinetics/tracking/stamp_stray.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include <catch2/catch.hpp>

using namespace kinetics;

namespace {

constexpr double kNoiseM = 0.0004;

/// Twelve rises of 0.6 m with rests between, 30 pictures a second; `taken_s` says when the picture
/// stamped with a time was taken.
template <typename TakenAt>
BarPath path_of(TakenAt taken_s, double noise_m = kNoiseM) {
  std::mt19937 engine(5);
  std::normal_distribution<double> noise(0.0, noise_m);
  BarPath path;
  for (int i = 0; i < 30 * 36; ++i) {
    const double t_s = i / 30.0;
    const double phase = std::clamp(std::fmod(taken_s(i), 3.0) - 0.5, 0.0, 2.0) / 2.0;
    PathPoint p;
    p.t_s = t_s;
    p.y_m = 0.3 * (1.0 - std::cos(2.0 * std::numbers::pi * phase)) + noise(engine);
    p.sigma_y_m = p.sigma_x_m = noise_m;
    path.points.push_back(p);
  }
  return path;
}

double on_time_s(int i) {
  return i / 30.0;
}

}  // namespace

TEST_CASE("pictures taken when they say so do not stray", "[stamps]") {
  CHECK(stray_of_stamps_s(path_of(on_time_s)) == 0.0);
}

TEST_CASE("noise is not taken for stray", "[stamps]") {
  CHECK(stray_of_stamps_s(path_of(on_time_s, 0.006)) == 0.0);
}

TEST_CASE("jittered stamps are found with their size", "[stamps]") {
  const double jitter_s = GENERATE(0.004, 0.008, 0.012);
  std::mt19937 engine(9);
  std::normal_distribution<double> jitter(0.0, jitter_s);
  const BarPath path = path_of([&](int i) { return on_time_s(i) + jitter(engine); });
  CHECK(stray_of_stamps_s(path) == Approx(jitter_s).epsilon(0.2));
}

TEST_CASE("a clip brought from 36 pictures a second to 30 strays by half of one's interval",
          "[stamps]") {
  const BarPath path = path_of([](int i) { return std::round(on_time_s(i) * 36.0) / 36.0; });
  // Even over the interval: its width over the root of 12.
  CHECK(stray_of_stamps_s(path) == Approx(1.0 / 36.0 / std::sqrt(12.0)).epsilon(0.35));
}

TEST_CASE("missing pictures whose time was left out are found", "[stamps]") {
  const BarPath path = path_of([](int i) { return on_time_s(i + i / 9); });
  CHECK(stray_of_stamps_s(path) > 0.005);
}

TEST_CASE("without a second of movement nothing is said", "[stamps]") {
  BarPath path = path_of([](int i) { return on_time_s(i) + (i % 2 == 0 ? 0.01 : 0.0); });
  path.points.resize(30);
  CHECK(stray_of_stamps_s(path) == 0.0);
}
