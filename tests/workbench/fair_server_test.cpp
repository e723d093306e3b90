// Whether others are served while some are slow, many or idle. Sockets are opened by hand, as no
// well-behaved client does any of this.
#include "tools/workbench/fair_server.h"

#include <chrono>
#include <string>
#include <thread>
#include <vector>

#include <arpa/inet.h>
#include <catch2/catch.hpp>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include "tests/workbench/bench_client.h"

using kinetics::workbench::FairServer;
using kinetics::workbench::OpenConnections;
using kinetics::workbench::Workbench;
using kinetics_test::Client;
using kinetics_test::options_in;
using kinetics_test::TemporaryFolder;

namespace {

/// Plenty on a machine that does much else.
constexpr int kLong_ms = 60'000;

/// A connection that is held open.
class Held {
 public:
  explicit Held(int port) : socket_(::socket(AF_INET, SOCK_STREAM, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    ::inet_pton(AF_INET, "127.0.0.1", &address.sin_addr);
    REQUIRE(::connect(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0);
  }
  ~Held() { ::close(socket_); }
  Held(const Held&) = delete;
  Held& operator=(const Held&) = delete;

  [[nodiscard]] bool send(const std::string& text) const {
    return ::send(socket_, text.data(), text.size(), MSG_NOSIGNAL) ==
           static_cast<ssize_t>(text.size());
  }
  /// What has come within the time; empty also when the other end hung up.
  [[nodiscard]] std::string heard(int patience_ms) const {
    const timeval patience{patience_ms / 1000, 1000L * (patience_ms % 1000)};
    ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
    std::string text(4096, '\0');
    const ssize_t n = ::recv(socket_, text.data(), text.size(), 0);
    text.resize(n > 0 ? static_cast<std::size_t>(n) : 0);
    return text;
  }

 private:
  int socket_;
};

}  // namespace

TEST_CASE("another machine gets so many connections, and this one all it wants",
          "[workbench][fair]") {
  OpenConnections open(2);
  CHECK(open.came("192.0.2.40"));
  CHECK(open.came("192.0.2.40"));
  CHECK(!open.came("192.0.2.40"));
  CHECK(open.came("192.0.2.41"));
  open.left("192.0.2.40");
  CHECK(open.came("192.0.2.40"));
  for (int i = 0; i < 100; ++i) CHECK(open.came("127.0.0.1"));
}

TEST_CASE("who sends a request byte by byte is hung up on", "[workbench][fair]") {
  FairServer server{std::chrono::seconds(3)};
  server.Get("/", [](const auto&, auto& response) { response.set_content("here", "text/plain"); });
  const int port = server.bind_to_any_port("127.0.0.1");
  std::thread listening([&] { server.listen_after_bind(); });
  const std::string request = "GET / HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n";
  const Held slow(port);
  std::string answer;
  for (std::size_t i = 0; i + 1 < request.size() && answer.empty(); ++i) {
    if (!slow.send(request.substr(i, 1))) break;
    answer = slow.heard(200);  // the whole request would take ten seconds
  }
  CHECK(answer.find(" 200 ") == std::string::npos);
  const Held quick(port);
  CHECK(quick.send(request));
  CHECK(quick.heard(kLong_ms).find(" 200 ") != std::string::npos);
  server.stop();
  listening.join();
}

TEST_CASE("two hundred idle listeners keep no page from hearing or reading", "[workbench][fair]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  const std::string listen =
      "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(bench.port()) + "\r\n\r\n";
  std::vector<std::unique_ptr<Held>> idle;
  for (int i = 0; i < 200; ++i) {
    idle.push_back(std::make_unique<Held>(bench.port()));
    REQUIRE(idle.back()->send(listen));
  }
  const Held page(bench.port());
  REQUIRE(page.send(listen));
  std::string heard;
  while (heard.find("event: jobs") == std::string::npos) {
    const std::string more = page.heard(kLong_ms);
    if (more.empty()) break;
    heard += more;
  }
  CHECK(heard.find("HTTP/1.1 200 ") == 0);
  CHECK(heard.find("event: jobs") != std::string::npos);
  Client client(bench.port());
  CHECK(client.get("/api/state").status == 200);
}
