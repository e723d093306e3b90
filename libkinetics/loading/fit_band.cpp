#include "libkinetics/loading/fit_band.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

// 95 % point of chi-squared with one degree of freedom.
constexpr double kOneTerm95 = 3.841459;

struct Point {
  double length_m = 0.0;
  double tension_n = 0.0;
};

/// Least squares in powers of (length - origin).
struct Fitted {
  Eigen::Vector4d c;           // powers 0 to 3
  Eigen::Matrix4d covariance;  // for readings of sigma 1
  double sum_squares = 0.0;
  int free = 0;
};

/// What all fits share. With a known rest length the curve passes through it, and it is the origin.
struct Readings {
  std::vector<Point> points;
  double origin_m = 0.0;
  int first_power = 0;  // 1: no constant term
};

Fitted least_squares(const Readings& readings, int last_power) {
  const int terms = last_power - readings.first_power + 1;
  const auto n = static_cast<Eigen::Index>(readings.points.size());
  Eigen::MatrixXd design(n, terms);
  Eigen::VectorXd tension(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Point& point = readings.points[static_cast<std::size_t>(i)];
    tension(i) = point.tension_n;
    for (int k = 0; k < terms; ++k) {
      design(i, k) = std::pow(point.length_m - readings.origin_m, readings.first_power + k);
    }
  }
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(design);
  const Eigen::VectorXd c = qr.solve(tension);
  const Eigen::MatrixXd covariance = (design.transpose() * design).inverse();
  Fitted fitted{.c = Eigen::Vector4d::Zero(),
                .covariance = Eigen::Matrix4d::Zero(),
                .sum_squares = (tension - design * c).squaredNorm(),
                .free = static_cast<int>(n) - terms};
  fitted.c.segment(readings.first_power, terms) = c;
  fitted.covariance.block(readings.first_power, readings.first_power, terms, terms) = covariance;
  return fitted;
}

double value_at(const Eigen::Vector4d& c, double u) {
  return c(0) + u * (c(1) + u * (c(2) + u * c(3)));
}

double slope_at(const Eigen::Vector4d& c, double u) {
  return c(1) + u * (2.0 * c(2) + u * 3.0 * c(3));
}

int distinct_lengths(std::vector<Point> points) {
  std::sort(points.begin(), points.end(), [](Point a, Point b) { return a.length_m < b.length_m; });
  int count = 1;
  for (std::size_t i = 1; i < points.size(); ++i) {
    if (points[i].length_m - points[i - 1].length_m > 1e-3) ++count;
  }
  return count;
}

/// Neo-Hookean rubber: tension over its modulus at a stretch.
double rubber(double stretch) {
  return stretch - 1.0 / (stretch * stretch);
}

/// Rest length of the neo-Hookean band through two readings, below the shorter one.
double rubber_rest_m(Point low, Point high) {
  // The shorter a band, the straighter it is and the less its tension grows between two lengths.
  // Scale errors can make it look straighter than any band that is in use: it is taken to be
  // stretched to half as much again, at most, at the shorter reading.
  double short_m = low.length_m / 1.5;
  double long_m = low.length_m;
  for (int i = 0; i < 60; ++i) {
    const double rest_m = (short_m + long_m) / 2.0;
    const double grows = rubber(high.length_m / rest_m) * low.tension_n;
    const double wanted = rubber(low.length_m / rest_m) * high.tension_n;
    (grows < wanted ? short_m : long_m) = rest_m;
  }
  return short_m;
}

