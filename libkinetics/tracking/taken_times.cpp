#include "libkinetics/tracking/taken_times.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "libkinetics/core/median.h"
#include "libkinetics/tracking/picture_course.h"
#include "libkinetics/tracking/source_clock.h"
#include "libkinetics/tracking/stamp_stray.h"

namespace kinetics {
namespace {

/// What a missing picture costs and one that is shown again (minus the log of how likely they are).
constexpr double kMissingCost = 3.0;
constexpr double kCopyCost = 4.0;
/// The same of the clock's other moment, times the share of an interval that the stamp is off the
/// middle between both; and of a mixture so soft that its middle was seen.
constexpr double kFartherCost = 10.0;
constexpr double kMixedCost = 2.0;
/// What is said of pictures must explain so much of what is seen of each of them.
constexpr double kFewestMissing = 2.0;
constexpr double kEachExplains = 10.0;
/// Stamps are even when all but a few are within this share of a whole number of intervals.
constexpr double kEven = 0.03;
constexpr double kMostUneven = 0.02;
constexpr double kSameS = 1e-4;
/// A hole, in pictures taken; and how far off the clock's nearest moment is well between two.
constexpr double kHole = 3.5;
constexpr double kWellBetween = 0.45;
constexpr double kFarApartM = 0.01;
/// With missing pictures the bar goes on as fast as before: to within this share of a picture's
/// way.
constexpr double kGoesOn = 0.4;
/// A missing picture shows when the bar goes this far in one interval, m.
constexpr double kShowsM = 0.004;
constexpr double kRestM = 0.0007;
constexpr std::size_t kFewestSeen = 10;
/// A clock that explains so much is worth looking at, and one that does by so much more than a
/// slower one.
constexpr double kLeastExplained = 3.0;
/// One clock that explains so large a share of what any number of missing pictures does is the
/// cause, and half as much will do where they are missing regularly.
constexpr double kEnough = 0.8;
constexpr double kEnoughIfRegular = 0.5;
/// Regularly: at least so many, whose mean direction on the beat's circle is so long; the beat not
/// slower than this share of the stamps' rate.
constexpr double kFewestRegular = 5.0;
constexpr double kRegular = 0.7;
constexpr double kSlowestBeat = 0.03;

struct Seen {
  std::vector<TimedHeight> heights;
  std::vector<std::size_t> points;
};

Seen seen_of(const BarPath& path) {
  Seen out;
  for (std::size_t i = 0; i < path.points.size(); ++i) {
    const PathPoint& p = path.points[i];
    if (!p.seen) continue;
    out.heights.push_back({p.t_s, p.y_m, p.sigma_y_m});
    out.points.push_back(i);
  }
  return out;
}

double usual_interval_s(const BarPath& path) {
  std::vector<double> intervals_s;
  for (std::size_t i = 1; i < path.points.size(); ++i) {
    intervals_s.push_back(path.points[i].t_s - path.points[i - 1].t_s);
  }
  return intervals_s.empty() ? 0.0 : median_of(intervals_s);
}

bool even(const BarPath& path, double interval_s) {
  std::size_t uneven = 0;
  for (std::size_t i = 1; i < path.points.size(); ++i) {
    const double steps = (path.points[i].t_s - path.points[i - 1].t_s) / interval_s;
    uneven += std::abs(steps - std::max(1.0, std::round(steps))) > kEven ? 1 : 0;
  }
  return static_cast<double>(uneven) <= kMostUneven * static_cast<double>(path.points.size());
}

/// Unseen points keep their place between the seen ones beside them.
TakenTimes spread(const BarPath& path, const Seen& seen, const std::vector<double>& taken_s) {
  TakenTimes out{.t_s = std::vector<double>(path.points.size()),
                 .left_out = std::vector<bool>(path.points.size(), false)};
  double later_s = taken_s.front() - seen.heights.front().stamp_s;
  std::size_t next = 0;
  std::size_t last = 0;  // of the seen ones kept
  for (std::size_t i = 0; i < path.points.size(); ++i) {
    out.t_s[i] = path.points[i].t_s + later_s;
    if (next == seen.points.size() || seen.points[next] != i) continue;
    if (next > 0 && taken_s[next] < taken_s[last] + kSameS) {
      out.left_out[i] = true;
    } else {
      later_s = taken_s[next] - path.points[i].t_s;
      out.t_s[i] = taken_s[next];
      last = next;
    }
    ++next;
  }
  // Those between two seen ones may have been overtaken: lay them out evenly.
  std::size_t from = 0;
  for (std::size_t i = 1; i < out.t_s.size(); ++i) {
    const bool fixed = path.points[i].seen && !out.left_out[i];
    if (!fixed) continue;
    const auto steps = static_cast<double>(i - from);
    for (std::size_t k = from + 1; k < i; ++k) {
      out.t_s[k] =
          out.t_s[from] + (out.t_s[i] - out.t_s[from]) * static_cast<double>(k - from) / steps;
    }
    from = i;
  }
  // No time is before the clip's beginning.
  const double early_s = path.points.front().t_s - out.t_s.front();
  if (early_s > 0.0) {
    for (double& t_s : out.t_s) t_s += early_s;
  }
  return out;
}

Moments by_stamps() {
  return [](const TimedHeight& before, const TimedHeight& now, double taken_before_s) {
    return std::vector<TakenAt>{{taken_before_s + now.stamp_s - before.stamp_s, 0.0}};
  };
}

Moments by_clock(const SourceClock& clock) {
  return [clock](const TimedHeight&, const TimedHeight& now, double) {
    const double nearest_s = clock.nearest_s(now.stamp_s);
    const double off_s = now.stamp_s - nearest_s;
    const double other_s = nearest_s + std::copysign(1.0 / clock.rate_hz, off_s);
    const double share = std::abs(off_s) * clock.rate_hz;
    std::vector<TakenAt> out{{nearest_s, 0.0}};
    if (share > kEither) {
      out.push_back({other_s, kFartherCost * (0.5 - share)});
      out.push_back({now.stamp_s, kMixedCost});
    }
    return out;
  };
}

Moments with_missing(double interval_s) {
  return [interval_s](const TimedHeight& before, const TimedHeight& now, double taken_before_s) {
    const double next_s = taken_before_s + now.stamp_s - before.stamp_s;
    return std::vector<TakenAt>{{next_s, 0.0},
                                {next_s + interval_s, kMissingCost},
                                {next_s + 2.0 * interval_s, 2.0 * kMissingCost},
                                {taken_before_s, kCopyCost}};
  };
}

/// Of a picture well between two of the clock's moments nothing tells which, when it is the first
/// after a hole.
void leave_out_after_holes(const SourceClock& clock, const Seen& seen, TakenTimes& taken) {
  for (std::size_t k = 1; k < seen.heights.size(); ++k) {
    const double stamp_s = seen.heights[k].stamp_s;
    const double hole = (stamp_s - seen.heights[k - 1].stamp_s) * clock.rate_hz;
    const double share = std::abs(stamp_s - clock.nearest_s(stamp_s)) * clock.rate_hz;
    if (hole > kHole && share > kWellBetween) taken.left_out[seen.points[k]] = true;
  }
}

/// A picture mixed of two, of whose rims, far apart, neither was followed, tells no place.
void leave_out_mixtures(const SourceClock& clock,
                        const Seen& seen,
                        const PictureCourse& course,
                        TakenTimes& taken) {
  for (std::size_t k = 1; k + 1 < seen.heights.size(); ++k) {
    const TimedHeight& from = seen.heights[k - 1];
    const TimedHeight& to = seen.heights[k + 1];
    const double apart_m =
        std::abs(to.height_m - from.height_m) / (to.stamp_s - from.stamp_s) / clock.rate_hz;
    const double share = std::abs(course.taken_s[k] - clock.nearest_s(course.taken_s[k]));
    if (share * clock.rate_hz > kEither && apart_m > kFarApartM) {
      taken.left_out[seen.points[k]] = true;
    }
  }
}

struct AnotherRate {
  TakenTimes times;
  double explained = 0.0;
};

/// The slowest clock that explains about as much as any.
std::optional<AnotherRate> of_another_rate(const BarPath& path, const Seen& seen, double cost) {
  std::optional<AnotherRate> out;
  for (const SourceClock& clock : source_clocks(path)) {
    const PictureCourse course = likeliest_course(seen.heights, by_clock(clock));
    const double explained = cost - course.cost;
    if (explained < kLeastExplained + (out ? out->explained : 0.0)) continue;
    out = AnotherRate{spread(path, seen, course.taken_s), explained};
    out->times.source_hz = clock.rate_hz;
    leave_out_after_holes(clock, seen, out->times);
    leave_out_mixtures(clock, seen, course, out->times);
  }
  return out;
}

/// Steps from sighting to sighting, in which pictures are missing or shown again.
struct Steps {
  std::vector<double> missing;  ///< before each; below 0 where it is the one before once more
  std::vector<bool> shows;      ///< the bar goes far enough there for that to be seen
  double went = 0.0;            ///< pictures taken where it shows
  double absent = 0.0;          ///< of these
  double again = 0.0;           ///< shown once more there
  double exceptions = 0.0;      ///< sightings that are explained otherwise
  double slow_each = 0.0;       ///< steps that a start or a stop has in which it does not show
};

/// Whether the way gone in one step is so many times, and one, that of the steps beside it.
bool goes_on(const Seen& seen, const PictureCourse& course, std::size_t k, double missing) {
  if (k < 2 || k + 1 >= seen.heights.size()) return false;
  const auto pace = [&](std::size_t i) {
    const double taken_s = course.taken_s[i] - course.taken_s[i - 1];
    return (seen.heights[i].height_m - seen.heights[i - 1].height_m) / std::max(taken_s, kSameS);
  };
  const double beside = 0.5 * (pace(k - 1) + pace(k + 1));
  return std::abs(pace(k) / beside - 1.0) * (1.0 + missing) < kGoesOn;
}

Steps steps_of(const Seen& seen, const PictureCourse& course, double interval_s) {
  const std::size_t count = seen.heights.size();
  Steps out{.missing = std::vector<double>(count), .shows = std::vector<bool>(count)};
  double slow = 0.0;
  double ends = 0.0;
  for (std::size_t k = 1; k < count; ++k) {
    const double stamps_s = seen.heights[k].stamp_s - seen.heights[k - 1].stamp_s;
    const double taken_s = course.taken_s[k] - course.taken_s[k - 1];
    out.exceptions += course.exceptions[k] ? 1.0 : 0.0;
    out.missing[k] = std::round((taken_s - stamps_s) / interval_s);
    if (out.missing[k] > 0.0 && !goes_on(seen, course, k, out.missing[k])) {
      out.exceptions += 1.0;
    }
    const TimedHeight& from = seen.heights[k < 2 ? 0 : k - 2];
    const TimedHeight& to = seen.heights[std::min(k + 1, count - 1)];
    const double step_m =
        std::abs(to.height_m - from.height_m) * interval_s / (to.stamp_s - from.stamp_s);
    out.shows[k] = step_m > kShowsM;
    slow += step_m > kRestM && !out.shows[k] ? 1.0 : 0.0;
    ends += out.shows[k] != out.shows[k - 1] ? 1.0 : 0.0;
    if (!out.shows[k]) continue;
    out.went += taken_s / interval_s;
    (out.missing[k] < 0.0 ? out.again : out.absent) += std::abs(out.missing[k]);
  }
  out.slow_each = slow / std::max(1.0, ends);
  return out;
}

/// Whether pictures are missing as regularly as a converter leaves them out that brings a usual
/// rate down to the stamps'.
bool regular(const Seen& seen, const Steps& steps, double interval_s) {
  for (const double usual_hz : kSourceRates_hz) {
    const double beat_hz = usual_hz - 1.0 / interval_s;
    const double beats = beat_hz * interval_s;
    if (beats < kSlowestBeat || std::abs(beats - std::round(beats)) < kSlowestBeat) continue;
    double x = 0.0;
    double y = 0.0;
    double count = 0.0;
    for (std::size_t k = 0; k < steps.missing.size(); ++k) {
      if (!steps.shows[k] || steps.missing[k] <= 0.0) continue;
      const double phase = 2.0 * std::numbers::pi * beat_hz * seen.heights[k].stamp_s;
      x += std::cos(phase);
      y += std::sin(phase);
      count += 1.0;
    }
    if (count >= kFewestRegular && std::hypot(x, y) > kRegular * count) return true;
  }
  return false;
}

struct Missing {
  TakenTimes times;
  double explained = 0.0;
  bool regular = false;
};

std::optional<Missing> of_missing(const BarPath& path, const Seen& seen, double cost) {
  const double interval_s = usual_interval_s(path);
  if (!even(path, interval_s)) return std::nullopt;
  const PictureCourse course = likeliest_course(seen.heights, with_missing(interval_s));
  const Steps steps = steps_of(seen, course, interval_s);
  const double explained = cost - course.cost;
  const double most = std::max(steps.absent, steps.again);
  if (most < kFewestMissing || explained < kEachExplains * most || steps.exceptions > most) {
    return std::nullopt;
  }

  const double share = std::max(0.0, steps.absent - steps.again) / steps.went;
  std::vector<double> taken_s(seen.heights.size());
  double later_s = 0.0;
  for (std::size_t k = 0; k < taken_s.size(); ++k) {
    const double stamps_s = k > 0 ? seen.heights[k].stamp_s - seen.heights[k - 1].stamp_s : 0.0;
    // Where they do not show they are counted by their share.
    const bool counted = steps.shows[k] || steps.missing[k] != 0.0;
    later_s += counted ? steps.missing[k] * interval_s : share / (1.0 - share) * stamps_s;
    taken_s[k] = seen.heights[k].stamp_s + later_s;
  }
  TakenTimes out = spread(path, seen, taken_s);
  out.missing = static_cast<std::size_t>(std::max(0.0, steps.absent - steps.again));
  out.slow_sigma_s = std::sqrt(steps.slow_each * share) / (1.0 - share) * interval_s;
  return Missing{std::move(out), explained, regular(seen, steps, interval_s)};
}

}  // namespace

std::optional<TakenTimes> taken_times(const BarPath& path) {
  const Seen seen = seen_of(path);
  if (seen.heights.size() < kFewestSeen) return std::nullopt;
  const double cost = likeliest_course(seen.heights, by_stamps()).cost;
  auto missing = of_missing(path, seen, cost);
  if (!(stray_of_stamps_s(path) > 0.0)) {
    return missing ? std::optional(std::move(missing->times)) : std::nullopt;
  }
  auto another = of_another_rate(path, seen, cost);
  if (!missing) return another ? std::optional(std::move(another->times)) : std::nullopt;
  const double enough = missing->regular ? kEnoughIfRegular : kEnough;
  if (another && another->explained > enough * missing->explained) return another->times;
  return missing->times;
}

}  // namespace kinetics
