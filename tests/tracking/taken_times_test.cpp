// Paths of a bar whose height is known in closed form at every moment, seen at moments beside the
// stamps; truth is what was put in.
#include "libkinetics/tracking/taken_times.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/tracking/mend_times.h"

using namespace kinetics;

namespace {

constexpr double kNoiseM = 0.0004;
constexpr double kRepS = 3.0;
constexpr double kLengthS = 36.0;

/// Twelve times down and up by 0.6 m within 2 s, a rest of a second between.
double height_m(double t_s) {
  const double phase = std::clamp(std::fmod(t_s, kRepS) - 0.5, 0.0, 2.0) / 2.0;
  return -0.3 * (1.0 - std::cos(2.0 * std::numbers::pi * phase));
}

double speed_mps(double t_s) {
  return std::abs(height_m(t_s + 0.005) - height_m(t_s - 0.005)) / 0.01;
}

/// One picture taken at each of these moments, stamped at `rate_hz`.
BarPath path_of(const std::vector<double>& taken_s, double rate_hz, double noise_m = kNoiseM) {
  std::mt19937 engine(5);
  std::normal_distribution<double> noise(0.0, noise_m);
  BarPath path;
  for (std::size_t i = 0; i < taken_s.size(); ++i) {
    PathPoint p;
    p.t_s = static_cast<double>(i) / rate_hz;
    p.y_m = height_m(taken_s[i]) + noise(engine);
    p.sigma_y_m = p.sigma_x_m = noise_m;
    path.points.push_back(p);
  }
  return path;
}

/// Moments at which pictures are shown whose stamps are even.
template <typename TakenAt>
std::vector<double> shown(double rate_hz, TakenAt taken_s) {
  std::vector<double> out;
  for (int i = 0; i < static_cast<int>(kLengthS * rate_hz); ++i)
    out.push_back(taken_s(i / rate_hz));
  return out;
}

/// The largest difference, but for one that all share, between times found and true where the bar
/// moves fast; of the same rep only, when `by_rep`.
double farthest_off_s(const TakenTimes& found, const std::vector<double>& taken_s, bool by_rep) {
  double farthest = 0.0;
  const double rep_s = by_rep ? kRepS : 2.0 * kLengthS;
  for (double from_s = 0.0; from_s < kLengthS; from_s += rep_s) {
    std::vector<double> off_s;
    for (std::size_t i = 0; i < taken_s.size(); ++i) {
      const bool within = taken_s[i] >= from_s && taken_s[i] < from_s + rep_s;
      if (within && speed_mps(taken_s[i]) > 0.4 && !found.left_out[i]) {
        off_s.push_back(found.t_s[i] - taken_s[i]);
      }
    }
    if (off_s.empty()) continue;
    const auto [least, most] = std::minmax_element(off_s.begin(), off_s.end());
    farthest = std::max(farthest, *most - *least);
  }
  return farthest;
}

}  // namespace

TEST_CASE("pictures taken when they say so are left alone", "[taken-times]") {
  const double noise_m = GENERATE(0.0002, 0.001, 0.003);
  const auto taken_s = shown(30.0, [](double t) { return t; });
  CHECK_FALSE(taken_times(path_of(taken_s, 30.0, noise_m)).has_value());
}

TEST_CASE("the clock behind a clip that was brought to another rate is found", "[taken-times]") {
  struct Case {
    double source_hz, rate_hz;
  };
  const auto c = GENERATE(Case{30.0, 25.0},
                          Case{30.0, 24.0},
                          Case{29.97, 25.0},
                          Case{25.0, 30.0},
                          Case{50.0, 30.0},
                          Case{60.0, 25.0},
                          Case{60.0, 50.0});
  const auto taken_s = shown(
      c.rate_hz, [&](double t) { return std::round((t + 0.003) * c.source_hz) / c.source_hz; });
  const auto found = taken_times(path_of(taken_s, c.rate_hz));
  REQUIRE(found.has_value());
  CHECK(found->source_hz > 0.0);
  CHECK(farthest_off_s(*found, taken_s, true) < 0.1 / c.source_hz);
}

