#include "libkinetics/loading/fit_load.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/check_load.h"

namespace kinetics {
namespace {

// A factor known worse than this says little; the coach is told.
constexpr double kVagueFactor = 0.2;

// Equal bands differ by up to a fifth in tension (McMaster and others, 2010) and chain by less: a
// factor far beyond is more likely a slip.
constexpr double kLeastLikely = 0.65;
constexpr double kMostLikely = 1.5;

/// The three parts of a load on the scale at one height, kg.
struct Parts {
  double straight = 0.0;
  double chains = 0.0;
  double bands = 0.0;  ///< pull of the rubber over gravity
  double other = 0.0;  ///< the bands' own weight
};

Parts parts_at(const BarLoad& load, double bar_height_m) {
  BarLoad bare = load;
  for (Band& band : bare.bands) band.mass_kg = 0.0;
  Parts parts{.straight = load.bar_kg + load.discs_kg + load.collars_kg};
  for (const Chain& chain : load.chains) parts.chains += chain_at(chain, bar_height_m).hanging_kg;
  for (const Band& band : load.bands) {
    parts.bands += band_at(band, bar_height_m).pull_n / load.gravity_mps2;
  }
  parts.other = (load_at(load, bar_height_m).weight_n - load_at(bare, bar_height_m).weight_n) /
                load.gravity_mps2;
  return parts;
}

/// Which factors are asked for and make sense for this load.
struct Asked {
  bool straight = false;
  bool chains = false;
  bool bands = false;
  [[nodiscard]] int count() const { return int{straight} + int{chains} + int{bands}; }
};

void check_readings(const std::vector<ScaleReading>& readings,
                    const LoadFitOptions& options,
                    const Asked& asked) {
  for (std::size_t i = 0; i < readings.size(); ++i) {
    if (std::isfinite(readings[i].bar_height_m) && std::abs(readings[i].bar_height_m) <= 5.0 &&
        std::isfinite(readings[i].scale_kg) && std::abs(readings[i].scale_kg) <= 5000.0) {
      continue;
    }
    throw Error(
        ErrorCode::kUsage,
        fmt::format("scale reading {}", i + 1),
        fmt::format("{} kg at {} m cannot be", readings[i].scale_kg, readings[i].bar_height_m),
        "Give the bar's height in metres above the floor, and kilograms");
  }
  if (!(options.reading_sigma_kg > 0.0) || !std::isfinite(options.tare_kg)) {
    throw Error(ErrorCode::kUsage,
                "scale",
                "its error or tare is no number that can be",
                "Give kilograms; the error above zero");
  }
  if (asked.count() == 0) {
    throw Error(ErrorCode::kUsage,
                "scale readings",
                "there is nothing to fit: the load has neither chains nor bands",
                "Add them, or ask for the straight weight to be fitted");
  }
  if (readings.size() < static_cast<std::size_t>(asked.count())) {
    throw Error(ErrorCode::kUsage,
                "scale readings",
                fmt::format("{} are too few for {} unknowns", readings.size(), asked.count()),
                "Read the scale at more heights");
  }
}

struct Solution {
  Eigen::VectorXd x;
  Eigen::VectorXd sigma;
  Eigen::VectorXd residual;
  double excess = 1.0;  ///< scatter over the scale's own, squared; one or more
};

Solution solve(const Eigen::MatrixXd& design,
               const Eigen::VectorXd& wanted,
               double reading_sigma_kg) {
  // Columns to one length: rank is then about directions, not units.
  const Eigen::VectorXd norms = design.colwise().norm();
  const bool empty = (norms.array() < 1e-9).any();
  Eigen::MatrixXd unit = design;
  if (!empty) unit = design * norms.cwiseInverse().asDiagonal();
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(unit);
  qr.setThreshold(1e-6);
  if (empty || qr.rank() < design.cols()) {
    throw Error(ErrorCode::kUsage,
                "scale readings",
                "they cannot tell chains, bands and straight weight apart",
                "Read the scale where chain partly lies on the floor and bands are tight, at "
                "heights far apart");
  }
  Solution solution;
  solution.x = qr.solve(wanted).cwiseQuotient(norms);
  solution.residual = wanted - design * solution.x;
  const auto free = design.rows() - design.cols();
  if (free > 0) {
    solution.excess =
        std::max(1.0,
                 solution.residual.squaredNorm() /
                     (static_cast<double>(free) * reading_sigma_kg * reading_sigma_kg));
  }
  const Eigen::MatrixXd covariance = (unit.transpose() * unit).inverse();
  solution.sigma = reading_sigma_kg * std::sqrt(solution.excess) *
                   covariance.diagonal().cwiseSqrt().cwiseQuotient(norms);
  return solution;
}

void scale_chains(BarLoad& load, const FittedFactor& factor) {
  for (Chain& chain : load.chains) {
    chain.mass_sigma_kg_per_m = chain.mass_kg_per_m * factor.sigma;
    chain.mass_kg_per_m *= factor.value;
    chain.leader_kg_per_m *= factor.value;
  }
}

/// A polynomial's sigma grows with its tension, as an uncertain factor's should; a table has one
/// sigma, for which the strongest pull at the readings is taken.
void scale_bands(BarLoad& load,
                 const FittedFactor& factor,
                 const std::vector<ScaleReading>& readings) {
  for (Band& band : load.bands) {
    BandTension& tension = band.tension;
    double most_n = 0.0;
    for (const ScaleReading& reading : readings) {
      const double length_m = stretched_length_m(band, reading.bar_height_m);
      most_n = std::max(most_n, tension_at(tension, length_m).tension_n);
    }
    tension.tension_sigma_n *= factor.value;
    for (auto& row : tension.length_m_tension_n) row.second *= factor.value;
    if (!tension.length_m_tension_n.empty()) {
      tension.tension_sigma_n = std::hypot(tension.tension_sigma_n, factor.sigma * most_n);
    }
    const std::size_t n = tension.polynomial_n.size();
    tension.polynomial_covariance_n2.resize(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j) {
        double& member = tension.polynomial_covariance_n2[i * n + j];
        member = member * factor.value * factor.value +
                 tension.polynomial_n[i] * tension.polynomial_n[j] * factor.sigma * factor.sigma;
      }
    }
    for (double& c : tension.polynomial_n) c *= factor.value;
  }
}

void take_straight(BarLoad& load, const FittedFactor& straight_kg) {
  const double off_kg = straight_kg.value - load.bar_kg - load.discs_kg - load.collars_kg;
  load.bar_kg += off_kg;  // discs are stamped, so what differs is put down to the bar
  load.straight_sigma_kg = straight_kg.sigma;
  if (load.bar_kg >= 0.0) return;
  throw Error(ErrorCode::kUsage,
              "scale readings",
              fmt::format("they make the straight weight {:.1f} kg, less than its discs",
                          straight_kg.value),
              "Check the tare and the discs");
}

void note_factor(Notes& notes, const FittedFactor& factor, const char* what) {
  if (!factor.fitted) return;
  if (!(factor.value > 0.0)) {
    throw Error(
        ErrorCode::kUsage,
        "scale readings",
        fmt::format("they make the {} pull {:.2f} times what is stated", what, factor.value),
        "Check heights and tare, and which readings had them hung");
  }
  if (factor.value < kLeastLikely || factor.value > kMostLikely) {
    notes.push_back(
        {.kind = NoteKind::kCaution,
         .text = fmt::format("The {} come out at {:.2f} times what is stated. Check their size and "
                             "number, the heights and the tare before trusting that.",
                             what,
                             factor.value)});
  }
  if (factor.sigma < kVagueFactor) return;
  notes.push_back(
      {.kind = NoteKind::kCaution,
       .text = fmt::format("The readings hardly tell what the {} weigh ({:.2f} ± {:.2f} "
                           "of what is stated). Read the scale at heights further apart.",
                           what,
                           factor.value,
                           factor.sigma)});
}

/// Without a minus before zero.
double shown(double residual_kg) {
  return std::abs(residual_kg) < 0.05 ? 0.0 : residual_kg;
}

}  // namespace

