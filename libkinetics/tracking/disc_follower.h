#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/camera_motion.h"
#include "libkinetics/tracking/disc_course.h"
#include "libkinetics/tracking/rim.h"
#include "libkinetics/tracking/spread_census.h"

/// Follows one disc from frame to frame. Internal.

namespace kinetics {

/// What one frame told of the disc. Single precision: an hour of frames is kept for every disc.
struct Glimpse {
  std::int32_t frame = 0;
  bool seen = false;
  float x_px = 0, y_px = 0;              ///< centre in this picture, camera motion still in it
  float xx = 0, xy = 0, yy = 0;          ///< the ellipse's shape matrix, px
  float sigma_x_px = 0, sigma_y_px = 0;  ///< of the centre
  float lasting_px = 0;                  ///< the part of sigma_y_px that frames share
  float held_sigma_x_px = 0, held_sigma_y_px = 0;  ///< of the centre, were the shape known
  /// How x_px, then y_px, moves with xx, xy and yy; all 0 when that is not known.
  std::array<float, 6> centre_by_shape{};
  float shape_sigma_px = 0;
  float rim_seen = 0;
  float still_x_px = 0, still_y_px = 0;  ///< centre with the camera's motion taken out
};

/// Whether a picture is the one before once more. A clip that was brought to a higher or an even
/// frame rate is filled up with such.
enum class Copy {
  kNo,
  kPerhaps,  ///< hardly anything has changed: a copy coded anew, or all has come to rest
  kExact,
};

/// Follows a disc's rim, and beside it a ring on its face (the hub), which shows where the disc is
/// when the rim does not: a dark disc before a dark floor, half of it behind a leg.
class DiscFollower {
 public:
  /// What is followed: a whole disc, or a flat ring on a disc's face.
  enum class Kind { kDisc, kRing };
  DiscFollower(const RimFit& first,
               const CameraPose& pose,
               double t_s,
               std::int32_t frame,
               Kind kind = Kind::kDisc);

  /// Predicts, looks for the rim and takes it up. A copy of a moving disc tells nothing.
  void follow(
      const LumaView& picture, const CameraPose& pose, double t_s, std::int32_t frame, Copy copy);

  /// Whether the disc has not moved since it was found, so that a look at every few frames is
  /// enough.
  [[nodiscard]] bool at_rest() const;
  /// For a disc at rest: looks whether it is still where it was, and if so fills in the frames
  /// passed over since the last look. If not, says so and changes nothing: follow those frames.
  bool rested(const LumaView& picture, const CameraPose& pose, double t_s, std::int32_t frame);
  [[nodiscard]] std::int32_t last_frame() const { return last_frame_; }

  /// Goes on at a disc found elsewhere, after this one was lost.
  void adopt(const RimFit& found, const CameraPose& pose, double t_s, std::int32_t frame);

  [[nodiscard]] bool seen() const { return hidden_since_s_ < 0.0; }
  /// Seconds since it was last seen, 0 while it is.
  [[nodiscard]] double hidden_s(double t_s) const { return seen() ? 0.0 : t_s - hidden_since_s_; }
  [[nodiscard]] const Ellipse& ellipse() const { return ellipse_; }
  [[nodiscard]] const DiscDepth& depth() const { return depth_; }
  /// See RimFit.
  [[nodiscard]] double view_sigma_rel() const { return view_sigma_rel_; }
  [[nodiscard]] bool sleeve_seen() const { return sleeve_seen_; }
  [[nodiscard]] Eigen::Vector2d still_centre() const { return course_.centre(); }
  [[nodiscard]] double speed_px_per_s() const { return course_.speed_px_per_s(); }
  [[nodiscard]] const std::vector<Glimpse>& glimpses() const { return glimpses_; }
  /// The ring on its face, or null as long as none was found.
  [[nodiscard]] const DiscFollower* hub() const { return hub_.get(); }
  /// Running mean of the share of rim seen.
  [[nodiscard]] double usual_rim() const { return usual_rim_; }
  /// Widest vertical span so far, in disc radii.
  [[nodiscard]] double travel_radii() const;
  /// Mean of the census of rims over the places the disc has been; empty before it has moved.
  [[nodiscard]] RimCensus mean_census() const { return census_.mean(); }
  /// The same of pictures of colourfulness, for which its user asks now and then.
  [[nodiscard]] RimCensus mean_colour_census() const { return colour_census_.mean(); }
  [[nodiscard]] bool wants_colours() const;
  void take_colours(const LumaView& colourfulness);

 private:
  void take(const RimFit& fit, const CameraPose& pose, std::int32_t frame);
  [[nodiscard]] double px_per_m() const;
  [[nodiscard]] bool is_copy(const RimFit& fit, const CameraPose& pose, double expected_px);
  void coast(const CameraPose& pose, double t_s, std::int32_t frame);
  [[nodiscard]] std::optional<RimFit> search(const LumaView& picture,
                                             double dt_s,
                                             double t_s) const;
  [[nodiscard]] std::optional<RimFit> search_near(const LumaView& picture,
                                                  const Ellipse& expected,
                                                  double dt_s,
                                                  double t_s) const;
  [[nodiscard]] std::optional<RimFit> search_around(const LumaView& picture, double t_s) const;
  [[nodiscard]] RimFit better_view(const LumaView& picture, const RimFit& fit, std::int32_t frame);
  void outgrow_ring(double radius_px, double ratio);
  const RimFit& change_view(const RimFit& present, const RimFit& better);
  void count_rims(const LumaView& picture);
  void leave_wrong_course(const RimFit& found, const CameraPose& pose);
  void follow_hub(
      const LumaView& picture, const CameraPose& pose, double t_s, std::int32_t frame, Copy copy);
  void look_for_hub(const LumaView& picture,
                    const RimFit& fit,
                    const CameraPose& pose,
                    double t_s,
                    std::int32_t frame);
  /// The last glimpse holds for the frames up to this one.
  void stay_until(std::int32_t frame);
  void learn_hub_offset(const RimFit& fit);
  [[nodiscard]] bool hub_seen() const { return hub_ && hub_->seen(); }

  Kind kind_ = Kind::kDisc;
  Ellipse ellipse_;  ///< as predicted or measured in the last picture
  DiscDepth depth_;
  double view_sigma_rel_ = 0.0;
  bool sleeve_seen_ = false;
  DiscCourse course_;
  double last_t_s_ = 0.0;
  int copies_ = 0;  ///< pictures that showed it where it was, though it moved
  std::int32_t last_frame_ = 0;
  Eigen::Vector2d view_checked_at_{-1e9, -1e9};
  std::int32_t view_check_due_ = 0;
  int views_checked_ = 0;
  double hidden_since_s_ = -1.0;
  double usual_agreement_ = 1.0;  ///< and of how well the edges agree on it
  double usual_rim_ = 1.0;        ///< running mean of the share of rim seen
  double top_px_ = 0.0, bottom_px_ = 0.0;
  SpreadCensus census_;
  SpreadCensus colour_census_;
  std::vector<Glimpse> glimpses_;
  std::unique_ptr<DiscFollower> hub_;
  Eigen::Vector2d hub_offset_px_ = Eigen::Vector2d::Zero();  ///< hub's centre less the rim's
  std::int32_t hub_due_ = 0;
  std::int32_t hub_pause_ = 0;
};

}  // namespace kinetics
