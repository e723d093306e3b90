#include "tools/workbench/jobs.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <filesystem>
#include <string_view>
#include <system_error>
#include <utility>

#include <sys/resource.h>
#include <unistd.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/logbook/whole_file.h"
#include "tools/workbench/pairing.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

struct StateWord {
  JobState state;
  std::string_view word;
};
constexpr std::array kStates{StateWord{JobState::kWaiting, "waiting"},
                             StateWord{JobState::kRunning, "running"},
                             StateWord{JobState::kDone, "done"},
                             StateWord{JobState::kFailed, "failed"},
                             StateWord{JobState::kCancelled, "cancelled"}};

std::string_view word_of(JobState state) {
  for (const StateWord& one : kStates) {
    if (one.state == state) return one.word;
  }
  return "failed";
}

bool ended(JobState state) {
  return state != JobState::kWaiting && state != JobState::kRunning;
}

Json or_null(const std::string& text) {
  return text.empty() ? Json(nullptr) : Json(text);
}

/// All that a later server needs.
Json to_disk(const Job& job) {
  const JobRequest& r = job.request;
  return {{"id", job.id},
          {"state", word_of(job.state)},
          {"made_at", job.made_at},
          {"analysed_at", job.analysed_at},
          {"session", job.session},
          {"error", job.error},
          {"kind", r.kind},
          {"title", r.title},
          {"clip", r.clip},
          {"log", r.log},
          {"recordings", to_json(r.recordings)},
          {"sheet", r.sheet},
          {"tries", job.tries},
          {"set", r.set},
          {"options", r.options},
          {"day", r.day},
          {"corrects", r.corrects},
          {"words", r.words}};
}

std::optional<Job> from_disk(const Json& j) {
  Job job;
  try {
    job.id = needed<std::string>(j, "id");
    const auto state = needed<std::string>(j, "state");
    for (const StateWord& one : kStates) {
      if (one.word == state) job.state = one.state;
    }
    job.made_at = needed<std::string>(j, "made_at");
    job.analysed_at = needed<std::string>(j, "analysed_at");
    job.session = needed<std::string>(j, "session");
    job.error = j.at("error");
    job.tries = value_or<int>(j, "tries", 0);
    job.request = {.kind = needed<std::string>(j, "kind"),
                   .title = needed<std::string>(j, "title"),
                   .clip = needed<std::string>(j, "clip"),
                   .log = needed<std::string>(j, "log"),
                   .recordings = recordings_in(j),
                   .sheet = value_or<std::string>(j, "sheet", ""),
                   .set = j.at("set"),
                   .options = j.at("options"),
                   .day = needed<std::string>(j, "day"),
                   .corrects = needed<std::string>(j, "corrects"),
                   .words = needed<std::string>(j, "words")};
  } catch (const std::exception&) {
    return std::nullopt;  // no job of ours
  }
  return job;
}

/// A recording that kills the program would kill every server that begins it anew.
constexpr int kMostTries = 2;

Json died_twice(const JobRequest& request) {
  return error_json(
      Refusal(500,
              "crashed",
              request.title,
              "the workbench ended unexpectedly twice while this was worked on, so it was not "
              "begun a third time",
              request.kind == "day"
                  ? "Try again: what was seen goes on. If it ends again, this recording cannot be "
                    "measured: export it anew from the phone, or cut it in two"
                  : "Try again. If it ends again, this file cannot be measured: export it anew "
                    "from the phone"));
}

/// Reads that the coach waits for go before the analysis: the system gives this thread, and those
/// it starts, what is left over.
void step_back() {
  constexpr int kNice = 10;
  (void)::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), kNice);
}

}  // namespace

Json to_json(const std::vector<DayRecording>& recordings) {
  Json out = Json::array();
  for (const DayRecording& r : recordings) out.push_back({{"name", r.name}, {"camera", r.camera}});
  return out;
}

std::vector<DayRecording> recordings_in(const Json& body) {
  std::vector<DayRecording> out;
  const auto found = body.find("recordings");
  if (found == body.end() || found->is_null()) return out;
  if (!found->is_array()) refuse_key("recordings", "it is no list");
  for (const Json& one : *found) {
    if (!one.is_object()) refuse_key("recordings", "it holds something else than recordings");
    out.push_back(
        {.name = needed<std::string>(one, "name"), .camera = value_or<int>(one, "camera", 1)});
  }
  return out;
}

