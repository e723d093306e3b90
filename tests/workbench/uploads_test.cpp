// Files on their way in. The bytes that end up in the logbook are compared with those sent.
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>

#include <catch2/catch.hpp>
#include <sys/resource.h>

#include "tests/workbench/bench_client.h"

using kinetics::workbench::Workbench;
using kinetics_test::Answer;
using kinetics_test::bytes_of;
using kinetics_test::Client;
using kinetics_test::options_in;
using kinetics_test::raw_exchange;
using kinetics_test::TemporaryFolder;
namespace fs = std::filesystem;

namespace {

std::string noise(std::size_t bytes) {
  std::string out(bytes, '\0');
  std::uint32_t state = 7;
  for (char& c : out) {
    state = state * 1664525U + 1013904223U;
    c = static_cast<char>(state >> 24U);
  }
  return out;
}

std::string begin(Client& client, const std::string& name, std::size_t bytes) {
  const Answer begun = client.post("/api/uploads", {{"name", name}, {"bytes", bytes}});
  REQUIRE(begun.status / 100 == 2);
  return begun.json["id"];
}

}  // namespace

TEST_CASE("an upload goes on where it was, also after the server ended", "[workbench][uploads]") {
  const TemporaryFolder folder;
  const std::string clip = noise(3'000'000);
  const std::size_t half = 1'500'000;
  std::string id;
  {
    const Workbench bench(options_in(folder));
    Client client(bench.port());
    id = begin(client, "set one.mp4", clip.size());
    CHECK(
        client.put_bytes("/api/uploads/" + id + "?offset=0", clip.substr(0, half)).json["offset"] ==
        half);
  }
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const Answer again =
      client.post("/api/uploads", {{"name", "set one.mp4"}, {"bytes", clip.size()}});
  CHECK(again.status == 200);
  CHECK(again.json["id"] == id);
  CHECK(again.json["offset"] == half);

  // A piece that was sent already, or one too far on, changes nothing and tells where to go on.
  const Answer wrong = client.put_bytes("/api/uploads/" + id + "?offset=0", clip.substr(0, half));
  CHECK(wrong.status == 409);
  CHECK(wrong.json["offset"] == half);
  CHECK(wrong.json["error"]["code"] == "conflict");

  const Answer last =
      client.put_bytes("/api/uploads/" + id + "?offset=" + std::to_string(half), clip.substr(half));
  CHECK(last.status == 200);
  CHECK(last.json["file"] == "set one.mp4");
  CHECK(bytes_of(folder.path() / "logbook" / "recordings" / "set one.mp4") == clip);
  CHECK(client.get("/api/uploads").json["uploads"].empty());
  CHECK(client.get("/api/files").json["files"][0]["bytes"] == clip.size());
}

TEST_CASE("no upload replaces a file that is there", "[workbench][uploads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::string first = noise(1000);
  const std::string second = noise(1001);
  const std::string a = begin(client, "set.mp4", first.size());
  const std::string b = begin(client, "set.mp4", second.size());
  CHECK(client.put_bytes("/api/uploads/" + a + "?offset=0", first).json["file"] == "set.mp4");
  CHECK(client.put_bytes("/api/uploads/" + b + "?offset=0", second).json["file"] == "set (2).mp4");
  CHECK(bytes_of(folder.path() / "logbook" / "recordings" / "set.mp4") == first);
}

TEST_CASE("what is too large, empty, or neither clip nor log is refused at once",
          "[workbench][uploads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const auto status = [&](const nlohmann::json& body) {
    return client.post("/api/uploads", body).status;
  };
  CHECK(status({{"name", "set.mp4"}, {"bytes", std::int64_t{1} << 50}}) == 413);
  CHECK(status({{"name", "set.mp4"}, {"bytes", 0}}) == 400);
  CHECK(status({{"name", "set.mp4"}, {"bytes", -5}}) == 400);
  CHECK(status({{"name", "set.exe"}, {"bytes", 5}}) == 400);
  CHECK(status({{"name", "set.mp4"}}) == 400);
  CHECK(status({{"name", 5}, {"bytes", 5}}) == 400);
  CHECK(client.post("/api/uploads", nlohmann::json::array()).status == 400);

  const std::string id = begin(client, "set.mp4", 100);
  CHECK(client.put_bytes("/api/uploads/" + id + "?offset=0", std::string(101, 'x')).status == 413);
  CHECK(client.put_bytes("/api/uploads/" + id + "?offset=-1", "x").status == 400);
  CHECK(client.put_bytes("/api/uploads/" + id, "x").status == 400);
  CHECK(client.put_bytes("/api/uploads/0123456789abcdef?offset=0", "x").status == 404);
}

