#include <fmt/format.h>

#include "libkinetics/day/match_sets.h"

namespace kinetics {
namespace {

std::string name_of(const std::optional<std::size_t>& row, const std::vector<DayRow>& rows) {
  if (!row) return "an extra set";
  return fmt::format("row {}, {}", rows[*row].row, rows[*row].lifter);
}

}  // namespace

std::string_view in_words(MatchCertainty certainty) {
  switch (certainty) {
    case MatchCertainty::kCertain:
      return "certain";
    case MatchCertainty::kLikely:
      return "likely";
    case MatchCertainty::kDoubtful:
      break;
  }
  return "doubtful";
}

std::string in_a_sentence(const DayMatch& match, std::size_t set, const std::vector<DayRow>& rows) {
  const SetMatch& found = match.sets.at(set);
  if (found.corrected) {
    return fmt::format("Set {} is {} (the coach's word).", set + 1, name_of(found.row, rows));
  }
  std::string out = fmt::format(
      "Set {} is {} ({}).", set + 1, name_of(found.row, rows), in_words(found.certainty));
  if (found.certainty == MatchCertainty::kCertain) return out;
  for (const Alternative& other : found.alternatives) {
    out += fmt::format(" Or {}: {:.1f} points more.", name_of(other.row, rows), other.extra_points);
  }
  return out;
}

}  // namespace kinetics
