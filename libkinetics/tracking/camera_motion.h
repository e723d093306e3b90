#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/camera_pose.h"
#include "libkinetics/tracking/ellipse.h"
#include "libkinetics/tracking/still_edges.h"

/// How the camera moves: still patches of the background, each compared with its first look.
/// Internal.

namespace kinetics {

/// Follows the background through a clip. Patches are compared with how they looked when they were
/// chosen, not with the last frame, so the estimate does not drift.
///
/// Method  inverse compositional alignment (S. Baker, I. Matthews, IJCV 56(3):221–255, 2004) of
///         each patch for translation; a robust similarity through their shifts. After a jump the
///         patches are found again by pyramidal optical flow. A few patches fix a turn badly, and
///         may sit on people: once they tell of a motion, or tell nothing, the edges of the whole
///         picture are asked (StillEdges), which is dearer.
class CameraMotion {
 public:
  /// Follows one more frame and returns the pose in it. What lies on a disc that is followed is not
  /// background.
  CameraPose follow(const Frame& frame, const std::vector<Ellipse>& discs = {});

  /// Patches that agree with the last pose; 0 when the background has no texture to hold on to.
  [[nodiscard]] int patches_agreeing() const { return agreeing_; }
  /// Whether the pose was seen in most frames, by patches or by edges.
  [[nodiscard]] bool seen() const { return 2 * seen_ > frame_; }

 private:
  struct Patch {
    Eigen::Vector2d home;              ///< centre in the first frame
    Eigen::Vector2d offset{0.0, 0.0};  ///< where it is now, minus where the pose puts it
    Eigen::VectorXf look;              ///< grey values when chosen, less their mean
    Eigen::VectorXf slope_x, slope_y;
    Eigen::Matrix2d inverse_hessian;
    Eigen::Vector2d place{0.0, 0.0};  ///< where it was last found
    bool found = false;
    int frames_apart = 0;  ///< how long it has disagreed with the others
  };

  void choose_patches(const LumaView& picture, const std::vector<Ellipse>& discs);
  bool align(const LumaView& picture, Patch& patch, Eigen::Vector2d start) const;
  bool fit_pose(const LumaView& picture);
  void find_again(const LumaView& picture);
  [[nodiscard]] bool moved(const LumaView& picture) const;
  bool fit_edges(const cv::Mat1b& small_picture,
                 const std::vector<Ellipse>& discs,
                 const CameraPose& from);
  bool fit_edges_around(const cv::Mat1b& small_picture,
                        const std::vector<Ellipse>& discs,
                        const CameraPose& from);

  std::vector<Patch> patches_;
  CameraPose pose_;
  Frame last_;
  int retry_at_ = 0;
  int shrink_ = 4;
  int frame_ = 0;
  int agreeing_ = 0;
  int seen_ = 0;  ///< in so many frames the pose was seen
  int edges_agreed_at_ = -1;
  int restless_until_ = 0;  ///< it has moved, or was not seen by patches, not long before
  std::optional<StillEdges> edges_;
};

}  // namespace kinetics
