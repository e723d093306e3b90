#pragma once

#include <mutex>

/// Debian's HDF5 is not made for threads: who reads or writes session files beside others holds
/// this. Internal to the room.

namespace kinetics {

[[nodiscard]] std::mutex& file_lock();

}  // namespace kinetics
