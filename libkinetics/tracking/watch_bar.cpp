#include "libkinetics/tracking/watch_bar.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <utility>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/media/key_pictures.h"
#include "libkinetics/media/read_ahead.h"
#include "libkinetics/tracking/bar_of_disc.h"
#include "libkinetics/tracking/choose_disc.h"
#include "libkinetics/tracking/gather_discs.h"
#include "libkinetics/tracking/idle_watch.h"

namespace kinetics {
namespace {

/// Time between two looks at whether the stretch can end, s.
constexpr double kLookEveryS = 0.5;
/// Without anything worked a stretch ends after this, when nothing moves, or after that. Much
/// sooner where a look at key pictures costs hardly anything.
constexpr double kIdleS = 20.0;
constexpr double kIdleBesideKeysS = 6.0;
constexpr double kIdleLongestS = 60.0;
constexpr double kNothingMovesS = 1.0;
/// Of the time that the bar must lie still so much is followed; the rest key pictures show, when
/// they stand so close together that no rep fits between them.
constexpr double kRestFollowedS = 1.5;
constexpr double kKeysCloseS = 1.25;
/// A try that was in vain is made again after this, s.
constexpr double kPeekAgainS = 3.0;
/// Where key pictures are rare, idle time is looked at so often, s: as phones write them.
constexpr double kIdleLookEveryS = 1.0;
/// A disc that has left its place is known to be gone for good by so much later, s.
constexpr double kAlarmedByS = 8.0;
constexpr double kJumpOverS = 10.0;
/// What moves again within so long, s, goes on with what was under way.
constexpr double kGoesOnS = 6.0;
constexpr double kRestingPx = 1.0;
constexpr double kRestingShare = 0.015;
/// However it goes on, a stretch ends after this: memory stays flat.
constexpr double kLongestS = 300.0;
/// Smaller than this share of what is usually worked, nothing is the bar's: a disc of 225 mm among
/// those of 450 mm still is. Usual is what was worked so far at least so often.
constexpr double kSmallestShare = 0.5;
constexpr std::size_t kUsuallyWorked = 3;
constexpr double kSurelyWorkedM = 1.0;
/// Less up and down than this is no work: a bar that is put down, a disc that is lifted on.
constexpr double kWorkedM = 0.20;
/// Discs whose score is less than this share of the best one's do not hold up the end.
constexpr double kShareOfBest = 0.3;
/// Places are averaged over so long, s, and may then differ by this much while the bar lies still.
constexpr double kBlockS = 0.5;
constexpr double kStillPx = 0.6;
constexpr double kStillM = 0.0015;
/// Fewer sightings make no velocity.
constexpr std::ptrdiff_t kFewestSightings = 4;
/// Seen this seldom a disc says nothing of whether it moves.
constexpr double kLeastSeen = 0.25;

/// Least and greatest value.
struct Span {
  double least = 1e12, greatest = -1e12;
  void take(double v) {
    least = std::min(least, v);
    greatest = std::max(greatest, v);
  }
  [[nodiscard]] double width() const { return std::max(0.0, greatest - least); }
};

/// Whether the disc has stayed where it is since `since_s`. One that was hidden nearly all the time
/// has not been seen to move.
bool still_since(const DiscFollower& disc,
                 const std::vector<double>& times_s,
                 double since_s,
                 double tolerance_px) {
  const std::vector<Glimpse>& all = disc.glimpses();
  Span x;
  Span y;
  double sum_x = 0.0;
  double sum_y = 0.0;
  int count = 0;
  double block_end_s = times_s.back() - kBlockS;
  const auto close = [&] {
    if (count >= 3) {
      x.take(sum_x / count);
      y.take(sum_y / count);
    }
    sum_x = sum_y = 0.0;
    count = 0;
  };
  for (auto g = all.rbegin(); g != all.rend(); ++g) {
    const double t_s = times_s[static_cast<std::size_t>(g->frame)];
    if (t_s < since_s) break;
    if (t_s < block_end_s) {
      close();
      block_end_s = t_s - kBlockS;
    }
    if (!g->seen) continue;
    sum_x += g->still_x_px;
    sum_y += g->still_y_px;
    ++count;
  }
  close();
  return x.width() <= tolerance_px && y.width() <= tolerance_px;
}

/// What is to lie still before a stretch can end.
struct Worked {
  std::vector<const DiscFollower*> discs;  ///< that have shown most; all when none was worked
  double most_m = 0.0;
  [[nodiscard]] bool any() const { return most_m >= kWorkedM; }
};

Worked worked_in(const DiscGatherer& gatherer, const TrackingOptions& options) {
  std::vector<DiscMerit> merits;
  double best = 0.0;
  Worked out;
  for (const DiscFollower& d : gatherer.discs()) {
    merits.push_back(merit_of(d, gatherer.times_s(), 0.5 * options.disc_diameter_m));
    best = std::max(best, merits.back().score());
    out.most_m = std::max(out.most_m, merits.back().up_and_down_m);
  }
  for (std::size_t k = 0; k < merits.size(); ++k) {
    if (out.any() && merits[k].score() < kShareOfBest * best) continue;
    out.discs.push_back(&gatherer.discs()[k]);
  }
  return out;
}

bool all_still(const Worked& worked,
               const DiscGatherer& gatherer,
               const TrackingOptions& options,
               double for_s) {
  const double since_s = gatherer.times_s().back() - for_s;
  return std::all_of(worked.discs.begin(), worked.discs.end(), [&](const DiscFollower* d) {
    const double px_per_m = d->ellipse().mean_radius_px() / (0.5 * options.disc_diameter_m);
    const double tolerance_px = std::max(kStillPx, kStillM * px_per_m);
    return still_since(*d, gatherer.times_s(), since_s, tolerance_px);
  });
}

enum class End { kNo, kYes, kPerhaps };

/// Whether the stretch can end with the last picture taken; perhaps, when the bar has begun to
/// rest.
End ended(const Worked& worked,
          const DiscGatherer& gatherer,
          const TrackingOptions& options,
          double idle_s) {
  const double lasts_s = gatherer.times_s().back() - gatherer.times_s().front();
  if (lasts_s >= kLongestS) return End::kYes;
  if (lasts_s < kBarAtRestS) return End::kNo;
  if (!worked.any()) {
    if (lasts_s >= kIdleLongestS) return End::kYes;
    const bool idle = lasts_s >= idle_s && all_still(worked, gatherer, options, kNothingMovesS);
    return idle ? End::kYes : End::kNo;
  }
  if (!all_still(worked, gatherer, options, kRestFollowedS)) return End::kNo;
  return all_still(worked, gatherer, options, kBarAtRestS) ? End::kYes : End::kPerhaps;
}

/// Whether all of these that are in sight lie where they lay when they were followed last.
bool in_place(const Worked& worked, const LumaView& picture) {
  bool any = false;
  for (const DiscFollower* d : worked.discs) {
    if (!d->seen()) continue;
    const double radius_px = d->ellipse().mean_radius_px();
    const auto fit = measure_rim(picture,
                                 d->ellipse(),
                                 {.search_px = 3.0 + 0.02 * radius_px,
                                  .shape_sigma_rel = 0.003,
                                  .depth = d->depth(),
                                  .min_rim_seen = 0.30});
    const double most_px = std::max(kRestingPx, kRestingShare * radius_px);
    if (!fit || (fit->ellipse.centre - d->ellipse().centre).norm() > most_px) return false;
    any = true;
  }
  return any;
}

CameraStep step_of(const CameraPose& pose, const ClipInfo& clip) {
  const Eigen::Vector2d middle(0.5 * (clip.width_px - 1), 0.5 * (clip.height_px - 1));
  const Eigen::Vector2d shift = pose.now(middle) - middle;
  return {.x_px = shift.x(),
          .y_px = shift.y(),
          .turn_rad = std::atan2(pose.linear(1, 0), pose.linear(0, 0)),
          .zoom = std::sqrt(std::abs(pose.linear.determinant()))};
}

WorkedDisc worked_disc(const Gathered& gathered,
                       const std::vector<DiscMerit>& merits,
                       std::size_t k,
                       const ClipInfo& clip,
                       const TrackingOptions& options) {
  TrackedBar bar = bar_of_disc(gathered, merits, k, clip, options, Stamps::kKeep);
  // Its lip may have been followed: the sightings are those of the outer rim.
  std::vector<double> radii;
  for (const DiscSighting& s : bar.disc.sightings) {
    if (s.sighting == Sighting::kSeen) {
      radii.push_back(std::sqrt(s.half_width_px * s.half_height_px));
    }
  }
  return {.bar = std::move(bar),
          .up_and_down_m = merits[k].up_and_down_m,
          .radius_px = radii.empty() ? merits[k].radius_px : median_of(std::move(radii)),
          .where = merits[k].where};
}

BarStretch close(DiscGatherer gatherer,
                 const CameraStep& before,
                 bool stamps_repaired,
                 const ClipInfo& clip,
                 const TrackingOptions& options) {
  const CameraStep camera = step_of(gatherer.pose(), clip);
  const Gathered gathered = std::move(gatherer).take_all();
  BarStretch out{.from_s = gathered.times_s.front(),
                 .to_s = gathered.times_s.back(),
                 .before = before,
                 .camera = camera,
                 .stamps_repaired = stamps_repaired,
                 .discs = {}};
  const std::vector<DiscMerit> merits = merits_of(gathered, options);
  const auto choice = choose_disc(gathered.discs, merits);
  if (!choice) return out;
  for (const std::optional<std::size_t>& k : {std::optional(choice->disc), choice->rival}) {
    if (!k || merits[*k].up_and_down_m < kWorkedM) continue;
    WorkedDisc disc = worked_disc(gathered, merits, *k, clip, options);
    const auto& points = disc.bar.path.points;
    const auto seen =
        std::count_if(points.begin(), points.end(), [](const PathPoint& p) { return p.seen; });
    if (seen >= kFewestSightings) out.discs.push_back(std::move(disc));
  }
  return out;
}

/// Size below which nothing is the bar's, px; 0 before that is known.
double least_radius_px(const std::vector<WorkedSize>& worked) {
  std::vector<double> radii;
  for (const WorkedSize& w : worked) {
    if (w.up_and_down_m >= kSurelyWorkedM) radii.push_back(w.radius_px);
  }
  return radii.size() < kUsuallyWorked ? 0.0 : kSmallestShare * median_of(std::move(radii));
}

/// Goes through a recording by turns: idle until something may be worked, then a stretch.
class BarWatch {
 public:
  BarWatch(ClipReader& clip, const TrackingOptions& options, const Progress& progress)
      : clip_(clip), options_(options), progress_(progress) {
    keys_.emplace(clip.info());
  }

