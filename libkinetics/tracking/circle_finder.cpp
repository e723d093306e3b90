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
  const auto step = static_cast<std::ptrdiff_t>(gx.step1());
  const auto square = [](const short* x, const short* y) { return *x * *x + *y * *y; };

  // The lower quartile of |gradient| belongs to flat parts, where it is noise (Rayleigh: the
  // quartile is 0.76 sigma).
  std::vector<int> squares;
  squares.reserve(picture.total() / 4);
  for (int y = 1; y < picture.rows - 1; y += 2) {
    const short* along_x = gx[y];
    const short* along_y = gy[y];
    for (int x = 1; x < picture.cols - 1; x += 2) {
      squares.push_back(square(along_x + x, along_y + x));
    }
  }
  if (squares.empty()) return {};
  const auto quartile = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 4);
  std::nth_element(squares.begin(), quartile, squares.end());
  const float least =
      std::max(kLeastEdge, kEdgeOverNoise * std::sqrt(static_cast<float>(*quartile)) / 0.76F);
  const int least_square = static_cast<int>(std::ceil(least * least));

  std::vector<Edge> edges;
  for (int y = 1; y < picture.rows - 1; ++y) {
    const short* along_x = gx[y];
    const short* along_y = gy[y];
    const std::uint8_t* moves = moving.empty() ? nullptr : moving[y];
    for (int x = 1; x < picture.cols - 1; ++x) {
      const int here = square(along_x + x, along_y + x);
      if (here < least_square || (moves && moves[x] == 0)) continue;
      const float dx = along_x[x];
      const float dy = along_y[x];
      // Thin the edge: keep pixels no weaker than both neighbours along the gradient.
      const int sx = std::abs(dx) > 0.4F * std::abs(dy) ? (dx > 0 ? 1 : -1) : 0;
      const int sy = std::abs(dy) > 0.4F * std::abs(dx) ? (dy > 0 ? 1 : -1) : 0;
      const std::ptrdiff_t ahead = x + sx + sy * step;
      const std::ptrdiff_t behind = x - sx - sy * step;
      if (here < square(along_x + ahead, along_y + ahead) ||
          here < square(along_x + behind, along_y + behind)) {
        continue;
      }
      const float magnitude = std::sqrt(static_cast<float>(here));
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
  float x = 0.0F, y = 0.0F;  ///< pixel
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

/// Whether both lie inside a row of cells, more than one from its ends.
bool well_inside(float a, float b, int size) {
  return std::min(a, b) > 1.0F && std::max(a, b) < static_cast<float>(size - 1);
}

/// Votes for centres, counted in cells of several pixels: a third of the area that centres of such
/// a radius scatter over.
cv::Mat1f votes_in_band(
    const std::vector<Edge>& edges, double from, double to, int cell, cv::Size size) {
  cv::Mat1f votes =
      cv::Mat1f::zeros((size.height + cell - 1) / cell, (size.width + cell - 1) / cell);
  float* grid = votes.ptr<float>();
  const int columns = votes.cols;  // it is one piece
  const auto vote = static_cast<float>(cell);
  const auto cells = 1.0F / static_cast<float>(cell);
  const auto begin = static_cast<float>(from);
  const int most = static_cast<int>(std::ceil((to - from) / cell));
  const auto reach = static_cast<float>(most);
  for (const Edge& e : edges) {
    for (const float way : {1.0F, -1.0F}) {
      const float step_x = way * e.ux;
      const float step_y = way * e.uy;
      float x = (e.x + begin * step_x + 0.5F) * cells;
      float y = (e.y + begin * step_y + 0.5F) * cells;
      // Nearly all ways begin and end well inside.
      const bool within = well_inside(x, x + reach * step_x, votes.cols) &&
                          well_inside(y, y + reach * step_y, votes.rows);
      const int count = within ? most
                               : std::min({most,
                                           steps_inside(x, step_x, votes.cols),
                                           steps_inside(y, step_y, votes.rows)});
      for (int k = 0; k < count; ++k, x += step_x, y += step_y) {
        grid[static_cast<int>(y) * columns + static_cast<int>(x)] += vote;
      }
    }
  }
  return votes;
}

/// How far a peak lies beside the cell of the most votes, in cells: the parabola through three.
float beside(float before, float here, float after) {
  const float bend = before - 2.0F * here + after;
  return bend < 0.0F ? std::clamp(0.5F * (before - after) / bend, -0.5F, 0.5F) : 0.0F;
}

/// The strongest local maxima, apart from each other.
std::vector<Peak> peaks_of(const cv::Mat1f& votes, int cell, double least, double apart_px) {
  std::vector<Peak> all;
  for (int y = 1; y + 1 < votes.rows; ++y) {
    const float* row = votes[y];
    const float* above = votes[y - 1];
    const float* below = votes[y + 1];
    for (int x = 1; x + 1 < votes.cols; ++x) {
      const float v = row[x];
      if (v < least || v < row[x - 1] || v < row[x + 1] || v < above[x] || v < below[x]) continue;
      const float right = static_cast<float>(x) + beside(row[x - 1], v, row[x + 1]);
      const float down = static_cast<float>(y) + beside(above[x], v, below[x]);
      const auto size = static_cast<float>(cell);
      all.push_back({size * (right + 0.5F) - 0.5F, size * (down + 0.5F) - 0.5F, v});
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
  // Edges come row by row.
  const auto near = std::partition_point(
      edges.begin(), edges.end(), [&](const Edge& e) { return e.y < centre.y - reach; });
  for (auto edge = near; edge != edges.end() && edge->y <= centre.y + reach; ++edge) {
    const Edge& e = *edge;
    const float dx = centre.x - e.x;
    const float dy = centre.y - e.y;
    if (std::abs(dx) > reach) continue;
    const float distance = std::sqrt(dx * dx + dy * dy);
    const float aside = std::abs(dx * e.uy - dy * e.ux);  // how far the gradient misses the centre
    if (aside > 1.5F + 0.10F * distance) continue;
    const int bin = static_cast<int>(distance + 0.5F) - first;
    if (bin >= 0 && bin < static_cast<int>(count.size()))
      count[static_cast<std::size_t>(bin)] += 1.0F;
  }
  // An ellipse spreads over radii: sum a band of one tenth.
  for (double radius = from; radius < to; radius *= kRadiusStep) {
    const int spread = static_cast<int>(0.05 * radius + 0.8);
    const int middle = static_cast<int>(radius + 0.5) - first;
    float sum = 0.0F;
    for (int bin = middle - spread; bin <= middle + spread; ++bin) {
      if (bin >= 0 && bin < static_cast<int>(count.size()))
        sum += count[static_cast<std::size_t>(bin)];
    }
    const double score = sum / (2.0 * std::numbers::pi * radius);
    if (score >= least) {
      circles.push_back({centre.x, centre.y, radius, score});
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
    // Gradient directions are a few degrees off and the disc may be an ellipse: centres scatter
    // over an area that grows with the radius, three cells across.
    const int spread = 2 * static_cast<int>(std::lround(0.05 * from + 0.8)) + 1;
    const int cell = (spread + 1) / 3;
    cv::Mat1f votes = votes_in_band(edges, from, to, cell, picture.size());
    cv::boxFilter(votes, votes, CV_32F, {3, 3}, {-1, -1}, false, cv::BORDER_CONSTANT);
    const double least = options.min_score * 2.0 * std::numbers::pi * from;
    for (const Peak& centre : peaks_of(votes, cell, least, 0.4 * from)) {
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
