// Small days made by hand, in which each mishap has one right answer; points against the formulas
// of the header. Brute force over all matchings is in order_search_test.cpp.
#include "libkinetics/day/match_sets.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"

using namespace kinetics;
using Catch::Contains;

namespace {

constexpr double kFiveOClockS = 17.0 * 3600.0;
constexpr double kTurnS = 90.0;
const std::vector<double> kRoms{0.45, 0.62, 0.50, 0.56};
const std::vector<double> kLockouts{1.30, 1.52, 1.45, 1.38};

/// Four lifters of different build, four rounds.
std::vector<DayRow> four_lifters() {
  std::vector<DayRow> rows;
  for (int i = 0; i < 16; ++i) {
    const auto who = static_cast<std::size_t>(i % 4);
    rows.push_back({.row = i + 2,
                    .lifter = std::string(1, "ABCD"[who]),
                    .lift = "box squat",
                    .start_s = kFiveOClockS + kTurnS * i,
                    .planned_reps = 2,
                    .usual_rom_m = Measured(kRoms[who], 0.005),
                    .usual_lockout_m = Measured(kLockouts[who], 0.005)});
  }
  return rows;
}

FoundSet set_of(int lifter, double start_s) {
  const auto who = static_cast<std::size_t>(lifter);
  return {.reps = 2,
          .start_s = start_s,
          .end_s = start_s + 6.0,
          .rom_m = kRoms[who] + 0.005,
          .lockout_m = kLockouts[who] - 0.005,
          .above_floor = true};
}

std::vector<FoundSet> sets_by(const std::vector<int>& lifters, double first_s = 100.0) {
  std::vector<FoundSet> sets;
  sets.reserve(lifters.size());
  for (const int lifter : lifters) {
    sets.push_back(set_of(lifter, first_s + kTurnS * static_cast<double>(sets.size())));
  }
  return sets;
}

std::vector<int> found_rows(const DayMatch& match, const std::vector<DayRow>& rows) {
  std::vector<int> out;
  for (const SetMatch& set : match.sets) out.push_back(set.row ? rows[*set.row].row : 0);
  return out;
}

const std::vector<int> kAsPlanned{0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3};

}  // namespace

TEST_CASE("a day as planned is matched row by row with certainty, whatever the clock", "[day]") {
  const auto rows = four_lifters();
  for (const bool known : {false, true}) {
    MatchOptions options;
    if (known) options.recording_start_s = kFiveOClockS - 100.0 + 240.0;
    const DayMatch match = match_sets(sets_by(kAsPlanned), rows, {}, options);
    for (std::size_t k = 0; k < match.sets.size(); ++k) {
      CAPTURE(k, known);
      CHECK(match.sets[k].row == k);
      CHECK(match.sets[k].certainty == MatchCertainty::kCertain);
    }
    REQUIRE(match.recording_began_s);
    CHECK(*match.recording_began_s == Approx(kFiveOClockS - 100.0).margin(1.0));
    REQUIRE(match.notes.size() == (known ? 1U : 0U));
    if (known) CHECK_THAT(match.notes[0].text, Contains("4.0 min ahead"));
  }
}

