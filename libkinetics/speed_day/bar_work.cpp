#include "libkinetics/speed_day/bar_work.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include <fmt/format.h>

#include "libkinetics/kinematics/motion.h"
#include "libkinetics/kinematics/reps.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/session/analyse.h"
#include "libkinetics/speed_day/file_lock.h"
#include "libkinetics/tracking/watch_bar.h"

namespace kinetics {
namespace {

/// A tripod that was moved by more than this share of the picture's height shows another view.
constexpr double kNewViewShare = 0.02;
constexpr double kNewViewTurnRad = 0.01;
constexpr double kNewViewZoom = 0.01;
/// Farther aside than this, in radii of the largest disc, is another place.
constexpr double kSamePlaceRadii = 2.5;
/// A disc elsewhere counts when it looks as large as this share of the bar's.
constexpr double kAsLarge = 0.85;
/// Sizes nearer than this are the same disc: lifters do not all stand equally far away.
constexpr double kSameSize = 0.06;
/// But racks and platforms stay where they are: 10 cm at 4 m. What differs by more is a lip or a
/// ring of that disc that was followed.
constexpr double kSameDistance = 0.025;
/// What a diameter told by the picture is uncertain by, 1 sigma, as a share.
constexpr double kSizeSigma = 0.02;
/// A size that so small a share of all work was done with is no measure for the others.
constexpr double kLeastShareOfWork = 0.1;
constexpr double kStillM = 0.0015;
constexpr double kBlockS = 0.5;

/// Which view of its camera a stretch has, and how far that has drifted.
struct View {
  int number = 1;
  double drift_x_px = 0.0;
  double drift_y_px = 0.0;
  void step(const CameraStep& camera, double height_px) {
    const bool moved = std::hypot(camera.x_px, camera.y_px) > kNewViewShare * height_px ||
                       std::abs(camera.turn_rad) > kNewViewTurnRad ||
                       std::abs(camera.zoom - 1.0) > kNewViewZoom;
    if (moved) {
      *this = {.number = number + 1};
    } else {
      drift_x_px += camera.x_px;
      drift_y_px += camera.y_px;
    }
  }
};

/// All discs of one camera's stretches, before it is known which is the bar's.
std::vector<BarWork> all_work(const std::vector<Recording>& recordings,
                              const std::vector<SeenRecording>& seen,
                              int camera) {
  std::vector<BarWork> out;
  View view;
  bool first_file = true;
  for (std::size_t r = 0; r < recordings.size(); ++r) {
    if (recordings[r].camera != camera || recordings[r].is_log) continue;
    // A camera that was switched on anew may have been moved.
    if (!first_file && !recordings[r].goes_on) view = {.number = view.number + 1};
    first_file = false;
    bool at_rest = !recordings[r].goes_on;
    for (const WatchedStretch& s : seen[r].stretches) {
      view.step(s.before, seen[r].height_px);
      for (const SeenDisc& d : s.discs) {
        out.push_back({.recording = r,
                       .from_s = s.from_s,
                       .to_s = s.to_s,
                       .begins_at_rest = at_rest,
                       .view = view.number,
                       .drift_y_px = view.drift_y_px,
                       .radius_px = d.radius_px,
                       .place_x_px = d.where.x_px - view.drift_x_px,
                       .worked_m = d.up_and_down_m,
                       .file = d.file});
      }
      at_rest = true;
      view.step(s.camera, seen[r].height_px);
    }
  }
  return out;
}

/// The size above and below which as much was worked: a lip that was followed here and there does
/// not count.
double middle_radius_px(std::vector<const BarWork*> work) {
  std::sort(work.begin(), work.end(), [](const BarWork* a, const BarWork* b) {
    return a->radius_px < b->radius_px;
  });
  double all_m = 0.0;
  for (const BarWork* w : work) all_m += w->worked_m;
  double so_far_m = 0.0;
  for (const BarWork* w : work) {
    so_far_m += w->worked_m;
    if (so_far_m >= 0.5 * all_m) return w->radius_px;
  }
  return 0.0;
}

/// The largest size of disc with which a fair share of the work was done; 0 without work.
double largest_common_radius_px(const std::vector<BarWork>& work) {
  double all_m = 0.0;
  for (const BarWork& w : work) all_m += w.worked_m;
  double best = 0.0;
  for (const BarWork& w : work) {
    std::vector<const BarWork*> of_size;
    double of_size_m = 0.0;
    for (const BarWork& other : work) {
      if (std::abs(std::log(other.radius_px / w.radius_px)) > kSameSize) continue;
      of_size.push_back(&other);
      of_size_m += other.worked_m;
    }
    if (of_size_m >= kLeastShareOfWork * all_m) {
      best = std::max(best, middle_radius_px(std::move(of_size)));
    }
  }
  return best;
}

/// Keeps the bar's among one camera's discs.
void keep_bar(std::vector<BarWork>& work, Notes& notes, const Recording& recording) {
  const double radius_px = largest_common_radius_px(work);
  if (radius_px <= 0.0) return;
  double place_x_px = 0.0;
  double most = -1.0;
  for (const BarWork& w : work) {
    double here = 0.0;
    for (const BarWork& other : work) {
      if (std::abs(other.place_x_px - w.place_x_px) > kSamePlaceRadii * radius_px) continue;
      here += other.worked_m * other.radius_px * other.radius_px;
    }
    if (here > most) {
      most = here;
      place_x_px = w.place_x_px;
    }
  }
  std::size_t behind = 0;
  std::erase_if(work, [&](const BarWork& w) {
    const bool here = std::abs(w.place_x_px - place_x_px) <= kSamePlaceRadii * radius_px;
    if (here || w.radius_px >= kAsLarge * radius_px) return false;
    ++behind;
    return true;
  });
  if (behind > 0) {
    notes.push_back({NoteKind::kDecision,
                     fmt::format("{}: smaller discs that were moved elsewhere in the picture, {}, "
                                 "were taken for another rack's and left out.",
                                 recording.name,
                                 behind == 1 ? "once" : fmt::format("{} times", behind))});
  }
}

/// Tells discs of other diameters by their sizes beside the large ones'.
void size_discs(std::vector<BarWork>& work) {
  std::map<int, std::vector<BarWork*>> views;
  for (BarWork& w : work) views[w.view].push_back(&w);
  const double all_px = largest_common_radius_px(work);
  for (auto& [number, in_view] : views) {
    std::vector<BarWork> copy;
    copy.reserve(in_view.size());
    for (const BarWork* w : in_view) copy.push_back(*w);
    const double here_px = largest_common_radius_px(copy);
    // A view in which small discs alone were lifted is measured by the others.
    const double large_px =
        std::abs(std::log(here_px / all_px)) < 2.0 * kSameSize ? here_px : all_px;
    for (BarWork* w : in_view) {
      const double share = w->radius_px / large_px;
      if (std::abs(std::log(share)) > kSameDistance) w->disc_share = share;
    }
  }
}

/// Height above the picture's middle at which the path began; 0 when the disc was never seen.
double height_of_zero_m(const Session& session, const BarWork& work) {
  for (const DiscSighting& s : session.disc.sightings) {
    if (s.sighting != Sighting::kSeen || s.half_height_px <= 0.0) continue;
    const double still_px = s.centre.y_px - s.camera_shift.y_px - work.drift_y_px;
    const double px_per_m = s.half_height_px / (0.5 * session.options.tracking.disc_diameter_m);
    return -(still_px - 0.5 * (session.clip.height_px - 1)) / px_per_m;
  }
  return 0.0;
}

/// Whether the bar lay still for kBarAtRestS somewhere between two times; where.
std::optional<std::pair<double, double>> rest_between(const Motion& motion,
                                                      double from_s,
                                                      double to_s) {
  double begun_s = from_s;
  double least_y = INFINITY;
  double greatest_y = -INFINITY;
  double least_x = INFINITY;
  double greatest_x = -INFINITY;
  double block_end_s = from_s + kBlockS;
  double sum_x = 0.0;
  double sum_y = 0.0;
  int count = 0;
  std::optional<std::pair<double, double>> longest;
  for (std::size_t i = sample_before(motion, from_s); i < motion.samples.size(); ++i) {
    const MotionSample& m = motion.samples[i];
    if (m.t_s > to_s) break;
    if (m.t_s > block_end_s && count > 0) {
      const double x = sum_x / count;
      const double y = sum_y / count;
      const bool moved = std::max(greatest_y, y) - std::min(least_y, y) > kStillM ||
                         std::max(greatest_x, x) - std::min(least_x, x) > kStillM;
      if (moved) {
        begun_s = block_end_s - kBlockS;
        least_y = least_x = INFINITY;
        greatest_y = greatest_x = -INFINITY;
      }
      least_y = std::min(least_y, y);
      greatest_y = std::max(greatest_y, y);
      least_x = std::min(least_x, x);
      greatest_x = std::max(greatest_x, x);
      const bool longer = !longest || block_end_s - begun_s > longest->second - longest->first;
      if (block_end_s - begun_s >= kBarAtRestS && longer) longest = {begun_s, block_end_s};
      sum_x = sum_y = 0.0;
      count = 0;
    }
    if (m.t_s > block_end_s) block_end_s = m.t_s + kBlockS;
    if (!m.measured) continue;
    sum_x += m.x_m;
    sum_y += m.height_m;
    ++count;
  }
  return longest;
}

void scale(BarPath& path, double share) {
  for (PathPoint& p : path.points) {
    p.x_m *= share;
    p.y_m *= share;
    p.sigma_x_m *= share;
    p.sigma_y_m *= share;
    p.lasting_sigma_m *= share;
  }
  path.hold_sigma_m *= share;
  path.scale_sigma_rel = std::hypot(path.scale_sigma_rel, kSizeSigma);
}

}  // namespace

DayWork choose_work(const std::vector<Recording>& recordings,
                    const std::vector<SeenRecording>& seen) {
  DayWork out;
  std::set<int> cameras;
  for (const Recording& r : recordings) {
    if (!r.is_log) cameras.insert(r.camera);
  }
  for (const int camera : cameras) {
    std::vector<BarWork> work = all_work(recordings, seen, camera);
    if (work.empty()) continue;
    keep_bar(work, out.notes, recordings[work.front().recording]);
    size_discs(work);
    out.work.insert(out.work.end(), work.begin(), work.end());
  }
  return out;
}

Session load_work(const BarWork& work, const AnalysisOptions& options) {
  Session session;
  if (work.held) {
    session = *work.held;
    session.options = options;
    return session;
  }
  {
    const std::scoped_lock lock(file_lock());
    session = load_session(work.file);
  }
  const double given_m = session.options.tracking.disc_diameter_m;
  session.options = options;
  session.options.tracking.disc_diameter_m = given_m * work.disc_share;
  if (work.disc_share != 1.0) {
    scale(session.path, work.disc_share);
    session.notes.push_back(
        {NoteKind::kDecision,
         fmt::format("The disc looks {:.2f} times as large as most on this day and was taken for "
                     "{:.0f} mm. --disc-diameter is the large ones'.",
                     work.disc_share,
                     1000.0 * session.options.tracking.disc_diameter_m)});
  }
  session.motion = estimate_motion(session.path, options.motion);
  return session;
}

void measure_work(BarWork& work, const AnalysisOptions& options) {
  const Session session = load_work(work, options);
  if (has_clip(session)) work.zero_m = height_of_zero_m(session, work);
  work.reps = find_reps(session.motion, options.reps).reps;
  for (std::size_t i = 1; i < work.reps.size(); ++i) {
    const auto rest = rest_between(session.motion, work.reps[i - 1].end_s, work.reps[i].start_s);
    if (rest) work.rests.push_back(*rest);
  }
}

}  // namespace kinetics
