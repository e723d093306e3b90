// Mixed models against lme4, and against its published fit of sleepstudy (D. Bates, M. Mächler, B.
// Bolker, S. Walker, J Stat Softw 2015; 67(1): 251.405 (6.825), 10.467 (1.546), 24.74, 5.92, 0.066,
// 25.59). The stored values are those of Debian's R 4.2.2 and lme4 1.1-31, whose search was told to
// stop late. Tolerances: 1e-6 of the fixed effects, 1e-4 of the deviations, the optimisers' own.
#include "libkinetics/profile/mixed_model.h"

#include <cmath>

#include <catch2/catch.hpp>

#include "tests/oracle/profile_values.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::VectorXd;
using kinetics_test::profile_values;
using kinetics_test::vector_of;

/// Rows into groups, with [1, x] for fixed and random effects.
std::vector<MixedGroup> grouped(const VectorXd& x,
                                const VectorXd& y,
                                const std::vector<int>& group,
                                const std::vector<int>& cluster) {
  const int count = *std::max_element(group.begin(), group.end()) + 1;
  std::vector<MixedGroup> out;
  for (int g = 0; g < count; ++g) {
    const Index n = std::count(group.begin(), group.end(), g);
    MixedGroup one{.y = VectorXd(n),
                   .fixed = Eigen::MatrixXd(n, 2),
                   .random = {},
                   .cluster = {},
                   .known_variance = {}};
    Index at = 0;
    for (std::size_t i = 0; i < group.size(); ++i) {
      if (group[i] != g) continue;
      one.y(at) = y(static_cast<Index>(i));
      one.fixed.row(at++) << 1.0, x(static_cast<Index>(i));
      if (!cluster.empty()) one.cluster.push_back(cluster[i]);
    }
    one.random = one.fixed;
    out.push_back(std::move(one));
  }
  return out;
}

double deviation(const nlohmann::json& fit, const std::string& of, const std::string& term) {
  for (const auto& row : fit.at("deviations")) {
    if (row.at("grp") == of && row.value("var1", "") == term && !row.contains("var2")) {
      return row.at("sdcor");
    }
  }
  FAIL("no such deviation");
  return 0.0;
}

void check_fixed(const MixedFit& fit, const nlohmann::json& lme4) {
  for (Index i = 0; i < 2; ++i) {
    const auto at = static_cast<std::size_t>(i);
    CHECK(fit.beta(i) == Approx(double(lme4.at("beta")[at])).epsilon(1e-6));
    CHECK(std::sqrt(fit.beta_covariance(i, i)) ==
          Approx(double(lme4.at("beta_se")[at])).epsilon(1e-4));
  }
  CHECK(fit.criterion == Approx(double(lme4.at("criterion"))).epsilon(1e-9));
}

std::vector<MixedGroup> sleepstudy() {
  const auto& s = profile_values().at("sleepstudy");
  return grouped(vector_of(s.at("days")),
                 vector_of(s.at("reaction_ms")),
                 s.at("subject").get<std::vector<int>>(),
                 {});
}

TEST_CASE("sleepstudy by REML is as lme4 published it", "[profile][oracle]") {
  const MixedFit fit = fit_mixed(sleepstudy(), {.with_clusters = false});
  REQUIRE(fit.converged);
  // As printed.
  CHECK(fit.beta(0) == Approx(251.405).margin(5e-4));
  CHECK(fit.beta(1) == Approx(10.467).margin(5e-4));
  CHECK(std::sqrt(fit.beta_covariance(0, 0)) == Approx(6.825).margin(5e-4));
  CHECK(std::sqrt(fit.beta_covariance(1, 1)) == Approx(1.546).margin(5e-4));
  const double sd0 = std::sqrt(fit.group_covariance(0, 0));
  const double sd1 = std::sqrt(fit.group_covariance(1, 1));
  CHECK(sd0 == Approx(24.74).margin(5e-3));
  CHECK(sd1 == Approx(5.92).margin(5e-3));
  CHECK(fit.group_covariance(0, 1) / (sd0 * sd1) == Approx(0.066).margin(5e-4));
  CHECK(fit.residual_sd == Approx(25.59).margin(5e-3));
  // Closed form: the design is balanced, so that REML is the analysis of variance.
  CHECK(fit.beta(0) == Approx(251.405105).epsilon(1e-8));
  CHECK(fit.beta(1) == Approx(10.4672860).epsilon(1e-8));
  CHECK(sd0 == Approx(24.7404515).epsilon(1e-5));
  CHECK(sd1 == Approx(5.92213310).epsilon(1e-5));
  CHECK(fit.residual_sd == Approx(25.5918156).epsilon(1e-6));
  CHECK(fit.criterion == Approx(1743.628272).epsilon(1e-9));
  CHECK(fit.effects[0](0) == Approx(2.2585656).epsilon(1e-4));
  CHECK(fit.effects[0](1) == Approx(9.1989719).epsilon(1e-4));
}

