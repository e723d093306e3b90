#include "libkinetics/profile/estimate_line.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <Eigen/QR>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/student.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::Matrix2d;
using Eigen::MatrixXd;
using Eigen::Vector2d;
using Eigen::VectorXd;

constexpr double kStep = 1e-4;  // of a parameter, for differences
constexpr int kDaysToTell = 3;

/// The line as a sum over rows, line = weights · y + constant, and its error's covariance.
struct Estimate {
  MatrixXd weights;   // a row a coefficient, a column a row
  VectorXd constant;  // of the coefficients
  MatrixXd covariance;
  double set_variance = 0.0;  // of one more set about the line
};

/// W^½ V⁻¹ W^½
MatrixXd tempered_inverse(const MatrixXd& v, const VectorXd& recency) {
  const VectorXd root = recency.array().sqrt();
  const Index n = v.rows();
  return root.asDiagonal() * v.llt().solve(MatrixXd::Identity(n, n)) * root.asDiagonal();
}

Estimate own_estimate(const LineRows& rows, const VectorXd& parameters, bool with_days) {
  const MatrixXd v = row_covariance(rows.group, parameters, with_days);
  const MatrixXd& x = rows.group.fixed;
  const MatrixXd inner = tempered_inverse(v, rows.recency);
  Estimate out;
  out.weights = (x.transpose() * inner * x).llt().solve(x.transpose() * inner);
  out.covariance = out.weights * v * out.weights.transpose();
  out.constant = VectorXd::Zero(x.cols());
  const Deviations d = deviations_of(parameters, 0, with_days);
  out.set_variance = d.residual_sd * d.residual_sd + d.cluster_sd * d.cluster_sd;
  return out;
}

Estimate leaning_estimate(const ClubLine& club,
                          std::size_t at,
                          const LineRows& rows,
                          const VectorXd& parameters) {
  const bool with_days = club.options.with_clusters;
  const MixedGroup& g = rows.group;
  MixedGroup without_effect = g;
  without_effect.random.resize(g.y.size(), 0);
  // Parameters of the group covariance stand between the residual's and the cluster's.
  VectorXd errors_only(with_days ? 2 : 1);
  errors_only(0) = parameters(0);
  if (with_days) errors_only(1) = parameters(parameters.size() - 1);
  const MatrixXd errors = row_covariance(without_effect, errors_only, with_days);
  const Deviations d = deviations_of(parameters, 2, with_days);
  const MatrixXd& gamma = d.group_covariance;
  const MatrixXd& z = g.random;
  const MatrixXd v = errors + z * gamma * z.transpose();
  const MatrixXd c = beta_covariance(club.groups, parameters, club.options);
  const MatrixXd k =
      c * g.fixed.transpose() * v.llt().solve(MatrixXd::Identity(v.rows(), v.cols()));

  // b = (Z' E Z + Γ⁻¹)⁻¹ Z' E (y - X beta), written so that Γ may be singular.
  const MatrixXd inner = tempered_inverse(errors, rows.recency);
  const MatrixXd s = z.transpose() * inner * z;
  const MatrixXd m = gamma * (Matrix2d::Identity() + s * gamma).inverse() * z.transpose() * inner;
  const MatrixXd p = Matrix2d::Identity() - m * g.fixed;
  const MatrixXd q = p * k + m;

  Estimate out;
  out.weights = q;
  // What the other lifters say: beta without this lifter's part of it.
  out.constant = p * (club.fit.beta - k * g.y);
  const MatrixXd others = c - k * v * k.transpose();
  const MatrixXd cross = q * z * gamma;
  out.covariance =
      p * others * p.transpose() + q * v * q.transpose() - cross - cross.transpose() + gamma;
  out.set_variance = d.residual_sd * d.residual_sd + d.cluster_sd * d.cluster_sd;
  KINETICS_ASSERT(at < club.groups.size());
  return out;
}

struct Degrees {
  double line = std::numeric_limits<double>::infinity();
  double set = std::numeric_limits<double>::infinity();
};

