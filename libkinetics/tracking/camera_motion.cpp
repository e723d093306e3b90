#include "libkinetics/tracking/camera_motion.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>

#include <Eigen/Dense>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <opencv2/video/tracking.hpp>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

using Eigen::Matrix2d;
using Eigen::Vector2d;

constexpr int kPatchHalf = 8;  // 17 × 17 px: some corner, little parallax
constexpr int kPatchSide = 2 * kPatchHalf + 1;
constexpr std::size_t kMostPatches = 16;
constexpr double kAgreePx = 0.5;  // a patch this far off the common motion is not still
constexpr double kStillPx = 0.5;  // of a picture of 720 rows; finer ones tremble by more of theirs
constexpr double kStillRows = 720.0;
/// A camera that moved, or that patches did not see, is watched by edges for so many pictures more.
constexpr int kRestlessFrames = 30;
constexpr double kJerkPx = 4.0;  // of the small picture; edges are met from 3 away
constexpr int kFramesApartBeforeReplaced = 45;
constexpr double kLeastSpread = 0.30;  // of the picture's width
constexpr int kFramesBetweenSearches = 6;
constexpr int kRefillEvery = 30;  // frames between looks for new patches

/// Grey values around a place between pixels, bilinear, row by row. The patch must lie inside.
template <int kHalf>
void read_patch(const LumaView& picture, const Vector2d& centre, Eigen::VectorXf& grey) {
  constexpr int kSide = 2 * kHalf + 1;
  const int left = static_cast<int>(centre.x()) - kHalf;
  const int top = static_cast<int>(centre.y()) - kHalf;
  // All its pixels lie between theirs by the same share.
  const auto right_share = static_cast<float>(centre.x() - std::floor(centre.x()));
  const auto lower_share = static_cast<float>(centre.y() - std::floor(centre.y()));
  const auto read_row = [&](int y, std::array<float, kSide>& row) {
    const std::uint8_t* p = picture.origin + left * picture.step_x + (top + y) * picture.step_y;
    std::array<float, kSide + 1> pixels;
    for (int x = 0; x <= kSide; ++x) {
      pixels[static_cast<std::size_t>(x)] = static_cast<float>(p[x * picture.step_x]);
    }
    for (std::size_t x = 0; x < kSide; ++x) {
      row[x] = pixels[x] + right_share * (pixels[x + 1] - pixels[x]);
    }
  };
  grey.resize(kSide * kSide);
  std::array<float, kSide> above;
  std::array<float, kSide> below;
  read_row(0, above);
  float* out = grey.data();
  for (int y = 1; y <= kSide; ++y) {
    read_row(y, below);
    for (std::size_t x = 0; x < kSide; ++x) *out++ = above[x] + lower_share * (below[x] - above[x]);
    above = below;
  }
}

bool inside(const LumaView& picture, const Vector2d& p) {
  const double margin = kPatchHalf + 3;
  return p.x() > margin && p.y() > margin && p.x() < picture.width - margin &&
         p.y() < picture.height - margin;
}

bool on_a_disc(const Vector2d& p, const std::vector<Ellipse>& discs) {
  return std::any_of(discs.begin(), discs.end(), [&](const Ellipse& e) {
    return (p - e.centre).norm() < e.mean_radius_px() + 2.0 * kPatchHalf;
  });
}

}  // namespace

