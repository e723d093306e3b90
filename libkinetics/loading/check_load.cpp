#include "libkinetics/loading/check_load.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

// Beyond these a number is a slip of the unit, not a load.
constexpr double kMostStraightKg = 1000.0;
constexpr double kMostChainKgPerM = 50.0;
constexpr double kLongestChain = 10.0;
constexpr double kLongestLeader = 5.0;
constexpr double kHighestAnchor = 10.0;
constexpr double kLongestBand = 10.0;
constexpr double kMostBandKg = 20.0;
constexpr int kMostStrands = 40;

/// Throws for one item of a load.
class Checker {
 public:
  explicit Checker(std::string item) : item_(std::move(item)) {}

  [[noreturn]] void fail(const std::string& what, const std::string& mend) const {
    throw Error(ErrorCode::kUsage, item_, what, mend);
  }

  void counted(int count, const std::string& what) const {
    if (count >= 1 && count <= kMostStrands) return;
    fail(fmt::format("the number of {} is {}", what, count),
         fmt::format("Count both sides together, 1 to {}", kMostStrands));
  }

  void within(double value,
              double least,
              double most,
              const std::string& what,
              const std::string& unit) const {
    if (value >= least && value <= most) return;  // false for a number that is none
    fail(fmt::format("{} is {} {}", what, value, unit),
         fmt::format("Give it in {}, from {} to {}", unit, least, most));
  }

 private:
  std::string item_;
};

void check_straight(const BarLoad& load, const std::string& where) {
  const Checker check(where.empty() ? "bar" : where + ", bar");
  check.within(load.bar_kg, 0.0, kMostStraightKg, "its mass", "kg");
  check.within(load.discs_kg, 0.0, kMostStraightKg, "the mass of all discs", "kg");
  check.within(load.collars_kg, 0.0, kMostStraightKg, "the mass of the collars", "kg");
  check.within(
      load.straight_sigma_kg, 0.0, kMostStraightKg, "the standard error of its mass", "kg");
  check.within(load.bar_kg + load.discs_kg + load.collars_kg,
               0.0,
               kMostStraightKg,
               "bar, discs and collars together",
               "kg");
  check.within(load.gravity_mps2, 9.7, 9.9, "gravity", "m/s²");
  if (load.discs_a_side.empty()) return;
  check_discs(load.discs_a_side, where);
  const double listed_kg = 2.0 * stack_kg(load.discs_a_side);
  if (std::abs(listed_kg - load.discs_kg) > 1e-6) {
    check.fail(fmt::format("the discs listed are {:.3f} kg on both sides, but {:.3f} kg is stated",
                           listed_kg,
                           load.discs_kg),
               "List the discs of one side, or state their mass alone");
  }
}

void check_chain(const Chain& chain, const Checker& check) {
  check.within(chain.mass_kg_per_m, 0.0, kMostChainKgPerM, "its mass a metre", "kg/m");
  if (chain.mass_kg_per_m == 0.0) {
    check.fail("it has no mass", "Weigh a metre of it, or name its link size");
  }
  check.within(chain.mass_sigma_kg_per_m, 0.0, kMostChainKgPerM, "its standard error", "kg/m");
  check.within(chain.free_length_m, 0.0, kLongestChain, "its free length", "m");
  if (chain.free_length_m == 0.0) check.fail("it has no length", "Measure it from hook to end");
  check.within(chain.leader_length_m, 0.0, kLongestLeader, "its leader", "m");
  check.within(chain.leader_kg_per_m, 0.0, kMostChainKgPerM, "its leader's mass", "kg/m");
  check.within(chain.attachment_below_bar_m, -1.0, 2.0, "its attachment below the bar", "m");
  check.counted(chain.strands, "strands");
}

