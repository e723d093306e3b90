#include "libkinetics/tracking/still_edges.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <opencv2/imgproc.hpp>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

using Eigen::Matrix2d;
using Eigen::Matrix4d;
using Eigen::Vector2d;
using Eigen::Vector2f;
using Eigen::Vector4d;

/// Blurred by so much, px: an edge is then met from a few pixels away.
constexpr double kBlurPx = 1.5;
/// Slope of an edge worth looking at, grey levels a pixel.
constexpr float kLeastSlope = 1.5F;
constexpr int kMargin = 3;
constexpr int kColumns = 10;
constexpr int kRows = 6;
constexpr std::size_t kFewestInCell = 20;
constexpr std::size_t kMostInCell = 80;
constexpr int kLightStep = 8;
constexpr double kBlack = 16.0;
constexpr int kMostPasses = 15;
constexpr int kPassesOfAll = 6;
constexpr double kNearPx = 0.1;
constexpr double kSettledPx = 0.005;
/// Grey levels within which a pixel is as it was, at least.
constexpr double kGreyNoise = 1.0;
/// A cell agrees when most of its pixels are explained and it would not move farther than this.
constexpr double kLeastExplained = 0.5;
constexpr double kAgreePx = 0.35;
constexpr int kFewestCells = 6;
/// Cells that tell of a direction, at least this much of the edges' own slope.
constexpr double kTells = 0.5;
constexpr int kFewestThatTell = 4;
/// How far those must spread over the picture's width (standard deviation, as a share): all over it
/// is 0.29, a person 0.05 to 0.13.
constexpr double kLeastSpread = 0.18;
/// Cameras in the hand turn and come nearer by no more than this, 1 sigma; weighed against grey
/// differences of one level.
constexpr double kTurnSigma = 0.01;

/// Tukey's constant: 95 % as good as the mean where nothing is wild. Median size to sigma.
constexpr double kTukey = 4.685;
constexpr double kToSigma = 1.4826;

double biweight(double u) {
  return std::abs(u) < 1.0 ? (1.0 - u * u) * (1.0 - u * u) : 0.0;
}

cv::Mat1f blurred(const cv::Mat1b& picture) {
  cv::Mat1f smooth;
  picture.convertTo(smooth, CV_32F);
  cv::GaussianBlur(smooth, smooth, {}, kBlurPx);
  return smooth;
}

float between(const cv::Mat1f& m, const Vector2f& at) {
  const int left = static_cast<int>(at.x());
  const int top = static_cast<int>(at.y());
  const float right_share = at.x() - static_cast<float>(left);
  const float lower_share = at.y() - static_cast<float>(top);
  const float* p = m[top] + left;
  const float* q = m[top + 1] + left;
  const float above = p[0] + right_share * (p[1] - p[0]);
  const float below = q[0] + right_share * (q[1] - q[0]);
  return above + lower_share * (below - above);
}

/// How the light has changed: grey values are now offset + gain times what they were.
struct Light {
  double gain = 1.0;
  double offset = 0.0;
};

/// A robust line through one pixel in so many, which no small shift of the picture changes.
Light light_between(const cv::Mat1f& then, const cv::Mat1f& now) {
  std::vector<Vector2d> pairs;
  std::vector<double> ratios;
  for (int y = kMargin; y < then.rows; y += kLightStep) {
    for (int x = kMargin; x < then.cols; x += kLightStep) {
      pairs.emplace_back(then(y, x), now(y, x));
      const double was = pairs.back().x() - kBlack;
      if (was > kBlack) ratios.push_back((pairs.back().y() - kBlack) / was);
    }
  }
  Light light;
  if (!ratios.empty()) light.gain = std::clamp(median_of(std::move(ratios)), 0.3, 3.0);
  light.offset = kBlack * (1.0 - light.gain);
  for (int pass = 0; pass < 4; ++pass) {
    std::vector<double> off;
    for (const Vector2d& p : pairs) off.push_back(p.y() - light.gain * p.x() - light.offset);
    std::vector<double> sizes(off);
    for (double& s : sizes) s = std::abs(s);
    const double reach = kTukey * std::max(kGreyNoise, kToSigma * median_of(std::move(sizes)));
    double sum = 1e-9;
    Vector2d mean = Vector2d::Zero();
    double xx = 0.0;
    double xy = 0.0;
    for (std::size_t k = 0; k < pairs.size(); ++k) {
      const double w = biweight(off[k] / reach);
      sum += w;
      mean += w * pairs[k];
      xx += w * pairs[k].x() * pairs[k].x();
      xy += w * pairs[k].x() * pairs[k].y();
    }
    mean /= sum;
    // Where all is of one grey, that tells the offset only.
    xx = xx / sum - mean.x() * mean.x() + kGreyNoise;
    xy = xy / sum - mean.x() * mean.y() + kGreyNoise * light.gain;
    light.gain = std::clamp(xy / xx, 0.3, 3.0);
    light.offset = mean.y() - light.gain * mean.x();
  }
  return light;
}

