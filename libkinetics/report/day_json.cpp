#include "libkinetics/report/day_json.h"

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <optional>
#include <vector>

#include <nlohmann/json.hpp>

#include "libkinetics/report/day_words.h"
#include "libkinetics/report/json_parts.h"
#include "libkinetics/report/set_figures.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

using json_parts::Json;
using json_parts::of;
using json_parts::or_null;
using json_parts::rounded;

Json row_number(const DaySession& day, const std::optional<std::size_t>& row) {
  return row ? Json(day.rows.at(*row).row) : Json(nullptr);
}

Json of_row(const DaySession& day, const DayRow& row) {
  Json out = {{"row", row.row},
              {"lifter", row.lifter},
              {"lift", ""},
              {"load", ""},
              {"start", ""},
              {"set", nullptr},
              {"planned_reps", or_null(row.planned_reps)}};
  if (const SheetRow* sheet_row = sheet_row_of(day, row)) {
    out["lift"] = sheet_row->lift;
    out["load"] = load_in_words(sheet_row->load_kg, sheet_row->load_unit, BarLoad{});
    out["start"] = sheet_row->start;
    out["set"] = or_null(sheet_row->set);
  }
  return out;
}

/// A term that costs nothing to speak of says nothing.
Json against(const SetMatch& match) {
  constexpr double kWorthSaying = 0.5;
  std::vector<CostTerm> terms = match.terms;
  std::erase_if(terms, [](const CostTerm& term) { return term.points < kWorthSaying; });
  std::stable_sort(terms.begin(), terms.end(), [](const CostTerm& a, const CostTerm& b) {
    return a.points > b.points;
  });
  Json out = Json::array();
  for (const CostTerm& term : terms) out.push_back(term.what);
  return out;
}

/// As many as are put into words: none of a certain match.
Json alternatives(const DaySession& day, const DaySet& set) {
  Json out = Json::array();
  const std::vector<std::string> words = day_view::alternatives_in_words(day, set);
  for (std::size_t i = 0; i < words.size(); ++i) {
    out.push_back(
        {{"row", row_number(day, set.match.alternatives.at(i).row)}, {"words", words[i]}});
  }
  return out;
}

Json of_set(const DaySession& day, const DaySet& set) {
  const SetFigures figures = set_figures(set.session);
  Json flags = Json::array();
  for (const SetFlag& flag : figures.flags) flags.push_back(in_words(flag));
  return {{"number", set.number},
          {"begins", day_view::begin_of(set)},
          {"recording", set.recording},
          {"recording_s", rounded(set.recording_s)},
          {"session", std::filesystem::path(set.session_file).filename().string()},
          {"row", row_number(day, set.match.row)},
          {"match", day_view::match_in_words(set)},
          {"certainty", in_words(set.match.certainty)},
          {"corrected", set.match.corrected},
          {"against", against(set.match)},
          {"alternatives", alternatives(day, set)},
          {"like", set.match.like ? Json(day.rows.at(*set.match.like).lifter) : Json(nullptr)},
          {"reps", figures.reps},
          {"fastest_mps", of(figures.fastest_mps)},
          {"mean_mps", of(figures.mean_mps)},
          {"last_mps", of(figures.last_mps)},
          {"loss", of(figures.loss)},
          {"flags", std::move(flags)}};
}

}  // namespace

std::string to_json(const DaySession& day) {
  constexpr int kSchemaVersion = 1;
  Json out = {{"format", "kinetics day"},
              {"schema_version", kSchemaVersion},
              {"held_on", day.held_on.empty() ? Json(nullptr) : Json(day.held_on)},
              {"sheet", std::filesystem::path(day.sheet.file).filename().string()},
              {"recordings", day.recordings},
              {"rows", Json::array()},
              {"sets", Json::array()},
              {"missed", Json::array()},
              {"notes", Json::array()}};
  for (const DayRow& row : day.rows) out["rows"].push_back(of_row(day, row));
  for (const DaySet& set : day.sets) out["sets"].push_back(of_set(day, set));
  for (const std::size_t row : day.missed) out["missed"].push_back(day.rows.at(row).row);
  for (const Note& note : day.notes) out["notes"].push_back(of(note));
  return json_parts::text_of(out, 1) + "\n";
}

}  // namespace kinetics
