#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/chart.h"
#include "libkinetics/report/compare_table.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;

constexpr double kWidth = 760.0;
constexpr double kMargin = 20.0;
constexpr double kNames = 190.0;  ///< room for the lifters' names
constexpr double kWords = 150.0;  ///< and for the words
constexpr double kTop = 108.0;
constexpr double kRow = 30.0;
constexpr double kAxis = 56.0;
constexpr double kSessions = 260.0;
constexpr std::size_t kNameLetters = 22;

// Okabe & Ito's colours; shapes and words say the same.
constexpr std::string_view kStyleSheet = R"(
.name{font-size:15px;font-weight:normal}.team{font-size:15px;font-weight:bold}
.zero{stroke:#222;stroke-width:1.5}.worth{fill:#eee}
.faster{stroke:#0072B2;fill:#0072B2;stroke-width:3}.slower{stroke:#D55E00;fill:#D55E00;stroke-width:3}
.same{stroke:#777;fill:#fff;stroke-width:2.5}
.before{fill:#fff;stroke:#777;stroke-width:1.8}.after{fill:#0072B2;stroke:#0072B2}
.day{stroke:#222;stroke-width:2.4;fill:none}.rule{stroke:#bbb;stroke-width:1;stroke-dasharray:4 4}
)";

std::string_view style_of(ChangeWord change) {
  switch (change) {
    case ChangeWord::kFaster:
      return "faster";
    case ChangeWord::kSlower:
      return "slower";
    case ChangeWord::kNoClearChange:
      return "same";
  }
  return "same";
}

/// A triangle up for faster, down for slower, a ring for no clear change.
void mark(Drawing& d, Point at, ChangeWord change) {
  constexpr double kSize = 7.0;
  if (change == ChangeWord::kNoClearChange) {
    d.circle(at, kSize - 1.0, "same");
    return;
  }
  const double tip = change == ChangeWord::kFaster ? -kSize : kSize;
  d.polygon(
      {{at.x - kSize, at.y - tip * 0.7}, {at.x + kSize, at.y - tip * 0.7}, {at.x, at.y + tip}},
      style_of(change));
}

/// "+0.05", "−0.1", "0".
std::string signed_number(double value, int decimals) {
  if (value == 0.0) return "0";
  return fmt::format("{}{:.{}f}", value < 0.0 ? "−" : "+", std::abs(value), decimals);
}

std::string cut(const std::string& text, std::size_t letters) {
  if (shown_width(text) <= letters) return text;
  const std::string line = wrapped(text, letters - 1);
  return line.substr(0, line.find('\n')) + "…";
}

svg::Span reach_of(const Comparison& c) {
  double reach = 1.2 * c.worthwhile_mps;
  const auto stretch = [&](const VelocityChange& v) {
    reach = std::max(reach, std::abs(v.difference_mps) + v.half_width_mps);
  };
  stretch(c.team);
  for (const LifterChange& one : c.lifters) stretch(one.change);
  return {-1.08 * reach, 1.08 * reach};
}

void draw_row(Drawing& d,
              const Chart& chart,
              double y,
              const std::string& name,
              const VelocityChange& change,
              bool team) {
  d.text({kMargin, y + 5.0}, Anchor::kStart, team ? "team" : "name", cut(name, kNameLetters));
  d.line({chart.at_x(change.difference_mps - change.half_width_mps), y},
         {chart.at_x(change.difference_mps + change.half_width_mps), y},
         style_of(change.change));
  mark(d, {chart.at_x(change.difference_mps), y}, change.change);
  d.text({chart.left + chart.width + 14.0, y + 5.0},
         Anchor::kStart,
         team ? "team" : "name",
         in_words(change.change));
}

void draw_differences(Drawing& d, const Chart& chart, const Comparison& c) {
  const double left = std::max(chart.x.from, -c.worthwhile_mps);
  const double right = std::min(chart.x.to, c.worthwhile_mps);
  d.rect(chart.at_x(left), chart.top, chart.at_x(right) - chart.at_x(left), chart.height, "worth");
  const auto ticks = svg::round_ticks(chart.x, 6);
  for (const double v : ticks) {
    d.line({chart.at_x(v), chart.top}, {chart.at_x(v), chart.bottom()}, "grid");
    d.text({chart.at_x(v), chart.bottom() + 18.0},
           Anchor::kMiddle,
           "tick",
           signed_number(v, svg::decimals_of(ticks)));
  }
  d.line({chart.at_x(0.0), chart.top}, {chart.at_x(0.0), chart.bottom()}, "zero");
  double y = chart.top + 0.5 * kRow;
  draw_row(d, chart, y, fmt::format("Team of {}", c.lifters.size()), c.team, true);
  d.line({kMargin, y + 0.5 * kRow}, {kWidth - kMargin, y + 0.5 * kRow}, "rule");
  for (const LifterChange& one : c.lifters) {
    y += kRow;
    draw_row(d, chart, y, one.lifter, one.change, false);
  }
  d.text({chart.left + 0.5 * chart.width, chart.bottom() + 40.0},
         Anchor::kMiddle,
         "tick",
         "Difference at the same load, m/s (grey: too small to matter)");
}

/// Each session against its lifter's mean of all, so that lifters lie over each other.
struct Dot {
  CalendarDay day = {};
  double off_mps = 0.0;
  bool after = false;
};

std::vector<Dot> dots_of(const Comparison& c) {
  std::map<std::string, std::pair<double, double>> means;
  for (const ComparedSession& s : c.sessions) {
    auto& [sum, count] = means[s.lifted.lifter];
    sum += s.at_load_mps;
    count += 1.0;
  }
  std::vector<Dot> out;
  for (const ComparedSession& s : c.sessions) {
    const auto& [sum, count] = means[s.lifted.lifter];
    out.push_back({.day = s.lifted.day, .off_mps = s.at_load_mps - sum / count, .after = s.after});
  }
  return out;
}

void draw_legend(Drawing& d, double y, const Comparison& c) {
  double x = kMargin + 6.0;
  const auto entry = [&](std::string_view style, const std::string& words) {
    if (style == "day") {
      d.line({x - 6.0, y}, {x + 10.0, y}, style);
      x += 6.0;
    } else {
      d.circle({x, y}, 4.5, style);
    }
    d.text({x + 12.0, y + 5.0}, Anchor::kStart, "small", words);
    x += 44.0 + 8.0 * static_cast<double>(shown_width(words));
  };
  entry("before", c.before.name);
  entry("after", c.after.name);
  entry("day", "mean of the day");
}

void draw_sessions(Drawing& d, double top, const Comparison& c) {
  const std::vector<Dot> dots = dots_of(c);
  double reach = 0.02;
  for (const Dot& dot : dots) reach = std::max(reach, std::abs(dot.off_mps));
  std::map<CalendarDay, std::pair<double, double>> days;
  for (const Dot& dot : dots) {
    auto& [sum, count] = days[dot.day];
    sum += dot.off_mps;
    count += 1.0;
  }
  Chart chart{.left = 74.0,
              .top = top,
              .width = kWidth - 74.0 - kMargin,
              .height = kSessions,
              .x = {0.0, static_cast<double>(days.size())},
              .y = {-1.15 * reach, 1.15 * reach}};
  const auto ticks = svg::round_ticks(chart.y, 5);
  for (const double v : ticks) {
    d.line({chart.left, chart.at_y(v)},
           {chart.left + chart.width, chart.at_y(v)},
           v == 0.0 ? "zero" : "grid");
    d.text({chart.left - 8.0, chart.at_y(v) + 5.0},
           Anchor::kEnd,
           "tick",
           signed_number(v, svg::decimals_of(ticks)));
  }
  d.text({kMargin, top - 12.0},
         Anchor::kStart,
         "label",
         "Every session at the same load, against the lifter's own mean, m/s");
  double place = 0.5;
  for (const auto& [day, of_day] : days) {
    const double x = chart.at_x(place);
    for (const Dot& dot : dots) {
      if (dot.day == day) {
        d.circle({x, chart.at_y(dot.off_mps)}, 4.5, dot.after ? "after" : "before");
      }
    }
    const double mean = chart.at_y(of_day.first / of_day.second);
    d.line({x - 20.0, mean}, {x + 20.0, mean}, "day");
    const std::string words = day_in_words(day);  // "Fri 7 Mar 2031"
    d.text(
        {x, chart.bottom() + 18.0}, Anchor::kMiddle, "tick", words.substr(4, words.rfind(' ') - 4));
    place += 1.0;
  }
  d.rect(chart.left, chart.top, chart.width, chart.height, "frame");
  draw_legend(d, chart.bottom() + 38.0, c);
}

}  // namespace

std::string to_svg(const CompareReport& report) {
  const Comparison& c = report.main;
  const double rows = static_cast<double>(c.lifters.size() + 1) * kRow;
  const Chart chart{.left = kMargin + kNames,
                    .top = kTop,
                    .width = kWidth - 2.0 * kMargin - kNames - kWords,
                    .height = rows,
                    .x = reach_of(c),
                    .y = {0.0, 1.0}};
  const double sessions_top = chart.bottom() + kAxis + 44.0;
  Drawing d(kWidth, sessions_top + kSessions + 122.0);
  const std::string title =
      capital(fmt::format("{}: {} against {}", c.lift, c.after.name, c.before.name));
  d.text({kMargin, 36.0}, Anchor::kStart, "title", cut(title, 60));
  d.text({kMargin, 62.0},
         Anchor::kStart,
         "subtitle",
         fmt::format("{} to {}, and {} to {}",
                     day_in_words(c.before.from),
                     day_in_words(c.before.to),
                     day_in_words(c.after.from),
                     day_in_words(c.after.to)));
  d.text({kMargin, 86.0},
         Anchor::kStart,
         "subtitle",
         fmt::format("Team {} ± {:.3f} m/s: {}",
                     signed_number(c.team.difference_mps, 3),
                     c.team.half_width_mps,
                     in_words(c.team.change)));
  draw_differences(d, chart, c);
  draw_sessions(d, sessions_top, c);
  double y = sessions_top + kSessions + 70.0;
  for (const std::string& line :
       {fmt::format("Typical error of one lifter's session {:.3f} m/s; smallest worthwhile change "
                    "{:.3f} m/s.",
                    c.typical_error_mps,
                    c.worthwhile_mps),
        std::string("Lines are 95 % intervals. Bar movement only; coach and lifter decide.")}) {
    d.text({kMargin, y}, Anchor::kStart, "small", line);
    y += 20.0;
  }
  return d.document(title, "Differences of bar velocity at the same load", kStyleSheet, "");
}

}  // namespace kinetics
