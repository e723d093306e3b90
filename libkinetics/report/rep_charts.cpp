#include "libkinetics/report/rep_charts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "libkinetics/kinematics/force.h"
#include "libkinetics/report/chart.h"
#include "libkinetics/session/rep_loading.h"

namespace kinetics::svg {
namespace {

constexpr std::size_t kMost = 24;
constexpr double kColumnGap = 22.0;
constexpr double kTitle = 40.0;  // two lines above each chart
constexpr double kVelocity = 132.0;
constexpr double kLoad = 46.0;
constexpr double kLoadGap = 10.0;
constexpr double kTicks = 40.0;  // below each chart
constexpr double kScale = 40.0;  // left of each chart
constexpr double kHead = 44.0;
constexpr double kFoot = 62.0;
constexpr int kPoints = 120;

/// The rise's own samples without the links between them, which are not stored: a session looks the
/// same fresh and from the logbook.
std::vector<MotionSample> rise_of(const Motion& motion, const Rep& rep) {
  const auto first = static_cast<std::ptrdiff_t>(sample_before(motion, rep.start_s));
  const auto after = std::min(static_cast<std::ptrdiff_t>(sample_before(motion, rep.end_s)) + 2,
                              std::ssize(motion.samples));
  Motion own;
  own.samples.assign(motion.samples.begin() + first, motion.samples.begin() + after);
  std::vector<MotionSample> out;
  for (int i = 0; i <= kPoints; ++i) {
    out.push_back(state_at(own, rep.start_s + (rep.end_s - rep.start_s) * i / kPoints));
  }
  return out;
}

double cm(double metres) {
  return 100.0 * metres;
}

/// All of them are measured, or none.
bool has_events(const Rep& rep) {
  const std::array events{rep.sticking_from_height,
                          rep.sticking_low_height,
                          rep.second_peak_height,
                          rep.first_peak_velocity_mps,
                          rep.sticking_velocity_mps,
                          rep.second_peak_velocity_mps};
  return std::all_of(events.begin(), events.end(), [](const Measured& m) { return m.ok(); });
}

std::string sticking_in_words(const Rep& rep) {
  const Measured& low = rep.sticking_low_height;
  if (has_events(rep)) {
    return fmt::format("slowest {:.2f} m/s, {:.0f} ± {:.0f} % up",
                       rep.sticking_velocity_mps.value(),
                       100.0 * low.value(),
                       std::max(100.0 * kNormal95 * low.sigma(), 1.0));
  }
  if (low.ok() || low.reason() == Reason::kNotApplicable) return "no sticking region";
  if (low.reason() == Reason::kWithinNoise) return "a dip, but within noise";
  return fmt::format("not measured: {}", in_words(low.reason()));
}

void draw_axes(Drawing& d, const Chart& c, int ticks_up) {
  const std::vector<double> up = round_ticks(c.y, ticks_up);
  for (const double v : up) {
    d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "grid");
    d.text({c.left - 5.0, c.at_y(v) + 4.5},
           Anchor::kEnd,
           "small",
           fmt::format("{:.{}f}", v, decimals_of(up)));
  }
  for (const double v : round_ticks(c.x, 5)) {
    d.line({c.at_x(v), c.top}, {c.at_x(v), c.bottom()}, "grid");
  }
  d.rect(c.left, c.top, c.width, c.height, "frame");
}

void name_heights(Drawing& d, const Chart& c) {
  for (const double v : round_ticks(c.x, 5)) {
    d.text({c.at_x(v), c.bottom() + 16.0}, Anchor::kMiddle, "small", fmt::format("{:.0f}", v));
  }
  d.text(
      {c.left + 0.5 * c.width, c.bottom() + 32.0}, Anchor::kMiddle, "small", "cm above the bottom");
}

/// Up, down, up: the three events as triangles that point as the velocity turns.
void mark(Drawing& d, Point at, bool peak) {
  const double tip = peak ? -1.0 : 1.0;
  d.polygon(
      {{at.x - 5.5, at.y - 4.0 * tip}, {at.x + 5.5, at.y - 4.0 * tip}, {at.x, at.y + 6.0 * tip}},
      peak ? "peak" : "low");
}

}  // namespace

