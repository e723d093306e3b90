#include "tools/workbench/events.h"

#include <algorithm>
#include <cstddef>
#include <utility>

namespace kinetics::workbench {
namespace {

constexpr std::size_t kMostListeners = 32;
constexpr std::size_t kMostWaiting = 512;

}  // namespace

std::string event_text(const std::string& event, const std::string& data) {
  return "event: " + event + "\ndata: " + data + "\n\n";
}

std::optional<std::string> Listener::next(std::chrono::milliseconds patience) {
  std::unique_lock lock(mutex_);
  arrived_.wait_for(lock, patience, [&] { return closed_ || !waiting_.empty(); });
  if (!waiting_.empty()) {
    std::string text = std::move(waiting_.front());
    waiting_.pop_front();
    return text;
  }
  return closed_ ? std::nullopt : std::optional<std::string>("");
}

void Listener::end() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
  }
  arrived_.notify_all();
}

std::shared_ptr<Listener> EventHub::listen(const std::function<std::string()>& greeting) {
  auto listener = std::make_shared<Listener>();
  {
    const std::lock_guard lock(mutex_);
    std::erase_if(listeners_, [](const auto& one) { return one.expired(); });
    if (closed_) return nullptr;
    if (listeners_.size() >= kMostListeners) {
      if (const auto oldest = listeners_.front().lock()) oldest->end();
      listeners_.erase(listeners_.begin());
    }
    listeners_.push_back(listener);
  }
  // Not under the hub's lock: who makes it may hold a lock under which others tell.
  std::string first = greeting();
  const std::lock_guard its(listener->mutex_);
  listener->waiting_.push_front(std::move(first));
  return listener;
}

void EventHub::tell(const std::string& event, const std::string& data) {
  const std::string text = event_text(event, data);
  const std::lock_guard lock(mutex_);
  for (const auto& weak : listeners_) {
    const auto listener = weak.lock();
    if (!listener) continue;
    {
      const std::lock_guard its(listener->mutex_);
      listener->waiting_.push_back(text);
      if (listener->waiting_.size() > kMostWaiting) {
        listener->waiting_.clear();
        listener->closed_ = true;
      }
    }
    listener->arrived_.notify_all();
  }
}

void EventHub::close() {
  const std::lock_guard lock(mutex_);
  closed_ = true;
  for (const auto& weak : listeners_) {
    if (const auto listener = weak.lock()) listener->end();
  }
}

}  // namespace kinetics::workbench
