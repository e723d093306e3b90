#include "libkinetics/training/compare_spans.h"

#include <algorithm>
#include <cstddef>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/names.h"

namespace kinetics {

std::vector<std::string> lifts_in(const std::vector<LiftedSession>& sessions) {
  std::vector<std::string> lifts;
  for (const LiftedSession& s : sessions) {
    const bool known = std::any_of(
        lifts.begin(), lifts.end(), [&](const std::string& l) { return same_name(l, s.lift); });
    if (!known) lifts.push_back(s.lift);
  }
  return lifts;
}

std::vector<CompareSpan> waves_of(const TrainingPlan* plan,
                                  const std::string& lift,
                                  const std::vector<LiftedSession>& sessions) {
  if (plan != nullptr) {
    auto waves = planned_waves(*plan, lift, sessions);
    if (waves.size() > 1) return waves;
  }
  return lifted_waves(lift, sessions);
}

std::vector<Comparison> session_by_session(const std::vector<LiftedSession>& sessions,
                                           const std::string& lift,
                                           const CompareSpan& span,
                                           const CompareOptions& options) {
  std::vector<Comparison> out;
  const std::vector<CalendarDay> days = days_in(span, lift, sessions);
  for (std::size_t i = 1; i < days.size(); ++i) {
    const auto one = [&](CalendarDay day) {
      return CompareSpan{.name = day_in_words(day), .from = day, .to = day};
    };
    try {
      out.push_back(compare(sessions, lift, one(days[i - 1]), one(days[i]), options));
    } catch (const Error& error) {
      if (error.code() != ErrorCode::kUsage) throw;
    }
  }
  return out;
}

}  // namespace kinetics
