#include "libkinetics/report/day_table.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

constexpr std::string_view kRowFormat = "{:>3}  {:>8}  {:<20}  {:>4}  {:>4}  {:>5}  {:>5}  {:<9}";

/// "12:34" since the recording began, or the time of day.
std::string when(const DaySet& set) {
  if (!set.clock.empty()) return set.clock;
  const auto whole = static_cast<int>(std::floor(set.recording_s));
  return fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

std::string shortened(const std::string& text, std::size_t width) {
  if (shown_width(text) <= width) return text;
  std::string out;
  for (const char c : text) {
    const bool begins = (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    if (begins && shown_width(out) + 1 >= width) break;
    out += c;
  }
  return out + "…";
}

std::string padded(const std::string& text, std::size_t width) {
  return text + std::string(width - std::min(width, shown_width(text)), ' ');
}

std::string velocity(const std::optional<double>& mps) {
  return mps ? fmt::format("{:.2f}", *mps) : "-";
}

std::string row(const DaySession& day, const DaySet& set) {
  std::optional<double> best;
  std::optional<double> last;
  for (const Rep& rep : set.session.reps) {
    if (!rep.mean_velocity_mps.ok() || rep.kind == RepKind::kFailed) continue;
    last = rep.mean_velocity_mps.value();
    best = std::max(best.value_or(0.0), *last);
  }
  constexpr std::size_t kNameWidth = 20;
  const DayRow* planned = set.match.row ? &day.rows[*set.match.row] : nullptr;
  const std::string sure = set.match.corrected  ? "by you"
                           : planned == nullptr ? std::string(in_words(set.match.certainty))
                                                : std::string(in_words(set.match.lifter_certainty));
  std::string line = fmt::format(
      fmt::runtime(kRowFormat),
      set.number,
      when(set),
      padded(shortened(printable(planned ? planned->lifter : "nobody's"), kNameWidth), kNameWidth),
      planned ? std::to_string(planned->row) : "-",
      set.session.reps.size(),
      velocity(best),
      velocity(last),
      sure);
  line.erase(line.find_last_not_of(' ') + 1);
  return line + '\n';
}

/// Sets whose row is not certain, with what else they could be.
std::string doubts(const DaySession& day) {
  DayMatch match;
  for (const DaySet& set : day.sets) match.sets.push_back(set.match);
  std::string text;
  for (std::size_t k = 0; k < day.sets.size(); ++k) {
    const SetMatch& m = day.sets[k].match;
    if (m.corrected || m.certainty != MatchCertainty::kDoubtful) continue;
    text += wrapped(printable(in_a_sentence(match, k, day.rows)), kTableColumns);
  }
  return text;
}

}  // namespace

std::string day_table(const DaySession& day) {
  std::string text = fmt::format("{}{} sets in {} {}, {} rows in {}\n\n",
                                 day.held_on.empty() ? "" : day.held_on + ": ",
                                 day.sets.size(),
                                 day.recordings.size(),
                                 day.recordings.size() == 1 ? "recording" : "recordings",
                                 day.rows.size(),
                                 printable(std::filesystem::path(day.sheet.file).filename().string()));
  text += fmt::format(
      fmt::runtime(kRowFormat), "Set", "Time", "Lifter", "Row", "Reps", "Best", "Last", "Sure");
  text.erase(text.find_last_not_of(' ') + 1);
  text += '\n';
  for (const DaySet& set : day.sets) text += row(day, set);
  text += "\n" + wrapped(
                     "Best and last are mean velocities in m/s. A set that is somebody else's: "
                     "--assign SET=ROW, or SET=nobody; that is kept.",
                     kTableColumns);
  const std::string unsure = doubts(day);
  if (!unsure.empty()) text += "\n" + unsure;
  for (const Note& note : day.notes) text += "\n" + wrapped(printable(note.text), kTableColumns);
  return text;
}

}  // namespace kinetics