const std::string_view RepCharts::kStyleSheet = R"(
.strong{font-size:14px;font-weight:bold}
.stick{fill:url(#stick)}.stickedge{stroke:#8a3d6b;stroke-width:1.3;stroke-dasharray:3 3}
.curve{fill:none;stroke:#D55E00;stroke-width:2.4;stroke-linejoin:round}
.peak{fill:#fff;stroke:#000;stroke-width:1.6}.low{fill:#000;stroke:#000;stroke-width:1.2}
.load{fill:none;stroke:#009E73;stroke-width:2.4}.underload{fill:#009E73;fill-opacity:.18}
)";

const std::string_view RepCharts::kDefinitions = R"svg(
<pattern id="stick" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)">
<rect width="6" height="6" fill="#CC79A7" fill-opacity=".22"/>
<line x1="0" y1="0" x2="0" y2="6" stroke="#CC79A7" stroke-width="2"/>
</pattern>
)svg";

RepCharts::RepCharts(const Session& session, std::size_t columns)
    : session_(session), columns_(columns) {
  if (session.motion.samples.size() < 2) return;
  fastest_mps_ = 0.1;
  for (const Rep& rep : session.reps) {
    if (!rep.rom_m.ok()) continue;
    if (reps_.size() == kMost) {
      ++left_out_;
      continue;
    }
    reps_.push_back(&rep);
    highest_cm_ = std::max(highest_cm_, cm(rep.rom_m.value()));
    for (const MotionSample& s : rise_of(session.motion, rep)) {
      fastest_mps_ = std::max(fastest_mps_, s.velocity_mps + kNormal95 * s.velocity_sigma_mps);
    }
    for (const Measured* load : {&rep.bottom_load_kg, &rep.top_load_kg}) {
      if (!load->ok()) continue;
      with_load_ = session.options.loading.load.has_value();
      heaviest_kg_ = std::max(heaviest_kg_, load->value());
    }
  }
}

double RepCharts::row_height() const {
  return kTitle + kVelocity + (with_load_ ? kLoadGap + kLoad : 0.0) + kTicks + 14.0;
}

double RepCharts::height() const {
  if (reps_.empty()) return 0.0;
  const std::size_t rows = (reps_.size() + columns_ - 1) / columns_;
  return kHead + row_height() * static_cast<double>(rows) + kFoot;
}

void RepCharts::draw_load(Drawing& d, double left, double top, double width, const Rep& rep) const {
  const Chart c{.left = left,
                .top = top,
                .width = width,
                .height = kLoad,
                .x = {0.0, 1.04 * highest_cm_},
                .y = {0.0, 1.12 * heaviest_kg_}};
  draw_axes(d, c, 2);
  if (rep.mean_load_kg.ok() && session_.options.loading.load) {
    const auto height = bar_height_of(session_.options.loading, session_.reps);
    std::vector<Point> line;
    std::vector<double> line_kg;
    for (const ForceSample& s :
         force_along(session_.motion, rep, *session_.options.loading.load, height, kPoints)) {
      line.push_back({c.at_x(cm(s.height_m - rep.bottom_height_m)), c.at_y(s.load_kg)});
      line_kg.push_back(s.load_kg);
    }
    std::vector<Point> area = line;
    area.push_back({line.back().x, c.bottom()});
    area.push_back({line.front().x, c.bottom()});
    d.polygon(area, "underload");
    d.polyline(line, "load");
    const double top_kg = line_kg.back();
    const double bottom_kg = line_kg.front();
    const bool straight = std::abs(top_kg - bottom_kg) < 0.05;
    const double y = c.bottom() - 6.0;
    d.text({c.left + 5.0, y},
           Anchor::kStart,
           "small",
           straight ? fmt::format("{:.1f} kg all the way", bottom_kg)
                    : fmt::format("{:.0f} kg", bottom_kg));
    if (!straight) {
      d.text({line.back().x - 2.0, y}, Anchor::kEnd, "small", fmt::format("{:.0f} kg", top_kg));
    }
  } else {
    d.text({c.left + 5.0, c.bottom() - 6.0}, Anchor::kStart, "small", "load not known");
  }
  name_heights(d, c);
}

void RepCharts::draw_one(Drawing& d, double left, double top, double width, const Rep& rep) const {
  const Chart c{.left = left + kScale,
                .top = top + kTitle,
                .width = width - kScale,
                .height = kVelocity,
                .x = {0.0, 1.04 * highest_cm_},
                .y = {0.0, 1.06 * fastest_mps_}};
  const bool several_sets = session_.reps.back().set != session_.reps.front().set;
  d.text({c.left, top + 14.0},
         Anchor::kStart,
         "strong",
         several_sets ? fmt::format("Set {}, rep {}", rep.set, rep.number)
                      : fmt::format("Rep {}", rep.number));
  d.text({c.left, top + 32.0}, Anchor::kStart, "small", sticking_in_words(rep));
  draw_axes(d, c, 4);

  const auto at_share = [&](double share) { return c.at_x(cm(share * rep.rom_m.value())); };
  const bool sticks = has_events(rep);
  if (sticks) {
    const double from = at_share(rep.sticking_from_height.value());
    const double to = at_share(rep.sticking_low_height.value());
    d.rect(from, c.top, std::max(to - from, 0.0), c.height, "stick");
    for (const double x : {from, to}) d.line({x, c.top}, {x, c.bottom()}, "stickedge");
  }
  std::vector<Point> line;
  std::vector<Point> upper;
  std::vector<Point> lower;
  const auto y_of = [&](double v) { return std::clamp(c.at_y(v), c.top, c.bottom()); };
  for (const MotionSample& s : rise_of(session_.motion, rep)) {
    const double x =
        std::clamp(c.at_x(cm(s.height_m - rep.bottom_height_m)), c.left, c.left + c.width);
    const double half = kNormal95 * s.velocity_sigma_mps;
    line.push_back({x, y_of(s.velocity_mps)});
    upper.push_back({x, y_of(s.velocity_mps + half)});
    lower.push_back({x, y_of(s.velocity_mps - half)});
  }
  upper.insert(upper.end(), lower.rbegin(), lower.rend());
  d.polygon(upper, "band");
  d.polyline(line, "curve");
  if (sticks) {
    mark(d,
         {at_share(rep.sticking_from_height.value()), y_of(rep.first_peak_velocity_mps.value())},
         true);
    mark(d,
         {at_share(rep.sticking_low_height.value()), y_of(rep.sticking_velocity_mps.value())},
         false);
    mark(d,
         {at_share(rep.second_peak_height.value()), y_of(rep.second_peak_velocity_mps.value())},
         true);
  }
  if (with_load_) {
    draw_load(d, c.left, c.bottom() + kLoadGap, c.width, rep);
  } else {
    name_heights(d, c);
  }
}

void RepCharts::draw(Drawing& d, double left, double top, double width) const {
  if (reps_.empty()) return;
  d.text({left, top + 20.0},
         Anchor::kStart,
         "label",
         with_load_ ? "Velocity (m/s) and load (kg) over the height of each rise"
                    : "Velocity over the height of each rise, m/s");
  const auto columns = static_cast<double>(columns_);
  const double column = (width - (columns - 1.0) * kColumnGap) / columns;
  for (std::size_t i = 0; i < reps_.size(); ++i) {
    const double x = left + (column + kColumnGap) * static_cast<double>(i % columns_);
    const double y = top + kHead + row_height() * static_cast<double>(i / columns_);
    draw_one(d, x, y, column, *reps_[i]);
  }
  const double y = top + height() - kFoot + 20.0;
  d.rect(left, y - 12.0, 22.0, 14.0, "stick");
  d.rect(left, y - 12.0, 22.0, 14.0, "frame");
  d.text({left + 28.0, y}, Anchor::kStart, "foot", "sticking region: from the first peak");
  mark(d, {left + 268.0, y - 5.0}, true);
  d.text({left + 278.0, y}, Anchor::kStart, "foot", "to the slowest point");
  mark(d, {left + 424.0, y - 5.0}, false);
  d.text({left + 434.0, y}, Anchor::kStart, "foot", "before the second peak");
  if (left_out_ > 0) {
    d.text({left, y + 24.0},
           Anchor::kStart,
           "foot",
           fmt::format("{} more reps are not drawn here; --csv lists all.", left_out_));
  }
}

}  // namespace kinetics::svg