/// What a cell says in one pass.
struct Voice {
  Matrix4d information = Matrix4d::Zero();
  Vector4d right = Vector4d::Zero();
  std::size_t heard = 0;
  double explained = 0.0;

  [[nodiscard]] bool has_vote() const { return heard >= kFewestInCell; }
  /// Where it would go by itself, across its edges.
  [[nodiscard]] double own_step_px() const {
    Matrix2d shift = information.topLeftCorner<2, 2>();
    shift.diagonal().array() += 0.1 * shift.trace() + 1e-9;
    return (shift.ldlt().solve(right.head<2>())).norm();
  }
  [[nodiscard]] bool agrees() const {
    return explained > kLeastExplained * static_cast<double>(heard) && own_step_px() < kAgreePx;
  }
  [[nodiscard]] bool tells(int direction) const {
    const double slope = static_cast<double>(kLeastSlope);
    return information(direction, direction) > kTells * slope * slope * explained;
  }
};

/// A similarity about the picture's middle: shift, stretch and turn.
struct Similarity {
  Vector4d q = Vector4d::Zero();

  [[nodiscard]] Matrix2d linear() const {
    Matrix2d m;
    m << 1.0 + q(2), -q(3), q(3), 1.0 + q(2);
    return m;
  }
};

}  // namespace

StillEdges::StillEdges(const cv::Mat1b& picture) : smooth_(blurred(picture)) {
  cells_.resize(static_cast<std::size_t>(kColumns * kRows));
  for (int y = kMargin; y < smooth_.rows - kMargin; ++y) {
    for (int x = kMargin; x < smooth_.cols - kMargin; ++x) {
      const Vector2f slope(0.5F * (smooth_(y, x + 1) - smooth_(y, x - 1)),
                           0.5F * (smooth_(y + 1, x) - smooth_(y - 1, x)));
      if (slope.squaredNorm() < kLeastSlope * kLeastSlope) continue;
      const int cell = kColumns * (kRows * y / smooth_.rows) + kColumns * x / smooth_.cols;
      cells_[static_cast<std::size_t>(cell)].edges.push_back(
          {{static_cast<float>(x), static_cast<float>(y)}, slope, smooth_(y, x)});
    }
  }
  for (std::size_t k = 0; k < cells_.size(); ++k) {
    cells_[k].middle_x = (static_cast<double>(k % kColumns) + 0.5) / kColumns - 0.5;
    std::vector<Edge>& edges = cells_[k].edges;
    if (edges.size() <= kMostInCell) continue;
    const std::size_t all = edges.size();
    for (std::size_t i = 0; i < kMostInCell; ++i) edges[i] = edges[i * all / kMostInCell];
    edges.resize(kMostInCell);
  }
  std::erase_if(cells_, [](const Cell& c) { return c.edges.size() < kFewestInCell; });
}

