#include "libkinetics/speed_day/same_sets.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/speed_day/shared_rises.h"

namespace kinetics {
namespace {

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

std::string clock_in_words(double later_s) {
  constexpr double kAgreeS = 0.05;
  if (std::abs(later_s) < kAgreeS) return "their clocks agree";
  return fmt::format(
      "its clock is {:.1f} s {}", std::abs(later_s), later_s > 0.0 ? "slow" : "fast");
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
      const auto shared = shared_rises(cameras[order[other]], cameras[order[k]]);
      if (!shared) continue;
      const double later_s = shared->later_s;
      std::string name;
      for (Recording& r : recordings) {
        if (r.camera != order[k]) continue;
        r.begins_s += later_s;
        if (name.empty()) name = r.name;
      }
      for (double& t : cameras[order[k]]) t += later_s;
      notes.push_back({NoteKind::kDecision,
                       fmt::format("{} and the other recordings show the same lifts; by these {}.",
                                   name,
                                   clock_in_words(later_s))});
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
