// On a terminal the program shows its progress and wipes it; stopped by Ctrl-C it leaves nothing.
// The terminal is a pseudo-terminal of the system's own.
#include <csignal>
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fcntl.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/tools/disc_clip.h"
#include "tests/tools/run_kinetics.h"

using Catch::Contains;
using kinetics_test::Folder;
using namespace kinetics_test;

namespace {

struct TerminalOutcome {
  int wait_status = 0;
  std::string shown;  ///< everything written to the terminal
};

/// Runs the program with its stderr on a terminal of 80 columns and its stdout in a file. As soon
/// as it shows `interrupt_at`, sends it `signal`; an empty text never matches.
TerminalOutcome run_on_terminal(const Folder& folder,
                                const std::vector<std::string>& arguments,
                                const std::string& interrupt_at = "",
                                int signal = SIGINT) {
  winsize size{};
  size.ws_col = 80;
  size.ws_row = 24;
  int terminal = -1;
  const pid_t child = ::forkpty(&terminal, nullptr, nullptr, &size);
  if (child == 0) {
    if (::chdir(folder.path().c_str()) != 0) ::_exit(99);
    const int out = ::open(".out", O_WRONLY | O_CREAT | O_TRUNC, 0600);
    ::dup2(out, STDOUT_FILENO);
    ::setenv("TERM", "xterm", 1);
    std::vector<std::string> words{kinetics_program()};
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    argv.reserve(words.size() + 1);
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    ::execv(argv[0], argv.data());
    ::_exit(99);
  }
  TerminalOutcome outcome;
  char block[4096];
  bool sent = interrupt_at.empty();
  // Reading fails with EIO once the child has closed its side.
  for (ssize_t n; (n = ::read(terminal, block, sizeof block)) > 0;) {
    outcome.shown.append(block, static_cast<std::size_t>(n));
    if (!sent && outcome.shown.find(interrupt_at) != std::string::npos) {
      ::kill(child, signal);
      sent = true;
    }
  }
  ::close(terminal);
  ::waitpid(child, &outcome.wait_status, 0);
  return outcome;
}

/// Long enough that the progress is drawn several times and there is time to stop it.
const std::string& long_clip() {
  static const Folder folder;
  static const std::string path = [] {
    std::string made = folder / "long.mp4";
    kinetics_test::ffmpeg("-stream_loop 4 -i " + shared_disc_clip() + " -c copy " + made);
    return made;
  }();
  return path;
}

}  // namespace

TEST_CASE("on a terminal the progress is drawn with the time left, then wiped", "[tools]") {
  const Folder folder;
  const TerminalOutcome outcome = run_on_terminal(folder, {"analyse", long_clip()});
  CAPTURE(outcome.shown);
  CHECK(WIFEXITED(outcome.wait_status));
  CHECK(WEXITSTATUS(outcome.wait_status) == 0);
  CHECK_THAT(outcome.shown, Contains("\rFollowing the bar [") && Contains(" %"));
  CHECK_THAT(outcome.shown, Catch::EndsWith("\r\033[K"));
}

TEST_CASE("stopped while it works, it says so in a line and leaves nothing", "[tools]") {
  const Folder folder;
  const int signal = GENERATE(SIGINT, SIGTERM, SIGHUP);
  const TerminalOutcome outcome = run_on_terminal(
      folder,
      {"analyse", long_clip(), "--csv", "a.csv", "--overlay", "a.mp4", "--logbook", "log"},
      "Following the bar",
      signal);
  CAPTURE(outcome.shown, signal);
  CHECK(WIFEXITED(outcome.wait_status));
  CHECK(WEXITSTATUS(outcome.wait_status) == 1);
  CHECK_THAT(outcome.shown, Contains("kinetics: stopped before the end; nothing was written."));
  CHECK(files_in(folder).empty());
  CHECK_FALSE(std::filesystem::exists(folder / "log"));
}

TEST_CASE("stopped while it draws the overlay, it leaves nothing either", "[tools]") {
  const Folder folder;
  const TerminalOutcome outcome = run_on_terminal(
      folder,
      {"analyse", long_clip(), "--csv", "a.csv", "--overlay", "a.mp4", "--logbook", "log"},
      "Drawing the overlay");
  CAPTURE(outcome.shown);
  CHECK(WIFEXITED(outcome.wait_status));
  CHECK(WEXITSTATUS(outcome.wait_status) == 1);
  CHECK(files_in(folder).empty());
}