  /// Looks at pictures that lie far apart after the span's `after_s` until something may be worked.
  /// False when nothing is up to its end, or the recording's.
  bool idle(const WatchSpan& span, double least_radius_px) {
    const double after_s = span.after_s;
    passed_over_to_s_ = -1.0;
    watch_.reset();
    from_s_ = std::nextafter(after_s, INFINITY);
    if (!keys_ || !keys_->go_after(after_s)) return true;
    // Made anew for each stretch: a run that begins there must see the same.
    finder_ = std::make_shared<DiscFinder>(DiscFinder::Memory::kOfJudged);
    watch_.emplace(finder_, least_radius_px);
    while (const auto frame = keys_->next()) {
      if (alarmed(*frame, span.begins_s)) return begin_at_alarm(span);
      tell_progress(frame->t_s);
      if (frame->t_s > span.until_s + kAlarmedByS) return false;
    }
    return !keys_->at_end() && idle_among_all(span);
  }

  /// Follows what moves until it lies still; nothing at the end of the recording.
  std::optional<BarStretch> stretch(double least_radius_px) {
    std::optional<DiscGatherer> gatherer;
    CameraStep before;
    double next_look_s = 0.0;
    double next_peek_s = 0.0;
    bool repaired = false;
    while (auto frame = next()) {
      if (frame->t_s < from_s_) continue;
      if (!gatherer) {
        const CameraPose pose = watch_ ? watch_->pose_at(frame->t_s) : CameraPose{};
        before = step_of(pose, clip_.info());
        std::optional<SeenBefore> known;
        if (watch_) {
          known = {.resting = watch_->resting(pose),
                   .least_radius_px = least_radius_px,
                   .finder = finder_};
        }
        gatherer.emplace(options_, std::move(known));
        next_look_s = frame->t_s + kLookEveryS;
      }
      repaired = repaired || frame->stamp_repaired;
      gatherer->take(*frame);
      if (frame->t_s < next_look_s) continue;
      next_look_s = frame->t_s + kLookEveryS;
      const Worked worked = worked_in(*gatherer, options_);
      const End end = ended(worked, *gatherer, options_, watch_ ? kIdleBesideKeysS : kIdleS);
      if (end == End::kYes) break;
      if (end == End::kNo || frame->t_s < next_peek_s) continue;
      if (rests_after(frame->t_s, worked)) break;
      next_peek_s = frame->t_s + kPeekAgainS;
    }
    // Where one time had to be repaired, those of key pictures alone cannot be trusted.
    if (repaired) keys_.reset();
    if (!gatherer) return std::nullopt;
    BarStretch out = close(std::move(*gatherer), before, repaired, clip_.info(), options_);
    out.passed_over_to_s = passed_over_to_s_;
    return out;
  }

