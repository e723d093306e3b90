// Least squares against NIST's Statistical Reference Datasets
// (https://www.itl.nist.gov/div898/strd). tests/data/nist/make_nist.py tells where the copies come
// from and how they were confirmed. Scored as usual in matching digits, -log10 |got / certified -
// 1|, at most 15 for linear and 11 for nonlinear problems, whose certified values have no more.
//
// Digits asked for: double precision has 16, a fit loses about the logarithm of its condition
// number (Filip 1e15 over raw powers, 1e10 once its columns have one length; Longley 5e9; Wampler
// 1e7 with residuals up to 1e5 times the values looked for).
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/profile/least_squares.h"
#include "tests/oracle/profile_values.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::RowVectorXd;
using Eigen::VectorXd;
using kinetics_test::vector_of;

const nlohmann::json& nist() {
  static const nlohmann::json values = [] {
    std::ifstream file(KINETICS_SOURCE_DIR "/tests/data/nist/nist.json");
    return nlohmann::json::parse(file);
  }();
  return values;
}

double digits(double got, double certified, double most) {
  const double off = certified == 0.0 ? std::abs(got) : std::abs(got / certified - 1.0);
  return off == 0.0 ? most : std::clamp(-std::log10(off), 0.0, most);
}

double fewest_digits(const VectorXd& got, const nlohmann::json& certified, double most) {
  double out = most;
  for (std::size_t i = 0; i < certified.size(); ++i) {
    out = std::min(out, digits(got(static_cast<Index>(i)), certified[i], most));
  }
  return out;
}

VectorXd deviations(const CurveFit& fit) {
  return fit.covariance.diagonal().cwiseSqrt();
}

struct Problem {
  CurveModel model;
  CurveRows rows;
  Index parameters = 0;
};

Problem linear_problem(const nlohmann::json& set) {
  Problem out;
  out.rows.y = vector_of(set.at("y"));
  const VectorXd x = vector_of(set.at("x"));
  out.parameters = static_cast<Index>(set.at("beta").size());
  const Index n = out.rows.y.size();
  const std::string terms = set.at("terms");
  if (terms.starts_with("columns")) {
    out.rows.x = Eigen::Map<const Eigen::MatrixXd>(x.data(), n, x.size() / n);
    out.model = [](const RowVectorXd& at, const VectorXd& b, VectorXd* gradient) {
      if (gradient != nullptr) *gradient << 1.0, at.transpose();
      return b(0) + at.dot(b.tail(b.size() - 1));
    };
    return out;
  }
  out.rows.x = x;
  out.model = polynomial();
  if (terms == "through origin") {
    out.model = [](const RowVectorXd& at, const VectorXd& b, VectorXd* gradient) {
      if (gradient != nullptr) (*gradient)(0) = at(0);
      return at(0) * b(0);
    };
  }
  return out;
}

TEST_CASE("NIST's linear problems are solved to the digits attainable", "[profile][oracle]") {
  const auto [name, parameter_digits, sd_digits] = GENERATE(table<std::string, double, double>({
      {"Norris", 11, 12},
      {"Pontius", 11, 12},
      {"NoInt1", 13, 13},
      {"NoInt2", 13, 13},
      {"Longley", 9, 9},
      {"Filip", 6, 6},
      {"Wampler1", 8, 0},
      {"Wampler2", 11, 0},
      {"Wampler3", 8, 11},
      {"Wampler4", 7, 11},
      {"Wampler5", 5, 11},
  }));
  const auto& set = nist().at("linear").at(name);
  const Problem problem = linear_problem(set);
  const CurveFit fit = fit_curve(problem.model, problem.rows, VectorXd::Zero(problem.parameters));
  REQUIRE(fit.converged);
  const double parameters = fewest_digits(fit.parameters, set.at("beta"), 15);
  std::printf("NIST %-9s parameters %4.1f digits", name.c_str(), parameters);
  CAPTURE(name);
  CHECK(parameters >= parameter_digits);
  if (double(set.at("residual_sd")) > 0.0) {
    const double sd = fewest_digits(deviations(fit), set.at("sd"), 15);
    const double residual = digits(fit.residual_sd, set.at("residual_sd"), 15);
    std::printf(", their deviations %4.1f, residual deviation %4.1f", sd, residual);
    CHECK(sd >= sd_digits);
    CHECK(residual >= sd_digits);
  } else {
    CHECK(fit.residual_sd < 1e-7);  // a perfect fit; values go up to 3e6
  }
  std::printf("\n");
}

