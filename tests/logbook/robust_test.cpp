// Nothing stored is lost, whatever is done to the program that writes: killed at any instant
// (SIGKILL), a disk that fills (a small file system where one may be mounted, and a limit on the
// size of files, which a program meets in the same call), or another program writing at the same
// time. After each round every session that was reported stored is read back, and the index is
// asked and agrees with the files.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <map>
#include <random>
#include <string>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/check.h"
#include "libkinetics/logbook/correct.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/import_sets.h"
#include "libkinetics/logbook/make_index.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::lifted_session;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

namespace fs = std::filesystem;

constexpr int kRounds = 100;

/// Every session file with its bytes.
std::map<std::string, std::string> sessions_in(const std::string& logbook) {
  std::map<std::string, std::string> out;
  for (const auto& entry : fs::directory_iterator(logbook)) {
    if (entry.path().extension() == ".h5") {
      out[entry.path().filename()] = slurp(entry.path().string());
    }
  }
  return out;
}

/// Those that were there are there, byte for byte, and all can be read.
void check_nothing_lost(const std::map<std::string, std::string>& before,
                        const std::map<std::string, std::string>& after,
                        const std::string& logbook) {
  for (const auto& [name, bytes] : before) {
    const auto same = after.find(name);
    if (same == after.end() || same->second != bytes) FAIL_CHECK(name + " was lost or changed");
  }
  for (const auto& [name, bytes] : after) {
    if (before.count(name) == 0) CHECK_NOTHROW(load_session_summary(logbook + "/" + name));
  }
}

/// What a busy program does: stores, asks, corrects, and makes the index anew. Every path that was
/// reported stored goes into the pipe.
void work(const std::string& logbook, std::uint32_t seed, int report_to) {
  std::mt19937 random(seed);
  std::string last;
  for (std::uint32_t i = 0;; ++i) {
    switch (random() % 4) {
      case 0:
        (void)read_history(logbook);
        break;
      case 1:
        if (last.empty()) break;
        last = store_correction(load_session(last), last, {{"load", "90 kg", "95 kg"}});
        break;
      case 2:
        (void)make_index_anew(logbook);
        break;
      default:
        last = store_session(lifted_session(1000 * seed + i), logbook);
    }
    const std::string line = last + "\n";
    if (::write(report_to, line.data(), line.size()) < 0) ::_exit(1);
  }
}

struct Worker {
  pid_t process = -1;
  int told = -1;  ///< where its reports are read
};

Worker start(const std::string& logbook, std::uint32_t seed) {
  int ends[2] = {-1, -1};
  REQUIRE(::pipe(ends) == 0);
  const pid_t child = ::fork();
  if (child == 0) {
    ::close(ends[0]);
    try {
      work(logbook, seed, ends[1]);
    } catch (const std::exception& error) {
      const std::string line = std::string("failed: ") + error.what() + "\n";
      (void)!::write(ends[1], line.data(), line.size());
    }
    ::_exit(1);
  }
  ::close(ends[1]);
  return {child, ends[0]};
}

/// Kills the worker and returns the paths that it had reported.
std::vector<std::string> kill_and_read(const Worker& worker) {
  ::kill(worker.process, SIGKILL);
  ::waitpid(worker.process, nullptr, 0);
  std::string text;
  char block[4096];
  for (ssize_t got; (got = ::read(worker.told, block, sizeof block)) > 0;) {
    text.append(block, static_cast<std::size_t>(got));
  }
  ::close(worker.told);
  std::vector<std::string> out;
  for (std::size_t from = 0; from < text.size();) {
    const std::size_t to = text.find('\n', from);
    if (to == std::string::npos) break;  // it was struck while it wrote this line
    if (to > from) out.push_back(text.substr(from, to - from));
    from = to + 1;
  }
  return out;
}

/// By the files alone: the newest of every chain of corrections counts.
std::size_t counting_sets(const std::string& logbook) {
  std::map<std::string, std::size_t> sets;
  std::vector<std::string> superseded;
  for (const auto& entry : fs::directory_iterator(logbook)) {
    if (entry.path().extension() != ".h5") continue;
    const Session session = load_session_summary(entry.path().string());
    sets[entry.path().filename()] = lifted_sets(session).size();
    superseded.push_back(session.provenance.supersedes);
  }
  for (const std::string& name : superseded) sets.erase(name);
  std::size_t out = 0;
  for (const auto& [name, count] : sets) out += count;
  return out;
}

