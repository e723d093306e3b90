#include "libkinetics/session/analyse.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <future>
#include <string>
#include <utility>

#include <fmt/chrono.h>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/fuse.h"
#include "libkinetics/inertial/position_log.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/held_on.h"
#include "libkinetics/session/judge.h"
#include "libkinetics/session/options.h"
#include "libkinetics/session/rep_loading.h"
#include "libkinetics/session/speak_of_readings.h"
#include "libkinetics/session/version.h"
#include "libkinetics/tracking/track_by_look.h"

namespace kinetics {
namespace {

// A set of a minute from a phone is smaller than this; hashing it takes well under a second.
constexpr std::uintmax_t kLargestHashedBytes = std::uintmax_t{128} << 20U;

/// The clip's digest, taken on a thread of its own while its pictures are looked at.
std::future<std::string> digest_of(const std::string& path) {
  return std::async(std::launch::async, sha256_of_file, path, kLargestHashedBytes);
}

Provenance provenance_of(const std::string& path, std::string sha256) {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return {.program_version = std::string(version()),
          .analysed_at = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now)),
          .source_name = std::filesystem::path(path).filename().string(),
          .source_sha256 = std::move(sha256),
          .libraries = library_versions()};
}

// Three sightings make a velocity, but no statement on how sure it is.
constexpr std::ptrdiff_t kFewestSightings = 4;

void check_enough_seen(const BarPath& path, const std::string& clip_path) {
  const auto seen = std::count_if(
      path.points.begin(), path.points.end(), [](const PathPoint& p) { return p.seen; });
  if (seen >= kFewestSightings) return;
  throw Error(ErrorCode::kNothingToTrack,
              clip_path,
              fmt::format("the disc was seen in {} of {} pictures; at least {} are needed",
                          seen,
                          path.points.size(),
                          kFewestSightings),
              "Film the whole set with the disc in view");
}

// Two steps can remark on one thing (a reader's note passed on by the tracker): say it once.
void add(Notes& all, const Notes& more) {
  for (const Note& note : more) {
    if (std::find(all.begin(), all.end(), note) == all.end()) all.push_back(note);
  }
}

/// Steps that know no file names their subject instead; here the file is known.
template <class Step>
auto about(const std::string& file, Step step) {
  try {
    return step();
  } catch (const Error& error) {
    const bool names_subject = error.where() == "sensor log" || error.where() == "clip and log";
    if (!names_subject) throw;
    throw Error(error.code(), file, error.problem(), error.mend());
  }
}

LogInfo info_of(const SensorLog& log, const std::string& path) {
  return {.name = std::filesystem::path(path).filename().string(),
          .sha256 = sha256_of_file(path, kLargestHashedBytes),
          .holds_positions = !log.positions.empty(),
          .has_gyroscope = log.has_gyroscope,
          .rate_hz = log.rate_hz,
          .rows = static_cast<std::int64_t>(log.rows),
          .started_unix_s = log.started_unix_s};
}

/// What the two files are worth together.
struct Joined {
  Motion motion;
  LogInfo log;
  Notes notes;
};

Joined join(const BarPath& path,
            const std::string& clip_path,
            const std::string& log_path,
            const AnalysisOptions& options) {
  const SensorLog log = read_log(log_path, options.log);
  FusedMotion fused = about(clip_path + " and " + log_path, [&] {
    return fuse(path, log, {.log = options.strapdown, .clip = options.motion});
  });
  Joined out{.motion = std::move(fused.motion), .log = info_of(log, log_path), .notes = {}};
  const ClockFit& clock = fused.clock;
  out.log.agreement = clock.agreement;
  if (clock.offset_s) {
    out.log.offset_s = clock.offset_s.value();
    out.log.offset_sigma_s = clock.offset_s.sigma();
  }
  if (clock.skew) {
    out.log.skew = clock.skew.value();
    out.log.skew_sigma = clock.skew.sigma();
  }
  add(out.notes, log.notes);
  add(out.notes, fused.notes);
  return out;
}

/// Why no rise may have been found, or numbers may be wrong, when the disc hardly showed.
Notes speak_of_hidden(const DiscTrack& disc, bool none_measured) {
  if (!(none_measured ? hardly_seen(disc) : half_covered(disc))) return {};
  const DiscShown all = shown(disc);
  return {{NoteKind::kCaution,
           fmt::format("What was followed showed in {:.0f} % of the pictures, with {:.0f} % of its "
                       "rim: the disc is hidden, or too like what is behind it. {} Let nobody "
                       "stand before the disc; have light on it, a light wall behind it or bright "
                       "tape around its rim; or point at it with --seed.",
                       100.0 * all.share_of_pictures,
                       100.0 * all.rim,
                       none_measured ? "Repetitions may be missing."
                                     : "Numbers may be wrong by more than their intervals say, and "
                                       "repetitions may be missing.")}};
}

/// The bar as seen in a clip, before its motion is made.
struct SeenClip {
  ClipInfo info;
  TrackedBar tracked;
  Notes notes;
};

/// What is taken for a disc and is its hub, a collar or a ring of letters has a fifth to seven
/// tenths of its size, and all lengths are too large by as much: 1 sigma of them, relative.
constexpr double kRingSigma = 0.4;

/// The numbers of a set whose disc may be such a ring. Where it was pointed at the coach has
/// looked.
void doubt_ring(bool pointed_at, SeenClip& seen) {
  if (!seems_a_hub(seen.tracked.disc)) return;
  double& sigma = seen.tracked.path.scale_sigma_rel;
  if (!pointed_at) sigma = std::hypot(sigma, kRingSigma);
  seen.notes.push_back(
      {NoteKind::kCaution,
       "What was followed went farther for its size than a disc does in a squat, press or pull. "
       "Unless the bar was lifted from the floor to overhead it is the hub, a collar or letters on "
       "the disc, and all velocities and ranges are too large, by more than twice perhaps: point "
       "at the disc with --seed."});
}