TEST_CASE("sleepstudy's effects of every subject are lme4's", "[profile][oracle]") {
  const auto& lme4 = profile_values().at("sleepstudy").at("reml");
  const MixedFit fit = fit_mixed(sleepstudy(), {.with_clusters = false});
  check_fixed(fit, lme4);
  REQUIRE(fit.effects.size() == 18);
  for (std::size_t i = 0; i < fit.effects.size(); ++i) {
    CAPTURE(i);
    for (Index k = 0; k < 2; ++k) {
      const double expected = lme4.at("effects")[i][static_cast<std::size_t>(k)];
      CHECK(fit.effects[i](k) == Approx(expected).epsilon(1e-4).margin(2e-4));
    }
  }
}

TEST_CASE("sleepstudy by maximum likelihood is lme4's", "[profile][oracle]") {
  const auto& lme4 = profile_values().at("sleepstudy").at("ml");
  const MixedFit fit =
      fit_mixed(sleepstudy(), {.likelihood = Likelihood::kFull, .with_clusters = false});
  check_fixed(fit, lme4);
  CHECK(std::sqrt(fit.group_covariance(0, 0)) == Approx(23.7805670).epsilon(1e-4));
  CHECK(std::sqrt(fit.group_covariance(1, 1)) == Approx(5.71683454).epsilon(1e-4));
}

TEST_CASE("what the sets of one lifter's day share is lme4's", "[profile][oracle]") {
  const auto& values = profile_values().at("lifter");
  std::vector<MixedGroup> groups = grouped(vector_of(values.at("load_kg")),
                                           vector_of(values.at("velocity_mps")),
                                           std::vector<int>(values.at("day").size(), 0),
                                           values.at("day").get<std::vector<int>>());
  groups[0].random.resize(groups[0].y.size(), 0);
  const MixedFit fit = fit_mixed(groups);
  check_fixed(fit, values.at("reml"));
  CHECK(fit.cluster_sd == Approx(deviation(values.at("reml"), "day", "(Intercept)")).epsilon(1e-4));
  CHECK(fit.residual_sd == Approx(deviation(values.at("reml"), "Residual", "")).epsilon(1e-4));
}

TEST_CASE("a club whose lifters and days differ is lme4's", "[profile][oracle]") {
  const auto& values = profile_values().at("club");
  const std::vector<MixedGroup> groups = grouped(vector_of(values.at("share")),
                                                 vector_of(values.at("velocity_mps")),
                                                 values.at("lifter").get<std::vector<int>>(),
                                                 values.at("day").get<std::vector<int>>());
  const auto& lme4 = values.at("reml");
  const MixedFit fit = fit_mixed(groups);
  check_fixed(fit, lme4);
  CHECK(std::sqrt(fit.group_covariance(0, 0)) ==
        Approx(deviation(lme4, "lifter", "(Intercept)")).epsilon(1e-3));
  CHECK(std::sqrt(fit.group_covariance(1, 1)) ==
        Approx(deviation(lme4, "lifter", "share")).epsilon(1e-3));
  CHECK(fit.cluster_sd == Approx(deviation(lme4, "lifter:day", "(Intercept)")).epsilon(1e-3));
  CHECK(fit.residual_sd == Approx(deviation(lme4, "Residual", "")).epsilon(1e-3));
  for (std::size_t i = 0; i < groups.size(); ++i) {
    CAPTURE(i);
    const VectorXd line = fit.beta + fit.effects[i];
    CHECK(line(0) == Approx(double(lme4.at("lines")[i][0])).margin(2e-5));
    CHECK(line(1) == Approx(double(lme4.at("lines")[i][1])).margin(4e-5));
  }
}

TEST_CASE("a known variance is taken off the residual's", "[profile]") {
  // Two halves of the same rows: what is known of each row's error is added to the residual's
  // variance, so that knowing all of one row's leaves the rest. All rows alike: the sum is what the
  // plain fit says.
  std::vector<MixedGroup> groups = sleepstudy();
  const MixedFit plain = fit_mixed(groups, {.with_clusters = false});
  for (MixedGroup& g : groups) g.known_variance = VectorXd::Constant(g.y.size(), 100.0);
  const MixedFit known = fit_mixed(groups, {.with_clusters = false});
  CHECK(known.residual_sd * known.residual_sd + 100.0 ==
        Approx(plain.residual_sd * plain.residual_sd).epsilon(1e-5));
  CHECK(known.beta(0) == Approx(plain.beta(0)).epsilon(1e-8));
}

TEST_CASE("the order of rows and groups does not matter", "[profile]") {
  const auto& values = profile_values().at("club");
  std::vector<MixedGroup> groups = grouped(vector_of(values.at("share")),
                                           vector_of(values.at("velocity_mps")),
                                           values.at("lifter").get<std::vector<int>>(),
                                           values.at("day").get<std::vector<int>>());
  const MixedFit one = fit_mixed(groups);
  std::reverse(groups.begin(), groups.end());
  for (MixedGroup& g : groups) {
    g.y.reverseInPlace();
    g.fixed = g.fixed.colwise().reverse().eval();
    g.random = g.random.colwise().reverse().eval();
    std::reverse(g.cluster.begin(), g.cluster.end());
  }
  const MixedFit other = fit_mixed(groups);
  CHECK(one.beta(1) == Approx(other.beta(1)).epsilon(1e-6));
  CHECK(one.criterion == Approx(other.criterion).epsilon(1e-9));
}

}  // namespace
}  // namespace kinetics
