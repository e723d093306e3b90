// The table fits an 80-column terminal whatever the session holds, says in words what was not
// measured, and always ends with the cautions.
#include "libkinetics/report/table.h"

#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/report/text.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::random_session;

namespace {

void check_fits(const std::string& table) {
  std::istringstream lines(table);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(shown_width(line) <= 80);
    CHECK((line.empty() || line.back() != ' '));
  }
}

Session one_rep() {
  Session session;
  session.provenance.source_name = "bench.mp4";
  session.clip.width_px = 1280;
  session.clip.height_px = 720;
  Rep rep;
  rep.start_s = 3.417;
  rep.mean_velocity_mps = {0.8121, 0.0031};
  rep.peak_velocity_mps = {1.2453, 0.0060};
  rep.rom_m = {0.6018, 0.0015};
  rep.velocity_loss = {0.0, 0.0};
  session.reps = {rep};
  return session;
}

}  // namespace

TEST_CASE("no line of the table is wider than 80 columns", "[report]") {
  const auto seed = GENERATE(range(1U, 30U));
  CAPTURE(seed);
  Session session = random_session(seed, 100, 12);
  session.notes.push_back({NoteKind::kCaution, std::string(200, 'x') + " and more words"});
  session.provenance.source_name = std::string(150, 'n') + ".mp4";
  session.reps[3].start_s = 35'999.99;  // ten hours into a recording
  session.reps[3].set = 100;
  session.reps[3].number = 100;
  session.reps[4].flags = {FlagKind::kMaybeSlowed, FlagKind::kPartial, FlagKind::kNotMeasured};
  check_fits(to_table(session));
}

TEST_CASE("a row shows half of the 95 % interval behind each number", "[report]") {
  // 1.96 sigma: 0.0061 m/s, 0.0118 m/s, 0.29 cm.
  CHECK_THAT(to_table(one_rep()),
             Contains("  1  3.42  0.812 ± 0.006  1.245 ± 0.012    60.2 ± 0.3    0\n"));
}

TEST_CASE("a number that was not measured says so, and why", "[report]") {
  Session session = one_rep();
  session.reps[0].mean_velocity_mps = Reason::kDiscHidden;
  session.reps[0].flags = {FlagKind::kNotMeasured};
  const std::string table = to_table(session);
  CHECK_THAT(table, Contains("   not measured  1.245 ± 0.012"));
  CHECK_THAT(table, Contains("Set 1 rep 1: mean velocity not measured: disc hidden."));
  CHECK_THAT(table, Contains("Set 1: 1 rep, none of them measured."));
}

TEST_CASE("each set is told in a sentence: reps, fastest, loss", "[report]") {
  Session session = one_rep();
  Rep slower = session.reps[0];
  slower.number = 2;
  slower.mean_velocity_mps = {0.6009, 0.003};
  slower.velocity_loss = {0.26, 0.005};
  slower.flags = {FlagKind::kMaybeSlowed};
  Rep next_set = session.reps[0];
  next_set.set = 2;
  session.reps.push_back(slower);
  session.reps.push_back(next_set);
  const std::string table = to_table(session);
  CHECK_THAT(table, Contains("26  maybe slowed\n"));
  CHECK_THAT(table, Contains("Set 1: 2 reps, fastest 0.812 m/s (rep 1), last 0.601 m/s: 26 ± 1 %"));
  CHECK_THAT(table, Contains("Set 2: 1 rep, fastest 0.812 m/s (rep 1)."));
}

TEST_CASE("a flag stands whole beside its rep, and each on a line of its own", "[report]") {
  Session session = one_rep();
  session.reps[0].start_s = 16.28;
  session.findings = {{.set = 1,
                       .rep = 1,
                       .kind = FindingKind::kBelowExpected,
                       .certainty = Certainty::kLikely,
                       .evidence = "0.677 m/s"},
                      {.set = 1,
                       .rep = 1,
                       .kind = FindingKind::kUnevenPause,
                       .certainty = Certainty::kLikely,
                       .evidence = "0.9 s"}};
  const std::string table = to_table(session);
  check_fits(table);
  CHECK_THAT(table, Contains("    0  maybe below expected\n"));
  CHECK_THAT(table, Contains(std::string(60, ' ') + "maybe uneven pause\n"));
  Rep next_set = session.reps[0];
  next_set.set = 2;
  session.reps.push_back(next_set);
  CHECK_THAT(to_table(session), Contains("Set Rep Start") && Contains("\n  2   1 16.28"));
  check_fits(to_table(session));
}

TEST_CASE("a log is described by its readings, and beside a clip by its clock", "[report]") {
  Session session = one_rep();
  session.log = LogInfo{};
  session.log->name = "bench.csv";
  session.log->has_gyroscope = true;
  session.log->rate_hz = 99.98;
  session.log->offset_s = -2.408;
  session.log->offset_sigma_s = 0.0015;
  session.log->agreement = 0.9996;
  const std::string both = to_table(session);
  CHECK_THAT(both, Contains("1280 x 720 pixels"));
  CHECK_THAT(both, Contains("with bench.csv: accelerations and rotation rates, 100.0 a second"));
  CHECK_THAT(both, Contains("The log begins 2.408 ± 0.003 s before the clip"));
  CHECK_THAT(both, Contains("disc 450 mm across;") && Contains("gravity 9.8066 m/s²"));
  check_fits(both);

  session.clip = {};
  session.log->offset_s.reset();
  const std::string alone = to_table(session);
  CHECK_THAT(alone, Contains("accelerations and rotation rates, 100.0 a second"));
  CHECK_THAT(alone, !Contains("disc") && !Contains("pixels"));
  session.reps.clear();
  CHECK_THAT(to_table(session), Contains("No repetition was found in this log."));
}

TEST_CASE("a clip without reps is told plainly", "[report]") {
  Session session = one_rep();
  session.reps.clear();
  CHECK_THAT(to_table(session), Contains("No repetition was found in this clip."));
  check_fits(to_table(session));
}

TEST_CASE("the usual cautions close every table", "[report]") {
  CHECK_THAT(to_table(one_rep()), Contains("coach") && Contains("licensed clinician"));
}

TEST_CASE("nothing in a file name can steer the terminal", "[report][bad-input]") {
  Session session = one_rep();
  session.provenance.source_name = "a\033[2Jb\nc.mp4";
  const std::string table = to_table(session);
  CHECK(table.find('\033') == std::string::npos);
  CHECK_THAT(table, Catch::StartsWith("a?[2Jb?c.mp4\n"));
}
