#include "libkinetics/training/volume.h"

#include <cmath>

#include <fmt/format.h>

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;
constexpr double kEdge = 1e-9;  // 0.5 + 8 × 0.025 is a hair below 0.7

std::string sets_that_fit(const WaveSession& session, const FromTo& band) {
  const int least = static_cast<int>(std::ceil(band.least / session.reps));
  const int most = static_cast<int>(std::floor(band.most / session.reps));
  if (least > most || most < 1) {
    return fmt::format("No number of sets of {} fits: change reps or the band.", session.reps);
  }
  if (least == most) return fmt::format("{} sets of {} would fit.", least, session.reps);
  return fmt::format("{} to {} sets of {} would fit.", least, most, session.reps);
}

}  // namespace

RepTable reps_at(double share) {
  if (share < 0.70 - kEdge) return {3, 6, 18, 24, 30};
  if (share < 0.80 - kEdge) return {3, 6, 12, 18, 24};
  if (share < 0.90 - kEdge) return {2, 4, 10, 15, 20};
  return {1, 2, 4, 7, 10};
}

Notes volume_notes(const WaveSession& session, const VolumeLimits& limits) {
  Notes out;
  const int reps = session.sets * session.reps;
  const bool may_be_less = session.taper || session.second_day;
  if (limits.session_reps) {
    const FromTo& band = *limits.session_reps;
    if (reps > band.most || (reps < band.least && !may_be_less)) {
      out.push_back({NoteKind::kCaution,
                     fmt::format("{} × {} are {} reps, outside the plan's {:g} to {:g}. {}",
                                 session.sets,
                                 session.reps,
                                 reps,
                                 band.least,
                                 band.most,
                                 sets_that_fit(session, band))});
    }
  }
  const RepTable table = reps_at(session.share);
  if (reps > table.most || (reps < table.least && !may_be_less)) {
    out.push_back({NoteKind::kDecision,
                   fmt::format("{} reps at {:g} %: weightlifters' logs (Prilepin) show {} to {} "
                               "there, {} as a rule. A remark only.",
                               reps,
                               kPercent * session.share,
                               table.least,
                               table.most,
                               table.optimal)});
  }
  return out;
}

}  // namespace kinetics
