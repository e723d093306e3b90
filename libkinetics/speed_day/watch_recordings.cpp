#include "libkinetics/speed_day/watch_recordings.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <memory>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/session/analyse.h"

namespace kinetics {
namespace {

/// What became of one recording.
struct Outcome {
  std::optional<SeenRecording> seen;
  std::shared_ptr<const Session> log;
  std::optional<Error> refused;
};

/// A log, or one part of a clip.
struct Piece {
  std::size_t recording = 0;
  std::size_t part = 0;
  double lasts_s = 0.0;
};

/// Adds up how far several pieces are, weighed by their lengths.
class SharedProgress {
 public:
  explicit SharedProgress(const Progress& progress) : progress_(progress) {}

  void expect(double lasts_s) {
    weight_.push_back(lasts_s);
    fraction_.push_back(0.0);
  }

  void report(std::size_t which, double fraction) {
    if (!progress_) return;
    const std::scoped_lock lock(mutex_);
    fraction_[which] = std::clamp(fraction, 0.0, 1.0);
    double sum = 0.0;
    double all = 0.0;
    for (std::size_t k = 0; k < weight_.size(); ++k) {
      sum += weight_[k] * fraction_[k];
      all += weight_[k];
    }
    progress_(all > 0.0 ? sum / all : -1.0);
  }

 private:
  const Progress& progress_;
  std::mutex mutex_;
  std::vector<double> weight_;
  std::vector<double> fraction_;
};

/// Stops the other workers once one has failed for good.
struct Stopped {};

class Watcher {
 public:
  Watcher(const std::vector<Recording>& recordings,
          const DayOptions& options,
          const std::string& keep,
          const Progress& progress)
      : recordings_(recordings),
        options_(options),
        progress_(progress),
        outcomes_(recordings.size()) {
    constexpr double kUsualS = 60.0;
    for (std::size_t k = 0; k < recordings.size(); ++k) {
      const Recording& r = recordings[k];
      parted_.push_back(r.is_log ? PartedRecording{.folder = {}, .ends_s = {0.0}, .lasts_s = {}}
                                 : part_recording(r, options.analysis, keep));
      parts_left_.push_back(parted_.back().ends_s.size());
      if (static_cast<int>(k) % options.of != options.part - 1) continue;
      const std::size_t parts = parted_.back().ends_s.size();
      for (std::size_t p = 0; p < parts; ++p) {
        const double lasts_s = r.lasts_s.value_or(kUsualS) / static_cast<double>(parts);
        todo_.push_back({.recording = k, .part = p, .lasts_s = lasts_s});
        progress_.expect(lasts_s);
      }
    }
  }

  std::vector<Outcome> run() {
    const auto most = static_cast<std::size_t>(std::max(1, options_.jobs));
    workers_ = std::min(most, todo_.size());
    if (workers_ <= 1) {
      work();
    } else {
      std::vector<std::thread> threads;
      for (std::size_t k = 0; k < workers_; ++k) threads.emplace_back([this] { work(); });
      for (std::thread& t : threads) t.join();
    }
    if (failure_) std::rethrow_exception(failure_);
    return std::move(outcomes_);
  }

 private:
  void work() {
    for (std::size_t k = next_++; k < todo_.size() && !stop_; k = next_++) {
      try {
        watch(k);
      } catch (const Stopped&) {
        return;
      } catch (...) {
        const std::scoped_lock lock(mutex_);
        if (!failure_) failure_ = std::current_exception();
        stop_ = true;
        return;
      }
    }
  }

  void watch(std::size_t which) {
    const Piece& piece = todo_[which];
    const Recording& recording = recordings_[piece.recording];
    const PartedRecording& parted = parted_[piece.recording];
    const Progress progress = [&](double fraction) {
      if (stop_) throw Stopped();
      progress_.report(which, fraction);
    };
    AnalysisOptions options = options_.analysis;
    if (workers_ > 1) options.clip.threads = 1;
    Outcome& out = outcomes_[piece.recording];
    try {
      if (recording.is_log) {
        out.log = std::make_shared<const Session>(analyse_log(recording.path, options, progress));
      } else {
        see_part(recording, parted, piece.part, options, progress);
        if (is_last_of(piece)) out.seen = join_parts(recording, parted, options, progress);
      }
    } catch (const Error& error) {
      const bool of_this_file =
          error.code() == ErrorCode::kUnreadable || error.code() == ErrorCode::kNothingToTrack;
      if (!of_this_file) throw;
      const std::scoped_lock lock(mutex_);
      out.refused = error;
    }
    progress_.report(which, 1.0);
  }

  /// Whether all parts of the piece's recording have been watched now. Where one was refused they
  /// never are.
  bool is_last_of(const Piece& piece) {
    const std::scoped_lock lock(mutex_);
    return --parts_left_[piece.recording] == 0;
  }

  const std::vector<Recording>& recordings_;
  const DayOptions& options_;
  SharedProgress progress_;
  std::vector<Outcome> outcomes_;
  std::vector<PartedRecording> parted_;
  std::vector<std::size_t> parts_left_;
  std::vector<Piece> todo_;
  std::size_t workers_ = 1;
  std::atomic<std::size_t> next_{0};
  std::atomic<bool> stop_{false};
  std::mutex mutex_;
  std::exception_ptr failure_;
};

}  // namespace

WatchedDay watch_recordings(const std::vector<Recording>& recordings,
                            const DayOptions& options,
                            const std::string& keep,
                            const Progress& progress) {
  WatchedDay out;
  std::vector<Outcome> outcomes = Watcher(recordings, options, keep, progress).run();
  std::optional<Error> first;
  for (std::size_t k = 0; k < outcomes.size(); ++k) {
    Outcome& o = outcomes[k];
    out.seen.push_back(o.seen ? std::move(*o.seen) : SeenRecording{});
    if (o.seen || o.log) ++out.done;
    for (const Note& note : out.seen.back().notes) {
      out.notes.push_back({note.kind, fmt::format("{}: {}", recordings[k].name, note.text)});
    }
    if (o.refused) {
      if (!first) first = o.refused;
      out.notes.push_back({NoteKind::kCaution, fmt::format("Left out: {}", o.refused->what())});
    }
    if (!o.log || o.log->motion.samples.empty()) continue;
    out.logs.push_back({.recording = k,
                        .from_s = o.log->motion.samples.front().t_s,
                        .to_s = o.log->motion.samples.back().t_s,
                        .held = o.log});
  }
  if (out.done == 0 && first) throw Error(*first);
  return out;
}

}  // namespace kinetics
