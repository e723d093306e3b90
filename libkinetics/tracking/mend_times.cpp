#include "libkinetics/tracking/mend_times.h"

#include <cmath>
#include <string>

#include <fmt/format.h>

#include "libkinetics/tracking/stamp_stray.h"
#include "libkinetics/tracking/taken_times.h"

namespace kinetics {
namespace {

/// Times are mended when what pictures strayed by is then less than this share of before. Jitter of
/// the camera's own stays.
constexpr double kLeaves = 0.7;

std::string words(const TakenTimes& taken, double behind_s) {
  if (taken.source_hz > 0.0) {
    return fmt::format(
        "The clip was brought to another frame rate: its pictures were taken at {:.4g} a second. "
        "Their times were put right by the bar's motion. Use the file as the phone stored it.",
        std::round(10.0 * taken.source_hz) / 10.0);
  }
  if (taken.missing == 0) {
    return "Pictures are shown again in the place of missing ones; they were left out. Use the "
           "file as the phone stored it.";
  }
  return fmt::format(
      "Pictures are missing ({} were seen to be), and the others are stamped as if none were. "
      "Their times were put right by the bar's motion, so that a player's clock falls behind by "
      "{:.1f} s. Use the file as the phone stored it.",
      taken.missing,
      behind_s);
}

}  // namespace

void mend_times(BarPath& path, Notes& notes) {
  const auto taken = taken_times(path);
  if (!taken) return;
  BarPath mended = path;
  for (std::size_t i = 0; i < mended.points.size(); ++i) {
    mended.points[i].t_s = taken->t_s[i];
    mended.points[i].seen = mended.points[i].seen && !taken->left_out[i];
  }
  const double stray_s = stray_of_stamps_s(path);
  if (stray_s > 0.0 && stray_of_stamps_s(mended) > kLeaves * stray_s) return;
  mended.slow_time_sigma_s = taken->slow_sigma_s;
  const double behind_s = mended.points.back().t_s - path.points.back().t_s;
  notes.push_back({NoteKind::kCaution, words(*taken, behind_s)});
  path = std::move(mended);
}

void judge_stamps(BarPath& path, double tick_s, Notes& notes) {
  const double stray_s = stray_of_stamps_s(path);
  path.stamp_sigma_s = std::hypot(stray_s, tick_s / std::sqrt(12.0));
  if (stray_s == 0.0) return;
  notes.push_back(
      {NoteKind::kCaution,
       fmt::format("The pictures were not taken at the times they carry (± {:.0f} ms): the clip "
                   "was brought to another frame rate, or pictures are missing. Velocities are "
                   "less sure, and wrong where many are missing. Use the file as the phone "
                   "stored it.",
                   1e3 * stray_s)});
}

}  // namespace kinetics
