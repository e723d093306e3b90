#include "libkinetics/profile/mixed_model.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/QR>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// Step of central differences: the criterion's rounding error over it stays far below what the
// search stops at.
constexpr double kGradientStep = 1e-5;
constexpr double kCurvatureStep = 1e-3;
// A residual deviation this small beside the rows' spread is a perfect fit; the search ends there.
constexpr double kLeastShare = 1e-6;

struct Shape {
  Index fixed = 0;
  Index random = 0;
  Index rows = 0;
};

Index parameter_count(Index random, bool with_clusters) {
  return 1 + random * (random + 1) / 2 + (with_clusters ? 1 : 0);
}

/// Over residual_sd: the factor of the group covariance, and the cluster's deviation.
struct Relative {
  MatrixXd factor;
  double cluster = 0.0;
};

Relative relative_of(const VectorXd& parameters, Index random, bool with_clusters) {
  Relative out{MatrixXd::Zero(random, random), 0.0};
  Index at = 1;
  for (Index column = 0; column < random; ++column) {
    for (Index row = column; row < random; ++row) out.factor(row, column) = parameters(at++);
  }
  if (with_clusters) out.cluster = parameters(at);
  return out;
}

/// Products of the rows' inverse covariance with the columns [fixed random y], summed row by row.
struct Products {
  MatrixXd all;
  double log_determinant = 0.0;
};

/// A group whose clusters have been sorted out once: rows of one cluster stand together.
struct Prepared {
  MatrixXd columns;  // fixed, random, y
  VectorXd known;
  std::vector<Index> cluster_ends;
};

Prepared prepared(const MixedGroup& group, bool with_clusters) {
  const Index n = group.y.size();
  std::vector<Index> order(static_cast<std::size_t>(n));
  for (Index i = 0; i < n; ++i) order[static_cast<std::size_t>(i)] = i;
  const bool clustered = with_clusters && !group.cluster.empty();
  const auto cluster_of = [&](Index i) { return group.cluster[static_cast<std::size_t>(i)]; };
  if (clustered) {
    std::stable_sort(order.begin(), order.end(), [&](Index a, Index b) {
      return cluster_of(a) < cluster_of(b);
    });
  }
  Prepared out;
  const Index p = group.fixed.cols();
  const Index q = group.random.cols();
  out.columns.resize(n, p + q + 1);
  out.known = VectorXd::Zero(n);
  for (Index i = 0; i < n; ++i) {
    const Index from = order[static_cast<std::size_t>(i)];
    out.columns.row(i).head(p) = group.fixed.row(from);
    out.columns.row(i).segment(p, q) = group.random.row(from);
    out.columns(i, p + q) = group.y(from);
    if (group.known_variance.size() > 0) out.known(i) = group.known_variance(from);
    if (!clustered) continue;
    if (i > 0 && cluster_of(order[static_cast<std::size_t>(i - 1)]) == cluster_of(from)) {
      out.cluster_ends.back() = i + 1;
    } else {
      out.cluster_ends.push_back(i + 1);
    }
  }
  return out;
}

/// With A = diag(d) + c² 1 1' within each cluster: columns' A⁻¹ columns and log|A|.
Products within_clusters(const Prepared& g, double residual_sd, double cluster_sd) {
  Products out;
  const VectorXd weight = (g.known.array() + residual_sd * residual_sd).inverse();
  out.log_determinant = -weight.array().log().sum();
  const MatrixXd weighted = weight.asDiagonal() * g.columns;
  out.all = g.columns.transpose() * weighted;
  if (cluster_sd == 0.0) return out;
  Index from = 0;
  for (const Index end : g.cluster_ends) {
    const double sum = weight.segment(from, end - from).sum();
    const double gain = 1.0 + cluster_sd * cluster_sd * sum;
    const VectorXd total = weighted.middleRows(from, end - from).colwise().sum();
    out.all -= (cluster_sd * cluster_sd / gain) * total * total.transpose();
    out.log_determinant += std::log(gain);
    from = end;
  }
  return out;
}

