// The program itself, killed in the middle of an analysis.
#include <array>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <functional>
#include <string>
#include <thread>

#include <catch2/catch.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/json.h"
#include "tests/workbench/bench_client.h"

using kinetics_test::Answer;
using kinetics_test::Client;
using kinetics_test::ended;
using kinetics_test::sample;
using kinetics_test::TemporaryFolder;
using kinetics_test::upload;
namespace fs = std::filesystem;

namespace {

/// `kinetics serve` as a process of its own.
class Server {
 public:
  explicit Server(const fs::path& logbook) {
    std::array<int, 2> out{};
    REQUIRE(::pipe(out.data()) == 0);
    process_ = ::fork();
    if (process_ == 0) {
      ::dup2(out[1], STDOUT_FILENO);
      ::close(out[0]);
      const std::string program = std::string(KINETICS_BIN_DIR) + "/kinetics";
      ::execl(program.c_str(),
              "kinetics",
              "serve",
              "--logbook",
              logbook.c_str(),
              "--port",
              "0",
              nullptr);
      ::_exit(127);
    }
    ::close(out[1]);
    std::string said;
    std::array<char, 256> piece{};
    while (said.find("Ctrl-C") == std::string::npos) {
      const ssize_t n = ::read(out[0], piece.data(), piece.size());
      REQUIRE(n > 0);
      said.append(piece.data(), static_cast<std::size_t>(n));
    }
    ::close(out[0]);
    port_ = std::stoi(said.substr(said.find("127.0.0.1:") + 10));
  }
  ~Server() {
    if (process_ > 0) (void)end(SIGKILL);
  }
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  [[nodiscard]] int port() const { return port_; }

  /// The way it ended.
  int end(int signal) {
    ::kill(process_, signal);
    int status = 0;
    ::waitpid(process_, &status, 0);
    process_ = -1;
    return status;
  }

 private:
  pid_t process_ = -1;
  int port_ = 0;
};

void wait_until(const std::function<bool()>& come) {
  const auto latest = std::chrono::steady_clock::now() + std::chrono::minutes(2);
  while (!come()) {
    REQUIRE(std::chrono::steady_clock::now() < latest);
    std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
}

std::size_t sessions_in(const fs::path& logbook) {
  std::size_t count = 0;
  for (const auto& file : fs::directory_iterator(logbook)) {
    if (file.path().extension() == ".h5") ++count;
  }
  return count;
}

}  // namespace

TEST_CASE("a server killed in the middle of an analysis makes it again, once",
          "[workbench][kill]") {
  const TemporaryFolder folder;
  const fs::path logbook = folder.path() / "logbook";
  std::string job;
  {
    Server server(logbook);
    Client client(server.port());
    upload(client, sample("clips/northgate_deadlift.mp4"));
    job = client.post("/api/jobs", {{"clip", "northgate_deadlift.mp4"}}).json["id"];
    wait_until([&] {
      const nlohmann::json now = client.get("/api/jobs/" + job).json;
      REQUIRE((now["state"] == "waiting" || now["state"] == "running"));
      return now["fraction"].is_number() && now["fraction"] > 0.05;
    });
    CHECK(WIFSIGNALED(server.end(SIGKILL)));
  }
  CHECK(sessions_in(logbook) == 0);
  Server server(logbook);
  Client client(server.port());
  const nlohmann::json end = ended(client, job);
  CHECK(end["state"] == "done");
  CHECK(sessions_in(logbook) == 1);
  const std::string id = end["session"];
  const auto session = kinetics::load_session((logbook / (id + ".h5")).string());
  CHECK(client.get("/api/sessions/" + id).text == kinetics::to_json(session));

  // Told to end, it ends by itself and in order.
  const int status = server.end(SIGTERM);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("a recording at which the server died twice is not begun a third time, and said so",
          "[workbench][kill]") {
  const TemporaryFolder folder;
  const fs::path logbook = folder.path() / "logbook";
  std::string job;
  for (int death = 0; death < 2; ++death) {
    Server server(logbook);
    Client client(server.port());
    if (death == 0) {
      upload(client, sample("clips/northgate_deadlift.mp4"));
      job = client.post("/api/jobs", {{"clip", "northgate_deadlift.mp4"}}).json["id"];
    }
    wait_until([&] { return client.get("/api/jobs/" + job).json["state"] == "running"; });
    CHECK(WIFSIGNALED(server.end(SIGKILL)));
  }
  Server server(logbook);
  Client client(server.port());
  const nlohmann::json dead = client.get("/api/jobs/" + job).json;
  CHECK(dead["state"] == "failed");
  CHECK(dead["error"]["code"] == "crashed");
  const nlohmann::json again = client.post("/api/jobs/" + job + "/retry").json;
  CHECK(ended(client, again["id"])["state"] == "done");
}
