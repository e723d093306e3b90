// Who is let in. What is true here is what the Fetch standard (fetch.spec.whatwg.org) has browsers
// send: Host always, Origin with every request of a foreign page that is no plain GET, and no
// header of one's own across sites without asking first.
#include "tools/workbench/guard.h"

#include <string>

#include <catch2/catch.hpp>

#include "tests/workbench/bench_client.h"
#include "tools/workbench/pairing.h"
#include "tools/workbench/reply.h"

using kinetics::workbench::Guard;
using kinetics::workbench::Pairing;
using kinetics::workbench::Refusal;
using kinetics::workbench::Workbench;
using kinetics_test::Answer;
using kinetics_test::Client;
using kinetics_test::options_in;
using kinetics_test::raw_exchange;
using kinetics_test::TemporaryFolder;

namespace {

int status_for(const Guard& guard, const httplib::Request& request) {
  try {
    guard.check(request);
    return 200;
  } catch (const Refusal& refusal) {
    return refusal.status;
  }
}

httplib::Request request_from(const std::string& address, const std::string& path) {
  httplib::Request request;
  request.method = "GET";
  request.path = path;
  request.remote_addr = address;
  request.set_header("Host", "192.0.2.7:8321");
  return request;
}

std::string with_host(const std::string& host) {
  return "GET /api/state HTTP/1.1\r\nHost: " + host + "\r\nConnection: close\r\n\r\n";
}

}  // namespace

TEST_CASE("a name that was pointed at this server is refused", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  const std::string port = std::to_string(bench.port());
  CHECK(raw_exchange(bench.port(), with_host("127.0.0.1:" + port)).find(" 200 ") !=
        std::string::npos);
  CHECK(raw_exchange(bench.port(), with_host("localhost:" + port)).find(" 200 ") !=
        std::string::npos);
  for (const std::string& host : {"rebound.example:" + port,
                                  std::string("127.0.0.1"),
                                  "127.0.0.1:1" + port,
                                  "localhost.example:" + port,
                                  std::string()}) {
    CAPTURE(host);
    CHECK(raw_exchange(bench.port(), with_host(host)).find(" 403 ") != std::string::npos);
  }
  const std::string none = "GET /api/state HTTP/1.1\r\nConnection: close\r\n\r\n";
  CHECK(raw_exchange(bench.port(), none).find(" 200 ") == std::string::npos);
}

TEST_CASE("a page of another site can neither read nor write", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  CHECK(client.get("/api/state", {{"Origin", "http://elsewhere.example"}}).status == 403);
  CHECK(client.get("/api/state", {{"Origin", "null"}}).status == 403);
  CHECK(client.get("/api/state", {{"Sec-Fetch-Site", "cross-site"}}).status == 403);
  CHECK(client.get("/api/state", {{"Sec-Fetch-Site", "same-origin"}}).status == 200);
  CHECK(client.get("/", {{"Sec-Fetch-Site", "cross-site"}}).status == 200);  // a link to us

  const nlohmann::json body = {{"name", "set.mp4"}, {"bytes", 10}};
  CHECK(client.post("/api/uploads", body, {}).status == 403);  // as a form would
  CHECK(
      client
          .post("/api/uploads", body, {{"X-Kinetics", "1"}, {"Origin", "http://elsewhere.example"}})
          .status == 403);
  const std::string own = "http://127.0.0.1:" + std::to_string(bench.port());
  CHECK(client.post("/api/uploads", body, {{"X-Kinetics", "1"}, {"Origin", own}}).status == 201);
}

