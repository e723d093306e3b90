#include "libkinetics/session/full_motion.h"

#include <cmath>
#include <cstddef>
#include <cstdint>

#include "libkinetics/core/error.h"
#include "libkinetics/inertial/fuse.h"
#include "libkinetics/sensor/read_log.h"
#include "libkinetics/session/file_digest.h"

namespace kinetics {
namespace {

constexpr std::uintmax_t kLargestHashedBytes = std::uintmax_t{128} << 20U;

bool is_the_log(const Session& session, const std::string& path) {
  if (path.empty() || session.log->sha256.empty()) return false;
  return sha256_of_file(path, kLargestHashedBytes) == session.log->sha256;
}

/// Whether two estimates are of one motion: then their samples stand at the same times.
bool same_times(const Motion& a, const Motion& b) {
  constexpr double kApart_s = 1e-6;
  if (a.samples.size() != b.samples.size()) return false;
  for (std::size_t i = 0; i < a.samples.size(); ++i) {
    if (std::abs(a.samples[i].t_s - b.samples[i].t_s) > kApart_s) return false;
  }
  return true;
}

Motion with_log(const Session& session, const std::string& log_path) {
  const AnalysisOptions& options = session.options;
  SensorLog log = read_log(log_path, options.log);
  if (!has_clip(session)) return estimate_log_motion(std::move(log), options.strapdown).motion;
  return fuse(session.path, log, {.log = options.strapdown, .clip = options.motion}).motion;
}

}  // namespace

Motion full_motion(const Session& session, const std::string& log_path) {
  const bool seen_alone = !session.log || (!has_clip(session) && session.log->holds_positions);
  if (!seen_alone && !is_the_log(session, log_path)) return session.motion;
  try {
    Motion again = seen_alone ? estimate_motion(session.path, session.options.motion)
                              : with_log(session, log_path);
    return same_times(again, session.motion) ? again : session.motion;
  } catch (const Error& error) {
    // Read with a second file or options that are not stored: the samples still stand.
    if (error.code() == ErrorCode::kInternal) throw;
    return session.motion;
  }
}

}  // namespace kinetics
