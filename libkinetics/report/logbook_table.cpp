#include "libkinetics/report/logbook_table.h"

#include <cstddef>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

constexpr std::string_view kRowFormat = "{:<5} {} {} {} {:>4} {:>6}  {}";
constexpr std::size_t kLifterColumns = 18;
constexpr std::size_t kLiftColumns = 16;
constexpr std::size_t kLoadColumns = 10;

/// Exactly `columns` wide as shown; what is longer ends in "…".
std::string fitted(const std::string& text, std::size_t columns) {
  std::string out = printable(text);
  if (shown_width(out) > columns) {
    while (shown_width(out) > columns - 1) {
      do {
        out.pop_back();
      } while (!out.empty() && (static_cast<unsigned char>(out.back()) & 0xC0U) == 0x80U);
    }
    out += "…";
  }
  return out + std::string(columns - shown_width(out), ' ');
}

std::string without_end_spaces(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

std::string mark_of(const SessionEntry& entry) {
  if (!entry.problem.empty()) return "damaged or gone";
  if (!entry.replaced_by.empty()) return "replaced";
  return entry.supersedes.empty() ? "" : "corrected";
}

std::string row(const SessionEntry& entry) {
  const bool known = !entry.lifter.empty();
  const std::string load = known ? load_in_words(entry.stated_load_kg, entry.unit, {}) +
                                       (entry.accommodating.empty() ? "" : "+")
                                 : "";
  return without_end_spaces(fmt::format(
             fmt::runtime(kRowFormat),
             fitted(entry.start, 5),
             fitted(known ? entry.lifter : entry.source_name, kLifterColumns),
             fitted(entry.lift, kLiftColumns),
             fitted(load, kLoadColumns),
             entry.reps,
             entry.fastest_mps.ok() ? fmt::format("{:.3f}", entry.fastest_mps.value()) : "-",
             mark_of(entry))) +
         "\n";
}

std::string counted(std::size_t n, std::string_view what) {
  return fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
}

std::string paragraph(const std::string& text) {
  return wrapped(printable(text), kTableColumns, "", "  ");
}

std::string notes_in_words(const Notes& notes) {
  std::string text;
  for (const Note& note : notes) text += paragraph("Note: " + note.text);
  return text;
}

std::string in_words(const DamagedFile& file) {
  return paragraph(fmt::format("{}: {}. {}{}.{}",
                               file.file,
                               file.what,
                               file.held.empty() ? "" : fmt::format("It held {}. ", file.held),
                               file.mend,
                               file.worthless ? "" : " It is left where it is."));
}

}  // namespace

std::string list_in_words(const SessionList& list, bool with_files) {
  if (list.sessions.empty()) return "No session.\n" + notes_in_words(list.notes);
  std::string text = without_end_spaces(fmt::format(fmt::runtime(kRowFormat),
                                                    "Start",
                                                    fitted("Lifter", kLifterColumns),
                                                    fitted("Lift", kLiftColumns),
                                                    fitted("Load", kLoadColumns),
                                                    "Reps",
                                                    "m/s",
                                                    "")) +
                     "\n";
  const std::string* day = nullptr;
  for (const SessionEntry& entry : list.sessions) {
    if (day == nullptr || *day != entry.day) {
      text += "\n" + (entry.day.empty() ? std::string("day not known") : entry.day) + "\n";
    }
    day = &entry.day;
    text += row(entry);
    if (with_files) text += "      " + printable(entry.file) + "\n";
  }
  text += "\n" + paragraph(counted(list.sessions.size(), "session") +
                           ". m/s: mean velocity of the fastest rep. +: chains or bands.");
  return text + notes_in_words(list.notes);
}

std::string check_in_words(const LogbookCheck& check) {
  std::string text = paragraph(fmt::format(
      "{} read whole and found as stored{}.",
      counted(check.whole, "session"),
      check.replaced == 0 ? "" : fmt::format(", {} of them replaced by another", check.replaced)));
  if (check.index_made_anew) {
    text += paragraph("The index did not agree with the files; it was made anew.");
  }
  if (!check.damaged.empty()) {
    text += "\n" + counted(check.damaged.size(), "file") + " cannot be used:\n";
    for (const DamagedFile& file : check.damaged) text += in_words(file);
  }
  if (!check.leftovers.empty()) {
    text += "\n" + paragraph(fmt::format("{} of files that a stopped program never finished; "
                                         "nothing needs them: {}.",
                                         counted(check.leftovers.size(), "part"),
                                         fmt::join(check.leftovers, ", ")));
  }
  if (!check.remarks.empty()) text += "\n" + notes_in_words(check.remarks);
  return text;
}

}  // namespace kinetics