void CameraMotion::choose_patches(const LumaView& picture, const std::vector<Ellipse>& discs) {
  const cv::Mat1b small = shrink(picture, shrink_);
  std::vector<cv::Point2f> corners;
  cv::goodFeaturesToTrack(small, corners, 80, 0.02, std::max(8.0, 0.05 * small.cols));
  // Spread them: at most a few in each cell of a coarse grid, since a person may fill a part.
  std::vector<int> in_cell(16, 0);
  for (const Patch& p : patches_) {
    const Vector2d at = pose_.now(p.home);
    const int cell = 4 * std::clamp(static_cast<int>(4 * at.y() / picture.height), 0, 3) +
                     std::clamp(static_cast<int>(4 * at.x() / picture.width), 0, 3);
    ++in_cell[static_cast<std::size_t>(cell)];
  }
  for (const cv::Point2f& corner : corners) {
    if (patches_.size() >= kMostPatches) break;
    const Vector2d at(shrink_ * (corner.x + 0.5) - 0.5, shrink_ * (corner.y + 0.5) - 0.5);
    if (!inside(picture, at) || on_a_disc(at, discs)) continue;
    const int cell = 4 * std::clamp(static_cast<int>(4 * at.y() / picture.height), 0, 3) +
                     std::clamp(static_cast<int>(4 * at.x() / picture.width), 0, 3);
    if (in_cell[static_cast<std::size_t>(cell)] >= 2) continue;
    const bool known = std::any_of(patches_.begin(), patches_.end(), [&](const Patch& p) {
      return (pose_.now(p.home) - at).norm() < 2.0 * kPatchSide;
    });
    if (known) continue;
    Patch patch;
    patch.home = pose_.first(at);
    patch.place = at;
    Eigen::VectorXf wide;
    read_patch<kPatchHalf + 1>(picture, at, wide);
    constexpr int kWide = kPatchSide + 2;
    patch.look.resize(kPatchSide * kPatchSide);
    patch.slope_x.resize(patch.look.size());
    patch.slope_y.resize(patch.look.size());
    int k = 0;
    for (int y = 1; y <= kPatchSide; ++y) {
      for (int x = 1; x <= kPatchSide; ++x, ++k) {
        const auto g = [&](int px, int py) { return wide(py * kWide + px); };
        patch.look(k) = g(x, y);
        patch.slope_x(k) = 0.5F * (g(x + 1, y) - g(x - 1, y));
        patch.slope_y(k) = 0.5F * (g(x, y + 1) - g(x, y - 1));
      }
    }
    patch.look.array() -= patch.look.mean();
    Matrix2d hessian;
    hessian << patch.slope_x.squaredNorm(), patch.slope_x.dot(patch.slope_y),
        patch.slope_x.dot(patch.slope_y), patch.slope_y.squaredNorm();
    const double weakest = Eigen::SelfAdjointEigenSolver<Matrix2d>(hessian).eigenvalues()(0);
    if (weakest < 4.0 * kPatchSide * kPatchSide) continue;  // slope of 2 levels/px both ways
    patch.inverse_hessian = hessian.inverse();
    ++in_cell[static_cast<std::size_t>(cell)];
    patches_.push_back(std::move(patch));
  }
}

/// Moves the patch to where it looks as it did when chosen. Brightness may have changed evenly.
bool CameraMotion::align(const LumaView& picture, Patch& patch, Vector2d at) const {
  Eigen::VectorXf difference;
  const Vector2d begun = at;
  for (int pass = 0; pass < 8; ++pass) {
    if (!inside(picture, at) || (at - begun).norm() > kPatchHalf) return false;
    read_patch<kPatchHalf>(picture, at, difference);
    difference.array() -= difference.mean();
    difference -= patch.look;
    const Vector2d right(difference.dot(patch.slope_x), difference.dot(patch.slope_y));
    const Vector2d step = patch.inverse_hessian * right;
    at -= step;
    if (step.norm() < 0.01) {
      patch.place = at;
      // Something stands before the patch when more than half of its look is unexplained.
      return difference.squaredNorm() < 0.5F * patch.look.squaredNorm();
    }
  }
  return false;
}

