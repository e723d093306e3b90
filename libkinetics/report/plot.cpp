#include "libkinetics/report/plot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/report/chart.h"
#include "libkinetics/report/plot_parts.h"
#include "libkinetics/report/rep_charts.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/load_words.h"

namespace kinetics {
namespace {

using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;
using svg::Span;

// The page is narrow and tall, and its letters large, so that a phone shows all of it readably.
constexpr double kWidth = 640.0;
constexpr double kLeft = 62.0;
constexpr double kRight = 18.0;
constexpr double kChartsTop = 138.0;
constexpr double kHeightOfHeights = 160.0;
constexpr double kHeightOfVelocities = 210.0;
constexpr double kHeightOfMeans = 190.0;
constexpr double kBetween = 40.0;
constexpr double kBelowCharts = 122.0;
constexpr double kLastLineOfKey = 24.0;  // of that

// Colours after M. Okabe & K. Ito, Color Universal Design (2008): told apart with any colour
// vision. On top of that lines differ by chart, reps by number and marker, gaps by hatching.
constexpr std::string_view kStyleSheet = R"(
.number{font-size:16px;font-weight:bold}.value{font-size:15px}.flag{font-size:13px}.foot{font-size:13px}
.zero{stroke:#666;stroke-width:1.2}.level{stroke:#000;stroke-width:1.4;stroke-dasharray:7 5}
.rise{fill:#56B4E9;fill-opacity:.25}.edge{stroke:#0072B2;stroke-width:1;stroke-opacity:.6}
.hidden{fill:url(#hatch)}
.height{fill:none;stroke:#0072B2;stroke-width:2.4;stroke-linejoin:round}
.velocity{fill:none;stroke:#D55E00;stroke-width:2.2;stroke-linejoin:round}
.band{fill:#E69F00;fill-opacity:.45}
.interval{stroke:#000;stroke-width:2}.dot{fill:#009E73;stroke:#000;stroke-width:1.2}
.open{fill:#fff;stroke:#000;stroke-width:2}.slow{fill:#D55E00;stroke:#000;stroke-width:1.2}
)";
constexpr std::string_view kHatch = R"svg(
<pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
<rect width="7" height="7" fill="#fff" fill-opacity=".55"/>
<line x1="0" y1="0" x2="0" y2="7" stroke="#555" stroke-width="2"/>
</pattern>
)svg";

/// A stretch of time.
struct Stretch {
  double from_s = 0.0;
  double to_s = 0.0;
};

struct Page {
  Chart heights;
  Chart velocities;
  Chart means;
  [[nodiscard]] std::array<const Chart*, 3> charts() const {
    return {&heights, &velocities, &means};
  }
};

std::vector<Stretch> hidden_stretches(const BarPath& path) {
  std::vector<Stretch> out;
  bool open = false;
  for (const PathPoint& p : path.points) {
    if (!p.seen && !open) out.push_back({p.t_s, p.t_s});
    open = !p.seen;
    if (open) out.back().to_s = p.t_s;
  }
  return out;
}

Span span_of(const std::vector<MotionSample>& samples,
             const std::function<double(const MotionSample&)>& value) {
  Span span{0.0, 0.0};
  bool first = true;
  for (const MotionSample& s : samples) {
    if (!s.measured) continue;
    const double v = value(s);
    span = first ? Span{v, v} : Span{std::min(span.from, v), std::max(span.to, v)};
    first = false;
  }
  return span;
}

/// Every mean with its interval, and the level below which a rep counts as slowed.
Span span_of_means(const Session& session) {
  Span span{0.0, 0.0};
  for (const Rep& rep : session.reps) {
    if (rep.mean_velocity_mps.ok()) span.to = std::max(span.to, rep.mean_velocity_mps.hi());
  }
  // The axis starts at zero so that a loss looks as large as it is; above the highest there must be
  // room for its number.
  span.to = span.to > 0.0 ? 1.28 * span.to : 1.0;
  return span;
}

Page lay_out(const Session& session) {
  const auto& samples = session.motion.samples;
  Span time{0.0, 1.0};
  if (samples.size() > 1) time = {samples.front().t_s, samples.back().t_s};
  const auto chart = [&](double top, double height, Span y) {
    return Chart{.left = kLeft,
                 .top = top,
                 .width = kWidth - kLeft - kRight,
                 .height = height,
                 .x = time,
                 .y = y};
  };
  const Span heights = span_of(samples, [](const auto& s) { return s.height_m; });
  const Span velocities = span_of(samples, [](const auto& s) { return s.velocity_mps; });
  Page page;
  page.heights = chart(kChartsTop, kHeightOfHeights, svg::with_margin(heights, 0.08));
  page.velocities = chart(
      page.heights.bottom() + kBetween, kHeightOfVelocities, svg::with_margin(velocities, 0.08));
  page.means = chart(page.velocities.bottom() + kBetween, kHeightOfMeans, span_of_means(session));
  return page;
}

void draw_axes(Drawing& d, const Chart& chart, std::string_view label, bool with_times) {
  constexpr double kRowOfText = 16.0;
  const std::vector<double> across = svg::round_ticks(chart.x, 6);
  for (const double t : across) {
    d.line({chart.at_x(t), chart.top}, {chart.at_x(t), chart.bottom()}, "grid");
    if (!with_times) continue;
    d.text({chart.at_x(t), chart.bottom() + kRowOfText + 4.0},
           Anchor::kMiddle,
           "tick",
           fmt::format("{:.{}f}", t, svg::decimals_of(across)));
  }
  const std::vector<double> up = svg::round_ticks(chart.y, 5);
  for (const double v : up) {
    d.line({chart.left, chart.at_y(v)}, {chart.left + chart.width, chart.at_y(v)}, "grid");
    d.text({chart.left - 6.0, chart.at_y(v) + 5.0},
           Anchor::kEnd,
           "tick",
           fmt::format("{:.{}f}", v, svg::decimals_of(up)));
  }
  d.rect(chart.left, chart.top, chart.width, chart.height, "frame");
  d.text({chart.left, chart.top - 8.0}, Anchor::kStart, "label", label);
}

/// Shades each rise in all charts and numbers it above the first.
void draw_reps(Drawing& d, const Page& page, const std::vector<Rep>& reps) {
  constexpr double kLeastBetween = 22.0;  // closer numbers would run into each other
  constexpr double kLeastBetweenSets = 46.0;
  constexpr double kNumberY = kChartsTop - 28.0;  // above the chart's own label
  const bool several_sets = !reps.empty() && reps.back().set != reps.front().set;
  double last_x = -kLeastBetween;
  if (!reps.empty()) d.text({kLeft - 6.0, kNumberY}, Anchor::kEnd, "number", "Rep");
  int last_set = 0;
  double last_set_x = -kLeastBetweenSets;
  for (const Rep& rep : reps) {
    for (const Chart* chart : page.charts()) {
      const double from = chart->at_x(rep.start_s);
      const double to = chart->at_x(rep.end_s);
      d.rect(from, chart->top, to - from, chart->height, "rise");
      d.line({from, chart->top}, {from, chart->bottom()}, "edge");
      d.line({to, chart->top}, {to, chart->bottom()}, "edge");
    }
    const double x = page.heights.at_x(0.5 * (rep.start_s + rep.end_s));
    if (several_sets && rep.set != last_set && x - last_set_x >= kLeastBetweenSets) {
      last_set_x = x;
      d.text({x, kNumberY - 16.0}, Anchor::kMiddle, "flag", fmt::format("set {}", rep.set));
    }
    last_set = rep.set;
    if (x - last_x < kLeastBetween) continue;
    last_x = x;
    d.text({x, kNumberY}, Anchor::kMiddle, "number", fmt::format("{}", rep.number));
  }
}

void draw_hidden(Drawing& d, const Page& page, const std::vector<Stretch>& hidden) {
  constexpr double kLeastWidth = 2.0;  // a few frames must still be seen
  for (const Stretch& stretch : hidden) {
    for (const Chart* chart : {&page.heights, &page.velocities}) {
      const double from = chart->at_x(stretch.from_s);
      const double width = std::max(chart->at_x(stretch.to_s) - from, kLeastWidth);
      d.rect(from, chart->top, width, chart->height, "hidden");
    }
  }
}

/// Runs of measured samples, thinned so that an hour of footage stays a small file: of all samples
/// that fall on one quarter of a unit only the lowest and the highest are kept.
std::vector<std::vector<MotionSample>> runs_of(const Motion& motion, const Chart& chart) {
  constexpr double kPerUnit = 4.0;
  constexpr double kLongestStep_s = 1.0;  // between samples; beyond lies a hole of a log
  std::vector<std::vector<MotionSample>> runs;
  bool open = false;
  double column = 0.0;
  std::size_t in_column = 0;
  double last_s = 0.0;
  for (const MotionSample& s : motion.samples) {
    if (!s.measured) {
      open = false;
      continue;
    }
    if (s.t_s - last_s > kLongestStep_s) open = false;
    last_s = s.t_s;
    const double here = std::floor(kPerUnit * chart.at_x(s.t_s));
    if (!open) runs.emplace_back();
    if (!open || here != column) in_column = 0;
    open = true;
    column = here;
    auto& run = runs.back();
    if (in_column < 2) {
      run.push_back(s);
      ++in_column;
    } else if (s.velocity_mps > run.back().velocity_mps) {
      run.back() = s;
    } else if (s.velocity_mps < run[run.size() - 2].velocity_mps) {
      run[run.size() - 2] = run.back();
      run.back() = s;
    }
  }
  return runs;
}

void draw_heights(Drawing& d, const Chart& chart, const Motion& motion) {
  for (const auto& run : runs_of(motion, chart)) {
    std::vector<Point> points;
    for (const MotionSample& s : run) points.push_back({chart.at_x(s.t_s), chart.at_y(s.height_m)});
    d.polyline(points, "height");
  }
}

void draw_velocities(Drawing& d, const Chart& chart, const Motion& motion) {
  for (const auto& run : runs_of(motion, chart)) {
    std::vector<Point> line;
    std::vector<Point> band;
    for (const MotionSample& s : run) {
      const double half = kNormal95 * s.velocity_sigma_mps;
      line.push_back({chart.at_x(s.t_s), chart.at_y(s.velocity_mps)});
      band.push_back({chart.at_x(s.t_s), std::max(chart.at_y(s.velocity_mps + half), chart.top)});
    }
    for (auto s = run.rbegin(); s != run.rend(); ++s) {
      const double half = kNormal95 * s->velocity_sigma_mps;
      band.push_back(
          {chart.at_x(s->t_s), std::min(chart.at_y(s->velocity_mps - half), chart.bottom())});
    }
    d.polygon(band, "band");
    d.polyline(line, "velocity");
  }
  const double zero = chart.at_y(0.0);
  d.line({chart.left, zero}, {chart.left + chart.width, zero}, "zero");
}

bool has(const Rep& rep, FlagKind flag) {
  return std::find(rep.flags.begin(), rep.flags.end(), flag) != rep.flags.end();
}

/// A full dot; open when the comparison is undecided; a triangle pointing down when slowed; a
/// square when the rep was not a full one.
void draw_marker(Drawing& d, Point at, const Rep& rep) {
  constexpr double kSize = 6.5;
  if (rep.kind != RepKind::kFull) {
    d.rect(at.x - kSize, at.y - kSize, 2.0 * kSize, 2.0 * kSize, "open");
  } else if (has(rep, FlagKind::kSlowed)) {
    d.polygon({{at.x - 1.2 * kSize, at.y - kSize},
               {at.x + 1.2 * kSize, at.y - kSize},
               {at.x, at.y + 1.3 * kSize}},
              "slow");
  } else {
    d.circle(at, kSize, has(rep, FlagKind::kMaybeSlowed) ? "open" : "dot");
  }
}

/// The rep's flags below its marker, a word a line.
void write_flags(Drawing& d, Point below, const Rep& rep) {
  constexpr double kLine = 15.0;
  for (const FlagKind flag : rep.flags) {
    std::string words(in_words(flag));
    while (!words.empty()) {
      const std::size_t hyphen = std::min(words.find('-'), words.size());
      d.text(below, Anchor::kMiddle, "flag", words.substr(0, hyphen));
      words.erase(0, hyphen + 1);
      below.y += kLine;
    }
  }
}

void draw_slowed_level(Drawing& d, const Chart& chart, const Session& session) {
  // One line a set, over the set's own time, at its own fastest rep less the threshold.
  for (std::size_t i = 0; i < session.reps.size();) {
    std::size_t end = i;
    double fastest = 0.0;
    for (; end < session.reps.size() && session.reps[end].set == session.reps[i].set; ++end) {
      const Measured& mean = session.reps[end].mean_velocity_mps;
      if (mean.ok()) fastest = std::max(fastest, mean.value());
    }
    const double y = chart.at_y(fastest * (1.0 - session.options.reps.slowed_loss));
    if (fastest > 0.0 && end - i > 1) {
      d.line({chart.at_x(session.reps[i].start_s), y},
             {chart.at_x(session.reps[end - 1].end_s), y},
             "level");
    }
    i = end;
  }
}

void draw_means(Drawing& d, const Chart& chart, const Session& session) {
  constexpr double kRoomForWords = 50.0;
  draw_slowed_level(d, chart, session);
  const auto& reps = session.reps;
  std::vector<double> xs;
  for (const Rep& rep : reps) xs.push_back(chart.at_x(0.5 * (rep.start_s + rep.end_s)));
  for (std::size_t i = 0; i < reps.size(); ++i) {
    const Measured& mean = reps[i].mean_velocity_mps;
    if (!mean.ok()) {
      d.upright_text({xs[i] + 5.0, chart.top + 0.5 * chart.height}, "flag", "not measured");
      continue;
    }
    const Point at{xs[i], chart.at_y(mean.value())};
    const double hi = chart.at_y(mean.hi());
    const double lo = chart.at_y(mean.lo());
    d.line({at.x, hi}, {at.x, lo}, "interval");
    for (const double y : {hi, lo}) d.line({at.x - 6.0, y}, {at.x + 6.0, y}, "interval");
    draw_marker(d, at, reps[i]);
    const bool crowded = (i > 0 && xs[i] - xs[i - 1] < kRoomForWords) ||
                         (i + 1 < reps.size() && xs[i + 1] - xs[i] < kRoomForWords);
    if (crowded) continue;
    d.text({at.x, std::min(hi, at.y - 8.0) - 7.0},
           Anchor::kMiddle,
           "value",
           fmt::format("{:.2f}", mean.value()));
    write_flags(d, {at.x, std::max(lo, at.y + 8.0) + 17.0}, reps[i]);
  }
}

std::string in_a_sentence(const Session& session) {
  if (session.reps.empty()) return "No repetition was found.";
  const Rep* fastest = nullptr;
  for (const Rep& rep : session.reps) {
    if (!rep.mean_velocity_mps.ok()) continue;
    if (fastest == nullptr || rep.mean_velocity_mps.value() > fastest->mean_velocity_mps.value()) {
      fastest = &rep;
    }
  }
  std::string text =
      fmt::format("{} rep{}", session.reps.size(), session.reps.size() == 1 ? "" : "s");
  const Rep& last = session.reps.back();
  if (fastest != nullptr) {
    text += fmt::format(", fastest {:.2f} m/s", fastest->mean_velocity_mps.value());
  }
  if (last.set == session.reps.front().set && last.velocity_loss.ok() && fastest != &last) {
    text += fmt::format(", {:.0f} % lost by the last", 100.0 * last.velocity_loss.value());
  }
  return text;
}

/// On one line of the page whatever it holds.
std::string shortened(const std::string& text, std::size_t letters) {
  if (shown_width(text) <= letters) return text;
  const std::string line = wrapped(text, letters - 3);
  return line.substr(0, line.find('\n')) + "...";
}

/// Who lifted what with which load when a sheet told it, and else the recording.
std::string title_of(const Session& session) {
  const auto& plan = session.options.plan;
  if (!plan) return printable(session.provenance.source_name);
  return printable(fmt::format("{}, {}", plan->lifter, plan->lift));
}

std::string subtitle_of(const Session& session) {
  if (!session.options.plan) return in_a_sentence(session);
  const SetPlan& plan = *session.options.plan;
  const BarLoad load = session.options.loading.load.value_or(BarLoad{});
  std::string text = load_in_words(plan.stated_load_kg, plan.unit, load);
  if (!plan.bar.empty()) text += ", " + plan.bar;
  if (plan.box_height_m) text += fmt::format(", box {:.3g} cm", 100.0 * *plan.box_height_m);
  return printable(text);
}

/// Three lines; the last is free when no sheet was given.
void draw_head(Drawing& d, const Session& session) {
  constexpr std::size_t kTitleLetters = 44;
  constexpr std::size_t kSubtitleLetters = 66;
  constexpr std::size_t kSmallLetters = 84;
  const auto line =
      [&](double y, std::string_view style, const std::string& text, std::size_t most) {
        d.text({kRight, y}, Anchor::kStart, style, shortened(text, most));
      };
  line(34.0, "title", title_of(session), kTitleLetters);
  line(60.0, "subtitle", subtitle_of(session), kSubtitleLetters);
  if (!session.options.plan) return;
  line(80.0,
       "foot",
       fmt::format("{}; {}", in_a_sentence(session), printable(session.provenance.source_name)),
       kSmallLetters);
}

/// What the shades and marks mean, as small samples of themselves.
void draw_key(Drawing& d, double y, const Session& session, bool any_hidden) {
  constexpr double kBox = 22.0;
  constexpr double kRow = 24.0;
  const auto sample = [&](double x, std::string_view style, std::string_view words) {
    d.rect(x, y - 12.0, kBox, 14.0, style);
    d.rect(x, y - 12.0, kBox, 14.0, "frame");
    d.text({x + kBox + 6.0, y}, Anchor::kStart, "foot", words);
  };
  sample(kRight, "rise", "rise of a rep");
  sample(160.0, "band", "95 % interval of velocity");
  if (any_hidden) sample(400.0, "hidden", "disc hidden");
  y += kRow;
  d.line({kRight, y - 5.0}, {kRight + kBox, y - 5.0}, "level");
  d.text({kRight + kBox + 6.0, y},
         Anchor::kStart,
         "foot",
         fmt::format("{:.0f} % below the fastest; bars on the means: 95 % interval",
                     100.0 * session.options.reps.slowed_loss));
  y += kRow;
  d.text({kRight, y},
         Anchor::kStart,
         "foot",
         "These figures describe bar movement only; coach and lifter decide.");
}

/// The three charts over time and their key.
void draw_times(Drawing& d, const Page& page, const Session& session) {
  const std::vector<Stretch> hidden = hidden_stretches(session.path);
  draw_reps(d, page, session.reps);
  draw_axes(d, page.heights, "Height, m", false);
  draw_axes(d, page.velocities, "Velocity, m/s (up is positive)", false);
  draw_axes(d, page.means, "Mean velocity of each rise, m/s", true);
  draw_hidden(d, page, hidden);
  draw_heights(d, page.heights, session.motion);
  draw_velocities(d, page.velocities, session.motion);
  draw_means(d, page.means, session);
  d.text({kWidth - kRight, page.means.bottom() + 42.0}, Anchor::kEnd, "label", "Time, s");
  draw_key(d, page.means.bottom() + 62.0, session, !hidden.empty());
}

}  // namespace

std::string to_svg(const Session& session) {
  const Page page = lay_out(session);
  const svg::RepCharts rises(session);
  Drawing d(kWidth, page.means.bottom() + kBelowCharts + rises.height());
  draw_head(d, session);
  draw_times(d, page, session);
  rises.draw(d, kRight, page.means.bottom() + kBelowCharts, kWidth - 2.0 * kRight);
  return d.document(title_of(session),
                    in_a_sentence(session),
                    std::string(kStyleSheet).append(svg::RepCharts::kStyleSheet),
                    std::string(kHatch).append(svg::RepCharts::kDefinitions));
}

namespace svg {

PlotParts plot_parts(const Session& session, std::size_t rises_a_row) {
  constexpr double kAboveNumbers = 78.0;
  PlotParts out;
  if (session.motion.samples.size() > 1) {
    const Page page = lay_out(session);
    Drawing times(kWidth, page.means.bottom() + kBelowCharts - kLastLineOfKey);
    draw_times(times, page, session);
    out.times = times.element(in_a_sentence(session), kAboveNumbers);
  }
  const RepCharts charts(session, rises_a_row);
  if (charts.height() > 0.0) {
    const double width = 0.5 * kWidth * static_cast<double>(rises_a_row);
    Drawing rises(width, charts.height());
    charts.draw(rises, 0.0, 0.0, width - kRight);
    out.rises = rises.element("Velocity over the height of each rise");
  }
  return out;
}

std::string plot_style() {
  return std::string(kChartStyle).append(kStyleSheet).append(RepCharts::kStyleSheet);
}

std::string plot_patterns() {
  return fmt::format(
      "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\">"
      "<defs>{}{}</defs></svg>\n",
      kHatch,
      RepCharts::kDefinitions);
}

}  // namespace svg

}  // namespace kinetics
