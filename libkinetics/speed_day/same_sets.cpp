#include "libkinetics/speed_day/same_sets.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <utility>

#include <fmt/format.h>

namespace kinetics {
namespace {

/// Rises that begin within this of each other are one, s: two cameras' clocks part by some tenths
/// over an hour, and a slow start is seen a little sooner or later.
constexpr double kTogetherS = 0.3;
/// So many must fall together, and this share of those that could.
constexpr std::size_t kFewestTogether = 6;
constexpr double kShareTogether = 0.5;
/// No other offset may bring nearly as many together.
constexpr double kShareOfSecond = 0.6;
/// Offsets nearer to each other than this count as one place, s.
constexpr double kOneSetS = 15.0;

std::vector<double> rises_of(int camera,
                             const std::vector<Recording>& recordings,
                             const std::vector<BarWork>& work) {
  std::vector<double> out;
  for (const BarWork& w : work) {
    if (recordings[w.recording].camera != camera) continue;
    for (const Rep& rep : w.reps) out.push_back(recordings[w.recording].begins_s + rep.start_s);
  }
  std::sort(out.begin(), out.end());
  return out;
}

/// How many of `b`, moved, lie within `a`'s time.
std::size_t within(const std::vector<double>& a, const std::vector<double>& b, double later_s) {
  return static_cast<std::size_t>(std::count_if(b.begin(), b.end(), [&](double t) {
    return t + later_s >= a.front() - kTogetherS && t + later_s <= a.back() + kTogetherS;
  }));
}

/// By how much `b` must be moved so that its rises fall on those of `a`; nothing when they do not.
std::optional<double> offset_between(const std::vector<double>& a, const std::vector<double>& b) {
  if (a.size() < kFewestTogether || b.size() < kFewestTogether) return std::nullopt;
  std::vector<double> apart;
  apart.reserve(a.size() * b.size());
  for (const double s : a) {
    for (const double t : b) apart.push_back(s - t);
  }
  std::sort(apart.begin(), apart.end());
  std::size_t most = 0;
  std::size_t second = 0;
  double best_s = 0.0;
  std::size_t first = 0;
  for (std::size_t last = 0; last < apart.size(); ++last) {
    while (apart[last] - apart[first] > kTogetherS) ++first;
    const std::size_t count = last - first + 1;
    const double middle_s = apart[first + count / 2];
    // Reps follow each other evenly: one rep off, most of a set falls together too.
    const bool same_place = std::abs(middle_s - best_s) < kOneSetS;
    if (count > most) {
      if (!same_place) second = most;
      most = count;
      best_s = middle_s;
    } else if (!same_place) {
      second = std::max(second, count);
    }
  }
  const auto possible = static_cast<double>(std::min(within(a, b, best_s), within(b, a, -best_s)));
  const auto found = static_cast<double>(most);
  const bool sure = most >= kFewestTogether && found >= kShareTogether * possible &&
                    static_cast<double>(second) <= kShareOfSecond * found;
  return sure ? std::optional(best_s) : std::nullopt;
}

/// Whether most reps of one are reps of the other.
bool same_set(const FoundDaySet& a, const FoundDaySet& b) {
  const double from_s = std::max(a.found.start_s, b.found.start_s);
  const double to_s = std::min(a.found.end_s, b.found.end_s);
  const double shorter_s =
      std::min(a.found.end_s - a.found.start_s, b.found.end_s - b.found.start_s);
  return to_s - from_s > 0.5 * shorter_s;
}

}  // namespace

void line_up_cameras(std::vector<Recording>& recordings,
                     const std::vector<BarWork>& work,
                     Notes& notes) {
  std::map<int, std::vector<double>> cameras;
  for (const BarWork& w : work) cameras[recordings[w.recording].camera];
  for (auto& [camera, rises] : cameras) rises = rises_of(camera, recordings, work);
  std::vector<int> order;
  for (const auto& [camera, rises] : cameras) order.push_back(camera);
  std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
    return cameras[a].size() > cameras[b].size();
  });
  for (std::size_t k = 1; k < order.size(); ++k) {
    for (std::size_t other = 0; other < k; ++other) {
      const auto offset_s = offset_between(cameras[order[other]], cameras[order[k]]);
      if (!offset_s) continue;
      std::string name;
      for (Recording& r : recordings) {
        if (r.camera != order[k]) continue;
        r.begins_s += *offset_s;
        if (name.empty()) name = r.name;
      }
      for (double& t : cameras[order[k]]) t += *offset_s;
      notes.push_back({NoteKind::kDecision,
                       fmt::format("{} and the other recordings show the same lifts; by these its "
                                   "clock is {:.1f} s {}.",
                                   name,
                                   std::abs(*offset_s),
                                   *offset_s > 0.0 ? "slow" : "fast")});
      break;
    }
  }
}

void join_same_sets(std::vector<FoundDaySet>& sets,
                    const std::vector<Recording>& recordings,
                    const std::vector<BarWork>& work) {
  const auto recording_of = [&](const FoundDaySet& s) -> const Recording& {
    return recordings[work[s.parts.front().work].recording];
  };
  const auto better = [](const FoundDaySet& a, const FoundDaySet& b) {
    if (a.found.reps != b.found.reps) return a.found.reps > b.found.reps;
    return a.found.disc_radius_px.value_or(0.0) > b.found.disc_radius_px.value_or(0.0);
  };
  std::vector<FoundDaySet> out;
  for (FoundDaySet& set : sets) {
    const auto twin = std::find_if(out.begin(), out.end(), [&](const FoundDaySet& o) {
      return recording_of(o).camera != recording_of(set).camera && same_set(o, set);
    });
    if (twin == out.end()) {
      out.push_back(std::move(set));
    } else if (better(set, *twin)) {
      set.same_as = recording_of(*twin).name;
      *twin = std::move(set);
    } else {
      twin->same_as = recording_of(set).name;
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const FoundDaySet& a, const FoundDaySet& b) {
    return a.found.start_s < b.found.start_s;
  });
  sets = std::move(out);
}

}  // namespace kinetics
