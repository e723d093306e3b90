#include "libkinetics/sheet/sheet_columns.h"

#include <algorithm>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/roster/names.h"
#include "libkinetics/sheet/cell_text.h"

namespace kinetics::sheet_detail {
namespace {

struct Meaning {
  SheetField field;
  std::string_view words[9];  // the first is the one we write
};

constexpr std::array<Meaning, kSheetFields> kMeanings{{
    {SheetField::kLifter, {"lifter", "athlete", "name", "lifters name", "lifter name", "who"}},
    {SheetField::kLift, {"lift", "lift variant", "variant", "exercise", "movement"}},
    {SheetField::kBar, {"bar", "special bar", "barbell", "bar used", "which bar"}},
    {SheetField::kBoxHeight, {"box height", "box", "height of box", "height of the box"}},
    {SheetField::kLoad,
     {"load",
      "bar load",
      "weight",
      "bar weight",
      "total load",
      "total weight",
      "total",
      "load on bar",
      "load on the bar"}},
    {SheetField::kChains, {"chains", "chain"}},
    {SheetField::kBands, {"bands", "band"}},
    {SheetField::kSet, {"set", "set number", "set no", "set nr", "sets"}},
    {SheetField::kStart,
     {"time", "start", "start time", "order", "time of day", "starts at", "clock"}},
    {SheetField::kReps, {"reps", "planned reps", "rep", "repetitions", "reps planned"}},
    {SheetField::kNotes, {"notes", "note", "remarks", "remark", "comments", "comment"}},
    {SheetField::kClip, {"clip", "video", "recording", "file", "file name", "log"}},
    {SheetField::kDate, {"date", "day", "held on", "session date", "date of session"}},
}};

constexpr std::array<SheetField, 3> kNeeded{
    SheetField::kLifter, SheetField::kLift, SheetField::kLoad};

std::size_t index_of(SheetField field) {
  return static_cast<std::size_t>(field);
}

// "Bar-load [KG]:" gives "bar load kg".
std::string plain_words(std::string_view cell) {
  std::string out = trimmed(cell);
  for (char& c : out) {
    if (std::string_view("()[]{}.:,;/#_-*").find(c) != std::string_view::npos) c = ' ';
  }
  return folded(out);
}

// "load in kg" gives "load", and "kg" as the unit.
std::string without_unit(std::string words, std::string& unit) {
  const std::size_t space = words.rfind(' ');
  if (space == std::string::npos) return words;
  const std::string last = words.substr(space + 1);
  if (!kilograms_in(last) && !metres_in(last)) return words;
  unit = last;
  words.resize(space);
  constexpr std::string_view kIn = " in";
  if (words.ends_with(kIn)) words.resize(words.size() - kIn.size());
  return words;
}

std::size_t understood(const std::vector<std::string>& row) {
  std::size_t count = 0;
  for (const std::string& cell : row) count += heading_in(cell) ? 1U : 0U;
  return count;
}

// Titles and an empty line or two may stand above the headings.
constexpr std::size_t kDeepestHeading = 20;

struct Best {
  std::size_t row = 0;
  std::size_t count = 0;
};

Best best_heading_row(const CsvTable& table) {
  Best best;
  for (std::size_t r = 0; r < std::min(table.rows.size(), kDeepestHeading); ++r) {
    const std::size_t count = understood(table.rows[r]);
    if (count > best.count) best = {.row = r, .count = count};
  }
  return best;
}

CsvTable best_split(const std::string& text, const std::string& file) {
  std::optional<CsvTable> best;
  std::size_t most = 0;
  std::optional<Error> trouble;
  for (const char delimiter : {',', ';', '\t', '|'}) {
    try {
      CsvTable table = read_csv(text, delimiter, file);
      const std::size_t count = best_heading_row(table).count;
      if (best && count <= most) continue;
      most = count;
      best = std::move(table);
    } catch (const Error& error) {
      if (!trouble) trouble = error;
    }
  }
  // Under a delimiter that is not the sheet's own, a quotation goes unseen and so does the heading.
  if (trouble && (!best || most < 2)) throw *trouble;
  return std::move(*best);
}

[[noreturn]] void refuse(const std::string& file,
                         std::size_t row,
                         const std::string& what,
                         const std::string& mend) {
  throw as_error({.row = static_cast<int>(row) + 1, .column = "", .what = what, .mend = mend},
                 file);
}

std::vector<std::string> all_words() {
  std::vector<std::string> out;
  out.reserve(kMeanings.size());
  for (const Meaning& meaning : kMeanings) out.emplace_back(meaning.words[0]);
  return out;
}

void take_heading(Headings& headings,
                  const Heading& found,
                  std::size_t column,
                  const std::string& file) {
  auto& place = headings.columns[index_of(found.field)];
  if (place) {
    refuse(file,
           headings.row,
           fmt::format("columns {} and {} both mean the {}",
                       column_letters(*place),
                       column_letters(column),
                       word_for(found.field)),
           "Rename one of them");
  }
  place = column;
  headings.units[index_of(found.field)] = found.unit;
}

Headings find_headings(const CsvTable& table, const std::string& file, Notes& notes) {
  Headings headings;
  const Best best = best_heading_row(table);
  if (best.count < 2) {
    throw Error(ErrorCode::kUnreadable,
                file,
                "no row of headings is found",
                fmt::format("Name the columns in the first row: {}", fmt::join(all_words(), ", ")));
  }
  headings.row = best.row;
  const std::vector<std::string>& cells = table.rows[best.row];
  std::string unit;
  for (std::size_t c = 0; c < cells.size(); ++c) {
    if (const auto found = heading_in(cells[c])) {
      take_heading(headings, *found, c, file);
    } else if (const auto near =
                   nearest_name(without_unit(plain_words(cells[c]), unit), all_words())) {
      notes.push_back({NoteKind::kDecision,
                       fmt::format("Column {} '{}' is not read. Was '{}' meant?",
                                   column_letters(c),
                                   trimmed(cells[c]),
                                   *near)});
    }
  }
  for (const SheetField needed : kNeeded) {
    if (headings.columns[index_of(needed)]) continue;
    std::string hint = fmt::format("Head one with '{}'", word_for(needed));
    for (const Note& note : notes) hint = note.text;
    refuse(file, best.row, fmt::format("there is no column for the {}", word_for(needed)), hint);
  }
  return headings;
}

}  // namespace

std::string_view word_for(SheetField field) {
  return kMeanings[index_of(field)].words[0];
}

std::optional<Heading> heading_in(std::string_view cell) {
  std::string unit;
  const std::string words = without_unit(plain_words(cell), unit);
  for (const Meaning& meaning : kMeanings) {
    for (const std::string_view word : meaning.words) {
      if (!word.empty() && word == words) return Heading{.field = meaning.field, .unit = unit};
    }
  }
  return std::nullopt;
}

ReadTable read_table(const std::string& text, const std::string& file) {
  ReadTable out{.table = best_split(text, file), .headings = {}, .notes = {}};
  out.headings = find_headings(out.table, file, out.notes);
  return out;
}

}  // namespace kinetics::sheet_detail
