#include "libkinetics/kinematics/white_jerk.h"

#include <cmath>
#include <cstddef>

#include <Eigen/LU>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

// Only has to be wide against a gym, and narrow enough not to cost digits.
constexpr double kFirstHeightVariance_m2 = 4.0;

JerkCovariance first_covariance(const FirstState& first) {
  return {.hh = kFirstHeightVariance_m2,
          .vv = first.velocity_variance_m2ps2,
          .aa = first.accel_variance_m2ps4};
}

struct Predicted {
  JerkState state;
  JerkCovariance cov;
};

void advance(Predicted& p, double dt, double jerk_psd) {
  const double half = 0.5 * dt * dt;
  p.state = JerkState(
      p.state[0] + dt * p.state[1] + half * p.state[2], p.state[1] + dt * p.state[2], p.state[2]);
  const JerkCovariance c = p.cov;
  const JerkCovariance noise = jerk_noise(dt);
  const double row_h = c.hh + dt * c.hv + half * c.ha;
  const double row_v = c.hv + dt * c.vv + half * c.va;
  const double row_a = c.ha + dt * c.va + half * c.aa;
  const double va = c.va + dt * c.aa;
  p.cov.hh = row_h + dt * row_v + half * row_a + jerk_psd * noise.hh;
  p.cov.hv = row_v + dt * row_a + jerk_psd * noise.hv;
  p.cov.ha = row_a + jerk_psd * noise.ha;
  p.cov.vv = c.vv + dt * c.va + dt * va + jerk_psd * noise.vv;
  p.cov.va = va + jerk_psd * noise.va;
  p.cov.aa = c.aa + jerk_psd * noise.aa;
}

void update(Predicted& p, double innovation, double total_variance) {
  const JerkCovariance c = p.cov;
  const double kh = c.hh / total_variance;
  const double kv = c.hv / total_variance;
  const double ka = c.ha / total_variance;
  p.state += JerkState(kh, kv, ka) * innovation;
  p.cov.hh -= kh * c.hh;
  p.cov.hv -= kh * c.hv;
  p.cov.ha -= kh * c.ha;
  p.cov.vv -= kv * c.hv;
  p.cov.va -= kv * c.ha;
  p.cov.aa -= ka * c.ha;
}

// The sightings that fix height, velocity and acceleration say nothing about the noise.
constexpr std::size_t kFixing = 3;

template <typename Visit>
void filter(const std::vector<HeightSighting>& sightings,
            double jerk_psd,
            bool backwards,
            Visit visit) {
  const std::size_t n = sightings.size();
  if (n == 0) return;
  std::size_t seen = 0;
  Predicted p{JerkState::Zero(), first_covariance({})};
  for (std::size_t step = 0; step < n; ++step) {
    const std::size_t i = backwards ? n - 1 - step : step;
    const HeightSighting& s = sightings[i];
    if (step > 0) {
      const HeightSighting& before = sightings[backwards ? i + 1 : i - 1];
      advance(p, std::abs(s.t_s - before.t_s), jerk_psd);
    }
    if (!s.seen) continue;
    if (seen == 0) p.state[0] = s.height_m;
    const double innovation = s.height_m - p.state[0];
    const double total = p.cov.hh + s.variance_m2;
    if (seen >= kFixing) visit(i, innovation, total);
    update(p, innovation, total);
    ++seen;
  }
}

}  // namespace

JerkCovariance jerk_noise(double dt_s) {
  const double d2 = dt_s * dt_s;
  const double d3 = d2 * dt_s;
  return {.hh = d3 * d2 / 20.0,
          .hv = d2 * d2 / 8.0,
          .ha = d3 / 6.0,
          .vv = d3 / 3.0,
          .va = d2 / 2.0,
          .aa = dt_s};
}

Eigen::Matrix3d jerk_transition(double dt_s) {
  Eigen::Matrix3d f = Eigen::Matrix3d::Identity();
  f(0, 1) = dt_s;
  f(0, 2) = 0.5 * dt_s * dt_s;
  f(1, 2) = dt_s;
  return f;
}

Eigen::Matrix3d full(const JerkCovariance& c) {
  Eigen::Matrix3d m;
  m << c.hh, c.hv, c.ha, c.hv, c.vv, c.va, c.ha, c.va, c.aa;
  return m;
}

std::vector<float> log_densities(const std::vector<HeightSighting>& sightings,
                                 double jerk_psd_m2ps5,
                                 bool backwards) {
  std::vector<float> out(sightings.size(), 0.0F);
  filter(sightings, jerk_psd_m2ps5, backwards, [&](std::size_t i, double innovation, double total) {
    out[i] = static_cast<float>(-0.5 * (innovation * innovation / total + std::log(total)));
  });
  return out;
}

FitQuality fit_quality(const std::vector<HeightSighting>& sightings, double jerk_psd_m2ps5) {
  FitQuality fit;
  filter(sightings, jerk_psd_m2ps5, false, [&](std::size_t, double innovation, double total) {
    fit.mean_square += innovation * innovation / total;
    fit.sum_log_variance += std::log(total);
    ++fit.count;
  });
  if (fit.count > 0) fit.mean_square /= static_cast<double>(fit.count);
  return fit;
}