TEST_CASE("a skipped turn, a swap and an extra set shift nobody else", "[day]") {
  const auto rows = four_lifters();
  const bool with_times = GENERATE(true, false);
  CAPTURE(with_times);
  auto given = rows;
  for (DayRow& row : given) {
    if (!with_times) row.start_s.reset();
  }
  const auto skipped = match_sets(sets_by({0, 1, 2, 3, 0, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3}), given);
  CHECK(found_rows(skipped, given) ==
        std::vector<int>{2, 3, 4, 5, 6, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17});
  CHECK(skipped.missed == std::vector<std::size_t>{5});

  const auto swapped = match_sets(sets_by({0, 1, 2, 3, 0, 2, 1, 3, 0, 1, 2, 3, 0, 1, 2, 3}), given);
  CHECK(found_rows(swapped, given) ==
        std::vector<int>{2, 3, 4, 5, 6, 8, 7, 9, 10, 11, 12, 13, 14, 15, 16, 17});
  CHECK(swapped.missed.empty());
  CHECK_THAT(swapped.sets[6].terms.back().what, Contains("after 1 row that stands below it"));

  auto sets = sets_by({0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3});
  FoundSet guest = set_of(0, sets[8].start_s + 45.0);
  guest.rom_m = 0.75;
  guest.lockout_m = 1.65;
  sets.insert(sets.begin() + 9, guest);
  const auto extra = match_sets(sets, given);
  CHECK(found_rows(extra, given) ==
        std::vector<int>{2, 3, 4, 5, 6, 7, 8, 9, 10, 0, 11, 12, 13, 14, 15, 16, 17});
  CHECK_FALSE(extra.sets[9].like);
  CHECK(extra.sets[9].lifter_certainty == MatchCertainty::kLikely);
}

TEST_CASE("the terms of all sets, missed rows and the clock add up to the total", "[day]") {
  const auto rows = four_lifters();
  auto sets = sets_by({0, 2, 1, 3, 0, 2, 3, 0, 1, 0, 2, 3, 0, 1, 2, 3});
  sets[4].reps = 4;
  MatchOptions options;
  options.recording_start_s = kFiveOClockS - 500.0;
  for (const std::vector<Correction>& corrections :
       {std::vector<Correction>{}, {{3, 13}, {7, std::nullopt}}}) {
    const DayMatch match = match_sets(sets, rows, corrections, options);
    double sum = options.missed_cost * static_cast<double>(match.missed.size());
    sum += match.clock_points;
    for (const SetMatch& set : match.sets) {
      for (const CostTerm& term : set.terms) sum += term.points;
    }
    CHECK(match.total_points == Approx(sum).margin(1e-9));
  }
}

TEST_CASE("points follow from the distances in standard errors", "[day]") {
  auto rows = four_lifters();
  rows.resize(1);
  FoundSet set = set_of(0, 0.0);
  set.reps = 3;
  set.rom_m = kRoms[0] + 0.06;
  set.lockout_m.reset();
  const DayMatch match = match_sets({set}, rows);
  const auto& terms = match.sets.at(0).terms;
  REQUIRE(terms.size() == 3);
  CHECK(terms[0].what == "reps 3 instead of 2");
  CHECK(terms[0].points == 1.0);
  CHECK(terms[1].what == "range 6.0 cm above the usual");
  // sigma² = 2² + 0.5² cm², z = 6 / 2.0616 = 2.9104; 2.5 ln(1 + z²/4) + ln(2.0616 / 2)
  CHECK(terms[1].points ==
        Approx(2.5 * std::log(1.0 + 36.0 / 4.25 / 4.0) + 0.5 * std::log(1.0625)));
  CHECK(terms[2].what == "0 s later than written");
  CHECK(terms[2].points == Approx(0.0).margin(1e-9));
}

TEST_CASE("the coach's word holds, and the rest is matched around it", "[day]") {
  const auto rows = four_lifters();
  const auto sets = sets_by({0, 1, 2, 3, 0, 2, 1, 3, 0, 1, 2, 3, 0, 1, 2, 3});
  const DayMatch match = match_sets(sets, rows, {{5, 7}, {6, 8}, {15, std::nullopt}});
  CHECK(found_rows(match, rows) ==
        std::vector<int>{2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 0});
  CHECK(match.sets[5].corrected);
  CHECK(match.sets[5].certainty == MatchCertainty::kCertain);
  CHECK(match.sets[5].alternatives.empty());
  CHECK(match.missed == std::vector<std::size_t>{15});
  CHECK(in_a_sentence(match, 5, rows) == "Set 6 is row 7, B (the coach's word).");
  CHECK(in_a_sentence(match, 15, rows) == "Set 16 is an extra set (the coach's word).");
  // A row further off than any set is looked for late.
  const DayMatch far = match_sets(sets, rows, {{15, 2}});
  CHECK(far.sets[15].row == 0U);
  CHECK(far.sets[0].row != 0U);
}

