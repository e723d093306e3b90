#include "libkinetics/report/load_table.h"

#include <algorithm>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/rep_label.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;
constexpr double kCentimetres = 100.0;
constexpr std::string_view kRowFormat = "{}  {:>6} {:>6} {:>6}  {:>10}  {:>10}  {:>10}  {}";

// The load's own error is in the force's; three of them would not fit the page.
std::string value_of(const Measured& m) {
  return m.ok() ? fmt::format("{:.1f}", m.value()) : "-";
}

std::string with_interval(const Measured& m) {
  if (!m.ok()) return "-";
  return fmt::format("{:.0f} ± {:.0f}", m.value(), kNormal95 * m.sigma());
}

std::string row(const RepLabels& labels, const Rep& rep) {
  return fmt::format(fmt::runtime(kRowFormat),
                     labels.of(rep),
                     value_of(rep.bottom_load_kg),
                     value_of(rep.mean_load_kg),
                     value_of(rep.top_load_kg),
                     with_interval(rep.mean_force_n),
                     with_interval(rep.peak_force_n),
                     with_interval(rep.mean_power_w),
                     slow_point_in_words(rep)) +
         "\n";
}

std::string headings(const RepLabels& labels) {
  std::string text =
      fmt::format(fmt::runtime(kRowFormat),
                  labels.heading(),
                  "Bottom",
                  "Mean",
                  "Top",
                  "Mean force",
                  "Peak force",
                  "Mean power",
                  "Slow point") +
      "\n" +
      fmt::format(
          fmt::runtime(kRowFormat), labels.blank(), "kg", "kg", "kg", "N", "N", "W", "height");
  return text + "\n";
}

/// One line for each reason why forces are missing.
std::string what_is_missing(const std::vector<Rep>& reps) {
  std::vector<Reason> said;
  std::string text;
  for (const Rep& rep : reps) {
    if (rep.mean_force_n.ok()) continue;
    const Reason reason = rep.mean_force_n.reason();
    if (std::find(said.begin(), said.end(), reason) != said.end()) continue;
    said.push_back(reason);
    text +=
        wrapped(fmt::format("Force and power not measured where '-' stands: {}.", in_words(reason)),
                kTableColumns,
                "",
                "  ");
  }
  return text;
}

}  // namespace

std::string slow_point_in_words(const Rep& rep) {
  if (!rep.sticking_low_height.ok()) {
    switch (rep.sticking_low_height.reason()) {
      case Reason::kNotApplicable:
        return "none";
      case Reason::kWithinNoise:
        return "cannot tell";
      default:
        return "not measured";
    }
  }
  std::string out = fmt::format("{:.0f} %", kPercent * rep.sticking_low_height.value());
  if (rep.sticking_from_height.ok() && rep.second_peak_height.ok()) {
    out += fmt::format(", {:.0f}-{:.0f}",
                       kPercent * rep.sticking_from_height.value(),
                       kPercent * rep.second_peak_height.value());
  }
  return out;
}

std::string load_table(const Session& session) {
  const bool loaded = session.options.loading.load.has_value();
  const bool stuck = std::any_of(session.reps.begin(), session.reps.end(), [](const Rep& rep) {
    return rep.sticking_low_height.ok();
  });
  if (session.reps.empty() || (!loaded && !stuck)) return "";
  const RepLabels labels(session.reps);
  std::string text = headings(labels);
  for (std::size_t i = 0; i < session.reps.size(); ++i) {
    if (i > 0 && session.reps[i].set != session.reps[i - 1].set) text += '\n';
    text += row(labels, session.reps[i]);
  }
  text += "\n" + what_is_missing(session.reps);
  return text +
         wrapped(
             "Loads are the straight weight that would weigh the same. Slow point: where in a "
             "sticking region the bar was slowest, and the region's ends, as shares of the "
             "range.",
             kTableColumns);
}

std::string set_in_words(const Session& session) {
  const AnalysisOptions& options = session.options;
  if (!options.plan) {
    if (!options.loading.load) return "";
    const BarLoad& load = *options.loading.load;
    const double straight_kg = load.bar_kg + load.discs_kg + load.collars_kg;
    return wrapped("Load: " + load_in_words(straight_kg, MassUnit::kKilogram, load), kTableColumns);
  }
  const SetPlan& plan = *options.plan;
  std::string text = fmt::format("{}, {}", plan.lifter, plan.lift);
  if (plan.box_height_m)
    text += fmt::format(" on a box of {:g} cm", kCentimetres * *plan.box_height_m);
  if (!plan.bar.empty()) text += fmt::format(", {}", plan.bar);
  text += ": ";
  text += load_in_words(plan.stated_load_kg, plan.unit, options.loading.load.value_or(BarLoad{}));
  text += fmt::format(" ({} row {}", plan.sheet, plan.row);
  if (plan.set) text += fmt::format(", set {}", *plan.set);
  if (!plan.start.empty()) text += fmt::format(", {}", plan.start);
  return wrapped(printable(text + ")"), kTableColumns, "", "  ");
}

}  // namespace kinetics
