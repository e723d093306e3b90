// The sheet reader against arbitrary bytes: it returns a sheet that keeps its promises, with what
// is wrong in it, or throws Error; the same text comes back when it is written; and what was read
// can be looked up in a roster. Built twice: with libFuzzer (option KINETICS_FUZZ, clang), and into
// the sheet tests, which run it over the seeds in tests/data/sheets and mutated copies of them.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "libkinetics/roster/roster.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/sheet/sheet.h"
#include "tests/fuzz/promise.h"

namespace {

using namespace kinetics;
using kinetics_test::require;
using kinetics_test::require_helpful;

const Roster& club() {
  static const Roster roster = parse_roster(R"(
[[bar]]
name = "straight bar"
mass_kg = 20
[[bar]]
name = "cambered bar"
mass_kg = 25
sleeves_raised_cm = -18
[[chain]]
name = "heavy chain"
mass_kg_per_m = 5.7
length_m = 1.5
[[band]]
name = "light band"
stretched_cm = [50, 70, 90, 110]
tension_kg = [0, 6.5, 10.5, 14]
anchor_height_cm = 8
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "box squat"
box_height_cm = 45
lockout_height_cm = 144
bottom_height_cm = 94
[[lifter.lift]]
lift = "bench"
)",
                                            "club.toml");
  return roster;
}

void check(const SheetRow& row) {
  require(row.row >= 2, "a row below the headings");
  require(!row.lifter.empty() && !row.lift.empty(), "a row that was read has lifter and lift");
  require(std::isfinite(row.load_kg) && row.load_kg > 0.0, "and a load");
  require(!row.box_height_m || (std::isfinite(*row.box_height_m) && *row.box_height_m > 0.0),
          "a box has a height");
  for (const auto* gear : {&row.chains, &row.bands}) {
    for (const GearCount& piece : *gear) {
      require(piece.count > 0 && !piece.name.empty(), "a number of something");
    }
  }
}

void check(const SheetProblem& problem) {
  require(problem.row >= 1 && !problem.what.empty() && !problem.mend.empty(),
          "a problem says where, what, and how to mend it");
}

void check_written(const SheetReading& reading) {
  const CsvTable& table = reading.sheet.table;
  const std::string text = to_text(reading.sheet);
  require(read_csv(text, table.delimiter, "s.csv").rows == table.rows, "writing loses no cell");
  const SheetReading again = parse_sheet(text, "s.csv");
  // Headings may stand in a file twice, once for each of two delimiters; which of them is meant is
  // then a guess, and quotes that writing adds may tip it.
  if (again.sheet.table.delimiter != table.delimiter) return;
  require(again.problems.size() == reading.problems.size(), "and changes no meaning");
  require(again.sheet.rows.size() == reading.sheet.rows.size(), "and no row");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    const SheetReading reading = parse_sheet({reinterpret_cast<const char*>(data), size}, "s.csv");
    for (const SheetRow& row : reading.sheet.rows) check(row);
    for (const SheetProblem& problem : reading.problems) check(problem);
    check_written(reading);
    for (const SheetProblem& problem : check_sheet(reading.sheet, club()).problems) check(problem);
  } catch (const Error& error) {
    require_helpful(error, "s.csv");
  }
  return 0;
}