void check_table(const BandTension& tension, const Checker& check) {
  const auto& rows = tension.length_m_tension_n;
  const bool rest_counts =
      !rows.empty() && tension.rest_length_m > 0.0 && tension.rest_length_m < rows.front().first;
  if (rows.size() + (rest_counts ? 1 : 0) < 2) {
    check.fail("its table has a single row", "Give two lengths or more, or its rest length too");
  }
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const auto [length_m, n] = rows[i];
    const std::string row = fmt::format("row {} of its table", i + 1);
    check.within(length_m, 0.0, kLongestBand, "the length in " + row, "m");
    check.within(n, 0.0, 1e5, "the tension in " + row, "N");
    if (i > 0 && !(length_m > rows[i - 1].first)) {
      check.fail(fmt::format("{} is no longer than the one before ({} m after {} m)",
                             row,
                             length_m,
                             rows[i - 1].first),
                 "Sort the rows by length and keep one for each length");
    }
    if (i > 0 && n < rows[i - 1].second) {
      check.fail(fmt::format("{} pulls less than the shorter one before ({} N after {} N)",
                             row,
                             n,
                             rows[i - 1].second),
                 "A longer band pulls harder: measure that row again");
    }
    if (length_m <= tension.rest_length_m && n > 0.0) {
      check.fail(fmt::format("{} has tension at {} m, though it is slack up to {} m",
                             row,
                             length_m,
                             tension.rest_length_m),
                 "Correct the rest length or the row");
    }
  }
}

void check_polynomial(const BandTension& tension, const Checker& check) {
  for (const double c : tension.polynomial_n) {
    if (!std::isfinite(c)) check.fail("a coefficient is not a number", "Give its polynomial in N");
  }
  const std::size_t n = tension.polynomial_n.size();
  if (!tension.polynomial_covariance_n2.empty() &&
      tension.polynomial_covariance_n2.size() != n * n) {
    check.fail(fmt::format("its covariance has {} members for {} coefficients",
                           tension.polynomial_covariance_n2.size(),
                           n),
               "Give one row and one column for each coefficient, or none");
  }
  // As far as it is said to hold; with nothing said, to twice its rest length.
  double end_m = std::max(tension.known_to_m, tension.limit_length_m);
  if (end_m <= tension.rest_length_m) end_m = std::max(2.0 * tension.rest_length_m, 1.0);
  constexpr int kSteps = 200;
  double before_n = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double u = (end_m - tension.rest_length_m) * i / kSteps;
    const double length_m = tension.rest_length_m + u;
    double value_n = 0.0;
    if (tension.known_to_m > tension.rest_length_m && length_m > tension.known_to_m) break;
    for (std::size_t k = n; k-- > 0;) value_n = value_n * u + tension.polynomial_n[k];
    if (value_n < -1e-6) {
      check.fail(
          fmt::format("its polynomial is negative at {:.2f} m ({:.1f} N)", length_m, value_n),
          "Check the coefficients' order, constant first, and the rest length");
    }
    if (value_n < before_n - 1e-6) {
      check.fail(fmt::format("its polynomial falls beyond {:.2f} m, but a longer band pulls harder",
                             length_m),
                 "Say to what length it was measured (known_to_m), or fit it again");
    }
    before_n = value_n;
  }
}

void check_band(const Band& band, const Checker& check) {
  const BandTension& tension = band.tension;
  check.counted(band.count, "bands");
  check.within(band.anchor_height_m, -2.0, kHighestAnchor, "its anchor's height", "m");
  check.within(std::abs(band.anchor_offset_m), 0.0, 5.0, "its anchor's offset", "m");
  check.within(band.wrap_length_m, 0.0, kLongestBand, "the length in its wraps", "m");
  check.within(band.mass_kg, 0.0, kMostBandKg, "its mass", "kg");
  check.within(tension.rest_length_m, 0.0, kLongestBand, "its rest length", "m");
  check.within(tension.tension_sigma_n, 0.0, 1e5, "its tension's standard error", "N");
  check.within(tension.limit_length_m, 0.0, 10.0 * kLongestBand, "its stated limit", "m");
  check.within(tension.known_to_m, 0.0, 10.0 * kLongestBand, "the length it is known to", "m");
  const bool table = !tension.length_m_tension_n.empty();
  if (table == !tension.polynomial_n.empty()) {
    check.fail(table ? "it has both a table and a polynomial" : "nothing says how hard it pulls",
               "Give a table of lengths and tensions, or a polynomial");
  }
  table ? check_table(tension, check) : check_polynomial(tension, check);
}

}  // namespace

void check_load(const BarLoad& load, const std::string& where) {
  check_straight(load, where);
  for (std::size_t i = 0; i < load.chains.size(); ++i) {
    check_chain(load.chains[i], Checker(item_text(where, "chain", i, load.chains[i].name)));
  }
  for (std::size_t i = 0; i < load.bands.size(); ++i) {
    check_band(load.bands[i], Checker(item_text(where, "band", i, load.bands[i].name)));
  }
}

}  // namespace kinetics
