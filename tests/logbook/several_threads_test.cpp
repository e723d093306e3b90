// Sessions that are stored and read at the same time stay apart. The truth is what was stored: each
// session bears the number of its seed and has as many frames as no other.
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <string>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"

using namespace kinetics;

namespace {

constexpr std::size_t kThreads = 4;
constexpr int kRounds = 25;

Session session_of(std::size_t thread) {
  Session session =
      kinetics_test::random_session(static_cast<std::uint32_t>(100 + thread), 100 + thread, 4);
  session.provenance.source_name = "set_" + std::to_string(thread) + ".mp4";
  return session;
}

bool same(const Session& a, const Session& b) {
  return a.provenance.source_name == b.provenance.source_name &&
         a.motion.samples.size() == b.motion.samples.size() &&
         a.motion.samples.back().height_m == b.motion.samples.back().height_m &&
         a.reps.front().start_s == b.reps.front().start_s;
}

/// Runs the work on threads of its own; gives how often it said no.
template <typename Work>
int refusals(const Work& work) {
  std::atomic<int> count{0};
  std::vector<std::thread> threads;
  for (std::size_t i = 0; i < kThreads; ++i) {
    threads.emplace_back([&, i] {
      for (int round = 0; round < kRounds; ++round) count += work(i) ? 0 : 1;
    });
  }
  for (std::thread& thread : threads) thread.join();
  return count;
}

}  // namespace

TEST_CASE("sessions read at the same time are each their own", "[logbook]") {
  const kinetics_test::Folder folder;
  std::vector<Session> stored;
  std::vector<std::string> paths;
  for (std::size_t i = 0; i < kThreads; ++i) {
    stored.push_back(session_of(i));
    paths.push_back(store_session(stored.back(), folder.path()));
  }
  CHECK(refusals([&](std::size_t i) { return same(load_session(paths[i]), stored[i]); }) == 0);
}

TEST_CASE("sessions stored at the same time are each their own", "[logbook]") {
  const kinetics_test::Folder folder;
  const int wrong = refusals([&](std::size_t i) {
    const Session session = session_of(i);
    return same(load_session(store_session(session, folder.path())), session);
  });
  CHECK(wrong == 0);
}