constexpr int kNoDisk = 77;

/// A disk of 1 MB over the folder, seen by this process alone and gone when it ends.
bool mount_small_disk(const std::string& folder) {
  if (::unshare(CLONE_NEWNS) != 0 && ::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
  return ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
         ::mount("tmpfs", folder.c_str(), "tmpfs", 0, "size=1m") == 0;
}

/// Stores until nothing more fits, a hundred times, with some room made in between. Returns 0 when
/// every session that was reported stored could be read each time and the history was whole.
int fill_over_and_over(const std::string& logbook) {
  std::mt19937 random(20261128);
  std::vector<std::string> stored;
  std::uint32_t seed = 0;
  for (int round = 0; round < kRounds; ++round) {
    for (bool fits = true; fits;) {
      try {
        stored.push_back(store_session(lifted_session(seed++), logbook));
      } catch (const Error& error) {
        if (error.code() != ErrorCode::kInternal) return 1;
        fits = false;
      }
    }
    if (sessions_in(logbook).size() != stored.size()) return 2;
    std::size_t sets = 0;
    for (const std::string& path : stored) sets += lifted_sets(load_session_summary(path)).size();
    if (read_history(logbook).sets.size() != sets) return 3;
    if (stored.size() < 3) return 5;
    for (std::size_t i = 1 + random() % 3; i > 0; --i) {
      const auto which = stored.begin() + static_cast<std::ptrdiff_t>(random() % stored.size());
      fs::remove(*which);
      stored.erase(which);
    }
  }
  return 0;
}

}  // namespace

TEST_CASE("a program killed a hundred times while it writes loses nothing", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  std::mt19937 random(20261126);
  std::size_t reported = 0;
  for (int round = 0; round < kRounds; ++round) {
    // The folder stays small, so that a round is short and the strike falls on every kind of work.
    if (round % 10 == 0) fs::remove_all(logbook);
    (void)store_session(lifted_session(static_cast<std::uint32_t>(round)), logbook);
    const auto before = sessions_in(logbook);
    const Worker worker = start(logbook, static_cast<std::uint32_t>(round) + 1);
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 60000));
    const std::vector<std::string> told = kill_and_read(worker);
    const auto after = sessions_in(logbook);
    CAPTURE(round);
    check_nothing_lost(before, after, logbook);
    for (const std::string& path : told) {
      if (after.count(fs::path(path).filename()) == 0) FAIL_CHECK(path + " was reported stored");
    }
    reported += told.size();
    CHECK(read_history(logbook).sets.size() == counting_sets(logbook));
  }
  CHECK(reported > 0);
  // Nothing but left-overs is found wrong, and setting them aside leaves a clean folder.
  const LogbookCheck found = check_logbook(logbook);
  CHECK(found.damaged.empty());
  CHECK_FALSE(found.index_made_anew);
  (void)set_aside(logbook, found);
  CHECK(check_logbook(logbook).leftovers.empty());
}

TEST_CASE("a disk that fills a hundred times loses nothing and says so", "[logbook][bad-input]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  for (std::uint32_t seed = 0; seed < 4; ++seed) {
    (void)store_session(lifted_session(seed), logbook);
  }
  const std::size_t file_bytes = slurp(logbook + "/" + sessions_in(logbook).begin()->first).size();
  std::mt19937 random(20261127);
  int refused = 0;
  for (int round = 0; round < kRounds; ++round) {
    const auto before = sessions_in(logbook);
    const std::size_t sets = counting_sets(logbook);
    if (round % 3 == 0) fs::remove(logbook + "/index.sqlite");
    const rlim_t limit = random() % (2 * file_bytes);
    const pid_t child = ::fork();
    if (child == 0) {
      std::signal(SIGXFSZ, SIG_IGN);
      const rlimit bytes{limit, limit};
      ::setrlimit(RLIMIT_FSIZE, &bytes);
      int status = 0;
      try {
        // Asking must go on without room for an index.
        if (read_history(logbook).sets.size() != sets) status = 3;
        (void)store_session(lifted_session(100 + static_cast<std::uint32_t>(round)), logbook);
      } catch (const Error& error) {
        status = status == 0 && error.code() == ErrorCode::kInternal ? 7 : 4;
      } catch (...) {
        status = 5;
      }
      ::_exit(status);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    CAPTURE(round, limit);
    REQUIRE(WIFEXITED(status));
    CHECK((WEXITSTATUS(status) == 0 || WEXITSTATUS(status) == 7));
    refused += WEXITSTATUS(status) == 7 ? 1 : 0;
    const auto after = sessions_in(logbook);
    check_nothing_lost(before, after, logbook);
    CHECK(after.size() == before.size() + (WEXITSTATUS(status) == 0 ? 1U : 0U));
    CHECK(read_history(logbook).sets.size() == counting_sets(logbook));
    // Small again: what came in leaves, and the next round starts as this one did.
    for (const auto& [name, bytes] : after) {
      if (before.count(name) == 0) fs::remove(logbook + "/" + name);
    }
  }
  CHECK(refused >= kRounds / 4);
  CHECK(refused < kRounds);
}

