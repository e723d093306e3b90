// Do the intervals hold the truth, and does borrowing help? Counted over simulated clubs whose
// lines are known. 10 000 lifters a check: a true 95 % interval is then seen to hold between 94.4
// and 95.6 % (99 % of runs), so that 93 to 97 % leaves room for approximations and nothing else.
#include <cmath>
#include <cstdio>

#include <catch2/catch.hpp>

#include "libkinetics/profile/profile.h"
#include "tests/profile/simulated_club.h"

namespace kinetics {
namespace {

using kinetics_test::ClubMaker;
using kinetics_test::ClubNature;
using kinetics_test::SimulatedClub;
using kinetics_test::TrueLifter;

constexpr int kClubs = 500;
constexpr int kLifters = 20;
constexpr double kShares[] = {0.45, 0.60, 0.75, 0.90};

struct Tally {
  double held = 0.0;
  double held_next = 0.0;
  double squares = 0.0;
  double width = 0.0;
  double count = 0.0;

  void add(const VelocityLine& line, double load_kg, double truth, double next) {
    const VelocityAt at = velocity_at(line, load_kg);
    held += at.line_mps.lo <= truth && truth <= at.line_mps.hi ? 1.0 : 0.0;
    held_next += at.set_mps.lo <= next && next <= at.set_mps.hi ? 1.0 : 0.0;
    squares += (at.velocity_mps - truth) * (at.velocity_mps - truth);
    width += at.line_mps.hi - at.line_mps.lo;
    count += 1.0;
  }
  [[nodiscard]] double rmse() const { return std::sqrt(squares / count); }
  void print(const char* what) const {
    std::printf("  %-28s line %5.2f %%  next set %5.2f %%  RMSE %6.4f m/s  width %6.4f m/s\n",
                what,
                100.0 * held / count,
                100.0 * held_next / count,
                rmse(),
                width / count);
  }
};

struct Tallies {
  Tally own_sparse, own_rich, club_sparse, club_rich;
};

Tallies run(const ClubNature& nature, const ProfileOptions& options, std::uint64_t seed) {
  Tallies out;
  ClubMaker maker(seed, nature);
  for (int c = 0; c < kClubs; ++c) {
    const SimulatedClub club = maker.make(kLifters);
    const ClubProfiles fitted = fit_profiles(club.sets, &club.roster, options);
    REQUIRE(fitted.profiles.size() == club.lifters.size());
    for (std::size_t i = 0; i < club.lifters.size(); ++i) {
      const TrueLifter& lifter = club.lifters[i];
      const Profile& p = fitted.profiles[i];
      for (const double share : kShares) {
        const double truth = lifter.velocity_mps(share);
        const double next = maker.one_more_mps(lifter, share);
        const double load_kg = share * lifter.best_kg;
        if (p.own_line) {
          (lifter.sparse ? out.own_sparse : out.own_rich).add(*p.own_line, load_kg, truth, next);
        }
        if (p.pooled_lifters > 0) {
          (lifter.sparse ? out.club_sparse : out.club_rich).add(*p.line, load_kg, truth, next);
        }
      }
    }
  }
  std::printf("%d clubs of %d lifters:\n", kClubs, kLifters);
  out.own_sparse.print("alone, 2 or 3 sets");
  out.own_rich.print("alone, 3 to 8 days");
  out.club_sparse.print("leaning, 2 or 3 sets");
  out.club_rich.print("leaning, 3 to 8 days");
  return out;
}

void check_held(const Tally& t) {
  CHECK(t.held / t.count >= 0.93);
  CHECK(t.held / t.count <= 0.97);
  CHECK(t.held_next / t.count >= 0.93);
  CHECK(t.held_next / t.count <= 0.97);
}

TEST_CASE("intervals hold the truth and borrowing helps lifters with few sets", "[profile]") {
  const Tallies t = run({}, {.half_life_days = 0.0}, 20310307);
  check_held(t.club_sparse);
  check_held(t.club_rich);
  check_held(t.own_rich);
  REQUIRE(t.club_sparse.count > 0.9 * t.own_sparse.count);
  CHECK(t.club_sparse.rmse() < t.own_sparse.rmse());
  CHECK(t.club_rich.rmse() < t.own_rich.rmse());
}

TEST_CASE("intervals hold the truth when older sets count less", "[profile]") {
  const Tallies t = run({}, {.half_life_days = 28.0}, 20310308);
  check_held(t.club_sparse);
  check_held(t.club_rich);
  check_held(t.own_rich);
}

TEST_CASE("wild sets cost little, and the intervals still hold the truth", "[profile]") {
  // One set in 20 is 0.15 to 0.40 m/s off: the wrong load on the sheet, a missed lift.
  const ClubNature wild{.wild_share = 0.05};
  std::printf("One set in 20 wild, judged. ");
  const Tallies judged = run(wild, {.half_life_days = 0.0}, 20310309);
  std::printf("The same, all taken as good. ");
  const Tallies kept = run(wild, {.half_life_days = 0.0, .outlier_deviations = 0.0}, 20310309);
  check_held(judged.own_rich);
  check_held(judged.club_rich);
  check_held(judged.club_sparse);
  CHECK(judged.own_rich.rmse() < 0.75 * kept.own_rich.rmse());
  CHECK(judged.club_rich.rmse() < 0.75 * kept.club_rich.rmse());
  CHECK(judged.club_sparse.rmse() < 0.85 * kept.club_sparse.rmse());
}

}  // namespace
}  // namespace kinetics
