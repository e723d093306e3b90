// Sets as numbers: what is written down comes back; what is worked out follows from mechanics
// (work against weight is m g h, and mean power m g v, for a bar at rest at both ends); and a table
// that contradicts itself is refused by row and column.
#include "libkinetics/logbook/set_csv.h"

#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/import_sets.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/session/rep_quantities.h"
#include "tests/media/made_clip.h"
#include "tests/support/python.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::any_note_says;
using kinetics_test::Folder;
using kinetics_test::lifted_session;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

constexpr const char* kHead =
    "date,lifter,lift,load_kg,set,rep,mean_velocity_mps,mean_velocity_sigma_mps,rom_m,rom_sigma_m,"
    "chains,mean_load_kg\n";

std::string table(const std::string& rows) {
  return kHead + rows;
}

std::string problem_of(const std::string& text) {
  try {
    (void)parse_set_csv(text, "season.csv");
  } catch (const Error& error) {
    CHECK(error.code() == ErrorCode::kUnreadable);
    CHECK_FALSE(error.mend().empty());
    return error.what();
  }
  return "no error";
}

/// What a set read from the table must have in common with the set that was written.
void check_same_numbers(const LiftedSet& a, const LiftedSet& b) {
  LiftedSet there = a;
  there.session = b.session;
  there.set = b.set;
  CHECK(there == b);
}

}  // namespace

TEST_CASE("one row a rep becomes one session a set", "[logbook]") {
  const SetsRead read =
      parse_set_csv(table("2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.742,0.012,0.5,0.002,,\n"
                          "2031-03-07,Odalys Brandt,box squat,92.5,1,2,0.735,0.012,0.5,0.002,,\n"
                          "\n"
                          "2031-03-07,Odalys Brandt,box squat,92.5,2,1,0.721,0.012,0.5,0.002,,\n"),
                    "season.csv");
  REQUIRE(read.sessions.size() == 2);
  const Session& first = read.sessions[0];
  CHECK(first.provenance.held_on == "2031-03-07");
  CHECK(first.options.plan->lifter == "Odalys Brandt");
  CHECK(first.options.plan->sheet == "season.csv");
  CHECK(first.options.plan->row == 2);
  CHECK(read.sessions[1].options.plan->row == 5);
  REQUIRE(first.reps.size() == 2);
  CHECK(first.reps[1].mean_velocity_mps == Measured(0.735, 0.012));
  CHECK(first.reps[1].peak_velocity_mps.reason() == Reason::kNotGiven);
  CHECK(first.provenance.source_sha256 != read.sessions[1].provenance.source_sha256);
  CHECK(any_note_says(first.notes, "season.csv, rows 2 to 3"));
}

TEST_CASE("work, power and force of a straight weight follow from the laws of motion",
          "[logbook]") {
  const SetsRead read =
      parse_set_csv(table("2031-03-07,Wenna Duarte,deadlift,150,1,1,0.5,0.01,0.6,0.003,,\n"
                          "2031-03-07,Wenna Duarte,deadlift,150,1,2,0.4,0.01,0.6,0.003,,\n"),
                    "season.csv");
  const Rep& rep = read.sessions.at(0).reps.at(0);
  constexpr double kWeightN = 150 * 9.80665;
  CHECK(rep.mean_force_n.value() == Approx(kWeightN));
  CHECK(rep.work_j.value() == Approx(kWeightN * 0.6));
  CHECK(rep.mean_power_w.value() == Approx(kWeightN * 0.5));
  // Relative errors of a product add in quadrature: 2 % of the velocity and 0.25 % of the load.
  CHECK(rep.mean_power_w.sigma() / rep.mean_power_w.value() == Approx(std::hypot(0.02, 0.0025)));
  CHECK(rep.top_load_kg.value() == 150.0);
  CHECK(rep.velocity_loss.value() == 0.0);
  CHECK(read.sessions[0].reps[1].velocity_loss.value() == Approx(0.2));
}

TEST_CASE("with chains the load must be told, and power is that of the load over the path",
          "[logbook]") {
  const SetsRead read = parse_set_csv(
      table("2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.7,0.01,0.5,0.003,2 x heavy chain,100.3\n"
            "2031-03-07,Odalys Brandt,box squat,92.5,1,2,0.7,0.01,0.5,0.003,2 x heavy chain,\n"),
      "season.csv");
  const std::vector<Rep>& reps = read.sessions.at(0).reps;
  CHECK(reps[0].mean_power_w.value() == Approx(100.3 * 9.80665 * 0.7));
  CHECK_FALSE(reps[0].mean_force_n.ok());
  CHECK(reps[1].mean_load_kg.reason() == Reason::kHeightUnknown);
  CHECK_FALSE(reps[1].mean_power_w.ok());
  CHECK(lifted_sets(read.sessions[0]).at(0).accommodating == "2 x heavy chain");
}