TEST_CASE("a small disk filled to the brim a hundred times loses nothing", "[logbook][bad-input]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  fs::create_directory(logbook);
  const pid_t child = ::fork();
  if (child == 0) {
    const bool mounted = mount_small_disk(logbook);
    int status = 4;
    try {
      status = mounted ? fill_over_and_over(logbook) : kNoDisk;
    } catch (const std::exception& error) {
      std::fprintf(stderr, "%s\n", error.what());
    }
    ::_exit(status);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  REQUIRE(WIFEXITED(status));
  if (WEXITSTATUS(status) == kNoDisk) {
    WARN("no file system may be mounted here; the limit on the size of files stands for it above");
    return;
  }
  CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("two programs that write at once lose nothing and count alike", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const std::string shared = store_session(lifted_session(77), logbook);
  constexpr int kEach = 12;
  std::vector<pid_t> children;
  for (int writer = 0; writer < 2; ++writer) {
    const pid_t child = ::fork();
    if (child == 0) {
      int status = 0;
      try {
        for (std::uint32_t i = 0; i < kEach; ++i) {
          const std::uint32_t seed = 1000U * static_cast<std::uint32_t>(writer + 1) + i;
          (void)store_session(lifted_session(seed), logbook);
          (void)read_history(logbook);
        }
        // Both correct the same session: one of them is told that the other was first.
        (void)store_correction(load_session(shared), shared, {{"load", "90 kg", "95 kg"}});
      } catch (const Error& error) {
        status = error.code() == ErrorCode::kUsage ? 7 : 4;
      } catch (...) {
        status = 5;
      }
      ::_exit(status);
    }
    children.push_back(child);
  }
  int refused = 0;
  for (const pid_t child : children) {
    int status = 0;
    ::waitpid(child, &status, 0);
    REQUIRE(WIFEXITED(status));
    CHECK((WEXITSTATUS(status) == 0 || WEXITSTATUS(status) == 7));
    refused += WEXITSTATUS(status) == 7 ? 1 : 0;
  }
  CHECK(refused == 1);
  CHECK(sessions_in(logbook).size() == 2U * kEach + 2U);
  CHECK(read_history(logbook).sets.size() == counting_sets(logbook));
  const LogbookCheck found = check_logbook(logbook);
  CHECK(found.damaged.empty());
  CHECK(found.leftovers.empty());
  CHECK_FALSE(found.index_made_anew);
}

TEST_CASE("two imports of one table at once store each set once", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  std::string rows = "date,lifter,lift,load_kg,set,rep,mean_velocity_mps\n";
  for (int set = 1; set <= 10; ++set) {
    rows += "2031-03-07,Odalys Brandt,box squat,92.5," + std::to_string(set) + ",1,0.7\n";
  }
  std::vector<pid_t> children;
  for (int k = 0; k < 2; ++k) {
    const pid_t child = ::fork();
    if (child == 0) {
      int status = 0;
      try {
        (void)import_sets(parse_set_csv(rows, "s.csv"), logbook, nullptr);
      } catch (...) {
        status = 4;
      }
      ::_exit(status);
    }
    children.push_back(child);
  }
  for (const pid_t child : children) {
    int status = 0;
    ::waitpid(child, &status, 0);
    CHECK((WIFEXITED(status) && WEXITSTATUS(status) == 0));
  }
  CHECK(sessions_in(logbook).size() == 10);
}