/// The term of order `power` of rubber between two readings, N/m^power: its divided difference over
/// evenly spaced lengths.
double rubber_term(double rest_m, Point low, Point high, int power) {
  const double scale_n = (low.tension_n + high.tension_n) /
                         (rubber(low.length_m / rest_m) + rubber(high.length_m / rest_m));
  const double step_m = (high.length_m - low.length_m) / power;
  std::vector<double> differences;
  for (int i = 0; i <= power; ++i) {
    differences.push_back(scale_n * rubber((low.length_m + i * step_m) / rest_m));
  }
  for (int order = 1; order <= power; ++order) {
    for (int i = 0; i + order <= power; ++i) {
      const auto at = static_cast<std::size_t>(i);
      differences[at] = (differences[at + 1] - differences[at]) / (order * step_m);
    }
  }
  return differences.front();
}

/// Adds what a term of one order more would do that the fit leaves out, as far as the readings do
/// not fix it: its spread is as large as rubber's own such term.
void add_next_term(Fitted& fit, const Readings& readings, int power, double sigma_n) {
  const auto [low, high] = std::minmax_element(
      readings.points.begin(), readings.points.end(), [](const Point& a, const Point& b) {
        return a.length_m < b.length_m;
      });
  const bool rested = readings.first_power == 1;
  const Point end{high->length_m, value_at(fit.c, high->length_m - readings.origin_m)};
  Point start{low->length_m, std::max(value_at(fit.c, low->length_m - readings.origin_m), 0.0)};
  if (rested) start = {readings.origin_m, 0.0};
  const double rest_m = rested ? readings.origin_m : rubber_rest_m(start, end);
  const double term = rubber_term(rest_m, start, end, power);

  // The power of u less its own best fit through the readings.
  Readings powers = readings;
  for (Point& point : powers.points) {
    point.tension_n = std::pow(point.length_m - readings.origin_m, power);
  }
  const Fitted projected = least_squares(powers, power - 1);
  Eigen::Vector4d unseen = -projected.c;
  unseen(power) = 1.0;
  // What the readings say of it, too little to be taken, still tells how far off the fit may be.
  double along = 0.0;
  for (const Point& point : readings.points) {
    const double u = point.length_m - readings.origin_m;
    along += value_at(unseen, u) * (point.tension_n - value_at(fit.c, u));
  }
  const double spread = 1.0 / (1.0 / (term * term) + projected.sum_squares / (sigma_n * sigma_n));
  const double likely = spread * along / (sigma_n * sigma_n);
  fit.covariance += (spread + likely * likely) * unseen * unseen.transpose();
}

[[noreturn]] void fail(std::size_t index, const std::string& what, const std::string& mend) {
  throw Error(ErrorCode::kUsage, fmt::format("band reading {}", index + 1), what, mend);
}

void check_readings(const std::vector<BandReading>& readings, const BandFitOptions& options) {
  for (std::size_t i = 0; i < readings.size(); ++i) {
    const BandReading& reading = readings[i];
    if (!(reading.length_m > 0.0) || !(reading.length_m <= 10.0)) {
      fail(i, fmt::format("a length of {} m cannot be", reading.length_m), "Give metres, up to 10");
    }
    if (!(reading.tension_n >= 0.0) || !(reading.tension_n <= 1e5)) {
      fail(i,
           fmt::format("a tension of {} N cannot be", reading.tension_n),
           "Give newtons: kg × 9.81");
    }
    if (options.rest_length_m > 0.0 && reading.length_m <= options.rest_length_m) {
      fail(i,
           fmt::format("{} m is no more than its rest length of {} m",
                       reading.length_m,
                       options.rest_length_m),
           "Read the scale with the band stretched");
    }
  }
  if (!(options.rest_length_m >= 0.0) || !(options.rest_length_m <= 10.0) ||
      !(options.reading_sigma_n > 0.0) || !(options.reading_sigma_n <= 1e4)) {
    throw Error(ErrorCode::kUsage,
                "band fit",
                fmt::format("rest length {} m or scale error {} N cannot be",
                            options.rest_length_m,
                            options.reading_sigma_n),
                "Give metres (zero: unknown) and newtons");
  }
}

