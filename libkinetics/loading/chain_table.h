#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/loading/chain.h"

/// Mass per metre of round-link steel chain, from published tables or from the link's shape.

namespace kinetics {

/// One size of a standard: wire d, pitch t (inside length) and inside width b.
struct ChainSize {
  std::string_view standard = {};
  double wire_mm = 0.0;
  double pitch_mm = 0.0;
  double inside_width_mm = 0.0;
  double mass_kg_per_m = 0.0;  ///< "approximate mass" of the table
};

/// One standard error of a table's mass, as a share. Suppliers who quote the same standard differ
/// by up to 4.5 %, galvanizing and wear come on top: weighing the chain is better.
inline constexpr double kChainTableSigma = 0.03;

/// All sizes known, by standard and wire.
///
/// Source    DIN 766:1986 (short link, calibrated), DIN 764 (semi-long), DIN 5685-1 form A (short,
///           not tested): suppliers' tables that quote the standards. DIN 763:1990 (long link):
///           text of the standard, but 8 × 52, which is from memory.
[[nodiscard]] const std::vector<ChainSize>& chain_sizes();

/// The size called "DIN 766 13x36", "DIN 766 13 mm" or "din 766 13".
///
/// Errors    throws Error{kUsage} when the standard or size is not known, listing those that are.
[[nodiscard]] const ChainSize& find_chain_size(const std::string& name);

/// Two strands of that size, with the table's uncertainty.
[[nodiscard]] Chain chain_of_size(const std::string& name, double free_length_m);

/// Mass per metre of a round steel link measured by hand: a stadium of wire, 7850 kg/m³.
///
/// Accuracy  within 6 % of the tables for every size listed (tests/loading/chain_table_test.cpp):
///           widths there are least widths, and the weld adds mass.
/// Errors    throws Error{kUsage} for a link that cannot be (wire thicker than the opening).
[[nodiscard]] double round_link_kg_per_m(double wire_mm, double pitch_mm, double inside_width_mm);

}  // namespace kinetics