/// The ends and the middle of the loads.
std::vector<VectorXd> usual_contrasts(const LineRows& rows) {
  const VectorXd x = rows.group.fixed.col(1);
  std::vector<VectorXd> out;
  for (const double at : {x.minCoeff(), x.mean(), x.maxCoeff()}) {
    VectorXd contrast(rows.group.fixed.cols());
    for (Index i = 0; i < contrast.size(); ++i) contrast(i) = std::pow(at, static_cast<double>(i));
    out.push_back(contrast);
  }
  return out;
}

/// Adds what not knowing the deviations costs, and finds the degrees of freedom. The smallest over
/// the contrasts counts.
template <typename EstimateAt>
Degrees with_unknown_deviations(Estimate& estimate,
                                const std::vector<VectorXd>& contrasts,
                                const MatrixXd& row_cov,
                                const VectorXd& parameters,
                                const MatrixXd& parameter_covariance,
                                EstimateAt estimate_at) {
  const Index count = parameters.size();
  std::vector<MatrixXd> weight_slope;
  std::vector<MatrixXd> covariance_slope;
  VectorXd set_slope(count);
  for (Index i = 0; i < count; ++i) {
    VectorXd there = parameters;
    there(i) += kStep;
    const Estimate up = estimate_at(there);
    there(i) -= 2.0 * kStep;
    const Estimate down = estimate_at(there);
    weight_slope.push_back((up.weights - down.weights) / (2.0 * kStep));
    covariance_slope.push_back((up.covariance - down.covariance) / (2.0 * kStep));
    set_slope(i) = (up.set_variance - down.set_variance) / (2.0 * kStep);
  }
  const MatrixXd plain = estimate.covariance;
  for (Index i = 0; i < count; ++i) {
    for (Index j = 0; j < count; ++j) {
      // Twice: once for the weights' own error, once for the bias of the plain covariance.
      estimate.covariance += 2.0 * parameter_covariance(i, j) *
                             weight_slope[static_cast<std::size_t>(i)] * row_cov *
                             weight_slope[static_cast<std::size_t>(j)].transpose();
    }
  }
  estimate.covariance = 0.5 * (estimate.covariance + estimate.covariance.transpose()).eval();

  Degrees out;
  const auto satterthwaite = [&](double variance, const VectorXd& slope) {
    const double spread = slope.dot(parameter_covariance * slope);
    if (!(spread > 0.0)) return std::numeric_limits<double>::infinity();
    return 2.0 * variance * variance / spread;
  };
  for (const VectorXd& contrast : contrasts) {
    VectorXd slope(count);
    for (Index i = 0; i < count; ++i) {
      slope(i) = contrast.dot(covariance_slope[static_cast<std::size_t>(i)] * contrast);
    }
    const double variance = contrast.dot(plain * contrast);
    out.line = std::min(out.line, satterthwaite(variance, slope));
    out.set = std::min(out.set, satterthwaite(variance + estimate.set_variance, slope + set_slope));
  }
  return out;
}

VelocityLine in_kilograms(const Estimate& e, const VectorXd& line, const LineRows& rows) {
  // velocity = a + b u + c u², u = load / unit - origin
  const double o = rows.origin;
  const double per_kg = 1.0 / rows.load_unit_kg;
  Eigen::Matrix3d to_kg;
  to_kg << 1.0, -o, o * o, 0.0, per_kg, -2.0 * o * per_kg, 0.0, 0.0, per_kg * per_kg;
  const MatrixXd used = to_kg.leftCols(line.size());
  const Eigen::Vector3d in_kg = used * line;
  VelocityLine out;
  out.intercept_mps = in_kg(0);
  out.slope_mps_per_kg = in_kg(1);
  out.bend_mps_per_kg2 = in_kg(2);
  out.covariance = used * e.covariance * used.transpose();
  out.lightest_kg = rows.lightest_kg;
  out.heaviest_kg = rows.heaviest_kg;
  return out;
}

bool days_can_be_told(const LineRows& rows) {
  return rows.days >= kDaysToTell && rows.days_repeat;
}

