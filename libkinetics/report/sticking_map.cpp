#include "libkinetics/report/sticking_map.h"

#include <algorithm>
#include <sstream>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/measured.h"
#include "libkinetics/core/median.h"
#include "libkinetics/report/chart.h"
#include "libkinetics/report/sticking_place.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;

constexpr std::size_t kMostGroups = 8;
constexpr double kWidth = 640.0;
constexpr double kLeft = 56.0;
constexpr double kRight = 20.0;
constexpr double kCurvesTop = 104.0;
constexpr double kCurves = 230.0;
constexpr double kBetween = 58.0;
constexpr double kBetweenMaps = 24.0;
constexpr double kGroupHead = 46.0;
constexpr double kGroupFoot = 12.0;
constexpr double kLine = 24.0;
constexpr double kMargin = 18.0;
constexpr std::size_t kTitleLetters = 46;
constexpr std::size_t kNameLetters = 68;
constexpr std::string_view kSubtitle = "Where the bar slows on its way up";

// Okabe & Ito's colours in an order whose neighbours differ in lightness too; each group has its
// own pattern and letter besides.
constexpr std::string_view kStyleSheet = R"(
.letter{font-size:16px;font-weight:bold}.badge{fill:#fff;stroke:#222;stroke-width:1.4}
.way{stroke:#888;stroke-width:1.6}.end{stroke:#888;stroke-width:1.6}
.low{fill:#000;stroke:#fff;stroke-width:.8}.middle{stroke:#000;stroke-width:1.6;stroke-dasharray:2 3}
.c0,.c1,.c2,.c3,.c4,.c5,.c6,.c7{fill:none;stroke-width:2.8;stroke-linejoin:round}
.c0,.b0{stroke:#0072B2}.c1,.b1{stroke:#D55E00}.c2,.b2{stroke:#009E73}.c3,.b3{stroke:#CC79A7}
.c4,.b4{stroke:#000}.c5,.b5{stroke:#E69F00}.c6,.b6{stroke:#56B4E9}.c7,.b7{stroke:#777}
.c1{stroke-dasharray:10 5}.c2{stroke-dasharray:3 4}.c3{stroke-dasharray:12 4 3 4}
.c4{stroke-dasharray:6 3}.c5{stroke-dasharray:2 3}.c6{stroke-dasharray:14 3}.c7{stroke-dasharray:8 3 2 3 2 3}
.b0,.b1,.b2,.b3,.b4,.b5,.b6,.b7{stroke-width:7;stroke-opacity:.75}
)";

double cm(double metres) {
  return 100.0 * metres;
}

/// On one line of the page whatever it holds.
std::string shortened(const std::string& text, std::size_t letters) {
  if (shown_width(text) <= letters) return text;
  const std::string line = wrapped(text, letters - 3);
  return line.substr(0, line.find('\n')) + "...";
}

double velocity_at(const MapRise& rise, double height_m) {
  const auto above = std::find_if(
      rise.curve.begin(), rise.curve.end(), [&](const auto& p) { return p.height_m >= height_m; });
  if (above == rise.curve.begin()) return rise.curve.front().velocity_mps;
  const auto below = above - 1;
  const double step = above->height_m - below->height_m;
  const double part = step > 0.0 ? (height_m - below->height_m) / step : 0.0;
  return below->velocity_mps + part * (above->velocity_mps - below->velocity_mps);
}

/// Middle velocity of the group's rises at each height that half of them or more reach.
std::vector<MapRise::Point> middle_curve(const MapGroup& group) {
  constexpr double kEvery_m = 0.005;
  std::vector<MapRise::Point> out;
  for (double h = 0.0;; h += kEvery_m) {
    std::vector<double> there;
    for (const MapRise& r : group.rises) {
      if (!r.curve.empty() && r.curve.back().height_m >= h) there.push_back(velocity_at(r, h));
    }
    if (there.empty() || 2 * there.size() < group.rises.size()) return out;
    out.push_back({h, even_median_of(there)});
  }
}

struct Scales {
  double highest_cm = 1.0;
  double fastest_mps = 0.1;
};

Scales scales_of(const StickingMap& map) {
  Scales out;
  for (const MapGroup& g : map.groups) {
    for (const MapRise& r : g.rises) {
      out.highest_cm = std::max(out.highest_cm, cm(r.rom_m));
    }
    for (const auto& p : middle_curve(g)) {
      out.fastest_mps = std::max(out.fastest_mps, p.velocity_mps);
    }
  }
  return out;
}

double line_height(const MapGroup& group) {
  return group.rises.size() > 12 ? 9.0 : 13.0;
}

double height_of(const MapGroup& group) {
  return kGroupHead + kGroupFoot +
         line_height(group) * static_cast<double>(std::max<std::size_t>(group.rises.size(), 1));
}

void draw_grid(Drawing& d, const Chart& c, bool with_velocities) {
  for (const double v : svg::round_ticks(c.x, 8)) {
    d.line({c.at_x(v), c.top}, {c.at_x(v), c.bottom()}, "grid");
    d.text({c.at_x(v), c.bottom() + 18.0}, Anchor::kMiddle, "tick", fmt::format("{:.0f}", v));
  }
  if (with_velocities) {
    const auto up = svg::round_ticks(c.y, 5);
    for (const double v : up) {
      d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "grid");
      d.text({c.left - 6.0, c.at_y(v) + 5.0},
             Anchor::kEnd,
             "tick",
             fmt::format("{:.{}f}", v, svg::decimals_of(up)));
    }
  }
  d.rect(c.left, c.top, c.width, c.height, "frame");
}

void badge(Drawing& d, Point at, std::size_t group) {
  d.circle(at, 10.5, "badge");
  d.text({at.x, at.y + 5.5}, Anchor::kMiddle, "letter", letter_of(group));
}

void draw_curves(Drawing& d, const Chart& c, const StickingMap& map, std::size_t count) {
  draw_grid(d, c, true);
  d.text({c.left, c.top - 10.0}, Anchor::kStart, "label", "Middle velocity at each height, m/s");
  std::vector<std::pair<Point, std::size_t>> badges;
  for (std::size_t i = 0; i < count; ++i) {
    std::vector<Point> line;
    for (const auto& p : middle_curve(map.groups[i])) {
      line.push_back({c.at_x(cm(p.height_m)), c.at_y(std::max(p.velocity_mps, 0.0))});
    }
    if (line.empty()) continue;
    d.polyline(line, fmt::format("c{}", i));
    // Letters stand on the lines, each a little further up the bar than the one before.
    const double share = 0.10 + 0.80 * (static_cast<double>(i) + 0.5) / static_cast<double>(count);
    const double at = share * static_cast<double>(line.size() - 1);
    badges.emplace_back(line[static_cast<std::size_t>(at)], i);
  }
  for (const auto& [at, group] : badges) badge(d, at, group);
}

void draw_rise(Drawing& d, const Chart& c, double y, const MapRise& rise, std::size_t group) {
  const double end = c.at_x(cm(rise.rom_m));
  d.line({c.at_x(0.0), y}, {end, y}, "way");
  d.line({end, y - 3.5}, {end, y + 3.5}, "end");
  if (!rise.sticking) return;
  const double from = c.at_x(cm(rise.sticking->from_m));
  const double low = c.at_x(cm(rise.sticking->low_m));
  d.line({from, y}, {low, y}, fmt::format("b{}", group));
  d.polygon({{low - 5.0, y - 5.0}, {low + 5.0, y - 5.0}, {low, y + 5.5}}, "low");
}

std::string tally_of(const MapGroup& group) {
  std::size_t found = 0;
  std::size_t unsure = 0;
  for (const MapRise& r : group.rises) {
    found += r.sticking ? 1 : 0;
    unsure += r.within_noise ? 1 : 0;
  }
  std::string text = fmt::format("sticks in {} of {}", found, group.rises.size());
  if (unsure > 0) text += fmt::format(", cannot tell in {}", unsure);
  if (group.left_out > 0) text += fmt::format(", {} not measured or not full", group.left_out);
  return text;
}

void draw_group(Drawing& d, const Chart& c, double top, const MapGroup& group, std::size_t i) {
  badge(d, {c.left + 16.0, top + 22.0}, i);
  const double words = c.left + 34.0;
  d.text({words, top + 19.0}, Anchor::kStart, "name", shortened(group.name, kNameLetters));
  std::string below = tally_of(group);
  if (!group.detail.empty()) below = group.detail + ": " + below;
  d.text({words, top + 37.0}, Anchor::kStart, "small", below);
  const double step = line_height(group);
  double y = top + kGroupHead + 0.5 * step;
  std::vector<double> lows;
  for (const MapRise& rise : group.rises) {
    draw_rise(d, c, y, rise, i);
    if (rise.sticking) lows.push_back(rise.sticking->low_m);
    y += step;
  }
  d.line({c.left, top + height_of(group)}, {c.left + c.width, top + height_of(group)}, "grid");
  if (lows.empty()) return;
  const double x = c.at_x(cm(even_median_of(lows)));
  d.line({x, top + kGroupHead + 1.0}, {x, y - 0.5 * step + 4.0}, "middle");
}

/// One map's lines of text, and where its parts begin.
struct Layout {
  std::size_t drawn = 0;
  Chart curves;
  Chart rows;
  std::vector<std::string> words;
  std::vector<std::string> foot;
  double bottom = 0.0;
};

constexpr double kWordsBelowRows = 74.0;
constexpr double kFootLine = 19.0;
constexpr double kIndent = 21.0;  // of lines that go on with a sentence

std::vector<std::string> lines_of(const std::string& text, std::size_t width) {
  std::vector<std::string> out;
  std::istringstream lines(wrapped(text, width, "", "   "));
  for (std::string line; std::getline(lines, line);) out.push_back(line);
  return out;
}

Layout lay_out(const StickingMap& map, double top) {
  constexpr std::size_t kWordsWide = 75;
  Layout out;
  out.drawn = std::min(map.groups.size(), kMostGroups);
  const Scales scales = scales_of(map);
  out.curves = {.left = kLeft,
                .top = top + kCurvesTop,
                .width = kWidth - kLeft - kRight,
                .height = kCurves,
                .x = {0.0, 1.03 * scales.highest_cm},
                .y = {0.0, 1.10 * scales.fastest_mps}};
  out.rows = out.curves;
  out.rows.top = out.curves.bottom() + kBetween;
  out.rows.height = 0.0;
  for (std::size_t i = 0; i < out.drawn; ++i) out.rows.height += height_of(map.groups[i]);
  const std::vector<std::string> sentences = places_in_words(map);
  for (std::size_t i = 0; i < out.drawn; ++i) {
    for (const std::string& line : lines_of(printable(sentences[i]), kWordsWide)) {
      out.words.push_back(line);
    }
  }
  if (map.groups.size() > out.drawn) {
    out.foot.push_back(fmt::format("{} more are not drawn.", map.groups.size() - out.drawn));
  }
  out.foot.emplace_back(
      "Thick: from the first velocity peak to the slowest point (triangle). Dotted: their middle.");
  out.foot.emplace_back("± is half of the 95 % interval. Load and tiredness move the point too.");
  out.foot.emplace_back("Bar movement only; coach and lifter decide.");
  out.bottom = out.rows.bottom() + kWordsBelowRows + kLine * static_cast<double>(out.words.size()) +
               kFootLine * static_cast<double>(out.foot.size());
  return out;
}

void draw_rows(Drawing& d, const Chart& c, const StickingMap& map, std::size_t count) {
  d.text({c.left, c.top - 10.0}, Anchor::kStart, "label", "Every rise, from bottom to top");
  draw_grid(d, c, false);
  double top = c.top;
  for (std::size_t i = 0; i < count; ++i) {
    draw_group(d, c, top, map.groups[i], i);
    top += height_of(map.groups[i]);
  }
  d.text({c.left + 0.5 * c.width, c.bottom() + 38.0},
         Anchor::kMiddle,
         "tick",
         "Height above the bottom, cm");
}

std::string title_of(const StickingMap& map) {
  return fmt::format("{}: {}", map.lifter, map.lift);
}

void draw_map(Drawing& d, double top, const StickingMap& map, const Layout& at) {
  d.text({kMargin, top + 34.0}, Anchor::kStart, "title", shortened(title_of(map), kTitleLetters));
  d.text({kMargin, top + 60.0}, Anchor::kStart, "subtitle", kSubtitle);
  if (at.drawn > 0) {
    draw_curves(d, at.curves, map, at.drawn);
    draw_rows(d, at.rows, map, at.drawn);
  }
  double y = at.rows.bottom() + kWordsBelowRows;
  for (const std::string& line : at.words) {
    const std::size_t indent = line.find_first_not_of(' ');
    const double x = kMargin + (indent > 0 ? kIndent : 0.0);
    d.text({x, y}, Anchor::kStart, "words", line.substr(indent));
    y += kLine;
  }
  for (const std::string& line : at.foot) {
    d.text({kMargin, y}, Anchor::kStart, "small", line);
    y += kFootLine;
  }
}

}  // namespace

std::string to_svg(const std::vector<StickingMap>& maps) {
  std::vector<Layout> places;
  std::vector<double> tops;
  std::string title;
  double top = 0.0;
  for (const StickingMap& map : maps) {
    tops.push_back(top);
    places.push_back(lay_out(map, top));
    top = places.back().bottom + kBetweenMaps;
    title += (title.empty() ? "" : "; ") + title_of(map);
  }
  Drawing d(kWidth, top);
  for (std::size_t i = 0; i < maps.size(); ++i) draw_map(d, tops[i], maps[i], places[i]);
  return d.document(title, kSubtitle, kStyleSheet, "");
}

std::string to_svg(const StickingMap& map) {
  return to_svg(std::vector<StickingMap>{map});
}

std::optional<MapRise> map_rise(const Motion& motion, const Rep& rep) {
  if (!rep.rom_m.ok()) return std::nullopt;
  constexpr int kPoints = 160;
  MapRise out;
  out.rom_m = rep.rom_m.value();
  double highest = -1.0;
  for (int i = 0; i <= kPoints; ++i) {
    const MotionSample s = state_at(motion, rep.start_s + (rep.end_s - rep.start_s) * i / kPoints);
    const double height = s.height_m - rep.bottom_height_m;
    // A bar that slips back stands twice at one height: the map shows it on its way on.
    if (height <= highest) continue;
    highest = height;
    out.curve.push_back({height, s.velocity_mps});
  }
  const Measured& low = rep.sticking_low_height;
  if (low.ok() && rep.sticking_from_height.ok()) {
    out.sticking = MapRise::Sticking{.from_m = rep.sticking_from_height.value() * out.rom_m,
                                     .low_m = low.value() * out.rom_m,
                                     .low_sigma_m = low.sigma() * out.rom_m};
  }
  out.within_noise = !low.ok() && low.reason() == Reason::kWithinNoise;
  return out;
}

}  // namespace kinetics
