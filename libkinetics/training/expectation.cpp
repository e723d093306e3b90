#include "libkinetics/training/expectation.h"

#include <memory>
#include <utility>

#include "libkinetics/profile/profile.h"

namespace kinetics {
namespace {

VelocityExpectation expectation_before(CalendarDay day,
                                       const std::vector<LiftedSet>& sets,
                                       const Roster& roster) {
  std::vector<LiftedSet> earlier;
  for (const LiftedSet& set : sets) {
    const auto lifted = day_in(set.day);
    if (lifted && *lifted < day) earlier.push_back(set);
  }
  const auto profiles = std::make_shared<const ClubProfiles>(
      fit_profiles(earlier, &roster, {.reps = RepChoice::kMiddle}));
  VelocityExpectation expect = profile_expectation(*profiles, roster_expectation(roster));
  return [profiles, expect = std::move(expect)](const std::string& lifter,
                                                const std::string& lift,
                                                const SetUp& set_up,
                                                double mean_load_kg) {
    return expect(lifter, lift, set_up, mean_load_kg);
  };
}

}  // namespace

ExpectationAsOf expectation_as_of(const std::vector<LiftedSet>& sets, const Roster& roster) {
  return [&sets, &roster](CalendarDay before) { return expectation_before(before, sets, roster); };
}

}  // namespace kinetics
