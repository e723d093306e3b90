#include "libkinetics/tracking/uprights.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <opencv2/imgproc.hpp>

#include "libkinetics/tracking/image.h"

namespace kinetics {
namespace {

constexpr double kMostLean = 14.0 * std::numbers::pi / 180.0;
constexpr double kShortest = 0.10;   // of the picture's height; limbs and letters are shorter
constexpr double kLeastTotal = 0.6;  // picture heights of agreeing edge, per picture looked at
constexpr double kAgree = 0.012;     // rad

}  // namespace

void Uprights::look(const LumaView& picture) {
  const int factor = std::max(1, std::min(picture.width, picture.height) / 360);
  const cv::Mat1b small = shrink(picture, factor);
  width_px_ = picture.width;
  height_px_ = picture.height;
  std::vector<cv::Vec4f> segments;
  cv::createLineSegmentDetector(cv::LSD_REFINE_NONE)->detect(small, segments);
  for (const cv::Vec4f& s : segments) {
    const double dx = s[2] - s[0];
    const double dy = s[3] - s[1];
    const double length = std::hypot(dx, dy) / small.rows;
    if (length < kShortest) continue;
    // y down: going up the segment, a positive lean falls to the left.
    const double lean = std::atan2(dy > 0.0 ? dx : -dx, std::abs(dy));
    if (std::abs(lean) > kMostLean) continue;
    edges_.push_back({factor * 0.5 * (s[0] + s[2]), lean, length});
  }
  ++pictures_;
}

std::optional<Lean> Uprights::lean_at(double x_px) const {
  if (edges_.empty()) return std::nullopt;
  // Start from the lean most edge length agrees on, then a weighted robust line over x.
  double best_weight = 0.0;
  double start = 0.0;
  for (const Edge& candidate : edges_) {
    double weight = 0.0;
    for (const Edge& e : edges_) {
      if (std::abs(e.lean_rad - candidate.lean_rad) < 1.5 * kAgree) weight += e.weight;
    }
    if (weight > best_weight) {
      best_weight = weight;
      start = candidate.lean_rad;
    }
  }
  Eigen::Vector2d line(start, 0.0);  // lean at the middle, change per picture width
  Eigen::Matrix2d information = Eigen::Matrix2d::Zero();
  double total = 0.0;
  double square = 0.0;
  for (int pass = 0; pass < 6; ++pass) {
    information.setZero();
    // The line's slope comes from camera tilt, at most some 10°: a weak prior keeps it sane when
    // all uprights stand close together.
    information(1, 1) = 1.0 / (0.1 * 0.1) * kAgree * kAgree;
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    total = 0.0;
    square = 0.0;
    for (const Edge& e : edges_) {
      const double u = (e.x_px - 0.5 * width_px_) / width_px_;
      const double residual = e.lean_rad - line(0) - line(1) * u;
      const double ratio = residual / (pass < 2 ? 2.5 * kAgree : kAgree);
      if (std::abs(ratio) >= 1.0) continue;
      const double w = e.weight * (1.0 - ratio * ratio) * (1.0 - ratio * ratio);
      const Eigen::Vector2d j(1.0, u);
      information += w * j * j.transpose();
      right += w * e.lean_rad * j;
      total += e.weight;
      square += w * residual * residual;
    }
    if (information(0, 0) <= 0.0) return std::nullopt;
    line = information.ldlt().solve(right);
  }
  if (total < kLeastTotal * pictures_) return std::nullopt;
  const double u = (x_px - 0.5 * width_px_) / width_px_;
  const double scatter = std::sqrt(square / std::max(1e-9, information(0, 0)));
  return Lean{.roll_rad = line(0) + line(1) * u,
              .sigma_rad = std::max(0.002, scatter),
              .edge_length_px = total};
}

}  // namespace kinetics
