#include "libkinetics/tracking/circle_finder.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include <opencv2/imgproc.hpp>

namespace kinetics {
namespace {

struct Edge {
  float x, y;    ///< pixel
  float ux, uy;  ///< unit gradient
};

/// Step between neighbouring radii. A circle seen 30° off square has half-axes 14 % apart, so a
/// finer step would only split its votes.
constexpr double kRadiusStep = 1.07;

/// Gradient magnitude below which a pixel is no edge: so many times the picture's own noise.
constexpr float kEdgeOverNoise = 4.0F;
constexpr float kLeastEdge = 8.0F;  // Sobel units, 1 grey level over 2 pixels; flat pictures

std::vector<Edge> strong_edges(const cv::Mat1b& picture, const cv::Mat1b& moving) {
  cv::Mat1b smooth;
  cv::GaussianBlur(picture, smooth, {3, 3}, 0.8);
  cv::Mat1s gx;
  cv::Mat1s gy;
  cv::Sobel(smooth, gx, CV_16S, 1, 0);
  cv::Sobel(smooth, gy, CV_16S, 0, 1);

  // The lower quartile of |gradient| belongs to flat parts, where it is noise (Rayleigh: the
  // quartile is 0.76 sigma).
  std::vector<float> magnitudes;
  for (int y = 1; y < picture.rows - 1; y += 2) {
    for (int x = 1; x < picture.cols - 1; x += 2) {
      magnitudes.push_back(std::hypot(static_cast<float>(gx(y, x)), static_cast<float>(gy(y, x))));
    }
  }
  if (magnitudes.empty()) return {};
  const auto quartile = magnitudes.begin() + static_cast<std::ptrdiff_t>(magnitudes.size() / 4);
  std::nth_element(magnitudes.begin(), quartile, magnitudes.end());
  const float least = std::max(kLeastEdge, kEdgeOverNoise * *quartile / 0.76F);

  std::vector<Edge> edges;
  for (int y = 1; y < picture.rows - 1; ++y) {
    for (int x = 1; x < picture.cols - 1; ++x) {
      if (!moving.empty() && moving(y, x) == 0) continue;
      const float dx = gx(y, x);
      const float dy = gy(y, x);
      const float magnitude = std::hypot(dx, dy);
      if (magnitude < least) continue;
      // Thin the edge: keep pixels no weaker than both neighbours along the gradient.
      const int sx = std::abs(dx) > 0.4F * std::abs(dy) ? (dx > 0 ? 1 : -1) : 0;
      const int sy = std::abs(dy) > 0.4F * std::abs(dx) ? (dy > 0 ? 1 : -1) : 0;
      const float ahead = std::hypot(static_cast<float>(gx(y + sy, x + sx)),
                                     static_cast<float>(gy(y + sy, x + sx)));
      const float behind = std::hypot(static_cast<float>(gx(y - sy, x - sx)),
                                      static_cast<float>(gy(y - sy, x - sx)));
      if (magnitude < ahead || magnitude < behind) continue;
      edges.push_back(
          {static_cast<float>(x), static_cast<float>(y), dx / magnitude, dy / magnitude});
    }
  }
  return edges;
}

cv::Mat1f votes_for(const std::vector<Edge>& edges, float radius, cv::Size size) {
  cv::Mat1f votes = cv::Mat1f::zeros(size);
  const auto vote = [&](float x, float y) {
    const int ix = static_cast<int>(std::lround(x));
    const int iy = static_cast<int>(std::lround(y));
    if (ix >= 0 && iy >= 0 && ix < size.width && iy < size.height) votes(iy, ix) += 1.0F;
  };
  for (const Edge& e : edges) {
    vote(e.x + radius * e.ux, e.y + radius * e.uy);
    vote(e.x - radius * e.ux, e.y - radius * e.uy);
  }
  return votes;
}

}  // namespace

std::vector<Circle> find_circles(const cv::Mat1b& picture,
                                 const CircleFinderOptions& options,
                                 const cv::Mat1b& moving) {
  const std::vector<Edge> edges = strong_edges(picture, moving);
  std::vector<Circle> circles;
  for (double radius = options.min_radius_px; radius <= options.max_radius_px;
       radius *= kRadiusStep) {
    cv::Mat1f votes = votes_for(edges, static_cast<float>(radius), picture.size());
    // Gradient directions are a few degrees off and the disc may be an ellipse: centres scatter
    // over an area that grows with the radius.
    const int spread = 2 * static_cast<int>(std::lround(0.06 * radius + 0.6)) + 1;
    cv::boxFilter(votes, votes, CV_32F, {spread, spread}, {-1, -1}, false, cv::BORDER_CONSTANT);
    cv::Mat1f peak;
    const int around = 2 * static_cast<int>(0.3 * radius) + 3;
    cv::dilate(votes, peak, cv::Mat::ones(around, 1, CV_8U));
    cv::dilate(peak, peak, cv::Mat::ones(1, around, CV_8U));
    const double circumference = 2.0 * std::numbers::pi * radius;
    const auto least = static_cast<float>(options.min_score * circumference);
    for (int y = 0; y < votes.rows; ++y) {
      for (int x = 0; x < votes.cols; ++x) {
        const float v = votes(y, x);
        if (v < least || v < peak(y, x)) continue;
        circles.push_back(
            {static_cast<double>(x), static_cast<double>(y), radius, v / circumference});
      }
    }
  }
  std::sort(circles.begin(), circles.end(), [](const Circle& a, const Circle& b) {
    return a.score > b.score;
  });
  std::vector<Circle> apart;
  for (const Circle& c : circles) {
    const bool known = std::any_of(apart.begin(), apart.end(), [&](const Circle& a) {
      return std::hypot(a.x_px - c.x_px, a.y_px - c.y_px) <
                 0.35 * std::max(a.radius_px, c.radius_px) &&
             std::abs(std::log(a.radius_px / c.radius_px)) < 0.18;
    });
    if (!known) apart.push_back(c);
    if (static_cast<int>(apart.size()) == options.max_count) break;
  }
  return apart;
}

}  // namespace kinetics
