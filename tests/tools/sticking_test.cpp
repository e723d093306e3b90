// Stored sets on one sticking map, as the coach asks for it. The sets are motions known in closed
// form (tests/support/lifts.h): two humps are slowest half way up.
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/kinematics/reps.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/support/lifts.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::slurp;
using kinetics_test::spill;
using namespace kinetics_test;

namespace {

struct Stored {
  std::string name;  ///< of the file, and of the recording
  std::string lift = "box squat";
  std::string bar = "straight bar";
  double rise_m = 0.5;
  Shape shape = Shape::kTwoHumps;
  std::string day = "20";
  std::string recording = "";  ///< when it is not the file's own
};

/// Three reps in a session file of this name in the folder.
void store(const Folder& folder, const Stored& as) {
  Lift lift(0.9);
  for (int i = 0; i < 3; ++i) {
    lift.rest(1.2).move(-as.rise_m, 1.4).rest(0.6).rep(as.rise_m, 1.5 + 0.1 * i, as.shape);
  }
  lift.rest(1.2);
  kinetics::Session session;
  session.clip.width_px = 1280;
  session.path = filmed(lift, {.sigma_m = 0.0004});
  session.motion = kinetics::estimate_motion(session.path);
  session.reps = kinetics::find_reps(session.motion).reps;
  REQUIRE(session.reps.size() == 3);
  kinetics::SetPlan plan;
  plan.sheet = "day.csv";
  plan.row = 2;
  plan.lifter = "Odalys Brandt";
  plan.lift = as.lift;
  plan.bar = as.bar;
  plan.box_height_m = 0.45;
  plan.stated_load_kg = 92.5;
  if (!as.lift.empty()) session.options.plan = plan;
  session.provenance.analysed_at = "2026-11-" + as.day + "T10:00:00Z";
  session.provenance.source_name = as.name + ".mp4";
  session.provenance.source_sha256 = as.recording.empty() ? as.name : as.recording;
  std::filesystem::rename(kinetics::store_session(session, folder.path().string()),
                          folder / (as.name + ".h5"));
}

}  // namespace

TEST_CASE("stored sets are laid on one map by bar, in words and as a picture", "[tools]") {
  const Folder folder;
  store(folder, {.name = "a"});
  store(folder, {.name = "b", .bar = "cambered bar", .rise_m = 0.6});
  store(folder, {.name = "c", .bar = "straight bar", .shape = Shape::kMinimumJerk});
  store(folder, {.name = "d", .lift = "squat"});
  const Outcome outcome = run_kinetics(folder, "sticking a.h5 b.h5 c.h5 d.h5 -o map.svg");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("Odalys Brandt, box squat") && Contains("A    3 of 6  "));
  CHECK_THAT(outcome.out, Contains("92.5 kg, 2 sessions") && Contains("B    3 of 3  "));
  // Half of 60 cm against half of 50 cm.
  CHECK_THAT(outcome.out, Contains(" of the range: 5.0 ± ") && Contains("cm higher than A"));
  CHECK_THAT(outcome.out, Contains("Odalys Brandt, squat") && Contains("Written: map.svg\n"));
  const std::string svg = slurp(folder / "map.svg");
  CHECK_THAT(
      svg, Contains("Odalys Brandt: box squat</text>") && Contains("Odalys Brandt: squat</text>"));
  CHECK_THAT(svg, Contains("cambered bar, box 45 cm"));

  const Outcome again = run_kinetics(folder, "sticking a.h5 -o map.svg");
  CHECK(again.status == 0);  // a picture is drawn anew, as by every command
  CHECK_THAT(slurp(folder / "map.svg"), !Contains("cambered bar"));
  const Outcome streamed = run_kinetics(folder, "sticking a.h5 -o -");
  CHECK(streamed.out == slurp(folder / "map.svg"));
}

TEST_CASE("of a recording analysed twice only the last analysis counts", "[tools]") {
  const Folder folder;
  store(folder, {.name = "new", .day = "21", .recording = "one"});
  store(folder, {.name = "old", .day = "20", .recording = "one"});
  const Outcome outcome = run_kinetics(folder, "sticking new.h5 old.h5");
  CAPTURE(outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  CHECK_THAT(outcome.out, Contains("A    3 of 3  "));
  CHECK_THAT(outcome.out, Contains("Note: old.h5 is left out: new.h5 is a later analysis"));
}

TEST_CASE("sets that cannot be mapped are refused in one line", "[tools][bad-input]") {
  const Folder folder;
  store(folder, {.name = "a"});
  store(folder, {.name = "smooth", .shape = Shape::kMinimumJerk});
  store(folder, {.name = "nobody", .lift = ""});
  spill(folder / "cut.h5", slurp(folder / "a.h5").substr(0, 3000));
  std::filesystem::create_symlink("a.h5", folder / "link.h5");
  check_refused(folder, "sticking ", kBadUsage, "sessions");
  check_refused(folder, "sticking none.h5 -o map.svg", kUnreadable, "none.h5");
  check_refused(folder, "sticking a.h5 cut.h5 -o map.svg", kUnreadable, "cut.h5");
  check_refused(
      folder, "sticking a.h5 nobody.h5 -o map.svg", kUnreadable, "nobody.h5: this session does");
  check_refused(folder,
                "sticking smooth.h5 -o map.svg",
                kUnreadable,
                "no sticking region in any of 3 full reps");
  check_refused(folder, "sticking a.h5 a.h5", kBadUsage, "given twice");
  check_refused(folder, "sticking a.h5 link.h5", kBadUsage, "the same session as a.h5");
  check_refused(folder, "sticking a.h5 -o a.h5", kBadUsage, "never written to");
  check_refused(folder, "sticking a.h5 -o no/map.svg", kBadUsage, "folder");
}
