#include "libkinetics/speed_day/join_spans.h"

#include <algorithm>
#include <utility>

namespace kinetics {
namespace {

/// Two watches of one stretch need not begin and end with the same picture.
constexpr double kSameInstantS = 0.5;

CameraStep together(const CameraStep& first, const CameraStep& then) {
  return {.x_px = first.x_px + then.x_px,
          .y_px = first.y_px + then.y_px,
          .turn_rad = first.turn_rad + then.turn_rad,
          .zoom = first.zoom * then.zoom};
}

void add_new(Notes& notes, const Notes& more) {
  for (const Note& note : more) {
    const bool known =
        std::any_of(notes.begin(), notes.end(), [&](const Note& n) { return n.text == note.text; });
    if (!known) notes.push_back(note);
  }
}

class Joiner {
 public:
  explicit Joiner(const std::function<KeptSpan(const WatchSpan&)>& again) : again_(again) {}

  void add(const KeptSpan& span) {
    out_.height_px = span.height_px;
    add_new(out_.notes, span.notes);
    const double passed_over_to_s = span.end.passed_over_to_s;
    if (passed_over_to_s > 0.0 && passed_over_to_s + kKnownAfterS > end_s_) {
      watch_again_to(passed_over_to_s + kKnownAfterS);
    }
    for (const WatchedStretch& s : span.stretches) {
      const bool begun_before = s.from_s < end_s_ - kSameInstantS;
      // Where a stretch ends the bar has come to rest, which is seen for kBarAtRestS.
      const bool same_end = s.to_s <= end_s_ + kBarAtRestS;
      if (!begun_before || (!same_end && s.discs.empty())) {
        take(s);
      } else {
        if (!same_end) watch_again_to(s.to_s);
        since_last_ = {};  // what comes next counts from the end of the one left out
      }
    }
    since_last_ = together(since_last_, span.end.camera);
  }

  [[nodiscard]] SeenRecording take_all() && { return std::move(out_); }

 private:
  void take(WatchedStretch s) {
    s.before = together(since_last_, s.before);
    since_last_ = {};
    end_s_ = std::max(end_s_, s.to_s);
    out_.stretches.push_back(std::move(s));
  }

  void watch_again_to(double until_s) {
    const KeptSpan more =
        again_({.after_s = end_s_, .worked = worked_in(out_.stretches), .until_s = until_s});
    add_new(out_.notes, more.notes);
    if (!more.stretches.empty()) since_last_ = {};  // they count from the last stretch's end
    for (const WatchedStretch& s : more.stretches) take(s);
  }

  const std::function<KeptSpan(const WatchSpan&)>& again_;
  SeenRecording out_;
  double end_s_ = -1.0;    ///< of the last stretch taken
  CameraStep since_last_;  ///< in idle time after it
};

}  // namespace

SeenRecording join_spans(const std::vector<KeptSpan>& spans,
                         const std::function<KeptSpan(const WatchSpan&)>& again) {
  Joiner joiner(again);
  for (const KeptSpan& span : spans) joiner.add(span);
  return std::move(joiner).take_all();
}

}  // namespace kinetics