TEST_CASE("a refused request's body is never taken for a request", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  const std::string host = "127.0.0.1:" + std::to_string(bench.port());
  const std::string inner = "POST /api/sample-day HTTP/1.1\r\nHost: " + host +
                            "\r\nX-Kinetics: 1\r\nContent-Length: 0\r\n\r\n";
  for (const char* const path : {"/api/uploads", "/nowhere", "/api/state"}) {
    CAPTURE(path);
    const std::string answer = raw_exchange(
        bench.port(),
        "POST " + std::string(path) + " HTTP/1.1\r\nHost: " + host +
            "\r\nOrigin: http://elsewhere.example\r\nContent-Type: text/plain\r\nContent-Length: " +
            std::to_string(inner.size()) + "\r\n\r\n" + inner);
    CHECK(answer.find(" 201 ") == std::string::npos);
    CHECK(answer.find("\"jobs\"") == std::string::npos);
  }
  Client client(bench.port());
  CHECK(client.get("/api/jobs").json["jobs"].empty());
}

TEST_CASE("every answer carries the headers that fence a page in", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  for (const char* const path : {"/", "/api/state", "/api/nothing"}) {
    CAPTURE(path);
    const Answer answer = client.get(path);
    const auto header = [&](const char* name) {
      const auto at = answer.headers.find(name);
      return at == answer.headers.end() ? std::string() : at->second;
    };
    CHECK(header("Content-Security-Policy").find("default-src 'self'") == 0);
    CHECK(header("Content-Security-Policy").find("unsafe") == std::string::npos);
    CHECK(header("X-Content-Type-Options") == "nosniff");
    CHECK(header("Access-Control-Allow-Origin").empty());
    CHECK(!header("Cache-Control").empty());
  }
}

TEST_CASE("from another machine nothing is told before pairing", "[workbench][guard]") {
  Pairing pairing;
  const Guard guard(8321, {"192.0.2.7"}, &pairing);
  CHECK(status_for(guard, request_from("192.0.2.40", "/api/state")) == 401);
  CHECK(status_for(guard, request_from("192.0.2.40", "/api/pairing")) == 401);
  CHECK(status_for(guard, request_from("192.0.2.40", "/")) == 200);  // the page asks for the code
  CHECK(status_for(guard, request_from("127.0.0.1", "/api/state")) == 200);

  httplib::Request paired = request_from("192.0.2.40", "/api/state");
  paired.set_header("Cookie",
                    "other=1; kinetics_session=" + pairing.pair(pairing.code(), "192.0.2.40"));
  CHECK(status_for(guard, paired) == 200);
  httplib::Request guessed = request_from("192.0.2.40", "/api/state");
  guessed.set_header("Cookie", "kinetics_session=" + std::string(64, '0'));
  CHECK(status_for(guard, guessed) == 401);
}

namespace {

/// Somebody at an address, who types codes.
struct Typist {
  Pairing& pairing;
  std::string address;

  [[nodiscard]] int types(const std::string& code, Pairing::Clock::time_point now) const {
    try {
      (void)pairing.pair(code, address, now);
      return 204;
    } catch (const Refusal& refusal) {
      return refusal.status;
    }
  }
};

std::string wrong_code(const Pairing& pairing) {
  return pairing.code() == "00000000" ? "00000001" : "00000000";
}

}  // namespace

TEST_CASE("five wrong codes close the door for a minute", "[workbench][guard]") {
  Pairing pairing;
  const auto start = Pairing::Clock::now();
  const std::string wrong = wrong_code(pairing);
  const Typist coach{pairing, "192.0.2.40"};
  CHECK(pairing.code().size() == 8);
  for (int i = 0; i < 5; ++i) CHECK(coach.types(wrong, start) == 403);
  CHECK(coach.types(wrong, start) == 429);
  CHECK(coach.types(pairing.code(), start + std::chrono::seconds(59)) == 429);
  CHECK(coach.types(pairing.code(), start + std::chrono::seconds(61)) == 204);
  for (int i = 0; i < 5; ++i) CHECK(coach.types(wrong, start) == 403);  // counted from the start
}