/// With the group's own effects too: [fixed y]' V⁻¹ [fixed y] and log|V|.
Products within_group(const Prepared& g,
                      const Shape& shape,
                      double residual_sd,
                      const Relative& relative) {
  const Products inner = within_clusters(g, residual_sd, relative.cluster * residual_sd);
  const Index p = shape.fixed;
  const Index q = shape.random;
  MatrixXd outer(p + 1, p + 1);
  outer << inner.all.topLeftCorner(p, p), inner.all.topRightCorner(p, 1),
      inner.all.bottomLeftCorner(1, p), inner.all.bottomRightCorner(1, 1);
  if (q == 0) return {outer, inner.log_determinant};
  const MatrixXd factor = residual_sd * relative.factor;
  const MatrixXd middle =
      MatrixXd::Identity(q, q) + factor.transpose() * inner.all.block(p, p, q, q) * factor;
  MatrixXd side(q, p + 1);
  side << inner.all.block(p, 0, q, p), inner.all.block(p, p + q, q, 1);
  const Eigen::LLT<MatrixXd> llt(middle);
  const MatrixXd half = llt.matrixL().solve(factor.transpose() * side);
  outer -= half.transpose() * half;
  const double log_middle = 2.0 * llt.matrixLLT().diagonal().array().log().sum();
  return {outer, inner.log_determinant + log_middle};
}

struct Solution {
  VectorXd beta;
  MatrixXd beta_covariance;
  double criterion = std::numeric_limits<double>::infinity();
};

class Model {
 public:
  Model(const std::vector<MixedGroup>& groups, const MixedOptions& options) : options_(options) {
    KINETICS_ASSERT(!groups.empty());
    shape_.fixed = groups.front().fixed.cols();
    shape_.random = groups.front().random.cols();
    for (const MixedGroup& g : groups) {
      KINETICS_ASSERT(g.fixed.cols() == shape_.fixed && g.random.cols() == shape_.random);
      KINETICS_ASSERT(g.fixed.rows() == g.y.size());
      KINETICS_ASSERT(g.random.rows() == g.y.size());
      KINETICS_ASSERT(g.cluster.empty() || static_cast<Index>(g.cluster.size()) == g.y.size());
      KINETICS_ASSERT(g.known_variance.size() == 0 || g.known_variance.size() == g.y.size());
      shape_.rows += g.y.size();
      groups_.push_back(prepared(g, options.with_clusters));
    }
    KINETICS_ASSERT(shape_.rows > shape_.fixed);
  }

  [[nodiscard]] const Shape& shape() const { return shape_; }

  [[nodiscard]] Solution solve(const VectorXd& parameters) const {
    const double residual_sd = std::exp(parameters(0));
    const Relative relative = relative_of(parameters, shape_.random, options_.with_clusters);
    const Index p = shape_.fixed;
    MatrixXd sum = MatrixXd::Zero(p + 1, p + 1);
    double criterion = 0.0;
    for (const Prepared& g : groups_) {
      const Products one = within_group(g, shape_, residual_sd, relative);
      sum += one.all;
      criterion += one.log_determinant;
    }
    Solution out;
    const Eigen::LLT<MatrixXd> llt(sum.topLeftCorner(p, p));
    if (llt.info() != Eigen::Success) return out;
    out.beta = llt.solve(sum.topRightCorner(p, 1));
    out.beta_covariance = llt.solve(MatrixXd::Identity(p, p));
    // From the factor, as the plain difference would lose the digits that tell fits apart.
    const VectorXd half = llt.matrixL().solve(sum.topRightCorner(p, 1));
    criterion += sum(p, p) - half.squaredNorm();
    double freely = static_cast<double>(shape_.rows);
    if (options_.likelihood == Likelihood::kRestricted) {
      criterion += 2.0 * llt.matrixLLT().diagonal().array().log().sum();
      freely -= static_cast<double>(p);
    }
    out.criterion = criterion + freely * std::log(2.0 * std::numbers::pi);
    if (!std::isfinite(out.criterion)) out.criterion = std::numeric_limits<double>::infinity();
    return out;
  }

  [[nodiscard]] double criterion(const VectorXd& parameters) const {
    return solve(parameters).criterion;
  }

