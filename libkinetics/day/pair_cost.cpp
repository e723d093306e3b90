#include "libkinetics/day/pair_cost.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

namespace kinetics::day_detail {
namespace {

constexpr double kCmPerM = 100.0;

struct Points {
  double reps = 0.0;
  double rom = 0.0;
  double lockout = 0.0;
  double disc = 0.0;
};

// The wider a value is expected to lie, the less a hit says: ln of the width is what a normal
// density loses at its middle. So a lifter of whom little is known does not draw in every set.
double height_points(const std::optional<double>& seen,
                     const Measured& usual,
                     double own_sigma,
                     double spread) {
  if (!seen) return 0.0;
  const double widest = std::hypot(own_sigma, spread);
  if (!usual) return std::log(widest / own_sigma);
  const double sigma = std::min(std::hypot(own_sigma, usual.sigma()), widest);
  return misfit((*seen - usual.value()) / sigma) + std::log(sigma / own_sigma);
}

Points points_of(const FoundSet& set,
                 const DayRow& row,
                 const Usual& usual,
                 const MatchOptions& options) {
  Points out;
  if (row.planned_reps) {
    const int off = std::min(std::abs(set.reps - *row.planned_reps), options.most_reps_off);
    out.reps = options.rep_cost * off;
  }
  out.rom = height_points(set.rom_m, usual.rom_m, options.rom_sigma_m, options.rom_spread_m);
  out.lockout = height_points(
      set.lockout_m, usual.lockout_m, options.lockout_sigma_m, options.lockout_spread_m);
  if (set.disc_diameter_m && row.disc_diameter_m) {
    out.disc = misfit((*set.disc_diameter_m - *row.disc_diameter_m) / options.disc_sigma_m);
  }
  return out;
}

void add_height(std::vector<CostTerm>& terms,
                std::string_view name,
                const std::optional<double>& seen,
                const Measured& usual,
                double points) {
  if (!seen) return;
  if (!usual) {
    terms.push_back({fmt::format("usual {} not known", name), points});
    return;
  }
  const double off_cm = (*seen - usual.value()) * kCmPerM;
  terms.push_back(
      {fmt::format(
           "{} {:.1f} cm {} the usual", name, std::abs(off_cm), off_cm < 0.0 ? "below" : "above"),
       points});
}

}  // namespace

double body_misfit(const FoundSet& set, const Usual& usual, const MatchOptions& options) {
  return height_points(set.rom_m, usual.rom_m, options.rom_sigma_m, options.rom_spread_m) +
         height_points(
             set.lockout_m, usual.lockout_m, options.lockout_sigma_m, options.lockout_spread_m);
}

double misfit(double z) {
  return 2.5 * std::log1p(z * z / 4.0);
}

double body_points(const FoundSet& set,
                   const DayRow& row,
                   const Usual& usual,
                   const MatchOptions& options) {
  const Points points = points_of(set, row, usual, options);
  return points.reps + points.rom + points.lockout + points.disc;
}

std::vector<CostTerm> body_terms(const FoundSet& set,
                                 const DayRow& row,
                                 const Usual& usual,
                                 const MatchOptions& options) {
  const Points points = points_of(set, row, usual, options);
  std::vector<CostTerm> terms;
  if (row.planned_reps) {
    terms.push_back({set.reps == *row.planned_reps
                         ? fmt::format("reps {} as planned", set.reps)
                         : fmt::format("reps {} instead of {}", set.reps, *row.planned_reps),
                     points.reps});
  }
  add_height(terms, "range", set.rom_m, usual.rom_m, points.rom);
  add_height(terms, "lockout", set.lockout_m, usual.lockout_m, points.lockout);
  if (set.disc_diameter_m && row.disc_diameter_m) {
    const double off_cm = (*set.disc_diameter_m - *row.disc_diameter_m) * kCmPerM;
    terms.push_back({fmt::format("disc {:.1f} cm {} than the row's",
                                 std::abs(off_cm),
                                 off_cm < 0.0 ? "smaller" : "larger"),
                     points.disc});
  }
  return terms;
}

double lateness_s(const FoundSet& set, const DayRow& row, double began_s) {
  return began_s + set.start_s - *row.start_s;
}

CostTerm time_term(double late_s, const MatchOptions& options) {
  return {
      fmt::format("{:.0f} s {} than written", std::abs(late_s), late_s < 0 ? "earlier" : "later"),
      misfit(late_s / options.time_sigma_s)};
}

CostTerm order_term(int overtaken, double points) {
  return {fmt::format("after {} row{} that stand{} below it",
                      overtaken,
                      overtaken == 1 ? "" : "s",
                      overtaken == 1 ? "s" : ""),
          points};
}

}  // namespace kinetics::day_detail
