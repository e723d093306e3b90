// An hour of one sensor on the bar as a whole day. Which sets and reps are in it, and when, comes
// from the program that simulated the log (samples/simulate), which shares no code with the
// library; the sheet beside it has a row for each.
#include <algorithm>
#include <fstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "tests/media/made_clip.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::slurp;

namespace {

const std::string kSamples = std::string(KINETICS_SOURCE_DIR) + "/samples/";

struct TrueSet {
  std::size_t reps = 0;
  double start_s = 0.0;  ///< since the log's first row
};

std::vector<TrueSet> truth() {
  const auto told =
      nlohmann::json::parse(std::ifstream(kSamples + "logs/northgate_hour.truth.json"));
  std::vector<TrueSet> out;
  for (const auto& rep : told.at("reps")) {
    const auto set = rep.at("set").get<std::size_t>();
    if (set > out.size()) out.push_back({.reps = 0, .start_s = rep.at("start_s")});
    ++out.at(set - 1).reps;
  }
  return out;
}

/// The sheet's lines, the heading first.
std::vector<std::string> sheet_lines() {
  std::ifstream file(kSamples + "club/northgate_hour.csv");
  std::vector<std::string> out;
  for (std::string line; std::getline(file, line);) out.push_back(line);
  return out;
}

DaySession analysed(const std::vector<std::string>& lines,
                    const Folder& folder,
                    const std::vector<NumberedAssignment>& told = {}) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  kinetics_test::spill(folder / "sheet.csv", text);
  DayOptions options;
  options.assignments = told;
  return analyse_day(kSamples + "logs/northgate_hour.csv",
                     read_sheet(folder / "sheet.csv"),
                     nullptr,
                     folder / "logbook",
                     options);
}

/// Every set of the truth, with all its reps and none besides.
void check_sets(const DaySession& day) {
  const std::vector<TrueSet> sets = truth();
  REQUIRE(sets.size() == 26);
  REQUIRE(day.sets.size() == sets.size());
  for (std::size_t k = 0; k < sets.size(); ++k) {
    CAPTURE(k);
    CHECK(day.sets[k].session.reps.size() == sets[k].reps);
    CHECK(std::abs(day.sets[k].recording_s - sets[k].start_s) < 1.0);
  }
}

std::size_t doubts(const DaySession& day) {
  return static_cast<std::size_t>(
      std::count_if(day.sets.begin(), day.sets.end(), [](const DaySet& s) {
        return s.match.certainty == MatchCertainty::kDoubtful;
      }));
}

}  // namespace

TEST_CASE("an hour's log becomes every lifter's sets", "[speed_day][log]") {
  const Folder folder;
  const DaySession day = analysed(sheet_lines(), folder);
  check_sets(day);
  CHECK(day.missed.empty());
  CHECK(day.held_on == "2026-09-12");  // the log's clock counts milliseconds since 1970
  for (std::size_t k = 0; k < day.sets.size(); ++k) {
    CAPTURE(k);
    REQUIRE(day.sets[k].match.row.has_value());
    CHECK(day.rows[*day.sets[k].match.row].row == static_cast<int>(k) + 2);
    CHECK(day.sets[k].match.certainty != MatchCertainty::kDoubtful);
    // What is stored is a set with its row's load, as if it had been a log of its own.
    const Session stored = load_session(day.sets[k].session_file);
    REQUIRE(stored.options.plan.has_value());
    CHECK(stored.options.plan->row == static_cast<int>(k) + 2);
    CHECK(stored.options.loading.load.has_value());
  }
}

TEST_CASE("a row forgotten and a turn skipped leave doubts that one word each settles",
          "[speed_day][log]") {
  const Folder folder;
  std::vector<std::string> lines = sheet_lines();
  lines.erase(lines.begin() + 7);  // set 7, one of nine doubles that read alike
  const auto rows = std::find_if(lines.begin(), lines.end(), [](const std::string& line) {
    return line.find(",row,") != std::string::npos;
  });
  lines.insert(rows, "Wenna Duarte,deadlift,,120,6,17:49,2");
  const DaySession day = analysed(lines, folder);
  check_sets(day);
  REQUIRE(day.missed.size() == 1);
  CHECK(day.sets[6].match.row == std::nullopt);
  CHECK(doubts(day) > 5);
  for (const DaySet& set : day.sets) {
    CHECK(set.match.certainty != MatchCertainty::kCertain);
    if (!set.match.row) continue;
    // Which of its rows a set is may be doubtful; whose it is, is right.
    const std::string& lifter = day.rows[*set.match.row].lifter;
    CHECK(lifter == (set.number <= 11   ? "Odalys Brandt"
                     : set.number <= 17 ? "Imre Castellan"
                                        : "Wenna Duarte"));
  }
  const DaySession settled =
      analysed(lines, folder, {{.set = 7, .row = {}}, {.set = 22, .row = 22}});
  CHECK(doubts(settled) == 0);
  for (std::size_t k = 0; k < settled.sets.size(); ++k) {
    if (k == 6) continue;
    CAPTURE(k);
    // Without the forgotten row the later ones stand a line higher, and lower behind the new one.
    REQUIRE(settled.sets[k].match.row.has_value());
    const int shift = k < 6 ? 2 : k < 22 ? 1 : 2;
    CHECK(settled.rows[*settled.sets[k].match.row].row == static_cast<int>(k) + shift);
  }
}
