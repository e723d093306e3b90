#include "libkinetics/session/analyse.h"

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <utility>

#include <fmt/chrono.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/options.h"
#include "libkinetics/session/version.h"

namespace kinetics {
namespace {

// A set of a minute from a phone is smaller than this; hashing it takes well under a second.
constexpr std::uintmax_t kLargestHashedBytes = std::uintmax_t{128} << 20U;

Provenance provenance_of(const std::string& path) {
  const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
  return {.program_version = std::string(version()),
          .analysed_at = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(now)),
          .source_name = std::filesystem::path(path).filename().string(),
          .source_sha256 = sha256_of_file(path, kLargestHashedBytes),
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

}  // namespace

Session analyse_clip(const std::string& path,
                     const AnalysisOptions& options,
                     const Progress& progress) {
  ClipReader clip(path, options.clip);
  check(options, clip.info());

  TrackedBar tracked = track_bar(clip, options.tracking, progress);
  check_enough_seen(tracked.path, path);
  Motion motion = estimate_motion(tracked.path, options.motion);
  SetTable table = find_reps(motion, options.reps);

  Notes notes;
  add(notes, clip.notes());
  add(notes, tracked.notes);
  add(notes, table.notes);
  return {.clip = clip.info(),
          .options = options,
          .disc = std::move(tracked.disc),
          .path = std::move(tracked.path),
          .motion = std::move(motion),
          .reps = std::move(table.reps),
          .notes = std::move(notes),
          .provenance = provenance_of(path)};
}

}  // namespace kinetics