TEST_CASE("of two pictures mixed the one is told whose rim was seen", "[taken-times]") {
  std::mt19937 engine(11);
  std::bernoulli_distribution heads(0.5);
  const auto taken_s = shown(25.0, [&](double t) {
    const double place = t * 30.0;
    const double share = place - std::floor(place);
    const bool either = share > 0.3 && share < 0.7;
    const bool later = either ? heads(engine) : share > 0.5;
    return (std::floor(place) + (later ? 1.0 : 0.0)) / 30.0;
  });
  const auto found = taken_times(path_of(taken_s, 25.0));
  REQUIRE(found.has_value());
  CHECK(found->source_hz == Approx(30.0).epsilon(0.002));
  CHECK(farthest_off_s(*found, taken_s, true) < 0.005);
}

TEST_CASE("pictures that are missing between even stamps are found", "[taken-times]") {
  const double share = GENERATE(0.03, 0.12);
  std::mt19937 engine(3);
  std::bernoulli_distribution missing(share);
  std::vector<double> taken_s;
  double absent = 0.0;
  for (int i = 0; i < static_cast<int>(kLengthS * 30.0); ++i) {
    if (i > 0 && missing(engine)) {
      absent += speed_mps(i / 30.0) > 0.15 ? 1.0 : 0.0;
    } else {
      taken_s.push_back(i / 30.0);
    }
  }
  const auto found = taken_times(path_of(taken_s, 30.0));
  REQUIRE(found.has_value());
  CHECK(found->source_hz == 0.0);
  CHECK(static_cast<double>(found->missing) == Approx(absent).margin(0.1 * absent + 1.0));
  // While the bar turns round a missing picture does not show.
  CHECK(farthest_off_s(*found, taken_s, true) < 2.5 / 30.0);
  CHECK(found->slow_sigma_s > 0.0);
}

TEST_CASE("pictures shown again in the place of missing ones are told apart", "[taken-times]") {
  std::mt19937 engine(4);
  std::bernoulli_distribution missing(0.08);
  double last_s = 0.0;
  const auto taken_s = shown(30.0, [&](double t) {
    if (!missing(engine)) last_s = t;
    return last_s;
  });
  const auto found = taken_times(path_of(taken_s, 30.0));
  REQUIRE(found.has_value());
  CHECK(found->missing == 0);
  CHECK(std::count(found->left_out.begin(), found->left_out.end(), true) > 10);
  CHECK(farthest_off_s(*found, taken_s, true) < 1.5 / 30.0);
}

TEST_CASE("neither jolts nor another edge are taken for missing pictures", "[taken-times]") {
  const auto taken_s = shown(30.0, [](double t) { return t; });
  BarPath path = path_of(taken_s, 30.0);
  SECTION("a bar that falls onto a box") {
    for (PathPoint& p : path.points) p.y_m = std::max(p.y_m, -0.35);
  }
  SECTION("another edge of the disc is followed from some moments on") {
    for (std::size_t i = 0; i < path.points.size(); ++i) {
      if (i % 41 > 20) path.points[i].y_m += 0.012;
    }
  }
  SECTION("a wrong edge in single pictures") {
    std::mt19937 engine(8);
    std::normal_distribution<double> off_m(0.0, 0.03);
    for (std::size_t i = 0; i < path.points.size(); i += 7) path.points[i].y_m += off_m(engine);
  }
  CHECK_FALSE(taken_times(path).has_value());
}

TEST_CASE("what is mended is said, and points stay in order", "[taken-times]") {
  const auto taken_s = shown(25.0, [](double t) { return std::round(t * 30.0) / 30.0; });
  BarPath path = path_of(taken_s, 25.0);
  for (std::size_t i = 100; i < 130; ++i) path.points[i].seen = false;
  Notes notes;
  mend_times(path, notes);
  REQUIRE(notes.size() == 1);
  CHECK_THAT(notes[0].text, Catch::Contains("30 a second"));
  CHECK_NOTHROW(check(path));
  judge_stamps(path, 1e-5, notes);
  CHECK(notes.size() == 1);
  CHECK(path.stamp_sigma_s < 0.001);
}