/// The rows with one more column.
LineRows with_column(const LineRows& rows, const VectorXd& column) {
  LineRows out = rows;
  out.group.fixed.conservativeResize(Eigen::NoChange, rows.group.fixed.cols() + 1);
  out.group.fixed.rightCols(1) = column;
  return out;
}

LineRows bent_rows(const LineRows& rows) {
  return with_column(rows, rows.group.fixed.col(1).array().square());
}

struct OwnFit {
  MixedFit fit;
  Estimate estimate;
  Degrees degrees;
};

OwnFit fit_alone(const LineRows& rows, const std::vector<VectorXd>& contrasts) {
  const bool with_days = days_can_be_told(rows);
  OwnFit out{
      .fit = fit_mixed({rows.group}, {.with_clusters = with_days}), .estimate = {}, .degrees = {}};
  const auto estimate_at = [&](const VectorXd& parameters) {
    return own_estimate(rows, parameters, with_days);
  };
  out.estimate = estimate_at(out.fit.parameters);
  out.degrees = with_unknown_deviations(out.estimate,
                                        contrasts,
                                        row_covariance(rows.group, out.fit.parameters, with_days),
                                        out.fit.parameters,
                                        out.fit.parameter_covariance,
                                        estimate_at);
  // Few rows can look as if they had no scatter of their own; they are few all the same.
  const auto most = static_cast<double>(rows.group.y.size() - rows.group.fixed.cols());
  out.degrees.line = std::clamp(out.degrees.line, 1.0, most);
  out.degrees.set = std::clamp(out.degrees.set, 1.0, most);
  return out;
}

}  // namespace

LineRows line_rows(const std::vector<ProfilePoint>& points,
                   double load_unit_kg,
                   double origin,
                   double slope_mps_per_kg) {
  std::vector<const ProfilePoint*> kept;
  for (const ProfilePoint& p : points) {
    if (!p.set_aside) kept.push_back(&p);
  }
  const auto n = static_cast<Index>(kept.size());
  LineRows out;
  out.load_unit_kg = load_unit_kg;
  out.origin = origin;
  out.group.y.resize(n);
  out.group.fixed.resize(n, 2);
  out.group.random.resize(n, 0);
  out.group.known_variance.resize(n);
  out.recency.resize(n);
  out.age_days.resize(n);
  std::map<std::string, int> days;
  out.lightest_kg = std::numeric_limits<double>::infinity();
  for (Index i = 0; i < n; ++i) {
    const ProfilePoint& p = *kept[static_cast<std::size_t>(i)];
    out.group.y(i) = p.velocity_mps;
    out.group.fixed.row(i) << 1.0, p.load_kg / load_unit_kg - origin;
    const double from_load = slope_mps_per_kg * p.load_sigma_kg;
    out.group.known_variance(i) =
        p.velocity_sigma_mps * p.velocity_sigma_mps + from_load * from_load;
    out.recency(i) = p.recency;
    out.age_days(i) = p.age_days;
    const auto [day, fresh] = days.emplace(p.day, static_cast<int>(days.size()));
    out.days_repeat = out.days_repeat || !fresh;
    out.group.cluster.push_back(day->second);
    out.lightest_kg = std::min(out.lightest_kg, p.load_kg);
    out.heaviest_kg = std::max(out.heaviest_kg, p.load_kg);
  }
  out.days = static_cast<int>(days.size());
  return out;
}

VelocityLine own_line(const LineRows& straight, double assumed_scatter_mps, bool bent) {
  const LineRows rows = bent ? bent_rows(straight) : straight;
  const Index n = rows.group.y.size();
  KINETICS_ASSERT(n >= 2 && (!bent || n > 3));
  if (n == 2) {
    const VectorXd assumed = VectorXd::Constant(1, std::log(assumed_scatter_mps));
    const Estimate e = own_estimate(rows, assumed, false);
    VelocityLine out = in_kilograms(e, e.weights * rows.group.y, rows);
    out.scatter_mps = assumed_scatter_mps;
    out.degrees = std::numeric_limits<double>::infinity();
    out.set_degrees = out.degrees;
    return out;
  }
  const OwnFit own = fit_alone(rows, usual_contrasts(rows));
  VelocityLine out = in_kilograms(own.estimate, own.estimate.weights * rows.group.y, rows);
  out.scatter_mps = own.fit.residual_sd;
  out.day_scatter_mps = own.fit.cluster_sd;
  out.degrees = own.degrees.line;
  out.set_degrees = own.degrees.set;
  return out;
}