/// Robust similarity from where the patches were first to where they are. False when they disagree.
bool CameraMotion::fit_pose(const LumaView& picture) {
  std::vector<const Patch*> found;
  for (const Patch& p : patches_) {
    if (p.found) found.push_back(&p);
  }
  agreeing_ = 0;
  if (found.size() < 3) return false;
  std::vector<double> dx;
  std::vector<double> dy;
  for (const Patch* p : found) {
    dx.push_back(p->place.x() - pose_.now(p->home).x());
    dy.push_back(p->place.y() - pose_.now(p->home).y());
  }
  const Vector2d common(median_of(dx), median_of(dy));
  std::vector<const Patch*> still;
  for (const Patch* p : found) {
    // Rotation and zoom of a tripod are small: allow them some pixels at this first cut.
    if ((p->place - pose_.now(p->home) - common).norm() < 6.0 * kAgreePx) still.push_back(p);
  }
  if (2 * still.size() < found.size() || still.size() < 3) return false;
  CameraPose pose = pose_;
  for (int pass = 0; pass < 4; ++pass) {
    Vector2d mean_from = Vector2d::Zero();
    Vector2d mean_to = Vector2d::Zero();
    for (const Patch* p : still) {
      mean_from += p->home;
      mean_to += p->place;
    }
    mean_from /= static_cast<double>(still.size());
    mean_to /= static_cast<double>(still.size());
    double a = 0.0;
    double b = 0.0;
    double spread = 0.0;
    for (const Patch* p : still) {
      const Vector2d f = p->home - mean_from;
      const Vector2d t = p->place - mean_to;
      a += f.dot(t);
      b += f.x() * t.y() - f.y() * t.x();
      spread += f.squaredNorm();
    }
    // Few or bunched patches say nothing of rotation and zoom.
    const bool shift_only = still.size() < 5 || spread < 1e4 * static_cast<double>(still.size());
    a = shift_only ? 1.0 : a / spread;
    b = shift_only ? 0.0 : b / spread;
    pose.linear << a, -b, b, a;
    pose.shift = mean_to - pose.linear * mean_from;
    std::vector<const Patch*> closer;
    for (const Patch* p : found) {
      if ((p->place - pose.now(p->home)).norm() < kAgreePx) closer.push_back(p);
    }
    if (closer.size() < 3 || 2 * closer.size() < still.size()) return false;
    still = closer;
  }
  // Patches that all sit in one place may sit on one thing that moves.
  double reach_px = 0.0;
  for (const Patch* p : still) {
    reach_px = std::max(reach_px, (p->home - still.front()->home).norm());
  }
  if (reach_px < kLeastSpread * picture.width) return false;
  pose_ = pose;
  agreeing_ = static_cast<int>(still.size());
  return true;
}

/// After a jump: where did the small picture go since the last frame?
void CameraMotion::find_again(const LumaView& picture) {
  if (!last_.pixels || patches_.empty()) return;
  const cv::Mat1b small = shrink(picture, shrink_);
  std::vector<cv::Point2f> before;
  for (const Patch& p : patches_) {
    before.emplace_back(static_cast<float>((p.place.x() + 0.5) / shrink_ - 0.5),
                        static_cast<float>((p.place.y() + 0.5) / shrink_ - 0.5));
  }
  std::vector<cv::Point2f> after;
  std::vector<unsigned char> status;
  std::vector<float> error;
  cv::calcOpticalFlowPyrLK(
      shrink(last_.luma, shrink_), small, before, after, status, error, {15, 15}, 3);
  for (std::size_t k = 0; k < patches_.size(); ++k) {
    patches_[k].found = status[k] != 0 && align(picture,
                                                patches_[k],
                                                {shrink_ * (after[k].x + 0.5) - 0.5,
                                                 shrink_ * (after[k].y + 0.5) - 0.5});
  }
}

/// Whether the pose is another than in the first frame, by more than patches err.
bool CameraMotion::moved(const LumaView& picture) const {
  const Vector2d corner(picture.width, picture.height);
  const double still_px =
      kStillPx * std::max(1.0, std::min(picture.width, picture.height) / kStillRows);
  return pose_.shift.norm() > still_px || (pose_.now(corner) - corner).norm() > still_px;
}