SmoothedHeights smooth_heights(const std::vector<HeightSighting>& sightings,
                               const std::vector<double>& jerk_psd_m2ps5,
                               const FirstState& first_state) {
  const std::size_t n = sightings.size();
  SmoothedHeights out;
  if (n == 0) return out;
  KINETICS_ASSERT(jerk_psd_m2ps5.size() + 1 >= n);
  out.innovations.assign(n, 0.0);

  // Forwards: predictions before each sighting, and how it surprised them.
  std::vector<Predicted> before(n);
  std::vector<double> innovation(n, 0.0);
  std::vector<double> total(n, 1.0);
  Predicted p{JerkState::Zero(), first_covariance(first_state)};
  bool first = true;
  for (std::size_t i = 0; i < n; ++i) {
    const HeightSighting& s = sightings[i];
    if (i > 0) advance(p, s.t_s - sightings[i - 1].t_s, jerk_psd_m2ps5[i - 1]);
    if (s.seen && first) p.state[0] = s.height_m;
    before[i] = p;
    if (!s.seen) continue;
    innovation[i] = s.height_m - p.state[0];
    total[i] = p.cov.hh + s.variance_m2;
    if (!first) {
      out.log_likelihood -= 0.5 * (innovation[i] * innovation[i] / total[i] + std::log(total[i]));
    }
    first = false;
    out.innovations[i] = innovation[i] / std::sqrt(total[i]);
    update(p, innovation[i], total[i]);
  }

  // Backwards: r and N gather what the later sightings say about the prediction at i.
  out.states.resize(n);
  out.covariances.resize(n);
  out.to_next.resize(n - 1);
  Eigen::Vector3d r = Eigen::Vector3d::Zero();
  Eigen::Matrix3d information = Eigen::Matrix3d::Zero();
  for (std::size_t i = n; i-- > 0;) {
    const Eigen::Matrix3d cov = full(before[i].cov);
    Eigen::Matrix3d keep = Eigen::Matrix3d::Identity();
    if (sightings[i].seen) keep.col(0) -= cov.col(0) / total[i];
    if (i + 1 < n) {
      const Eigen::Matrix3d l = jerk_transition(sightings[i + 1].t_s - sightings[i].t_s) * keep;
      const Eigen::Matrix3d next = full(before[i + 1].cov);
      out.to_next[i] = cov * l.transpose() * (Eigen::Matrix3d::Identity() - information * next);
      r = (l.transpose() * r).eval();
      information = (l.transpose() * information * l).eval();
    }
    if (sightings[i].seen) {
      r[0] += innovation[i] / total[i];
      information(0, 0) += 1.0 / total[i];
    }
    out.states[i] = before[i].state + cov * r;
    const Eigen::Matrix3d v = cov - cov * information * cov;
    out.covariances[i] = {v(0, 0), v(0, 1), v(0, 2), v(1, 1), v(1, 2), v(2, 2)};
  }
  return out;
}

BridgedState bridge(const JerkState& from,
                    const JerkState& to,
                    const JerkCovariance& from_covariance,
                    const JerkCovariance& to_covariance,
                    const Eigen::Matrix3d& from_to,
                    double dt_s,
                    double fraction,
                    double jerk_psd_m2ps5) {
  // So near a neighbour that the terms below would cancel, nothing has time to happen.
  constexpr double kBeside = 1e-3;
  if (fraction < kBeside) {
    return {jerk_transition(fraction * dt_s) * from, full(from_covariance)};
  }
  if (fraction > 1.0 - kBeside) {
    return {jerk_transition((fraction - 1.0) * dt_s) * to, full(to_covariance)};
  }
  // In units of dt the noise covariance is one fixed matrix, so nothing is ill-conditioned.
  const Eigen::Vector3d unit(1.0, 1.0 / dt_s, 1.0 / (dt_s * dt_s));
  const double a = fraction;
  const double b = 1.0 - fraction;
  const auto scaled_inverse_noise = [](double d) {
    Eigen::Matrix3d m;
    m << 720.0, -360.0, 60.0, -360.0, 192.0, -36.0, 60.0, -36.0, 9.0;
    const Eigen::Vector3d s(1.0 / (d * d), 1.0 / d, 1.0);
    return Eigen::Matrix3d(s.asDiagonal() * m * s.asDiagonal() / d);
  };
  const Eigen::Matrix3d from_noise = scaled_inverse_noise(a);
  const Eigen::Matrix3d to_noise = scaled_inverse_noise(b);
  const Eigen::Matrix3d fb = jerk_transition(b);
  const Eigen::Matrix3d cov = (from_noise + fb.transpose() * to_noise * fb).inverse();
  const Eigen::Matrix3d from_gain = cov * from_noise * jerk_transition(a);
  const Eigen::Matrix3d to_gain = cov * fb.transpose() * to_noise;
  const Eigen::Matrix3d ga = unit.asDiagonal() * from_gain * unit.cwiseInverse().asDiagonal();
  const Eigen::Matrix3d gb = unit.asDiagonal() * to_gain * unit.cwiseInverse().asDiagonal();
  const double d5 = std::pow(dt_s, 5);
  const Eigen::Matrix3d noise = jerk_psd_m2ps5 * d5 * (unit.asDiagonal() * cov * unit.asDiagonal());
  const Eigen::Matrix3d mixed = ga * from_to * gb.transpose();
  BridgedState out;
  out.state = ga * from + gb * to;
  out.covariance = ga * full(from_covariance) * ga.transpose() +
                   gb * full(to_covariance) * gb.transpose() + mixed + mixed.transpose() + noise;
  return out;
}

}  // namespace kinetics
