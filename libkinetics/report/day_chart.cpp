#include "libkinetics/report/day_chart.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include <fmt/format.h>

#include "libkinetics/report/svg.h"

namespace kinetics::day_view {

// Colours after M. Okabe & K. Ito, Color Universal Design (2008). Each goes with a shape or a word.
const std::string_view kDayChartStyle = R"(
svg{display:block;width:100%;height:auto}
svg text,svg .tick{font-size:8.6px}
.grid{stroke-width:.6}.frame{stroke-width:.7}.strip{stroke:#bbb;stroke-width:.6}
.zone{fill:#009E73;fill-opacity:.10}.zoneedge{stroke:#009E73;stroke-width:.9;stroke-dasharray:4 2.5}
.thread{fill:none;stroke:#888;stroke-width:.7}.interval{stroke:#444;stroke-width:.8}
.dot{fill:#0072B2;stroke:#000;stroke-width:.4}.ring{fill:#fff;stroke:#000;stroke-width:1}
.slow{fill:#D55E00;stroke:#000;stroke-width:.6}.square{fill:#fff;stroke:#000;stroke-width:.9}
.cross{stroke:#000;stroke-width:1.1}.gap{fill:none;stroke:#888;stroke-width:.8;stroke-dasharray:2 2}
svg .word{font-size:7.4px;font-weight:bold;paint-order:stroke;stroke:#fff;stroke-width:1.6}
svg .unit{font-size:7.6px}
)";

namespace {

using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;
using svg::Span;

constexpr double kTop = 5.0;
constexpr double kRight = 2.0;
constexpr double kBelow = 4.0;
constexpr double kWordHeight = 7.4;
constexpr double kRoomForWords = 34.0;  // the table below has the words as well

void widen(std::optional<Span>& span, double value) {
  if (!span) span = Span{value, value};
  span->from = std::min(span->from, value);
  span->to = std::max(span->to, value);
}

void draw_scale(Drawing& d, const Chart& c) {
  const std::vector<double> ticks = svg::round_ticks(c.y, 4);
  for (const double v : ticks) {
    d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "grid");
    d.text({c.left - 3.0, c.at_y(v) + 3.0},
           Anchor::kEnd,
           "tick",
           fmt::format("{:.{}f}", v, svg::decimals_of(ticks)));
  }
  d.text({0.0, kTop + 5.0}, Anchor::kStart, "unit", "m/s");
}

/// One rectangle over neighbouring sets of one zone, or its edges, which lie over the grid.
void draw_zones(Drawing& d, const Chart& c, std::span<const DayColumn> columns, bool edges) {
  for (std::size_t i = 0; i < columns.size();) {
    std::size_t end = i + 1;
    while (end < columns.size() && columns[end].zone == columns[i].zone) ++end;
    if (const auto& zone = columns[i].zone) {
      const double from = c.at_x(static_cast<double>(i));
      const double to = c.at_x(static_cast<double>(end));
      const double high = c.at_y(std::min(zone->highest_mps, c.y.to));
      const double low = c.at_y(std::max(zone->lowest_mps, c.y.from));
      if (edges) {
        for (const double y : {high, low}) d.line({from, y}, {to, y}, "zoneedge");
      } else {
        d.rect(from, high, to - from, std::max(low - high, 0.0), "zone");
      }
    }
    i = end;
  }
}

void draw_marker(Drawing& d, Point at, double r, const RepMark& rep) {
  if (!rep.full) {
    d.rect(at.x - r, at.y - r, 2.0 * r, 2.0 * r, "square");
  } else if (rep.slowed == Slowed::kYes) {
    d.polygon({{at.x - 1.2 * r, at.y - r}, {at.x + 1.2 * r, at.y - r}, {at.x, at.y + 1.4 * r}},
              "slow");
  } else {
    d.circle(at, r, rep.slowed == Slowed::kMaybe ? "ring" : "dot");
  }
}

void draw_cross(Drawing& d, Point at, double r) {
  d.line({at.x - r, at.y - r}, {at.x + r, at.y + r}, "cross");
  d.line({at.x - r, at.y + r}, {at.x + r, at.y - r}, "cross");
}

/// Where the reps of one strip stand across it.
struct Strip {
  double from = 0.0;
  double width = 0.0;
  std::size_t reps = 0;

  [[nodiscard]] double step() const {
    return std::min(0.88 * width / static_cast<double>(std::max<std::size_t>(reps, 1)), 16.0);
  }
  [[nodiscard]] double middle() const { return from + 0.5 * width; }
  [[nodiscard]] double x_of(std::size_t rep) const {
    return middle() + step() * (static_cast<double>(rep) - 0.5 * static_cast<double>(reps - 1));
  }
  [[nodiscard]] double radius() const { return std::clamp(0.40 * step(), 1.3, 3.2); }
};

/// "slowed" below the slowed reps, or "slowed?" below those that may be.
class SlowedWord {
 public:
  explicit SlowedWord(Slowed kind) : kind_(kind) {}

  void add(const RepMark& rep, Point below) {
    if (rep.slowed != kind_) return;
    x_sum_ += below.x;
    y_ = std::max(y_, below.y);
    ++count_;
  }
  void write(Drawing& d, const Chart& c, double& lowest) const {
    if (count_ == 0) return;
    double y = std::min(y_ + kWordHeight, c.bottom() - 1.5);
    if (lowest > 0.0 && std::abs(y - lowest) < kWordHeight) y = lowest - kWordHeight;
    lowest = y;
    const double half = kind_ == Slowed::kYes ? 12.5 : 14.5;  // of the word
    const double x = std::clamp(x_sum_ / count_, c.left + half, c.left + c.width - half);
    d.text({x, y}, Anchor::kMiddle, "word", kind_ == Slowed::kYes ? "slowed" : "slowed?");
  }

 private:
  Slowed kind_;
  double x_sum_ = 0.0;
  double y_ = 0.0;
  int count_ = 0;
};

void draw_set(Drawing& d, const Chart& c, const Strip& strip, const DayColumn& column) {
  const double r = strip.radius();
  std::vector<Point> thread;
  std::vector<Point> places;
  for (std::size_t i = 0; i < column.reps.size(); ++i) {
    const Measured& mean = column.reps[i].mean_mps;
    const double value = mean.ok() ? std::clamp(mean.value(), c.y.from, c.y.to) : c.y.from;
    places.push_back({strip.x_of(i), c.at_y(value)});
    if (mean.ok()) thread.push_back(places.back());
  }
  if (thread.size() > 1) d.polyline(thread, "thread");
  SlowedWord sure(Slowed::kYes);
  SlowedWord maybe(Slowed::kMaybe);
  for (std::size_t i = 0; i < column.reps.size(); ++i) {
    const RepMark& rep = column.reps[i];
    const Point at = places[i];
    if (!rep.mean_mps.ok()) {
      draw_cross(d, {at.x, c.bottom() - 2.0 * r}, r);
      continue;
    }
    const double high = c.at_y(std::min(rep.mean_mps.hi(), c.y.to));
    const double low = c.at_y(std::max(rep.mean_mps.lo(), c.y.from));
    d.line({at.x, high}, {at.x, low}, "interval");
    draw_marker(d, at, r, rep);
    for (SlowedWord* word : {&sure, &maybe}) word->add(rep, {at.x, std::max(low, at.y + 1.4 * r)});
  }
  if (strip.width < kRoomForWords) return;
  double lowest = 0.0;
  sure.write(d, c, lowest);
  maybe.write(d, c, lowest);
}

void draw_gap(Drawing& d, const Chart& c, const Strip& strip) {
  constexpr double kInset = 2.0;
  d.rect(strip.from + kInset,
         c.top + kInset,
         strip.width - 2.0 * kInset,
         c.height - 2.0 * kInset,
         "gap");
  d.upright_text({strip.middle() + 3.0, c.top + 0.5 * c.height}, "unit", "not seen");
}

}  // namespace

Span velocity_scale(const std::vector<LifterDay>& lifters) {
  constexpr double kStep = 0.1;
  std::optional<Span> span;
  for (const LifterDay& lifter : lifters) {
    for (const DayColumn& column : lifter.columns) {
      for (const RepMark& rep : column.reps) {
        if (!rep.mean_mps.ok()) continue;
        // A rep that is hardly known must not press the others together.
        const double half = std::min(kNormal95 * rep.mean_mps.sigma(), kStep);
        widen(span, rep.mean_mps.value() - half);
        widen(span, rep.mean_mps.value() + half);
      }
      if (!column.zone) continue;
      widen(span, column.zone->lowest_mps);
      widen(span, column.zone->highest_mps);
    }
  }
  if (!span) return {0.0, 1.0};
  const double margin = 0.08 * std::max(span->length(), kStep);
  // Whole tenths below: a word stands under a slowed rep.
  const double from = std::floor((span->from - 2.0 * margin) / kStep) * kStep;
  return {std::max(from, 0.0), span->to + margin};
}

std::string day_chart(std::span<const DayColumn> columns,
                      const Span& scale,
                      const ChartShape& shape,
                      std::string_view label) {
  Drawing d(shape.width, shape.height);
  const Chart c{.left = shape.gutter,
                .top = kTop,
                .width = shape.width - shape.gutter - kRight,
                .height = shape.height - kTop - kBelow,
                .x = {0.0, static_cast<double>(std::max<std::size_t>(columns.size(), 1))},
                .y = scale};
  draw_zones(d, c, columns, false);
  draw_scale(d, c);
  draw_zones(d, c, columns, true);
  for (std::size_t i = 1; i < columns.size(); ++i) {
    const double x = c.at_x(static_cast<double>(i));
    d.line({x, c.top}, {x, c.bottom()}, "strip");
  }
  d.rect(c.left, c.top, c.width, c.height, "frame");
  for (std::size_t i = 0; i < columns.size(); ++i) {
    const Strip strip{.from = c.at_x(static_cast<double>(i)),
                      .width = c.width / c.x.length(),
                      .reps = columns[i].reps.size()};
    if (columns[i].kind == ColumnKind::kMissed) {
      draw_gap(d, c, strip);
    } else {
      draw_set(d, c, strip, columns[i]);
    }
  }
  return d.element(label);
}

}  // namespace kinetics::day_view
