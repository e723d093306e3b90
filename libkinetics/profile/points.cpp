#include "libkinetics/profile/points.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

std::optional<std::chrono::sys_days> date_of(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return std::nullopt;
  int year = 0;
  unsigned month = 0;
  unsigned day = 0;
  const char* s = text.data();
  const auto read = [](const char* from, const char* to, auto& into) {
    const auto result = std::from_chars(from, to, into);
    return result.ec == std::errc() && result.ptr == to;
  };
  if (!read(s, s + 4, year) || !read(s + 5, s + 7, month) || !read(s + 8, s + 10, day)) {
    return std::nullopt;
  }
  const std::chrono::year_month_day date{
      std::chrono::year(year), std::chrono::month(month), std::chrono::day(day)};
  if (!date.ok()) return std::nullopt;
  return std::chrono::sys_days(date);
}

Measured load_of(const LiftedSet& set, const LiftedRep& rep, LoadAxis axis) {
  switch (axis) {
    case LoadAxis::kBar:
      return Measured(set.stated_load_kg, 0.0);
    case LoadAxis::kMean:
      if (rep.mean_load_kg.ok()) return rep.mean_load_kg;
      break;
    case LoadAxis::kTop:
      if (rep.top_load_kg.ok()) return rep.top_load_kg;
      break;
  }
  // Straight weight weighs as stated all the way up; of chains and bands that is not known.
  if (set.accommodating.empty()) return Measured(set.stated_load_kg, 0.0);
  return Reason::kLoadUnknown;
}

/// The rep that speaks for the set; null when none was measured.
const LiftedRep* speaking_rep(const LiftedSet& set, RepChoice choice) {
  std::vector<const LiftedRep*> full;
  for (const LiftedRep& rep : set.reps) {
    if (rep.kind == RepKind::kFull && rep.mean_velocity_mps.ok()) full.push_back(&rep);
  }
  if (full.empty()) return nullptr;
  const auto slower = [](const LiftedRep* a, const LiftedRep* b) {
    return a->mean_velocity_mps.value() < b->mean_velocity_mps.value();
  };
  std::stable_sort(full.begin(), full.end(), slower);
  return choice == RepChoice::kFastest ? full.back() : full[(full.size() - 1) / 2];
}

std::optional<ProfilePoint> point_of(const LiftedSet& set, LoadAxis axis, RepChoice choice) {
  const LiftedRep* rep = speaking_rep(set, choice);
  if (rep == nullptr) return std::nullopt;
  const Measured load = load_of(set, *rep, axis);
  if (!load.ok()) return std::nullopt;
  const auto full = std::count_if(set.reps.begin(), set.reps.end(), [](const LiftedRep& r) {
    return r.kind == RepKind::kFull;
  });
  return ProfilePoint{.load_kg = load.value(),
                      .load_sigma_kg = load.sigma(),
                      .stated_load_kg = set.stated_load_kg,
                      .velocity_mps = rep->mean_velocity_mps.value(),
                      .velocity_sigma_mps = rep->mean_velocity_mps.sigma(),
                      // A day that cannot be read is one that is not known.
                      .day = date_of(set.day) ? set.day : std::string(),
                      .session = set.session,
                      .set = set.set,
                      .rep = rep->number,
                      .full_reps = static_cast<int>(full),
                      .accommodating = set.accommodating};
}

VariantPoints& entry_for(std::vector<VariantPoints>& all, const LiftVariant& variant) {
  for (VariantPoints& v : all) {
    if (same_variant(v.variant, variant)) return v;
  }
  all.push_back({.variant = variant, .points = {}});
  return all.back();
}

void order_and_age(std::vector<ProfilePoint>& points, double half_life_days) {
  std::stable_sort(points.begin(), points.end(), [](const ProfilePoint& a, const ProfilePoint& b) {
    if (a.day != b.day) return a.day < b.day;
    if (a.session != b.session) return a.session < b.session;
    return a.set < b.set;
  });
  const auto dated = std::find_if(
      points.begin(), points.end(), [](const ProfilePoint& p) { return !p.day.empty(); });
  if (dated == points.end()) return;
  const std::string first = dated->day;
  for (ProfilePoint& p : points) {
    p.age_days = days_between(p.day.empty() ? first : p.day, points.back().day);
    if (half_life_days > 0.0) p.recency = std::exp2(-p.age_days / half_life_days);
  }
}

}  // namespace

std::string_view in_words(LoadAxis axis) {
  switch (axis) {
    case LoadAxis::kBar:
      return "load of bar and discs";
    case LoadAxis::kMean:
      return "mean load over the way up";
    case LoadAxis::kTop:
      return "load at the top";
  }
  return "load";
}

bool same_variant(const LiftVariant& a, const LiftVariant& b) {
  constexpr double kSameBoxM = 0.006;  // two tape readings of one box
  const bool same_box =
      a.box_height_m.has_value() == b.box_height_m.has_value() &&
      std::abs(a.box_height_m.value_or(0.0) - b.box_height_m.value_or(0.0)) <= kSameBoxM;
  return same_box && same_name(a.lifter, b.lifter) && same_name(a.lift, b.lift) &&
         same_name(a.bar, b.bar) && same_name(a.accommodating, b.accommodating);
}

std::string in_words(const LiftVariant& variant) {
  std::string out = variant.lift;
  if (!variant.bar.empty()) out += ", " + variant.bar;
  if (variant.box_height_m) out += fmt::format(", box {:g} cm", 100.0 * *variant.box_height_m);
  if (!variant.accommodating.empty()) out += ", " + variant.accommodating;
  return out;
}

int different_loads(const std::vector<ProfilePoint>& points) {
  constexpr double kSameLoad = 0.02;  // what chains may change from rep to rep
  std::vector<double> loads;
  for (const ProfilePoint& p : points) {
    if (!p.set_aside) loads.push_back(p.load_kg);
  }
  std::sort(loads.begin(), loads.end());
  int count = 0;
  double last = 0.0;
  for (const double load : loads) {
    if (count > 0 && load - last <= kSameLoad * loads.back()) continue;
    ++count;
    last = load;
  }
  return count;
}

double days_between(const std::string& from, const std::string& to) {
  const auto day_of = [](const std::string& text) {
    const auto date = date_of(text);
    if (!date) {
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("day \"{}\"", text),
                  "this is not a date",
                  "Write year, month and day as 2031-03-07");
    }
    return *date;
  };
  return static_cast<double>((day_of(to) - day_of(from)).count());
}

std::vector<VariantPoints> profile_points(const std::vector<LiftedSet>& sets,
                                          LoadAxis axis,
                                          RepChoice reps,
                                          double half_life_days) {
  std::vector<VariantPoints> out;
  for (const LiftedSet& set : sets) {
    LiftVariant variant{.lifter = set.lifter,
                        .lift = set.lift,
                        .bar = set.bar,
                        .box_height_m = set.box_height_m,
                        .accommodating = axis == LoadAxis::kMean ? "" : set.accommodating};
    VariantPoints& entry = entry_for(out, variant);
    if (const auto point = point_of(set, axis, reps)) {
      entry.points.push_back(*point);
    } else {
      ++entry.without_point;
    }
  }
  for (VariantPoints& v : out) order_and_age(v.points, half_life_days);
  return out;
}

}  // namespace kinetics
