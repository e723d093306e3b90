// Wave arithmetic against the common-practice series: 50, 52.5, 55, 57.5, 60 % and back; of 300 kg
// that is 150 to 180 kg, and 3000 to 3600 kg moved at 10 × 2. A lighter second day has 60 % of the
// work, the last session before a meet half. Common practice, no source.
#include "libkinetics/training/wave.h"

#include <cmath>
#include <vector>

#include <catch2/catch.hpp>

#include "tests/training/made_history.h"

using namespace kinetics;
using Catch::Matchers::WithinAbs;
using kinetics_test::day;

namespace {

WavePlan back_from_meet() {
  WavePlan plan;
  plan.lift = "box squat";
  plan.waves = 2;
  plan.last_days_before_meet = 8;
  plan.variants.push_back({.weeks = 3, .bar = "straight bar"});
  plan.variants.push_back({.weeks = 2, .bar = "cambered bar"});
  return plan;
}

const Meet kMeet{.name = "open", .day = *day_in("2032-03-06")};

}  // namespace

TEST_CASE("a wave climbs by steps and goes back", "[training]") {
  WavePlan plan = back_from_meet();
  plan.last_days_before_meet.reset();
  plan.first_day = day("2031-12-05");
  const auto sessions = wave_sessions(plan, std::nullopt);
  REQUIRE(sessions.size() == 10);
  const std::vector<double> loads{150, 157.5, 165, 172.5, 180};
  const std::vector<double> moved{3000, 3150, 3300, 3450, 3600};
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    CHECK_THAT(300.0 * sessions[i].share, WithinAbs(loads[i % 5], 1e-9));
    CHECK_THAT(tonnage_kg(sessions[i].sets, sessions[i].reps, 300.0 * sessions[i].share),
               WithinAbs(moved[i % 5], 1e-9));
    CHECK(sessions[i].wave == 1 + static_cast<int>(i) / 5);
  }
  // Weekly over the year's end and, in 2032, up to a leap day.
  CHECK(in_iso(sessions[4].day) == "2032-01-02");
  CHECK(in_iso(sessions[9].day) == "2032-02-06");
  CHECK(sessions[2].variant.bar == "straight bar");
  CHECK(sessions[3].variant.bar == "cambered bar");
  CHECK(sessions[5].variant.bar == "straight bar");
}

TEST_CASE("waves count back from the meet, and the last session has half the work", "[training]") {
  const auto sessions = wave_sessions(back_from_meet(), kMeet);
  REQUIRE(sessions.size() == 10);
  CHECK(in_iso(sessions.back().day) == "2032-02-27");
  CHECK(in_iso(sessions.front().day) == "2031-12-26");
  CHECK(sessions.back().days_to_meet == 8);
  CHECK(sessions.back().sets * sessions.back().reps == 10);
  CHECK(sessions.back().taper);
  CHECK_THAT(sessions.back().work_share, WithinAbs(0.5, 1e-12));
  CHECK(sessions[8].sets == 10);
  CHECK_FALSE(sessions[8].taper);
}

TEST_CASE("a longer taper is laid on the last sessions in its order", "[training]") {
  WavePlan plan = back_from_meet();
  plan.taper_work_shares = {0.8, 0.5};
  const auto sessions = wave_sessions(plan, kMeet);
  CHECK(sessions[7].sets == 10);
  CHECK(sessions[8].sets == 8);
  CHECK(sessions[9].sets == 5);
}

TEST_CASE("the second day has near 60 % of the work, and none follows the last", "[training]") {
  WavePlan plan = back_from_meet();
  plan.second_day_after = 3;
  const auto sessions = wave_sessions(plan, kMeet);
  REQUIRE(sessions.size() == 19);
  const WaveSession& heavy = sessions[8];
  const WaveSession& light = sessions[9];
  REQUIRE(light.second_day);
  CHECK((light.day - heavy.day).count() == 3);
  const double heavy_kg = tonnage_kg(heavy.sets, heavy.reps, 300.0 * heavy.share);
  CHECK_THAT(heavy_kg, WithinAbs(3600.0, 1e-9));
  CHECK_THAT(tonnage_kg(light.sets, light.reps, 300.0 * light.share), WithinAbs(2160.0, 1e-9));
  CHECK_FALSE(sessions.back().second_day);
}

TEST_CASE("a later wave may begin elsewhere", "[training]") {
  WavePlan plan = back_from_meet();
  plan.reset_share = 0.525;
  const auto sessions = wave_sessions(plan, kMeet);
  CHECK_THAT(sessions[0].share, WithinAbs(0.5, 1e-12));
  CHECK_THAT(sessions[5].share, WithinAbs(0.525, 1e-12));
  CHECK_THAT(sessions[9].share, WithinAbs(0.625, 1e-12));
}

TEST_CASE("sets never vanish", "[training]") {
  CHECK(sets_for_share(10, 0.5) == 5);
  CHECK(sets_for_share(1, 0.1) == 1);
  for (int sets = 1; sets < 30; ++sets) {
    for (double share = 0.05; share < 1.5; share += 0.05) {
      const int left = sets_for_share(sets, share);
      CHECK((left == 1 || std::abs(left - sets * share) <= 0.5 + 1e-9));
    }
  }
}
