#include "libkinetics/report/day_report.h"

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <set>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/day_block.h"
#include "libkinetics/report/day_chart.h"
#include "libkinetics/report/day_view.h"
#include "libkinetics/report/day_words.h"
#include "libkinetics/report/html.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/table.h"

namespace kinetics {
namespace {

using day_view::DayView;
using day_view::LifterDay;

constexpr std::size_t kFewLifters = 3;  // who get the whole width each, unless they have
constexpr std::size_t kFewSets = 6;     // or less
constexpr std::size_t kSetsOnTallCharts = 40;
constexpr std::size_t kManyLifters = 6;  // beyond whom a page is to be packed

constexpr std::string_view kStyleSheet = R"(
.lifters{display:grid;grid-template-columns:1fr 1fr;gap:10px 16px;margin-top:8px}
@media print{.lifters{gap:1mm 4mm;margin-top:.8mm}header ul{margin-bottom:.5mm}}
@media screen and (max-width:720px){.lifters{grid-template-columns:1fr}}
)";

std::string counted(std::size_t n, std::string_view what) {
  return fmt::format("{} {}{}", n, what, n == 1 ? "" : "s");
}

// ---- the head ----

std::string facts_in_words(const DaySession& day, const std::vector<LifterDay>& lifters) {
  std::size_t reps = 0;
  std::size_t extra = 0;
  for (const DaySet& set : day.sets) {
    reps += set.session.reps.size();
    extra += set.match.row ? 0 : 1;
  }
  const auto named = std::count_if(
      lifters.begin(), lifters.end(), [](const auto& lifter) { return !lifter.lifter.empty(); });
  std::string out = fmt::format("{} and {} of {} seen. Sheet {}: {}, {} not seen",
                                counted(day.sets.size(), "set"),
                                counted(reps, "rep"),
                                counted(static_cast<std::size_t>(named), "lifter"),
                                std::filesystem::path(day.sheet.file).filename().string(),
                                counted(day.rows.size(), "row"),
                                day.missed.size());
  if (extra > 0) out += fmt::format("; {} not on it", counted(extra, "set"));
  return out + ".";
}

std::string missed_in_words(const DaySession& day) {
  std::vector<std::string> rows;
  for (const std::size_t i : day.missed) {
    const DayRow& row = day.rows.at(i);
    std::string words = fmt::format("row {}, {}", row.row, row.lifter);
    const SheetRow* on_sheet = sheet_row_of(day, row);
    if (on_sheet != nullptr && on_sheet->set) words += fmt::format(", set {}", *on_sheet->set);
    if (on_sheet != nullptr && !on_sheet->start.empty()) words += " (" + on_sheet->start + ")";
    rows.push_back(std::move(words));
  }
  return rows.empty() ? "" : fmt::format("{}.", fmt::join(rows, "; "));
}

bool is_doubtful(const DaySet& set) {
  return !set.match.corrected && set.match.certainty == MatchCertainty::kDoubtful;
}

/// "no. 17 (17:41:30, 4 reps, fastest 0.74, last 0.70 m/s)".
std::string set_in_words(const DaySet& set) {
  const SetFigures f = set_figures(set.session);
  std::string out = fmt::format("no. {} ({}, {}",
                                set.number,
                                day_view::begin_of(set),
                                counted(set.session.reps.size(), "rep"));
  if (f.fastest_mps.ok()) out += fmt::format(", fastest {:.2f}", f.fastest_mps.value());
  if (f.last_mps.ok()) out += fmt::format(", last {:.2f}", f.last_mps.value());
  return out + (f.fastest_mps.ok() || f.last_mps.ok() ? " m/s)" : ")");
}

/// "...: row 21, Mirek Tolland, or row 22, Odalys Brandt (4.0 times less likely)."
std::string doubt_in_words(const DaySession& day, const DaySet& set) {
  std::string out = set_in_words(set) + ": " + day_view::row_in_words(day, set.match.row);
  for (const std::string& other : day_view::alternatives_in_words(day, set)) out += ", or " + other;
  const SetMatch& match = set.match;
  if (match.row && match.lifter_certainty != MatchCertainty::kDoubtful) {
    out += fmt::format("; the lifter is {}", in_words(match.lifter_certainty));
  } else if (!match.row && match.like) {
    out += "; it moves like " + day.rows.at(*match.like).lifter;
  }
  return out + ".";
}

std::string list_of(std::string_view lead, const std::vector<std::string>& items) {
  if (items.empty()) return "";
  std::string out = fmt::format("<p><b>{}</b></p>\n<ul>\n", html::escaped(lead));
  for (const std::string& item : items) out += html::element("li", "", item);
  return out + "</ul>\n";
}

/// What was lifted; letters tell works apart when there are several.
std::string works_in_words(const std::vector<std::string>& works) {
  std::string out;
  for (std::size_t i = 0; i < works.size(); ++i) {
    if (i > 0) out += "; ";
    if (works.size() > 1) out += day_view::work_letter(i) + ": ";
    out += works[i];
  }
  return out.empty() ? "" : html::element("p", "", "Lifted: " + out + ".");
}

std::string head_of(const DaySession& day, const DayView& view, const std::string& title) {
  std::string out = "<header>\n" + html::element("h1", "", title);
  out += html::element("p", "", facts_in_words(day, view.lifters));
  out += works_in_words(view.works);
  if (!day.missed.empty()) {
    out += fmt::format("<p><b>Not seen:</b> {}</p>\n", html::escaped(missed_in_words(day)));
  }
  std::vector<std::string> doubts;
  std::vector<std::string> extras;
  const std::vector<day_view::AlikeDoubt> alike = day_view::alike_doubts(day);
  for (const day_view::AlikeDoubt& doubt : alike) doubts.push_back(doubt.words);
  for (const DaySet& set : day.sets) {
    if (!set.match.row) {
      extras.push_back(doubt_in_words(day, set));
    } else if (is_doubtful(set) && !day_view::told_in(alike, set)) {
      doubts.push_back(doubt_in_words(day, set));
    }
  }
  out += list_of("Doubtful: look at these sets and say whose they are, by --assign NO=ROW", doubts);
  out += list_of("Not on the sheet", extras);
  return out + "</header>\n";
}

// ---- the foot ----

/// What was said to several lifters stands once, with their names unless it goes for all.
std::string cautions_of(const DaySession& day) {
  struct Said {
    std::string text;
    std::vector<std::string> lifters;
  };
  std::vector<Said> said;
  std::set<std::string> everybody;
  const auto add = [&](const Note& note, const std::string& lifter) {
    if (note.kind != NoteKind::kCaution) return;
    auto at = std::find_if(said.begin(), said.end(), [&](auto& s) { return s.text == note.text; });
    if (at == said.end()) at = said.insert(said.end(), {.text = note.text, .lifters = {}});
    auto& lifters = at->lifters;
    const bool is_new = std::find(lifters.begin(), lifters.end(), lifter) == lifters.end();
    if (!lifter.empty() && is_new) lifters.push_back(lifter);
  };
  for (const Note& note : day.notes) add(note, "");
  for (const DaySet& set : day.sets) {
    const auto& plan = set.session.options.plan;
    const std::string lifter = plan ? plan->lifter : "";
    if (plan) everybody.insert(lifter);
    for (const Note& note : set.session.notes) add(note, lifter);
  }
  std::string out;
  for (const Said& s : said) {
    const bool for_all = s.lifters.empty() || s.lifters.size() == everybody.size();
    const std::string who = for_all ? "" : fmt::format("{}: ", fmt::join(s.lifters, ", "));
    out += html::element("p", "", "Caution: " + who + s.text);
  }
  return out;
}

std::string foot_of(const DaySession& day, bool dense) {
  std::string out = "<div class=\"foot\">\n";
  double loss = RepOptions{}.slowed_loss;
  std::string made_by;
  if (!day.sets.empty()) {
    const Session& session = day.sets.front().session;
    loss = session.options.reps.slowed_loss;
    made_by = fmt::format(" Rises counted from {:g} m/s. kinetics {}, {}.",
                          session.options.reps.threshold_mps,
                          session.provenance.program_version,
                          session.provenance.analysed_at);
  }
  out += html::element(
      "p",
      "",
      fmt::format(
          "Each mark is a rep's mean velocity in m/s, its line the 95 % interval: dot, full rep; "
          "triangle, slowed ({:.0f} % or more below the set's fastest, beyond measurement "
          "error); ring, maybe slowed, 3? in the table; square, partial or failed; cross "
          "and –, not measured. Dashed band: the zone. ±: half of the 95 % interval. Bottom "
          "and top: the straight weight that would weigh the same there.{}{}",
          100.0 * loss,
          dense ? " A ? behind a set: whose it is, is not certain." : "",
          made_by));
  out += cautions_of(day);
  out += html::element("p", "", std::string(usual_cautions()) + " Local rules come first.");
  return out + "</div>\n";
}

std::string title_of(const DaySession& day, const std::string& club) {
  std::string out = club;
  if (!out.empty()) out += ", ";
  return out + (day.held_on.empty() ? "speed day" : "speed day of " + day.held_on);
}

/// A few sets that are nobody's have their figures in the head: a chart of theirs would cost many
/// lifters a second page.
bool stand_in_head_alone(const DayView& view) {
  constexpr std::size_t kFewestSets = 4;
  return view.lifters.size() > kManyLifters && view.lifters.back().lifter.empty() &&
         view.lifters.back().columns.size() <= kFewestSets;
}

}  // namespace

std::string day_report(const DaySession& day, const std::string& club) {
  DayView view = day_view::view_of(day);
  if (stand_in_head_alone(view)) view.lifters.pop_back();
  const std::string title = title_of(day, club);
  const bool few = view.lifters.size() <= kFewLifters;
  day_view::BlockStyle style{.tall = few && day.sets.size() <= kSetsOnTallCharts,
                             .dense = view.lifters.size() > kManyLifters,
                             .letters = view.works.size() > 1,
                             .scale = day_view::velocity_scale(view.lifters),
                             .unit = load_unit(day_view::unit_of(day))};
  std::string body = head_of(day, view, title) + "<main class=\"lifters\">\n";
  for (const LifterDay& lifter : view.lifters) {
    const std::size_t sets = lifter.columns.size();
    style.wide = sets > day_view::kMostNarrow || (few && sets > kFewSets);
    body += day_view::day_block(lifter, style);
  }
  body += "</main>\n" + foot_of(day, style.dense);
  return html::page(title,
                    std::string(svg::kChartStyle)
                        .append(day_view::kDayChartStyle)
                        .append(day_view::kDayBlockStyle)
                        .append(kStyleSheet),
                    body);
}

}  // namespace kinetics
