#include "libkinetics/loading/describe_load.h"

#include <cmath>

#include <fmt/format.h>

#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

std::string counted(int n, const std::string& one, const std::string& many) {
  return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string named(const std::string& name) {
  return name.empty() ? "" : " (" + name + ")";
}

std::string describe_chain(const Chain& chain) {
  std::string text = counted(chain.strands, "strand", "strands") + " of chain" + named(chain.name) +
                     fmt::format(", {:.2f} m", chain.free_length_m);
  if (chain.doubled) text += " doubled";
  if (chain.leader_length_m > 0.0)
    text += fmt::format(" on {:.2f} m leaders", chain.leader_length_m);
  return text;
}

std::string describe_band(const Band& band) {
  std::string text = counted(band.count, "band", "bands") + named(band.name);
  if (band.doubled) text += " folded";
  if (band.wrap_length_m > 0.0) text += " choked";
  text += band.anchor_height_m == 0.0 ? ", anchored at the floor"
                                      : fmt::format(", anchored {:.2f} m up", band.anchor_height_m);
  if (band.anchor_offset_m != 0.0) {
    text += fmt::format(" and {:.2f} m aside", std::abs(band.anchor_offset_m));
  }
  return text;
}

}  // namespace

std::string describe(const BarLoad& load, MassUnit unit) {
  std::string text = load_text(load.bar_kg, unit) + " bar" + named(load.bar_name);
  if (!load.discs_a_side.empty()) {
    text += ", " + describe(load.discs_a_side) + " a side";
  } else if (load.discs_kg > 0.0) {
    text += ", " + load_text(load.discs_kg / 2.0, unit) + " of discs a side";
  }
  if (load.collars_kg > 0.0) text += ", " + load_text(load.collars_kg, unit) + " collars";
  text += ": " + load_text(load.bar_kg + load.discs_kg + load.collars_kg, unit);
  for (const Chain& chain : load.chains) text += "; " + describe_chain(chain);
  for (const Band& band : load.bands) text += "; " + describe_band(band);
  return text;
}

std::string describe(const LoadSpan& span, MassUnit unit) {
  // Gravity as the span was made with; any will do for a load of nothing.
  const double kg_per_n =
      span.mean_weight_n != 0.0 ? span.straight_kg / span.mean_weight_n : 1.0 / kStandardGravity;
  return fmt::format("{} at the bottom, {} mean, {} at the top",
                     load_text(span.bottom.weight_n * kg_per_n, unit),
                     load_text(span.straight_kg, unit),
                     load_text(span.top.weight_n * kg_per_n, unit));
}

}  // namespace kinetics
