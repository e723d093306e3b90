#include "libkinetics/tracking/ruler.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

#include "libkinetics/core/median.h"

namespace kinetics {
namespace {

using Eigen::Matrix4d;
using Eigen::Vector4d;

/// Perspective and lens change the ruler by so much over the span, 1 sigma, and a shutter's line
/// takes about so long.
constexpr double kRulerSlope = 0.02;
constexpr double kRulerBend = 0.005;
constexpr double kLineTimeSigmaS = 5e-5;
/// The bar passes the same places again and again, and what lies behind each pulls at the rim the
/// same way every time: all glimpses together tell of the ruler as so many independent ones, each
/// with so large an error, as a share of the size.
constexpr double kLooksAtRuler = 20.0;
constexpr double kAlikeRel = 0.004;
/// The way is told apart into so many places; one of them where the bar was seen less often than
/// this share of the mean counts for less.
constexpr std::size_t kPlaces = 12;
constexpr double kFewestOfPlace = 0.2;
/// Share of the rim that must show.
constexpr double kLeastRim = 0.6;
/// What lies farther beside the ruler at first is another ring, as a share of the size. From there
/// on the limit closes in step by step: a view from above narrows the disc by more on the way down
/// than it is unsure.
constexpr double kMostOff = 0.10;
constexpr double kClosesIn = 0.6;
constexpr int kPasses = 12;

double square(double x) {
  return x * x;
}

/// Tells the way apart into places, each of which counts alike, however long the bar stood there.
class Places {
 public:
  explicit Places(const std::vector<PlumbPoint>& points) {
    const auto [low, high] = std::minmax_element(
        points.begin(), points.end(), [](const PlumbPoint& a, const PlumbPoint& b) {
          return a.along < b.along;
        });
    low_ = low->along;
    high_ = high->along;
    const double length = std::max(1e-9, high_ - low_);
    of_point_.reserve(points.size());
    for (const PlumbPoint& p : points) {
      const auto place = static_cast<std::size_t>(kPlaces * (p.along - low_) / length);
      of_point_.push_back(std::min(place, kPlaces - 1));
    }
  }

  /// Takes in how far each point lies beside the ruler.
  void look(const std::vector<PlumbPoint>& points, const std::vector<double>& beside) {
    std::array<std::vector<double>, kPlaces> there;
    double all = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (points[i].rim_seen < kLeastRim) continue;
      there[of_point_[i]].push_back(beside[i]);
      all += 1.0;
    }
    for (std::size_t k = 0; k < kPlaces; ++k) {
      // A place hardly visited must not rest on a picture or two.
      const double mean = all / kPlaces;
      weight_[k] = mean / std::max(kFewestOfPlace * mean, static_cast<double>(there[k].size()));
      if (there[k].empty()) continue;
      const double middle = median_of(there[k]);
      for (double& b : there[k]) b = std::abs(b - middle);
      variance_[k] = square(1.4826 * median_of(std::move(there[k])));
    }
  }

  /// How much a point tells: less where sizes scatter.
  [[nodiscard]] double weight(std::size_t i, const PlumbPoint& p) const {
    const double own = square(p.sigma_shape / p.reach) + variance_[of_point_[i]];
    return weight_[of_point_[i]] * square(kAlikeRel) / (square(kAlikeRel) + own);
  }

  /// What as many looks would tell if the rim showed everywhere.
  [[nodiscard]] Matrix4d whole_information(const RulerModel& model) const {
    Matrix4d sum = Matrix4d::Zero();
    for (std::size_t k = 0; k < kPlaces; ++k) {
      const double along = low_ + (high_ - low_) * (static_cast<double>(k) + 0.5) / kPlaces;
      const double s = (along - model.middle) / model.span;
      const Vector4d j(1.0, s, s * s, 0.0);
      sum += kLooksAtRuler / kPlaces * j * j.transpose();
    }
    return sum;
  }

  /// How the log of the whole way's length hangs on the ruler's numbers.
  [[nodiscard]] Vector4d of_whole_way(const RulerModel& model) const {
    const double a = (low_ - model.middle) / model.span;
    const double b = (high_ - model.middle) / model.span;
    return {1.0, 0.5 * (a + b), (a * a + a * b + b * b) / 3.0, 0.0};
  }

