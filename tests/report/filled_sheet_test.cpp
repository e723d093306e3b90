// The filled sheet keeps every cell that the coach wrote (cell by cell against the table that was
// read), is read by read_sheet as the sheet itself was, and holds the figures of the sessions.
#include "libkinetics/report/filled_sheet.h"

#include <algorithm>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/report/set_figures.h"
#include "tests/support/made_day.h"

using namespace kinetics;
using kinetics_test::DayRecipe;
using kinetics_test::made_day;

namespace {

Sheet read_again(const DaySession& day) {
  SheetReading reading = parse_sheet(filled_sheet(day), "filled.csv");
  for (const SheetProblem& problem : reading.problems) UNSCOPED_INFO(problem.what);
  CHECK(reading.problems.empty());
  return std::move(reading.sheet);
}

/// The cell under a heading.
std::string cell(const Sheet& sheet, int row, const std::string& heading) {
  const auto& heads = sheet.table.rows.at(sheet.heading_row);
  const auto at = std::find(heads.begin(), heads.end(), heading);
  REQUIRE(at != heads.end());
  return sheet.table.rows.at(static_cast<std::size_t>(row) - 1)
      .at(static_cast<std::size_t>(at - heads.begin()));
}

void check_every_cell_is_kept(const Sheet& before, const Sheet& after) {
  REQUIRE(after.table.rows.size() >= before.table.rows.size());
  for (std::size_t r = 0; r < before.table.rows.size(); ++r) {
    for (std::size_t c = 0; c < before.table.rows[r].size(); ++c) {
      CAPTURE(r, c);
      CHECK(after.table.rows[r].at(c) == before.table.rows[r][c]);
    }
  }
}

const DayRecipe kFull{.lifters = {"Odalys Brandt", "Mirek \"Ox\" Tolland, jr.", "Wenna <Duarte>"},
                      .sets = 5,
                      .chains = true,
                      .missed = {4},
                      .doubtful = {6},
                      .not_measured = {7},
                      .extra = 2};

}  // namespace

TEST_CASE("a filled sheet keeps every cell and reads as the sheet did", "[report][day]") {
  DayRecipe recipe = kFull;
  recipe.decimal_commas = GENERATE(false, true);
  recipe.pounds = GENERATE(false, true);
  const DaySession day = made_day(recipe);
  const Sheet again = read_again(day);
  check_every_cell_is_kept(day.sheet, again);
  CHECK(again.columns == day.sheet.columns);
  CHECK(again.rows_to_fill == 2);  // the extra sets
  CHECK(again.notes.size() == day.sheet.notes.size());
  REQUIRE(again.rows.size() == day.sheet.rows.size());
  for (std::size_t i = 0; i < again.rows.size(); ++i) {
    CHECK(again.rows[i].lifter == day.sheet.rows[i].lifter);
    CHECK(again.rows[i].load_kg == day.sheet.rows[i].load_kg);
    CHECK(again.rows[i].planned_reps == day.sheet.rows[i].planned_reps);
    CHECK(again.rows[i].start == day.sheet.rows[i].start);
  }
}

TEST_CASE("a filled sheet holds the sessions' figures", "[report][day]") {
  const DaySession day = made_day(kFull);
  const Sheet sheet = read_again(day);
  int compared = 0;
  for (const DaySet& set : day.sets) {
    if (!set.match.row) continue;
    const int row = day.rows[*set.match.row].row;
    const SetFigures f = set_figures(set.session);
    const auto shown = [](const Measured& m, double factor, int decimals) {
      return m.ok() ? fmt::format("{:.{}f}", factor * m.value(), decimals) : "";
    };
    CAPTURE(row);
    CHECK(cell(sheet, row, "recorded set") == fmt::format("{}", set.number));
    CHECK(cell(sheet, row, "begins") == set.clock);
    CHECK(cell(sheet, row, "reps done") == fmt::format("{}", set.session.reps.size()));
    CHECK(cell(sheet, row, "fastest (m/s)") == shown(f.fastest_mps, 1.0, 3));
    CHECK(cell(sheet, row, "mean (m/s)") == shown(f.mean_mps, 1.0, 3));
    CHECK(cell(sheet, row, "last rep (m/s)") == shown(f.last_mps, 1.0, 3));
    CHECK(cell(sheet, row, "loss (%)") == shown(f.loss, 100.0, 1));
    CHECK(cell(sheet, row, "bottom load (kg)") == shown(f.bottom_load_kg, 1.0, 1));
    CHECK(cell(sheet, row, "mean load (kg)") == shown(f.mean_load_kg, 1.0, 1));
    CHECK(cell(sheet, row, "top load (kg)") == shown(f.top_load_kg, 1.0, 1));
    ++compared;
  }
  CHECK(compared == 14);
}

