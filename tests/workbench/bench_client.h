#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <utility>

#include <nlohmann/json.hpp>

#include "tools/workbench/http.h"
#include "tools/workbench/workbench.h"

/// A browser's part of the conversation, over a real socket.

namespace kinetics_test {

/// A folder that is gone at the end.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

struct Answer {
  int status = 0;
  std::string text;
  nlohmann::json json;  ///< discarded when the text is none
  httplib::Headers headers;
};

/// Sends what our own page sends: the header for writes and JSON bodies.
class Client {
 public:
  explicit Client(int port, std::string host = "127.0.0.1");

  Answer get(const std::string& path, const httplib::Headers& more = {});
  Answer post(const std::string& path,
              const nlohmann::json& body = nlohmann::json::object(),
              const httplib::Headers& more = {{"X-Kinetics", "1"}});
  Answer put(const std::string& path, const nlohmann::json& body);
  Answer put_bytes(const std::string& path, const std::string& bytes);
  Answer remove(const std::string& path);

 private:
  int port_;
  std::string host_;
};

/// One small file whole: begins, sends and ends an upload.
void upload(Client& client, const std::filesystem::path& file);

/// Waits until a job has ended and gives it. An analysis steps back for all else that runs, so this
/// may take long on a busy machine.
nlohmann::json ended(Client& client, const std::string& job_id);

/// Options for a workbench of its own at any free port.
[[nodiscard]] kinetics::workbench::ServeOptions options_in(const TemporaryFolder& folder);

[[nodiscard]] std::string bytes_of(const std::filesystem::path& file);

/// tests/…/samples/…
[[nodiscard]] std::filesystem::path sample(const std::string& path);

/// Sends text as it is and gives all that comes back, until the server hangs up or has said nothing
/// more for a while. It is given long to begin: a busy machine is slow, and not silent.
[[nodiscard]] std::string raw_exchange(int port,
                                       const std::string& request,
                                       int begin_ms = 60'000,
                                       int pause_ms = 2000);

}  // namespace kinetics_test
