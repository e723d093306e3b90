#include "libkinetics/report/profile_table.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/report/profile_words.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/report/unit_word.h"

namespace kinetics {
namespace {

constexpr std::string_view kIndent = "                   ";

std::string item(std::string_view name, const std::string& words) {
  return wrapped(printable(words), kTableColumns, fmt::format("{:<19}", name), kIndent);
}

std::string rows_of(const Profile& p, const VelocityLine& line) {
  const double base = share_base_kg(p);
  std::string out =
      fmt::format("{:>7} {:>8}  {:>14}  {:>17}\n", "Load", "Share", "Line", "One more set");
  out += fmt::format(
      "{:>7} {:>8}  {:>14}  {:>17}\n", unit_word(p.unit), base > 0.0 ? "% best" : "", "m/s", "m/s");
  for (const double load : round_loads_kg(p)) {
    const VelocityAt at = velocity_at(line, load);
    const double line_half = at.line_mps.hi - at.velocity_mps;
    const double set_half = at.set_mps.hi - at.velocity_mps;
    out += fmt::format("{:>7} {:>8}  {:>5.2f} ± {:<6.2f}  {:>8.2f} to {:.2f}{}\n",
                       fmt::format("{:g}", std::round(10.0 * in_unit(load, p.unit)) / 10.0),
                       base > 0.0 ? fmt::format("{:.0f}", 100.0 * load / base) : "",
                       at.velocity_mps,
                       line_half,
                       at.velocity_mps - set_half,
                       at.velocity_mps + set_half,
                       at.outside ? "  beyond the loads lifted" : "");
  }
  return out;
}

std::string power_of(const Profile& p) {
  if (!p.force) return "";
  const ForceVelocity& f = *p.force;
  std::string out = item("No load (V0)", with_half(f.v0_mps, 2) + " m/s");
  Worked at_rest{2.0 * f.best_load_kg.value, std::nullopt};
  out += item("No velocity (F0)",
              fmt::format("{} N: {}", with_half(f.f0_n, 0), load_words(at_rest.value, p.unit)));
  out += item("Highest power",
              fmt::format("{} W (F0 V0 / 4), at {} and {:.2f} m/s",
                          with_half(f.pmax_w, 0),
                          load_words(f.best_load_kg.value, p.unit),
                          f.best_mps));
  return out;
}

std::string scatter_of(const VelocityLine& line) {
  std::string out = fmt::format("{:.3f} m/s from set to set", line.scatter_mps);
  if (line.day_scatter_mps > 0.0005) {
    out += fmt::format(", {:.3f} m/s from day to day", line.day_scatter_mps);
  }
  return out + " (one standard deviation).";
}

std::string notes_of(const Notes& notes) {
  std::string out;
  for (const Note& note : notes) {
    out += wrapped(printable(note.text), kTableColumns, "Note: ", "  ");
  }
  return out;
}

std::string one_profile(const Profile& p) {
  std::string out = wrapped(printable(title_of(p)), kTableColumns);
  out += wrapped(fmt::format("{}; {}.", sets_and_days(p), in_words(p.axis)), kTableColumns);
  const VelocityLine* line = prediction_line(p);
  if (line == nullptr) {
    out += "\n" + wrapped(printable("No line: " + p.no_line + "."), kTableColumns, "", "  ");
    return out;
  }
  out += "\n" + rows_of(p, *line) + "\n" + power_of(p);
  out += item("Best single", best_single_words(p));
  out += item("Over the weeks", drift_words(p));
  out += item("Line", curve_words(p));
  out += item("", pooling_words(p));
  out += item("Scatter", scatter_of(*line));
  for (const ProfilePoint& point : p.points) {
    if (point.set_aside) out += item("Set aside", set_aside_words(p, point));
  }
  const std::string notes = notes_of(p.notes);
  if (!notes.empty()) out += "\n" + notes;
  return out;
}

constexpr std::string_view kProfileFoot =
    "± is half of the 95 % interval: of the line, then where 95 of 100 further sets on other days "
    "will lie. Force and power are the bar's: the lifter's own mass is not counted.";

constexpr std::string_view kCaution =
    "These figures describe bar movement, not technique, health or readiness: coach and lifter "
    "decide. Stop on pain or dizziness and see a licensed clinician. Local rules, the venue's and "
    "the federation's come first.";

bool any_estimate(const std::vector<const Profile*>& profiles) {
  return std::any_of(profiles.begin(), profiles.end(), [](const Profile* p) {
    return p->best.estimate_kg.has_value();
  });
}

}  // namespace

std::string profile_table(const std::vector<const Profile*>& profiles) {
  std::string out;
  for (const Profile* p : profiles) {
    if (!out.empty()) out += "\n";
    out += one_profile(*p);
  }
  out += "\n" + wrapped(kProfileFoot, kTableColumns);
  if (any_estimate(profiles)) {
    BestSingle any;
    for (const Profile* p : profiles) {
      any.beyond_lifted = any.beyond_lifted || p->best.beyond_lifted;
      if (p->best.velocity && p->best.velocity->source == BestVelocitySource::kCommon) {
        any.velocity = p->best.velocity;
      }
    }
    out += "\n" + wrapped(best_single_caution(any), kTableColumns);
  }
  return out + "\n" + wrapped(kCaution, kTableColumns);
}

}  // namespace kinetics
