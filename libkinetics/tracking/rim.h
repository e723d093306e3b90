#pragma once

#include <optional>
#include <vector>

#include <Eigen/Core>
#include <Eigen/LU>

#include "libkinetics/media/luma_view.h"

/// Measures a disc's rim in one picture: sub-pixel edges along rays, a robust ellipse through them.
/// Internal.

namespace kinetics {

/// The points centre + shape · (cos φ, sin φ). `shape` is symmetric, in pixels: a circle of radius
/// R is R times the identity.
struct Ellipse {
  Eigen::Vector2d centre = Eigen::Vector2d::Zero();
  Eigen::Matrix2d shape = Eigen::Matrix2d::Identity();

  /// Radius of the circle of equal area.
  [[nodiscard]] double mean_radius_px() const;
  /// Half the extent along x, and along y.
  [[nodiscard]] double half_width_px() const { return shape.row(0).norm(); }
  [[nodiscard]] double half_height_px() const { return shape.row(1).norm(); }
  /// Distance from the centre to the rim along a unit direction.
  [[nodiscard]] double reach_px(const Eigen::Vector2d& direction) const;
  [[nodiscard]] Ellipse scaled(double factor) const { return {centre, shape * factor}; }
};

/// The disc's depth as the camera sees it. The rear rim is the front one drawn towards the
/// vanishing point of the bar's direction by the share `depth` = thickness / distance, so on the
/// side facing that point the outline lies outside the front rim. Left out, this shifts the centre
/// and swells the ruler, differently at each height.
///
/// Held as (depth, vanishing point): of a thin disc, or one behind whose front rim the rear one
/// hides, nothing is learnt of the point, and it stays where it was taken to be. The point is
/// counted from the picture's middle in picture heights, x right, y down.
struct DiscDepth {
  Eigen::Vector3d value{0.015, 0.0, 0.0};
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Identity();
  /// What it was taken for before anything was seen.
  Eigen::Vector3d first_value = value;
  Eigen::Matrix3d first_covariance = covariance;

  /// Before anything is known, with the vanishing point `side` picture widths right of the middle
  /// and `below` picture heights below it (a camera that looks down has it above).
  [[nodiscard]] static DiscDepth guess(const LumaView& picture, double side, double below = 0.0);
  /// Of what has none: a ring on a disc's face.
  [[nodiscard]] static DiscDepth none();
};

struct RimOptions {
  /// How far from the predicted rim edges are looked for, px.
  double search_px = 6.0;
  /// How well the shape is known beforehand, 1 sigma as a fraction of the radius. Small values
  /// hold the shape when little rim shows; large ones let it follow.
  double shape_sigma_rel = 0.01;
  /// Length of the motion blur expected in this picture, px (x right, y down).
  Eigen::Vector2d blur_px = Eigen::Vector2d::Zero();
  /// What is known of the disc's depth.
  DiscDepth depth = {};
  /// Share of the rim that must be found.
  double min_rim_seen = 0.33;
};

struct RimFit {
  Ellipse ellipse;
  Eigen::Matrix2d centre_cov_px2 = Eigen::Matrix2d::Zero();
  /// The same if the shape were known, and how the centre moves when the shape (xx, xy, yy) is told
  /// to be another than seen.
  Eigen::Matrix2d held_cov_px2 = Eigen::Matrix2d::Zero();
  Eigen::Matrix<double, 2, 3> centre_by_shape = Eigen::Matrix<double, 2, 3>::Zero();
  DiscDepth depth = {};         ///< as known after this picture
  double agreement = 0.0;       ///< sum of the edges' weights over the number of rays
  double shape_sigma_px = 0.0;  ///< 1 sigma of the half-height
  double view_sigma_rel = 0.0;  ///< and of the same for other views that explain the rim as well
  bool sleeve_seen = false;     ///< which told the side the bar points to
  double rim_seen = 0.0;        ///< share of rays whose edge lies on the ellipse
  double edge_sigma_px = 0.0;   ///< scatter of those edges about it
  double contrast = 0.0;        ///< their median strength, grey levels per px
};

/// Fits the rim near `predicted`, or says nothing when too little of it is found.
///
/// Accuracy  see tests/tracking/rim_test.cpp: within 1 to 3 times the Cramér–Rao bound.
/// Source    sub-pixel edge by the parabola through three gradient samples (F. Devernay, INRIA
///           RR-2724, 1995); Tukey's biweight (P. J. Huber, Robust Statistics, 1981).
[[nodiscard]] std::optional<RimFit> measure_rim(const LumaView& picture,
                                                const Ellipse& predicted,
                                                const RimOptions& options);

/// For each factor, the share of rays with an edge where `ellipse` scaled by it passes.
/// Concentric rims (a lip, a smaller disc outside) show as several peaks.
struct RimCensus {
  static constexpr double kFirst = 0.70;
  static constexpr double kStep = 0.01;
  static constexpr int kCount = 101;   ///< up to 1.70
  static constexpr int kSectors = 24;  ///< all alike wide, from the right on
  /// One after the other, of kCount each; empty when nothing was counted.
  std::vector<float> by_sector;

  [[nodiscard]] static double factor(int bin) { return kFirst + kStep * bin; }
  [[nodiscard]] float at(int sector, std::size_t bin) const {
    return by_sector[static_cast<std::size_t>(sector * kCount) + bin];
  }
  /// All round.
  [[nodiscard]] std::vector<float> mean() const;
};
[[nodiscard]] RimCensus census_of_rims(const LumaView& picture, const Ellipse& ellipse);

}  // namespace kinetics
