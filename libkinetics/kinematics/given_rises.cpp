#include "libkinetics/kinematics/given_rises.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

// A time that went through a file or a page comes back rounded.
constexpr double kSameInstant_s = 1e-4;

bool same_instant(double a_s, double b_s) {
  return std::abs(a_s - b_s) <= kSameInstant_s;
}

[[noreturn]] void refuse(double at_s, const std::string& what, const char* mend) {
  throw Error(ErrorCode::kUsage, fmt::format("rep at {:.2f} s", at_s), what, mend);
}

void check_spans(const Motion& motion, std::span<const RepSpan> spans) {
  if (spans.empty()) return;
  if (motion.samples.size() < 2) refuse(spans[0].start_s, "there is no motion to measure", "");
  const double first_s = motion.samples.front().t_s;
  const double last_s = motion.samples.back().t_s;
  double free_from_s = -std::numeric_limits<double>::infinity();
  for (const RepSpan& span : spans) {
    // Written so that a NaN is refused too.
    if (!(span.start_s < span.end_s)) {
      refuse(span.start_s,
             fmt::format("it ends at {:.2f} s, before it begins", span.end_s),
             "Put the end after the start");
    }
    if (!(span.start_s >= first_s && span.end_s <= last_s)) {
      refuse(span.start_s,
             fmt::format("it reaches to {:.2f} s, and the recording goes from {:.2f} to {:.2f} s",
                         span.end_s,
                         first_s,
                         last_s),
             "Keep both ends inside the recording");
    }
    if (!(span.start_s >= free_from_s)) {
      refuse(span.start_s,
             fmt::format("the rep before it ends only at {:.2f} s", free_from_s),
             "Move one of the two, or merge them");
    }
    if (!(state_at(motion, span.end_s).height_m > state_at(motion, span.start_s).height_m)) {
      refuse(span.start_s,
             fmt::format("the bar is no higher at {:.2f} s than at the start", span.end_s),
             "A rep is a rise: put the start at the bottom and the end at the top");
    }
    free_from_s = span.end_s;
  }
}

Crossing placed(const Motion& motion, double t_s) {
  const std::size_t at = std::min(sample_before(motion, t_s), motion.samples.size() - 2);
  const double spacing_s = motion.samples[at + 1].t_s - motion.samples[at].t_s;
  // Evenly likely anywhere within half a sample to either side.
  return {t_s, spacing_s / std::sqrt(12.0), state_at(motion, t_s).measured};
}

double sideways_span(const Motion& motion, const RepSpan& span) {
  double lo = state_at(motion, span.start_s).x_m;
  double hi = lo;
  for (const MotionSample& s : motion.samples) {
    if (s.t_s < span.start_s || s.t_s > span.end_s) continue;
    lo = std::min(lo, s.x_m);
    hi = std::max(hi, s.x_m);
  }
  return hi - lo;
}

/// The found rises that share time with a span, as a range of places; empty when there is none.
struct Overlap {
  std::size_t first = 0;
  std::size_t end = 0;
  [[nodiscard]] bool empty() const { return first == end; }
};

Overlap overlap_of(const std::vector<Rise>& found, const RepSpan& span) {
  Overlap out;
  while (out.first < found.size() && found[out.first].up.end.t_s <= span.start_s) ++out.first;
  out.end = out.first;
  while (out.end < found.size() && found[out.end].up.start.t_s < span.end_s) ++out.end;
  return out;
}

/// What came before the rise, unless another rep now stands between.
void take_before(const Rise& from, double free_from_s, Rise& rise) {
  if (!from.down_before || from.down_before->end.t_s < free_from_s) return;
  if (from.down_before->end.t_s > rise.up.start.t_s + kSameInstant_s) return;
  rise.down_before = from.down_before;
  rise.drop_before_m = from.drop_before_m;
  rise.descent_sideways_m = from.descent_sideways_m;
  rise.descent_peak_mps = from.descent_peak_mps;
  rise.held_before_s = rise.up.start.t_s - from.down_before->end.t_s;
}

/// What came after it, likewise.
void take_after(const Rise& from, double next_start_s, Rise& rise) {
  const double leaves_s = from.up.end.t_s + from.stays_up_s;
  if (leaves_s > next_start_s || leaves_s < rise.up.end.t_s) {
    rise.last_of_clip = false;
    rise.stays_up_s = std::max(0.0, std::min(leaves_s, next_start_s) - rise.up.end.t_s);
    return;
  }
  rise.next_low_m = std::min(from.next_low_m, rise.high_m);
  rise.drop_after_m = from.last_of_clip ? 0.0 : rise.high_m - rise.next_low_m;
  rise.last_of_clip = from.last_of_clip;
  rise.stays_up_s = leaves_s - rise.up.end.t_s;
}

Rise rise_of(const Motion& motion,
             const RepSpan& span,
             const std::vector<Rise>& found,
             double free_from_s,
             double next_start_s) {
  const Overlap near = overlap_of(found, span);
  Rise rise;
  rise.up.start = placed(motion, span.start_s);
  rise.up.end = placed(motion, span.end_s);
  if (!near.empty()) {
    const Rise& first = found[near.first];
    const Rise& last = found[near.end - 1];
    const bool starts_there = same_instant(first.up.start.t_s, span.start_s);
    const bool ends_there = same_instant(last.up.end.t_s, span.end_s);
    if (starts_there && ends_there && near.end - near.first == 1 &&
        first.up.start.t_s + kSameInstant_s >= free_from_s) {
      return first;
    }
    if (starts_there) rise.up.start = first.up.start;
    if (ends_there) rise.up.end = last.up.end;
  }
  const MotionSample bottom = state_at(motion, rise.up.start.t_s);
  const MotionSample top = state_at(motion, rise.up.end.t_s);
  rise.up.gain_m = top.height_m - bottom.height_m;
  rise.low_m = bottom.height_m;
  rise.high_m = rise.next_low_m = top.height_m;
  rise.sideways_m = sideways_span(motion, span);
  rise.stays_up_s = std::min(next_start_s, motion.samples.back().t_s) - rise.up.end.t_s;
  rise.held_before_s = rise.up.start.t_s - std::max(free_from_s, motion.samples.front().t_s);
  if (near.empty()) return rise;
  take_before(found[near.first], free_from_s, rise);
  take_after(found[near.end - 1], next_start_s, rise);
  return rise;
}

}  // namespace

std::vector<Rise> rises_of(const Motion& motion,
                           std::span<const RepSpan> spans,
                           const RepOptions& options) {
  check_spans(motion, spans);
  const std::vector<Rise> found = find_rises(motion, options.threshold_mps, options.min_rise_m);
  std::vector<Rise> out;
  constexpr double kNever = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < spans.size(); ++i) {
    const double free_from_s = i > 0 ? spans[i - 1].end_s : -kNever;
    const double next_start_s = i + 1 < spans.size() ? spans[i + 1].start_s : kNever;
    out.push_back(rise_of(motion, spans[i], found, free_from_s, next_start_s));
  }
  return out;
}

}  // namespace kinetics
