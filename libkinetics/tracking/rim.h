#pragma once

#include <optional>

#include <Eigen/Core>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/disc_depth.h"
#include "libkinetics/tracking/ellipse.h"

/// Measures a disc's rim in one picture: sub-pixel edges along rays, a robust ellipse through them.
/// Internal.

namespace kinetics {

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

}  // namespace kinetics
