// The queue of long work, with work that is easy to watch in place of an analysis.
#include "tools/workbench/jobs.h"

#include <atomic>
#include <chrono>
#include <fstream>
#include <functional>
#include <optional>
#include <string>
#include <thread>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "tests/workbench/bench_client.h"

using namespace kinetics::workbench;
using kinetics_test::TemporaryFolder;

namespace {

/// Plenty on a machine that does much else; nothing is asserted about time.
constexpr std::chrono::minutes kLongest{2};

Job wait_for(const Jobs& jobs, const std::string& id, JobState state) {
  const auto latest = std::chrono::steady_clock::now() + kLongest;
  while (std::chrono::steady_clock::now() < latest) {
    const Job job = jobs.get(id);
    if (job.state == state) return job;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  FAIL("the job did not come to the state that was waited for");
  return {};
}

/// Works until it is told to stop.
std::string for_ever(const JobRequest&, const JobTalk& talk) {
  for (int i = 0;; ++i) {
    talk.progress(0.1);
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
}

JobWork working(std::function<std::string(const JobRequest&, const JobTalk&)> run) {
  return {.run = std::move(run),
          .stored_already = [](const Job&) { return std::optional<std::string>(); }};
}

JobRequest named(const std::string& title) {
  JobRequest request;
  request.title = request.clip = title;
  return request;
}

}  // namespace

TEST_CASE("a job is done and its session named", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  const auto page = events.listen([] { return "hello"; });
  Jobs jobs(folder,
            events,
            working([](const JobRequest& request, const JobTalk& talk) {
              talk.step("Following the bar");
              talk.progress(0.5);
              talk.storing("2031-03-07T17:05:00Z");
              return "session of " + request.clip;
            }),
            1);
  const std::string id = jobs.add(named("set.mp4")).id;
  CHECK(wait_for(jobs, id, JobState::kDone).session == "session of set.mp4");
  std::string heard;
  while (heard.find("event: sessions") == std::string::npos) {
    const auto piece = page->next(kLongest);
    REQUIRE(piece);
    REQUIRE(!piece->empty());
    heard += *piece;
  }
  CHECK(heard.find("hello") == 0);
  CHECK(heard.find("\"state\":\"waiting\"") < heard.find("\"state\":\"running\""));
  CHECK(heard.find("\"state\":\"running\"") < heard.find("\"state\":\"done\""));
}

TEST_CASE("a running job and a waiting one can be cancelled", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  Jobs jobs(folder, events, working(for_ever), 1);
  const std::string running = jobs.add(named("one.mp4")).id;
  const std::string waiting = jobs.add(named("two.mp4")).id;
  (void)wait_for(jobs, running, JobState::kRunning);
  CHECK(jobs.get(waiting).state == JobState::kWaiting);
  CHECK(jobs.cancel(waiting).state == JobState::kCancelled);
  (void)jobs.cancel(running);
  const Job gone = wait_for(jobs, running, JobState::kCancelled);
  CHECK(gone.session.empty());

  CHECK_THROWS_AS(jobs.retry("0000000000000000"), Refusal);
  const Job again = jobs.retry(running);
  CHECK(again.id != running);
  CHECK_THROWS_AS(jobs.get(running), Refusal);
  (void)wait_for(jobs, again.id, JobState::kRunning);
  CHECK_THROWS_AS(jobs.remove(again.id), Refusal);
}

TEST_CASE("a job that fails tells why and how to mend it", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  Jobs jobs(folder,
            events,
            working([](const JobRequest&, const JobTalk&) -> std::string {
              throw kinetics::Error(kinetics::ErrorCode::kNothingToTrack,
                                    "set.mp4 at 4.20 s",
                                    "no disc was ever in view",
                                    "Film from the side");
            }),
            1);
  const std::string id = jobs.add(named("set.mp4")).id;
  const Job failed = wait_for(jobs, id, JobState::kFailed);
  CHECK(failed.error["code"] == "nothing_to_track");
  CHECK(failed.error["where"] == "set.mp4 at 4.20 s");
  CHECK(failed.error["mend"] == "Film from the side");
  jobs.remove(id);
  CHECK(jobs.list().empty());
}

TEST_CASE("what a server left undone begins again with the next", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  std::string running;
  std::string waiting;
  {
    Jobs jobs(folder, events, working(for_ever), 1);
    JobRequest request = named("one.mp4");
    request.options = {{"disc_diameter_m", 0.4}};
    running = jobs.add(request).id;
    waiting = jobs.add(named("two.mp4")).id;
    (void)wait_for(jobs, running, JobState::kRunning);
  }
  Jobs jobs(folder,
            events,
            working([](const JobRequest& request, const JobTalk&) {
              return request.clip + text_of(request.options);
            }),
            1);
  CHECK(wait_for(jobs, running, JobState::kDone).session == R"(one.mp4{"disc_diameter_m":0.4})");
  CHECK(wait_for(jobs, waiting, JobState::kDone).session == "two.mp4null");
}

TEST_CASE("a session that was stored before a crash is not made twice", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  std::string id;
  {
    // Tells that it stores, and is cut off right after.
    Jobs jobs(folder,
              events,
              working([](const JobRequest& request, const JobTalk& talk) {
                talk.storing("2031-03-07T17:05:00Z");
                return for_ever(request, talk);
              }),
              1);
    id = jobs.add(named("set.mp4")).id;
    const auto latest = std::chrono::steady_clock::now() + kLongest;
    while (jobs.get(id).analysed_at.empty()) {
      REQUIRE(std::chrono::steady_clock::now() < latest);
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
  }
  std::atomic<int> runs{0};
  JobWork work = working([&](const JobRequest&, const JobTalk&) {
    ++runs;
    return std::string("made twice");
  });
  work.stored_already = [](const Job& job) -> std::optional<std::string> {
    return "stored at " + job.analysed_at;
  };
  Jobs jobs(folder, events, work, 1);
  CHECK(wait_for(jobs, id, JobState::kDone).session == "stored at 2031-03-07T17:05:00Z");
  CHECK(runs == 0);
}

TEST_CASE("a job during which the server died twice has failed, and can be tried again",
          "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  const auto as_left_by_a_crash = [&](const std::string& id, int tries) {
    const Json job = {{"id", id},
                      {"state", "running"},
                      {"made_at", "2031-03-07T17:05:00Z"},
                      {"tries", tries},
                      {"analysed_at", ""},
                      {"session", ""},
                      {"error", nullptr},
                      {"kind", "analyse"},
                      {"title", "set.mp4"},
                      {"clip", "set.mp4"},
                      {"log", ""},
                      {"set", nullptr},
                      {"options", nullptr},
                      {"day", ""},
                      {"corrects", ""},
                      {"words", ""}};
    std::ofstream(folder.jobs() / (id + ".json")) << job.dump();
  };
  as_left_by_a_crash("01", 1);
  as_left_by_a_crash("02", 2);
  std::atomic<int> runs{0};
  Jobs jobs(folder,
            events,
            working([&](const JobRequest& request, const JobTalk&) {
              ++runs;
              return "session of " + request.clip;
            }),
            1);
  CHECK(wait_for(jobs, "01", JobState::kDone).session == "session of set.mp4");
  const Job dead = jobs.get("02");
  CHECK(dead.state == JobState::kFailed);
  CHECK(dead.error["code"] == "crashed");
  CHECK(dead.error["mend"].get<std::string>().find("Try again") == 0);
  CHECK(runs == 1);
  const std::string again = jobs.retry("02").id;
  CHECK(wait_for(jobs, again, JobState::kDone).session == "session of set.mp4");
}

TEST_CASE("a server that ends in order is no try that failed", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  EventHub events;
  std::string id;
  for (int server = 0; server < 4; ++server) {
    Jobs jobs(folder, events, working(for_ever), 1);
    if (server == 0) id = jobs.add(named("long.mp4")).id;
    (void)wait_for(jobs, id, JobState::kRunning);
  }
  Jobs jobs(folder, events, working(for_ever), 1);
  (void)wait_for(jobs, id, JobState::kRunning);
}

TEST_CASE("a damaged job file is passed over", "[workbench][jobs]") {
  const TemporaryFolder temporary;
  const Folder folder(temporary.path());
  std::ofstream(folder.jobs() / "0123.json") << "{\"id\":\"0123\",\"state\":";
  std::ofstream(folder.jobs() / "4567.json") << "[1,2]";
  EventHub events;
  Jobs jobs(folder, events, working(for_ever), 1);
  CHECK(jobs.list().empty());
}

TEST_CASE("a page that falls behind is let go and not waited for", "[workbench][jobs]") {
  EventHub events;
  const auto page = events.listen([] { return "hello"; });
  for (int i = 0; i < 5000; ++i) events.tell("job", "{}");
  while (const auto piece = page->next(std::chrono::milliseconds(10))) {
    REQUIRE(!piece->empty());
  }
  events.close();
  CHECK(events.listen([] { return "late"; }) == nullptr);
}

TEST_CASE("what happens while a page is greeted is told to it", "[workbench][jobs]") {
  EventHub events;
  const auto page = events.listen([&] {
    events.tell("job", "{}");
    return "hello";
  });
  CHECK(page->next(kLongest) == "hello");
  CHECK(page->next(kLongest) == "event: job\ndata: {}\n\n");
}
