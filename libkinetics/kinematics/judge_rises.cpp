#include "libkinetics/kinematics/judge_rises.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include <fmt/format.h>

namespace kinetics {
namespace {

// All of these compare the rise with itself or with its neighbours, so they hold for any lift. The
// shares are wide: they part kinds of movement that differ by far more.

// A lift goes up and comes down along one line; a disc that is carried to a sleeve, or a bar that
// is walked out, goes sideways by a good part of its rise.
constexpr double kCarriedShare = 0.5;
constexpr double kCarriedLeast_m = 0.20;
// The descent before or after a lift covers most of the rise.
constexpr double kMatchingShare = 0.6;
// Same bottom, same top: within this share of the rise.
constexpr double kSamePlaceShare = 0.25;
// Without a descent before it, a rise must be longer than any way off the hooks.
constexpr double kLeastDeadStart_m = 0.18;
constexpr double kLeastLoneRise_m = 0.25;
// A bar that bounces off the floor flies: it slows at g all the way. A lifter who pushes for as
// long as 0.1 m takes does not come near.
constexpr double kGravity_mps2 = 9.80665;
constexpr double kFlightShare = 0.35;
constexpr double kDroppedFaster_mps = 1.2;

// Beyond what anybody does with a bar, by a wide margin: the pull of a snatch peaks near 2 m/s, and
// from the floor to straight arms overhead is 2.3 m for a tall lifter (common practice, no source).
constexpr double kFastestLift_mps = 2.5;
constexpr double kLongestLift_m = 2.5;

enum class Verdict { kRep, kPerhaps, kNot };

bool beyond_lifting(const Rise& r) {
  return r.up.gain_m > kLongestLift_m ||
         r.up.gain_m > kFastestLift_mps * (r.up.end.t_s - r.up.start.t_s);
}

bool carried(const Rise& r) {
  const double limit = std::max(kCarriedLeast_m, kCarriedShare * r.up.gain_m);
  return r.sideways_m > limit;
}

bool bounced(const Rise& r) {
  const double duration = r.up.end.t_s - r.up.start.t_s;
  return r.descent_peak_mps > kDroppedFaster_mps && r.held_before_s < 0.15 &&
         r.up.gain_m < 0.6 * r.drop_before_m &&
         r.up.gain_m > kFlightShare * kGravity_mps2 * duration * duration;
}

bool descended_into(const Rise& r) {
  if (r.drop_before_m < kMatchingShare * r.up.gain_m) return false;
  return r.descent_sideways_m <= std::max(kCarriedLeast_m, kCarriedShare * r.drop_before_m);
}

bool comes_back_down(const Rise& r) {
  return r.drop_after_m >= kMatchingShare * r.up.gain_m;
}

// A lift off the floor (or off the shoulders) ends where it began; from the hooks it goes deeper.
bool ends_where_it_began(const Rise& r) {
  return std::abs(r.next_low_m - r.low_m) <= std::max(0.06, kSamePlaceShare * r.up.gain_m);
}

Verdict first_look(const Rise& r) {
  if (carried(r) || bounced(r) || beyond_lifting(r)) return Verdict::kNot;
  if (descended_into(r)) return Verdict::kRep;
  if (comes_back_down(r) && ends_where_it_began(r) && r.up.gain_m >= kLeastDeadStart_m) {
    return Verdict::kRep;
  }
  return Verdict::kPerhaps;
}

double usual_gain(const std::vector<const Rise*>& reps) {
  std::vector<double> gains;
  gains.reserve(reps.size());
  for (const Rise* r : reps) gains.push_back(r->up.gain_m);
  std::sort(gains.begin(), gains.end());
  // The upper half: failed and partial reps must not lower what counts as a rep.
  return gains[gains.size() * 3 / 4];
}

bool like_one_of(const Rise& r, const std::vector<const Rise*>& reps) {
  return std::any_of(reps.begin(), reps.end(), [&](const Rise* other) {
    const double room = kSamePlaceShare * other->up.gain_m;
    return std::abs(r.low_m - other->low_m) <= room && std::abs(r.high_m - other->high_m) <= room;
  });
}

// The only rise of a clip that ends at the lockout: nothing tells it from a disc put away except
// that it goes straight up, far, and from rest.
bool lone_lift(const Rise& r) {
  return r.last_of_clip && r.up.gain_m >= kLeastLoneRise_m && r.held_before_s > 0.1 &&
         r.sideways_m <= 0.25 * r.up.gain_m;
}

// What moves beyond lifting again and again is no bar, and its other rises are no reps either.
bool moves_as_no_bar(const std::vector<Rise>& rises, Notes& notes) {
  const auto first = std::find_if(rises.begin(), rises.end(), beyond_lifting);
  if (first == rises.end()) return false;
  const auto count = static_cast<std::size_t>(std::count_if(first, rises.end(), beyond_lifting));
  const bool often = count > 1 && 3 * count >= rises.size();
  const std::string rise =
      fmt::format("A rise of {:.1f} m in {:.2f} s at {:.2f} s is beyond any lift",
                  first->up.gain_m,
                  first->up.end.t_s - first->up.start.t_s,
                  first->up.start.t_s);
  notes.push_back({NoteKind::kCaution,
                   rise + (often ? ", and others are. What was followed is not the bar; none of it "
                                   "is counted. In a clip, point at the disc with --seed."
                                 : " and is not counted: it was not the bar.")});
  return often;
}

}  // namespace

std::vector<Rise> keep_reps(const std::vector<Rise>& rises, Notes& notes) {
  if (moves_as_no_bar(rises, notes)) return {};
  std::vector<Verdict> verdicts;
  std::vector<const Rise*> sure;
  for (const Rise& r : rises) {
    Verdict verdict = first_look(r);
    if (r.cut_at_start || r.cut_at_end) {
      if (verdict != Verdict::kNot) {
        notes.push_back({NoteKind::kCaution,
                         fmt::format("The clip {} in the middle of a rise at {:.2f} s; it is not "
                                     "counted as a rep. Film a second more of rest there.",
                                     r.cut_at_start ? "starts" : "ends",
                                     r.cut_at_start ? r.up.start.t_s : r.up.end.t_s)});
      }
      verdict = Verdict::kNot;
    }
    verdicts.push_back(verdict);
    if (verdict == Verdict::kRep) sure.push_back(&r);
  }
  // A dead start much shorter than the lifts around it was the bar being moved, not lifted.
  if (!sure.empty()) {
    const double usual = usual_gain(sure);
    for (std::size_t i = 0; i < rises.size(); ++i) {
      if (verdicts[i] == Verdict::kRep && !descended_into(rises[i]) &&
          rises[i].up.gain_m < 0.5 * usual && !like_one_of(rises[i], sure)) {
        verdicts[i] = Verdict::kNot;
      }
    }
  }
  std::vector<Rise> out;
  for (std::size_t i = 0; i < rises.size(); ++i) {
    const bool unsure = verdicts[i] == Verdict::kPerhaps;
    const bool agreed =
        unsure && (like_one_of(rises[i], sure) || (sure.empty() && lone_lift(rises[i])));
    if (verdicts[i] == Verdict::kRep || agreed) out.push_back(rises[i]);
  }
  return out;
}

}  // namespace kinetics