TEST_CASE("whoever guesses locks himself out, for longer each time, and nobody else",
          "[workbench][guard]") {
  Pairing pairing;
  auto now = Pairing::Clock::now();
  const std::string wrong = wrong_code(pairing);
  const Typist guesser{pairing, "192.0.2.66"};
  const Typist coach{pairing, "192.0.2.40"};
  for (const int minutes : {1, 2, 4, 8, 16, 32, 60, 60}) {
    CAPTURE(minutes);
    for (int i = 0; i < 5; ++i) CHECK(guesser.types(wrong, now) == 403);
    CHECK(guesser.types(pairing.code(), now) == 429);
    CHECK(coach.types(pairing.code(), now) == 204);
    CHECK(guesser.types(wrong, now + std::chrono::minutes(minutes) - std::chrono::seconds(1)) ==
          429);
    now += std::chrono::minutes(minutes) + std::chrono::seconds(1);
  }
  // A network has no ten thousand devices: those beyond share one count. The coach has his own.
  CHECK(coach.types(wrong, now) == 403);
  int refused = 0;
  for (int i = 0; i < 10'000; ++i) {
    const Typist stranger{pairing,
                          "10.0." + std::to_string(i / 250) + "." + std::to_string(i % 250)};
    if (stranger.types(wrong, now) == 429) ++refused;
  }
  CHECK(refused > 5'000);
  CHECK(coach.types(wrong, now) == 403);
}

TEST_CASE("over the network a guesser's lock is told in minutes, and the laptop pairs on",
          "[workbench][guard]") {
  const TemporaryFolder folder;
  auto options = options_in(folder);
  options.lan = true;
  const Workbench bench(options);
  const std::string wrong = bench.pairing_code() == "00000000" ? "00000001" : "00000000";
  Client guesser(bench.port());
  for (int i = 0; i < 5; ++i) CHECK(guesser.post("/api/pair", {{"code", wrong}}).status == 403);
  const Answer locked = guesser.post("/api/pair", {{"code", bench.pairing_code()}});
  CHECK(locked.status == 429);
  CHECK(locked.json["error"]["mend"].get<std::string>().find("Wait 1 minute,") == 0);
  // This machine's own addresses on a network are others to it.
  for (const std::string& address : kinetics::workbench::network_addresses()) {
    CAPTURE(address);
    Client coach(bench.port(), address);
    CHECK(coach.post("/api/pair", {{"code", bench.pairing_code()}}).status == 204);
  }
}

TEST_CASE("a token is good for half a day", "[workbench][guard]") {
  Pairing pairing;
  const auto start = Pairing::Clock::now();
  const std::string token = pairing.pair(pairing.code(), "192.0.2.40", start);
  CHECK(token.size() == 64);
  CHECK(pairing.knows(token, start + std::chrono::hours(11)));
  CHECK(!pairing.knows(token, start + std::chrono::hours(13)));
  CHECK(!pairing.knows("", start));
}

TEST_CASE("pairing over the network gives a cookie that scripts cannot read",
          "[workbench][guard]") {
  const TemporaryFolder folder;
  auto options = options_in(folder);
  options.lan = true;
  const Workbench bench(options);
  Client client(bench.port());
  CHECK(client.post("/api/pair", {{"code", "not digits"}}).status == 403);
  const Answer paired = client.post("/api/pair", {{"code", bench.pairing_code()}});
  CHECK(paired.status == 204);
  const auto cookie = paired.headers.find("Set-Cookie");
  REQUIRE(cookie != paired.headers.end());
  CHECK(cookie->second.find("HttpOnly") != std::string::npos);
  CHECK(cookie->second.find("SameSite=Strict") != std::string::npos);
  const Answer shown = client.get("/api/pairing");
  CHECK(shown.json["link"].get<std::string>().find("#pair=" + bench.pairing_code()) !=
        std::string::npos);
  CHECK(shown.json["svg"].get<std::string>().find("<svg") == 0);
  // Through this machine's own address on a network one is a stranger like any other.
  for (const std::string& address : kinetics::workbench::network_addresses()) {
    CAPTURE(address);
    Client stranger(bench.port(), address);
    CHECK(stranger.get("/api/sessions").status == 401);
    CHECK(stranger.get("/api/pairing").status == 401);
    const std::string token = cookie->second.substr(0, cookie->second.find(';'));
    CHECK(stranger.get("/api/sessions", {{"Cookie", token}}).status == 200);
    CHECK(stranger.get("/api/pairing", {{"Cookie", token}}).status == 403);
  }
}

TEST_CASE("without --lan there is no pairing, and the network sees nothing", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  CHECK(client.post("/api/pair", {{"code", "12345678"}}).status == 404);
  for (const std::string& address : kinetics::workbench::network_addresses()) {
    CAPTURE(address);
    Client stranger(bench.port(), address);
    CHECK_THROWS(stranger.get("/api/state"));
  }
}

TEST_CASE("bytes that are no request are answered or dropped, and others are served on",
          "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  const std::string host = "127.0.0.1:" + std::to_string(bench.port());
  const std::string good = "GET /api/sessions/a%20b?samples=5 HTTP/1.1\r\nHost: " + host +
                           "\r\nCookie: kinetics_session=1; a=b\r\nConnection: close\r\n\r\n";
  std::uint32_t state = 20311;
  const auto dice = [&state](std::size_t sides) {
    state = state * 1664525U + 1013904223U;
    return (state >> 8U) % sides;
  };
  for (int i = 0; i < 300; ++i) {
    std::string bad = good;
    for (std::size_t k = 0; k <= dice(6); ++k) {
      bad[dice(bad.size())] = static_cast<char>(dice(256));
    }
    (void)raw_exchange(bench.port(), bad.substr(0, dice(bad.size()) + 1), 5, 5);
  }
  Client client(bench.port());
  CHECK(client.get("/api/state").status == 200);
}

TEST_CASE("a body that would grow when unpacked is not read", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  const std::string host = "127.0.0.1:" + std::to_string(bench.port());
  const std::string inner = "POST /api/sample-day HTTP/1.1\r\nHost: " + host +
                            "\r\nX-Kinetics: 1\r\nContent-Length: 0\r\n\r\n";
  for (const char* const packed : {"gzip", "br", "deflate"}) {
    CAPTURE(packed);
    const std::string answer = raw_exchange(
        bench.port(),
        "POST /api/jobs HTTP/1.1\r\nHost: " + host + "\r\nContent-Encoding: " + packed +
            "\r\nContent-Length: " + std::to_string(inner.size()) + "\r\n\r\n" + inner);
    CHECK(answer.find("HTTP/1.1 415 ") == 0);
    CHECK(answer.find("HTTP/1.1", 5) == std::string::npos);  // and what it held is no request
  }
  Client client(bench.port());
  CHECK(client.get("/api/jobs").json["jobs"].empty());
}

TEST_CASE("no answer is sent a thousand times over", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::size_t whole = client.get("/api/state").text.size();
  std::string parts = "bytes=0-";
  for (int i = 0; i < 1000; ++i) parts += ",0-";
  const Answer answer = client.get("/api/state", {{"Range", parts}});
  CHECK(answer.status == 200);
  CHECK(answer.text.size() < 2 * whole);
  CHECK(client.get("/api/state", {{"Range", "bytes=5-2"}}).status / 100 != 5);
}

TEST_CASE("deeply nested JSON is refused", "[workbench][guard]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::size_t deep = 500'000;
  const std::string body = R"({"clip":"set.mp4","options":{"slowed_loss":)" +
                           std::string(deep, '[') + std::string(deep, ']') + "}}";
  const std::string host = "127.0.0.1:" + std::to_string(bench.port());
  const std::string answer = raw_exchange(
      bench.port(),
      "POST /api/jobs HTTP/1.1\r\nHost: " + host +
          "\r\nX-Kinetics: 1\r\nContent-Type: application/json\r\nConnection: close\r\n" +
          "Content-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body);
  CHECK(answer.find("HTTP/1.1 400 ") == 0);
  CHECK(answer.find("nested too deeply") != std::string::npos);
  CHECK(client.get("/api/state").status == 200);
}
