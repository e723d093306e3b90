#include <algorithm>

#include <fmt/format.h>

#include "libkinetics/report/profile_table.h"
#include "libkinetics/report/profile_words.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/report/zone_text.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

std::string shares(const Zone& zone) {
  if (!zone.reference_kg) return "";
  return fmt::format(", {:.0f} to {:.0f} % of the best single",
                     100.0 * zone.low.load_kg / *zone.reference_kg,
                     100.0 * zone.high.load_kg / *zone.reference_kg);
}

std::string setup_words(const ZoneLoads& loads) {
  return loads.setup.accommodating.empty() ? "Straight weight"
                                           : "With " + loads.setup.accommodating;
}

std::string row(const HungLoad& load,
                std::string_view name,
                const Profile& p,
                const Zone& zone,
                const VelocityLine& line) {
  const VelocityAt at = velocity_at(line, load.mean_kg);
  const std::string share =
      zone.reference_kg ? fmt::format("{:.0f} %", 100.0 * load.bar_kg / *zone.reference_kg) : "";
  std::string out =
      fmt::format("  {:<9}{:>7}{:>7}{:>7}{:>8}{:>7}{:>7}  {:>5.2f}, {:.2f} to {:.2f}\n",
                  name,
                  fmt::format("{:.1f}", load.bar_kg),
                  fmt::format("{:.0f}", load.bar_kg / kKilogramsPerPound),
                  share,
                  rounded_load(load.bottom_kg, p.unit),
                  rounded_load(load.mean_kg, p.unit),
                  rounded_load(load.top_kg, p.unit),
                  at.velocity_mps,
                  at.set_mps.lo,
                  at.set_mps.hi);
  if (load.side)
    out += wrapped("a side: " + describe(*load.side), kTableColumns, "           ", "           ");
  return out;
}

std::string loads_of(const ZoneLoads& loads, const Profile& p, const Zone& zone) {
  const VelocityLine& line = *prediction_line(p);
  std::string out =
      loads.setup.accommodating.empty() ? "Straight weight" : "With " + loads.setup.accommodating;
  out = wrapped(printable(out), kTableColumns);
  if (!can_be_hung(loads)) {
    return out + "  no load within the zone can be hung with these discs\n";
  }
  out += row(*loads.light, "lightest", p, zone, line);
  const bool between = loads.best && loads.best->bar_kg > loads.light->bar_kg + 1e-9 &&
                       loads.best->bar_kg < loads.heavy->bar_kg - 1e-9;
  if (between) out += row(*loads.best, "most power", p, zone, line);
  if (loads.heavy->bar_kg > loads.light->bar_kg + 1e-9) {
    out += row(*loads.heavy, "heaviest", p, zone, line);
  }
  return out;
}

/// What the heaviest load of each set-up asks for.
std::string gear_cautions(const Zone& zone) {
  std::string out;
  for (const ZoneLoads& loads : zone.loads) {
    if (!loads.heavy) continue;
    std::optional<LiftHeights> heights;
    BarLoad load = loads.setup.empty;
    load.discs_kg = loads.heavy->bar_kg - load.bar_kg - load.collars_kg;
    if (!loads.setup.accommodating.empty()) {
      heights = LiftHeights{loads.setup.bottom_m, loads.setup.top_m};
    }
    for (const Note& note : load_cautions(load, loads.heavy->top_kg, heights, loads.setup.limits)) {
      const std::string line = wrapped(printable(note.text), kTableColumns, "Note: ", "  ");
      if (out.find(line) == std::string::npos) out += line;
    }
  }
  return out;
}

std::string one_zone(const ZoneOf& of) {
  const Profile& p = *of.profile;
  const Zone& zone = of.zone;
  std::string out = wrapped(printable(title_of(p)), kTableColumns);
  out += wrapped(fmt::format("{}; {}.", sets_and_days(p), in_words(p.axis)), kTableColumns);
  out += "\n" + wrapped(printable(zone_headline(p, zone)), kTableColumns, "", "  ");
  for (const std::string& line : zone_ends(p, zone)) {
    out += wrapped(printable(line), kTableColumns, "  ", "    ");
  }
  if (!zone.loads.empty()) {
    out += fmt::format("\n  {:<9}{:>7}{:>7}{:>7}{:>8}{:>7}{:>7}  {}\n",
                       "",
                       "Bar kg",
                       "lb",
                       "Share",
                       "Bottom",
                       "Mean",
                       "Top",
                       "Velocity, 95 % of sets");
    for (const ZoneLoads& loads : zone.loads) out += loads_of(loads, p, zone);
  }
  if (zone.common) out += "\n" + wrapped(printable(zone.common->words), kTableColumns);
  if (zone.test) {
    out += "\n" + wrapped(printable("To fix it: " + zone.test->words), kTableColumns, "", "  ");
  }
  const std::string gear = gear_cautions(zone);
  if (!gear.empty()) out += "\n" + gear;
  return out;
}