  [[nodiscard]] WatchEnd end_of(const WatchSpan& span) const {
    const CameraPose pose = watch_ ? watch_->pose_at(span.until_s - kKnownAfterS) : CameraPose{};
    return {.camera = step_of(pose, clip_.info()), .passed_over_to_s = passed_over_to_s_};
  }

 private:
  /// Idle time where key pictures are rare: all pictures are decoded, few are looked at.
  bool idle_among_all(const WatchSpan& span) {
    double next_s = std::max(from_s_, watch_->last_s() + kIdleLookEveryS);
    // The reader stands at after_s: what key pictures have shown is worth jumping over, if long.
    if (next_s - span.after_s > kJumpOverS) read_from(next_s);
    while (const auto frame = next()) {
      if (frame->stamp_repaired) {
        // It cannot be gone back to.
        keys_.reset();
        watch_.reset();
        return true;
      }
      if (frame->t_s < next_s) continue;
      next_s = frame->t_s + kIdleLookEveryS;
      if (alarmed(*frame, span.begins_s)) return begin_at_alarm(span);
      if (frame->t_s > span.until_s + kAlarmedByS) return false;
    }
    return false;
  }

  /// What began before `begins_s` is no alarm, but then nothing is known of what lay still.
  bool alarmed(const Frame& frame, double begins_s) {
    if (!watch_->take(frame)) return false;
    const bool goes_on =
        passed_over_to_s_ > 0.0 && watch_->alarm_from_s() < passed_over_to_s_ + kGoesOnS;
    if (watch_->alarm_from_s() > begins_s && !goes_on) return true;
    watch_->forget_discs();
    passed_over_to_s_ = frame.t_s;
    return false;
  }

