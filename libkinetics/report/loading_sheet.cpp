#include "libkinetics/report/loading_sheet.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/plan_words.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/unit_word.h"

namespace kinetics {
namespace {

using svg::escaped;

constexpr std::string_view kStyleSheet = R"(
*{box-sizing:border-box}
body{margin:0;color:#000;background:#fff;font:10.5pt/1.3 "DejaVu Sans",Verdana,system-ui,sans-serif}
.page{break-after:page}.page:last-child{break-after:auto}
header{display:flex;justify-content:space-between;align-items:flex-end;border-bottom:2.5pt solid #000;padding-bottom:4pt}
h1{font-size:18pt;margin:0}h1 small{display:block;font-size:11pt;font-weight:normal}
.when{text-align:right;font-size:13pt;font-weight:bold}.when small{display:block;font-size:10.5pt;font-weight:normal}
.setup{margin:4pt 0 2pt;font-size:11.5pt}.setup b{border:1.5pt solid #000;padding:1pt 6pt;margin-right:6pt}
.lifter{display:grid;grid-template-columns:46mm 35mm 1fr 37mm;column-gap:3mm;row-gap:2pt;align-items:center;border-bottom:.8pt solid #666;padding:2.5pt 0;break-inside:avoid}
.name{font-size:13pt;font-weight:bold;line-height:1.1}.move{font-size:9pt;line-height:1.15}.move b{text-transform:uppercase}
.total{font-size:22pt;line-height:1;font-weight:bold;text-align:right;white-space:nowrap}.total small{font-size:11pt}
.discs,.facts{grid-row:1/3}.ticks{grid-column:1/3}
.discs{grid-column:3}.discs svg{display:block}.discs p{margin:0;font-size:10.5pt;line-height:1.1;font-weight:bold}.discs p small{display:block;font-weight:normal;font-size:9pt}
.facts{grid-column:4;font-size:9.5pt}.facts b{font-size:11pt}
.ticks{display:flex;flex-wrap:wrap;gap:1.2mm}
.tick{width:6.4mm;height:5mm;border:.9pt solid #000;font-size:7pt;color:#555;padding-left:.6mm}
.notes{margin:4pt 0 0;padding-left:13pt;font-size:9pt;line-height:1.2}.notes li{margin:1pt 0}
.caution{font-size:8pt;line-height:1.2;border-top:.8pt solid #000;margin:4pt 0 0;padding-top:2pt}
.week{margin-top:4pt;font-size:9pt;line-height:1.2;break-inside:avoid}.week h2{font-size:10.5pt;margin:0 0 1pt}.week ul{margin:0;padding-left:13pt;columns:2}
)";

/// One side of the bar from the collar of the bar outwards, the higher the heavier.
std::string discs_drawn(const DiscStack& side, bool collar) {
  constexpr double kTall = 36.0;
  constexpr double kMiddle = 0.5 * kTall;
  std::string out;
  double x = 26.0;
  for (const Disc& disc : side) {
    const double kg = disc.mass.kg();
    // Smaller with less mass, but with room for the number; big discs are all of one height.
    const double tall = std::min(kTall, kTall * (0.45 + 0.55 * std::cbrt(kg / 20.0)));
    const double wide = std::clamp(8.0 + 0.5 * kg, 13.0, 20.0);
    const std::string number = load_number(kg, disc.mass.unit());
    const double letter = std::min(10.5, 1.5 * (tall - 2.0) / static_cast<double>(number.size()));
    for (int i = 0; i < disc.count; ++i) {
      out += fmt::format(
          "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" rx=\"2\" "
          "fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.3\"/>",
          x,
          kMiddle - 0.5 * tall,
          wide,
          tall);
      out += fmt::format(
          "<text transform=\"translate({:.1f} {:.1f}) rotate(-90)\" "
          "text-anchor=\"middle\" font-size=\"{:.1f}\" font-weight=\"bold\">{}</text>",
          x + 0.5 * wide + 0.36 * letter,
          kMiddle,
          letter,
          number);
      x += wide + 1.5;
    }
  }
  if (collar) {
    out += fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"7\" height=\"14\" fill=\"#000\"/>",
                       x + 1.0,
                       kMiddle - 7.0);
    x += 9.0;
  }
  const double end = std::max(x + 12.0, 90.0);
  return fmt::format(
      "<svg width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" "
      "aria-hidden=\"true\"><rect x=\"0\" y=\"{2:.1f}\" width=\"{3:.1f}\" height=\"5\" "
      "fill=\"#777\"/><rect x=\"18\" y=\"{4:.1f}\" width=\"6\" height=\"20\" "
      "fill=\"#777\"/>{5}</svg>",
      end,
      kTall,
      kMiddle - 2.5,
      end,
      kMiddle - 10.0,
      out);
}

/// What to put on and take off each side after the lifter before.
std::string change_from(const DiscStack& before, const DiscStack& now, MassUnit unit) {
  std::map<std::pair<double, MassUnit>, int, std::greater<>> change;
  for (const Disc& disc : now) change[{disc.mass.value(), disc.mass.unit()}] += disc.count;
  for (const Disc& disc : before) change[{disc.mass.value(), disc.mass.unit()}] -= disc.count;
  DiscStack on;
  DiscStack off;
  for (const auto& [mass, count] : change) {
    const auto& [value, stamped] = mass;
    const Mass of = stamped == MassUnit::kPound ? Mass::pounds(value) : Mass::kilograms(value);
    if (count > 0) on.push_back({.mass = of, .count = count});
    if (count < 0) off.push_back({.mass = of, .count = -count});
  }
  if (on.empty() && off.empty()) return "as the bar before";
  std::string out;
  if (!on.empty()) out = "on: " + discs_short(on, unit);
  if (!off.empty()) out += (out.empty() ? "off: " : "; off: ") + discs_short(off, unit);
  return out;
}

std::string weight(const std::optional<double>& kg, MassUnit unit) {
  if (!kg) return "not known";
  const double shown = unit == MassUnit::kPound ? *kg / kKilogramsPerPound : *kg;
  return fmt::format("{:.1f} {}", shown, unit_word(unit));
}

std::string facts(const NextLoading& loading, MassUnit unit) {
  const bool straight = loading.set.load.chains.empty() && loading.set.load.bands.empty();
  std::string out;
  if (!straight) {
    out += fmt::format("bottom <b>{}</b><br/>top <b>{}</b><br/>",
                       weight(loading.bottom_kg, unit),
                       weight(loading.top_kg, unit));
  }
  out += loading.expected_mps.ok()
             ? fmt::format("<b>{}</b> m/s", expected_in_words(loading.expected_mps))
             : std::string("expected velocity not known");
  return out;
}

std::string ticks(const LiftDay& day) {
  std::string out = "<div class=\"ticks\">";
  for (int set = 1; set <= day.session.sets; ++set) {
    out += fmt::format("<span class=\"tick\">{}</span>", set);
  }
  return out + "</div>\n";
}

std::string lifter_row(const LiftDay& day, std::size_t i, MassUnit unit) {
  const NextLoading& loading = day.loadings[i];
  std::string change = i == 0 ? std::string("first bar")
                              : change_from(day.loadings[i - 1].hung.side, loading.hung.side, unit);
  const bool moved =
      std::abs(loading.adjustment.offset_share) > 1e-9 || loading.adjustment.move != Move::kHold;
  return fmt::format(
             "<section class=\"lifter\"><div><div class=\"name\">{}</div><div "
             "class=\"move\">{}</div>"
             "</div><div class=\"total\">{} <small>{}</small></div><div class=\"discs\">{}<p>{}"
             "<small>{}</small></p></div><div class=\"facts\">{}</div>",
             escaped(loading.lifter),
             moved ? "<b>" + escaped(move_in_words(loading)) + "</b>" : "as the wave",
             load_number(loading.hung.total_kg, unit),
             unit_word(unit),
             discs_drawn(loading.hung.side, loading.collars),
             escaped(loading.hung.side.empty() ? "no discs" : discs_short(loading.hung.side, unit)),
             escaped(change),
             facts(loading, unit)) +
         ticks(day) + "</section>\n";
}

std::string head(const LiftDay& day, const std::string& club, MassUnit unit) {
  std::string meet;
  if (day.session.days_to_meet) {
    meet = fmt::format("{} days to the {}", *day.session.days_to_meet, escaped(day.meet));
  }
  std::string out = fmt::format(
      "<header><h1>{}<small>{}</small></h1><div class=\"when\">{}<small>{}"
      "</small></div></header>\n",
      escaped(capital(day.lift)),
      escaped(club.empty() ? "Loading sheet" : "Loading sheet, " + club),
      escaped(day_in_words(day.day)),
      meet);
  const std::string set_up =
      day.loadings.empty() ? std::string() : set_up_in_words(day.loadings.front());
  bool collars = false;
  for (const NextLoading& loading : day.loadings) collars = collars || loading.collars;
  return out + fmt::format("<p class=\"setup\"><b>{}</b>{}{}. {}. Discs of one side, {}.</p>\n",
                           escaped(sets_in_words(day)),
                           escaped(capital(set_up)),
                           collars ? ", collars on and counted" : "",
                           escaped(capital(session_in_words(day.session, day.weeks))),
                           unit_word(unit));
}

std::string note_list(const Notes& notes) {
  if (notes.empty()) return {};
  std::string out = "<ul class=\"notes\">";
  for (const Note& note : notes) out += "<li>" + escaped(note.text) + "</li>";
  return out + "</ul>\n";
}

std::string week(const NextPlan& plan) {
  if (plan.specials.empty() && plan.accessories.sessions.empty()) return {};
  std::string out = fmt::format("<div class=\"week\"><h2>Week of {}</h2><ul>",
                                escaped(day_in_words(plan.week_begins)));
  for (const SpecialSession& s : plan.specials) {
    out += fmt::format("<li>{}: {} (week {} of {})</li>",
                       weekday_name(s.day),
                       escaped(s.exercise),
                       s.turn_week,
                       s.turn_weeks);
  }
  for (const AccessorySession& s : plan.accessories.sessions) {
    out += fmt::format("<li>{}: {}, {}: {:g} kg × {:g} m × {}</li>",
                       weekday_name(s.day),
                       escaped(s.name),
                       in_words(s.kind),
                       s.load_kg,
                       s.distance_m,
                       s.times);
  }
  return out + "</ul></div>\n";
}

}  // namespace

std::string loading_sheet(const NextPlan& plan,
                          const std::string& club,
                          MassUnit unit,
                          Paper paper) {
  std::string out = fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><title>Loading sheet{}{}"
      "</title>\n<style>@page{{size:{};margin:8mm 10mm}}{}</style></head><body>\n",
      club.empty() ? "" : ", ",
      escaped(club),
      paper == Paper::kA4 ? "A4" : "letter",
      kStyleSheet);
  for (std::size_t i = 0; i < plan.days.size(); ++i) {
    const LiftDay& day = plan.days[i];
    out += "<div class=\"page\">" + head(day, club, unit);
    for (std::size_t k = 0; k < day.loadings.size(); ++k) out += lifter_row(day, k, unit);
    out += note_list(shared_notes(day));
    if (i + 1 == plan.days.size()) out += week(plan);
    out += "<p class=\"caution\">Velocities: mean of a session's reps on 95 % of days. " +
           escaped(plan_cautions()) + "</p></div>\n";
  }
  return out + "</body></html>\n";
}

}  // namespace kinetics
