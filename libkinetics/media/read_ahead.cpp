#include "libkinetics/media/read_ahead.h"

#include <algorithm>
#include <condition_variable>
#include <deque>
#include <exception>
#include <mutex>
#include <thread>
#include <utility>

namespace kinetics {
namespace {

constexpr double kBytesAhead = 80e6;
constexpr double kFewestAhead = 6;
constexpr double kMostAhead = 64;
constexpr std::size_t kFew = 4;

}  // namespace

struct ReadAhead::Impl {
  struct Item {
    Frame frame;
    double fraction = 0.0;
  };

  Impl(ClipReader& source, std::size_t pictures)
      : reader(source), most(pictures), enough(std::min((pictures + 1) / 2, kFew)) {}

  void work() {
    try {
      while (auto frame = reader.next()) {
        Item item{std::move(*frame), reader.fraction_read()};
        std::unique_lock lock(mutex);
        if (queue.size() >= most)
          changed.wait(lock, [&] { return queue.size() <= half() || stop; });
        if (stop) return;
        queue.push_back(std::move(item));
        if (queue.size() == enough) changed.notify_all();
      }
    } catch (...) {
      const std::lock_guard lock(mutex);
      failure = std::current_exception();
    }
    const std::lock_guard lock(mutex);
    ended = true;
    changed.notify_all();
  }

  ClipReader& reader;
  std::size_t most;
  /// Waking one another at each picture costs time: who waits for room goes on at half the
  /// pictures, who waits for pictures at a few, while those are still in the processor's cache.
  [[nodiscard]] std::size_t half() const { return most / 2; }
  std::size_t enough;
  std::mutex mutex;
  std::condition_variable changed;
  std::deque<Item> queue;
  std::exception_ptr failure;
  bool ended = false;
  bool stop = false;
  double fraction = 0.0;
  std::thread thread;
};

ReadAhead::ReadAhead(ClipReader& reader, std::size_t pictures)
    : impl_(std::make_unique<Impl>(reader, pictures)) {
  impl_->thread = std::thread([impl = impl_.get()] { impl->work(); });
}

ReadAhead::~ReadAhead() {
  {
    const std::lock_guard lock(impl_->mutex);
    impl_->stop = true;
  }
  impl_->changed.notify_all();
  impl_->thread.join();
}

std::optional<Frame> ReadAhead::next() {
  std::unique_lock lock(impl_->mutex);
  if (impl_->queue.empty()) {
    impl_->changed.wait(lock, [&] { return impl_->queue.size() >= impl_->enough || impl_->ended; });
  }
  if (impl_->queue.empty()) {
    if (impl_->failure) std::rethrow_exception(std::exchange(impl_->failure, nullptr));
    return std::nullopt;
  }
  Impl::Item item = std::move(impl_->queue.front());
  impl_->queue.pop_front();
  impl_->fraction = item.fraction;
  if (impl_->queue.size() == impl_->half()) impl_->changed.notify_all();
  return std::move(item.frame);
}

std::size_t pictures_ahead(const ClipInfo& clip) {
  // Luma and two quarter-size planes of colour, as phones store them.
  const double bytes = 1.5 * clip.width_px * clip.height_px * (clip.bit_depth > 8 ? 2.0 : 1.0);
  return static_cast<std::size_t>(std::clamp(kBytesAhead / bytes, kFewestAhead, kMostAhead));
}

double ReadAhead::fraction_read() const {
  return impl_->fraction;
}

}  // namespace kinetics