Json to_json(const Job& job) {
  return {{"id", job.id},
          {"state", word_of(job.state)},
          {"kind", job.request.kind},
          {"title", job.request.title},
          {"clip", or_null(job.request.clip)},
          {"log", or_null(job.request.log)},
          {"recordings", to_json(job.request.recordings)},
          {"sheet", or_null(job.request.sheet)},
          {"made_at", job.made_at},
          {"step", job.step},
          {"fraction", job.fraction ? Json(*job.fraction) : Json(nullptr)},
          {"seconds_left", job.seconds_left ? Json(*job.seconds_left) : Json(nullptr)},
          {"session", or_null(job.session)},
          {"error", job.error}};
}

Jobs::Jobs(const Folder& folder, EventHub& events, JobWork work, int at_once)
    : folder_(folder), events_(events), work_(std::move(work)) {
  read_left_over();
  for (int i = 0; i < at_once; ++i) workers_.emplace_back([this] { work_on_jobs(); });
}

Jobs::~Jobs() {
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
    for (const EntryPtr& entry : entries_) entry->stop = true;
  }
  changed_.notify_all();
  for (std::thread& worker : workers_) worker.join();
}

void Jobs::read_left_over() {
  std::error_code failed;
  for (const auto& file : fs::directory_iterator(folder_.jobs(), failed)) {
    if (file.path().extension() != ".json") continue;
    const Json words = Json::parse(text_in(file.path()), nullptr, false);
    std::optional<Job> job = words.is_object() ? from_disk(words) : std::nullopt;
    if (!job || job->id != file.path().stem().string()) continue;
    auto entry = std::make_shared<Entry>();
    if (!ended(job->state)) job->state = JobState::kWaiting;
    if (!ended(job->state) && job->tries >= kMostTries) {
      job->state = JobState::kFailed;
      job->error = died_twice(job->request);
    }
    entry->job = std::move(*job);
    entries_.push_back(std::move(entry));
  }
  std::sort(entries_.begin(), entries_.end(), [](const EntryPtr& a, const EntryPtr& b) {
    return std::pair(a->job.made_at, a->job.id) < std::pair(b->job.made_at, b->job.id);
  });
}

void Jobs::save(const Job& job) const {
  (void)write_whole_file(
      folder_.jobs() / (job.id + ".json"), text_of(to_disk(job)), IfPresent::kReplace);
}

Jobs::EntryPtr Jobs::find(const std::string& id) const {
  for (const EntryPtr& entry : entries_) {
    if (entry->job.id == id) return entry;
  }
  throw not_found("job " + id, "there is no such job");
}

Job Jobs::add(JobRequest request) {
  auto entry = std::make_shared<Entry>();
  entry->job.id = random_hex(8);
  entry->job.request = std::move(request);
  entry->job.made_at = now_in_iso();
  save(entry->job);
  Job job = entry->job;
  {
    const std::lock_guard lock(mutex_);
    entries_.push_back(std::move(entry));
    tell(job);
  }
  changed_.notify_one();
  return job;
}

std::vector<Job> Jobs::list() const {
  const std::lock_guard lock(mutex_);
  std::vector<Job> out;
  out.reserve(entries_.size());
  for (auto at = entries_.rbegin(); at != entries_.rend(); ++at) out.push_back((*at)->job);
  return out;
}

std::string Jobs::greeting() const {
  Json all = Json::array();
  for (const Job& job : list()) all.push_back(to_json(job));
  return event_text("jobs", text_of({{"jobs", std::move(all)}}));
}

Job Jobs::get(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  return find(id)->job;
}

Job Jobs::cancel(const std::string& id) {
  const std::lock_guard lock(mutex_);
  const EntryPtr entry = find(id);
  entry->stop = true;
  if (entry->job.state == JobState::kWaiting) {
    entry->job.state = JobState::kCancelled;
    save(entry->job);
    tell(entry->job);
  }
  return entry->job;
}

Job Jobs::retry(const std::string& id) {
  JobRequest request;
  {
    const std::lock_guard lock(mutex_);
    const EntryPtr entry = find(id);
    if (entry->job.state != JobState::kFailed && entry->job.state != JobState::kCancelled) {
      throw Refusal(409,
                    "conflict",
                    entry->job.request.title,
                    "only what failed or was cancelled can be tried again",
                    "Wait until it has ended");
    }
    request = entry->job.request;
  }
  Job again = add(std::move(request));
  remove(id);
  return again;
}