  /// False when it is for what comes after the span.
  bool begin_at_alarm(const WatchSpan& span) {
    const double alarm_s = watch_->alarm_from_s();
    if (alarm_s > span.until_s) return false;
    // A little later, so that the reader goes to that very picture where it is a key picture.
    constexpr double kLaterS = 0.25;
    constexpr double kRoundingS = 1e-4;
    from_s_ = std::max(from_s_, alarm_s - kRoundingS);
    read_from(std::max(span.after_s, alarm_s + kLaterS));
    return true;
  }

  /// Whether the bar, which has begun to rest, rests on, by the key pictures that come.
  bool rests_after(double now_s, const Worked& worked) {
    if (!watch_ || !keys_ || !keys_->go_after(now_s)) return false;
    double last_s = now_s;
    while (const auto frame = keys_->next()) {
      if (frame->t_s - last_s > kKeysCloseS || !in_place(worked, frame->luma)) return false;
      last_s = frame->t_s;
      if (last_s >= now_s + kBarAtRestS - kRestFollowedS) return true;
    }
    return false;
  }

  void read_from(double t_s) {
    ahead_.reset();
    clip_.hurry_to(t_s);
  }

  void tell_progress(double t_s) const {
    const ClipInfo& clip = clip_.info();
    if (progress_ && clip.duration_s) progress_(t_s * clip.slow_motion_factor / *clip.duration_s);
  }

  std::optional<Frame> next() {
    constexpr std::size_t kPicturesAhead = 12;
    if (!ahead_) ahead_.emplace(clip_, kPicturesAhead);
    if (progress_ && pictures_taken_++ % 16 == 0) progress_(ahead_->fraction_read());
    return ahead_->next();
  }

  ClipReader& clip_;
  const TrackingOptions& options_;
  const Progress& progress_;
  std::optional<KeyPictures> keys_;
  std::optional<ReadAhead> ahead_;
  std::shared_ptr<DiscFinder> finder_;
  std::optional<IdleWatch> watch_;  ///< what came before the stretch
  double from_s_ = 0.0;             ///< where the stretch begins
  double passed_over_to_s_ = -1.0;  ///< in the idle time before
  std::int64_t pictures_taken_ = 0;
};

}  // namespace

WatchEnd watch_bar(ClipReader& clip,
                   const TrackingOptions& options,
                   WatchSpan span,
                   const std::function<void(BarStretch)>& on_stretch,
                   const Progress& progress) {
  check_tracking(options, clip.info());
  if (options.seed) {
    throw Error(ErrorCode::kUsage,
                clip.info().path,
                "a seed points at a disc at one moment, and a whole day has many",
                "Leave it out, or cut the set out and analyse it as a clip");
  }
  BarWatch watch(clip, options, progress);
  for (;;) {
    const double least_px = least_radius_px(span.worked);
    if (!watch.idle(span, least_px)) return watch.end_of(span);
    std::optional<BarStretch> stretch = watch.stretch(least_px);
    if (!stretch) return {};
    span.after_s = stretch->to_s;
    for (const WorkedDisc& d : stretch->discs) {
      span.worked.push_back({d.up_and_down_m, d.radius_px});
    }
    on_stretch(std::move(*stretch));
  }
}

}  // namespace kinetics
