#pragma once

#include <chrono>
#include <map>
#include <mutex>
#include <string>

#include "tools/workbench/http.h"

/// The HTTP server with its threads shared fairly: a connection holds a thread for as long as it is
/// open, and nobody may keep them all by sending slowly, by opening many, or by asking for more
/// than there is.

namespace kinetics::workbench {

/// How many connections each other machine has open. This one's are not counted: its own programs
/// need no network to be in the coach's way.
class OpenConnections {
 public:
  explicit OpenConnections(int most) : most_(most) {}
  /// False when the address has as many as it may; else it counts until `left`.
  [[nodiscard]] bool came(const std::string& address);
  void left(const std::string& address);

 private:
  int most_;
  std::mutex mutex_;
  std::map<std::string, int> open_;
};

class FairServer : public httplib::Server {
 public:
  /// A request, its body included, has to be here within this time of its first byte.
  explicit FairServer(std::chrono::milliseconds request_time = std::chrono::minutes(2))
      : request_time_(request_time) {}

 private:
  bool process_and_close_socket(socket_t socket) override;
  bool serve(socket_t socket);

  std::chrono::milliseconds request_time_;
  OpenConnections open_{24};  // a browser opens six, and a phone may have several pages open
};

}  // namespace kinetics::workbench
