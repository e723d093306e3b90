#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "tools/workbench/events.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/reply.h"

/// Long work in the background: one after another, each on disk from the moment it is asked for,
/// so that a reload, a crash or a power cut loses none.

namespace kinetics::workbench {

enum class JobState { kWaiting, kRunning, kDone, kFailed, kCancelled };

/// One of several files of a whole day.
struct DayRecording {
  std::string name;  ///< in recordings/
  int camera = 1;
};

/// What is to be done, as the page asked for it.
struct JobRequest {
  std::string kind = "analyse";  ///< or "correct", or "day"
  std::string title;
  std::string clip;  ///< names in recordings/; empty without one
  std::string log;
  std::vector<DayRecording> recordings = {};  ///< instead of clip and log, when they are several
  std::string sheet;                          ///< of a whole day: one row a set
  Json set = nullptr;                         ///< who lifted what, see set_choice.h
  Json options = nullptr;                     ///< see analysis_request.h
  std::string day;       ///< on which it was lifted, ISO 8601; empty when not told
  std::string corrects;  ///< the session that the new one replaces
  std::string words;     ///< of the correction
};

struct Job {
  std::string id;
  JobRequest request;
  JobState state = JobState::kWaiting;
  std::string made_at;      ///< UTC, ISO 8601
  std::string analysed_at;  ///< of the session about to be stored, see JobWork
  std::string step;
  std::optional<double> fraction;
  std::optional<double> seconds_left;
  std::string session;  ///< its id, once done; of a whole day its name
  int tries = 0;        ///< begun and not ended by the server itself: as often it died meanwhile
  Json error = nullptr;
};

[[nodiscard]] Json to_json(const Job& job);

/// [{"name", "camera"}]
[[nodiscard]] Json to_json(const std::vector<DayRecording>& recordings);
/// "recordings" of a request or a stored job; empty without it. Refusal 400 when it is none.
[[nodiscard]] std::vector<DayRecording> recordings_in(const Json& body);

/// Thrown out of a job's progress when the coach cancelled it or the server ends.
struct JobStopped {};

/// How the work speaks of itself. Every call may throw JobStopped.
struct JobTalk {
  std::function<void(const std::string& step)> step;
  std::function<void(double fraction)> progress;
  /// Just before the session is stored: a server that dies right after finds by this that it was.
  std::function<void(const std::string& analysed_at)> storing;
};

struct JobWork {
  /// Does the job and gives the stored session's id.
  std::function<std::string(const JobRequest&, const JobTalk&)> run;
  /// The id of a session stored by an earlier try, if that got so far.
  std::function<std::optional<std::string>(const Job&)> stored_already;
};

class Jobs {
 public:
  /// Takes up what the last server left: waiting and running jobs begin again. One during which a
  /// server died twice has failed: what it reads may be what kills it.
  Jobs(const Folder& folder, EventHub& events, JobWork work, int at_once);
  /// Stops running ones; they begin again with the next server.
  ~Jobs();
  Jobs(const Jobs&) = delete;
  Jobs& operator=(const Jobs&) = delete;

  [[nodiscard]] Job add(JobRequest request);
  [[nodiscard]] std::vector<Job> list() const;  ///< newest first
  [[nodiscard]] Job get(const std::string& id) const;
  Job cancel(const std::string& id);
  Job retry(const std::string& id);
  void remove(const std::string& id);  ///< of the list; only one that ended

  /// The whole list as an event for a page that begins to listen.
  [[nodiscard]] std::string greeting() const;

 private:
  struct Entry {
    Job job;
    std::atomic<bool> stop{false};
    std::chrono::steady_clock::time_point begun{};
    std::chrono::steady_clock::time_point told{};
    std::optional<double> first_fraction{};  ///< of the step: more than 0 when it goes on
  };
  using EntryPtr = std::shared_ptr<Entry>;

  void read_left_over();
  void work_on_jobs();
  void begin(Entry& entry);  ///< under mutex_
  void run(const EntryPtr& entry);
  void leave_to_next(Entry& entry);  ///< under mutex_
  void end(const EntryPtr& entry, JobState state, const std::string& session, Json error);
  void show_progress(Entry& entry, double fraction);
  [[nodiscard]] EntryPtr find(const std::string& id) const;  ///< under mutex_
  void save(const Job& job) const;
  void tell(const Job& job) { events_.tell("job", text_of(to_json(job))); }

  const Folder& folder_;
  EventHub& events_;
  JobWork work_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  std::vector<EntryPtr> entries_;  ///< oldest first
  bool ending_ = false;
  std::vector<std::thread> workers_;
};

}  // namespace kinetics::workbench
