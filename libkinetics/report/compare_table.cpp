#include "libkinetics/report/compare_table.h"

#include <cmath>
#include <string_view>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/sheet/csv_table.h"

namespace kinetics {
namespace {

using Json = nlohmann::ordered_json;

std::string paragraph(const std::string& text, std::string_view rest = "  ") {
  return wrapped(printable(text), kTableColumns, "", rest);
}

std::string difference(const VelocityChange& change) {
  return fmt::format("{:+.3f} ± {:.3f}", change.difference_mps, change.half_width_mps);
}

std::string word(const VelocityChange& change, double worthwhile_mps) {
  std::string out(in_words(change.change));
  const bool clear = change.change != ChangeWord::kNoClearChange;
  if (clear && std::abs(change.difference_mps) < worthwhile_mps) out += ", less than worthwhile";
  return out;
}

std::string span_in_words(const CompareSpan& span) {
  if (span.from == span.to) return fmt::format("{} ({})", span.name, day_in_words(span.from));
  return fmt::format("{} ({} to {})", span.name, day_in_words(span.from), day_in_words(span.to));
}

std::string lifter_row(const LifterChange& one, double worthwhile_mps) {
  std::string name = printable(one.lifter);
  constexpr std::size_t kWide = 18;
  if (shown_width(name) > kWide) name = name.substr(0, wrapped(name, kWide).find('\n'));
  name += std::string(kWide - std::min(kWide, shown_width(name)), ' ');
  return fmt::format("{} {:>7.1f} {:>8} {:>6.3f} {:>6.3f}  {}  {}\n",
                     name,
                     one.load_kg,
                     fmt::format("{} / {}", one.sessions_before, one.sessions_after),
                     one.before_mps,
                     one.after_mps,
                     difference(one.change),
                     word(one.change, worthwhile_mps));
}

std::string scatter_in_words(const Comparison& c) {
  std::string out = fmt::format(
      "Typical error of one lifter's session {:.3f} m/s; a whole day is faster or slower by ± "
      "{:.3f} m/s (one standard deviation). Smallest worthwhile change {:.3f} m/s (0.2 of the "
      "{:.3f} m/s between lifters, or as given).",
      c.typical_error_mps,
      c.day_sigma_mps,
      c.worthwhile_mps,
      c.between_sd_mps);
  if (c.slope_mps_per_tenth) {
    out += fmt::format(" A tenth more load costs {:.3f} m/s.", -*c.slope_mps_per_tenth);
  }
  return out;
}

constexpr std::string_view kFoot =
    "Differences at the same load, later less earlier; ± is half of the 95 % interval. faster or "
    "slower: the interval does not hold zero, which happens by chance in 1 of 20 statements about "
    "lifters who did not change. no clear change does not mean no change. Bar movement only: it "
    "does "
    "not judge technique, health or readiness; coach and lifter decide.";

Json of(const VelocityChange& change) {
  const auto rounded = [](double v) { return std::round(v * 1e5) / 1e5; };
  return {{"value", rounded(change.difference_mps)},
          {"lo", rounded(change.difference_mps - change.half_width_mps)},
          {"hi", rounded(change.difference_mps + change.half_width_mps)},
          {"degrees_of_freedom", rounded(change.freedom)},
          {"word", in_words(change.change)}};
}

Json of(const CompareSpan& span) {
  return {{"name", span.name}, {"from", in_iso(span.from)}, {"to", in_iso(span.to)}};
}

Json of(const Comparison& c) {
  const auto rounded = [](double v) { return std::round(v * 1e5) / 1e5; };
  Json lifters = Json::array();
  for (const LifterChange& one : c.lifters) {
    lifters.push_back({{"lifter", one.lifter},
                       {"load_kg", rounded(one.load_kg)},
                       {"sessions_before", one.sessions_before},
                       {"sessions_after", one.sessions_after},
                       {"before_mps", rounded(one.before_mps)},
                       {"after_mps", rounded(one.after_mps)},
                       {"difference_mps", of(one.change)}});
  }
  Json notes = Json::array();
  for (const Note& note : c.notes) notes.push_back(note.text);
  return {{"lift", c.lift},
          {"before", of(c.before)},
          {"after", of(c.after)},
          {"team_difference_mps", of(c.team)},
          {"lifters", lifters},
          {"typical_error_mps", rounded(c.typical_error_mps)},
          {"day_sigma_mps", rounded(c.day_sigma_mps)},
          {"between_sd_mps", rounded(c.between_sd_mps)},
          {"smallest_worthwhile_mps", rounded(c.worthwhile_mps)},
          {"slope_mps_per_tenth_of_load",
           c.slope_mps_per_tenth ? Json(rounded(*c.slope_mps_per_tenth)) : Json(nullptr)},
          {"notes", notes}};
}

void add_row(const std::string& who,
             const Comparison& c,
             const LifterChange* one,
             const VelocityChange& change,
             CsvTable& table) {
  const auto number = [](double v) { return fmt::format("{:.4f}", v); };
  table.rows.push_back({who,
                        c.lift,
                        c.before.name,
                        c.after.name,
                        one != nullptr ? fmt::format("{:.2f}", one->load_kg) : "",
                        one != nullptr ? std::to_string(one->sessions_before) : "",
                        one != nullptr ? std::to_string(one->sessions_after) : "",
                        one != nullptr ? number(one->before_mps) : "",
                        one != nullptr ? number(one->after_mps) : "",
                        number(change.difference_mps),
                        number(change.difference_mps - change.half_width_mps),
                        number(change.difference_mps + change.half_width_mps),
                        std::string(in_words(change.change))});
}

}  // namespace

std::string to_table(const CompareReport& report) {
  const Comparison& c = report.main;
  std::string out = paragraph(fmt::format(
      "{}: {} against {}", capital(c.lift), span_in_words(c.after), span_in_words(c.before)));
  out += paragraph(fmt::format("Team of {}: {} m/s, {}.",
                               c.lifters.size(),
                               difference(c.team),
                               word(c.team, c.worthwhile_mps)));
  out += fmt::format("\n{:<18} {:>7} {:>8} {:>6} {:>6}  {:<14}\n",
                     "Lifter",
                     "Load",
                     "Sessions",
                     "Before",
                     "After",
                     "Difference");
  out += fmt::format("{:<18} {:>7} {:>8} {:>6} {:>6}  {}\n", "", "kg", "", "m/s", "m/s", "m/s");
  for (const LifterChange& one : c.lifters) out += lifter_row(one, c.worthwhile_mps);
  if (!report.sessions.empty()) {
    out += "\n" + paragraph(fmt::format("Sessions of {}, the team against the session before:",
                                        c.after.name));
    for (const Comparison& s : report.sessions) {
      std::string line = fmt::format("  {}: {} m/s, {}",
                                     day_in_words(s.after.from),
                                     difference(s.team),
                                     in_words(s.team.change));
      for (const LifterChange& one : s.lifters) {
        if (one.change.change == ChangeWord::kNoClearChange) continue;
        line += fmt::format("; {} {}", one.lifter, in_words(one.change.change));
      }
      out += paragraph(line, "    ");
    }
  }
  out += "\n" + paragraph(scatter_in_words(c), "");
  for (const Note& note : c.notes) {
    out += paragraph((note.kind == NoteKind::kCaution ? "Caution: " : "Note: ") + note.text);
  }
  return out + "\n" + wrapped(kFoot, kTableColumns);
}

std::string to_csv(const CompareReport& report) {
  CsvTable table;
  table.carriage_returns = true;
  table.rows.push_back({"lifter",
                        "lift",
                        "before",
                        "after",
                        "load_kg",
                        "sessions_before",
                        "sessions_after",
                        "before_mps",
                        "after_mps",
                        "difference_mps",
                        "difference_lo_mps",
                        "difference_hi_mps",
                        "word"});
  add_row("team", report.main, nullptr, report.main.team, table);
  for (const LifterChange& one : report.main.lifters) {
    add_row(one.lifter, report.main, &one, one.change, table);
  }
  for (const Comparison& c : report.sessions) {
    add_row("team", c, nullptr, c.team, table);
    for (const LifterChange& one : c.lifters) add_row(one.lifter, c, &one, one.change, table);
  }
  return to_text(table);
}

std::string to_json(const CompareReport& report) {
  Json sessions = Json::array();
  for (const Comparison& c : report.sessions) sessions.push_back(of(c));
  Json out = {{"format", "kinetics comparison"}, {"schema_version", 1}};
  out.update(of(report.main));
  out["sessions_against_the_one_before"] = sessions;
  return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace kinetics
