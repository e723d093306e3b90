#include "libkinetics/roster/load_words.h"

#include <algorithm>

#include <fmt/format.h>

#include "libkinetics/loading/band.h"
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
                    std::optional<double> top_height_m,
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
  for (const Band& band : load.bands) {
    if (!top_height_m || band.tension.limit_length_m <= 0.0) continue;
    const double length_m = stretched_length_m(band, *top_height_m);
    if (length_m <= band.tension.limit_length_m) continue;
    out.push_back(
        {NoteKind::kCaution,
         fmt::format("'{}' is stretched to {:.0f} cm at the top, beyond its stated {:.0f} "
                     "cm. Use a longer band, or a higher anchor.",
                     band.name,
                     100.0 * length_m,
                     100.0 * band.tension.limit_length_m)});
  }
  if (!load.chains.empty() || !load.bands.empty()) {
    out.push_back(
        {NoteKind::kCaution,
         "Chains swing and bands recoil. Check links, anchors and rubber before use, stay "
         "out of the line of pull, and set rack, safeties and spotters for the load at "
         "the top."});
  }
  return out;
}

}  // namespace kinetics
