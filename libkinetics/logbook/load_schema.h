#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "libkinetics/loading/bar_load.h"

/// Where the load on the bar stands in a session file: a part of session_schema.h, which explains
/// what an archive offers. Private to the logbook.

namespace kinetics::schema {

/// One number of a band's tension curve, in the order in which they follow each other.
struct BandNumber {
  enum class Kind { kTensionRow, kPolynomial, kCovariance };
  int band = 0;  ///< row of /load_bands
  Kind kind = Kind::kTensionRow;
  double first = 0.0;   ///< length of a tension row, else the number itself
  double second = 0.0;  ///< tension of a tension row, else 0
};

/// Discs of one mass on one side, as stamped.
struct DiscRow {
  double mass = 0.0;
  MassUnit unit = MassUnit::kKilogram;
  int count = 0;
};

template <typename Enum>
struct NumberWord {
  using Value = Enum;
  Enum value;
  std::string_view word;
};

inline constexpr std::array kBandNumbers{
    NumberWord<BandNumber::Kind>{BandNumber::Kind::kTensionRow, "tension row"},
    NumberWord<BandNumber::Kind>{BandNumber::Kind::kPolynomial, "polynomial"},
    NumberWord<BandNumber::Kind>{BandNumber::Kind::kCovariance, "covariance"}};

inline constexpr std::array kMassUnits{NumberWord<MassUnit>{MassUnit::kKilogram, "kg"},
                                       NumberWord<MassUnit>{MassUnit::kPound, "lb"}};

#define KINETICS_FIELD(field) ([](auto& row) -> auto& { return row.field; })

template <typename Archive, typename LoadT>
void describe_load(Archive& a, LoadT& load) {
  a.attribute("bar_kg", load.bar_kg);
  a.attribute("discs_kg", load.discs_kg);
  a.attribute("collars_kg", load.collars_kg);
  a.attribute("straight_sigma_kg", load.straight_sigma_kg);
  a.attribute("gravity_mps2", load.gravity_mps2);
  a.attribute("bar_name", load.bar_name);
}

template <typename Archive, typename DiscsT>
void describe_discs(Archive& a, DiscsT& discs) {
  a.column("mass", "1", discs, KINETICS_FIELD(mass));
  a.choices("unit", discs, KINETICS_FIELD(unit), kMassUnits);
  a.column("count", "1", discs, KINETICS_FIELD(count));
}

template <typename Archive, typename ChainsT>
void describe_chains(Archive& a, ChainsT& chains) {
  a.texts("name", chains, KINETICS_FIELD(name));
  a.column("mass_kg_per_m", "kg/m", chains, KINETICS_FIELD(mass_kg_per_m));
  a.column("mass_sigma_kg_per_m", "kg/m", chains, KINETICS_FIELD(mass_sigma_kg_per_m));
  a.column("free_length_m", "m", chains, KINETICS_FIELD(free_length_m));
  a.column("doubled", "1", chains, KINETICS_FIELD(doubled));
  a.column("leader_length_m", "m", chains, KINETICS_FIELD(leader_length_m));
  a.column("leader_kg_per_m", "kg/m", chains, KINETICS_FIELD(leader_kg_per_m));
  a.column("attachment_below_bar_m", "m", chains, KINETICS_FIELD(attachment_below_bar_m));
  a.column("strands", "1", chains, KINETICS_FIELD(strands));
}

template <typename Archive, typename BandsT>
void describe_bands(Archive& a, BandsT& bands) {
  a.texts("name", bands, KINETICS_FIELD(name));
  a.column("rest_length_m", "m", bands, KINETICS_FIELD(tension.rest_length_m));
  a.column("tension_sigma_n", "N", bands, KINETICS_FIELD(tension.tension_sigma_n));
  a.column("known_to_m", "m", bands, KINETICS_FIELD(tension.known_to_m));
  a.column("known_from_m", "m", bands, KINETICS_FIELD(tension.known_from_m));
  a.column("limit_length_m", "m", bands, KINETICS_FIELD(tension.limit_length_m));
  a.column("anchor_height_m", "m", bands, KINETICS_FIELD(anchor_height_m));
  a.column("anchor_offset_m", "m", bands, KINETICS_FIELD(anchor_offset_m));
  a.column("wrap_length_m", "m", bands, KINETICS_FIELD(wrap_length_m));
  a.column("doubled", "1", bands, KINETICS_FIELD(doubled));
  a.column("mass_kg", "kg", bands, KINETICS_FIELD(mass_kg));
  a.column("count", "1", bands, KINETICS_FIELD(count));
}

template <typename Archive, typename NumbersT>
void describe_band_numbers(Archive& a, NumbersT& numbers) {
  a.column("band", "1", numbers, KINETICS_FIELD(band));
  a.choices("kind", numbers, KINETICS_FIELD(kind), kBandNumbers);
  a.column("first", "1", numbers, KINETICS_FIELD(first));
  a.column("second", "1", numbers, KINETICS_FIELD(second));
}

#undef KINETICS_FIELD

inline std::vector<DiscRow> rows_of(const DiscStack& side) {
  std::vector<DiscRow> out;
  for (const Disc& d : side) out.push_back({d.mass.value(), d.mass.unit(), d.count});
  return out;
}

inline DiscStack stack_of(const std::vector<DiscRow>& rows) {
  DiscStack out;
  for (const DiscRow& r : rows) {
    const bool pounds = r.unit == MassUnit::kPound;
    out.push_back({pounds ? Mass::pounds(r.mass) : Mass::kilograms(r.mass), r.count});
  }
  return out;
}

inline std::vector<BandNumber> numbers_of(const std::vector<Band>& bands) {
  using Kind = BandNumber::Kind;
  std::vector<BandNumber> out;
  for (std::size_t i = 0; i < bands.size(); ++i) {
    const int band = static_cast<int>(i);
    const BandTension& t = bands[i].tension;
    for (const auto& [length, n] : t.length_m_tension_n) {
      out.push_back({band, Kind::kTensionRow, length, n});
    }
    for (const double c : t.polynomial_n) out.push_back({band, Kind::kPolynomial, c, 0.0});
    for (const double c : t.polynomial_covariance_n2) {
      out.push_back({band, Kind::kCovariance, c, 0.0});
    }
  }
  return out;
}

/// Numbers of bands that are not there are left out: a later version may know more.
inline void put_numbers(const std::vector<BandNumber>& numbers, std::vector<Band>& bands) {
  using Kind = BandNumber::Kind;
  for (const BandNumber& n : numbers) {
    if (n.band < 0 || static_cast<std::size_t>(n.band) >= bands.size()) continue;
    BandTension& t = bands[static_cast<std::size_t>(n.band)].tension;
    if (n.kind == Kind::kTensionRow) t.length_m_tension_n.emplace_back(n.first, n.second);
    if (n.kind == Kind::kPolynomial) t.polynomial_n.push_back(n.first);
    if (n.kind == Kind::kCovariance) t.polynomial_covariance_n2.push_back(n.first);
  }
}

/// Rows that are written only when there are some.
template <typename Row>
std::optional<std::vector<Row>> if_any(const std::vector<Row>& rows) {
  return rows.empty() ? std::nullopt : std::optional(rows);
}

/// The groups of the load; `load` is optional and const when it is being written.
template <typename LoadT, typename InOptionalGroup>
void describe_load_groups(LoadT& load, InOptionalGroup&& in_optional_group) {
  constexpr bool kWrites = std::is_const_v<LoadT>;
  in_optional_group("load", load, [](auto& a, auto& of) { describe_load(a, of); });
  if (!load) return;
  std::optional<std::vector<DiscRow>> discs;
  std::optional<std::vector<Chain>> chains;
  std::optional<std::vector<Band>> bands;
  std::optional<std::vector<BandNumber>> numbers;
  if constexpr (kWrites) {
    discs = if_any(rows_of(load->discs_a_side));
    chains = if_any(load->chains);
    bands = if_any(load->bands);
    numbers = if_any(numbers_of(load->bands));
  }
  in_optional_group("load_discs", discs, [](auto& a, auto& of) { describe_discs(a, of); });
  in_optional_group("load_chains", chains, [](auto& a, auto& of) { describe_chains(a, of); });
  in_optional_group("load_bands", bands, [](auto& a, auto& of) { describe_bands(a, of); });
  in_optional_group(
      "load_band_numbers", numbers, [](auto& a, auto& of) { describe_band_numbers(a, of); });
  if constexpr (!kWrites) {
    load->discs_a_side = stack_of(discs.value_or(std::vector<DiscRow>{}));
    load->chains = std::move(chains).value_or(std::vector<Chain>{});
    load->bands = std::move(bands).value_or(std::vector<Band>{});
    put_numbers(numbers.value_or(std::vector<BandNumber>{}), load->bands);
  }
}

}  // namespace kinetics::schema
