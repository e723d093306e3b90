#include "libkinetics/roster/load_words.h"

#include <algorithm>

#include <fmt/format.h>

#include "libkinetics/loading/check_load.h"
#include "libkinetics/loading/mass.h"

namespace kinetics {

std::string load_in_words(double stated_kg, MassUnit unit, const BarLoad& load) {
  // Two decimals and no zeros behind: small discs weigh 1.25.
  const bool pounds = unit == MassUnit::kPound;
  std::string number = fmt::format("{:.2f}", pounds ? stated_kg / kKilogramsPerPound : stated_kg);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.ends_with('.')) number.pop_back();
  std::string out = number + (pounds ? " lb" : " kg");
  for (const Chain& chain : load.chains) out += fmt::format(", {} x {}", chain.strands, chain.name);
  for (const Band& band : load.bands) out += fmt::format(", {} x {}", band.count, band.name);
  return out;
}

Notes load_cautions(const BarLoad& load,
                    double top_kg,
                    std::optional<LiftHeights> heights,
                    const std::vector<LoadLimit>& limits) {
  Notes out;
  for (const LoadLimit& limit : limits) {
    if (top_kg <= limit.limit_kg) continue;
    out.push_back({NoteKind::kCaution,
                   fmt::format("The load at the top, {:.1f} kg, is beyond the stated limit of {}, "
                               "{:.0f} kg. Take load off, or use gear that is made for it.",
                               top_kg,
                               limit.of,
                               limit.limit_kg)});
  }
  if (load.chains.empty() && load.bands.empty()) return out;
  const auto append = [&](const Notes& more) { out.insert(out.end(), more.begin(), more.end()); };
  if (heights) append(load_notes(load, heights->bottom_m, heights->top_m));
  append(handling_cautions(load));
  return out;
}

}  // namespace kinetics