Readings gathered(const std::vector<BandReading>& readings, const BandFitOptions& options) {
  Readings all;
  for (const BandReading& reading : readings) {
    all.points.push_back({reading.length_m, reading.tension_n});
  }
  const bool rested = options.rest_length_m > 0.0;
  if (all.points.empty() || distinct_lengths(all.points) + (rested ? 1 : 0) < 2) {
    throw Error(ErrorCode::kUsage,
                "band readings",
                fmt::format("{} of them at one length do not make a line", readings.size()),
                "Read the scale at two lengths or more, far apart");
  }
  all.first_power = rested ? 1 : 0;
  all.origin_m = options.rest_length_m;
  if (!rested) {
    for (const Point& point : all.points) {
      all.origin_m += point.length_m / static_cast<double>(all.points.size());
    }
  }
  return all;
}

bool rises(const Eigen::Vector4d& c, const Readings& readings) {
  return std::all_of(readings.points.begin(), readings.points.end(), [&](const Point& point) {
    return slope_at(c, point.length_m - readings.origin_m) > 0.0;
  });
}

/// How much more the readings scatter than the scale should; one when they do not.
double excess(const Fitted& fitted, double sigma_n) {
  if (fitted.free < 1) return 1.0;
  return std::max(1.0, fitted.sum_squares / (fitted.free * sigma_n * sigma_n));
}

/// Where the curve meets zero below the readings; the origin itself when it is the rest length.
double rest_of(const Eigen::Vector4d& c, const Readings& readings) {
  if (readings.first_power == 1) return readings.origin_m;
  double rest_u = -c(0) / c(1);
  const double root = c(1) * c(1) - 4.0 * c(2) * c(0);
  if (c(2) != 0.0) {
    // The root on the rising branch; with none, where the curve is lowest.
    rest_u = root >= 0.0 ? (-c(1) + std::sqrt(root)) / (2.0 * c(2)) : -c(1) / (2.0 * c(2));
  }
  return std::max(readings.origin_m + rest_u, 0.0);
}

/// Moves coefficients and covariance to powers of (length - rest). One term more than was fitted:
/// it is zero, but uncertain.
BandTension about_rest(const Fitted& fitted, double shift_m, int terms) {
  Eigen::Matrix4d move = Eigen::Matrix4d::Zero();
  for (int power = 0; power < 4; ++power) {
    double binomial = 1.0;
    for (int to = power; to >= 0; --to) {
      move(to, power) = binomial * std::pow(shift_m, power - to);
      binomial *= static_cast<double>(to) / (power - to + 1);
    }
  }
  const Eigen::Vector4d c = move * fitted.c;
  const Eigen::Matrix4d covariance = move * fitted.covariance * move.transpose();
  BandTension tension;
  for (int i = 0; i < terms; ++i) {
    tension.polynomial_n.push_back(c(i));
    for (int j = 0; j < terms; ++j) tension.polynomial_covariance_n2.push_back(covariance(i, j));
  }
  return tension;
}

void fill_residuals(BandFit& fit, const std::vector<BandReading>& readings) {
  double sum = 0.0;
  for (std::size_t i = 0; i < readings.size(); ++i) {
    fit.residual_n.push_back(readings[i].tension_n -
                             tension_at(fit.tension, readings[i].length_m).tension_n);
    sum += fit.residual_n[i] * fit.residual_n[i];
    if (std::abs(fit.residual_n[i]) > std::abs(fit.residual_n[fit.worst])) fit.worst = i;
  }
  fit.rms_residual_n = std::sqrt(sum / static_cast<double>(readings.size()));
}

/// Without a minus before zero.
double shown(double residual_n) {
  return std::abs(residual_n) < 0.05 ? 0.0 : residual_n;
}

}  // namespace

