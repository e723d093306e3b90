#include "libkinetics/training/mixed_model.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include <Eigen/Cholesky>
#include <Eigen/QR>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

struct Variances {
  double scatter = 0.0;
  double group = 0.0;
};

/// V⁻¹ M for one-way groups: V_g = D + s 11', so V_g⁻¹ = D⁻¹ − D⁻¹1 1'D⁻¹ s/(1 + s 1'D⁻¹1).
class Inverse {
 public:
  Inverse(const MixedData& data, Variances variances) : data_(data) {
    diagonal_ = data.own_variance.array() + variances.scatter;
    const int groups = 1 + *std::max_element(data.group.begin(), data.group.end());
    precision_ = Eigen::VectorXd::Zero(groups);
    for (Eigen::Index i = 0; i < diagonal_.size(); ++i) {
      precision_[group(i)] += 1.0 / diagonal_[i];
    }
    shrink_ = variances.group / (1.0 + variances.group * precision_.array());
    log_determinant_ =
        diagonal_.array().log().sum() + (1.0 + variances.group * precision_.array()).log().sum();
  }

  [[nodiscard]] Eigen::MatrixXd times(const Eigen::MatrixXd& m) const {
    const Eigen::MatrixXd scaled = m.array().colwise() / diagonal_.array();
    Eigen::MatrixXd sums = Eigen::MatrixXd::Zero(precision_.size(), m.cols());
    for (Eigen::Index i = 0; i < m.rows(); ++i) sums.row(group(i)) += scaled.row(i);
    Eigen::MatrixXd out = scaled;
    for (Eigen::Index i = 0; i < m.rows(); ++i) {
      out.row(i) -= shrink_[group(i)] / diagonal_[i] * sums.row(group(i));
    }
    return out;
  }

  [[nodiscard]] double log_determinant() const { return log_determinant_; }

 private:
  [[nodiscard]] int group(Eigen::Index i) const { return data_.group[static_cast<std::size_t>(i)]; }

  const MixedData& data_;
  Eigen::VectorXd diagonal_;
  Eigen::VectorXd precision_;  ///< sum of 1/D in each group
  Eigen::ArrayXd shrink_;
  double log_determinant_ = 0.0;
};

struct Solved {
  Eigen::VectorXd beta;
  Eigen::MatrixXd covariance;
  double minus_two_log_reml = 0.0;
};

Solved solve(const MixedData& data, Variances variances) {
  const Inverse inverse(data, variances);
  const Eigen::MatrixXd vx = inverse.times(data.x);
  const Eigen::MatrixXd information = data.x.transpose() * vx;
  const Eigen::LDLT<Eigen::MatrixXd> factor(information);
  Solved out;
  out.beta = factor.solve(vx.transpose() * data.y);
  const Eigen::VectorXd residual = data.y - data.x * out.beta;
  const auto freedom = static_cast<double>(data.x.rows() - data.x.cols());
  out.covariance = factor.solve(Eigen::MatrixXd::Identity(information.rows(), information.cols()));
  out.minus_two_log_reml = inverse.log_determinant() + factor.vectorD().array().log().sum() +
                           residual.dot(inverse.times(residual).col(0)) +
                           freedom * std::log(2.0 * std::numbers::pi);
  return out;
}

/// Standard deviations; their signs do not matter, so that zero is no edge for the search.
using Point = std::array<double, 2>;

Variances variances_at(const Point& p, double least) {
  return {.scatter = std::max(p[0] * p[0], least), .group = p[1] * p[1]};
}

/// Downhill simplex in two dimensions: smooth, cheap and small. Begun again from where it ended, as
/// a simplex may collapse.
/// Source  J. A. Nelder, R. Mead, Comput J 1965; 7:308-313.
struct Search {
  double size = 0.0;  ///< of the first simplex
  int rounds = 1;
  double same_cost = 1e-8;  ///< relative difference over the simplex at which it stops
};

