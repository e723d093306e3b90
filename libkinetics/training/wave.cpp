#include "libkinetics/training/wave.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

using std::chrono::days;

/// Which variant has its turn in the i-th session, all waves counted through.
const WaveVariant& variant_of(const WavePlan& plan, int session) {
  KINETICS_ASSERT(!plan.variants.empty());
  int round = 0;
  for (const WaveVariant& variant : plan.variants) round += variant.weeks;
  int place = session % round;
  for (const WaveVariant& variant : plan.variants) {
    if (place < variant.weeks) return variant;
    place -= variant.weeks;
  }
  return plan.variants.back();
}

CalendarDay first_day_of(const WavePlan& plan, const std::optional<Meet>& meet, int sessions) {
  if (plan.first_day) return *plan.first_day;
  KINETICS_ASSERT(meet && plan.last_days_before_meet);
  return meet->day - days{*plan.last_days_before_meet} - days{plan.every_days * (sessions - 1)};
}

/// What is left of the usual work in the i-th of all sessions; 1 for most.
double left_of_work(const WavePlan& plan, int session, int sessions) {
  if (!plan.last_days_before_meet) return 1.0;
  const int from_end = sessions - 1 - session;
  const int taper = static_cast<int>(plan.taper_work_shares.size());
  if (from_end >= taper) return 1.0;
  return plan.taper_work_shares[static_cast<std::size_t>(taper - 1 - from_end)];
}

WaveSession second_day_of(const WaveSession& first, const WavePlan& plan) {
  WaveSession out = first;
  out.second_day = true;
  out.day += days{*plan.second_day_after};
  out.sets = sets_for_share(first.sets, plan.second_day_work_share);
  out.work_share = static_cast<double>(out.sets) / plan.sets;
  return out;
}

}  // namespace

int sets_for_share(int sets, double share) {
  return std::max(1, static_cast<int>(std::lround(sets * share)));
}

double tonnage_kg(int sets, int reps, double load_kg) {
  return static_cast<double>(sets) * reps * load_kg;
}

std::vector<WaveSession> wave_sessions(const WavePlan& plan, const std::optional<Meet>& meet) {
  const int sessions = plan.waves * plan.weeks;
  const CalendarDay first = first_day_of(plan, meet, sessions);
  std::vector<WaveSession> out;
  for (int i = 0; i < sessions; ++i) {
    WaveSession session;
    session.day = first + days{plan.every_days * i};
    session.wave = 1 + i / plan.weeks;
    session.week = 1 + i % plan.weeks;
    const double start =
        session.wave == 1 ? plan.start_share : plan.reset_share.value_or(plan.start_share);
    session.share = start + plan.step_share * (session.week - 1);
    const double left = left_of_work(plan, i, sessions);
    session.taper = left < 1.0;
    session.sets = left == 1.0 ? plan.sets : sets_for_share(plan.sets, left);
    session.work_share = static_cast<double>(session.sets) / plan.sets;
    session.reps = plan.reps;
    session.variant = variant_of(plan, i);
    out.push_back(session);
    const bool last_before_meet = plan.last_days_before_meet && i + 1 == sessions;
    if (plan.second_day_after && !last_before_meet) out.push_back(second_day_of(session, plan));
  }
  for (WaveSession& session : out) {
    if (!meet || session.day > meet->day) continue;
    session.days_to_meet = static_cast<int>((meet->day - session.day).count());
  }
  return out;
}

}  // namespace kinetics