TEST_CASE("missed rows, doubts, hidden reps and extra sets are told", "[report][day]") {
  const DaySession day = made_day(kFull);
  const Sheet sheet = read_again(day);
  const int missed = day.rows[4].row;
  CHECK(cell(sheet, missed, "match") == "missed");
  CHECK(cell(sheet, missed, "fastest (m/s)").empty());
  const int doubtful = day.rows[6].row;
  CHECK(cell(sheet, doubtful, "match") == "doubtful");
  // e^0.6 and e^1.7 times less believable, by the definition of a point.
  CHECK(cell(sheet, doubtful, "or else") ==
        fmt::format("row {}, {} (1.8 times less likely); an extra set (5.5 times less likely)",
                    day.rows[7].row,
                    day.rows[7].lifter));
  const int hidden = day.rows[7].row;
  CHECK(cell(sheet, hidden, "mean (m/s)").empty());
  CHECK_THAT(cell(sheet, hidden, "flags"), Catch::Contains("not measured: rep 2"));
  const int extra = static_cast<int>(sheet.table.rows.size());
  CHECK(cell(sheet, extra, "lifter") == "extra set");
  CHECK_THAT(cell(sheet, extra, "or else"), Catch::StartsWith("moves like Odalys Brandt; row 2"));
}

TEST_CASE("a sheet filled twice is filled once", "[report][day]") {
  DaySession day = made_day(kFull);
  const std::string once = filled_sheet(day);
  day.sheet = parse_sheet(once, "filled.csv").sheet;
  CHECK(filled_sheet(day) == once);
}

TEST_CASE("a coach's own columns of the same names are left alone", "[report][day]") {
  DaySession day = made_day({.lifters = {"Odalys Brandt"}, .sets = 2});
  day.sheet.table.rows[0].emplace_back("flags");
  day.sheet.table.rows[1].emplace_back("country's");
  const Sheet sheet = read_again(day);
  check_every_cell_is_kept(day.sheet, sheet);
  CHECK(cell(sheet, 2, "match") == "certain");
}

TEST_CASE("an extra set that the coach filled in is a row like any other", "[report][day]") {
  DaySession day = made_day({.lifters = {"Odalys Brandt"}, .sets = 2, .extra = 1});
  std::string text = filled_sheet(day);
  const std::size_t at = text.find("\nextra set,,,,") + 1;
  text.replace(at, 14, "Wenna Duarte,box squat,45,90,");
  const SheetReading reading = parse_sheet(text, "filled.csv");
  REQUIRE(reading.problems.empty());
  REQUIRE(reading.sheet.rows.size() == 3);
  CHECK(reading.sheet.rows.back().lifter == "Wenna Duarte");
  day.sheet = reading.sheet;
  CHECK_THAT(filled_sheet(day), Catch::Contains("Wenna Duarte,box squat,45,90,"));
}

TEST_CASE("numbers follow the sheet's decimal mark and unit", "[report][day]") {
  DayRecipe recipe{.lifters = {"Odalys Brandt"}, .sets = 1, .pounds = true, .decimal_commas = true};
  const DaySession day = made_day(recipe);
  const Sheet sheet = read_again(day);
  const SetFigures f = set_figures(day.sets[0].session);
  std::string velocity = fmt::format("{:.3f}", f.fastest_mps.value());
  velocity[1] = ',';
  CHECK(cell(sheet, 2, "fastest (m/s)") == velocity);
  // 82.5 lb on the sheet, and a straight weight is the same all the way.
  CHECK(cell(sheet, 2, "bottom load (lb)") == "82,5");
}