template <typename Cost>
Point minimum_near(Point start, Search search, const Cost& cost) {
  struct Corner {
    Point at{};
    double cost = 0.0;
  };
  const auto corner = [&](Point at) { return Corner{.at = at, .cost = cost(at)}; };
  const auto between = [](const Point& a, const Point& b, double t) {
    return Point{a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])};
  };
  constexpr int kSteps = 200;
  double size = search.size;
  for (int round = 0; round < search.rounds; ++round) {
    std::array<Corner, 3> s{
        corner(start), corner({start[0] + size, start[1]}), corner({start[0], start[1] + size})};
    for (int step = 0; step < kSteps; ++step) {
      std::sort(
          s.begin(), s.end(), [](const Corner& a, const Corner& b) { return a.cost < b.cost; });
      if (s[2].cost - s[0].cost < search.same_cost * (1.0 + std::abs(s[0].cost))) break;
      const Point middle = between(s[0].at, s[1].at, 0.5);
      const Corner mirrored = corner(between(s[2].at, middle, 2.0));
      if (mirrored.cost < s[0].cost) {
        const Corner further = corner(between(s[2].at, middle, 3.0));
        s[2] = further.cost < mirrored.cost ? further : mirrored;
      } else if (mirrored.cost < s[1].cost) {
        s[2] = mirrored;
      } else {
        const Corner nearer =
            corner(between(s[2].at, middle, mirrored.cost < s[2].cost ? 1.5 : 0.5));
        if (nearer.cost < std::min(mirrored.cost, s[2].cost)) {
          s[2] = nearer;
        } else {
          s[1] = corner(between(s[0].at, s[1].at, 0.5));
          s[2] = corner(between(s[0].at, s[2].at, 0.5));
        }
      }
    }
    start = s[0].at;
    size *= 0.1;
  }
  return start;
}

double plain_residual_sigma(const MixedData& data) {
  const Eigen::VectorXd beta = data.x.colPivHouseholderQr().solve(data.y);
  const auto freedom = static_cast<double>(data.x.rows() - data.x.cols());
  return std::sqrt((data.y - data.x * beta).squaredNorm() / freedom);
}

}  // namespace

MixedFit fit_mixed(const MixedData& data) {
  KINETICS_ASSERT(data.x.rows() > data.x.cols() && data.x.cols() > 0);
  KINETICS_ASSERT(data.y.size() == data.x.rows() && data.own_variance.size() == data.x.rows());
  KINETICS_ASSERT(static_cast<Eigen::Index>(data.group.size()) == data.x.rows());
  KINETICS_ASSERT(data.x.colPivHouseholderQr().rank() == data.x.cols());
  const double usual = plain_residual_sigma(data);
  // Below this the scatter is nil; where no mean has an error of its own it must not vanish.
  const double least = std::max(1e-16, 1e-12 * usual * usual);
  const auto cost = [&](const Point& p) {
    return solve(data, variances_at(p, least)).minus_two_log_reml;
  };
  Point best{usual, 0.0};
  double lowest = cost(best);
  // Two hills are possible when own errors differ much.
  for (const Point& start : {Point{usual, 0.3 * usual}, Point{0.3 * usual, usual}}) {
    const Point found = minimum_near(start, {.size = 0.3 * usual + 1e-9}, cost);
    const double here = cost(found);
    if (here >= lowest) continue;
    lowest = here;
    best = found;
  }
  best = minimum_near(best, {.size = 0.02 * usual + 1e-9, .rounds = 2, .same_cost = 1e-14}, cost);
  const Variances variances = variances_at(best, least);
  Solved solved = solve(data, variances);
  MixedFit out{.beta = std::move(solved.beta),
               .covariance = std::move(solved.covariance),
               .scatter_variance = variances.scatter,
               .group_variance = variances.group,
               .minus_two_log_reml = solved.minus_two_log_reml};
  out.rows = data.group.size();
  out.groups =
      static_cast<std::size_t>(1 + *std::max_element(data.group.begin(), data.group.end()));
  return out;
}

Eigen::VectorXd weights_of(const MixedData& data, const MixedFit& fit, const Eigen::VectorXd& c) {
  const Inverse inverse(data, {.scatter = fit.scatter_variance, .group = fit.group_variance});
  return inverse.times(data.x) * (fit.covariance * c);
}

VarianceParts variance_of(const MixedData& data, const MixedFit& fit, const Eigen::VectorXd& a) {
  Eigen::VectorXd sums = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(fit.groups));
  VarianceParts out;
  for (Eigen::Index i = 0; i < a.size(); ++i) {
    out.own += a[i] * a[i] * data.own_variance[i];
    out.scatter += a[i] * a[i] * fit.scatter_variance;
    sums[data.group[static_cast<std::size_t>(i)]] += a[i];
  }
  out.group = fit.group_variance * sums.squaredNorm();
  return out;
}

}  // namespace kinetics
