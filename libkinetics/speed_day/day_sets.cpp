#include "libkinetics/speed_day/day_sets.h"

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

namespace kinetics {
namespace {

/// One rep on the day's clock, with where it comes from.
struct DayRep {
  Rep rep;
  DiscSeen disc;
  std::size_t work = 0;
  std::size_t number = 0;
  bool after_rest = false;  ///< the bar lay still before it
};

std::vector<DayRep> reps_of(const BarWork& work, std::size_t index, const Recording& recording) {
  std::vector<DayRep> out;
  for (std::size_t i = 0; i < work.reps.size(); ++i) {
    DayRep r{.rep = work.reps[i],
             .disc = {.radius_px = work.radius_px, .view = work.view},
             .work = index,
             .number = i};
    const double before_s = i == 0 ? work.from_s : work.reps[i - 1].end_s;
    r.after_rest = (i == 0 && work.begins_at_rest) ||
                   std::any_of(work.rests.begin(), work.rests.end(), [&](const auto& rest) {
                     return rest.first >= before_s - 1e-9 && rest.second <= r.rep.start_s + 1e-9;
                   });
    if (work.held) r.disc.radius_px.reset();
    r.rep.start_s += recording.begins_s;
    r.rep.end_s += recording.begins_s;
    r.rep.bottom_height_m += work.zero_m;
    r.rep.top_height_m += work.zero_m;
    out.push_back(std::move(r));
  }
  return out;
}

/// In time order. Of two discs that were worked at once the one that was chosen first counts.
std::vector<DayRep> one_after_another(std::vector<DayRep> reps) {
  std::stable_sort(reps.begin(), reps.end(), [](const DayRep& a, const DayRep& b) {
    return a.rep.start_s < b.rep.start_s;
  });
  std::vector<DayRep> out;
  for (DayRep& r : reps) {
    if (!out.empty() && r.rep.start_s < out.back().rep.end_s) {
      if (r.work < out.back().work) out.back() = std::move(r);
      continue;
    }
    out.push_back(std::move(r));
  }
  return out;
}

std::vector<WorkPart> parts_of(const std::vector<DayRep>& reps, std::size_t first, int count) {
  std::vector<WorkPart> parts;
  for (std::size_t i = first; i < first + static_cast<std::size_t>(count); ++i) {
    const DayRep& r = reps[i];
    if (parts.empty() || parts.back().work != r.work) {
      parts.push_back({r.work, r.number, r.number + 1});
    } else {
      parts.back().last = r.number + 1;
    }
  }
  return parts;
}

void add_sets(const std::vector<DayRep>& reps,
              std::size_t first,
              std::size_t end,
              const SplitOptions& options,
              std::vector<FoundDaySet>& out) {
  SetTable table;
  std::vector<DiscSeen> discs;
  for (std::size_t i = first; i < end; ++i) {
    table.reps.push_back(reps[i].rep);
    discs.push_back(reps[i].disc);
  }
  for (FoundSet& set : split_sets(table, discs, options)) {
    std::vector<WorkPart> parts = parts_of(reps, first + set.first_rep, set.reps);
    out.push_back({.found = set, .parts = std::move(parts)});
  }
}

}  // namespace

std::vector<FoundDaySet> find_day_sets(const std::vector<Recording>& recordings,
                                       const std::vector<BarWork>& work,
                                       const SplitOptions& options) {
  std::map<int, std::vector<DayRep>> cameras;
  for (std::size_t w = 0; w < work.size(); ++w) {
    const Recording& recording = recordings[work[w].recording];
    std::vector<DayRep> reps = reps_of(work[w], w, recording);
    std::vector<DayRep>& of_camera = cameras[recording.camera];
    of_camera.insert(of_camera.end(), reps.begin(), reps.end());
  }
  std::vector<FoundDaySet> out;
  int views = 0;
  for (auto& [camera, all] : cameras) {
    const std::vector<DayRep> reps = one_after_another(std::move(all));
    std::vector<FoundDaySet> sets;
    std::size_t first = 0;
    for (std::size_t i = 1; i <= reps.size(); ++i) {
      const bool ends =
          i == reps.size() || (reps[i].after_rest &&
                               reps[i].rep.start_s - reps[i - 1].rep.end_s >= options.hand_over_s);
      if (!ends) continue;
      add_sets(reps, first, i, options, sets);
      first = i;
    }
    // Every camera has views of its own.
    int most = 0;
    for (FoundDaySet& set : sets) {
      most = std::max(most, set.found.view);
      set.found.view += views;
    }
    views += most;
    out.insert(out.end(), sets.begin(), sets.end());
  }
  std::stable_sort(out.begin(), out.end(), [](const FoundDaySet& a, const FoundDaySet& b) {
    return a.found.start_s < b.found.start_s;
  });
  return out;
}

}  // namespace kinetics
