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

constexpr std::array<std::size_t, 9> kWidths{4, 7, 7, 5, 14, 6, 14, 5, 5};
constexpr std::string_view kIndent = "      ";

/// Cells that are left out at the end take no room.
std::string line_of(const std::vector<std::string>& cells, const std::string& end) {
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const std::size_t shown = shown_width(cells[i]);
    out += std::string(shown < kWidths.at(i) ? kWidths.at(i) - shown : 1, ' ') + cells[i];
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

std::string set_line(const DayColumn& column) {
  if (column.kind == ColumnKind::kMissed) {
    return line_of({column.label, column.time, column.load},
                   fmt::format("   row {}: not seen", column.row));
  }
  const SetFigures& f = column.figures;
  std::string reps = fmt::format("{}", f.reps);
  if (column.planned_reps) reps += fmt::format("/{}", *column.planned_reps);
  return line_of({column.label,
                  column.time,
                  column.load,
                  reps,
                  with_interval(f.fastest_mps),
                  number(f.mean_mps, 1.0, 3),
                  with_interval(f.last_mps),
                  number(f.loss, 100.0, 0),
                  fmt::format("{}", column.recorded)},
                 column.kind == ColumnKind::kExtra ? "" : column.match);
}

std::string lifter_in_words(const LifterDay& lifter, const std::vector<std::string>& works) {
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
    text += set_line(column);
    if (column.figures.flags.empty()) continue;
    text +=
        wrapped(day_view::flags_in_words(column.figures.flags), kTableColumns, kIndent, kIndent);
  }
  return text;
}

std::string doubts_in_words(const DaySession& day) {
  std::string text;
  const std::vector<day_view::AlikeDoubt> alike = day_view::alike_doubts(day);
  for (const day_view::AlikeDoubt& doubt : alike) {
    text += wrapped(printable(doubt.words), kTableColumns, "", "  ");
  }
  for (const DaySet& set : day.sets) {
    if (day_view::told_in(alike, set)) continue;
    const std::vector<std::string> others = day_view::alternatives_in_words(day, set);
    if (others.empty() || set.match.certainty != MatchCertainty::kDoubtful) continue;
    text += wrapped(printable(fmt::format("No. {} ({}) is doubtful: {}, or {}.",
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
  const std::string unit = load_unit(day_view::unit_of(day)).name;
  std::string text =
      line_of({"Set", "Begins", "Load", "Reps", "Fastest", "Mean", "Last", "Loss", "No."},
              "Match") +
      line_of({"", "", unit, "", "m/s", "m/s", "m/s", "%"}, "");
  const day_view::DayView view = day_view::view_of(day);
  for (const LifterDay& lifter : view.lifters) text += "\n" + lifter_in_words(lifter, view.works);
  text += "\n" + wrapped(
                     "± is half of the 95 % interval. No. counts the sets of the day: a set that "
                     "is another row's is set right by --assign NO=ROW, and that is kept.",
                     kTableColumns);
  const std::string open = doubts_in_words(day) + notes_in_words(day.notes);
  if (!open.empty()) text += "\n" + open;
  return text + "\n" + wrapped(usual_cautions(), kTableColumns);
}

}  // namespace kinetics
