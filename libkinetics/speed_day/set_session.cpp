#include "libkinetics/speed_day/set_session.h"

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <filesystem>
#include <iterator>
#include <utility>

#include <fmt/chrono.h>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/session/analyse.h"
#include "libkinetics/session/held_on.h"
#include "libkinetics/session/judge.h"
#include "libkinetics/session/rep_loading.h"
#include "libkinetics/session/speak_of_readings.h"
#include "libkinetics/session/version.h"

namespace kinetics {
namespace {

/// Kept around a set's reps: the walk-out before it and the re-rack after it, s.
constexpr double kBeforeS = 15.0;
constexpr double kAfterS = 10.0;

struct Window {
  double from_s = 0.0;
  double to_s = 0.0;
};

/// Of the part's recording, up to half-way to the neighbouring sets' reps.
Window window_of(const WorkPart& part, const BarWork& work) {
  const Rep& first = work.reps[part.first];
  const Rep& last = work.reps[part.last - 1];
  Window out{std::max(work.from_s, first.start_s - kBeforeS),
             std::min(work.to_s, last.end_s + kAfterS)};
  if (part.first > 0) {
    out.from_s = std::max(out.from_s, 0.5 * (work.reps[part.first - 1].end_s + first.start_s));
  }
  if (part.last < work.reps.size()) {
    out.to_s = std::min(out.to_s, 0.5 * (last.end_s + work.reps[part.last].start_s));
  }
  return out;
}

template <typename Row>
void cut(std::vector<Row>& rows, std::size_t first, std::size_t end) {
  if (rows.empty()) return;
  rows.erase(rows.begin() + static_cast<std::ptrdiff_t>(end), rows.end());
  rows.erase(rows.begin(), rows.begin() + static_cast<std::ptrdiff_t>(first));
}

/// Rows of the window, by their times.
template <typename Row>
void cut_by_time(std::vector<Row>& rows, Window window) {
  std::erase_if(rows, [&](const Row& r) { return r.t_s < window.from_s || r.t_s > window.to_s; });
}

void cut(Session& session, Window window) {
  Motion& motion = session.motion;
  const auto before = [](const MotionSample& m, double t_s) { return m.t_s < t_s; };
  const auto first = static_cast<std::size_t>(
      std::lower_bound(motion.samples.begin(), motion.samples.end(), window.from_s, before) -
      motion.samples.begin());
  const auto end = static_cast<std::size_t>(
      std::lower_bound(motion.samples.begin(), motion.samples.end(), window.to_s, before) -
      motion.samples.begin());
  cut(motion.links, first, end);
  cut(motion.drift, first, end);
  cut(motion.samples, first, end);
  if (!motion.links.empty()) motion.links.back().joined = false;
  cut_by_time(session.path.points, window);
  cut_by_time(session.disc.sightings, window);
}

/// Adds what the phone wrote into its next file. Heights are brought to one zero by the picture.
void append(Session& session, Session more, double later_s, double higher_m) {
  for (PathPoint& p : more.path.points) {
    p.t_s += later_s;
    p.y_m += higher_m;
    session.path.points.push_back(p);
  }
  for (DiscSighting& s : more.disc.sightings) {
    s.t_s += later_s;
    session.disc.sightings.push_back(s);
  }
}

void add(Notes& all, const Notes& more) {
  for (const Note& note : more) {
    if (std::find(all.begin(), all.end(), note) == all.end()) all.push_back(note);
  }
}

Provenance provenance_of(const Recording& recording) {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return {.program_version = std::string(version()),
          .analysed_at = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now)),
          .source_name = std::filesystem::path(recording.name).filename().string(),
          .source_sha256 = recording.sha256,
          .libraries = library_versions(),
          .held_on = recording.held_on};
}

}  // namespace

Session session_of_set(const FoundDaySet& set,
                       const std::vector<BarWork>& work,
                       const std::vector<Recording>& recordings,
                       const AnalysisOptions& options) {
  const WorkPart& first = set.parts.front();
  const Recording& recording = recordings[work[first.work].recording];
  Session session = load_work(work[first.work], options);
  cut(session, window_of(first, work[first.work]));
  for (std::size_t k = 1; k < set.parts.size(); ++k) {
    const WorkPart& part = set.parts[k];
    Session more = load_work(work[part.work], options);
    cut(more, window_of(part, work[part.work]));
    append(session,
           std::move(more),
           recordings[work[part.work].recording].begins_s - recording.begins_s,
           work[part.work].zero_m - work[first.work].zero_m);
  }
  if (set.parts.size() > 1) session.motion = estimate_motion(session.path, options.motion);
  session.options.reps.set_gap_s = 3600.0;  // it is one set, whatever the rests within it
  SetTable table = find_reps(session.motion, session.options.reps);
  measure_forces(
      session.motion, session.options.loading, session.options.reps.threshold_mps, table.reps);
  session.reps = std::move(table.reps);
  if (!has_clip(session)) speak_of_readings(session.reps);
  add(session.notes, table.notes);
  session.provenance = provenance_of(recording);
  if (!options.held_on.day.empty()) session.provenance.held_on = options.held_on.day;
  if (session.provenance.held_on.empty()) find_day(session);
  judge(session);
  return session;
}

}  // namespace kinetics
