#include "libkinetics/report/day_block.h"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/day_chart.h"
#include "libkinetics/report/day_words.h"
#include "libkinetics/report/html.h"

namespace kinetics::day_view {

const std::string_view kDayBlockStyle = R"(
.lifter{break-inside:avoid;border-top:1px solid #888;padding-top:2px;min-width:0}
.wide{grid-column:1/-1}
.lifter h2 span{font-weight:normal;font-size:.88em}
.lifter table{table-layout:fixed;font-size:.95em;line-height:1.16}
.lifter th,.lifter td{padding:0;text-align:center;font-weight:normal;white-space:nowrap}
.lifter thead th{font-weight:bold}.lifter .key{font-weight:bold}
.lifter th[scope=row]{text-align:left;font-weight:normal;color:#444}
.lifter tbody tr{border-top:1px solid #e4e4e4}
.flags{font-size:.95em}
@media screen and (max-width:720px){.lifter{overflow-x:auto}
.lifter svg,.lifter table{min-width:560px}.wide svg,.wide table{min-width:900px}}
@media print{.lifter{padding-top:.3mm}.lifter table{line-height:1.08}.flags{line-height:1.1}}
)";

namespace {

using Columns = std::span<const DayColumn>;

constexpr std::size_t kMostWide = 24;
constexpr double kRoomForIntervals = 56.0;

/// The zones of the lifter's works.
std::string zones_in_words(const LifterDay& lifter, bool letters) {
  std::string out;
  std::vector<std::size_t> said;
  for (const DayColumn& column : lifter.columns) {
    if (!column.zone || std::find(said.begin(), said.end(), column.work) != said.end()) continue;
    said.push_back(column.work);
    out += fmt::format("{}{}{:.2f} to {:.2f}",
                       out.empty() ? "zone " : ", ",
                       letters ? work_letter(column.work) + " " : "",
                       column.zone->lowest_mps,
                       column.zone->highest_mps);
  }
  return out.empty() ? "" : out + " m/s";
}

std::string number(const Measured& m, double factor, int decimals, bool with_interval) {
  if (!m.ok()) return "–";
  std::string out = fmt::format("{:.{}f}", factor * m.value(), decimals);
  if (with_interval && m.sigma() > 0.0) {
    out += fmt::format(" ± {:.{}f}", factor * kNormal95 * m.sigma(), decimals);
  }
  return out;
}

std::string reps_in_words(const DayColumn& column) {
  if (column.kind == ColumnKind::kMissed) {
    return column.planned_reps ? fmt::format("0/{}", *column.planned_reps) : "0";
  }
  if (!column.planned_reps) return fmt::format("{}", column.figures.reps);
  return fmt::format("{}/{}", column.figures.reps, *column.planned_reps);
}

bool has_planned_reps(Columns columns) {
  return std::any_of(columns.begin(), columns.end(), [](const auto& c) { return c.planned_reps; });
}

bool has_changing_load(Columns columns) {
  constexpr double kLeastKg = 0.05;
  return std::any_of(columns.begin(), columns.end(), [](const DayColumn& column) {
    const SetFigures& f = column.figures;
    return f.bottom_load_kg.ok() && f.top_load_kg.ok() &&
           f.top_load_kg.value() - f.bottom_load_kg.value() > kLeastKg;
  });
}

using CellText = std::function<std::string(const DayColumn&)>;

std::string table_row(std::string_view head,
                      Columns columns,
                      const CellText& text,
                      std::string_view style = "") {
  std::string out = fmt::format("<tr><th scope=\"row\">{}</th>", html::escaped(head));
  for (const DayColumn& column : columns) {
    out += style.empty() ? "<td>" : fmt::format("<td class=\"{}\">", style);
    out += html::escaped(text(column)) + "</td>";
  }
  return out + "</tr>\n";
}

/// As short as a column is narrow; what is certain needs no word, and the chart says what is
/// missed.
std::string match_in_short(const DayColumn& column) {
  if (column.match == "certain" || column.kind != ColumnKind::kSeen) return "";
  if (column.match == "doubtful") return "doubt";
  return column.match == "your word" ? "yours" : column.match;
}

/// "Set 3", or "No. 17" of a set that no row fits.
std::string set_in_words(const DayColumn& column) {
  if (column.kind == ColumnKind::kExtra) return fmt::format("No. {}", column.recorded);
  return "Set " + column.label;
}

/// "A 3"; on a dense page "A 3?" when the match is not certain.
std::string label_of(const DayColumn& column, const BlockStyle& style) {
  const bool lettered = style.letters;
  const bool asks = style.dense && !match_in_short(column).empty() && column.match != "your word";
  if (column.kind == ColumnKind::kExtra) return set_in_words(column);
  return (lettered ? work_letter(column.work) + " " : "") + column.label + (asks ? "?" : "");
}

std::string table_head(Columns columns, const BlockStyle& style) {
  std::string out = "<thead>\n<tr><th scope=\"row\">set</th>";
  for (const DayColumn& column : columns) {
    out += fmt::format("<th scope=\"col\">{}</th>", html::escaped(label_of(column, style)));
  }
  return out + "</tr>\n</thead>\n";
}

/// "5" for a slowed rep, "3?" for one that may be.
std::string slowed_in_words(const DayColumn& column) {
  std::vector<std::string> reps;
  for (std::size_t i = 0; i < column.reps.size(); ++i) {
    if (column.reps[i].slowed == Slowed::kNo) continue;
    reps.push_back(fmt::format("{}{}", i + 1, column.reps[i].slowed == Slowed::kMaybe ? "?" : ""));
  }
  return fmt::format("{}", fmt::join(reps, " "));
}

bool has_slowed(const DayColumn& column) {
  return !slowed_in_words(column).empty();
}

class Table {
 public:
  Table(Columns columns, const BlockStyle& style, const ChartShape& shape)
      : columns_(columns), style_(style), shape_(shape) {
    const double room = (shape.width - shape.gutter) / static_cast<double>(columns.size());
    roomy_ = room >= kRoomForIntervals;
  }

  [[nodiscard]] std::string text() {
    out_ = fmt::format(
        "<table>\n<colgroup><col style=\"width:{:.2f}%\"/><col span=\"{}\"/></colgroup>\n",
        100.0 * shape_.gutter_share(),
        columns_.size());
    out_ += table_head(columns_, style_) + "<tbody>\n";
    add_loads();
    add_velocities();
    if (std::any_of(columns_.begin(), columns_.end(), has_slowed)) row("slowed", slowed_in_words);
    const bool all_certain = std::all_of(
        columns_.begin(), columns_.end(), [](const auto& c) { return match_in_short(c).empty(); });
    if (!all_certain && !style_.dense) row("match", match_in_short);
    return out_ + "</tbody>\n</table>\n";
  }

 private:
  void add_loads() {
    if (!style_.dense) row("begins", [](const DayColumn& c) { return c.time; });
    row(style_.unit.name, [](const DayColumn& c) { return c.load; });
    if (has_changing_load(columns_)) {
      const int decimals = roomy_ ? 1 : 0;
      figures("bottom", &SetFigures::bottom_load_kg, style_.unit.a_kg, decimals, false);
      figures("top", &SetFigures::top_load_kg, style_.unit.a_kg, decimals, false);
    }
  }

  void add_velocities() {
    row(has_planned_reps(columns_) ? "reps/plan" : "reps", reps_in_words);
    figures("fastest", &SetFigures::fastest_mps, 1.0, 2, roomy_, "key");
    if (!style_.dense || !has_changing_load(columns_))
      figures("mean", &SetFigures::mean_mps, 1.0, 2, false);
    figures("last", &SetFigures::last_mps, 1.0, 2, roomy_);
    figures("loss %", &SetFigures::loss, 100.0, 0, roomy_, "key");
  }

  void row(std::string_view head, const CellText& text, std::string_view style = "") {
    out_ += table_row(head, columns_, text, style);
  }

  /// A missed row has a load and nothing measured.
  void figures(std::string_view head,
               Measured SetFigures::*member,
               double factor,
               int decimals,
               bool with_interval,
               std::string_view style = "") {
    row(
        head,
        [&](const DayColumn& c) {
          if (c.kind == ColumnKind::kMissed) return std::string();
          return number(c.figures.*member, factor, decimals, with_interval);
        },
        style);
  }

  Columns columns_;
  const BlockStyle& style_;
  const ChartShape& shape_;
  bool roomy_ = false;
  std::string out_;
};

/// Slowed reps have their own row.
std::string other_flags_in_words(Columns columns) {
  std::string out;
  for (const DayColumn& column : columns) {
    std::vector<SetFlag> flags = column.figures.flags;
    std::erase_if(flags, [](const SetFlag& flag) { return flag.words.ends_with("slowed"); });
    if (flags.empty()) continue;
    out += fmt::format(
        "{}{}: {}.", out.empty() ? "" : " ", set_in_words(column), flags_in_words(flags));
  }
  return out.empty() ? "" : html::element("p", "flags", out);
}

ChartShape shape_of(const BlockStyle& style) {
  if (style.wide) return {.width = 760.0, .height = style.tall ? 150.0 : 110.0, .gutter = 52.0};
  return {.width = 370.0, .height = style.dense ? 74.0 : 92.0, .gutter = 44.0};
}

/// Into as few charts as may be, of about as many sets each.
std::vector<Columns> bands_of(Columns all) {
  const std::size_t bands = std::max<std::size_t>((all.size() + kMostWide - 1) / kMostWide, 1);
  std::vector<Columns> out;
  for (std::size_t k = 0; k < bands; ++k) {
    const std::size_t first = all.size() * k / bands;
    out.push_back(all.subspan(first, all.size() * (k + 1) / bands - first));
  }
  return out;
}

}  // namespace

std::string work_letter(std::size_t work) {
  constexpr std::size_t kLetters = 26;
  const std::string letter(1, static_cast<char>('A' + static_cast<char>(work % kLetters)));
  return work < kLetters ? letter : letter + fmt::format("{}", work / kLetters);
}

std::string day_block(const LifterDay& lifter, const BlockStyle& style) {
  const ChartShape shape = shape_of(style);
  const std::string name = lifter.lifter.empty() ? "Sets not on the sheet" : lifter.lifter;
  std::string out = fmt::format("<section class=\"{}\">\n<h2>{} <span>{}</span></h2>\n",
                                style.wide ? "lifter wide" : "lifter",
                                html::escaped(name),
                                html::escaped(zones_in_words(lifter, style.letters)));
  for (const Columns& band : bands_of(lifter.columns)) {
    out += day_chart(band, style.scale, shape, "Mean velocity of every rep of " + name);
    out += Table(band, style, shape).text() + other_flags_in_words(band);
  }
  return out + "</section>\n";
}

}  // namespace kinetics::day_view
