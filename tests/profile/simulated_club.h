#pragma once

#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/history/lifted_set.h"
#include "libkinetics/profile/points.h"
#include "libkinetics/roster/roster.h"

/// Clubs of invented lifters whose true lines are known.

namespace kinetics_test {

/// How lifters, days and sets differ: of the size published for trained lifters over shares of the
/// best single (between-lifter SD of velocity at one share 0.05 to 0.10 m/s; typical error of a
/// repeat 0.03 m/s). The checks do not hang on the sizes.
struct ClubNature {
  double intercept_mps = 1.75;
  double slope_mps = -1.45;  ///< over the whole best single
  double intercept_sd_mps = 0.10;
  double slope_sd_mps = 0.12;
  double correlation = -0.4;
  double day_sd_mps = 0.02;
  double set_sd_mps = 0.03;
  double measurement_sd_mps = 0.008;
  double wild_share = 0.0;  ///< of sets, which are 0.15 to 0.4 m/s off
};

struct TrueLifter {
  std::string name;
  double best_kg = 0.0;
  double intercept_mps = 0.0;
  double slope_mps = 0.0;
  bool sparse = false;
  [[nodiscard]] double velocity_mps(double share) const {
    return intercept_mps + slope_mps * share;
  }
};

struct SimulatedClub {
  std::vector<TrueLifter> lifters;
  std::vector<kinetics::LiftedSet> sets;
  kinetics::Roster roster;
};

class ClubMaker {
 public:
  ClubMaker(std::uint64_t seed, ClubNature nature) : random_(seed), nature_(nature) {}

  /// Half of the lifters have two or three sets, the others three to eight days of three or four.
  SimulatedClub make(int lifters) {
    SimulatedClub club;
    for (int i = 0; i < lifters; ++i) {
      TrueLifter lifter = new_lifter(i);
      lifter.sparse = i % 2 == 0;
      if (lifter.sparse) {
        const int sets = 2 + whole(0, 1);
        add_day(club, lifter, 0, sets);
      } else {
        const int days = whole(3, 8);
        for (int day = 0; day < days; ++day) add_day(club, lifter, day, whole(3, 4));
      }
      kinetics::Lifter entry{.name = lifter.name, .lifts = {}};
      entry.lifts.emplace_back();
      entry.lifts.back().lift = "squat";
      entry.lifts.back().best_single_kg = lifter.best_kg;
      club.roster.lifters.push_back(entry);
      club.lifters.push_back(lifter);
    }
    return club;
  }

  /// One more set of a lifter on a new day, its measurement error left out.
  double one_more_mps(const TrueLifter& lifter, double share) {
    return lifter.velocity_mps(share) + nature_.day_sd_mps * normal() +
           nature_.set_sd_mps * normal();
  }

 private:
  double normal() { return std::normal_distribution<double>()(random_); }
  double between(double lo, double hi) {
    return std::uniform_real_distribution<double>(lo, hi)(random_);
  }
  int whole(int lo, int hi) { return std::uniform_int_distribution<int>(lo, hi)(random_); }

  TrueLifter new_lifter(int number) {
    const double z = normal();
    const double own = nature_.correlation * z +
                       std::sqrt(1.0 - nature_.correlation * nature_.correlation) * normal();
    return {.name = fmt::format("Lifter {}", number + 1),
            .best_kg = between(90.0, 260.0),
            .intercept_mps = nature_.intercept_mps + nature_.intercept_sd_mps * z,
            .slope_mps = nature_.slope_mps + nature_.slope_sd_mps * own,
            .sparse = false};
  }

  void add_day(SimulatedClub& club, const TrueLifter& lifter, int day, int sets) {
    const double of_day = nature_.day_sd_mps * normal();
    const double lightest = between(0.40, 0.60);
    for (int i = 0; i < sets; ++i) {
      const double share = lightest + 0.10 * i + between(-0.02, 0.02);
      double v = lifter.velocity_mps(share) + of_day + nature_.set_sd_mps * normal() +
                 nature_.measurement_sd_mps * normal();
      if (between(0.0, 1.0) < nature_.wild_share) {
        v += (between(0.0, 1.0) < 0.7 ? -1.0 : 1.0) * between(0.15, 0.40);
      }
      kinetics::LiftedSet set;
      set.day = fmt::format("2031-{:02}-{:02}", 1 + day / 4, 1 + 7 * (day % 4));
      set.lifter = lifter.name;
      set.lift = "squat";
      set.set = i + 1;
      set.stated_load_kg = share * lifter.best_kg;
      set.reps.emplace_back();
      set.reps.back().mean_velocity_mps = kinetics::Measured(v, nature_.measurement_sd_mps);
      club.sets.push_back(set);
    }
  }

  std::mt19937_64 random_;
  ClubNature nature_;
};

}  // namespace kinetics_test