LoadFit fit_load(const BarLoad& stated,
                 const std::vector<ScaleReading>& readings,
                 const LoadFitOptions& options) {
  check_load(stated);
  const Asked asked{.straight = options.fit_straight,
                    .chains = options.fit_chains && !stated.chains.empty(),
                    .bands = options.fit_bands && !stated.bands.empty()};
  check_readings(readings, options, asked);

  const auto n = static_cast<Eigen::Index>(readings.size());
  Eigen::MatrixXd design(n, asked.count());
  Eigen::VectorXd wanted(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const ScaleReading& reading = readings[static_cast<std::size_t>(i)];
    const Parts parts = parts_at(stated, reading.bar_height_m);
    wanted(i) = reading.scale_kg - options.tare_kg - parts.other;
    Eigen::Index column = 0;
    const auto part = [&](bool fitted, double in_factor, double as_stated) {
      if (fitted) design(i, column++) = in_factor;
      if (!fitted) wanted(i) -= as_stated;
    };
    part(asked.straight, 1.0, parts.straight);
    part(asked.chains, parts.chains, parts.chains);
    part(asked.bands, parts.bands, parts.bands);
  }
  const Solution solution = solve(design, wanted, options.reading_sigma_kg);

  LoadFit fit{.load = stated};
  Eigen::Index column = 0;
  const auto take = [&](bool fitted, FittedFactor& factor) {
    if (!fitted) return;
    factor = {.value = solution.x(column), .sigma = solution.sigma(column), .fitted = true};
    ++column;
  };
  fit.straight_kg.value = stated.bar_kg + stated.discs_kg + stated.collars_kg;
  take(asked.straight, fit.straight_kg);
  take(asked.chains, fit.chains);
  take(asked.bands, fit.bands);
  note_factor(fit.notes, fit.chains, "chains");
  note_factor(fit.notes, fit.bands, "bands");
  if (asked.straight) take_straight(fit.load, fit.straight_kg);
  if (asked.chains) scale_chains(fit.load, fit.chains);
  if (asked.bands) scale_bands(fit.load, fit.bands, readings);

  fit.residual_kg.assign(solution.residual.begin(), solution.residual.end());
  fit.rms_residual_kg = std::sqrt(solution.residual.squaredNorm() / static_cast<double>(n));
  fit.degrees_of_freedom = static_cast<int>(n) - asked.count();
  Eigen::Index worst = 0;
  solution.residual.cwiseAbs().maxCoeff(&worst);
  fit.worst = static_cast<std::size_t>(worst);
  if (solution.excess > 3.84) {
    fit.notes.push_back(
        {.kind = NoteKind::kCaution,
         .text =
             fmt::format("Readings are off by {:.1f} kg on average, {:.1f} times what the scale "
                         "is stated to; reading {} is furthest off.",
                         fit.rms_residual_kg,
                         std::sqrt(solution.excess),
                         fit.worst + 1)});
  }
  return fit;
}

std::string describe(const LoadFit& fit, const std::vector<ScaleReading>& readings) {
  std::string text;
  for (std::size_t i = 0; i < readings.size() && i < fit.residual_kg.size(); ++i) {
    text += fmt::format("{:.2f} m: read {:.1f} kg, fitted {:.1f} kg, off by {:+.1f} kg\n",
                        readings[i].bar_height_m,
                        readings[i].scale_kg,
                        readings[i].scale_kg - fit.residual_kg[i],
                        shown(fit.residual_kg[i]));
  }
  const auto factor = [&](const FittedFactor& f, const char* what, const char* unit) {
    if (f.fitted) text += fmt::format("{} {:.3f} ± {:.3f}{}; ", what, f.value, f.sigma, unit);
  };
  factor(fit.straight_kg, "straight weight", " kg");
  factor(fit.chains, "chains", " of what is stated");
  factor(fit.bands, "bands", " of what is stated");
  return text + fmt::format("{:.1f} kg off on average", fit.rms_residual_kg);
}

}  // namespace kinetics