TEST_CASE("two lifters of one build are told apart by order alone, and not with certainty",
          "[day]") {
  auto rows = four_lifters();
  for (DayRow& row : rows) {
    row.start_s.reset();
    if (row.lifter != "B") continue;
    row.usual_rom_m = rows[2].usual_rom_m;
    row.usual_lockout_m = rows[2].usual_lockout_m;
  }
  const DayMatch match =
      match_sets(sets_by({0, 2, 2, 3, 0, 2, 2, 3}), {rows.begin(), rows.begin() + 8});
  CHECK(found_rows(match, rows) == std::vector<int>{2, 3, 4, 5, 6, 7, 8, 9});
  CHECK(match.sets[1].certainty != MatchCertainty::kCertain);
  REQUIRE_FALSE(match.sets[1].alternatives.empty());
  CHECK(match.sets[1].alternatives[0].row == 2U);
  // The swap costs what coming late costs, and nothing else.
  CHECK(match.sets[1].alternatives[0].extra_points == Approx(MatchOptions{}.late_cost));
  CHECK_THAT(in_a_sentence(match, 1, rows),
             Contains("Set 2 is row 3, B (likely). Or row 4, C: 2.0 points more."));
  CHECK(match.sets[0].lifter_certainty == MatchCertainty::kCertain);
}

TEST_CASE("what is usual is learnt within the day, above a zero that nobody knows", "[day]") {
  auto rows = four_lifters();
  for (DayRow& row : rows) row.usual_rom_m = row.usual_lockout_m = Measured();
  auto sets = sets_by({0, 1, 2, 3, 0, 1, 2, 3, 0, 2, 3, 0, 1, 2, 3});
  for (FoundSet& set : sets) {
    set.above_floor = false;
    *set.lockout_m -= 0.8;
  }
  const DayMatch match = match_sets(sets, rows);
  CHECK(found_rows(match, rows) ==
        std::vector<int>{2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 13, 14, 15, 16, 17});
  MatchOptions options;
  options.learn = false;
  for (const SetMatch& set : match_sets(sets, rows, {}, options).sets) {
    if (set.row) CHECK_THAT(set.terms.at(1).what, Contains("usual range not known"));
  }
}

TEST_CASE("days without sets, without rows or without both are days too", "[day]") {
  const auto rows = four_lifters();
  CHECK(match_sets({}, {}).sets.empty());
  CHECK(match_sets({}, rows).missed.size() == rows.size());
  const DayMatch match = match_sets(sets_by({0, 1}), {});
  REQUIRE(match.sets.size() == 2);
  CHECK_FALSE(match.sets[0].row);
}

TEST_CASE("corrections and options that make no sense are refused with a reason",
          "[day][bad-input]") {
  const auto rows = four_lifters();
  const auto sets = sets_by({0, 1, 2});
  CHECK_THROWS_WITH(match_sets(sets, rows, {{3, 2}}), Contains("set 4") && Contains("has 3 sets"));
  CHECK_THROWS_WITH(match_sets(sets, rows, {{0, 99}}), Contains("no set in row 99"));
  CHECK_THROWS_WITH(match_sets(sets, rows, {{0, 2}, {1, 2}}), Contains("row 2 is given"));
  CHECK_THROWS_WITH(match_sets(sets, rows, {{0, 2}, {0, 3}}), Contains("corrected twice"));
  MatchOptions options;
  options.rom_sigma_m = 0.0;
  CHECK_THROWS_WITH(match_sets(sets, rows, {}, options), Contains("above zero"));
  CHECK_THROWS_WITH(match_sets({sets[1], sets[0]}, rows), Contains("begins before set 1"));
}
