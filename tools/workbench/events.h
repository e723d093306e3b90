#pragma once

#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

/// What happens, told to every page that is open, as server-sent events.

namespace kinetics::workbench {

/// One page's queue.
class Listener {
 public:
  /// The next piece of the stream; empty after `patience` without one. Nothing once the hub closed
  /// or the page fell so far behind that it has to connect again.
  [[nodiscard]] std::optional<std::string> next(std::chrono::milliseconds patience);

 private:
  friend class EventHub;
  void end();
  std::mutex mutex_;
  std::condition_variable arrived_;
  std::deque<std::string> waiting_;
  bool closed_ = false;
};

class EventHub {
 public:
  /// `greeting` is the first thing it hears; it is made once the page listens, so that nothing is
  /// missed between the two, and what it tells may be told once more. When as many listen as may,
  /// the one that has listened longest is ended: an open page connects again, one that was left
  /// behind keeps nobody out. Null once the hub is closed.
  [[nodiscard]] std::shared_ptr<Listener> listen(const std::function<std::string()>& greeting);

  /// `data` is JSON on one line.
  void tell(const std::string& event, const std::string& data);

  /// Ends every stream; later listeners get nothing.
  void close();

 private:
  std::mutex mutex_;
  std::vector<std::weak_ptr<Listener>> listeners_;  ///< the oldest first
  bool closed_ = false;
};

/// "event: job\ndata: {...}\n\n"
[[nodiscard]] std::string event_text(const std::string& event, const std::string& data);

}  // namespace kinetics::workbench
