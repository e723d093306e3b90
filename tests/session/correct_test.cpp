// A stored session measured again. The truth is the session's own analysis, of which a stored one
// has lost how its errors hang together, and a whole new analysis with the other options.
#include "libkinetics/session/correct.h"

#include <cmath>
#include <filesystem>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/session/analyse.h"
#include "libkinetics/session/full_motion.h"

using namespace kinetics;

namespace {

std::string sample(const std::string& path) {
  return (std::filesystem::path(KINETICS_SOURCE_DIR) / "samples" / path).string();
}

/// What a session file keeps of a motion.
Session as_stored(Session session) {
  session.motion.links.clear();
  session.motion.drift.clear();
  return session;
}

void check_same_reps(const std::vector<Rep>& a, const std::vector<Rep>& b) {
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    CAPTURE(i);
    CHECK(a[i].mean_velocity_mps == b[i].mean_velocity_mps);
    CHECK(a[i].peak_velocity_mps == b[i].peak_velocity_mps);
    CHECK(a[i].mean_force_n == b[i].mean_force_n);
    CHECK(a[i].velocity_loss == b[i].velocity_loss);
    CHECK(a[i].sideways_m == b[i].sideways_m);
    CHECK(a[i].flags == b[i].flags);
  }
}

}  // namespace

TEST_CASE("a stored clip's motion comes back whole, and its reps with it", "[session][correct]") {
  const Session whole = analyse_clip(sample("clips/northgate_deadlift.mp4"));
  const Session stored = as_stored(whole);
  const Motion motion = full_motion(stored);
  CHECK(motion.links.size() == whole.motion.links.size());
  REQUIRE(whole.reps.size() >= 3);

  // Left out and put back: every number as before, and no note twice.
  const RepSpan first = spans_of(stored).front();
  const Session without = without_rep(stored, motion, {.set = 1, .rep = 1});
  CHECK(without.reps.size() + 1 == whole.reps.size());
  const Session back = with_rep_added(as_stored(without), motion, first);
  check_same_reps(back.reps, whole.reps);
  CHECK(back.notes == whole.notes);
  CHECK(back.findings == whole.findings);

  const double half_s = 0.5 * (first.start_s + first.end_s);
  const Session split = with_rep_split(stored, motion, {.set = 1, .rep = 1}, half_s);
  CHECK(split.reps.size() == whole.reps.size() + 1);
  check_same_reps(with_reps_merged(split, motion, {.set = 1, .rep = 1}).reps, whole.reps);

  // A disc of another size: as the whole analysis has it.
  AnalysisOptions options;
  options.tracking.disc_diameter_m = 0.38;
  const Session other = analyse_clip(sample("clips/northgate_deadlift.mp4"), options);
  const Session scaled = with_disc_diameter(stored, 0.38);
  REQUIRE(scaled.reps.size() == other.reps.size());
  for (std::size_t i = 0; i < other.reps.size(); ++i) {
    CAPTURE(i);
    for (const auto member : {&Rep::mean_velocity_mps, &Rep::peak_velocity_mps, &Rep::rom_m}) {
      const Measured& quick = scaled.reps[i].*member;
      const Measured& slow = other.reps[i].*member;
      // Far below the 4 mm/s that the project allows a mean velocity to be off.
      CHECK(quick.value() == Approx(slow.value()).margin(0.0005));
      CHECK(quick.sigma() == Approx(slow.sigma()).epsilon(0.03));
    }
  }
  CHECK(scaled.options.tracking.disc_diameter_m == 0.38);
  CHECK_THROWS_AS(with_disc_diameter(stored, 3.8), Error);
}

TEST_CASE("a log's lasting errors come back when the log is at hand", "[session][correct]") {
  const std::string log = sample("logs/northgate_bench.csv");
  const Session whole = analyse_log(log);
  const Session stored = as_stored(whole);
  const Motion motion = full_motion(stored, log);
  CHECK(motion.drift.size() == whole.motion.drift.size());
  const RepSpan last = spans_of(stored).back();
  const int reps = static_cast<int>(whole.reps.size());
  const Session without = without_rep(stored, motion, {.set = 1, .rep = reps});
  check_same_reps(with_rep_added(without, motion, last).reps, whole.reps);

  // Without it, or with another file under its name, what is stored has to do.
  CHECK(full_motion(stored).drift.empty());
  CHECK(full_motion(stored, sample("logs/northgate_hour.csv")).drift.empty());
  CHECK(full_motion(stored).samples.size() == whole.motion.samples.size());
  CHECK_THROWS_AS(with_disc_diameter(stored, 0.38), Error);
}

TEST_CASE("reps placed and left out by hand are kept by their times in a fresh measurement",
          "[session][correct]") {
  const Session whole = analyse_clip(sample("clips/northgate_deadlift.mp4"));
  const Session stored = as_stored(whole);
  const Motion motion = full_motion(stored);
  REQUIRE(whole.reps.size() >= 4);
  std::vector<RepSpan> expected = spans_of(stored);
  expected[1].end_s -= 0.1;
  expected.erase(expected.begin());
  const Session moved = with_rep_moved(stored, motion, {.set = 1, .rep = 2}, expected[0]);
  const Session mine = without_rep(moved, motion, {.set = 1, .rep = 1});

  const KeptReps kept = with_kept_reps(stored, motion, mine, motion);
  CHECK(kept.placed == 1);
  CHECK(kept.left_out == 1);
  CHECK(kept.lost.empty());
  check_same_reps(kept.session.reps, mine.reps);

  // One that was split stands as two in place of the one that is found there.
  const double half_s = 0.5 * (whole.reps[2].start_s + whole.reps[2].end_s);
  const Session split = with_rep_split(stored, motion, {.set = 1, .rep = 3}, half_s);
  check_same_reps(with_kept_reps(stored, motion, split, motion).session.reps, split.reps);

  // Where nothing was done by hand, nothing is kept.
  const KeptReps none = with_kept_reps(stored, motion, stored, motion);
  CHECK(none.placed + none.left_out == 0);
  check_same_reps(none.session.reps, whole.reps);

  // A measurement that ends before the rep cannot hold it, and says so.
  Motion shorter = motion;
  while (shorter.samples.back().t_s > expected[0].start_s) {
    shorter.samples.pop_back();
    shorter.links.pop_back();
  }
  shorter.links.back().joined = false;
  Session fresh = stored;
  fresh.motion = shorter;
  fresh.reps = find_reps(shorter, fresh.options.reps).reps;
  CHECK(with_kept_reps(fresh, shorter, moved, motion).lost.size() == 1);
}
