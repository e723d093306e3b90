// Rows, stamps and clocks: what the spec asks for is what the file has. Counts are checked against
// the binomial spread of the shares asked for (four sigma).
#include <cmath>

#include <catch2/catch.hpp>

#include "tests/simulate/made_log.h"

using Catch::Matchers::WithinAbs;

TEST_CASE("rows come at the rate asked for", "[simulate]") {
  const double rate = GENERATE(12.5, 25.0, 98.7, 1000.0);
  const simulate::SimulatedLog log =
      simulate::simulate_log(made::resting(10.0), made::perfect(rate));
  CHECK_THAT(double(log.rows.size()), WithinAbs(14.0 * rate, 1.01));  // 2 s before and after
  CHECK(log.rows.front().stamp_s == 0.0);
  CHECK_THAT(log.rows[10].stamp_s, WithinAbs(10.0 / rate, 1e-12));
}

TEST_CASE("a fast clock's stamps and truth run ahead together", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  const render::Scene scene = made::lifting("squat");
  const simulate::SimulatedLog right = simulate::simulate_log(scene, spec);
  spec.clock.skew_ppm = 200.0;
  spec.starts_before_s = 3.0;
  const simulate::SimulatedLog fast = simulate::simulate_log(scene, spec);
  for (std::size_t k = 0; k < right.truth.reps.size(); ++k) {
    // The first log starts 2 s before the clip, the second 3 s before it.
    CHECK_THAT(fast.truth.reps[k].start_s,
               WithinAbs((right.truth.reps[k].start_s + 1.0) * (1.0 + 200e-6), 1e-9));
    CHECK_THAT(fast.truth.reps_in_clip[k].start_s,
               WithinAbs(right.truth.reps_in_clip[k].start_s, 1e-12));
    CHECK_THAT(fast.truth.first_row_in_clip_s + fast.truth.reps[k].end_s / (1.0 + 200e-6),
               WithinAbs(fast.truth.reps_in_clip[k].end_s, 1e-9));
  }
  CHECK_THAT(fast.rows[1000].stamp_s, WithinAbs(10.0 * (1.0 + 200e-6), 1e-9));
}

TEST_CASE("dropped, repeated and missing rows are as many as asked for", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  const double rows = double(simulate::simulate_log(made::resting(100.0), spec).rows.size());
  SECTION("dropped one by one") {
    spec.clock.dropped_share = 0.1;
    const double left = double(simulate::simulate_log(made::resting(100.0), spec).rows.size());
    CHECK_THAT(left, WithinAbs(0.9 * rows, 4.0 * std::sqrt(0.09 * rows)));
  }
  SECTION("repeated") {
    spec.clock.repeated_share = 0.05;
    const double more = double(simulate::simulate_log(made::resting(100.0), spec).rows.size());
    CHECK_THAT(more, WithinAbs(1.05 * rows, 4.0 * std::sqrt(0.05 * 0.95 * rows)));
  }
  SECTION("a gap") {
    spec.clock.gaps = {{.at_s = 5.0, .length_s = 1.5}};
    const auto log = simulate::simulate_log(made::resting(100.0), spec);
    CHECK(log.rows.size() == std::size_t(rows) - 150);
    for (const simulate::Row& row : log.rows) {
      const double clip_s = row.stamp_s + log.truth.first_row_in_clip_s;
      CHECK((clip_s < 5.0 || clip_s >= 6.5 - 1e-9));
    }
  }
}

TEST_CASE("a sleeping logger wakes for every lift", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(50.0);
  spec.clock.awake_s = 2.0;
  render::Scene scene = made::lifting("bench", 3);
  scene.motion.sets[0].before_s = 60.0;
  const simulate::SimulatedLog log = simulate::simulate_log(scene, spec);
  double awake_s = 0.0, widest_s = 0.0;
  for (std::size_t k = 1; k < log.rows.size(); ++k) {
    const double step = log.rows[k].stamp_s - log.rows[k - 1].stamp_s;
    (step < 0.1 ? awake_s : widest_s) += step;
    for (const render::RepTruth& rep : log.truth.reps) {
      const bool across =
          log.rows[k].stamp_s > rep.start_s - 1.5 && log.rows[k - 1].stamp_s < rep.end_s + 1.5;
      if (across && step > 0.1) FAIL("asleep for " << step << " s beside a repetition");
    }
  }
  CHECK(awake_s < 40.0);
}

TEST_CASE("jitter moves rows and their stamps, errors the stamps alone", "[simulate]") {
  const double rate = 100.0;
  const auto spread = [&](const simulate::SensorSpec& spec) {
    const simulate::SimulatedLog log = simulate::simulate_log(made::resting(100.0), spec);
    double sum = 0.0;
    for (std::size_t k = 0; k < log.rows.size(); ++k)
      sum += std::pow(log.rows[k].stamp_s - log.rows[0].stamp_s - double(k) / rate, 2);
    return std::sqrt(sum / double(log.rows.size()));
  };
  simulate::SensorSpec jitter = made::perfect(rate), wrong = made::perfect(rate);
  jitter.clock.jitter_s = 0.001;
  wrong.clock.stamp_error_s = 0.001;
  // The first row's own shift adds to all of them: up to three sigma.
  CHECK(spread(jitter) > 0.00095);
  CHECK(spread(jitter) < 0.0033);
  CHECK(spread(wrong) > 0.00095);
  CHECK(spread(wrong) < 0.0033);
}

TEST_CASE("a position log holds the bar's height in its own steps", "[simulate]") {
  simulate::SensorSpec spec = made::perfect(100.0);
  spec.kind = "position";
  spec.errors.height_step_mm = 2.0;
  const simulate::SimulatedLog log = simulate::simulate_log(made::lifting("deadlift"), spec);
  for (const render::RepTruth& rep : log.truth.reps) {
    const auto height = [&](double t) {
      return log.rows[static_cast<std::size_t>(std::lround(100.0 * t))].height_m;
    };
    // Two roundings of 1 mm, half a row at 0.02 m/s, and a cable that leans by the bar's 3 cm of
    // sideways travel: 0.03²/(2 · 0.2) = 2 mm at the bottom.
    CHECK_THAT(height(rep.end_s) - height(rep.start_s), WithinAbs(rep.rom_m, 0.0045));
  }
  CHECK_THAT(log.rows[777].height_m / 0.002,
             WithinAbs(std::round(log.rows[777].height_m / 0.002), 1e-9));
}

TEST_CASE("a filtered sensor lags by what the truth says", "[simulate]") {
  // The same lift with and without a filter: the filtered readings fit the others best when they
  // are moved back by the lag. 1 ms is a row.
  simulate::SensorSpec spec = made::perfect(1000.0);
  const render::Scene scene = made::lifting("bench");
  const simulate::SimulatedLog sharp = simulate::simulate_log(scene, spec);
  spec.errors.filter_hz = 12.5;
  const simulate::SimulatedLog soft = simulate::simulate_log(scene, spec);
  CHECK(sharp.truth.lag_s == 0.0);
  std::size_t best = 0;
  double least = 1e9;
  for (std::size_t lag = 0; lag < 60; ++lag) {
    double sum = 0.0;
    for (std::size_t k = 0; k + lag < soft.rows.size(); ++k)
      sum += (soft.rows[k + lag].accel_mps2 - sharp.rows[k].accel_mps2).squaredNorm() /
             double(soft.rows.size() - lag);
    if (sum < least) least = sum, best = lag;
  }
  CHECK_THAT(1e-3 * double(best), WithinAbs(soft.truth.lag_s, 1e-3));
}