 private:
  double low_ = 0.0, high_ = 0.0;
  std::vector<std::size_t> of_point_;
  std::array<double, kPlaces> weight_{}, variance_{};
};

/// Solves for the ruler with its line time within what is possible.
Vector4d within(const LineTimes& possible, const Matrix4d& normal, const Vector4d& right) {
  Vector4d c = normal.ldlt().solve(right);
  const double line_time = std::clamp(c(3), possible.least_s, possible.most_s);
  if (line_time == c(3)) return c;
  c.head<3>() = normal.topLeftCorner<3, 3>().ldlt().solve(
      right.head<3>() - line_time * normal.topRightCorner<3, 1>());
  c(3) = line_time;
  return c;
}

/// Of errors of this size, 1 sigma.
Matrix4d prior_of(double sigma_rel) {
  Matrix4d prior = Matrix4d::Zero();
  prior.diagonal() << 0.0, square(sigma_rel / kRulerSlope), square(sigma_rel / kRulerBend),
      square(sigma_rel / kLineTimeSigmaS);
  return prior;
}

/// How much less sure the whole way's length is than if the rim had shown everywhere.
double unseen_sigma_rel(const Matrix4d& information,
                        const Places& places,
                        const RulerModel& model) {
  const Vector4d way = places.of_whole_way(model);
  const auto variance = [&](const Matrix4d& known) {
    return square(kAlikeRel) * way.dot((known + prior_of(kAlikeRel)).ldlt().solve(way));
  };
  const double more = variance(information) - variance(places.whole_information(model));
  return std::sqrt(std::max(0.0, more));
}

RulerModel first_guess(const std::vector<PlumbPoint>& points) {
  std::vector<double> alongs, reaches;
  alongs.reserve(points.size());
  reaches.reserve(points.size());
  for (const PlumbPoint& p : points) {
    alongs.push_back(p.along);
    reaches.push_back(p.reach);
  }
  const auto [low, high] = std::minmax_element(alongs.begin(), alongs.end());
  const double way = *high - *low;
  const double reach = median_of(std::move(reaches));
  RulerModel model;
  model.span = std::max(0.5 * way, 0.5 * reach);
  model.middle = median_of(std::move(alongs));
  model.c(0) = std::log(reach);
  return model;
}

}  // namespace

RulerModel fit_ruler(const std::vector<PlumbPoint>& points, const LineTimes& possible) {
  RulerModel model = first_guess(points);
  Places places(points);
  std::vector<double> beside(points.size());
  double tolerance = kMostOff;
  for (int pass = 0; pass < kPasses; ++pass) {
    for (std::size_t i = 0; i < points.size(); ++i) beside[i] = model.beside(points[i]);
    places.look(points, beside);
    Matrix4d normal = Matrix4d::Zero();
    Matrix4d counted = Matrix4d::Zero();
    Vector4d right = Vector4d::Zero();
    std::vector<double> sizes;
    double weights = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const PlumbPoint& p = points[i];
      if (p.rim_seen < kLeastRim) continue;
      sizes.push_back(std::abs(beside[i]));
      const double ratio = beside[i] / tolerance;
      if (std::abs(ratio) >= 1.0) continue;
      const double s = (p.along - model.middle) / model.span;
      const Vector4d j(1.0, s, s * s, -p.speed);
      const double w = square(1.0 - ratio * ratio);
      counted += w * j * j.transpose();
      normal += places.weight(i, p) * w * j * j.transpose();
      right += places.weight(i, p) * w * (beside[i] + j.dot(model.c)) * j;
      weights += w;
    }
    if (weights < 8.0) return model;
    const double spread = std::max(2e-4, 1.4826 * median_of(std::move(sizes)));
    tolerance = std::max({4.685 * spread, 0.002, kClosesIn * tolerance});
    const Matrix4d prior = prior_of(std::max(spread, kAlikeRel));
    // Errors of neighbouring frames are alike (the same edge on the same background): count every
    // tenth frame as one.
    model.line_time_sigma_s = spread * std::sqrt(10.0 * (counted + prior).inverse()(3, 3));
    model.line_time_known = weights > 60.0 && model.line_time_sigma_s < 4e-6;
    const double looks = std::min(1.0, kLooksAtRuler / weights);
    model.c = within(possible, looks * normal + prior, looks * right);
    model.unseen_sigma_rel = unseen_sigma_rel(looks * normal, places, model);
  }
  return model;
}

}  // namespace kinetics
