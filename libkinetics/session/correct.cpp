#include "libkinetics/session/correct.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/session/full_motion.h"
#include "libkinetics/session/judge.h"
#include "libkinetics/session/options.h"
#include "libkinetics/session/rep_loading.h"
#include "libkinetics/session/speak_of_readings.h"
#include "libkinetics/session/use_plan.h"

namespace kinetics {
namespace {

std::size_t index_of(const Session& session, RepPlace place) {
  for (std::size_t i = 0; i < session.reps.size(); ++i) {
    if (session.reps[i].set == place.set && session.reps[i].number == place.rep) return i;
  }
  throw Error(ErrorCode::kUsage,
              fmt::format("set {} rep {}", place.set, place.rep),
              "the session has no such rep",
              "Take one that its table shows");
}

void take_out(Notes& notes, const Notes& gone) {
  for (const Note& note : gone) {
    const auto at = std::find(notes.begin(), notes.end(), note);
    if (at != notes.end()) notes.erase(at);
  }
}

/// judge() adds notes of its own; those of the last judging go before it judges again.
void forget_judging(Session& session) {
  Session again = session;
  again.notes.clear();
  judge(again);
  take_out(session.notes, again.notes);
}

/// The same session with other reps in it, all measured and judged. Its old judging is forgotten.
void measure_again(Session& session, const Motion& motion, const std::vector<RepSpan>& spans) {
  session.motion = motion;
  session.reps = measure_reps(motion, spans, session.options.reps);
  measure_forces(motion, session.options.loading, session.options.reps.threshold_mps, session.reps);
  if (!has_clip(session)) speak_of_readings(session.reps);
  judge(session);
}

Session with_spans(const Session& session, const Motion& motion, std::vector<RepSpan> spans) {
  Session out = session;
  forget_judging(out);
  measure_again(out, motion, spans);
  return out;
}

double overlap_s(const RepSpan& a, const RepSpan& b) {
  return std::min(a.end_s, b.end_s) - std::max(a.start_s, b.start_s);
}

constexpr double kSameInstant_s = 1e-4;

bool same_span(const RepSpan& a, const RepSpan& b, double within_s) {
  return std::abs(a.start_s - b.start_s) < within_s && std::abs(a.end_s - b.end_s) < within_s;
}

/// Where the program itself finds reps.
std::vector<RepSpan> found_spans(const Motion& motion, const RepOptions& options) {
  std::vector<RepSpan> out;
  for (const Rep& rep : find_reps(motion, options).reps) out.push_back({rep.start_s, rep.end_s});
  return out;
}

bool holds(const std::vector<RepSpan>& spans,
           const RepSpan& span,
           double within_s = kSameInstant_s) {
  return std::any_of(spans.begin(), spans.end(), [&](const RepSpan& other) {
    return same_span(other, span, within_s);
  });
}

/// Where the reps stand in a motion on another scale: the same rises, found again; what a person
/// has placed stays.
std::vector<RepSpan> spans_on_scale(const Session& session,
                                    const Motion& old_motion,
                                    const Motion& motion) {
  const std::vector<RepSpan> before = found_spans(old_motion, session.options.reps);
  const std::vector<RepSpan> after = found_spans(motion, session.options.reps);
  std::vector<RepSpan> spans = spans_of(session);
  for (RepSpan& span : spans) {
    const auto now =
        std::max_element(after.begin(), after.end(), [&](const auto& a, const auto& b) {
          return overlap_s(span, a) < overlap_s(span, b);
        });
    if (!holds(before, span) || now == after.end() || overlap_s(span, *now) <= 0.0) continue;
    span = *now;
  }
  return spans;
}

/// Whether most of the shorter one lies within the other: the same rise, seen twice.
bool same_rise(const RepSpan& a, const RepSpan& b) {
  constexpr double kMost = 0.5;
  const double shorter_s = std::min(a.end_s - a.start_s, b.end_s - b.start_s);
  return overlap_s(a, b) > kMost * shorter_s;
}

bool holds_rise(const std::vector<RepSpan>& spans, const RepSpan& span) {
  return std::any_of(
      spans.begin(), spans.end(), [&](const RepSpan& other) { return same_rise(other, span); });
}

/// What a person did to the reps that the program had found.
struct HandWork {
  std::vector<RepSpan> placed;
  std::vector<RepSpan> left_out;
};

HandWork hand_work(const Session& session, const Motion& motion) {
  // Less than a picture: a motion that was cut out of a longer one differs a little at its ends.
  constexpr double kLessThanByHand_s = 4e-3;
  const std::vector<RepSpan> found = found_spans(motion, session.options.reps);
  const std::vector<RepSpan> now = spans_of(session);
  HandWork out;
  for (const RepSpan& span : now) {
    if (!holds(found, span, kLessThanByHand_s)) out.placed.push_back(span);
  }
  for (const RepSpan& span : found) {
    if (!holds_rise(now, span)) out.left_out.push_back(span);
  }
  return out;
}

}  // namespace

std::vector<RepSpan> spans_of(const Session& session) {
  std::vector<RepSpan> out;
  out.reserve(session.reps.size());
  for (const Rep& rep : session.reps) out.push_back({rep.start_s, rep.end_s});
  return out;
}

Session with_rep_moved(const Session& session, const Motion& motion, RepPlace place, RepSpan to) {
  std::vector<RepSpan> spans = spans_of(session);
  spans[index_of(session, place)] = to;
  return with_spans(session, motion, std::move(spans));
}

Session with_rep_split(const Session& session, const Motion& motion, RepPlace place, double at_s) {
  std::vector<RepSpan> spans = spans_of(session);
  const auto at = spans.begin() + static_cast<std::ptrdiff_t>(index_of(session, place));
  const RepSpan whole = *at;
  if (!(at_s > whole.start_s && at_s < whole.end_s)) {
    throw Error(ErrorCode::kUsage,
                fmt::format("set {} rep {}", place.set, place.rep),
                fmt::format("{:.2f} s does not lie within it", at_s),
                fmt::format("Choose a time from {:.2f} to {:.2f} s", whole.start_s, whole.end_s));
  }
  RepSpan first{whole.start_s, at_s};
  RepSpan second{at_s, whole.end_s};
  double highest_m = state_at(motion, at_s).height_m;
  double lowest_m = highest_m;
  for (const MotionSample& s : motion.samples) {
    if (s.t_s > whole.start_s && s.t_s < at_s && s.height_m > highest_m) {
      highest_m = s.height_m;
      first.end_s = s.t_s;
    }
    if (s.t_s > at_s && s.t_s < whole.end_s && s.height_m < lowest_m) {
      lowest_m = s.height_m;
      second.start_s = s.t_s;
    }
  }
  *at = first;
  spans.insert(std::next(at), second);
  return with_spans(session, motion, std::move(spans));
}

Session with_reps_merged(const Session& session, const Motion& motion, RepPlace place) {
  std::vector<RepSpan> spans = spans_of(session);
  const std::size_t at = index_of(session, place);
  if (at + 1 >= spans.size() || session.reps[at + 1].set != place.set) {
    throw Error(ErrorCode::kUsage,
                fmt::format("set {} rep {}", place.set, place.rep),
                "no rep of its set comes after it",
                "Merge from the earlier one of the two");
  }
  spans[at].end_s = spans[at + 1].end_s;
  spans.erase(spans.begin() + static_cast<std::ptrdiff_t>(at) + 1);
  return with_spans(session, motion, std::move(spans));
}

Session without_rep(const Session& session, const Motion& motion, RepPlace place) {
  std::vector<RepSpan> spans = spans_of(session);
  spans.erase(spans.begin() + static_cast<std::ptrdiff_t>(index_of(session, place)));
  return with_spans(session, motion, std::move(spans));
}

Session with_rep_added(const Session& session, const Motion& motion, RepSpan where) {
  std::vector<RepSpan> spans = spans_of(session);
  const auto at = std::find_if(spans.begin(), spans.end(), [&](const RepSpan& other) {
    return other.start_s > where.start_s;
  });
  spans.insert(at, where);
  return with_spans(session, motion, std::move(spans));
}

Session with_disc_diameter(const Session& session, double disc_diameter_m) {
  if (!kDiscDiameterM.holds(disc_diameter_m)) {
    throw Error(
        ErrorCode::kUsage,
        "disc diameter",
        fmt::format("{:g} m is out of range", disc_diameter_m),
        fmt::format(
            "Give a value from {:g} to {:g}", kDiscDiameterM.least, kDiscDiameterM.greatest));
  }
  if (!has_clip(session) || session.log) {
    throw Error(ErrorCode::kUsage,
                "disc diameter",
                "a log was read too, or alone, and the disc does not scale it",
                "Analyse the clip again with the other diameter");
  }
  Session out = session;
  forget_judging(out);
  TrackingOptions& tracking = out.options.tracking;
  const double ratio = disc_diameter_m / tracking.disc_diameter_m;
  const double old_share = tracking.disc_diameter_sigma_m / tracking.disc_diameter_m;
  const double new_share = tracking.disc_diameter_sigma_m / disc_diameter_m;
  tracking.disc_diameter_m = disc_diameter_m;
  for (PathPoint& p : out.path.points) {
    for (double* length_m : {&p.x_m, &p.y_m, &p.sigma_x_m, &p.sigma_y_m, &p.lasting_sigma_m}) {
      *length_m *= ratio;
    }
  }
  out.path.hold_sigma_m *= ratio;
  out.path.shutter_sigma_s_per_m /= ratio;  // rows of the picture a metre spans
  // The disc's own tolerance is one part of the scale's error, beside edge and view.
  const double others = out.path.scale_sigma_rel * out.path.scale_sigma_rel - old_share * old_share;
  out.path.scale_sigma_rel = std::sqrt(std::max(others, 0.0) + new_share * new_share);
  const Motion motion = estimate_motion(out.path, out.options.motion);
  measure_again(out, motion, spans_on_scale(session, full_motion(session), motion));
  return out;
}

KeptReps with_kept_reps(const Session& fresh,
                        const Motion& fresh_motion,
                        const Session& corrected,
                        const Motion& corrected_motion) {
  const HandWork hand = hand_work(corrected, corrected_motion);
  std::vector<RepSpan> spans = spans_of(fresh);
  KeptReps out{.session = fresh, .lost = {}};
  out.left_out = static_cast<int>(
      std::erase_if(spans, [&](const RepSpan& span) { return holds_rise(hand.left_out, span); }));
  if (out.left_out > 0) out.session = with_spans(fresh, fresh_motion, spans);
  for (const RepSpan& span : hand.placed) {
    std::vector<RepSpan> others = spans;
    std::erase_if(others, [&](const RepSpan& other) {
      return same_rise(other, span) && !holds(hand.placed, other);
    });
    others.insert(std::find_if(others.begin(),
                               others.end(),
                               [&](const RepSpan& o) { return o.start_s > span.start_s; }),
                  span);
    try {
      out.session = with_spans(fresh, fresh_motion, others);
      spans = std::move(others);
      ++out.placed;
    } catch (const Error& error) {
      if (error.code() != ErrorCode::kUsage) throw;
      out.lost.push_back(span);
    }
  }
  return out;
}

Session with_set(const Session& session,
                 const Motion& motion,
                 const std::optional<PlannedSet>& planned,
                 const Notes& old_notes) {
  Session out = session;
  forget_judging(out);
  take_out(out.notes, old_notes);
  if (planned) {
    out.notes.insert(out.notes.begin(), planned->notes.begin(), planned->notes.end());
    use_planned(*planned, out.options);
    out.options.reps.slowed_loss = out.options.thresholds.slowed_loss;
  } else {
    out.options.plan.reset();
    out.options.loading = {};
  }
  measure_again(out, motion, spans_of(session));
  return out;
}

}  // namespace kinetics
