// A full disk, a killed process or a clash of names loses nothing stored before and leaves nothing
// partial that a reader could take for a session.
#include <algorithm>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/logbook/whole_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::random_session;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

namespace fs = std::filesystem;

std::vector<fs::path> files_in(const fs::path& folder) {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(folder)) out.push_back(entry.path());
  return out;
}

/// Runs `work` in a child process whose files may not grow past `limit_bytes`, which is how a full
/// disk looks to a program, and returns the child's exit status.
template <typename Work>
int in_child_with_file_limit(rlim_t limit_bytes, Work work) {
  const pid_t child = ::fork();
  if (child == 0) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{limit_bytes, limit_bytes};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    ::_exit(work());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

}  // namespace

TEST_CASE("two sessions of one second get two files", "[logbook]") {
  const Folder folder;
  const std::string first = store_session(random_session(1, 50, 2), folder / "logbook");
  const std::string before = slurp(first);
  const std::string second = store_session(random_session(2, 60, 3), folder / "logbook");
  const std::string third = store_session(random_session(3, 70, 4), folder / "logbook");
  CHECK(first != second);
  CHECK(second != third);
  CHECK(slurp(first) == before);
  CHECK(load_session(second).reps.size() == 3);
  CHECK(load_session(third).reps.size() == 4);
  CHECK(files_in(folder / "logbook").size() == 3);
}

TEST_CASE("a disk that fills leaves the logbook as it was", "[logbook][bad-input]") {
  const Folder folder;
  const Session session = random_session(4, 2000, 5);
  const std::string kept = store_session(session, folder / "logbook");
  const std::string before = slurp(kept);
  const auto limit = GENERATE(0U, 1U, 4096U, 100'000U);
  CAPTURE(limit, before.size());
  REQUIRE(before.size() > limit);
  const int status = in_child_with_file_limit(limit, [&] {
    try {
      (void)store_session(session, folder / "logbook");
    } catch (const Error& e) {
      return e.code() == ErrorCode::kInternal ? 7 : 8;
    }
    return 0;
  });
  CHECK(status == 7);
  CHECK(files_in(folder / "logbook").size() == 1);
  CHECK(slurp(kept) == before);
}

TEST_CASE("a process killed while storing leaves only whole sessions", "[logbook]") {
  const Folder folder;
  fs::create_directory(folder / "logbook");
  const Session session = random_session(4, 2000, 5);
  for (int round = 0; round < 12; ++round) {
    const pid_t child = ::fork();
    if (child == 0) {
      for (;;) (void)store_session(session, folder / "logbook");
    }
    // Let it finish at least one, however slow the machine, then strike at another instant each
    // time.
    const auto stored = [&] {
      const auto files = files_in(folder / "logbook");
      return std::count_if(files.begin(), files.end(), [](const fs::path& file) {
        return file.extension() != ".part";
      });
    };
    const auto before = stored();
    for (int wait = 0; wait < 2000 && stored() == before; ++wait) {
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(3 + 7 * round));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
  }
  int sessions = 0;
  for (const fs::path& file : files_in(folder / "logbook")) {
    CAPTURE(file);
    if (file.extension() == ".part") {
      CHECK(file.filename().string().front() == '.');  // hidden, and no reader looks for it
      continue;
    }
    CHECK(load_session(file.string()).path.points.size() == session.path.points.size());
    ++sessions;
  }
  CHECK(sessions > 0);
  // Left-overs of the killed do not stand in the way of the next.
  CHECK_NOTHROW(load_session(store_session(session, folder / "logbook")));
}

TEST_CASE("a logbook folder that cannot be written is a matter of use", "[logbook][bad-input]") {
  const Folder folder;
  spill(folder / "file", "");
  CHECK_THROWS_AS(check_logbook_writable(folder / "file"), Error);
  CHECK_THROWS_AS(check_logbook_writable(folder / "file" + "/below"), Error);
  CHECK_THROWS_AS(check_logbook_writable("/proc/logbook"), Error);
  CHECK_NOTHROW(check_logbook_writable(folder / "a" + "/b/c"));
  CHECK_FALSE(fs::exists(folder / "a"));  // asking makes nothing
  CHECK(files_in(folder.path()).size() == 1);
}

TEST_CASE("a whole file replaces an old one or keeps it, as told", "[logbook]") {
  const Folder folder;
  const fs::path path = folder / "file";
  CHECK(write_whole_file(path, "first", IfPresent::kKeep));
  CHECK_FALSE(write_whole_file(path, "second", IfPresent::kKeep));
  CHECK(slurp(path.string()) == "first");
  CHECK(write_whole_file(path, "third", IfPresent::kReplace));
  CHECK(slurp(path.string()) == "third");
  CHECK(files_in(folder.path()).size() == 1);
}
