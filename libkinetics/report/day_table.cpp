#include "libkinetics/report/day_table.h"

#include <array>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/day_view.h"
#include "libkinetics/report/day_words.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

using day_view::ColumnKind;
using day_view::DayColumn;
using day_view::LifterDay;

constexpr std::size_t kNumbers = 9;
constexpr std::array<std::size_t, kNumbers> kWidths{4, 7, 7, 8, 5, 14, 6, 14, 5};
constexpr std::string_view kIndent = "      ";

constexpr std::string_view kCaution =
    "These figures describe bar movement, not technique, health or readiness: coach and lifter "
    "decide. Never add load on a number that is uncertain or not measured. Stop on pain or "
    "dizziness and see a licensed clinician.";

std::string line_of(const std::array<std::string, kNumbers>& cells, const std::string& end) {
  std::string out;
  for (std::size_t i = 0; i < kNumbers; ++i) {
    const std::size_t shown = shown_width(cells[i]);
    out += std::string(shown < kWidths[i] ? kWidths[i] - shown : 1, ' ') + cells[i];
  }
  if (!end.empty()) out += " " + end;
  out.erase(out.find_last_not_of(' ') + 1);
  return out + "\n";
}

std::string number(const Measured& m, double factor, int decimals) {
  return m.ok() ? fmt::format("{:.{}f}", factor * m.value(), decimals) : "-";
}

std::string with_interval(const Measured& m) {
  return m.ok() ? fmt::format("{:.3f} ± {:.3f}", m.value(), kNormal95 * m.sigma()) : "-";
}

/// "97-103"; empty when the load is the same all the way.
std::string ends_of_load(const SetFigures& f, const LoadUnit& unit) {
  constexpr double kLeastKg = 0.05;
  if (!f.bottom_load_kg.ok() || !f.top_load_kg.ok()) return "";
  if (f.top_load_kg.value() - f.bottom_load_kg.value() < kLeastKg) return "";
  return number(f.bottom_load_kg, unit.a_kg, 0) + "-" + number(f.top_load_kg, unit.a_kg, 0);
}

std::string set_line(const DayColumn& column, const LoadUnit& unit) {
  if (column.kind == ColumnKind::kMissed) {
    return line_of({column.label, column.time, column.load}, "not seen");
  }
  const SetFigures& f = column.figures;
  std::string reps = fmt::format("{}", f.reps);
  if (column.planned_reps) reps += fmt::format("/{}", *column.planned_reps);
  return line_of({column.label,
                  column.time,
                  column.load,
                  ends_of_load(f, unit),
                  reps,
                  with_interval(f.fastest_mps),
                  number(f.mean_mps, 1.0, 3),
                  with_interval(f.last_mps),
                  number(f.loss, 100.0, 0)},
                 column.kind == ColumnKind::kExtra ? "" : column.match);
}

std::string lifter_in_words(const LifterDay& lifter,
                            const std::vector<std::string>& works,
                            const LoadUnit& unit) {
  std::string text;
  std::optional<std::size_t> work;
  for (const DayColumn& column : lifter.columns) {
    if (column.work != work) {
      work = column.work;
      const std::string heading = lifter.lifter.empty()
                                      ? "Sets not on the sheet"
                                      : lifter.lifter + ", " + works.at(column.work);
      text += (text.empty() ? "" : "\n") + wrapped(printable(heading), kTableColumns, "", "  ");
    }
    text += set_line(column, unit);
    if (column.figures.flags.empty()) continue;
    text +=
        wrapped(day_view::flags_in_words(column.figures.flags), kTableColumns, kIndent, kIndent);
  }
  return text;
}

std::string doubts_in_words(const DaySession& day) {
  std::string text;
  for (const DaySet& set : day.sets) {
    const std::vector<std::string> others = day_view::alternatives_in_words(day, set);
    if (others.empty() || set.match.certainty != MatchCertainty::kDoubtful) continue;
    text += wrapped(printable(fmt::format("Recorded set {} ({}) is doubtful: {}, or {}.",
                                          set.number,
                                          day_view::begin_of(set),
                                          day_view::row_in_words(day, set.match.row),
                                          fmt::join(others, ", or "))),
                    kTableColumns,
                    "",
                    "  ");
  }
  return text;
}

std::string missed_in_words(const DaySession& day) {
  std::string text;
  for (const std::size_t row : day.missed) {
    text += wrapped(printable(fmt::format("Not seen: {}.", day_view::row_in_words(day, row))),
                    kTableColumns,
                    "",
                    "  ");
  }
  return text;
}

std::string notes_in_words(const Notes& notes) {
  std::string text;
  for (const Note& note : notes) {
    const std::string lead = note.kind == NoteKind::kCaution ? "Caution: " : "Note: ";
    text += wrapped(printable(lead + note.text), kTableColumns, "", "  ");
  }
  return text;
}

}  // namespace

std::string day_table(const DaySession& day) {
  const LoadUnit unit = load_unit(day_view::unit_of(day));
  std::string text =
      line_of({"Set", "Begins", "Load", "Bottom", "Reps", "Fastest", "Mean", "Last", "Loss"},
              "Match") +
      line_of({"", "", unit.name, "to top", "", "m/s", "m/s", "m/s", "%"}, "");
  const day_view::DayView view = day_view::view_of(day);
  for (const LifterDay& lifter : view.lifters) {
    text += "\n" + lifter_in_words(lifter, view.works, unit);
  }
  text += "\n± is half of the 95 % interval.\n";
  const std::string open = doubts_in_words(day) + missed_in_words(day) + notes_in_words(day.notes);
  if (!open.empty()) text += "\n" + open;
  return text + "\n" + wrapped(kCaution, kTableColumns);
}

}  // namespace kinetics
