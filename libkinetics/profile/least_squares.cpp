#include "libkinetics/profile/least_squares.h"

#include <algorithm>
#include <cmath>

#include <Eigen/QR>
#include <ceres/ceres.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Residual of one row over its sigma.
class RowCost final : public ceres::CostFunction {
 public:
  RowCost(const CurveModel& model, const CurveRows& rows, Index row, Index parameters)
      : model_(model), rows_(rows), row_(row) {
    set_num_residuals(1);
    mutable_parameter_block_sizes()->push_back(static_cast<int>(parameters));
  }

  bool Evaluate(double const* const* parameters,
                double* residuals,
                double** jacobians) const override {
    const Index count = parameter_block_sizes().front();
    const VectorXd at = Eigen::Map<const VectorXd>(parameters[0], count);
    VectorXd gradient(count);
    const bool wanted = jacobians != nullptr && jacobians[0] != nullptr;
    const double sigma = rows_.sigma.size() > 0 ? rows_.sigma(row_) : 1.0;
    const double value = model_(rows_.x.row(row_), at, wanted ? &gradient : nullptr);
    residuals[0] = (rows_.y(row_) - value) / sigma;
    if (wanted) Eigen::Map<VectorXd>(jacobians[0], count) = -gradient / sigma;
    return std::isfinite(residuals[0]) && (!wanted || gradient.allFinite());
  }

 private:
  const CurveModel& model_;
  const CurveRows& rows_;
  Index row_;
};

struct Linearised {
  MatrixXd jacobian;  // of the curve over sigma
  VectorXd residual;
};

Linearised linearised(const CurveModel& model, const CurveRows& rows, const VectorXd& at) {
  Linearised out{MatrixXd(rows.y.size(), at.size()), VectorXd(rows.y.size())};
  VectorXd gradient(at.size());
  for (Index i = 0; i < rows.y.size(); ++i) {
    const double sigma = rows.sigma.size() > 0 ? rows.sigma(i) : 1.0;
    out.residual(i) = (rows.y(i) - model(rows.x.row(i), at, &gradient)) / sigma;
    out.jacobian.row(i) = gradient.transpose() / sigma;
  }
  return out;
}

/// Columns brought to one length: the digits of an ill-conditioned fit hang on it.
struct ScaledQr {
  VectorXd scale;
  Eigen::ColPivHouseholderQR<MatrixXd> qr;

  explicit ScaledQr(const MatrixXd& jacobian)
      : scale(jacobian.colwise().norm().transpose().unaryExpr(
            [](double s) { return s > 0.0 ? 1.0 / s : 1.0; })) {
    // Eigen counts columns that hardly differ as dependent; the certified problems have such.
    qr.setThreshold(0.0);
    qr.compute(jacobian * scale.asDiagonal());
  }
  [[nodiscard]] VectorXd solve(const VectorXd& b) const { return scale.asDiagonal() * qr.solve(b); }
  [[nodiscard]] MatrixXd inverse_of_square() const {
    const Index n = scale.size();
    const MatrixXd r = qr.matrixR().topLeftCorner(n, n).triangularView<Eigen::Upper>();
    const MatrixXd inverse = r.triangularView<Eigen::Upper>().solve(MatrixXd::Identity(n, n));
    const MatrixXd back = scale.asDiagonal() * (qr.colsPermutation() * inverse);
    return back * back.transpose();
  }
};

/// Undamped steps as long as each is shorter than the one before: the last digits, which a search
/// that only looks at the sum of squares cannot see.
VectorXd polished(const CurveModel& model, const CurveRows& rows, VectorXd at) {
  constexpr int kMostSteps = 60;
  constexpr double kNear = 0.1;  // the first step's length, over parameters of one size
  double last = kNear;
  for (int i = 0; i < kMostSteps; ++i) {
    const Linearised here = linearised(model, rows, at);
    const ScaledQr qr(here.jacobian);
    const VectorXd step = qr.solve(here.residual);
    const double length =
        step.cwiseQuotient(qr.scale).norm() / std::max(at.cwiseQuotient(qr.scale).norm(), 1e-300);
    if (!(length < last)) break;
    at += step;
    last = length;
  }
  return at;
}

}  // namespace

CurveFit fit_curve(const CurveModel& model,
                   const CurveRows& rows,
                   const VectorXd& start,
                   const CurveOptions& options) {
  const Index n = rows.y.size();
  KINETICS_ASSERT(rows.x.rows() == n && (rows.sigma.size() == 0 || rows.sigma.size() == n));
  KINETICS_ASSERT(n >= start.size() && start.size() > 0);
  const bool plain = std::isinf(options.tukey_sigmas);

  CurveFit fit{.parameters = start, .covariance = {}};
  ceres::Problem problem;
  for (Index i = 0; i < n; ++i) {
    ceres::LossFunction* loss = plain ? nullptr : new ceres::TukeyLoss(options.tukey_sigmas);
    problem.AddResidualBlock(
        new RowCost(model, rows, i, start.size()), loss, fit.parameters.data());
  }
  ceres::Solver::Options solver;
  solver.linear_solver_type = ceres::DENSE_QR;
  solver.max_num_iterations = options.most_steps;
  solver.function_tolerance = 1e-16;
  solver.gradient_tolerance = 1e-16;
  solver.parameter_tolerance = 1e-14;
  // Timid first steps: far from the start a curve's sum of squares often falls towards infinity.
  // The radius grows threefold a step.
  solver.initial_trust_region_radius = 0.001;
  solver.max_trust_region_radius = 1e32;
  solver.logging_type = ceres::SILENT;
  ceres::Solver::Summary summary;
  ceres::Solve(solver, &problem, &summary);
  fit.converged = summary.IsSolutionUsable();
  fit.degrees = static_cast<double>(n - start.size());
  if (plain && fit.converged) fit.parameters = polished(model, rows, fit.parameters);

  const Linearised end = linearised(model, rows, fit.parameters);
  fit.rss = end.residual.squaredNorm();
  if (fit.degrees > 0.0) fit.residual_sd = std::sqrt(fit.rss / fit.degrees);
  if (plain) {
    fit.covariance = fit.residual_sd * fit.residual_sd * ScaledQr(end.jacobian).inverse_of_square();
  }
  return fit;
}

CurveModel polynomial() {
  return [](const Eigen::RowVectorXd& x, const VectorXd& c, VectorXd* gradient) {
    double value = 0.0;
    double power = 1.0;
    for (Index i = 0; i < c.size(); ++i) {
      value += c(i) * power;
      if (gradient != nullptr) (*gradient)(i) = power;
      power *= x(0);
    }
    return value;
  };
}

}  // namespace kinetics
