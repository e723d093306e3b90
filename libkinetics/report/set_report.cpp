#include "libkinetics/report/set_report.h"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/flag_words.h"
#include "libkinetics/report/html.h"
#include "libkinetics/report/load_table.h"
#include "libkinetics/report/plot_parts.h"
#include "libkinetics/report/set_figures.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/table_words.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

constexpr std::size_t kRepsBesideTimes = 6;

constexpr std::string_view kStyleSheet = R"(
.reps{margin:6px 0}.reps th,.reps td{text-align:right;padding:1px 4px;white-space:nowrap}
.reps .words{text-align:left;white-space:normal}
.reps thead th{vertical-align:bottom}.reps .unit{font-weight:normal;color:#444}
.reps thead{border-bottom:1px solid #888}.reps tbody tr{border-top:1px solid #e4e4e4}
.reps .first{border-top:1.5px solid #444}
svg{display:block;width:100%;height:auto}
.charts{display:grid;grid-template-columns:1fr 1fr;gap:8px 16px;align-items:start;margin-top:8px}
.charts>*{min-width:0;break-inside:avoid}.whole{grid-column:1/-1}
@media print{.reps{margin:1mm 0}.reps th,.reps td{padding:.2mm 1mm}.charts{gap:2mm 4mm;margin-top:1.5mm}}
@media screen and (max-width:720px){.charts{grid-template-columns:1fr}.reps{display:block;overflow-x:auto}}
)";

std::string value(const Measured& m, double factor, int decimals) {
  return m.ok() ? fmt::format("{:.{}f}", factor * m.value(), decimals) : "–";
}

std::string with_interval(const Measured& m, double factor, int decimals) {
  if (!m.ok() || m.sigma() == 0.0) return value(m, factor, decimals);
  return fmt::format(
      "{:.{}f} ± {:.{}f}", factor * m.value(), decimals, factor * kNormal95 * m.sigma(), decimals);
}

struct Column {
  std::string head;
  std::string unit;
  std::function<std::string(const Rep&)> text;
  bool words = false;
};

LoadUnit unit_of(const Session& session) {
  const auto& plan = session.options.plan;
  return load_unit(plan ? plan->unit : MassUnit::kKilogram);
}

bool any_measured(const std::vector<Rep>& reps, Measured Rep::*member) {
  return std::any_of(reps.begin(), reps.end(), [&](const Rep& rep) { return (rep.*member).ok(); });
}

std::vector<Column> columns_of(const Session& session) {
  const std::vector<Rep>& reps = session.reps;
  std::vector<Column> out;
  if (reps.back().set != reps.front().set) {
    out.push_back({"Set", "", [](const Rep& r) { return fmt::format("{}", r.set); }});
  }
  out.push_back({"Rep", "", [](const Rep& r) { return fmt::format("{}", r.number); }});
  out.push_back({"Start", "s", [](const Rep& r) { return fmt::format("{:.2f}", r.start_s); }});
  const auto add = [&](std::string head,
                       std::string unit,
                       Measured Rep::*member,
                       double factor,
                       int decimals,
                       bool interval = true) {
    if (!any_measured(reps, member)) return;
    out.push_back({std::move(head), std::move(unit), [=](const Rep& r) {
                     return interval ? with_interval(r.*member, factor, decimals)
                                     : value(r.*member, factor, decimals);
                   }});
  };
  add("Mean velocity", "m/s", &Rep::mean_velocity_mps, 1.0, 3);
  add("Peak velocity", "m/s", &Rep::peak_velocity_mps, 1.0, 3);
  add("Range", "cm", &Rep::rom_m, 100.0, 1);
  add("Loss", "%", &Rep::velocity_loss, 100.0, 0);
  const LoadUnit unit = unit_of(session);
  add("Bottom", unit.name, &Rep::bottom_load_kg, unit.a_kg, 1, false);
  add("Mean", unit.name, &Rep::mean_load_kg, unit.a_kg, 1, false);
  add("Top", unit.name, &Rep::top_load_kg, unit.a_kg, 1, false);
  add("Mean force", "N", &Rep::mean_force_n, 1.0, 0);
  add("Mean power", "W", &Rep::mean_power_w, 1.0, 0);
  out.push_back({"Slow point", "of the range", slow_point_in_words, true});
  out.push_back({"Flags",
                 "",
                 [&session](const Rep& r) {
                   return fmt::format("{}", fmt::join(spoken_flags(session, r), ", "));
                 },
                 true});
  return out;
}

std::string cell(std::string_view tag, const Column& column, const std::string& content) {
  const std::string_view style = column.words ? " class=\"words\"" : "";
  return fmt::format("<{0}{1}>{2}</{0}>", tag, style, content);
}

std::string table_of(const Session& session) {
  if (session.reps.empty()) return html::element("p", "", "No repetition was found.");
  const std::vector<Column> columns = columns_of(session);
  std::string out = "<table class=\"reps\">\n<thead>\n<tr>";
  for (const Column& column : columns) {
    out += cell("th",
                column,
                html::escaped(column.head) + "<br/><span class=\"unit\">" +
                    html::escaped(column.unit) + "</span>");
  }
  out += "</tr>\n</thead>\n<tbody>\n";
  int set = session.reps.front().set;
  for (const Rep& rep : session.reps) {
    out += rep.set == set ? "<tr>" : "<tr class=\"first\">";
    set = rep.set;
    for (const Column& column : columns) {
      out += cell("td", column, html::escaped(column.text(rep)));
    }
    out += "</tr>\n";
  }
  return out + "</tbody>\n</table>\n";
}

/// Text that was broken into lines for a terminal.
std::string on_one_line(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const bool blank = c == '\n' || c == ' ';
    if (!blank || !(out.empty() || out.back() == ' ')) out += blank ? ' ' : c;
  }
  if (out.ends_with(' ')) out.pop_back();
  return out;
}

std::string paragraphs(const std::vector<std::string>& texts) {
  std::string out;
  for (const std::string& text : texts) out += html::element("p", "", text);
  return out;
}

/// Sets, flags with their evidence, what was not measured and why, notes.
std::string words_of(const Session& session) {
  std::vector<std::string> out = set_sentences(session.reps);
  for (const Rep& rep : session.reps) {
    if (rep.mean_velocity_mps.ok()) continue;
    out.push_back(fmt::format("Set {} rep {}: mean velocity not measured: {}.",
                              rep.set,
                              rep.number,
                              in_words(rep.mean_velocity_mps.reason())));
  }
  for (const Finding& finding : session.findings) out.push_back(in_a_sentence(finding));
  for (const Note& note : session.notes) {
    out.push_back((note.kind == NoteKind::kCaution ? "Caution: " : "Note: ") + note.text);
  }
  return "<div>\n" + paragraphs(out) + "</div>\n";
}

std::string title_of(const Session& session) {
  const auto& plan = session.options.plan;
  return plan ? fmt::format("{}, {}", plan->lifter, plan->lift) : session.provenance.source_name;
}

std::string head_of(const Session& session) {
  std::vector<std::string> lines;
  const std::string set = set_in_words(session);
  if (!set.empty()) lines.push_back(on_one_line(set));
  std::string source = session.provenance.source_name;
  if (!session.provenance.held_on.empty()) source += ", " + session.provenance.held_on;
  for (const std::string& fact : facts_in_words(session)) source += "; " + fact;
  lines.push_back(source);
  return "<header>\n" + html::element("h1", "", title_of(session)) + paragraphs(lines) +
         "</header>\n";
}

std::string foot_of(const Session& session) {
  const Provenance& from = session.provenance;
  std::string how =
      "±: half of the 95 % interval. –: not measured. Loads are the straight weight "
      "that would weigh the same. ";
  how += on_one_line(how_measured_in_words(session));
  if (!from.source_sha256.empty()) how += " SHA-256 of the source: " + from.source_sha256 + ".";
  if (!from.libraries.empty()) how += " With " + from.libraries + ".";
  return "<div class=\"foot\">\n" +
         paragraphs({how, std::string(usual_cautions()) + " Local rules come first."}) + "</div>\n";
}

std::string charts_of(const Session& session, const std::string& words) {
  const bool few = session.reps.size() <= kRepsBesideTimes;
  const svg::PlotParts parts = svg::plot_parts(session, few ? 2 : 4);
  if (parts.times.empty()) return words;
  std::string out = few ? words : "";
  out += svg::plot_patterns() + "<div class=\"charts\">\n<div>\n" + parts.times + "</div>\n";
  if (!few) out += words;
  if (!parts.rises.empty()) {
    out += fmt::format("<div{}>\n{}</div>\n", few ? "" : " class=\"whole\"", parts.rises);
  }
  return out + "</div>\n";
}

}  // namespace

std::string set_report(const Session& session) {
  const std::string body = head_of(session) + table_of(session) +
                           charts_of(session, words_of(session)) + foot_of(session);
  return html::page(title_of(session), svg::plot_style().append(kStyleSheet), body);
}

}  // namespace kinetics