std::optional<LineDrift> line_drift(const LineRows& rows, double least_weeks) {
  constexpr double kDaysAWeek = 7.0;
  const double weeks = (rows.age_days.maxCoeff() - rows.age_days.minCoeff()) / kDaysAWeek;
  if (rows.days < kDaysToTell || weeks < least_weeks || rows.group.y.size() < 5) {
    return std::nullopt;
  }
  LineRows timed = with_column(rows, -rows.age_days / kDaysAWeek);
  timed.recency.setOnes();
  // Loads that rose with the days alone cannot be told from the days.
  const Eigen::ColPivHouseholderQR<MatrixXd> qr(timed.group.fixed);
  if (qr.rank() < 3) return std::nullopt;
  const VectorXd contrast = Eigen::Vector3d(0.0, 0.0, 1.0);
  const OwnFit own = fit_alone(timed, {contrast});
  const VectorXd line = own.estimate.weights * timed.group.y;
  // The drift is told from day to day: two days fix it, and the rest tell how sure it is.
  const double degrees =
      std::min(own.degrees.line, std::max(1.0, static_cast<double>(rows.days) - 2.0));
  const double half = student95(degrees) * std::sqrt(std::max(0.0, own.estimate.covariance(2, 2)));
  return LineDrift{.mps_per_week = line(2),
                   .interval = {line(2) - half, line(2) + half},
                   .weeks = weeks,
                   .days = rows.days};
}

double aicc(const LineRows& straight, bool bent) {
  const LineRows rows = bent ? bent_rows(straight) : straight;
  const bool with_days = days_can_be_told(rows);
  const MixedFit fit =
      fit_mixed({rows.group}, {.likelihood = Likelihood::kFull, .with_clusters = with_days});
  const auto n = static_cast<double>(rows.group.y.size());
  const double k = static_cast<double>(rows.group.fixed.cols()) + (with_days ? 2.0 : 1.0);
  if (n - k - 1.0 <= 0.0) return std::numeric_limits<double>::infinity();
  return fit.criterion + 2.0 * k + 2.0 * k * (k + 1.0) / (n - k - 1.0);
}

ClubLine club_line(const std::vector<LineRows>& lifters) {
  ClubLine out;
  bool days_repeat = false;
  int days = 0;
  for (const LineRows& rows : lifters) {
    out.groups.push_back(rows.group);
    out.groups.back().random = rows.group.fixed;
    days_repeat = days_repeat || rows.days_repeat;
    days += rows.days;
  }
  out.options.with_clusters = days_repeat && days > static_cast<int>(lifters.size()) + 2;
  out.fit = fit_mixed(out.groups, out.options);
  return out;
}

VelocityLine leaning_line(const ClubLine& club, std::size_t at, const LineRows& rows) {
  LineRows with_effect = rows;
  with_effect.group.random = rows.group.fixed;
  const auto estimate_at = [&](const VectorXd& parameters) {
    return leaning_estimate(club, at, with_effect, parameters);
  };
  Estimate e = estimate_at(club.fit.parameters);
  const Degrees degrees = with_unknown_deviations(
      e,
      usual_contrasts(with_effect),
      row_covariance(with_effect.group, club.fit.parameters, club.options.with_clusters),
      club.fit.parameters,
      club.fit.parameter_covariance,
      estimate_at);
  VelocityLine out = in_kilograms(e, e.weights * rows.group.y + e.constant, rows);
  out.scatter_mps = club.fit.residual_sd;
  out.day_scatter_mps = club.fit.cluster_sd;
  out.degrees = std::max(degrees.line, 1.0);
  out.set_degrees = std::max(degrees.set, 1.0);
  return out;
}

}  // namespace kinetics
