// A day for other programs says what the day says: read back by the JSON library, whose reading is
// not ours.
#include "libkinetics/report/day_json.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "tests/support/made_day.h"

using namespace kinetics;
using Json = nlohmann::json;

TEST_CASE("a day's JSON holds rows, sets, doubts and what was missed", "[report][day]") {
  const DaySession day = kinetics_test::made_day(
      {.sets = 4, .chains = true, .missed = {1}, .doubtful = {2}, .extra = 1});
  const Json told = Json::parse(to_json(day));
  CHECK(told["format"] == "kinetics day");
  REQUIRE(told["rows"].size() == day.rows.size());
  REQUIRE(told["sets"].size() == day.sets.size());
  CHECK(told["missed"] == Json::array({day.rows.at(1).row}));
  for (std::size_t k = 0; k < day.sets.size(); ++k) {
    const DaySet& set = day.sets[k];
    const Json& one = told["sets"][k];
    CAPTURE(k, one.dump());
    CHECK(one["number"] == set.number);
    CHECK(one["reps"] == set.session.reps.size());
    CHECK(one["row"] == (set.match.row ? Json(day.rows.at(*set.match.row).row) : Json(nullptr)));
    CHECK(one["certainty"] == std::string(in_words(set.match.certainty)));
    const bool open = set.match.certainty != MatchCertainty::kCertain && !set.match.corrected;
    CHECK(one["alternatives"].size() == (open ? set.match.alternatives.size() : 0));
    if (!open || set.match.alternatives.empty()) continue;
    const auto& first = set.match.alternatives.front();
    const Json& words = one["alternatives"][0];
    CHECK(words["row"] == (first.row ? Json(day.rows.at(*first.row).row) : Json(nullptr)));
    if (first.row) {
      CHECK(words["words"].get<std::string>().find(day.rows.at(*first.row).lifter) !=
            std::string::npos);
    }
  }
}

TEST_CASE("a name of any bytes makes no JSON that cannot be read", "[report][day]") {
  DaySession day = kinetics_test::made_day({});
  day.recordings = {"day\xff.mp4"};
  day.sets.front().recording = "day\xff.mp4";
  CHECK(Json::accept(to_json(day)));
}
