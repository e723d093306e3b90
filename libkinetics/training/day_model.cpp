#include "libkinetics/training/day_model.h"

#include <algorithm>
#include <utility>

#include <Eigen/Cholesky>
#include <Eigen/QR>

#include "libkinetics/core/error.h"
#include "libkinetics/profile/mixed_model.h"

namespace kinetics {

DayFit fit_days(const DayData& data) {
  const Eigen::Index rows = data.x.rows();
  KINETICS_ASSERT(rows > data.x.cols() && data.x.cols() > 0);
  KINETICS_ASSERT(data.y.size() == rows && data.own_variance.size() == rows);
  KINETICS_ASSERT(static_cast<Eigen::Index>(data.day.size()) == rows);
  KINETICS_ASSERT(data.x.colPivHouseholderQr().rank() == data.x.cols());
  const MixedGroup group{.y = data.y,
                         .fixed = data.x,
                         .random = Eigen::MatrixXd(rows, 0),
                         .cluster = data.day,
                         .known_variance = data.own_variance};
  const MixedFit fit = fit_mixed({group});
  DayFit out{.beta = fit.beta,
             .covariance = fit.beta_covariance,
             .scatter_variance = fit.residual_sd * fit.residual_sd,
             .day_variance = fit.cluster_sd * fit.cluster_sd,
             .minus_two_log_reml = fit.criterion,
             .inverse = {}};
  const Eigen::MatrixXd v = row_covariance(group, fit.parameters, true);
  out.inverse = v.llt().solve(Eigen::MatrixXd::Identity(rows, rows));
  return out;
}

Eigen::VectorXd weights_of(const DayData& data, const DayFit& fit, const Eigen::VectorXd& c) {
  return fit.inverse * (data.x * (fit.covariance * c));
}

VarianceParts variance_of(const DayData& data, const DayFit& fit, const Eigen::VectorXd& a) {
  Eigen::VectorXd sums =
      Eigen::VectorXd::Zero(1 + *std::max_element(data.day.begin(), data.day.end()));
  VarianceParts out;
  for (Eigen::Index i = 0; i < a.size(); ++i) {
    out.own += a[i] * a[i] * data.own_variance[i];
    out.scatter += a[i] * a[i] * fit.scatter_variance;
    sums[data.day[static_cast<std::size_t>(i)]] += a[i];
  }
  out.day = fit.day_variance * sums.squaredNorm();
  return out;
}

}  // namespace kinetics
