#include "libkinetics/roster/read_gear.h"

#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/roster/names.h"

namespace kinetics::roster_detail {
namespace {

constexpr NumberRange kBarKg{1.0, 100.0};
constexpr NumberRange kDiscKg{0.1, 100.0};
constexpr NumberRange kCollarKg{0.0, 10.0};
constexpr NumberRange kChainKgPerM{0.05, 50.0};
constexpr NumberRange kLengthM{0.05, 10.0};
constexpr NumberRange kMaybeNoLengthM{0.0, 10.0};
constexpr NumberRange kRaisedM{-0.6, 0.6};
constexpr NumberRange kTensionN{0.0, 10000.0};
constexpr int kMostOwned = 1000;

// Two things of one name could not be told apart in a sheet.
void add_name(std::vector<std::string>& names, const std::string& name, const TomlTable& table) {
  for (const std::string& other : names) {
    if (same_name(name, other)) {
      table.refuse("name", fmt::format("'{}' stands here twice", name), "Give each its own name");
    }
  }
  names.push_back(name);
}

std::vector<BarGear> read_bars(TomlTable& top) {
  std::vector<BarGear> bars;
  std::vector<std::string> names;
  for (TomlTable& table : top.tables("bar", "[[bar]]")) {
    BarGear bar;
    bar.name = table.needed_text("name");
    add_name(names, bar.name, table);
    bar.mass_kg = table.needed_mass_kg("mass", kBarKg);
    bar.sleeves_raised_m = table.length_m("sleeves_raised", kRaisedM).value_or(0.0);
    bar.limit_kg = table.mass_kg("limit", kMassKg);
    table.finish();
    bars.push_back(std::move(bar));
  }
  return bars;
}

std::vector<DiscGear> read_discs(TomlTable& top) {
  std::vector<DiscGear> discs;
  for (TomlTable& table : top.tables("disc", "[[disc]]")) {
    DiscGear disc;
    disc.mass_kg = table.needed_mass_kg("mass", kDiscKg);
    if (table.has("mass_lb")) disc.unit = MassUnit::kPound;
    const auto count = table.whole("count", 0, kMostOwned);
    if (!count) table.refuse("", "[[disc]] has no 'count'", "Add count = how many there are");
    disc.count = *count;
    table.finish();
    discs.push_back(disc);
  }
  return discs;
}

std::vector<ChainGear> read_chains(TomlTable& top) {
  std::vector<ChainGear> chains;
  std::vector<std::string> names;
  for (TomlTable& table : top.tables("chain", "[[chain]]")) {
    ChainGear gear;
    Chain& chain = gear.chain;
    chain.name = table.needed_text("name");
    add_name(names, chain.name, table);
    const auto density = table.linear_density_kg_per_m("mass", kChainKgPerM);
    if (!density) {
      table.refuse("",
                   fmt::format("[[chain]] '{}' has no 'mass_kg_per_m'", chain.name),
                   "Weigh it: mass over length. Write mass_kg_per_m or mass_lb_per_ft");
    }
    chain.mass_kg_per_m = *density;
    const auto length = table.length_m("length", kLengthM);
    if (!length) {
      table.refuse("",
                   fmt::format("[[chain]] '{}' has no 'length_m'", chain.name),
                   "Give the length of one strand as it hangs");
    }
    chain.free_length_m = *length;
    chain.doubled = table.truth("doubled").value_or(false);
    chain.leader_length_m = table.length_m("leader_length", kMaybeNoLengthM).value_or(0.0);
    chain.leader_kg_per_m =
        table.linear_density_kg_per_m("leader", {0.0, kChainKgPerM.greatest}).value_or(0.0);
    chain.attachment_below_bar_m =
        table.length_m("attachment_below_bar", kMaybeNoLengthM).value_or(0.0);
    gear.count = table.whole("count", 0, kMostOwned);
    table.finish();
    chains.push_back(std::move(gear));
  }
  return chains;
}

BandTension read_tension(TomlTable& table, const std::string& name) {
  BandTension tension;
  const std::vector<double> lengths = table.lengths_m("stretched", kLengthM);
  const std::vector<double> forces = table.forces_n("tension", kTensionN);
  if (lengths.size() != forces.size() || lengths.size() < 2) {
    table.refuse(
        "",
        fmt::format(
            "[[band]] '{}' has {} lengths and {} tensions", name, lengths.size(), forces.size()),
        "Give two or more of each, as many lengths (stretched_cm) as tensions "
        "(tension_kg, tension_lb or tension_n)");
  }
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    if (i > 0 && (lengths[i] <= lengths[i - 1] || forces[i] < forces[i - 1])) {
      table.refuse(
          "",
          fmt::format("the readings of [[band]] '{}' do not rise from one to the next", name),
          "Sort them by length; a band pulls harder the longer it is");
    }
    tension.length_m_tension_n.emplace_back(lengths[i], forces[i]);
  }
  return tension;
}

std::vector<BandGear> read_bands(TomlTable& top) {
  std::vector<BandGear> bands;
  std::vector<std::string> names;
  for (TomlTable& table : top.tables("band", "[[band]]")) {
    BandGear gear;
    Band& band = gear.band;
    band.name = table.needed_text("name");
    add_name(names, band.name, table);
    band.tension = read_tension(table, band.name);
    // Without a rest length the first reading is where it begins to pull.
    band.tension.rest_length_m = table.length_m("rest_length", kLengthM)
                                     .value_or(band.tension.length_m_tension_n.front().first);
    band.tension.tension_sigma_n = table.force_n("tension_sigma", kTensionN).value_or(0.0);
    const auto anchor = table.length_m("anchor_height", {0.0, 4.0});
    if (!anchor) {
      table.refuse("",
                   fmt::format("[[band]] '{}' has no 'anchor_height_cm'", band.name),
                   "Give the anchor's height above the floor; above the bar it pulls up");
    }
    band.anchor_height_m = *anchor;
    band.anchor_offset_m = table.length_m("anchor_offset", {-2.0, 2.0}).value_or(0.0);
    band.tension.limit_length_m = table.length_m("limit_length", kLengthM).value_or(0.0);
    band.wrap_length_m = table.length_m("wrapped_length", kMaybeNoLengthM).value_or(0.0);
    band.doubled = table.truth("doubled").value_or(false);
    band.mass_kg = table.mass_kg("mass", {0.0, 20.0}).value_or(0.0);
    gear.count = table.whole("count", 0, kMostOwned);
    table.finish();
    bands.push_back(std::move(gear));
  }
  return bands;
}

std::vector<Rack> read_racks(TomlTable& top) {
  std::vector<Rack> racks;
  std::vector<std::string> names;
  for (TomlTable& table : top.tables("rack", "[[rack]]")) {
    Rack rack;
    rack.name = table.needed_text("name");
    add_name(names, rack.name, table);
    rack.limit_kg = table.needed_mass_kg("limit", kMassKg);
    table.finish();
    racks.push_back(std::move(rack));
  }
  return racks;
}

}  // namespace

Gear read_gear(TomlTable& top) {
  Gear gear;
  gear.bars = read_bars(top);
  gear.discs = read_discs(top);
  if (auto collars = top.one_table("collars", "[collars]")) {
    gear.collar_kg = collars->needed_mass_kg("mass", kCollarKg);
    collars->finish();
  }
  gear.chains = read_chains(top);
  gear.bands = read_bands(top);
  gear.racks = read_racks(top);
  return gear;
}

}  // namespace kinetics::roster_detail