constexpr std::string_view kZoneFoot =
    "Bar: bar, discs and collars. Share: of the best single. Bottom, mean and top: straight weight "
    "that would weigh as much there. The zone is where the bar's mean power is near its highest "
    "and "
    "its velocity within the band; it is no prescription.";

constexpr std::string_view kCaution =
    "These figures describe bar movement, not technique, health or readiness: coach and lifter "
    "decide. Set racks and spotters for the load at the top, fix collars, count discs on both "
    "sides. Stop on pain or dizziness and see a licensed clinician. Local rules, the venue's and "
    "the federation's come first.";

}  // namespace

std::string zone_headline(const Profile& p, const Zone& zone) {
  switch (zone.state) {
    case ZoneState::kFixed:
      return fmt::format("Zone: {} to {} mean load{}.",
                         rounded_load(zone.low.load_kg, p.unit),
                         load_words(zone.high.load_kg, p.unit),
                         shares(zone));
    case ZoneState::kUnsure:
      return fmt::format("Zone not fixed: {}. So far {} to {} mean load{}.",
                         zone.why,
                         rounded_load(zone.low.load_kg, p.unit),
                         load_words(zone.high.load_kg, p.unit),
                         shares(zone));
    case ZoneState::kApart:
      return fmt::format("No zone: {}.", zone.why);
    case ZoneState::kNoLine:
      return fmt::format("No zone: {}.", zone.why);
  }
  return "";
}

std::vector<std::string> zone_ends(const Profile& p, const Zone& zone) {
  if (zone.state == ZoneState::kNoLine || zone.state == ZoneState::kApart) return {};
  const auto between = [&](const ZoneEnd& end) {
    if (!end.interval_kg) return std::string(" (how surely cannot be told)");
    return fmt::format(" ({} to {})",
                       rounded_load(end.interval_kg->lo, p.unit),
                       rounded_load(end.interval_kg->hi, p.unit));
  };
  const std::string power =
      fmt::format("mean power is below {:.0f} % of its highest, {:.0f} W at {}",
                  100.0 * zone.power_share,
                  zone.best_power_w,
                  load_words(zone.best_load_kg, p.unit));
  std::vector<std::string> out;
  out.push_back(
      fmt::format("begins at {}{}: with less, {}",
                  load_words(zone.low.load_kg, p.unit),
                  between(zone.low),
                  zone.low.limit == ZoneLimit::kPower
                      ? power
                      : fmt::format("the bar is faster than {:.2f} m/s", zone.low.velocity_mps)));
  out.push_back(
      fmt::format("ends at {}{}: with more, {}",
                  load_words(zone.high.load_kg, p.unit),
                  between(zone.high),
                  zone.high.limit == ZoneLimit::kPower
                      ? power
                      : fmt::format("the bar is slower than {:.2f} m/s", zone.high.velocity_mps)));
  if (!zone.band) out.emplace_back("No band of velocities is in the roster: power alone decides.");
  return out;
}

bool can_be_hung(const ZoneLoads& loads) {
  return loads.light && loads.heavy && loads.light->bar_kg <= loads.heavy->bar_kg + 1e-9;
}

std::string zone_loads_words(const Profile& p, const ZoneLoads& loads) {
  const std::string setup = setup_words(loads);
  if (!can_be_hung(loads)) return setup + ": no load of the zone can be hung with these discs.";
  const auto one = [&](const HungLoad& load) {
    std::string out = load_words(load.bar_kg, p.unit);
    if (load.side) out += fmt::format(" ({} a side)", describe(*load.side));
    return out;
  };
  std::string out = fmt::format("{}: {} to {}", setup, one(*loads.light), one(*loads.heavy));
  if (!loads.setup.accommodating.empty()) {
    out += fmt::format("; {} at the top", load_words(loads.heavy->top_kg, p.unit));
  }
  return out + ".";
}

std::string zone_table(const std::vector<ZoneOf>& zones) {
  std::string out;
  for (const ZoneOf& zone : zones) {
    if (!out.empty()) out += "\n";
    out += one_zone(zone);
  }
  return out + "\n" + wrapped(kZoneFoot, kTableColumns) + "\n" + wrapped(kCaution, kTableColumns);
}

}  // namespace kinetics
