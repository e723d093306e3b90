#include "libkinetics/speed_day/seen_recording.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/media/key_pictures.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/version.h"
#include "libkinetics/speed_day/join_spans.h"
#include "libkinetics/speed_day/kept_span.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

/// A part's usual length, s: some ten sets, so that what is watched twice where parts meet weighs
/// little.
constexpr double kPartS = 300.0;

/// So much of both ends of a file tells it from others; hashing an hour whole would take long.
constexpr std::streamoff kEndBytes = 1 << 20;

std::string ends_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::string bytes(static_cast<std::size_t>(kEndBytes), '\0');
  file.read(bytes.data(), kEndBytes);
  std::string out = sha256_of(bytes.substr(0, static_cast<std::size_t>(file.gcount())));
  file.clear();
  file.seekg(0, std::ios::end);
  const std::streamoff size = file.tellg();
  file.seekg(std::max<std::streamoff>(0, size - kEndBytes));
  file.read(bytes.data(), kEndBytes);
  return fmt::format(
      "{} {} {}", size, out, sha256_of(bytes.substr(0, static_cast<std::size_t>(file.gcount()))));
}

std::string folder_for(const Recording& recording,
                       const AnalysisOptions& options,
                       const std::string& keep) {
  const TrackingOptions& t = options.tracking;
  const std::string key = fmt::format("{} {} {} {} {} {} {}",
                                      ends_of(recording.path),
                                      version(),
                                      t.disc_diameter_m,
                                      t.disc_diameter_sigma_m,
                                      t.camera_roll_rad.value_or(99.0),
                                      t.readout_s.value_or(99.0),
                                      options.clip.capture_rate_hz.value_or(0.0));
  constexpr std::size_t kDigits = 12;
  std::string stem = fs::path(recording.name).stem().string();
  for (char& c : stem) {
    if (std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '-') c = '_';
  }
  constexpr std::size_t kLongest = 60;
  return (fs::path(keep) /
          fmt::format("{}-{}", stem.substr(0, kLongest), sha256_of(key).substr(0, kDigits)))
      .string();
}

std::string folder_of_part(const PartedRecording& parted, std::size_t part) {
  if (parted.ends_s.size() == 1) return parted.folder;
  return (fs::path(parted.folder) / fmt::format("part-{:02}", part + 1)).string();
}

/// When the clip ends, when it can be gone about in; else nothing.
std::optional<double> end_of(const Recording& recording, const AnalysisOptions& options) {
  if (!recording.lasts_s || *recording.lasts_s < kPartS) return std::nullopt;
  try {
    const ClipReader clip(recording.path, options.clip);
    const ClipInfo& info = clip.info();
    if (!info.duration_s) return std::nullopt;
    const double lasts_s = *info.duration_s / info.slow_motion_factor;
    return KeyPictures(info).go_after(0.5 * lasts_s) ? std::optional(lasts_s) : std::nullopt;
  } catch (const Error&) {
    return std::nullopt;  // watching it will tell
  }
}

}  // namespace

PartedRecording part_recording(const Recording& recording,
                               const AnalysisOptions& options,
                               const std::string& keep) {
  PartedRecording out{.folder = folder_for(recording, options, keep), .ends_s = {}, .lasts_s = {}};
  out.lasts_s = end_of(recording, options);
  const double parts = std::round(out.lasts_s.value_or(0.0) / kPartS);
  for (double k = 1.0; k < parts; k += 1.0) out.ends_s.push_back(k * *out.lasts_s / parts);
  out.ends_s.push_back(std::numeric_limits<double>::infinity());
  return out;
}

bool seen_whole(const PartedRecording& parted) {
  for (std::size_t k = 0; k < parted.ends_s.size(); ++k) {
    if (!read_kept(folder_of_part(parted, k)).whole) return false;
  }
  return true;
}

void see_part(const Recording& recording,
              const PartedRecording& parted,
              std::size_t part,
              const AnalysisOptions& options,
              const Progress& progress) {
  WatchSpan span{.until_s = parted.ends_s[part]};
  if (part > 0) {
    span.begins_s = parted.ends_s[part - 1];
    span.after_s = span.begins_s - kKnownAfterS;
  }
  const double lasts_s = parted.lasts_s.value_or(1.0);
  const double from_s = std::max(0.0, span.after_s);
  const double to_s = std::min(span.until_s, lasts_s);
  const Progress of_part = [&](double fraction) {
    if (progress) progress((fraction * lasts_s - from_s) / (to_s - from_s));
  };
  (void)see_span(recording.path, span, options, folder_of_part(parted, part), of_part);
}

SeenRecording join_parts(const Recording& recording,
                         const PartedRecording& parted,
                         const AnalysisOptions& options,
                         const Progress& progress) {
  std::vector<KeptSpan> parts;
  for (std::size_t k = 0; k < parted.ends_s.size(); ++k) {
    parts.push_back(read_kept(folder_of_part(parted, k)));
  }
  if (parts.size() == 1) {
    return {parts[0].height_px, std::move(parts[0].stretches), std::move(parts[0].notes)};
  }
  bool flawless = true;
  for (const KeptSpan& part : parts) flawless = flawless && part.flawless;
  int again = 0;
  SeenRecording out = join_spans(parts, [&](const WatchSpan& span) {
    const std::string folder =
        (fs::path(parted.folder) / fmt::format("again-{:02}", ++again)).string();
    KeptSpan more = see_span(recording.path, span, options, folder, {});
    flawless = flawless && more.flawless;
    return more;
  });
  if (flawless) return out;
  // Times that had to be repaired count from the first picture: one watch of all of it.
  const std::string folder = (fs::path(parted.folder) / "whole").string();
  KeptSpan whole = see_span(recording.path, {}, options, folder, progress);
  return {whole.height_px, std::move(whole.stretches), std::move(whole.notes)};
}

}  // namespace kinetics