void Jobs::remove(const std::string& id) {
  const std::lock_guard lock(mutex_);
  const EntryPtr entry = find(id);
  if (!ended(entry->job.state)) {
    throw Refusal(409, "conflict", entry->job.request.title, "it has not ended", "Cancel it first");
  }
  std::error_code failed;
  fs::remove(folder_.jobs() / (id + ".json"), failed);
  std::erase(entries_, entry);
  events_.tell("job_gone", text_of({{"id", id}}));
}

void Jobs::work_on_jobs() {
  step_back();
  for (;;) {
    EntryPtr next;
    {
      std::unique_lock lock(mutex_);
      const auto waiting = [](const EntryPtr& entry) {
        return entry->job.state == JobState::kWaiting;
      };
      changed_.wait(
          lock, [&] { return ending_ || std::any_of(entries_.begin(), entries_.end(), waiting); });
      if (ending_) return;
      next = *std::find_if(entries_.begin(), entries_.end(), waiting);
      begin(*next);
    }
    run(next);
  }
}

void Jobs::begin(Entry& entry) {
  entry.job.state = JobState::kRunning;
  entry.begun = Clock::now();
  ++entry.job.tries;
  try {
    save(entry.job);
  } catch (const kinetics::Error&) {
    // The disk is full; the work itself will say so.
  }
  tell(entry.job);
}

void Jobs::run(const EntryPtr& entry) {
  const auto stop_if_told = [&] {
    if (entry->stop) throw JobStopped();
  };
  JobTalk talk;
  talk.step = [&](const std::string& step) {
    stop_if_told();
    const std::lock_guard lock(mutex_);
    entry->job.step = step;
    entry->job.fraction.reset();
    entry->job.seconds_left.reset();
    entry->begun = Clock::now();
    entry->first_fraction.reset();
    tell(entry->job);
  };
  talk.progress = [&](double fraction) {
    stop_if_told();
    show_progress(*entry, fraction);
  };
  talk.storing = [&](const std::string& analysed_at) {
    stop_if_told();
    const std::lock_guard lock(mutex_);
    entry->job.analysed_at = analysed_at;
    save(entry->job);
  };
  Job job;
  {
    const std::lock_guard lock(mutex_);
    job = entry->job;
  }
  try {
    const std::optional<std::string> stored =
        job.analysed_at.empty() ? std::nullopt : work_.stored_already(job);
    end(entry, JobState::kDone, stored ? *stored : work_.run(job.request, talk), nullptr);
  } catch (const JobStopped&) {
    const std::lock_guard lock(mutex_);
    if (ending_) return leave_to_next(*entry);
    entry->job.state = JobState::kCancelled;
    save(entry->job);
    tell(entry->job);
  } catch (...) {
    httplib::Response words;
    reply_error(words, std::current_exception());
    end(entry, JobState::kFailed, "", Json::parse(words.body)["error"]);
  }
}

void Jobs::leave_to_next(Entry& entry) {
  entry.job.state = JobState::kWaiting;
  --entry.job.tries;  // this end was in order
  try {
    save(entry.job);
  } catch (const kinetics::Error&) {
    // The next one counts it as a try that failed.
  }
}

void Jobs::end(const EntryPtr& entry, JobState state, const std::string& session, Json error) {
  {
    const std::lock_guard lock(mutex_);
    entry->job.state = state;
    entry->job.session = session;
    entry->job.error = std::move(error);
    entry->job.fraction = state == JobState::kDone ? std::optional(1.0) : std::nullopt;
    entry->job.seconds_left.reset();
    try {
      save(entry->job);
    } catch (const kinetics::Error&) {
      // The disk is full. The page is told all the same; a later server would try again.
    }
    tell(entry->job);
  }
  if (state == JobState::kDone) events_.tell("sessions", "{}");
}

void Jobs::show_progress(Entry& entry, double fraction) {
  constexpr std::chrono::milliseconds kBetween{250};
  constexpr double kEnoughToGuess = 0.03;
  const auto now = Clock::now();
  const std::lock_guard lock(mutex_);
  if (now - entry.told < kBetween) return;
  entry.told = now;
  entry.job.fraction.reset();
  entry.job.seconds_left.reset();
  if (fraction >= 0.0) {
    entry.job.fraction = std::min(fraction, 1.0);
    const double elapsed_s = std::chrono::duration<double>(now - entry.begun).count();
    if (!entry.first_fraction) entry.first_fraction = fraction;
    const double done = fraction - *entry.first_fraction;
    if (done > kEnoughToGuess) {
      entry.job.seconds_left = std::max(0.0, elapsed_s * (1.0 - fraction) / done);
    }
  }
  tell(entry.job);
}

}  // namespace kinetics::workbench
