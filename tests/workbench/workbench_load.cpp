// Times of table reads by many readers at once while an analysis runs:
//   workbench_load [READERS [SECONDS]]
// Prints the median, the 95th percentile and the worst of every kind of read.
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdlib>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>

#include "tests/workbench/bench_client.h"

using namespace kinetics_test;
using Clock = std::chrono::steady_clock;

namespace {

std::mutex mutex;
std::map<std::string, std::vector<double>> times_ms;

void read_until(Clock::time_point end, int port, const std::vector<std::string>& paths) {
  httplib::Client client("127.0.0.1", port);
  client.set_keep_alive(true);
  client.set_read_timeout(60);
  std::map<std::string, std::vector<double>> mine;
  for (std::size_t i = 0; Clock::now() < end; ++i) {
    const std::string& path = paths[i % paths.size()];
    const auto begun = Clock::now();
    const auto answer = client.Get(path);
    const std::chrono::duration<double, std::milli> took = Clock::now() - begun;
    if (!answer || answer->status != 200) {
      fmt::print(stderr, "{}: no answer\n", path);
      std::exit(1);
    }
    mine[path.substr(path.rfind('/'))].push_back(took.count());
    std::this_thread::sleep_for(std::chrono::milliseconds(200));  // a person looks at it
  }
  const std::lock_guard lock(mutex);
  for (auto& [name, list] : mine) {
    times_ms[name].insert(times_ms[name].end(), list.begin(), list.end());
  }
}

}  // namespace

int main(int argc, char** argv) {
  const int readers = argc > 1 ? std::atoi(argv[1]) : 50;
  const int seconds = argc > 2 ? std::atoi(argv[2]) : 20;
  const TemporaryFolder folder;
  const kinetics::workbench::Workbench bench(options_in(folder));
  Client client(bench.port());
  for (const char* clip : {"northgate_deadlift.mp4", "northgate_box_squat.mp4"}) {
    upload(client, sample("clips") / clip);
  }
  const auto job = client.post("/api/jobs", {{"clip", "northgate_deadlift.mp4"}});
  const std::string id = ended(client, job.json["id"])["session"];
  const std::vector<std::string> paths{
      "/api/sessions", "/api/sessions/" + id + "/about", "/api/sessions/" + id + "?samples=400"};
  std::atomic<bool> stop{false};
  std::atomic<int> analyses{0};
  std::thread analysing([&] {
    while (!stop) {
      const auto begun = client.post("/api/jobs", {{"clip", "northgate_box_squat.mp4"}});
      (void)ended(client, begun.json["id"]);
      ++analyses;
    }
  });
  const auto end = Clock::now() + std::chrono::seconds(seconds);
  std::vector<std::thread> threads;
  for (int i = 0; i < readers; ++i) {
    threads.emplace_back([&] { read_until(end, bench.port(), paths); });
  }
  for (std::thread& thread : threads) thread.join();
  stop = true;
  analysing.join();
  fmt::print("{} readers, {} s, {} analyses meanwhile\n", readers, seconds, analyses.load());
  for (auto& [name, list] : times_ms) {
    std::sort(list.begin(), list.end());
    const auto at = [&](double share) {
      return list[static_cast<std::size_t>(share * static_cast<double>(list.size() - 1))];
    };
    fmt::print("{:24} {:6} reads, median {:6.1f} ms, p95 {:6.1f} ms, worst {:6.1f} ms\n",
               name.size() > 24 ? "/" + name.substr(name.size() - 12) : name,
               list.size(),
               at(0.5),
               at(0.95),
               list.back());
  }
}
