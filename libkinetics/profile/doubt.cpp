#include "libkinetics/profile/doubt.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include <Eigen/Cholesky>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

MixedGroup with_wild(MixedGroup group, const std::vector<bool>& wild, double wild_mps) {
  for (std::size_t i = 0; i < wild.size(); ++i) {
    if (wild[i]) group.known_variance(static_cast<Index>(i)) += wild_mps * wild_mps;
  }
  return group;
}

struct Beta {
  VectorXd mean;
  MatrixXd covariance;
};

constexpr std::size_t kNobody = static_cast<std::size_t>(-1);

/// The club's own line from the sets of all lifters but one.
Beta beta_without(const ClubLine& club, std::size_t left_out) {
  const Index columns = club.fit.beta.size();
  MatrixXd precision = MatrixXd::Zero(columns, columns);
  VectorXd sum = VectorXd::Zero(columns);
  for (std::size_t i = 0; i < club.groups.size(); ++i) {
    if (i == left_out) continue;
    const MixedGroup& g = club.groups[i];
    const auto v = row_covariance(g, club.fit.parameters, club.options.with_clusters).llt();
    precision += g.fixed.transpose() * v.solve(g.fixed);
    sum += g.fixed.transpose() * v.solve(g.y);
  }
  const auto solver = precision.ldlt();
  return {.mean = solver.solve(sum),
          .covariance = solver.solve(MatrixXd::Identity(columns, columns))};
}

/// All ways to call two sets or fewer wild.
std::vector<std::vector<bool>> ways(std::size_t sets) {
  std::vector<std::vector<bool>> out{std::vector<bool>(sets, false)};
  for (std::size_t i = 0; i < sets; ++i) {
    for (std::size_t j = i; j < sets; ++j) {
      out.emplace_back(sets, false);
      out.back()[i] = out.back()[j] = true;
    }
  }
  return out;
}

std::vector<Reading> readings_of(const ClubLine& club,
                                 std::size_t at,
                                 const MixedGroup& own,
                                 const DoubtOptions& options) {
  const Beta others = beta_without(club, at);
  const VectorXd off = own.y - own.fixed * others.mean;
  const MatrixXd of_beta = own.fixed * others.covariance * own.fixed.transpose();
  std::vector<Reading> out;
  double most = -std::numeric_limits<double>::infinity();
  for (auto& wild : ways(static_cast<std::size_t>(own.y.size()))) {
    const MixedGroup group = with_wild(own, wild, options.wild_mps);
    const MatrixXd v =
        row_covariance(group, club.fit.parameters, club.options.with_clusters) + of_beta;
    const auto llt = v.llt();
    const auto count = static_cast<double>(std::count(wild.begin(), wild.end(), true));
    const double log_likelihood =
        -0.5 * off.dot(llt.solve(off)) - llt.matrixLLT().diagonal().array().log().sum();
    const double log_prior = count * std::log(options.wild_share / (1.0 - options.wild_share));
    out.push_back({.wild = std::move(wild), .probability = log_likelihood + log_prior});
    most = std::max(most, out.back().probability);
  }
  double sum = 0.0;
  for (Reading& r : out) sum += r.probability = std::exp(r.probability - most);
  for (Reading& r : out) r.probability /= sum;
  return out;
}

std::vector<bool> more_likely_wild(const std::vector<double>& probabilities) {
  std::vector<bool> out;
  out.reserve(probabilities.size());
  for (const double p : probabilities) out.push_back(p > 0.5);
  return out;
}

}  // namespace

ReadClub read_club(const std::vector<LineRows>& lifters,
                   const std::vector<bool>& doubted,
                   const DoubtOptions& options) {
  KINETICS_ASSERT(doubted.size() == lifters.size());
  constexpr int kRounds = 4;  // two are usual
  ReadClub out{.club = club_line(lifters), .readings = {}};
  const std::vector<MixedGroup> plain = out.club.groups;
  std::vector<std::vector<bool>> wild;
  wild.reserve(plain.size());
  for (const MixedGroup& g : plain) wild.emplace_back(static_cast<std::size_t>(g.y.size()), false);
  for (int round = 0; round < kRounds; ++round) {
    out.readings.assign(lifters.size(), {});
    std::vector<std::vector<bool>> now = wild;
    for (std::size_t i = 0; i < lifters.size(); ++i) {
      if (!doubted[i]) continue;
      out.readings[i] = readings_of(out.club, i, plain[i], options);
      now[i] = more_likely_wild(wild_probabilities(out, i, now[i].size()));
    }
    if (now == wild) break;
    wild = std::move(now);
    for (std::size_t i = 0; i < lifters.size(); ++i) {
      out.club.groups[i] = with_wild(plain[i], wild[i], options.wild_mps);
    }
    out.club.fit = fit_mixed(out.club.groups, out.club.options);
  }
  return out;
}

VelocityLine leaning_line(const ReadClub& read,
                          std::size_t at,
                          const LineRows& rows,
                          const DoubtOptions& options) {
  constexpr double kTooSmall = 1e-3;
  if (read.readings[at].empty()) return leaning_line(read.club, at, rows);
  std::vector<std::pair<double, VelocityLine>> lines;
  double sum = 0.0;
  for (const Reading& reading : read.readings[at]) {
    if (reading.probability < kTooSmall) continue;
    LineRows as_read = rows;
    as_read.group = with_wild(rows.group, reading.wild, options.wild_mps);
    ClubLine club = read.club;
    club.groups[at] = as_read.group;
    club.groups[at].random = as_read.group.fixed;
    club.fit.beta = beta_without(club, kNobody).mean;
    lines.emplace_back(reading.probability, leaning_line(club, at, as_read));
    sum += reading.probability;
  }
  const auto of = [](const VelocityLine& line) {
    return Vector3d(line.intercept_mps, line.slope_mps_per_kg, line.bend_mps_per_kg2);
  };
  Vector3d mean = Vector3d::Zero();
  for (const auto& [p, line] : lines) mean += p / sum * of(line);
  VelocityLine out = std::max_element(lines.begin(), lines.end(), [](const auto& a, const auto& b) {
                       return a.first < b.first;
                     })->second;
  out.covariance.setZero();
  for (const auto& [p, line] : lines) {
    const Vector3d off = of(line) - mean;
    out.covariance += p / sum * (line.covariance + off * off.transpose());
  }
  out.intercept_mps = mean(0);
  out.slope_mps_per_kg = mean(1);
  out.bend_mps_per_kg2 = mean(2);
  return out;
}

std::vector<double> wild_probabilities(const ReadClub& read, std::size_t at, std::size_t sets) {
  std::vector<double> out(sets, 0.0);
  for (const Reading& r : read.readings[at]) {
    for (std::size_t i = 0; i < sets; ++i) out[i] += r.wild[i] ? r.probability : 0.0;
  }
  return out;
}

}  // namespace kinetics