/// All edges of the picture, held against those of the first frame.
bool CameraMotion::fit_edges(const cv::Mat1b& small_picture,
                             const std::vector<Ellipse>& discs,
                             const CameraPose& from) {
  // Pixel centres of the small picture lie half of a block in from those of the large one.
  const Vector2d inset = Vector2d::Constant(0.5 * (shrink_ - 1));
  const auto small = [&](const Vector2d& p) -> Vector2d { return (p - inset) / shrink_; };
  CameraPose start = from;
  start.shift = small(from.now(inset));
  std::vector<Ellipse> small_discs = discs;
  for (Ellipse& e : small_discs) {
    e.centre = small(e.centre);
    e.shape /= shrink_;
  }
  const auto found = edges_->find(small_picture, start, small_discs);
  if (!found) return false;
  pose_.linear = found->linear;
  pose_.shift = shrink_ * found->shift + inset - found->linear * inset;
  return true;
}

/// The same after a jerk of the hand, as long as the edges were followed just before.
bool CameraMotion::fit_edges_around(const cv::Mat1b& small_picture,
                                    const std::vector<Ellipse>& discs,
                                    const CameraPose& from) {
  if (edges_agreed_at_ < 0 || frame_ - edges_agreed_at_ > kFramesBetweenSearches) return false;
  for (int k = 0; k < 8; ++k) {
    const double phi = std::numbers::pi * k / 4.0;
    CameraPose start = from;
    start.shift += kJerkPx * shrink_ * Vector2d(std::cos(phi), std::sin(phi));
    if (fit_edges(small_picture, discs, start)) return true;
  }
  return false;
}

CameraPose CameraMotion::follow(const Frame& frame, const std::vector<Ellipse>& discs) {
  const LumaView& picture = frame.luma;
  const CameraPose last_pose = pose_;
  if (frame_ == 0) {
    shrink_ = std::max(1, std::min(picture.width, picture.height) / 270);
    choose_patches(picture, discs);
    agreeing_ = static_cast<int>(patches_.size());
    edges_.emplace(shrink(picture, shrink_));
    ++seen_;
  } else {
    std::erase_if(patches_, [&](const Patch& p) { return on_a_disc(p.place, discs); });
    int found = 0;
    for (Patch& p : patches_) {
      p.found = align(picture, p, pose_.now(p.home));
      found += p.found ? 1 : 0;
    }
    const bool many_lost = 2 * found < static_cast<int>(patches_.size());
    if ((many_lost || !fit_pose(picture)) && frame_ >= retry_at_) {
      const CameraPose before = pose_;
      find_again(picture);
      // People walking through hide the patches for long: do not search in every frame.
      if (!fit_pose(picture)) {
        pose_ = before;
        retry_at_ = frame_ + kFramesBetweenSearches;
      }
    }
    if (agreeing_ == 0 || moved(picture)) restless_until_ = frame_ + kRestlessFrames;
    const bool restless = frame_ < restless_until_;
    const cv::Mat1b small = restless ? shrink(picture, shrink_) : cv::Mat1b();
    const bool by_edges =
        restless && (fit_edges(small, discs, pose_) || fit_edges(small, discs, last_pose) ||
                     fit_edges_around(small, discs, last_pose));
    if (by_edges) edges_agreed_at_ = frame_;
    seen_ += by_edges || agreeing_ > 0 ? 1 : 0;
    for (Patch& p : patches_) {
      const bool agrees = p.found && (p.place - pose_.now(p.home)).norm() < kAgreePx;
      p.frames_apart = agrees ? 0 : p.frames_apart + 1;
    }
    std::erase_if(patches_,
                  [](const Patch& p) { return p.frames_apart > kFramesApartBeforeReplaced; });
    if (frame_ % kRefillEvery == 0 && patches_.size() < kMostPatches / 2)
      choose_patches(picture, discs);
  }
  last_ = frame;
  ++frame_;
  return pose_;
}

}  // namespace kinetics
