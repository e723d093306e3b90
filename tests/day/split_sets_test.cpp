// Sets made by hand, with the rests, discs and lockouts that the rules speak of. The rules
// themselves are common practice, without a source.
#include "libkinetics/day/split_sets.h"

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using namespace kinetics;

namespace {

Rep rep_at(double start_s, double lockout_m = 1.50, RepKind kind = RepKind::kFull) {
  Rep rep;
  rep.start_s = start_s;
  rep.end_s = start_s + 1.0;
  rep.kind = kind;
  rep.top_height_m = lockout_m;
  rep.rom_m = Measured(0.5, 0.002);
  return rep;
}

std::vector<int> counts(const std::vector<FoundSet>& sets) {
  std::vector<int> out;
  out.reserve(sets.size());
  for (const FoundSet& set : sets) out.push_back(set.reps);
  return out;
}

}  // namespace

TEST_CASE("a long rest ends a set and short ones do not", "[day]") {
  const SetTable table{{rep_at(10), rep_at(13), rep_at(40), rep_at(72), rep_at(75)}, {}};
  const auto sets = split_sets(table);
  CHECK(counts(sets) == std::vector<int>{3, 2});
  CHECK(sets[0].start_s == 10.0);
  CHECK(sets[0].end_s == 41.0);
  CHECK(sets[1].first_rep == 3);
  CHECK(sets[1].rom_m == 0.5);
  CHECK(split_sets({}).empty());
}

TEST_CASE("somebody taller or shorter takes over within a short pause", "[day]") {
  const SetTable table{{rep_at(10, 1.50),
                        rep_at(13, 1.51),
                        rep_at(28, 1.42),
                        rep_at(31, 1.41),
                        rep_at(46, 1.61),
                        rep_at(49, 1.60)},
                       {}};
  CHECK(counts(split_sets(table)) == std::vector<int>{2, 2, 2});
}

TEST_CASE("nobody takes over within three seconds, whatever the lockout", "[day]") {
  const SetTable table{{rep_at(10, 1.50), rep_at(14, 1.50), rep_at(18, 1.40), rep_at(22, 1.40)},
                       {}};
  CHECK(counts(split_sets(table)) == std::vector<int>{4});
}

TEST_CASE("an odd rep or a failed one within a set does not split it", "[day]") {
  const SetTable odd{{rep_at(10), rep_at(22), rep_at(34, 1.40), rep_at(46), rep_at(58)}, {}};
  CHECK(counts(split_sets(odd)) == std::vector<int>{5});
  const SetTable failed{{rep_at(10), rep_at(13), rep_at(36, 1.20, RepKind::kFailed)}, {}};
  CHECK(counts(split_sets(failed)) == std::vector<int>{3});
}

TEST_CASE("a lone rep after a pause needs twice the pause to be somebody else's", "[day]") {
  const SetTable soon{{rep_at(10), rep_at(13), rep_at(26, 1.40)}, {}};
  CHECK(counts(split_sets(soon)) == std::vector<int>{3});
  const SetTable later{{rep_at(10), rep_at(13), rep_at(36, 1.40)}, {}};
  CHECK(counts(split_sets(later)) == std::vector<int>{2, 1});
}

TEST_CASE("another disc or another view begins a set", "[day]") {
  const SetTable table{{rep_at(10), rep_at(13), rep_at(28), rep_at(31)}, {}};
  CHECK(counts(split_sets(table, {{90, 1}, {91, 1}, {90, 1}, {90, 1}})) == std::vector<int>{4});
  const auto discs = split_sets(table, {{90, 1}, {91, 1}, {75, 1}, {74, 1}});
  CHECK(counts(discs) == std::vector<int>{2, 2});
  CHECK(discs[1].disc_radius_px == 74.5);
  const auto views = split_sets(table, {{90, 1}, {91, 1}, {90, 2}, {{}, 2}});
  CHECK(counts(views) == std::vector<int>{2, 2});
  CHECK(views[1].view == 2);
}

TEST_CASE("reps that cannot be split are refused with a reason", "[day][bad-input]") {
  const SetTable table{{rep_at(10), rep_at(13)}, {}};
  CHECK_THROWS_WITH(split_sets(table, {{90, 1}}), Catch::Contains("1 discs for 2 reps"));
  CHECK_THROWS_WITH(split_sets(table, {}, {.rest_s = 0.0}), Catch::Contains("above zero"));
  const SetTable backwards{{rep_at(13), rep_at(10)}, {}};
  CHECK_THROWS_WITH(split_sets(backwards), Catch::Contains("10.00 s"));
}
