#include "libkinetics/profile/robust_line.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/profile/least_squares.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::VectorXd;

constexpr double kTukey = 4.685;
constexpr double kDeviationsPerMedian = 1.48260222;  // of the absolute residual, normal errors
constexpr std::size_t kFewestPoints = 5;
constexpr std::size_t kFewestLoads = 3;
constexpr int kRounds = 5;

VectorXd residuals(const VectorXd& x, const VectorXd& y, double intercept, double slope) {
  return y - (intercept + slope * x.array()).matrix();
}

/// Residuals of few points lie nearer to their line than the errors do.
double scale_of(const VectorXd& residual) {
  std::vector<double> sizes(residual.data(), residual.data() + residual.size());
  for (double& s : sizes) s = std::abs(s);
  const auto n = static_cast<double>(sizes.size());
  return kDeviationsPerMedian * std::sqrt(n / std::max(n - 2.0, 1.0)) *
         even_median_of(std::move(sizes));
}

VectorXd total_sigma(const VectorXd& known, double scale, Index n) {
  if (known.size() == 0) return VectorXd::Constant(n, scale);
  return (known.array().square() + scale * scale).sqrt();
}

}  // namespace

TheilSenLine theil_sen(const VectorXd& x, const VectorXd& y) {
  KINETICS_ASSERT(x.size() == y.size());
  std::vector<double> slopes;
  for (Index i = 0; i < x.size(); ++i) {
    for (Index j = 0; j < i; ++j) {
      if (x(i) != x(j)) slopes.push_back((y(i) - y(j)) / (x(i) - x(j)));
    }
  }
  KINETICS_ASSERT(!slopes.empty());
  TheilSenLine out;
  out.slope = even_median_of(std::move(slopes));
  const auto list = [](const VectorXd& v) {
    return std::vector<double>(v.data(), v.data() + v.size());
  };
  out.intercept_of_medians = even_median_of(list(y)) - out.slope * even_median_of(list(x));
  out.intercept_of_residuals = even_median_of(list(residuals(x, y, 0.0, out.slope)));
  return out;
}

bool can_tell_outliers(const VectorXd& x) {
  const std::set<double> different(x.data(), x.data() + x.size());
  return static_cast<std::size_t>(x.size()) >= kFewestPoints && different.size() >= kFewestLoads;
}

RobustLine robust_line(const VectorXd& x,
                       const VectorXd& y,
                       const VectorXd& sigma,
                       const OutlierOptions& options) {
  const auto n = static_cast<std::size_t>(x.size());
  const TheilSenLine start = theil_sen(x, y);
  RobustLine out{.intercept = start.intercept_of_residuals,
                 .slope = start.slope,
                 .outlier = std::vector<bool>(n, false)};
  const auto rescale = [&] {
    const double seen = scale_of(residuals(x, y, out.intercept, out.slope));
    out.scale = std::max(seen, options.least_scale);
  };
  rescale();
  for (int i = 0; i < kRounds && out.scale > 0.0; ++i) {
    const CurveFit fit =
        fit_curve(polynomial(),
                  {.x = x, .y = y, .sigma = total_sigma(sigma, out.scale, x.size())},
                  Eigen::Vector2d(out.intercept, out.slope),
                  {.tukey_sigmas = kTukey, .most_steps = 50});
    if (!fit.converged) break;
    out.intercept = fit.parameters(0);
    out.slope = fit.parameters(1);
    rescale();
  }
  if (!can_tell_outliers(x) || !(options.deviations > 0.0)) return out;
  const VectorXd off = residuals(x, y, out.intercept, out.slope);
  const VectorXd allowed = options.deviations * total_sigma(sigma, out.scale, x.size());
  for (std::size_t i = 0; i < n; ++i) {
    const auto at = static_cast<Index>(i);
    out.outlier[i] = std::abs(off(at)) > allowed(at);
  }
  return out;
}

}  // namespace kinetics