TEST_CASE("a body larger than a piece is refused and not kept", "[workbench][uploads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::string id = begin(client, "set.mp4", 10'000'000);
  const Answer answer =
      client.put_bytes("/api/uploads/" + id + "?offset=0", std::string(5'000'000, 'x'));
  CHECK(answer.status == 413);
  CHECK(answer.json["error"]["code"] == "too_large");
  CHECK(client.get("/api/uploads").json["uploads"][0]["offset"] == 0);
  // One whose length is not told could be of any size.
  const std::string host = "127.0.0.1:" + std::to_string(bench.port());
  const std::string chunked = raw_exchange(
      bench.port(),
      "POST /api/jobs HTTP/1.1\r\nHost: " + host +
          "\r\nX-Kinetics: 1\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nhello\r\n0\r\n\r\n");
  CHECK(chunked.find(" 411 ") != std::string::npos);
}

TEST_CASE("names that lead out of the logbook are refused", "[workbench][uploads]") {
  const TemporaryFolder folder;
  std::ofstream(folder.path() / "secret.csv") << "secret";
  std::ofstream(folder.path() / "secret.h5") << "secret";
  const Workbench bench(options_in(folder));
  fs::create_symlink(folder.path() / "secret.csv", folder.path() / "logbook/sheets/link.csv");
  Client client(bench.port());
  for (const char* const name : {"../secret.mp4",
                                 "..",
                                 ".hidden.mp4",
                                 "a/b.mp4",
                                 "a\\b.mp4",
                                 "/etc/passwd.mp4",
                                 "line\nbreak.mp4",
                                 ""}) {
    CAPTURE(name);
    CHECK(client.post("/api/uploads", {{"name", name}, {"bytes", 5}}).status == 400);
    CHECK(client.post("/api/jobs", {{"clip", std::string(name) + "x"}}).status / 100 == 4);
  }
  for (const char* const path : {"/api/sessions/..%2fsecret",
                                 "/api/sessions/%2e%2e%2fsecret",
                                 "/api/sessions/../secret",
                                 "/api/sheets/..%2f..%2fsecret.csv",
                                 "/api/sheets/link.csv",
                                 "/api/sheets/%00secret.csv",
                                 "/../secret.csv",
                                 "/%2e%2e/secret.csv",
                                 "/..%5csecret.csv",
                                 "//etc/passwd"}) {
    CAPTURE(path);
    const std::string host = "127.0.0.1:" + std::to_string(bench.port());
    const std::string answer =
        raw_exchange(bench.port(),
                     "GET " + std::string(path) + " HTTP/1.1\r\nHost: " + host +
                         "\r\nConnection: close\r\n\r\n");
    CHECK(answer.find("secret\n") == std::string::npos);
    CHECK(answer.find("root:") == std::string::npos);
    CHECK((answer.find("HTTP/1.1 4") == 0 || answer.find("was not built") != std::string::npos ||
           answer.find("<!doctype html") != std::string::npos));
  }
}

TEST_CASE("a disk that fills loses nothing, and the upload goes on later", "[workbench][uploads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::string clip = noise(3'000'000);
  const std::size_t half = 1'000'000;
  const std::string id = begin(client, "set.mp4", clip.size());
  const std::string at = "/api/uploads/" + id + "?offset=";
  REQUIRE(client.put_bytes(at + "0", clip.substr(0, half)).status == 200);

  // The system lets no file of this process grow beyond 1.5 MB: as a full disk does, it refuses
  // the write in its middle.
  rlimit before{};
  ::getrlimit(RLIMIT_FSIZE, &before);
  const rlimit small{1'500'000, before.rlim_max};
  ::setrlimit(RLIMIT_FSIZE, &small);
  const Answer full = client.put_bytes(at + std::to_string(half), clip.substr(half));
  ::setrlimit(RLIMIT_FSIZE, &before);
  CHECK(full.status == 507);
  CHECK(full.json["error"]["code"] == "no_space");
  CHECK(client.get("/api/uploads").json["uploads"][0]["offset"] == half);

  CHECK(client.put_bytes(at + std::to_string(half), clip.substr(half)).json["file"] == "set.mp4");
  CHECK(bytes_of(folder.path() / "logbook" / "recordings" / "set.mp4") == clip);
}

TEST_CASE("a text that the disk has no room for leaves the old one", "[workbench][uploads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const std::string old_text = bytes_of(kinetics_test::sample("club/northgate.toml"));
  const Answer stored = client.put("/api/roster", {{"text", old_text}, {"revision", nullptr}});
  REQUIRE(stored.status == 200);
  const std::string longer = "# longer\n" + old_text;
  rlimit before{};
  ::getrlimit(RLIMIT_FSIZE, &before);
  const rlimit small{1000, before.rlim_max};
  ::setrlimit(RLIMIT_FSIZE, &small);
  const Answer full =
      client.put("/api/roster", {{"text", longer}, {"revision", stored.json["revision"]}});
  ::setrlimit(RLIMIT_FSIZE, &before);
  CHECK(full.status == 507);
  CHECK(client.get("/api/roster").json["text"] == old_text);
}
