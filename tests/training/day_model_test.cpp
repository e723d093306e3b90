// The mixed model against R: lme4's fit of sleepstudy, which its authors publish, lme4's fit of
// made sessions, and a restricted likelihood written out in R (tests/oracle/day_model.R).
#include "libkinetics/training/day_model.h"

#include <fstream>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/training/reliability.h"

using namespace kinetics;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

nlohmann::json oracle() {
  std::ifstream file(KINETICS_SOURCE_DIR "/tests/oracle/day_model_values.json");
  return nlohmann::json::parse(file);
}

DayData sleepstudy(const nlohmann::json& values) {
  const std::vector<double> days = values["days"];
  const std::vector<double> reaction = values["reaction"];
  const std::vector<int> subject = values["subject"];
  DayData data;
  const auto n = static_cast<Eigen::Index>(days.size());
  data.x = Eigen::MatrixXd::Ones(n, 2);
  data.y.resize(n);
  data.own_variance = Eigen::VectorXd::Zero(n);
  for (std::size_t i = 0; i < days.size(); ++i) {
    data.x(static_cast<Eigen::Index>(i), 1) = days[i];
    data.y[static_cast<Eigen::Index>(i)] = reaction[i];
    data.day.push_back(subject[i] - 1);
  }
  return data;
}

/// Columns as in the R script: eight lifters, the change, the load.
DayData made_sessions(const nlohmann::json& values, bool with_own) {
  const std::vector<int> lifter = values["lifter"];
  const std::vector<int> day = values["day"];
  const std::vector<double> after = values["after"];
  const std::vector<double> load = values["load"];
  const std::vector<double> y = values["y"];
  const std::vector<double> own = values["own"];
  DayData data;
  const auto n = static_cast<Eigen::Index>(y.size());
  data.x = Eigen::MatrixXd::Zero(n, 10);
  data.y.resize(n);
  data.own_variance = Eigen::VectorXd::Zero(n);
  for (std::size_t i = 0; i < y.size(); ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    data.x(row, lifter[i] - 1) = 1.0;
    data.x(row, 8) = after[i];
    data.x(row, 9) = load[i];
    data.y[row] = y[i];
    if (with_own) data.own_variance[row] = own[i];
    data.day.push_back(day[i] - 1);
  }
  return data;
}

void check_fit(const DayFit& fit, const nlohmann::json& expected, double scale) {
  CHECK_THAT(std::sqrt(fit.day_variance),
             WithinAbs(expected["group_sd"].get<double>(), 1e-6 * scale));
  CHECK_THAT(std::sqrt(fit.scatter_variance),
             WithinAbs(expected["scatter_sd"].get<double>(), 1e-6 * scale));
  CHECK_THAT(fit.minus_two_log_reml, WithinAbs(expected["reml"].get<double>(), 1e-8));
  for (std::size_t i = 0; i < expected["beta"].size(); ++i) {
    CAPTURE(i);
    const auto k = static_cast<Eigen::Index>(i);
    CHECK_THAT(fit.beta[k], WithinAbs(expected["beta"][i].get<double>(), 1e-7 * scale));
    CHECK_THAT(std::sqrt(fit.covariance(k, k)),
               WithinAbs(expected["sigma"][i].get<double>(), 1e-6 * scale));
  }
}

}  // namespace

TEST_CASE("sleepstudy is fitted as lme4 does", "[training][oracle]") {
  const nlohmann::json values = oracle()["sleep"];
  const DayFit fit = fit_days(sleepstudy(values));
  // As printed by lme4's authors: 37.12 and 30.99, 251.405 and 10.467, REML criterion 1786.5.
  CHECK_THAT(std::sqrt(fit.day_variance), WithinAbs(37.12, 0.005));
  CHECK_THAT(std::sqrt(fit.scatter_variance), WithinAbs(30.99, 0.005));
  CHECK_THAT(fit.beta[0], WithinAbs(251.405, 0.0005));
  CHECK_THAT(fit.beta[1], WithinAbs(10.467, 0.0005));
  CHECK_THAT(fit.minus_two_log_reml, WithinAbs(1786.5, 0.05));
  check_fit(fit, values, 100.0);
}

TEST_CASE("sessions of lifters on shared days are fitted as lme4 does", "[training][oracle]") {
  const nlohmann::json values = oracle();
  check_fit(fit_days(made_sessions(values["data"], false)), values["made"], 1.0);
}

TEST_CASE("means with errors of their own are weighted as in the written-out likelihood",
          "[training][oracle]") {
  const nlohmann::json values = oracle();
  check_fit(fit_days(made_sessions(values["data"], true)), values["known"], 1.0);
}

TEST_CASE("weights and variances of a combination agree with the coefficients", "[training]") {
  const DayData data = made_sessions(oracle()["data"], true);
  const DayFit fit = fit_days(data);
  Eigen::VectorXd c = Eigen::VectorXd::Zero(10);
  c[8] = 1.0;
  c[0] = -0.5;
  const Eigen::VectorXd a = weights_of(data, fit, c);
  CHECK_THAT(a.dot(data.y), WithinAbs(c.dot(fit.beta), 1e-12));
  CHECK_THAT(variance_of(data, fit, a).sum(), WithinRel(c.dot(fit.covariance * c), 1e-9));
  // What is fitted away has no weight: a lifter's level and the load's effect.
  CHECK_THAT((data.x.transpose() * a - c).norm(), WithinAbs(0.0, 1e-9));
}

TEST_CASE("without scatter the fit is weighted least squares", "[training][oracle]") {
  const nlohmann::json values = oracle();
  DayData data = made_sessions(values["data"], true);
  // Exact velocities of a model leave nothing but the own errors, which then are the only weights.
  Eigen::VectorXd truth(10);
  for (Eigen::Index i = 0; i < 10; ++i) {
    truth[i] = values["weighted"]["beta"][static_cast<std::size_t>(i)];
  }
  data.y = data.x * truth;
  const DayFit fit = fit_days(data);
  CHECK(std::sqrt(fit.scatter_variance) < 1e-6);
  CHECK(std::sqrt(fit.day_variance) < 1e-6);
  for (Eigen::Index i = 0; i < 10; ++i) {
    CHECK_THAT(fit.beta[i], WithinAbs(truth[i], 1e-10));
    const double sigma = values["weighted"]["sigma"][static_cast<std::size_t>(i)];
    CHECK_THAT(std::sqrt(fit.covariance(i, i)), WithinRel(sigma, 1e-6));
  }
}

TEST_CASE("Student's t is that of R", "[training][oracle]") {
  const nlohmann::json values = oracle()["t95"];
  for (std::size_t i = 0; i < values["freedom"].size(); ++i) {
    CHECK_THAT(student_t_95(values["freedom"][i]),
               WithinRel(values["quantile"][i].get<double>(), 1e-12));
  }
  CHECK_THROWS_AS(student_t_95(0.0), Error);
}