TEST_CASE("an interval or a standard error tells how sure a number is, else a note does",
          "[logbook]") {
  const std::string head =
      "date,lifter,lift,load_lb,set,rep,mean_velocity_mps,mean_velocity_lo_mps,"
      "mean_velocity_hi_mps,peak_velocity_mps\n";
  const SetsRead read = parse_set_csv(
      head + "2031-03-07,Imre Castellan,paused bench,225,1,1,0.5,0.4804,0.5196,0.9\n", "b.csv");
  const Rep& rep = read.sessions.at(0).reps.at(0);
  CHECK(rep.mean_velocity_mps.sigma() == Approx(0.01).epsilon(1e-3));  // 0.0196 / 1.96
  CHECK(rep.peak_velocity_mps.sigma() == Approx(0.045));
  CHECK(any_note_says(read.sessions[0].notes, "is not told of peak_velocity_mps: 5 %"));
  CHECK(read.sessions[0].options.plan->stated_load_kg == Approx(225 * 0.45359237));
  CHECK(read.sessions[0].options.plan->unit == MassUnit::kPound);
}

TEST_CASE("a table saved with semicolons and decimal commas is read", "[logbook]") {
  const SetsRead read = parse_set_csv(
      "date;lifter;lift;load_kg;set;rep;mean_velocity_mps\r\n"
      "2031-03-07;Odalys Brandt;box squat;92,5;1;1;0,742\r\n",
      "b.csv");
  CHECK(read.sessions.at(0).reps.at(0).mean_velocity_mps.value() == 0.742);
}

TEST_CASE("a table of sets that is not right is refused by row and column",
          "[logbook][bad-input]") {
  const std::string good = "2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.742,0.012,0.5,0.002,,\n";
  CHECK(problem_of(table(good)) == "no error");
  CHECK_THAT(problem_of(""), Contains("empty"));
  CHECK_THAT(problem_of(kHead), Contains("no row below"));
  CHECK_THAT(problem_of("date,lifter\n"), Contains("no column 'lift'"));
  CHECK_THAT(problem_of("date,lifter,lift,set,rep,mean_velocity\n"),
             Contains("no column 'mean_velocity_mps'") && Contains("Rename 'mean_velocity'"));
  CHECK_THAT(problem_of("date,lifter,lift,set,rep,mean_velocity_mps\n"), Contains("'load_kg'"));
  CHECK_THAT(problem_of("date,date,lifter,lift,set,rep,load_kg,mean_velocity_mps\n"),
             Contains("column B") && Contains("second time"));
  const auto with = [&](const std::string& from, const std::string& to) {
    std::string row = good;
    row.replace(row.find(from), from.size(), to);
    return problem_of(table(good + row));
  };
  CHECK_THAT(with("2031-03-07", "07.03.2031"),
             Contains("season.csv row 3, column A (date)") && Contains("2031-03-07"));
  CHECK_THAT(with("0.742", "fast"), Contains("row 3, column G") && Contains("'fast'"));
  CHECK_THAT(with("0.742", "742"), Contains("out of range"));
  CHECK_THAT(with("0.742", ""), Contains("mean velocity is missing"));
  CHECK_THAT(with("0.742", "-0.742"), Contains("above 0"));
  CHECK_THAT(with(",1,1,", ",1,1.5,"), Contains("no whole number"));
  CHECK_THAT(with(",1,1,", ",1,1,"), Contains("rep 1 of this set is there already"));
  CHECK_THAT(with("92.5,1,1", "95,1,2"),
             Contains("column D (load_kg)") && Contains("row 2 says something else"));
  CHECK_THAT(with("92.5", ""), Contains("the load is missing"));
  CHECK_THAT(with("Odalys Brandt", ""), Contains("lifter is missing"));
  CHECK_THAT(with("0.002,,", "0.002,,100,3"), Contains("13 cells"));
  CHECK_THAT(with(",1,1,0.742", ",1,2,nan"), Contains("not a number"));
  CHECK_THAT(with(",1,1,0.742", ",1,2,inf"), Contains("not a number"));
}