 private:
  MixedOptions options_;
  Shape shape_;
  std::vector<Prepared> groups_;
};

VectorXd gradient_of(const Model& model, VectorXd at) {
  VectorXd out(at.size());
  for (Index i = 0; i < at.size(); ++i) {
    const double here = at(i);
    at(i) = here + kGradientStep;
    const double up = model.criterion(at);
    at(i) = here - kGradientStep;
    const double down = model.criterion(at);
    at(i) = here;
    out(i) = (up - down) / (2.0 * kGradientStep);
  }
  return out;
}

MatrixXd curvature(const Model& model, const VectorXd& at) {
  const Index n = at.size();
  const double h = kCurvatureStep;
  const auto moved = [&](Index i, double di, Index j, double dj) {
    VectorXd there = at;
    there(i) += di;
    there(j) += dj;
    return model.criterion(there);
  };
  MatrixXd out(n, n);
  for (Index i = 0; i < n; ++i) {
    for (Index j = 0; j <= i; ++j) {
      out(i, j) =
          (moved(i, h, j, h) - moved(i, h, j, -h) - moved(i, -h, j, h) + moved(i, -h, j, -h)) /
          (4.0 * h * h);
      out(j, i) = out(i, j);
    }
  }
  return out;
}

/// Inverse over the directions in which the criterion rises; along the others nothing is known, and
/// nothing hangs on them either (a deviation of zero).
MatrixXd inverse_of_rising(const MatrixXd& matrix) {
  const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(matrix);
  const VectorXd values = eigen.eigenvalues();
  const double least = 1e-6 * std::max(values.maxCoeff(), 1.0);
  const VectorXd inverse = values.unaryExpr([&](double v) { return v > least ? 1.0 / v : 0.0; });
  return eigen.eigenvectors() * inverse.asDiagonal() * eigen.eigenvectors().transpose();
}

/// Deviation of the rows from one common fit: where the search begins.
double plain_residual_sd(const std::vector<MixedGroup>& groups, const Shape& shape) {
  MatrixXd fixed(shape.rows, shape.fixed);
  VectorXd y(shape.rows);
  Index at = 0;
  for (const MixedGroup& g : groups) {
    fixed.middleRows(at, g.y.size()) = g.fixed;
    y.segment(at, g.y.size()) = g.y;
    at += g.y.size();
  }
  const VectorXd beta = fixed.colPivHouseholderQr().solve(y);
  const double rss = (y - fixed * beta).squaredNorm();
  const double scale = kLeastShare * std::sqrt(y.squaredNorm() / static_cast<double>(shape.rows));
  return std::max(std::sqrt(rss / static_cast<double>(shape.rows - shape.fixed)),
                  std::max(scale, std::numeric_limits<double>::min()));
}

/// Goes along `direction` until the criterion has fallen; halves the way until it does. Stays where
/// it is when no way is short enough.
VectorXd moved_down(const Model& model,
                    const VectorXd& from,
                    const VectorXd& gradient,
                    const VectorXd& direction) {
  constexpr double kEnough = 1e-4;  // of the fall that the gradient promises (Armijo's rule)
  const double here = model.criterion(from);
  double way = 1.0;
  for (int i = 0; i < 40; ++i, way *= 0.5) {
    const VectorXd there = from + way * direction;
    if (model.criterion(there) <= here + kEnough * way * gradient.dot(direction)) return there;
  }
  return from;
}

/// Quasi-Newton steps (BFGS: J. Nocedal, S. J. Wright, Numerical Optimization, ch. 6) that learn
/// the curvature on the way; at the end one with the curvature itself.
VectorXd search_from(const Model& model, VectorXd at, bool& converged) {
  constexpr int kMostSteps = 200;
  constexpr double kFlat = 1e-6;
  constexpr double kLongestStep = 1.0;
  MatrixXd inverse = MatrixXd::Identity(at.size(), at.size());
  VectorXd gradient = gradient_of(model, at);
  converged = false;
  for (int i = 0; i < kMostSteps && !converged; ++i) {
    VectorXd direction = -inverse * gradient;
    if (direction.norm() > kLongestStep) direction *= kLongestStep / direction.norm();
    const VectorXd next = moved_down(model, at, gradient, direction);
    const VectorXd step = next - at;
    const VectorXd next_gradient = gradient_of(model, next);
    const VectorXd change = next_gradient - gradient;
    const double along = step.dot(change);
    if (along > 1e-12) {
      const MatrixXd turn =
          MatrixXd::Identity(at.size(), at.size()) - step * change.transpose() / along;
      inverse = turn * inverse * turn.transpose() + step * step.transpose() / along;
    } else {
      inverse.setIdentity();
    }
    at = next;
    gradient = next_gradient;
    converged = gradient.lpNorm<Eigen::Infinity>() < kFlat || step.norm() < 1e-9;
  }
  return at;
}

