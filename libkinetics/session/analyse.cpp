#include "libkinetics/session/analyse.h"

#include <algorithm>
#include <chrono>
#include <cstdint>
#include <filesystem>
#include <utility>

#include <fmt/chrono.h>

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
