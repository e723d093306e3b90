#pragma once

#include <cstdint>
#include <deque>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/camera_motion.h"
#include "libkinetics/tracking/disc_finder.h"
#include "libkinetics/tracking/rim.h"

/// Watches pictures that lie far apart, while no bar is worked, for the moment at which one may be.
/// Internal.

namespace kinetics {

/// A round thing that lies still.
struct LyingDisc {
  RimFit fit;
  double since_s = 0.0;  ///< when it was found there
};

/// The same with what is known of it.
struct RestingDisc {
  RimFit fit;                                       ///< as it was first seen
  Eigen::Vector2d place = Eigen::Vector2d::Zero();  ///< its centre, the camera's motion taken out
  double found_at_s = 0.0;
  double seen_at_s = 0.0;  ///< at its place, last
  int stillness = 0;       ///< looks in a row in which it had not moved at all
  bool away = false;       ///< from its place, in the last picture
  double away_s = 0.0;     ///< for so long then
  /// Of what came while others were away: since when the first of those was.
  std::optional<double> others_away_from_s = {};
  /// Since when it may have been away. Nobody knows what it did before it was first seen.
  [[nodiscard]] double left_at_s() const;
};

/// What lies still is looked at in every picture, and all of the picture now and then. It may
/// cry wolf, when somebody stands before a disc for long, but not sleep when a bar is taken up.
class IdleWatch {
 public:
  /// Smaller discs than `least_radius_px` are passed over.
  IdleWatch(std::shared_ptr<DiscFinder> finder, double least_radius_px)
      : finder_(std::move(finder)), least_px_(least_radius_px) {
    finder_->begin_anew();
  }

  /// True when a disc has left its place and is seen to move on, is back after a while, or gone for
  /// good. Another that came to lie there instead is a change of discs and no alarm.
  [[nodiscard]] bool take(const Frame& frame);

  /// Knows no disc any more, but where the camera looks.
  void forget_discs();

  /// From when on pictures should be followed closely, once take() said so.
  /// That of a picture that was taken, or earlier.
  [[nodiscard]] double alarm_from_s() const { return alarm_from_s_; }
  /// Time of the last picture taken; 0 before the first.
  [[nodiscard]] double last_s() const { return moments_.empty() ? 0.0 : moments_.back().t_s; }
  /// Where the camera looked in the last picture up to a time, since the first one.
  [[nodiscard]] CameraPose pose_at(double t_s) const;
  /// What lay still until the alarm, as it is seen from a pose.
  [[nodiscard]] std::vector<LyingDisc> resting(const CameraPose& pose) const;

 private:
  struct Moment {
    double t_s = 0.0;
    CameraPose pose;
  };
  [[nodiscard]] bool gone(RestingDisc& disc, const Frame& frame, const CameraPose& pose);
  void forget_replaced();
  void forget_passed(double now_s);
  [[nodiscard]] std::optional<double> taken_up_from_s(double now_s) const;
  void look_for_away(const Frame& frame, const CameraPose& pose);
  void take_up(const std::vector<RimFit>& found, double now_s, const CameraPose& pose);
  [[nodiscard]] bool has_changed(const LumaView& picture);
  [[nodiscard]] double least_radius_px() const;
  [[nodiscard]] std::vector<Ellipse> known(const CameraPose& pose) const;

  std::vector<RestingDisc> discs_;
  CameraMotion camera_;
  std::shared_ptr<DiscFinder> finder_;
  std::deque<Moment> moments_;
  std::vector<std::uint8_t> sample_;  ///< of the picture last looked at
  double least_px_;
  double next_look_s_ = -1.0;
  double alarm_from_s_ = 0.0;
};

}  // namespace kinetics
