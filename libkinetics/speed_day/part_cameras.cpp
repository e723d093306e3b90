#include "libkinetics/speed_day/part_cameras.h"

#include <algorithm>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/speed_day/bar_work.h"
#include "libkinetics/speed_day/shared_rises.h"

namespace kinetics {
namespace {

/// One set's reps are too like another's: it takes this many sets to tell.
constexpr int kFewestSets = 2;
/// Of the rises in the time that both filmed so many must fall together, and these must be so large
/// a share of all in the shorter one.
constexpr double kShareTogether = 0.7;
constexpr double kShareOfAll = 0.5;
constexpr const char* kMend = "give each camera's files a folder of their own";

bool sure(const SharedRises& shared, std::size_t rises_of_one, std::size_t rises_of_other) {
  const auto all = static_cast<double>(std::min(rises_of_one, rises_of_other));
  return shared.share >= kShareTogether &&
         static_cast<double>(shared.together) >= kShareOfAll * all;
}

/// Files in pairs: "a.mp4 and b.mp4 (and 2 more pairs)".
struct Pairs {
  std::string first;
  int more = 0;
  void add(const Recording& a, const Recording& b) {
    if (first.empty()) {
      first = fmt::format("{} and {}", a.name, b.name);
    } else {
      ++more;
    }
  }
  [[nodiscard]] std::string words() const {
    return more == 0 ? first : fmt::format("{} (and {} more)", first, more);
  }
};

bool overlap(const Recording& a, const Recording& b) {
  return a.begins_s < b.begins_s + b.lasts_s.value_or(0.0) &&
         b.begins_s < a.begins_s + a.lasts_s.value_or(0.0);
}

/// Of the cameras that a group was parted into the first that was not filming then.
int free_camera(const std::vector<Recording>& recordings,
                std::size_t k,
                std::size_t other,
                std::vector<int>& group) {
  for (const int camera : group) {
    const auto end = recordings.begin() + static_cast<std::ptrdiff_t>(k);
    const bool busy = std::any_of(recordings.begin(), end, [&](const Recording& r) {
      return r.camera == camera && overlap(r, recordings[k]);
    });
    if (!busy && camera != recordings[other].camera) return camera;
  }
  int next = 0;
  for (const Recording& r : recordings) next = std::max(next, r.camera + 1);
  group.push_back(next);
  return next;
}

/// Each clip as if it were a camera of its own: no other one's discs are the measure of its.
std::vector<std::vector<double>> rises_by_clip(std::vector<Recording> recordings,
                                               const std::vector<SeenRecording>& seen,
                                               const AnalysisOptions& options) {
  for (std::size_t k = 0; k < recordings.size(); ++k) {
    recordings[k].camera = static_cast<int>(k);
  }
  std::vector<std::vector<double>> out(recordings.size());
  for (BarWork& work : choose_work(recordings, seen).work) {
    measure_work(work, options);
    for (const Rep& rep : work.reps) out[work.recording].push_back(rep.start_s);
  }
  for (std::vector<double>& rises : out) std::sort(rises.begin(), rises.end());
  return out;
}

/// Clips of whose camera there are others, and which may hold sets enough to tell.
std::vector<SeenRecording> worth_comparing(const std::vector<Recording>& recordings,
                                           const std::vector<SeenRecording>& seen) {
  const auto worked = [&](std::size_t k) {
    const auto& stretches = seen[k].stretches;
    return std::count_if(stretches.begin(), stretches.end(), [](const WatchedStretch& s) {
             return !s.discs.empty();
           }) >= kFewestSets;
  };
  std::map<int, int> clips;
  for (std::size_t k = 0; k < recordings.size(); ++k) {
    if (worked(k)) ++clips[recordings[k].camera];
  }
  std::vector<SeenRecording> out(recordings.size());
  for (std::size_t k = 0; k < recordings.size(); ++k) {
    if (worked(k) && clips[recordings[k].camera] > 1) out[k] = seen[k];
  }
  return out;
}

}  // namespace

void part_cameras(std::vector<Recording>& recordings,
                  const std::vector<SeenRecording>& seen,
                  const AnalysisOptions& options,
                  Notes& notes) {
  const auto some = worth_comparing(recordings, seen);
  part_by_rises(recordings, rises_by_clip(recordings, some, options), notes);
}

void part_by_rises(std::vector<Recording>& recordings,
                   const std::vector<std::vector<double>>& rises,
                   Notes& notes) {
  std::vector<int> camera_before;
  camera_before.reserve(recordings.size());
  for (const Recording& r : recordings) camera_before.push_back(r.camera);
  std::map<int, std::vector<int>> groups;  // what each camera was parted into
  Pairs parted;
  Pairs unsure;
  for (std::size_t k = 0; k < recordings.size(); ++k) {
    std::vector<int>& group = groups[camera_before[k]];
    if (group.empty()) group.push_back(camera_before[k]);
    for (std::size_t other = 0; other < k; ++other) {
      if (camera_before[other] != camera_before[k]) continue;
      const auto shared = shared_rises(rises[other], rises[k]);
      if (!shared || shared->sets < kFewestSets) continue;
      if (!sure(*shared, rises[other].size(), rises[k].size())) {
        unsure.add(recordings[other], recordings[k]);
        continue;
      }
      recordings[k].begins_s = recordings[other].begins_s + shared->later_s;
      recordings[k].goes_on = false;
      recordings[k].camera = free_camera(recordings, k, other, group);
      parted.add(recordings[other], recordings[k]);
      break;
    }
  }
  if (!parted.first.empty()) {
    notes.push_back(
        {NoteKind::kDecision,
         fmt::format("{} show the same lifts: they were taken for two cameras', and each "
                     "set counts once. To tell it yourself, {}.",
                     parted.words(),
                     kMend)});
  }
  if (!unsure.first.empty()) {
    notes.push_back(
        {NoteKind::kCaution,
         fmt::format("{} may show the same lifts, but too few to be sure: if two cameras "
                     "filmed, sets stand here twice, some with wrong velocities. Then "
                     "{} and run it again.",
                     unsure.words(),
                     kMend)});
  }
}

}  // namespace kinetics
