#pragma once

#include <cstdint>
#include <functional>
#include <random>

#include "libkinetics/tracking/bar_path.h"

/// A path from any two functions of time, with white noise. Test instrument.

namespace kinetics_test {

struct MadePath {
  std::function<double(double)> height_m;
  std::function<double(double)> x_m = [](double) { return 0.0; };
  double length_s = 1.0;
  double rate_hz = 60.0;
  double sigma_m = 0.0005;
  std::uint32_t seed = 1;
};

inline kinetics::BarPath made(const MadePath& m) {
  std::mt19937 random(m.seed);
  std::normal_distribution<double> normal(0.0, m.sigma_m);
  kinetics::BarPath path;
  for (int i = 0; i / m.rate_hz <= m.length_s; ++i) {
    const double t = i / m.rate_hz;
    kinetics::PathPoint p;
    p.t_s = t;
    p.x_m = m.x_m(t) + normal(random);
    p.y_m = m.height_m(t) + normal(random);
    p.sigma_x_m = p.sigma_y_m = m.sigma_m;
    path.points.push_back(p);
  }
  return path;
}

}  // namespace kinetics_test
