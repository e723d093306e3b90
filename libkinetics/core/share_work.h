#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

/// Independent pieces of work shared out among threads. Internal to the library.

namespace kinetics {

/// Threads worth starting for short pieces; more would mostly wait for each other.
inline int cores() {
  constexpr unsigned kMost = 4;
  static const unsigned all = std::clamp(std::thread::hardware_concurrency(), 1U, kMost);
  return static_cast<int>(all);
}

/// Does all pieces, up to `jobs` at once; what becomes of each must not depend on the others.
/// `told` hears how many are done, never from two threads at once. What is thrown stops the rest
/// and comes out of here.
inline void share_work(int jobs,
                       std::size_t pieces,
                       const std::function<void(std::size_t)>& work,
                       const std::function<void(std::size_t)>& told = {}) {
  std::atomic<std::size_t> next{0};
  std::mutex mutex;
  std::size_t done = 0;
  std::exception_ptr failure;
  const auto worker = [&] {
    for (std::size_t k = next++; k < pieces; k = next++) {
      try {
        work(k);
        const std::scoped_lock lock(mutex);
        ++done;
        if (told) told(done);
      } catch (...) {
        const std::scoped_lock lock(mutex);
        if (!failure) failure = std::current_exception();
        next = pieces;
      }
    }
  };
  const std::size_t threads = std::min(static_cast<std::size_t>(std::max(1, jobs)), pieces);
  std::vector<std::thread> others;
  for (std::size_t k = 1; k < threads; ++k) others.emplace_back(worker);
  worker();
  for (std::thread& t : others) t.join();
  if (failure) std::rethrow_exception(failure);
}

}  // namespace kinetics