/// Every rep with all that is measured of it.
SetTable reps_of(const Motion& motion, const AnalysisOptions& options) {
  SetTable table = find_reps(motion, options.reps);
  measure_forces(motion, options.loading, options.reps.threshold_mps, table.reps);
  return table;
}

/// By brightness, or another way where that shows the disc better.
TrackedBar followed(ClipReader& clip, const AnalysisOptions& options, const Progress& progress) {
  const auto by = [&](Look look, const DiscTrack* by_brightness) {
    ClipReader again(clip.info().path, options.clip);
    return track_by_look(look, again, options.tracking, by_brightness, progress);
  };
  try {
    TrackedBar tracked = track_bar(clip, options.tracking, progress);
    if (poorly_seen(tracked.disc)) {
      if (auto coloured = by(Look::kColour, &tracked.disc)) return *std::move(coloured);
    }
    const bool hub = seems_a_hub(tracked.disc);
    if (hub || hardly_seen(tracked.disc)) {
      auto faint = by(Look::kContrast, &tracked.disc);
      if (faint) return hub ? *std::move(faint) : surer_of(std::move(tracked), *std::move(faint));
    }
    return tracked;
  } catch (const Error& e) {
    if (e.code() != ErrorCode::kNothingToTrack) throw;
    for (const Look look : {Look::kColour, Look::kContrast}) {
      if (auto tracked = by(look, nullptr)) return *std::move(tracked);
    }
    throw;
  }
}

SeenClip see(const std::string& path, const AnalysisOptions& options, const Progress& progress) {
  ClipReader clip(path, options.clip);
  check(options, clip.info());
  SeenClip seen{.info = {}, .tracked = followed(clip, options, progress), .notes = {}};
  check_enough_seen(seen.tracked.path, path);
  seen.info = clip.info();
  add(seen.notes, clip.notes());
  add(seen.notes, seen.tracked.notes);
  doubt_ring(options.tracking.seed.has_value(), seen);
  return seen;
}

Session judged(Session session) {
  find_day(session);
  judge(session);
  return session;
}

}  // namespace

bool names_a_log(const std::string& path) {
  std::string ending = std::filesystem::path(path).extension().string();
  for (char& c : ending) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  constexpr std::array kEndings{".csv", ".tsv", ".txt", ".log", ".dat"};
  return std::find(kEndings.begin(), kEndings.end(), ending) != kEndings.end();
}

Session analyse_clip(const std::string& path,
                     const AnalysisOptions& options,
                     const Progress& progress) {
  std::future<std::string> digest = digest_of(path);
  SeenClip seen = see(path, options, progress);
  Motion motion = estimate_motion(seen.tracked.path, options.motion);
  SetTable table = reps_of(motion, options);
  add(seen.notes, table.notes);
  const bool none_measured = std::none_of(table.reps.begin(), table.reps.end(), [](const Rep& r) {
    return static_cast<bool>(r.mean_velocity_mps);
  });
  add(seen.notes, speak_of_hidden(seen.tracked.disc, none_measured));
  return judged({.clip = seen.info,
                 .log = std::nullopt,
                 .options = options,
                 .disc = std::move(seen.tracked.disc),
                 .path = std::move(seen.tracked.path),
                 .motion = std::move(motion),
                 .reps = std::move(table.reps),
                 .notes = std::move(seen.notes),
                 .provenance = provenance_of(path, digest.get())});
}

Session analyse_log(const std::string& path,
                    const AnalysisOptions& options,
                    const Progress& progress) {
  check(options);
  LogOptions reading = options.log;
  reading.progress = progress;
  SensorLog log = read_log(path, reading);
  Session session;
  session.log = info_of(log, path);
  session.options = options;
  session.provenance = provenance_of(path, session.log->sha256);
  add(session.notes, log.notes);
  if (session.log->holds_positions) {
    session.path = path_of_positions(log);
    session.motion = about(path, [&] { return estimate_motion(session.path, options.motion); });
  } else {
    LogMotion estimate =
        about(path, [&] { return estimate_log_motion(std::move(log), options.strapdown); });
    session.motion = std::move(estimate.motion);
    add(session.notes, estimate.notes);
  }
  SetTable table = reps_of(session.motion, options);
  session.reps = std::move(table.reps);
  speak_of_readings(session.reps);
  add(session.notes, table.notes);
  return judged(std::move(session));
}

Session analyse_clip_with_log(const std::string& clip_path,
                              const std::string& log_path,
                              const AnalysisOptions& options,
                              const Progress& progress) {
  std::future<std::string> digest = digest_of(clip_path);
  SeenClip seen = see(clip_path, options, progress);
  Joined joined = join(seen.tracked.path, clip_path, log_path, options);
  SetTable table = reps_of(joined.motion, options);
  add(seen.notes, joined.notes);
  add(seen.notes, table.notes);
  return judged({.clip = seen.info,
                 .log = std::move(joined.log),
                 .options = options,
                 .disc = std::move(seen.tracked.disc),
                 .path = std::move(seen.tracked.path),
                 .motion = std::move(joined.motion),
                 .reps = std::move(table.reps),
                 .notes = std::move(seen.notes),
                 .provenance = provenance_of(clip_path, digest.get())});
}

}  // namespace kinetics
