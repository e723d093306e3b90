#include "tests/workbench/bench_client.h"

#include <array>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <thread>

#include <arpa/inet.h>
#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

namespace kinetics_test {
namespace {

Answer of(const httplib::Result& result) {
  if (!result) throw std::runtime_error("no answer: " + httplib::to_string(result.error()));
  return {.status = result->status,
          .text = result->body,
          .json = nlohmann::json::parse(result->body, nullptr, false),
          .headers = result->headers};
}

httplib::Client connection(const std::string& host, int port) {
  httplib::Client client(host, port);
  client.set_read_timeout(60);
  return client;
}

}  // namespace

TemporaryFolder::TemporaryFolder() {
  std::string name = (std::filesystem::temp_directory_path() / "workbench-XXXXXX").string();
  if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
  path_ = name;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code failed;
  std::filesystem::remove_all(path_, failed);
}

Client::Client(int port, std::string host) : port_(port), host_(std::move(host)) {}

Answer Client::get(const std::string& path, const httplib::Headers& more) {
  return of(connection(host_, port_).Get(path, more));
}

Answer Client::post(const std::string& path,
                    const nlohmann::json& body,
                    const httplib::Headers& more) {
  return of(connection(host_, port_).Post(path, more, body.dump(), "application/json"));
}

Answer Client::put(const std::string& path, const nlohmann::json& body) {
  return of(
      connection(host_, port_).Put(path, {{"X-Kinetics", "1"}}, body.dump(), "application/json"));
}

Answer Client::put_bytes(const std::string& path, const std::string& bytes) {
  return of(
      connection(host_, port_).Put(path, {{"X-Kinetics", "1"}}, bytes, "application/octet-stream"));
}

Answer Client::remove(const std::string& path) {
  return of(connection(host_, port_).Delete(path, {{"X-Kinetics", "1"}}));
}

std::string bytes_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

std::filesystem::path sample(const std::string& path) {
  return std::filesystem::path(KINETICS_SOURCE_DIR) / "samples" / path;
}

void upload(Client& client, const std::filesystem::path& file) {
  const std::string bytes = bytes_of(file);
  const Answer begun =
      client.post("/api/uploads", {{"name", file.filename().string()}, {"bytes", bytes.size()}});
  if (begun.status != 201) throw std::runtime_error(begun.text);
  const auto id = begun.json["id"].get<std::string>();
  const Answer sent = client.put_bytes("/api/uploads/" + id + "?offset=0", bytes);
  if (sent.status != 200 || sent.json["file"].is_null()) throw std::runtime_error(sent.text);
}

nlohmann::json ended(Client& client, const std::string& job_id) {
  constexpr std::chrono::minutes kLongest{14};  // CTest ends a test after fifteen
  const auto latest = std::chrono::steady_clock::now() + kLongest;
  while (std::chrono::steady_clock::now() < latest) {
    const Answer job = client.get("/api/jobs/" + job_id);
    const auto state = job.json["state"].get<std::string>();
    if (state != "waiting" && state != "running") return job.json;
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  throw std::runtime_error("the job does not end");
}

kinetics::workbench::ServeOptions options_in(const TemporaryFolder& folder) {
  return {.logbook = (folder.path() / "logbook").string(), .port = 0, .jobs_at_once = 1};
}

std::string raw_exchange(int port, const std::string& request, int begin_ms, int pause_ms) {
  const int socket = ::socket(AF_INET, SOCK_STREAM, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(static_cast<std::uint16_t>(port));
  ::inet_pton(AF_INET, "127.0.0.1", &address.sin_addr);
  if (::connect(socket, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) != 0) {
    ::close(socket);
    throw std::runtime_error("cannot connect");
  }
  (void)::send(socket, request.data(), request.size(), MSG_NOSIGNAL);
  const auto wait_at_most = [socket](int ms) {
    const timeval patience{ms / 1000, 1000L * (ms % 1000)};
    ::setsockopt(socket, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof(patience));
  };
  wait_at_most(begin_ms);
  std::string answer;
  std::array<char, 4096> piece{};
  for (ssize_t n = 0; (n = ::recv(socket, piece.data(), piece.size(), 0)) > 0;) {
    answer.append(piece.data(), static_cast<std::size_t>(n));
    wait_at_most(pause_ms);
  }
  ::close(socket);
  return answer;
}

}  // namespace kinetics_test
