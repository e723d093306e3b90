// A lifter of few sets, one of which was written down wrongly, in a simulated club whose lines are
// known. How often the intervals hold over many clubs is counted in club_coverage_test.cpp.
#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/profile/profile.h"
#include "tests/profile/simulated_club.h"

namespace kinetics {
namespace {

using Catch::Contains;
using kinetics_test::ClubMaker;
using kinetics_test::SimulatedClub;
using kinetics_test::TrueLifter;

/// The sets of the first lifter, who has two or three.
std::vector<LiftedSet*> sparse_sets(SimulatedClub& club) {
  std::vector<LiftedSet*> out;
  for (LiftedSet& set : club.sets) {
    if (set.lifter == club.lifters[0].name) out.push_back(&set);
  }
  return out;
}

double off_at(const Profile& profile, const TrueLifter& lifter, double share) {
  REQUIRE(profile.line);
  return velocity_at(*profile.line, share * lifter.best_kg).velocity_mps -
         lifter.velocity_mps(share);
}

std::string notes_of(const Profile& profile) {
  std::string out;
  for (const Note& note : profile.notes) out += note.text + "\n";
  return out;
}

}  // namespace

TEST_CASE("a wild set of a lifter with few is doubted, told, and moves the line little",
          "[profile]") {
  ClubMaker maker(20310307, {});
  double doubted = 0.0;
  double judged_squares = 0.0;
  double kept_squares = 0.0;
  constexpr int kClubs = 20;
  int lost_judged = 0;
  int lost_kept = 0;
  for (int i = 0; i < kClubs; ++i) {
    SimulatedClub club = maker.make(10);
    LiftedSet& wrong = *sparse_sets(club).front();
    Measured& v = wrong.reps.front().mean_velocity_mps;
    v = Measured(v.value() - 0.35, v.sigma());  // as with 50 kg more on the bar than written
    const Profile judged = fit_profiles(club.sets, &club.roster).profiles.front();
    const Profile kept =
        fit_profiles(club.sets, &club.roster, {.outlier_deviations = 0.0}).profiles.front();
    REQUIRE(judged.variant.lifter == club.lifters[0].name);
    const bool told = judged.points.front().doubt > 0.5;
    doubted += told ? 1.0 : 0.0;
    if (told) CHECK_THAT(notes_of(judged), Contains("look at its load on the sheet"));
    // A line that rises with load is none. Taken as good, such a set can turn a line round.
    lost_judged += judged.line ? 0 : 1;
    lost_kept += kept.line ? 0 : 1;
    if (judged.line && kept.line) {
      judged_squares += std::pow(off_at(judged, club.lifters[0], 0.6), 2);
      kept_squares += std::pow(off_at(kept, club.lifters[0], 0.6), 2);
    }
    for (const ProfilePoint& p : kept.points) CHECK(p.doubt == 0.0);
  }
  CHECK(doubted >= 0.7 * kClubs);
  CAPTURE(lost_judged, lost_kept);
  CHECK(2 * lost_judged <= lost_kept);
  CHECK(judged_squares < 0.5 * kept_squares);
}

TEST_CASE("good sets are seldom doubted, and never those of a lifter with many", "[profile]") {
  ClubMaker maker(20310308, {});
  double doubted = 0.0;
  double sets = 0.0;
  for (int i = 0; i < 20; ++i) {
    const SimulatedClub club = maker.make(10);
    for (const Profile& p : fit_profiles(club.sets, &club.roster).profiles) {
      for (const ProfilePoint& q : p.points) {
        CHECK((q.doubt >= 0.0 && q.doubt <= 1.0));
        if (p.points.size() >= 5) CHECK(q.doubt == 0.0);
        sets += p.points.size() < 5 ? 1.0 : 0.0;
        doubted += q.doubt > 0.5 ? 1.0 : 0.0;
      }
    }
  }
  CHECK(doubted <= 0.02 * sets);
}

}  // namespace kinetics