TEST_CASE("what the logbook gives out it takes in again, to the last bit", "[logbook]") {
  const Folder folder;
  std::vector<NamedSession> sessions;
  for (std::uint32_t seed = 0; seed < 12; ++seed) {
    Session session = lifted_session(seed);
    session.options.loading.load.reset();
    const std::string stored = store_session(session, folder / "from");
    sessions.push_back({std::filesystem::path(stored).filename().string(), session});
  }
  const std::string text = to_set_csv(sessions);
  spill(folder / "season.csv", text);
  const Imported imported =
      import_sets(read_set_csv(folder / "season.csv"), folder / "to", nullptr);
  const std::vector<LiftedSet> from = read_history(folder / "from").sets;
  const std::vector<LiftedSet> to = read_history(folder / "to").sets;
  CHECK(imported.stored.size() == from.size());
  REQUIRE(to.size() == from.size());
  // Names of files differ, and with them the order within a day.
  for (const LiftedSet& set : from) {
    const auto same = std::find_if(to.begin(), to.end(), [&](const LiftedSet& other) {
      return other.reps == set.reps && other.day == set.day;
    });
    REQUIRE(same != to.end());
    check_same_numbers(*same, set);
  }
  // Every number of every rep, not those alone that are remembered.
  const SetsRead again = parse_set_csv(text, "season.csv");
  std::size_t numbers = 0;
  for (const NamedSession& named : sessions) {
    for (const Rep& rep : named.session.reps) {
      const bool found =
          std::any_of(again.sessions.begin(), again.sessions.end(), [&](const Session& session) {
            return std::any_of(session.reps.begin(), session.reps.end(), [&](const Rep& other) {
              return other.start_s == rep.start_s &&
                     std::all_of(kQuantities.begin(), kQuantities.end(), [&](const Quantity& q) {
                       return other.*q.member == rep.*q.member;
                     });
            });
          });
      CHECK(found);
      ++numbers;
    }
  }
  CHECK(numbers == 48);
}

TEST_CASE("Python's own CSV reader sees what was given out", "[logbook][oracle]") {
  const Folder folder;
  Session session = lifted_session(3);
  session.options.plan->notes = "slow, \"then\" fast";
  spill(folder / "out.csv", to_set_csv({{"a.h5", session}}));
  const std::string told =
      kinetics_test::python(folder / "tell.py",
                            "import csv, sys\n"
                            "rows = list(csv.DictReader(open(sys.argv[1], newline='')))\n"
                            "print(len(rows)); print(rows[0]['lifter']); print(rows[0]['notes'])\n"
                            "print(repr(float(rows[0]['mean_velocity_mps'])))\n",
                            "'" + (folder / "out.csv") + "'");
  CHECK_THAT(told, Contains("4\n" + session.options.plan->lifter + "\nslow, \"then\" fast\n"));
  CHECK(std::stod(told.substr(told.rfind('\n', told.size() - 2) + 1)) ==
        session.reps[0].mean_velocity_mps.value());
}

TEST_CASE("an import repeated stores nothing twice, and other numbers are told", "[logbook]") {
  const Folder folder;
  const std::string row = "2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.742,0.012,0.5,0.002,,\n";
  const std::string other = "2031-03-07,Odalys Brandt,box squat,92.5,1,1,0.75,0.012,0.5,0.002,,\n";
  const std::string next = "2031-03-07,Odalys Brandt,box squat,92.5,2,1,0.70,0.012,0.5,0.002,,\n";
  const auto import = [&](const std::string& rows, IfOther if_other) {
    return import_sets(parse_set_csv(table(rows), "s.csv"), folder / "log", nullptr, if_other);
  };
  CHECK(import(row, IfOther::kRefuse).stored.size() == 1);
  CHECK(import(row, IfOther::kRefuse).known == 1);
  CHECK(import(row + next, IfOther::kRefuse).stored.size() == 1);
  // Nothing of a table is stored when one of its sets is refused.
  const std::string third = "2031-03-07,Odalys Brandt,box squat,92.5,3,1,0.70,0.01,0.5,0.002,,\n";
  CHECK_THROWS_WITH(import(third + other, IfOther::kRefuse),
                    Contains("row 3") && Contains("with other numbers"));
  CHECK(read_history(folder / "log").sets.size() == 2);
  CHECK(import(other, IfOther::kCorrect).corrected == 1);
  const std::vector<LiftedSet> sets = read_history(folder / "log").sets;
  REQUIRE(sets.size() == 2);
  CHECK((sets[0].reps[0].mean_velocity_mps.value() == 0.75 ||
         sets[1].reps[0].mean_velocity_mps.value() == 0.75));
  // The old numbers again are in the logbook already, as what was corrected.
  CHECK(import(row, IfOther::kRefuse).known == 1);
}

TEST_CASE("lifters are written as the roster has them", "[logbook][bad-input]") {
  const Folder folder;
  const Roster roster = parse_roster("[[lifter]]\nname = \"Odalys Brandt\"\n", "club.toml");
  const std::string row = "2031-03-07,odalys  brandt,box squat,92.5,1,1,0.742,0.01,0.5,0.002,,\n";
  const std::string bad = "2031-03-07,Odalys Brant,box squat,92.5,1,1,0.742,0.01,0.5,0.002,,\n";
  (void)import_sets(parse_set_csv(table(row), "s.csv"), folder / "log", &roster);
  CHECK(read_history(folder / "log").sets.at(0).lifter == "Odalys Brandt");
  CHECK_THROWS_WITH(import_sets(parse_set_csv(table(bad), "s.csv"), folder / "log", &roster),
                    Contains("no lifter 'Odalys Brant'") && Contains("Odalys Brandt"));
}
