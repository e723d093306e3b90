// Logs through the whole analysis, against the exact truth of the motion they were made from: a bar
// that goes up and down as a minimum-jerk curve (T. Flash, N. Hogan, J Neurosci 1985;
// 5:1688-1703), whose mean velocity is travel over time and whose peak is 15/8 of that.
#include <cmath>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/session/analyse.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::spill;

namespace {

constexpr double kTravel_m = 0.60;
constexpr double kRise_s = 1.0;
constexpr double kGravity_mps2 = 9.80665;
// The rise counts from 0.02 m/s to 0.02 m/s: 30 s²(1 − s)² · 0.6 m/s passes that at s = 0.03453, so
// it lasts 0.93095 s and gains 0.59953 m.
constexpr double kMean_mps = 0.59953 / 0.93095;

/// Where the bar is, and its acceleration, `t` seconds into one way of `kTravel_m`.
struct Way {
  double height_m = 0.0;
  double accel_mps2 = 0.0;
};
Way minimum_jerk(double t, double direction) {
  const double s = std::clamp(t / kRise_s, 0.0, 1.0);
  return {
      direction * kTravel_m * (10 * std::pow(s, 3) - 15 * std::pow(s, 4) + 6 * std::pow(s, 5)),
      direction * kTravel_m / (kRise_s * kRise_s) * (60 * s - 180 * s * s + 120 * std::pow(s, 3))};
}

/// Four reps: down, up, and a second held at the top; two seconds of rest before and after.
Way squats(double t) {
  constexpr double kCycle_s = 2.0 * kRise_s + 1.0;
  constexpr int kReps = 4;
  const double in = t - 2.0;
  if (in < 0.0 || in >= kReps * kCycle_s) return {};
  const double at = std::fmod(in, kCycle_s);
  if (at < kRise_s) return minimum_jerk(at, -1.0);
  if (at >= 2.0 * kRise_s) return {};
  Way up = minimum_jerk(at - kRise_s, 1.0);
  up.height_m -= kTravel_m;
  return up;
}

constexpr double kLasts_s = 16.0;

std::string accelerations(double rate_hz) {
  std::string text = "time (s);ax (g);ay (g);az (g);gx (deg/s);gy (deg/s);gz (deg/s)\n";
  const int rows = static_cast<int>(kLasts_s * rate_hz);
  for (int i = 0; i < rows; ++i) {
    const double t = i / rate_hz;
    const double up_g = 1.0 + squats(t).accel_mps2 / kGravity_mps2;
    // Two thousandths of a g of dither: a real sensor's last digit is never still.
    const double dither = 0.002 * std::sin(12.9898 * i);
    text += fmt::format("{:.4f};{:.4f};{:.4f};{:.4f};{:.2f};{:.2f};{:.2f}\n",
                        t,
                        0.6 * up_g + dither,
                        0.001 - dither,
                        -0.8 * up_g + dither,
                        0.1,
                        -0.05,
                        0.02);
  }
  return text;
}

std::string heights_mm(double rate_hz) {
  std::string text = "ms,height mm\n";
  const int rows = static_cast<int>(kLasts_s * rate_hz);
  for (int i = 0; i < rows; ++i) {
    const double t = i / rate_hz;
    text += fmt::format("{:.0f},{:.1f}\n", 1000.0 * t, 1000.0 * (1.2 + squats(t).height_m));
  }
  return text;
}

}  // namespace

TEST_CASE("an accelerometer's log gives the reps it was made from", "[session][log]") {
  const Folder folder;
  spill(folder / "collar.csv", accelerations(100.0));
  const Session session = analyse_log(folder / "collar.csv");
  REQUIRE(session.log);
  CHECK(session.log->has_gyroscope);
  CHECK(session.log->rows == 1600);
  CHECK(session.log->rate_hz == Approx(100.0).epsilon(0.01));
  CHECK_FALSE(has_clip(session));
  REQUIRE(session.reps.size() == 4);
  for (const Rep& rep : session.reps) {
    REQUIRE(rep.mean_velocity_mps.ok());
    CHECK(rep.mean_velocity_mps.value() == Approx(kMean_mps).margin(0.04));
    CHECK(rep.peak_velocity_mps.value() == Approx(15.0 / 8.0 * kTravel_m / kRise_s).margin(0.06));
    CHECK(rep.rom_m.value() == Approx(kTravel_m).margin(0.03));
    CHECK(rep.mean_velocity_mps.lo() < kMean_mps);
    CHECK(rep.mean_velocity_mps.hi() > kMean_mps);
    CHECK_FALSE(rep.sideways_m.ok());
  }
}

TEST_CASE("a cable encoder's log gives the reps it was made from", "[session][log]") {
  const Folder folder;
  spill(folder / "cable.csv", heights_mm(50.0));
  const Session session = analyse_log(folder / "cable.csv");
  REQUIRE(session.log);
  CHECK(session.log->holds_positions);
  REQUIRE(session.reps.size() == 4);
  for (const Rep& rep : session.reps) {
    CHECK(rep.rom_m.value() == Approx(kTravel_m).margin(0.002));
    CHECK(rep.peak_velocity_mps.value() == Approx(15.0 / 8.0 * kTravel_m / kRise_s).margin(0.02));
  }
}

TEST_CASE("a log in which nothing is lifted has no reps", "[session][log]") {
  const Folder folder;
  std::string text = "t,ax,ay,az\n";
  for (int i = 0; i < 1000; ++i) {
    text += fmt::format("{:.2f},{:.3f},0.010,1.000\n", 0.01 * i, 0.002 * std::sin(7.1 * i));
  }
  spill(folder / "still.csv", text);
  CHECK(analyse_log(folder / "still.csv").reps.empty());
}

TEST_CASE("an error about the estimate names the log", "[session][log]") {
  const Folder folder;
  spill(folder / "short.csv", "t,ax,ay,az\n0.00,0,0,1\n0.01,0,0,1\n0.02,0,0,1.01\n0.03,0,0,1\n");
  try {
    (void)analyse_log(folder / "short.csv");
    FAIL("a log of 40 ms was taken");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK_THAT(error.where(), Catch::Contains("short.csv"));
  }
}

TEST_CASE("a log is known by the ending of its name", "[session][log]") {
  CHECK(names_a_log("a/b/set.csv"));
  CHECK(names_a_log("SET.CSV"));
  CHECK(names_a_log("x.tsv"));
  CHECK_FALSE(names_a_log("x.mp4"));
  CHECK_FALSE(names_a_log("csv"));
  CHECK_FALSE(names_a_log("folder.csv/set.mov"));
}
