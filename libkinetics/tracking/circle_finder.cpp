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

/// std::hypot guards against overflow, which Sobel's numbers are far from, at ten times the time.
float length(float x, float y) {
  return std::sqrt(x * x + y * y);
}

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
      magnitudes.push_back(length(gx(y, x), gy(y, x)));
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
      const float magnitude = length(dx, dy);
      if (magnitude < least) continue;
      // Thin the edge: keep pixels no weaker than both neighbours along the gradient.
      const int sx = std::abs(dx) > 0.4F * std::abs(dy) ? (dx > 0 ? 1 : -1) : 0;
      const int sy = std::abs(dy) > 0.4F * std::abs(dx) ? (dy > 0 ? 1 : -1) : 0;
      const float ahead = length(gx(y + sy, x + sx), gy(y + sy, x + sx));
      const float behind = length(gx(y - sy, x - sx), gy(y - sy, x - sx));
      if (magnitude < ahead || magnitude < behind) continue;
      edges.push_back(
          {static_cast<float>(x), static_cast<float>(y), dx / magnitude, dy / magnitude});
    }
  }
  return edges;
}

/// Radii are searched band by band: within one, an edge votes for every centre along its gradient.
constexpr double kBand = 1.8;
constexpr int kCentresPerBand = 12;

struct Peak {
  int x = 0, y = 0;
  float votes = 0.0F;
};

/// How many steps of `step` lead from `start` and stay from 0 to below `size`; none when it starts
/// outside.
int steps_inside(float start, float step, int size) {
  constexpr float kAnyNumber = 1e6F;
  constexpr float kRounding = 0.01F;  // what adding up the steps may be off by
  const float end = static_cast<float>(size) - kRounding;
  if (start < kRounding || start >= end) return 0;
  if (std::abs(step) < 1e-6F) return static_cast<int>(kAnyNumber);
  const float room = step > 0.0F ? (end - start) / step : (start - kRounding) / -step;
  return static_cast<int>(std::min(room, kAnyNumber));
}

cv::Mat1f votes_in_band(const std::vector<Edge>& edges, double from, double to, cv::Size size) {
  cv::Mat1f votes = cv::Mat1f::zeros(size);
  const int most = static_cast<int>(std::ceil(to - from));
  for (const Edge& e : edges) {
    for (const float way : {1.0F, -1.0F}) {
      const float step_x = way * e.ux;
      const float step_y = way * e.uy;
      float x = e.x + static_cast<float>(from) * step_x + 0.5F;
      float y = e.y + static_cast<float>(from) * step_y + 0.5F;
      const int count = std::min(
          {most, steps_inside(x, step_x, size.width), steps_inside(y, step_y, size.height)});
      for (int k = 0; k < count; ++k, x += step_x, y += step_y) {
        votes(static_cast<int>(y), static_cast<int>(x)) += 1.0F;
      }
    }
  }
  return votes;
}

/// The strongest local maxima, apart from each other.
std::vector<Peak> peaks_of(const cv::Mat1f& votes, double least, double apart_px) {
  std::vector<Peak> all;
  for (int y = 1; y + 1 < votes.rows; ++y) {
    const float* row = votes[y];
    for (int x = 1; x + 1 < votes.cols; ++x) {
      const float v = row[x];
      if (v < least || v < row[x - 1] || v < row[x + 1] || v < votes(y - 1, x) ||
          v < votes(y + 1, x)) {
        continue;
      }
      all.push_back({x, y, v});
    }
  }
  std::sort(all.begin(), all.end(), [](const Peak& a, const Peak& b) { return a.votes > b.votes; });
  std::vector<Peak> apart;
  for (const Peak& p : all) {
    const bool near = std::any_of(apart.begin(), apart.end(), [&](const Peak& q) {
      return std::hypot(p.x - q.x, p.y - q.y) < apart_px;
    });
    if (!near) apart.push_back(p);
    if (static_cast<int>(apart.size()) == kCentresPerBand) break;
  }
  return apart;
}

/// How many edges point at a centre from each distance: a circle shows as a peak.
void circles_around(const Peak& centre,
                    const std::vector<Edge>& edges,
                    double from,
                    double to,
                    double least,
                    std::vector<Circle>& circles) {
  const int first = static_cast<int>(0.9 * from);
  std::vector<float> count(static_cast<std::size_t>(static_cast<int>(1.1 * to) - first + 3), 0.0F);
  const auto reach = static_cast<float>(first + static_cast<int>(count.size()) - 1);
  for (const Edge& e : edges) {
    const float dx = static_cast<float>(centre.x) - e.x;
    const float dy = static_cast<float>(centre.y) - e.y;
    if (std::abs(dx) > reach || std::abs(dy) > reach) continue;
    const float distance = std::sqrt(dx * dx + dy * dy);
    const float aside = std::abs(dx * e.uy - dy * e.ux);  // how far the gradient misses the centre
    if (aside > 1.5F + 0.10F * distance) continue;
    const int bin = static_cast<int>(std::lround(distance)) - first;
    if (bin >= 0 && bin < static_cast<int>(count.size()))
      count[static_cast<std::size_t>(bin)] += 1.0F;
  }
  // An ellipse spreads over radii: sum a band of one tenth.
  for (double radius = from; radius < to; radius *= kRadiusStep) {
    const int spread = static_cast<int>(0.05 * radius + 0.8);
    float sum = 0.0F;
    for (int k = -spread; k <= spread; ++k) {
      const int bin = static_cast<int>(std::lround(radius)) - first + k;
      if (bin >= 0 && bin < static_cast<int>(count.size()))
        sum += count[static_cast<std::size_t>(bin)];
    }
    const double score = sum / (2.0 * std::numbers::pi * radius);
    if (score >= least) {
      circles.push_back(
          {static_cast<double>(centre.x), static_cast<double>(centre.y), radius, score});
    }
  }
}

}  // namespace

std::vector<Circle> find_circles(const cv::Mat1b& picture,
                                 const CircleFinderOptions& options,
                                 const cv::Mat1b& moving) {
  const std::vector<Edge> edges = strong_edges(picture, moving);
  std::vector<Circle> circles;
  for (double from = options.min_radius_px; from < options.max_radius_px; from *= kBand) {
    const double to = std::min(kBand * from, options.max_radius_px);
    cv::Mat1f votes = votes_in_band(edges, from, to, picture.size());
    // Gradient directions are a few degrees off and the disc may be an ellipse: centres scatter
    // over an area that grows with the radius.
    const int spread = 2 * static_cast<int>(std::lround(0.05 * from + 0.8)) + 1;
    cv::boxFilter(votes, votes, CV_32F, {spread, spread}, {-1, -1}, false, cv::BORDER_CONSTANT);
    const double least = options.min_score * 2.0 * std::numbers::pi * from;
    for (const Peak& centre : peaks_of(votes, least, 0.4 * from)) {
      circles_around(centre, edges, from, to, options.min_score, circles);
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
