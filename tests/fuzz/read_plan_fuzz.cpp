// The plan reader against arbitrary bytes: it returns a plan whose every session can be lifted, or
// throws Error. Built twice: with libFuzzer (option KINETICS_FUZZ, clang), and into the plan's
// tests, which run it over the seeds in tests/data/plans and mutated copies of them.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/accessory.h"
#include "libkinetics/training/rotation.h"
#include "libkinetics/training/volume.h"
#include "libkinetics/training/wave.h"
#include "tests/fuzz/promise.h"

namespace {

using namespace kinetics;
using kinetics_test::require;
using kinetics_test::require_helpful;

bool within(double value, double least, double most) {
  return std::isfinite(value) && value >= least && value <= most;
}

void check(const std::optional<FromTo>& band) {
  if (!band) return;
  require(within(band->least, 0.0, 1e9) && within(band->most, band->least, 1e9), "a band rises");
}

void check(const WavePlan& wave, const TrainingPlan& plan) {
  require(!wave.lift.empty() && wave.line > 0, "a wave has a lift and a line");
  require(!wave.variants.empty(), "a wave has a variant");
  const auto sessions = wave_sessions(wave, plan.meet);
  require(sessions.size() >= static_cast<std::size_t>(wave.weeks * wave.waves),
          "every week of every wave has a session");
  for (std::size_t i = 0; i < sessions.size(); ++i) {
    const WaveSession& s = sessions[i];
    require(within(s.share, 0.04, 1.11), "a session's load is a share of the best single");
    require(s.sets >= 1 && s.reps >= 1, "a session has sets and reps");
    require(within(s.work_share, 0.0, 2.0), "its work is a share of the usual");
    require(i == 0 || sessions[i - 1].day < s.day, "sessions stand by day");
    require(!wave.last_days_before_meet || s.day < plan.meet->day, "and before the meet");
    require(!s.variant.box_height_m || *s.variant.box_height_m > 0.0, "a box has a height");
    (void)volume_notes(s, plan.volume);
  }
}

void check(const TrainingPlan& plan) {
  require(!plan.waves.empty(), "a plan has a wave");
  for (const WavePlan& wave : plan.waves) check(wave, plan);
  const CalendarDay monday{std::chrono::days{22330}};
  for (const SpecialPlan& special : plan.specials) {
    require(within(special.weekday, 0, 6) && !special.exercises.empty(), "exercises have a day");
    (void)rotation_notes(special);
    for (const SpecialSession& s : special_sessions(special, monday, monday + std::chrono::days{6}))
      require(!s.exercise.empty(), "and a name each");
  }
  for (const AccessoryPlan& work : plan.accessories) {
    require(!work.name.empty() && work.load_kg > 0.0 && work.distance_m > 0.0 && work.times > 0,
            "accessory work is some work");
  }
  check(plan.volume.session_reps);
  check(plan.volume.accessory_week_kg_m);
  const AccessoryWeek week =
      accessory_week(plan.accessories, plan.volume.accessory_week_kg_m, monday);
  require(within(week.work_kg_m, 0.0, 1e15), "a week's work is finite");
  require(within(plan.adjust.step_share, 0.0005, 0.11), "a step moves the load");
  require(plan.adjust.sessions_to_raise >= 1, "nothing is raised without a session");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    check(parse_training_plan({reinterpret_cast<const char*>(data), size}, "plan.toml"));
  } catch (const Error& error) {
    require_helpful(error, "plan.toml");
  }
  return 0;
}
