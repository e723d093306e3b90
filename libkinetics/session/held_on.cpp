#include "libkinetics/session/held_on.h"

#include <cmath>
#include <cstdint>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"

namespace kinetics {
namespace {

struct Day {
  std::string day;
  std::string from;  ///< where it was taken from, after "from"
};

Day from_clip(const std::string& recorded_at) {
  constexpr std::size_t kDate = 10;
  const auto unix_s = unix_seconds_in(recorded_at);
  if (!unix_s) return {};
  if (recorded_at.back() != 'Z') {
    return {.day = recorded_at.substr(0, kDate),
            .from = fmt::format("the clip's own recording time, {}", recorded_at)};
  }
  return {.day = local_day(*unix_s),
          .from = fmt::format("the clip's own recording time, {} {} UTC, in this computer's time "
                              "zone",
                              recorded_at.substr(0, kDate),
                              recorded_at.substr(kDate + 1, 5))};
}

Day from_log(double started_unix_s) {
  return {.day = local_day(static_cast<std::int64_t>(std::floor(started_unix_s))),
          .from = "the time at which the log began, in this computer's time zone"};
}

Day day_of(const Session& session) {
  const HeldOn& told = session.options.held_on;
  if (!told.day.empty()) return {.day = told.day, .from = told.told_by};
  Day day = from_clip(session.clip.recorded_at);
  if (!day.day.empty()) return day;
  constexpr double kLoggersCountS = 946684800.0;  // 2000-01-01: an earlier clock was never set
  if (session.log && session.log->started_unix_s >= kLoggersCountS) {
    return from_log(session.log->started_unix_s);
  }
  return {};
}

}  // namespace

void find_day(Session& session) {
  const Day day = day_of(session);
  session.provenance.held_on = day.day;
  if (day.day.empty()) return;
  session.notes.push_back(
      {NoteKind::kDecision,
       fmt::format(
           "Held on {}, taken from {}.", day.day, day.from.empty() ? "what was told" : day.from)});
}

}  // namespace kinetics
