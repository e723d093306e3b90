#include "libkinetics/speed_day/kept_span.h"

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <fstream>
#include <mutex>
#include <sstream>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/session/version.h"
#include "libkinetics/speed_day/file_lock.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

constexpr const char* kIndexName = "seen.txt";
constexpr const char* kFirstLine = "kinetics seen 3";

std::string as_text(const CameraStep& step) {
  return fmt::format("{} {} {} {}", step.x_px, step.y_px, step.turn_rad, step.zoom);
}

std::string as_text(const KeptSpan& kept) {
  std::string out = fmt::format("{}\nheight {}\n", kFirstLine, kept.height_px);
  for (const WatchedStretch& s : kept.stretches) {
    out += fmt::format(
        "stretch {} {} {} {}\n", s.from_s, s.to_s, as_text(s.before), as_text(s.camera));
    for (const SeenDisc& d : s.discs) {
      out += fmt::format("disc {} {} {} {} {}\n",
                         fs::path(d.file).filename().string(),
                         d.up_and_down_m,
                         d.radius_px,
                         d.where.x_px,
                         d.where.y_px);
    }
  }
  for (const Note& note : kept.notes) {
    out +=
        fmt::format("{} {}\n", note.kind == NoteKind::kCaution ? "caution" : "decision", note.text);
  }
  if (!kept.flawless) out += "mended\n";
  out += fmt::format("end {} {}\n", as_text(kept.end.camera), kept.end.passed_over_to_s);
  if (kept.whole) out += "whole\n";
  return out;
}

/// Reads numbers off a line; false when one is missing.
template <typename... Numbers>
bool take(std::istringstream& line, Numbers&... numbers) {
  const auto one = [&](double& number) {
    std::string word;
    if (!(line >> word)) return false;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), number);
    return error == std::errc() && end == word.data() + word.size();
  };
  return (one(numbers) && ...);
}

bool take_step(std::istringstream& line, CameraStep& step) {
  return take(line, step.x_px, step.y_px, step.turn_rad, step.zoom);
}

void write_kept(const KeptSpan& kept, const std::string& folder) {
  (void)write_whole_file(fs::path(folder) / kIndexName, as_text(kept), IfPresent::kReplace);
}

Session session_of(WorkedDisc worked, const ClipInfo& clip, const AnalysisOptions& options) {
  Session session;
  session.clip = clip;
  session.options.clip = options.clip;
  session.options.tracking = options.tracking;
  session.disc = std::move(worked.bar.disc);
  session.path = std::move(worked.bar.path);
  session.notes = std::move(worked.bar.notes);
  session.provenance.program_version = std::string(version());
  session.provenance.source_name = fs::path(clip.path).filename().string();
  return session;
}

}  // namespace

std::mutex& file_lock() {
  static std::mutex lock;
  return lock;
}

KeptSpan read_kept(const std::string& folder) {
  KeptSpan kept;
  std::ifstream file(fs::path(folder) / kIndexName);
  std::string text;
  if (!std::getline(file, text) || text != kFirstLine) return {};
  while (std::getline(file, text)) {
    std::istringstream line(text);
    std::string kind;
    line >> kind;
    if (kind == "stretch") {
      WatchedStretch s;
      if (!take(line, s.from_s, s.to_s) || !take_step(line, s.before) ||
          !take_step(line, s.camera)) {
        return kept;
      }
      kept.stretches.push_back(std::move(s));
    } else if (kind == "disc" && !kept.stretches.empty()) {
      SeenDisc d;
      line >> d.file;
      d.file = (fs::path(folder) / d.file).string();
      if (!take(line, d.up_and_down_m, d.radius_px, d.where.x_px, d.where.y_px) ||
          !fs::exists(d.file)) {
        kept.stretches.pop_back();
        return kept;
      }
      kept.stretches.back().discs.push_back(std::move(d));
    } else if (kind == "caution" || kind == "decision") {
      std::string words;
      std::getline(line >> std::ws, words);
      kept.notes.push_back(
          {kind == "caution" ? NoteKind::kCaution : NoteKind::kDecision, std::move(words)});
    } else if (kind == "height") {
      line >> kept.height_px;
    } else if (kind == "mended") {
      kept.flawless = false;
    } else if (kind == "end") {
      if (!take_step(line, kept.end.camera) || !take(line, kept.end.passed_over_to_s)) return kept;
    } else if (kind == "whole") {
      kept.whole = true;
    }
  }
  return kept;
}

std::vector<WorkedSize> worked_in(const std::vector<WatchedStretch>& stretches) {
  std::vector<WorkedSize> out;
  for (const WatchedStretch& s : stretches) {
    for (const SeenDisc& d : s.discs) out.push_back({d.up_and_down_m, d.radius_px});
  }
  return out;
}

KeptSpan see_span(const std::string& path,
                  const WatchSpan& span,
                  const AnalysisOptions& options,
                  const std::string& folder,
                  const Progress& progress) {
  KeptSpan kept = read_kept(folder);
  if (kept.whole) return kept;
  kept.notes.clear();
  std::error_code failed;
  fs::create_directories(folder, failed);
  if (failed) {
    throw Error(ErrorCode::kUsage,
                folder,
                fmt::format("the folder cannot be made: {}", failed.message()),
                "Choose another logbook");
  }
  ClipReader clip(path, options.clip);
  kept.height_px = clip.info().height_px;
  const double after_s = kept.stretches.empty() ? span.after_s : kept.stretches.back().to_s;
  WatchSpan left = span;
  left.after_s = after_s;
  for (const WorkedSize& w : worked_in(kept.stretches)) left.worked.push_back(w);
  if (kept.flawless && after_s > 0.0) clip.hurry_to(after_s);
  double passed_over_to_s = kept.end.passed_over_to_s;
  kept.end = watch_bar(
      clip,
      options.tracking,
      std::move(left),
      [&](BarStretch stretch) {
        WatchedStretch seen{stretch.from_s, stretch.to_s, stretch.before, stretch.camera, {}};
        for (std::size_t k = 0; k < stretch.discs.size(); ++k) {
          WorkedDisc& worked = stretch.discs[k];
          SeenDisc disc{
              .file = (fs::path(folder) /
                       fmt::format("stretch-{:04}-{}.h5", kept.stretches.size() + 1, k + 1))
                          .string(),
              .up_and_down_m = worked.up_and_down_m,
              .radius_px = worked.radius_px,
              .where = worked.where};
          const std::scoped_lock lock(file_lock());
          // One that is there already is of a run that was killed before it wrote the index: the
          // same, or one that was cut short differently.
          fs::remove(disc.file, failed);
          (void)store_session_at(session_of(std::move(worked), clip.info(), options), disc.file);
          seen.discs.push_back(std::move(disc));
        }
        kept.stretches.push_back(std::move(seen));
        kept.flawless = kept.flawless && !stretch.stamps_repaired;
        passed_over_to_s = std::max(passed_over_to_s, stretch.passed_over_to_s);
        kept.end.passed_over_to_s = passed_over_to_s;
        write_kept(kept, folder);
      },
      progress);
  kept.end.passed_over_to_s = std::max(kept.end.passed_over_to_s, passed_over_to_s);
  kept.whole = true;
  kept.notes = clip.notes();
  write_kept(kept, folder);
  return kept;
}

}  // namespace kinetics
