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

/// Adds up how far several recordings are, weighed by their lengths.
class SharedProgress {
 public:
  SharedProgress(const std::vector<Recording>& recordings, const Progress& progress)
      : progress_(progress), fraction_(recordings.size(), 0.0) {
    constexpr double kUsualS = 60.0;
    for (const Recording& r : recordings) weight_.push_back(r.lasts_s.value_or(kUsualS));
  }

  void report(std::size_t which, double fraction) {
    if (!progress_) return;
    const std::scoped_lock lock(mutex_);
    fraction_[which] = std::max(0.0, fraction);
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
        keep_(keep),
        progress_(recordings, progress),
        outcomes_(recordings.size()) {
    for (std::size_t k = 0; k < recordings.size(); ++k) {
      if (static_cast<int>(k) % options.of == options.part - 1) todo_.push_back(k);
    }
  }

  std::vector<Outcome> run() {
    const auto most = static_cast<std::size_t>(std::max(1, options_.jobs));
    const std::size_t workers = std::min(most, todo_.size());
    if (workers <= 1) {
      work();
    } else {
      std::vector<std::thread> threads;
      for (std::size_t k = 0; k < workers; ++k) threads.emplace_back([this] { work(); });
      for (std::thread& t : threads) t.join();
    }
    if (failure_) std::rethrow_exception(failure_);
    return std::move(outcomes_);
  }

 private:
  void work() {
    for (std::size_t k = next_++; k < todo_.size() && !stop_; k = next_++) {
      try {
        outcomes_[todo_[k]] = watch(todo_[k]);
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

  Outcome watch(std::size_t which) {
    const Recording& recording = recordings_[which];
    const Progress progress = [&](double fraction) {
      if (stop_) throw Stopped();
      progress_.report(which, fraction);
    };
    AnalysisOptions options = options_.analysis;
    if (options_.jobs > 1) options.clip.threads = 1;
    Outcome out;
    try {
      if (recording.is_log) {
        out.log = std::make_shared<const Session>(analyse_log(recording.path, options, progress));
      } else {
        out.seen = see_recording(recording, options, keep_, progress);
      }
    } catch (const Error& error) {
      const bool of_this_file =
          error.code() == ErrorCode::kUnreadable || error.code() == ErrorCode::kNothingToTrack;
      if (!of_this_file) throw;
      out.refused = error;
    }
    progress_.report(which, 1.0);
    return out;
  }

  const std::vector<Recording>& recordings_;
  const DayOptions& options_;
  const std::string& keep_;
  SharedProgress progress_;
  std::vector<Outcome> outcomes_;
  std::vector<std::size_t> todo_;
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