std::optional<CameraPose> StillEdges::find(const cv::Mat1b& picture,
                                           const CameraPose& start,
                                           const std::vector<Ellipse>& discs) const {
  if (cells_.size() < kFewestCells || picture.size() != smooth_.size()) return std::nullopt;
  const cv::Mat1f smooth = blurred(picture);
  const Light light = light_between(smooth_, smooth);
  const Vector2d middle(0.5 * smooth.cols, 0.5 * smooth.rows);
  Similarity pose;
  pose.q << start.now(middle) - middle, start.linear(0, 0) - 1.0, start.linear(1, 0);

  const auto inside = [&](const Vector2f& p) {
    return p.x() >= 1.0F && p.y() >= 1.0F && p.x() < static_cast<float>(smooth.cols - 2) &&
           p.y() < static_cast<float>(smooth.rows - 2);
  };
  const auto on_a_disc = [&](const Vector2f& p) {
    return std::any_of(discs.begin(), discs.end(), [&](const Ellipse& e) {
      return (p.cast<double>() - e.centre).norm() < e.mean_radius_px() + 2.0;
    });
  };
  /// Grey differences of a cell's pixels now; none for those that do not count.
  const auto differences = [&](const Cell& cell, std::vector<std::optional<double>>& out) {
    const Eigen::Matrix2f linear = pose.linear().cast<float>();
    const Vector2f origin =
        (middle + pose.q.head<2>()).cast<float>() - linear * middle.cast<float>();
    out.clear();
    for (const Edge& e : cell.edges) {
      const Vector2f at = linear * e.at + origin;
      if (!inside(at) || on_a_disc(at)) {
        out.emplace_back();
      } else {
        out.emplace_back(static_cast<double>(between(smooth, at)) -
                         light.gain * static_cast<double>(e.grey) - light.offset);
      }
    }
  };

  std::vector<std::vector<std::optional<double>>> off(cells_.size());
  std::vector<Voice> voices(cells_.size());
  std::vector<bool> counts(cells_.size(), true);
  bool near = false;  // so that those who would go elsewhere are known
  bool settled = false;
  for (int pass = 0; pass < kMostPasses && !settled; ++pass) {
    std::vector<double> sizes;
    for (std::size_t k = 0; k < cells_.size(); ++k) {
      differences(cells_[k], off[k]);
      for (const auto& d : off[k]) {
        if (d && counts[k]) sizes.push_back(std::abs(*d));
      }
    }
    const double reach = kTukey * std::max(kGreyNoise, kToSigma * median_of(std::move(sizes)));
    Matrix4d information = Matrix4d::Zero();
    Vector4d right = Vector4d::Zero();
    for (std::size_t k = 0; k < cells_.size(); ++k) {
      Voice voice;
      for (std::size_t i = 0; i < off[k].size(); ++i) {
        if (!off[k][i]) continue;
        ++voice.heard;
        const double tukey = biweight(*off[k][i] / reach);
        const Vector2d slope = light.gain * cells_[k].edges[i].slope.cast<double>();
        const Vector2d from = cells_[k].edges[i].at.cast<double>() - middle;
        const Vector4d by(
            slope.x(), slope.y(), slope.dot(from), slope.y() * from.x() - slope.x() * from.y());
        voice.information += tukey * by * by.transpose();
        voice.right += tukey * *off[k][i] * by;
        voice.explained += tukey;
      }
      voices[k] = voice;
      counts[k] = voice.has_vote() && (!near || voice.agrees());
      if (!counts[k]) continue;
      information += voice.information;
      right += voice.right;
    }
    const double hold = 1.0 / (kTurnSigma * kTurnSigma);
    information.diagonal().array() += 1e-6;
    information.diagonal().tail<2>().array() += hold;
    right.tail<2>() += hold * pose.q.tail<2>();
    const Vector4d step = information.ldlt().solve(right);
    pose.q -= step;
    settled = near && step.head<2>().norm() < kSettledPx;
    near = near || pass >= kPassesOfAll || step.head<2>().norm() < kNearPx;
  }
  if (!settled) return std::nullopt;

  int with_vote = 0;
  int agreeing = 0;
  for (const Voice& v : voices) {
    with_vote += v.has_vote() ? 1 : 0;
    agreeing += v.has_vote() && v.agrees() ? 1 : 0;
  }
  if (agreeing < kFewestCells || 2 * agreeing <= with_vote) return std::nullopt;
  for (const int direction : {0, 1}) {
    int telling = 0;
    double sum = 0.0;
    double square = 0.0;
    for (std::size_t k = 0; k < cells_.size(); ++k) {
      if (!voices[k].has_vote() || !voices[k].agrees() || !voices[k].tells(direction)) continue;
      ++telling;
      sum += cells_[k].middle_x;
      square += cells_[k].middle_x * cells_[k].middle_x;
    }
    if (telling < kFewestThatTell) return std::nullopt;
    const double mean = sum / telling;
    if (square / telling - mean * mean < kLeastSpread * kLeastSpread) return std::nullopt;
  }
  CameraPose out;
  out.linear = pose.linear();
  out.shift = middle + pose.q.head<2>() - out.linear * middle;
  return out;
}

}  // namespace kinetics
