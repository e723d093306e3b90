#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/weekday.h"

/// What the coach means to do over the coming weeks, from a text file (TOML) that is kept by hand
/// beside the roster: waves of loads, the way to a meet, special exercises, accessory work.
///
/// Example, with every kind of entry. Only [[wave]] with its lift is needed; what is left out has
/// the default that stands here, unless another is told. Every default is common practice, no
/// source. Days are written 2031-03-07.
///
///   name = "spring"
///
///   [meet]                          # when there is one
///   name = "spring open"
///   day = 2031-05-17
///
///   [[wave]]
///   lift = "box squat"              # of every lifter who has it in the roster with a best single
///   lifters = ["Odalys Brandt"]     # … or of these only
///   start_percent = 50              # of the best single, in the first week of a wave
///   step_percent = 2.5              # more each week
///   weeks = 5                       # 50, 52.5, 55, 57.5, 60 …
///   reset_percent = 50              # … and back; default: start_percent
///   waves = 2                       # how often; default 1
///   every_days = 7                  # from one session to the next
///   sets = 10
///   reps = 2
///   rest_s = 60                     # no default: printed when it is given
///   percent_of = "bar"              # of what the best single is the measure: the straight weight
///                                   # on the "bar", or with chains and bands the "mean" over the
///                                   # lift or the load at the "top"
///   last_days_before_meet = 8       # the last session, counting back from the meet; or forward
///                                   # from the first: first_day = 2031-02-14
///   taper_work_percent = [50]       # of the usual work, in the last sessions before the meet, the
///                                   # very last one last
///   second_day_after = 3            # days after each session a lighter one; no default
///   second_day_work_percent = 60    # of the first one's sets times reps times load
///   variant = [                     # taken in turn, each for so many weeks
///     { weeks = 5, bar = "straight bar", box_height_cm = 38, chains = "2 x heavy chain" },
///     { weeks = 3, bar = "cambered bar", bands = "2 x light band" },
///   ]
///
///   [[special]]                     # special exercises, one a session, changed in rotation
///   day = "Monday"
///   exercises = ["good morning", "rack pull", "front squat"]
///   every_weeks = 3                 # 2 or 3
///   first_day = 2031-02-17          # default: the week of the first wave
///
///   [[accessory]]                   # drags, carries and other work counted as load × distance
///   name = "sled drag"
///   load_kg = 60
///   distance_m = 60                 # of one trip, or of one rep's travel
///   times = 8                       # on the heavy day
///   heavy = "Friday"                # which day is which; one or more
///   medium = "Sunday"
///   light = "Tuesday"
///   medium_percent = 80             # of the heavy day's work
///   light_percent = 60
///
///   [volume]
///   reps = [18, 30]                 # of a wave's session; no default
///   accessory_week_kg_m = [20000, 90000]    # of all accessory work in a week; no default
///
///   [adjust]                        # how measured velocities move the next load
///   raise_above_mps = 0.03          # faster than expected by more than this, which is about what
///   lower_below_mps = 0.03          # 2.5 % of the best single costs; or slower
///   sessions_to_raise = 2           # in a row; one is enough to lower
///   least_reps = 6                  # measured, for a session to count
///   step_percent = 2.5              # of the best single
///   most_raise_percent = 5          # above the wave, over all its sessions
///   most_lower_percent = 10         # below it
///   day_sigma_mps = 0.03            # by how much a lifter's day is faster or slower for no reason

namespace kinetics {

/// Which load the wave's percentage speaks of when chains or bands hang from the bar.
enum class PercentOf { kBar, kMean, kTop };

/// Bar, box and gear of a wave's session; empty words: the usual bar, none.
struct WaveVariant {
  int weeks = 1;  ///< sessions before the next variant takes its turn
  std::string bar = {};
  std::optional<double> box_height_m = std::nullopt;
  std::string chains = {};  ///< in the sheet's words, "2 x heavy chain"
  std::string bands = {};
  int line = 0;
  bool operator==(const WaveVariant&) const = default;
};

struct WavePlan {
  std::string lift;
  std::vector<std::string> lifters;  ///< empty: all who have the lift
  double start_share = 0.50;         ///< of the best single
  double step_share = 0.025;
  int weeks = 5;
  std::optional<double> reset_share;  ///< where later waves start
  int waves = 1;
  int every_days = 7;
  int sets = 10;
  int reps = 2;
  std::optional<int> rest_s;
  PercentOf percent_of = PercentOf::kBar;
  std::optional<CalendarDay> first_day;
  std::optional<int> last_days_before_meet;
  std::vector<double> taper_work_shares = {0.5};
  std::optional<int> second_day_after;
  double second_day_work_share = 0.6;
  std::vector<WaveVariant> variants;  ///< never empty once read
  int line = 0;                       ///< of the file
};

/// Special exercises of one weekday.
struct SpecialPlan {
  int weekday = 0;  ///< 0 for Monday
  std::vector<std::string> exercises;
  int every_weeks = 3;
  std::optional<CalendarDay> first_day;
  int line = 0;
};

enum class DayKind { kHeavy, kMedium, kLight };

/// Work counted as load times distance.
struct AccessoryPlan {
  std::string name;
  double load_kg = 0.0;
  double distance_m = 0.0;  ///< of one trip, or of one rep's travel
  int times = 1;            ///< on the heavy day
  std::optional<int> heavy_weekday;
  std::optional<int> medium_weekday;
  std::optional<int> light_weekday;
  double medium_share = 0.8;
  double light_share = 0.6;
  int line = 0;
};

/// Ends included.
struct FromTo {
  double least = 0.0;
  double most = 0.0;
};

struct VolumeLimits {
  std::optional<FromTo> session_reps;
  std::optional<FromTo> accessory_week_kg_m;
};

/// How measured velocities move the next load.
struct AdjustRule {
  double raise_above_mps = 0.03;
  double lower_below_mps = 0.03;
  int sessions_to_raise = 2;
  int least_reps = 6;
  double step_share = 0.025;  ///< of the best single
  double most_raise_share = 0.05;
  double most_lower_share = 0.10;
  double day_sigma_mps = 0.03;
};

struct Meet {
  std::string name;
  CalendarDay day = {};
};

struct TrainingPlan {
  std::string file;  ///< for messages
  std::string name;
  std::optional<Meet> meet;
  std::vector<WavePlan> waves;
  std::vector<SpecialPlan> specials;
  std::vector<AccessoryPlan> accessories;
  VolumeLimits volume;
  AdjustRule adjust;
};

/// Reads a plan.
///
/// Errors  Error{kUnreadable} naming file, line, what is wrong and the mend: as read_roster; a wave
///         that neither has a first day nor counts back from a meet, or a last session on or after
///         the meet.
[[nodiscard]] TrainingPlan read_training_plan(const std::string& path);

/// The same from text; `name` stands for the file in messages.
[[nodiscard]] TrainingPlan parse_training_plan(const std::string& text, const std::string& name);

}  // namespace kinetics
