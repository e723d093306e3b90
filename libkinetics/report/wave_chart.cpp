#include "libkinetics/report/wave_chart.h"

#include <algorithm>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/report/capital.h"
#include "libkinetics/report/chart.h"
#include "libkinetics/report/svg.h"
#include "libkinetics/report/text.h"
#include "libkinetics/training/rotation.h"
#include "libkinetics/training/wave.h"

namespace kinetics {
namespace {

using std::chrono::days;
using svg::Anchor;
using svg::Chart;
using svg::Drawing;
using svg::Point;

constexpr double kPercent = 100.0;
constexpr double kWidth = 900.0;
constexpr double kLeft = 76.0;
constexpr double kRight = 24.0;
constexpr double kMargin = 20.0;
constexpr double kHead = 96.0;
constexpr double kBars = 230.0;
constexpr double kWork = 90.0;
constexpr double kDates = 44.0;
constexpr double kStrip = 30.0;
constexpr double kFoot = 66.0;

constexpr std::string_view kStyleSheet = R"(
.tick{font-size:13px}.share{font-size:15px;font-weight:bold}.sets{font-size:13px}
.axis{stroke:#222;stroke-width:1.4}
.done{fill:#0072B2}.plan{fill:#fff;stroke:#0072B2;stroke-width:2}
.next{fill:#F0E442;stroke:#222;stroke-width:2.4}.cut{stroke-dasharray:6 4}
.work{fill:#999}.meet{stroke:#D55E00;stroke-width:3}.meettext{font-size:14px;font-weight:bold;fill:#A34700}
.strip0{fill:#DCE9F3;stroke:#7A95AA;stroke-width:1}.strip1{fill:#F6E7D6;stroke:#B59A7C;stroke-width:1}
.waveline{stroke:#888;stroke-width:1.2;stroke-dasharray:3 4}
)";

/// From the first session, or the Monday before it, to the meet or the last session.
struct Weeks {
  CalendarDay from = {};
  CalendarDay to = {};
};

struct Scene {
  const TrainingPlan& plan;
  const WavePlan& wave;
  std::vector<WaveSession> sessions;
  Weeks weeks;
  Chart bars;
  Chart work;
  std::optional<CalendarDay> done;
  std::optional<CalendarDay> next;
};

double days_from(CalendarDay from, CalendarDay day) {
  return static_cast<double>((day - from).count());
}

double bar_width(const Scene& scene) {
  double apart = scene.wave.every_days;
  if (scene.wave.second_day_after) {
    apart = std::min<double>(*scene.wave.second_day_after,
                             scene.wave.every_days - *scene.wave.second_day_after);
  }
  const double one_day = scene.bars.width / scene.bars.x.length();
  return std::min(46.0, 0.72 * apart * one_day);
}

std::string_view style_of(const Scene& scene, const WaveSession& session) {
  if (scene.next && session.day == *scene.next) return "next";
  if (scene.done && session.day <= *scene.done) return "done";
  return session.taper ? "plan cut" : "plan";
}

void draw_bars(Drawing& d, const Scene& scene) {
  const Chart& c = scene.bars;
  const auto ticks = svg::round_ticks(c.y, 5);
  for (const double v : ticks) {
    d.line({c.left, c.at_y(v)}, {c.left + c.width, c.at_y(v)}, "grid");
    d.text({c.left - 8.0, c.at_y(v) + 5.0}, Anchor::kEnd, "tick", fmt::format("{:.0f} %", v));
  }
  const double wide = bar_width(scene);
  for (const WaveSession& s : scene.sessions) {
    const double x = c.at_x(days_from(scene.weeks.from, s.day));
    const double top = c.at_y(kPercent * s.share);
    d.rect(x - 0.5 * wide, top, wide, c.bottom() - top, style_of(scene, s));
    d.text({x, top - 24.0}, Anchor::kMiddle, "share", fmt::format("{:g}", kPercent * s.share));
    d.text({x, top - 7.0}, Anchor::kMiddle, "sets", fmt::format("{} × {}", s.sets, s.reps));
  }
  d.line({c.left, c.bottom()}, {c.left + c.width, c.bottom()}, "axis");
}

/// Work of a session for a best single of 100 kg.
double work_of(const WaveSession& session) {
  return tonnage_kg(session.sets, session.reps, kPercent * session.share);
}

void draw_work(Drawing& d, const Scene& scene) {
  const Chart& c = scene.work;
  d.text({kMargin, c.top - 24.0},
         Anchor::kStart,
         "label",
         "Sets × reps × load for a best single of 100 kg, kg");
  const double wide = bar_width(scene);
  for (const WaveSession& s : scene.sessions) {
    const double x = c.at_x(days_from(scene.weeks.from, s.day));
    const double top = c.at_y(work_of(s));
    d.rect(x - 0.5 * wide, top, wide, c.bottom() - top, "work");
    d.text({x, top - 5.0}, Anchor::kMiddle, "tick", fmt::format("{:.0f}", work_of(s)));
  }
  d.line({c.left, c.bottom()}, {c.left + c.width, c.bottom()}, "axis");
}

/// "7 Mar"
std::string short_day(CalendarDay day) {
  const std::string words = day_in_words(day);
  return words.substr(4, words.rfind(' ') - 4);
}

void draw_dates(Drawing& d, const Scene& scene) {
  const Chart& c = scene.work;
  int last_wave = 0;
  double free_from = -1e9;
  for (const WaveSession& s : scene.sessions) {
    const double x = c.at_x(days_from(scene.weeks.from, s.day));
    if (x > free_from) {
      d.text({x, c.bottom() + 18.0}, Anchor::kMiddle, "tick", short_day(s.day));
      free_from = x + 48.0;
    }
    if (s.wave != last_wave && last_wave > 0) {
      const double between = x - 0.5 * scene.wave.every_days * c.width / c.x.length();
      d.line({between, scene.bars.top}, {between, c.bottom()}, "waveline");
    }
    if (s.wave != last_wave) {
      d.text({x - 0.5 * bar_width(scene), c.bottom() + 36.0},
             Anchor::kStart,
             "label",
             fmt::format("Wave {}", s.wave));
    }
    last_wave = s.wave;
  }
  if (!scene.plan.meet || scene.plan.meet->day > scene.weeks.to) return;
  const double x = c.at_x(days_from(scene.weeks.from, scene.plan.meet->day));
  d.line({x, scene.bars.top - 6.0}, {x, c.bottom()}, "meet");
  d.text({x + 6.0, scene.bars.top - 12.0},
         Anchor::kEnd,
         "meettext",
         fmt::format("{}, {}", scene.plan.meet->name, short_day(scene.plan.meet->day)));
}

std::string in_words(const WaveVariant& variant) {
  std::string out = variant.bar.empty() ? "usual bar" : variant.bar;
  if (variant.box_height_m) out += fmt::format(", box {:g} cm", kPercent * *variant.box_height_m);
  for (const std::string& gear : {variant.chains, variant.bands}) {
    if (!gear.empty()) out += ", " + gear;
  }
  return out;
}

/// One stretch of days under one name.
struct Stretch {
  double from = 0.0;
  double to = 0.0;
  std::string name;
};

void draw_strip(Drawing& d, const Chart& c, double y, const std::vector<Stretch>& stretches) {
  constexpr double kLetter = 7.6;
  bool odd = false;
  for (const Stretch& s : stretches) {
    const double left = std::max(c.left, c.at_x(s.from));
    const double right = std::min(c.left + c.width, c.at_x(s.to));
    if (right - left < 4.0) continue;
    d.rect(left, y, right - left, kStrip - 6.0, odd ? "strip1" : "strip0");
    const auto letters = static_cast<std::size_t>(std::max(1.0, (right - left - 12.0) / kLetter));
    std::string name = s.name;
    if (shown_width(name) > letters && letters > 2) {
      const std::string line = wrapped(name, letters - 1);
      name = line.substr(0, line.find('\n')) + "…";
    }
    if (letters > 2) d.text({left + 6.0, y + 17.0}, Anchor::kStart, "small", name);
    odd = !odd;
  }
}

std::vector<Stretch> variant_stretches(const Scene& scene) {
  std::vector<Stretch> out;
  const double half = 0.5 * scene.wave.every_days;
  for (const WaveSession& s : scene.sessions) {
    if (s.second_day) continue;
    const double at = days_from(scene.weeks.from, s.day);
    const std::string name = in_words(s.variant);
    if (out.empty() || out.back().name != name) out.push_back({at - half, at + half, name});
    out.back().to = at + half;
  }
  return out;
}

std::vector<Stretch> special_stretches(const Scene& scene, SpecialPlan special) {
  constexpr double kHalfWeek = 3.5;
  if (!special.first_day) {
    const CalendarDay first = scene.sessions.front().day;
    special.first_day = first - days{weekday_number(first)};
  }
  std::vector<Stretch> out;
  for (const SpecialSession& s :
       special_sessions(special, scene.weeks.from - days{6}, scene.weeks.to)) {
    const double at = days_from(scene.weeks.from, s.day);
    if (out.empty() || s.turn_week == 1) out.push_back({at - kHalfWeek, at, s.exercise});
    out.back().to = at + kHalfWeek;
  }
  return out;
}

double height_of(const TrainingPlan& plan) {
  return kHead + kBars + 66.0 + kWork + kDates +
         (kStrip + 20.0) * static_cast<double>(1 + plan.specials.size()) + kFoot;
}

Scene scene_of(const TrainingPlan& plan, const WavePlan& wave, double top) {
  Scene scene{.plan = plan,
              .wave = wave,
              .sessions = wave_sessions(wave, plan.meet),
              .weeks = {},
              .bars = {},
              .work = {},
              .done = std::nullopt,
              .next = std::nullopt};
  scene.weeks = {.from = scene.sessions.front().day, .to = scene.sessions.back().day};
  constexpr days kFarthestMeet{28};
  if (plan.meet && plan.meet->day > scene.weeks.to &&
      plan.meet->day - scene.weeks.to <= kFarthestMeet) {
    scene.weeks.to = plan.meet->day;
  }
  double most_share = 0.0;
  double least_share = kPercent;
  double most_work = 0.0;
  for (const WaveSession& s : scene.sessions) {
    most_share = std::max(most_share, kPercent * s.share);
    least_share = std::min(least_share, kPercent * s.share);
    most_work = std::max(most_work, work_of(s));
  }
  const svg::Span x{-3.5, days_from(scene.weeks.from, scene.weeks.to) + 3.5};
  const double wide = kWidth - kLeft - kRight;
  // A wave of a few percent would look flat from zero on: the scale says where it begins.
  const double lowest = std::max(0.0, 10.0 * static_cast<int>((least_share - 15.0) / 10.0));
  scene.bars = {.left = kLeft,
                .top = top + kHead,
                .width = wide,
                .height = kBars,
                .x = x,
                .y = {lowest, most_share + 0.22 * (most_share - lowest)}};
  scene.work = {.left = kLeft,
                .top = scene.bars.bottom() + 66.0,
                .width = wide,
                .height = kWork,
                .x = x,
                .y = {0.0, 1.25 * most_work}};
  return scene;
}

std::string title_of(const TrainingPlan& plan, const WavePlan& wave) {
  const std::string lift = capital(wave.lift);
  return plan.name.empty() ? lift : fmt::format("{}: {}", lift, plan.name);
}

void draw_wave(Drawing& d, double top, const Scene& scene) {
  const WavePlan& wave = scene.wave;
  d.text({kMargin, top + 36.0}, Anchor::kStart, "title", title_of(scene.plan, wave));
  const double last = wave.start_share + wave.step_share * (wave.weeks - 1);
  d.text({kMargin, top + 62.0},
         Anchor::kStart,
         "subtitle",
         fmt::format("{} wave{} of {} weeks, {:g} to {:g} % of the best single, {} × {}",
                     wave.waves,
                     wave.waves == 1 ? "" : "s",
                     wave.weeks,
                     kPercent * wave.start_share,
                     kPercent * last,
                     wave.sets,
                     wave.reps));
  draw_bars(d, scene);
  draw_work(d, scene);
  draw_dates(d, scene);
  double y = scene.work.bottom() + kDates + 18.0;
  d.text({kMargin, y - 4.0}, Anchor::kStart, "label", "Bar, box, chains and bands");
  draw_strip(d, scene.work, y + 3.0, variant_stretches(scene));
  for (const SpecialPlan& special : scene.plan.specials) {
    y += kStrip + 20.0;
    CalendarDay day = scene.weeks.from;
    while (weekday_number(day) != special.weekday) day += days{1};
    d.text({kMargin, y - 4.0},
           Anchor::kStart,
           "label",
           fmt::format("Special exercise, {}s", weekday_name(day)));
    draw_strip(d, scene.work, y + 3.0, special_stretches(scene, special));
  }
  y += kStrip + 26.0;
  d.text(
      {kMargin, y},
      Anchor::kStart,
      "small",
      "Filled: lifted. Yellow: next. Dashed: cut before the meet, half the usual work in the last "
      "session as a rule.");
  d.text({kMargin, y + 20.0},
         Anchor::kStart,
         "small",
         "A plan, not an order: coach and lifter decide on the day. Note where the scale of loads "
         "begins.");
}

}  // namespace

std::string wave_chart(const TrainingPlan& plan,
                       std::optional<CalendarDay> done,
                       std::optional<CalendarDay> next) {
  const double height = height_of(plan);
  Drawing d(kWidth, height * static_cast<double>(plan.waves.size()));
  double top = 0.0;
  std::string title;
  for (const WavePlan& wave : plan.waves) {
    Scene scene = scene_of(plan, wave, top);
    scene.done = done;
    scene.next = next;
    draw_wave(d, top, scene);
    top += height;
    title += (title.empty() ? "" : "; ") + title_of(plan, wave);
  }
  return d.document(title, "Planned loads, week by week", kStyleSheet, "");
}

}  // namespace kinetics