CurveModel nonlinear_model(const std::string& name) {
  if (name == "Misra1a" || name == "BoxBOD") {
    return [](const RowVectorXd& x, const VectorXd& b, VectorXd* g) {
      const double decay = std::exp(-b(1) * x(0));
      if (g != nullptr) *g << 1.0 - decay, b(0) * x(0) * decay;
      return b(0) * (1.0 - decay);
    };
  }
  if (name == "Eckerle4") {
    return [](const RowVectorXd& x, const VectorXd& b, VectorXd* g) {
      const double z = (x(0) - b(2)) / b(1);
      const double bell = std::exp(-0.5 * z * z) / b(1);
      if (g != nullptr) *g << bell, b(0) * bell * (z * z - 1.0) / b(1), b(0) * bell * z / b(1);
      return b(0) * bell;
    };
  }
  if (name == "Rat43") {
    return [](const RowVectorXd& x, const VectorXd& b, VectorXd* g) {
      const double e = std::exp(b(1) - b(2) * x(0));
      const double power = std::pow(1.0 + e, -1.0 / b(3));
      const double slope = -b(0) * power * e / ((1.0 + e) * b(3));
      if (g != nullptr) {
        *g << power, slope, -slope * x(0), b(0) * power * std::log1p(e) / (b(3) * b(3));
      }
      return b(0) * power;
    };
  }
  if (name == "MGH09") {
    return [](const RowVectorXd& x, const VectorXd& b, VectorXd* g) {
      const double above = x(0) * (x(0) + b(1));
      const double below = x(0) * (x(0) + b(2)) + b(3);
      const double value = b(0) * above / below;
      if (g != nullptr) {
        *g << above / below, b(0) * x(0) / below, -value * x(0) / below, -value / below;
      }
      return value;
    };
  }
  return [](const RowVectorXd& row, const VectorXd& b, VectorXd* g) {
    const double x = row(0);
    const double above = b(0) + x * (b(1) + x * (b(2) + x * b(3)));
    const double below = 1.0 + x * (b(4) + x * (b(5) + x * b(6)));
    const double value = above / below;
    if (g != nullptr) {
      *g << 1.0, x, x * x, x * x * x, -value * x, -value * x * x, -value * x * x * x;
      *g /= below;
    }
    return value;
  };
}

TEST_CASE("NIST's nonlinear problems are solved from both starts", "[profile][oracle]") {
  const auto name =
      GENERATE(as<std::string>(), "Misra1a", "Eckerle4", "BoxBOD", "Rat43", "MGH09", "Thurber");
  const auto start = GENERATE(std::size_t{0}, std::size_t{1});
  const auto& set = nist().at("nonlinear").at(name);
  const CurveRows rows{.x = vector_of(set.at("x")), .y = vector_of(set.at("y")), .sigma = {}};
  const CurveFit fit = fit_curve(nonlinear_model(name), rows, vector_of(set.at("starts")[start]));
  CAPTURE(name, start);
  REQUIRE(fit.converged);
  const double parameters = fewest_digits(fit.parameters, set.at("beta"), 11);
  const double sd = fewest_digits(deviations(fit), set.at("sd"), 11);
  const double rss = digits(fit.rss, set.at("rss"), 11);
  std::printf(
      "NIST %-9s start %zu: parameters %4.1f digits, their deviations %4.1f, squares %4.1f\n",
      name.c_str(),
      start + 1,
      parameters,
      sd,
      rss);
  // The certified values have eleven digits; two are left for rounding.
  CHECK(parameters >= 8.0);
  CHECK(sd >= 7.0);
  CHECK(rss >= 9.0);
}

}  // namespace
}  // namespace kinetics