BandReading reading_as_hung(const Band& band,
                            double bar_height_m,
                            double pull_kg,
                            double gravity_mps2) {
  const double rise_m = bar_height_m - band.anchor_height_m;
  const double reach_m = std::hypot(rise_m, band.anchor_offset_m);
  if (!(std::abs(rise_m) > 0.01) || band.count < 1 || !std::isfinite(pull_kg)) {
    throw Error(
        ErrorCode::kUsage,
        fmt::format("band ({})", band.name),
        fmt::format(
            "a reading of {} kg at {} m says nothing of its tension", pull_kg, bar_height_m),
        "Read the scale with the bar well above or below the anchor");
  }
  const double runs = band.count * (band.doubled ? 2.0 : 1.0);
  return {.length_m = stretched_length_m(band, bar_height_m),
          .tension_n = std::abs(pull_kg) * gravity_mps2 * reach_m / (std::abs(rise_m) * runs)};
}

BandFit fit_band(const std::vector<BandReading>& readings, const BandFitOptions& options) {
  check_readings(readings, options);
  const Readings all = gathered(readings, options);
  Fitted best = least_squares(all, 1);
  if (!(best.c(1) > 0.0)) {
    throw Error(ErrorCode::kUsage,
                "band readings",
                "tension falls as the band gets longer",
                "Check which reading belongs to which length");
  }

  BandFit fit;
  const double sigma_n = options.reading_sigma_n;
  if (distinct_lengths(all.points) + all.first_power >= 3) {
    const Fitted curve = least_squares(all, 2);
    const double gain =
        (best.sum_squares - curve.sum_squares) / (sigma_n * sigma_n * excess(curve, sigma_n));
    fit.curved = gain > kOneTerm95 && rises(curve.c, all);
    if (gain > kOneTerm95 && !fit.curved) {
      fit.notes.push_back({.kind = NoteKind::kCaution,
                           .text = "The readings bend so much that a curve through them falls; a "
                                   "straight line was taken. Measure the band again."});
    }
    if (fit.curved) best = curve;
  }
  fit.degrees_of_freedom = best.free;
  fit.chi_squared = best.sum_squares / (sigma_n * sigma_n);
  const double scale = excess(best, sigma_n);
  best.covariance *= sigma_n * sigma_n * scale;
  add_next_term(best, all, fit.curved ? 3 : 2, sigma_n * std::sqrt(scale));

  const double rest_m = rest_of(best.c, all);
  fit.tension = about_rest(best, rest_m - all.origin_m, fit.curved ? 4 : 3);
  fit.tension.rest_length_m = rest_m;
  fit.tension.known_from_m = all.first_power == 1 ? rest_m : all.points.front().length_m;
  for (const Point& point : all.points) {
    fit.tension.known_from_m = std::min(fit.tension.known_from_m, point.length_m);
    fit.tension.known_to_m = std::max(fit.tension.known_to_m, point.length_m);
  }
  fill_residuals(fit, readings);
  if (scale > kOneTerm95) {
    fit.notes.push_back(
        {.kind = NoteKind::kCaution,
         .text = fmt::format("Readings scatter by {:.0f} N about the curve, {:.1f} times what the "
                             "scale is stated to; reading {} is furthest off.",
                             fit.rms_residual_n,
                             std::sqrt(scale),
                             fit.worst + 1)});
  }
  return fit;
}

std::string describe(const BandFit& fit, const std::vector<BandReading>& readings) {
  std::string text;
  for (std::size_t i = 0; i < readings.size() && i < fit.residual_n.size(); ++i) {
    text += fmt::format("{:.2f} m: read {:.1f} N, {} {:.1f} N, off by {:+.1f} N\n",
                        readings[i].length_m,
                        readings[i].tension_n,
                        fit.curved ? "curve" : "line",
                        readings[i].tension_n - fit.residual_n[i],
                        shown(fit.residual_n[i]));
  }
  text += fmt::format(
      "slack to {:.2f} m; {:.1f} N off on average", fit.tension.rest_length_m, fit.rms_residual_n);
  return text;
}

}  // namespace kinetics
