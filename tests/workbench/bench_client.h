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

/// Waits until a job has ended, less than five minutes, and gives it.
nlohmann::json ended(Client& client, const std::string& job_id);

/// Options for a workbench of its own at any free port.
[[nodiscard]] kinetics::workbench::ServeOptions options_in(const TemporaryFolder& folder);

[[nodiscard]] std::string bytes_of(const std::filesystem::path& file);

/// tests/…/samples/…
[[nodiscard]] std::filesystem::path sample(const std::string& path);

/// Sends text as it is and gives all that comes back, until nothing has come for a while.
[[nodiscard]] std::string raw_exchange(int port,
                                       const std::string& request,
                                       int patience_ms = 2000);

}  // namespace kinetics_test
