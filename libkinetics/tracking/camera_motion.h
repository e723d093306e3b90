#pragma once

#include <vector>

#include <Eigen/Core>

#include "libkinetics/media/clip.h"
#include "libkinetics/tracking/rim.h"

/// How the camera moves: still patches of the background, each compared with its first look.
/// Internal.

namespace kinetics {

/// Where a point that was at p in the first frame is now: shift + linear · p. Near the identity.
struct CameraPose {
  Eigen::Matrix2d linear = Eigen::Matrix2d::Identity();
  Eigen::Vector2d shift = Eigen::Vector2d::Zero();

  [[nodiscard]] Eigen::Vector2d now(const Eigen::Vector2d& first) const {
    return linear * first + shift;
  }
  [[nodiscard]] Eigen::Vector2d first(const Eigen::Vector2d& now) const {
    return linear.inverse() * (now - shift);
  }
};

/// Follows the background through a clip. Patches are compared with how they looked when they were
/// chosen, not with the last frame, so the estimate does not drift.
///
/// Method  inverse compositional alignment (S. Baker, I. Matthews, IJCV 56(3):221–255, 2004) of
///         each patch for translation; a robust similarity through their shifts. After a jump the
///         patches are found again by pyramidal optical flow.
class CameraMotion {
 public:
  /// Follows one more frame and returns the pose in it. What lies on a disc that is followed is not
  /// background.
  CameraPose follow(const Frame& frame, const std::vector<Ellipse>& discs = {});

  /// Patches that agree with the last pose; 0 when the background has no texture to hold on to.
  [[nodiscard]] int patches_agreeing() const { return agreeing_; }

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

  std::vector<Patch> patches_;
  CameraPose pose_;
  Frame last_;
  int retry_at_ = 0;
  int shrink_ = 4;
  int frame_ = 0;
  int agreeing_ = 0;
};

}  // namespace kinetics
