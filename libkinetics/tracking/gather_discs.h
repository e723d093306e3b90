#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "libkinetics/core/media_time.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/tracking/camera_motion.h"
#include "libkinetics/tracking/disc_finder.h"
#include "libkinetics/tracking/disc_follower.h"
#include "libkinetics/tracking/idle_watch.h"
#include "libkinetics/tracking/track_bar.h"
#include "libkinetics/tracking/uprights.h"

/// The one pass over the pictures: finds and follows every round thing that may be the disc.
/// Internal.

namespace kinetics {

/// Everything that is gathered in one pass over the clip.
struct Gathered {
  std::vector<DiscFollower> discs;
  std::vector<double> times_s;
  Uprights uprights;
  TimeBase tick;
  double unchanged_share = 0.0;  ///< of the pixels, from picture to picture
  bool camera_seen = true;
};

/// How much of each picture is the one before, judged on a sparse sample of pixels. All of it: a
/// frame stored twice. Much of it: the coder left blocks as they were, noise and all.
class RepeatedPixels {
 public:
  Copy same_as_last(const LumaView& picture);
  /// Mean share of pixels left as they were, without frames stored twice.
  [[nodiscard]] double share() const { return pictures_ > 0 ? shares_ / pictures_ : 0.0; }

 private:
  double shares_ = 0.0;
  int pictures_ = 0;
  static constexpr std::size_t kChanges = 8;
  std::array<double, kChanges> changes_{};  ///< of the last pictures, sum over the sample
  int copies_ = 0;                          ///< in a row
  std::vector<std::uint8_t> sample_, last_;
};

/// A frame kept for a moment, with what is known of it.
struct RecentFrame {
  Frame frame;
  CameraPose pose;
  std::int32_t number = 0;
  Copy copy = Copy::kNo;
};

/// What is known before the first picture, of a recording in which idle time was passed over. With
/// it less is looked for: what lies still has just been seen, and is of little interest once a bar
/// is worked.
struct SeenBefore {
  /// Discs, placed as the first picture is seen; some may come later.
  std::vector<LyingDisc> resting;
  double least_radius_px = 0.0;  ///< smaller ones are passed over
  /// What was looking until now, which knows what has not changed.
  std::shared_ptr<DiscFinder> finder = {};
};

/// Takes pictures one by one, in order. Times may begin anywhere. What is kept grows by some
/// hundred bytes a picture.
class DiscGatherer {
 public:
  /// Without `before` nothing is known of what the pictures show.
  explicit DiscGatherer(const TrackingOptions& options, std::optional<SeenBefore> before = {});

  /// The frames to come are this clip's, and their colours are looked at as well.
  void with_colours_of(const ClipInfo& clip) { coloured_ = clip; }

  /// Throws Error{kNothingToTrack} when a seed points at nothing round.
  void take(const Frame& frame) { take(frame, frame); }
  /// The same, with another picture of that moment to look for discs in.
  void take(const Frame& frame, const Frame& searched);

  [[nodiscard]] const std::vector<DiscFollower>& discs() const { return gathered_.discs; }
  [[nodiscard]] const std::vector<double>& times_s() const { return gathered_.times_s; }
  /// Where the camera looks since the first picture taken.
  [[nodiscard]] const CameraPose& pose() const { return pose_; }

  /// All that was gathered, whole.
  const Gathered& finish();
  [[nodiscard]] Gathered take_all() && {
    finish();
    return std::move(gathered_);
  }

 private:
  void look(const LumaView& picture, double t_s, std::int32_t number);
  void look_for_uprights(const LumaView& picture, double t_s);
  void welcome_known(double t_s, std::int32_t number);
  void look_at_colours(const Frame& frame);
  void follow_all();
  [[nodiscard]] double least_radius_px() const;

  std::optional<DiscSeed> seed_;  ///< until it has been looked at
  std::optional<SeenBefore> before_;
  std::optional<ClipInfo> coloured_;
  Gathered gathered_;
  CameraMotion camera_;
  CameraPose pose_;
  std::shared_ptr<DiscFinder> finder_;
  RepeatedPixels repeats_;
  std::deque<RecentFrame> recent_;
  double next_look_s_ = 0.0;
  double eager_s_;
  std::optional<double> uprights_from_s_;
  std::size_t next_uprights_ = 0;
};

/// Reads the clip to its end. Throws Error{kNothingToTrack} when a seed points at nothing round.
[[nodiscard]] Gathered gather_discs(ClipReader& clip,
                                    const TrackingOptions& options,
                                    const Progress& progress);

}  // namespace kinetics
