#include "libkinetics/report/profile_chart.h"

#include <algorithm>
#include <cmath>
#include <sstream>

#include <fmt/format.h>

#include "libkinetics/report/chart.h"
#include "libkinetics/report/profile_words.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/text.h"
#include "libkinetics/report/unit_word.h"
#include "libkinetics/report/zone_text.h"

namespace kinetics {
namespace {

using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;

constexpr double kWidth = 720.0;
constexpr double kLeft = 62.0;
constexpr double kRight = 24.0;
constexpr double kMargin = 18.0;
constexpr double kVelocityTop = 118.0;
constexpr double kVelocityHeight = 340.0;
constexpr double kPowerHeight = 150.0;
constexpr double kBetween = 78.0;
constexpr double kLine = 20.0;
constexpr std::size_t kWordsWide = 72;

constexpr std::string_view kStyleSheet = R"(
.subtitle{font-size:14px}.small{font-size:12.5px}
.next{fill:#56B4E9;fill-opacity:.18}.sure{fill:#0072B2;fill-opacity:.28}
.line{fill:none;stroke:#0072B2;stroke-width:2.6}.further{fill:none;stroke:#0072B2;stroke-width:2;stroke-dasharray:7 5}
.zone{fill:#009E73;fill-opacity:.16}.zone-end{stroke:#009E73;stroke-width:1.6}
.zone-word{font-size:14px;font-weight:bold;fill:#00674b}
.band{stroke:#009E73;stroke-width:1.4;stroke-dasharray:3 4}
.bar{stroke:#444;stroke-width:1}.set{fill:#fff;stroke:#222;stroke-width:1.6}
.geared{fill:#E69F00;stroke:#222;stroke-width:1.4}.aside{stroke:#D55E00;stroke-width:2.4}
.best{fill:#CC79A7;stroke:#222;stroke-width:1.2}.best-way{stroke:#8d3f6c;stroke-width:2}
.entered{stroke:#8d3f6c;stroke-width:1.4;stroke-dasharray:2 3}.best-word{font-size:13px;fill:#6d2450}
.share{stroke:#555;stroke-width:1.2;stroke-dasharray:6 4}.common{stroke:#444;stroke-width:5;stroke-opacity:.55}
)";

struct Scene {
  const Profile& profile;
  const Zone& zone;
  const VelocityLine* line = nullptr;
  Chart velocity;
  Chart power;
  std::vector<std::pair<std::string, std::string>> words;  // name, sentence
  double bottom = 0.0;
};

std::vector<std::string> lines_of(const std::string& text, std::size_t width) {
  std::vector<std::string> out;
  std::istringstream lines(wrapped(printable(text), width));
  for (std::string line; std::getline(lines, line);) out.push_back(line);
  return out;
}

bool has_zone(const Zone& zone) {
  return zone.state == ZoneState::kFixed || zone.state == ZoneState::kUnsure;
}

svg::Span load_span_of(const Profile& p) {
  double lo = p.points.front().load_kg;
  double hi = lo;
  for (const ProfilePoint& q : p.points) {
    lo = std::min(lo, q.load_kg);
    hi = std::max(hi, q.load_kg);
  }
  const double lifted = hi;
  if (p.best.entered_kg) hi = std::max(hi, *p.best.entered_kg);
  if (p.best.estimate_kg) {
    hi = std::max(hi, p.best.estimate_kg->value);
    // A vast interval must not squeeze the sets into a corner; it then runs off the chart.
    if (const auto& i = p.best.estimate_kg->interval)
      hi = std::max(hi, std::min(i->hi, 1.5 * lifted));
  }
  lo = std::min(lo, 0.45 * hi);
  return {std::max(0.0, lo - 0.06 * hi), 1.05 * hi};
}

double fastest_of(const Profile& p, const VelocityLine* line, double lightest_kg) {
  double out = 0.2;
  for (const ProfilePoint& q : p.points) {
    out = std::max(out, q.velocity_mps + kNormal95 * q.velocity_sigma_mps);
  }
  if (line != nullptr) out = std::max(out, velocity_at(*line, lightest_kg).velocity_mps);
  return 1.08 * out;
}

std::vector<std::pair<std::string, std::string>> words_of(const Profile& p, const Zone& zone) {
  std::vector<std::pair<std::string, std::string>> out;
  if (!p.no_line.empty()) out.emplace_back("No line", p.no_line + ".");
  if (has_zone(zone)) {
    std::string text = zone_headline(p, zone);
    constexpr std::string_view kName = "Zone: ";  // stands before the words already
    if (text.starts_with(kName)) text.erase(0, kName.size());
    for (const std::string& end : zone_ends(p, zone)) {
      // What begins or ends the zone goes on from it; a sentence of its own stands as it is.
      text += end.ends_with('.') ? " " + end : " It " + end + ".";
    }
    out.emplace_back("Zone", text);
  } else if (p.line) {
    out.emplace_back("Zone", zone_headline(p, zone));
  }
  for (const ZoneLoads& loads : zone.loads) out.emplace_back("To load", zone_loads_words(p, loads));
  if (zone.common) out.emplace_back("Common practice", zone.common->words);
  if (zone.test) out.emplace_back("To fix it", zone.test->words);
  if (p.force) {
    out.emplace_back(
        "Force and power",
        fmt::format("V0 {} m/s, F0 {} N, highest mean power {} W at {} and {:.2f} m/s.",
                    with_half(p.force->v0_mps, 2),
                    with_half(p.force->f0_n, 0),
                    with_half(p.force->pmax_w, 0),
                    load_words(p.force->best_load_kg.value, p.unit),
                    p.force->best_mps));
  }
  out.emplace_back("Best single", best_single_words(p) + " " + best_single_caution(p.best));
  out.emplace_back("Over the weeks", drift_words(p));
  if (p.line)
    out.emplace_back(
        "Line", curve_words(p) + " It " + (p.pooled_lifters > 0 ? "" : "is ") + pooling_words(p));
  for (const Note& note : p.notes) out.emplace_back("Note", note.text);
  return out;
}

constexpr const char* kFoot =
    "Dark band: where the line lies (95 %). Light band: where 95 of 100 further sets on other days "
    "will lie. Bars on the sets: their own measurement. Circles: straight weight, squares: chains "
    "or "
    "bands, crosses: set aside. Force and power are the bar's. These figures describe bar movement "
    "only; coach and lifter decide.";

double words_height(const std::vector<std::pair<std::string, std::string>>& words) {
  double out = 0.0;
  for (const auto& [name, text] : words) {
    out += kLine * static_cast<double>(lines_of(text, kWordsWide).size()) + 3.0;
  }
  return out + 17.0 * static_cast<double>(lines_of(kFoot, 100).size()) + 16.0;
}

Scene scene_of(const ZoneOf& of, double top) {
  const Profile& p = *of.profile;
  Scene s{.profile = p,
          .zone = of.zone,
          .line = prediction_line(p),
          .velocity = {},
          .power = {},
          .words = words_of(p, of.zone)};
  s.velocity = {.left = kLeft,
                .top = top + kVelocityTop,
                .width = kWidth - kLeft - kRight,
                .height = kVelocityHeight,
                .x = load_span_of(p),
                .y = {}};
  s.velocity.y = {0.0, fastest_of(p, s.line, s.velocity.x.from)};
  s.power = s.velocity;
  s.power.top = s.velocity.bottom() + kBetween;
  s.power.height = s.line != nullptr ? kPowerHeight : 0.0;
  double highest_w = 1.0;
  if (s.line != nullptr) {
    for (int i = 0; i <= 100; ++i) {
      const double load = s.power.x.from + s.power.x.length() * i / 100.0;
      highest_w =
          std::max(highest_w, kStandardGravity * load * velocity_at(*s.line, load).line_mps.hi);
    }
  }
  const double cap_w =
      s.line != nullptr && of.zone.best_power_w > 0.0 ? 1.4 * of.zone.best_power_w : highest_w;
  s.power.y = {0.0, 1.05 * std::min(highest_w, cap_w)};
  const double charts = s.line != nullptr ? s.power.bottom() : s.velocity.bottom();
  s.bottom = charts + 62.0 + words_height(s.words);
  return s;
}

void draw_axes(Drawing& d, const Chart& c, MassUnit unit, int wanted_y) {
  const double per = in_unit(1.0, unit);
  for (const double v : svg::round_ticks({c.x.from * per, c.x.to * per}, 8)) {
    const double x = c.at_x(v / per);
    d.line({x, c.top}, {x, c.bottom()}, "grid");
    d.text({x, c.bottom() + 18.0}, Anchor::kMiddle, "tick", fmt::format("{:.0f}", v));
  }
  const auto up = svg::round_ticks(c.y, wanted_y);
  for (const double v : up) {
    d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "grid");
    d.text({c.left - 7.0, c.at_y(v) + 5.0},
           Anchor::kEnd,
           "tick",
           fmt::format("{:.{}f}", v, svg::decimals_of(up)));
  }
}

/// Shares of the best single along the top.
void draw_shares(Drawing& d, const Chart& c, double base_kg) {
  if (!(base_kg > 0.0)) return;
  for (const double share :
       svg::round_ticks({100.0 * c.x.from / base_kg, 100.0 * c.x.to / base_kg}, 8)) {
    const double x = c.at_x(share * base_kg / 100.0);
    d.line({x, c.top - 5.0}, {x, c.top}, "bar");
    d.text({x, c.top - 9.0}, Anchor::kMiddle, "small", fmt::format("{:.0f} %", share));
  }
}

Point inside(const Chart& c, double load_kg, double y) {
  return {c.at_x(std::clamp(load_kg, c.x.from, c.x.to)), c.at_y(std::clamp(y, c.y.from, c.y.to))};
}

/// `value(load)` along the chart, cut off where it leaves it.
template <typename Value>
std::vector<Point> along(const Chart& c, double from_kg, double to_kg, Value value) {
  constexpr int kSteps = 120;
  std::vector<Point> out;
  for (int i = 0; i <= kSteps; ++i) {
    const double load = from_kg + (to_kg - from_kg) * i / kSteps;
    out.push_back(inside(c, load, value(load)));
  }
  return out;
}

template <typename Lower, typename Upper>
void draw_band(Drawing& d, const Chart& c, Lower lower, Upper upper, std::string_view style) {
  std::vector<Point> outline = along(c, c.x.from, c.x.to, upper);
  std::vector<Point> below = along(c, c.x.from, c.x.to, lower);
  outline.insert(outline.end(), below.rbegin(), below.rend());
  d.polygon(outline, style);
}

void draw_zone(Drawing& d, const Scene& s, const Chart& c, bool named) {
  if (!has_zone(s.zone)) return;
  const double from = c.at_x(std::clamp(s.zone.low.load_kg, c.x.from, c.x.to));
  const double to = c.at_x(std::clamp(s.zone.high.load_kg, c.x.from, c.x.to));
  d.rect(from, c.top, to - from, c.height, "zone");
  for (const ZoneEnd& end : {s.zone.low, s.zone.high}) {
    const double x = c.at_x(std::clamp(end.load_kg, c.x.from, c.x.to));
    d.line({x, c.top}, {x, c.bottom()}, "zone-end");
    if (!named || !end.interval_kg) continue;
    const double y = c.top + 27.0;
    d.line({c.at_x(std::clamp(end.interval_kg->lo, c.x.from, c.x.to)), y},
           {c.at_x(std::clamp(end.interval_kg->hi, c.x.from, c.x.to)), y},
           "zone-end");
  }
  if (named) {
    d.text({0.5 * (from + to), c.top + 18.0},
           Anchor::kMiddle,
           "zone-word",
           s.zone.state == ZoneState::kFixed ? "zone" : "zone?");
  }
}

void draw_common(Drawing& d, const Scene& s) {
  if (!s.zone.common) return;
  const Chart& c = s.velocity;
  const double y = c.bottom() - 6.0;
  const double from = c.at_x(std::clamp(s.zone.common->low_kg, c.x.from, c.x.to));
  const double to = c.at_x(std::clamp(s.zone.common->high_kg, c.x.from, c.x.to));
  d.line({from, y}, {to, y}, "common");
  d.text({0.5 * (from + to), y - 7.0}, Anchor::kMiddle, "small", "50–60 %");
}

void draw_velocity_band(Drawing& d, const Scene& s) {
  if (!s.zone.band) return;
  const Chart& c = s.velocity;
  for (const double v : {s.zone.band->lowest_mps, s.zone.band->highest_mps}) {
    if (v > c.y.to) continue;
    d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "band");
    d.text({c.left + c.width - 4.0, c.at_y(v) - 5.0},
           Anchor::kEnd,
           "small",
           fmt::format("band {:.2f} m/s", v));
  }
}

void draw_line(Drawing& d, const Scene& s) {
  const Chart& c = s.velocity;
  const VelocityLine& line = *s.line;
  const auto at = [&](double load) { return velocity_at(line, load); };
  draw_band(
      d,
      c,
      [&](double l) { return at(l).set_mps.lo; },
      [&](double l) { return at(l).set_mps.hi; },
      "next");
  draw_band(
      d,
      c,
      [&](double l) { return at(l).line_mps.lo; },
      [&](double l) { return at(l).line_mps.hi; },
      "sure");
  const auto v = [&](double l) { return at(l).velocity_mps; };
  // As far as it was lifted whole, beyond dashed.
  const double from = std::max(c.x.from, line.lightest_kg);
  const double to = std::min(c.x.to, line.heaviest_kg);
  double rest = c.x.to;
  if (const auto stop = load_at(line, {})) rest = std::min(rest, stop->value);
  if (from > c.x.from) d.polyline(along(c, c.x.from, from, v), "further");
  if (rest > to) d.polyline(along(c, to, rest, v), "further");
  d.polyline(along(c, from, to, v), "line");
}

void draw_point(Drawing& d, const Chart& c, const ProfilePoint& p) {
  const Point at = inside(c, p.load_kg, p.velocity_mps);
  const double half = kNormal95 * p.velocity_sigma_mps;
  d.line(inside(c, p.load_kg, p.velocity_mps - half),
         inside(c, p.load_kg, p.velocity_mps + half),
         "bar");
  if (p.set_aside) {
    d.line({at.x - 5.5, at.y - 5.5}, {at.x + 5.5, at.y + 5.5}, "aside");
    d.line({at.x - 5.5, at.y + 5.5}, {at.x + 5.5, at.y - 5.5}, "aside");
    return;
  }
  // Older sets are smaller: they count less.
  const double size = 2.6 + 1.9 * p.recency;
  if (p.accommodating.empty()) {
    d.circle(at, size, "set");
  } else {
    d.rect(at.x - size, at.y - size, 2.0 * size, 2.0 * size, "geared");
  }
}

void draw_best(Drawing& d, const Scene& s) {
  const Chart& c = s.velocity;
  const BestSingle& best = s.profile.best;
  if (best.entered_kg) {
    const double x = c.at_x(*best.entered_kg);
    d.line({x, c.top + 34.0}, {x, c.bottom()}, "entered");
    d.text({x - 5.0, c.top + 48.0},
           Anchor::kEnd,
           "best-word",
           "entered best " + load_words(*best.entered_kg, s.profile.unit));
  }
  if (!best.estimate_kg || !best.velocity) return;
  const double v = best.velocity->velocity_mps;
  const Point at = inside(c, best.estimate_kg->value, v);
  if (const auto& i = best.estimate_kg->interval) {
    const Point lo = inside(c, i->lo, v);
    const Point hi = inside(c, i->hi, v);
    d.line(lo, hi, "best-way");
    d.line({lo.x, lo.y - 6.0}, {lo.x, lo.y + 6.0}, "best-way");
    if (i->hi <= c.x.to) d.line({hi.x, hi.y - 6.0}, {hi.x, hi.y + 6.0}, "best-way");
  }
  d.polygon({{at.x, at.y - 8.0}, {at.x + 8.0, at.y}, {at.x, at.y + 8.0}, {at.x - 8.0, at.y}},
            "best");
  double left = at.x - 10.0;
  if (best.estimate_kg->interval) left = inside(c, best.estimate_kg->interval->lo, v).x - 6.0;
  const std::string load = load_words(best.estimate_kg->value, s.profile.unit);
  d.text({left, at.y + 5.0},
         Anchor::kEnd,
         "best-word",
         fmt::format("estimate {} at {:.2f} m/s", load, v));
}

void draw_power(Drawing& d, const Scene& s) {
  const Chart& c = s.power;
  const VelocityLine& line = *s.line;
  draw_axes(d, c, s.profile.unit, 4);
  draw_zone(d, s, c, false);
  const auto watts = [](double load, double v) { return kStandardGravity * load * v; };
  draw_band(
      d,
      c,
      [&](double l) { return watts(l, velocity_at(line, l).line_mps.lo); },
      [&](double l) { return watts(l, velocity_at(line, l).line_mps.hi); },
      "sure");
  double rest = c.x.to;
  if (const auto stop = load_at(line, {})) rest = std::min(rest, stop->value);
  d.polyline(
      along(
          c, c.x.from, rest, [&](double l) { return watts(l, velocity_at(line, l).velocity_mps); }),
      "line");
  if (s.zone.best_power_w > 0.0) {
    const double y = c.at_y(s.zone.power_share * s.zone.best_power_w);
    d.line({c.left, y}, {c.left + c.width, y}, "share");
    d.text({c.left + c.width - 4.0, y - 5.0},
           Anchor::kEnd,
           "small",
           fmt::format("{:.0f} % of the highest", 100.0 * s.zone.power_share));
    if (s.zone.best_load_kg >= c.x.from && s.zone.best_load_kg <= c.x.to) {
      d.circle(inside(c, s.zone.best_load_kg, s.zone.best_power_w), 4.5, "set");
    }
  }
  d.rect(c.left, c.top, c.width, c.height, "frame");
  d.text({c.left, c.top - 12.0}, Anchor::kStart, "label", "Mean power of the bar, W");
}

void draw_words(Drawing& d, const Scene& s, double y) {
  constexpr double kIndent = 148.0;
  for (const auto& [name, text] : s.words) {
    d.text({kMargin, y}, Anchor::kStart, "name", name);
    for (const std::string& line : lines_of(text, kWordsWide)) {
      d.text({kMargin + kIndent, y}, Anchor::kStart, "words", line);
      y += kLine;
    }
    y += 3.0;
  }
  y += 6.0;
  for (const std::string& line : lines_of(kFoot, 100)) {
    d.text({kMargin, y}, Anchor::kStart, "small", line);
    y += 17.0;
  }
}

void draw(Drawing& d, const Scene& s, double top) {
  const Profile& p = s.profile;
  d.text({kMargin, top + 34.0}, Anchor::kStart, "title", lines_of(title_of(p), 54).front());
  d.text({kMargin, top + 58.0}, Anchor::kStart, "subtitle", sets_and_days(p));
  const Chart& c = s.velocity;
  draw_axes(d, c, p.unit, 7);
  draw_zone(d, s, c, true);
  draw_velocity_band(d, s);
  if (s.line != nullptr) draw_line(d, s);
  draw_common(d, s);
  for (const ProfilePoint& point : p.points) draw_point(d, c, point);
  draw_best(d, s);
  d.rect(c.left, c.top, c.width, c.height, "frame");
  draw_shares(d, c, share_base_kg(p));
  d.text({c.left, c.top - 30.0}, Anchor::kStart, "label", "Mean velocity, m/s");
  if (share_base_kg(p) > 0.0) {
    d.text({c.left + c.width, c.top - 30.0},
           Anchor::kEnd,
           "small",
           p.best.entered_kg ? "share of the best single" : "share of the estimated best single");
  }
  const Chart& lowest = s.line != nullptr ? s.power : s.velocity;
  if (s.line != nullptr) draw_power(d, s);
  d.text({lowest.left + 0.5 * lowest.width, lowest.bottom() + 38.0},
         Anchor::kMiddle,
         "tick",
         fmt::format("{}, {}", in_words(p.axis), unit_word(p.unit)));
  draw_words(d, s, lowest.bottom() + 72.0);
}

}  // namespace

std::string profile_chart(const std::vector<ZoneOf>& profiles) {
  constexpr double kBetweenPages = 26.0;
  std::vector<Scene> scenes;
  std::vector<double> tops;
  double top = 0.0;
  std::string title;
  for (const ZoneOf& of : profiles) {
    tops.push_back(top);
    scenes.push_back(scene_of(of, top));
    top = scenes.back().bottom + kBetweenPages;
    title += (title.empty() ? "" : "; ") + title_of(*of.profile);
  }
  Drawing d(kWidth, top);
  for (std::size_t i = 0; i < scenes.size(); ++i) draw(d, scenes[i], tops[i]);
  return d.document(title, "Mean velocity and power over load", kStyleSheet, "");
}

}  // namespace kinetics