VectorXd predicted_effects(const MixedGroup& g, const MixedFit& fit, bool with_clusters) {
  if (g.random.cols() == 0) return VectorXd();
  const MatrixXd v = row_covariance(g, fit.parameters, with_clusters);
  return fit.group_covariance * g.random.transpose() * v.llt().solve(g.y - g.fixed * fit.beta);
}

}  // namespace

Deviations deviations_of(const VectorXd& parameters,
                         std::size_t random_columns,
                         bool with_clusters) {
  const auto random = static_cast<Index>(random_columns);
  const double residual_sd = std::exp(parameters(0));
  const Relative relative = relative_of(parameters, random, with_clusters);
  const MatrixXd factor = residual_sd * relative.factor;
  return {.group_covariance = factor * factor.transpose(),
          .cluster_sd = residual_sd * std::abs(relative.cluster),
          .residual_sd = residual_sd};
}

MatrixXd row_covariance(const MixedGroup& group, const VectorXd& parameters, bool with_clusters) {
  const Deviations d =
      deviations_of(parameters, static_cast<std::size_t>(group.random.cols()), with_clusters);
  const Index n = group.y.size();
  MatrixXd out = d.residual_sd * d.residual_sd * MatrixXd::Identity(n, n);
  if (group.known_variance.size() > 0) out.diagonal() += group.known_variance;
  if (group.random.cols() > 0) out += group.random * d.group_covariance * group.random.transpose();
  if (!with_clusters || group.cluster.empty()) return out;
  for (Index i = 0; i < n; ++i) {
    for (Index j = 0; j < n; ++j) {
      if (group.cluster[static_cast<std::size_t>(i)] ==
          group.cluster[static_cast<std::size_t>(j)]) {
        out(i, j) += d.cluster_sd * d.cluster_sd;
      }
    }
  }
  return out;
}

MatrixXd beta_covariance(const std::vector<MixedGroup>& groups,
                         const VectorXd& parameters,
                         const MixedOptions& options) {
  return Model(groups, options).solve(parameters).beta_covariance;
}

MixedFit fit_mixed(const std::vector<MixedGroup>& groups, const MixedOptions& options) {
  const Model model(groups, options);
  const Shape& shape = model.shape();
  VectorXd start = VectorXd::Constant(parameter_count(shape.random, options.with_clusters), 0.5);
  if (shape.random == 2) start(2) = 0.0;
  start(0) = std::log(plain_residual_sd(groups, shape)) - 0.3;

  MixedFit fit;
  fit.parameters = search_from(model, start, fit.converged);
  const MatrixXd rising = inverse_of_rising(curvature(model, fit.parameters));
  fit.parameters -= rising * gradient_of(model, fit.parameters);

  const Solution solution = model.solve(fit.parameters);
  fit.beta = solution.beta;
  fit.beta_covariance = solution.beta_covariance;
  fit.criterion = solution.criterion;
  const Deviations d =
      deviations_of(fit.parameters, static_cast<std::size_t>(shape.random), options.with_clusters);
  fit.group_covariance = d.group_covariance;
  fit.cluster_sd = d.cluster_sd;
  fit.residual_sd = d.residual_sd;
  fit.parameter_covariance = 2.0 * rising;
  for (const MixedGroup& g : groups) {
    fit.effects.push_back(predicted_effects(g, fit, options.with_clusters));
  }
  return fit;
}

}  // namespace kinetics
