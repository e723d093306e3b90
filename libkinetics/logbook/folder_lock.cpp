#include "libkinetics/logbook/folder_lock.h"

#include <cerrno>
#include <chrono>
#include <string>
#include <thread>

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

constexpr const char* kLockName = ".lock";
constexpr mode_t kPlainFileMode = 0666;  // less the user's umask
constexpr std::chrono::seconds kPatience{30};
constexpr std::chrono::milliseconds kPause{5};

}  // namespace

FolderLock::FolderLock(const std::filesystem::path& folder) {
  const std::filesystem::path path = folder / kLockName;
  descriptor_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, kPlainFileMode);
  if (descriptor_ < 0) return;
  const auto give_up = std::chrono::steady_clock::now() + kPatience;
  while (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK && errno != EINTR) {
      // A file system without locks, as some network shares are: it works for one program at a
      // time, and SQLite and the renames keep their own order.
      return;
    }
    if (std::chrono::steady_clock::now() > give_up) {
      ::close(descriptor_);
      throw Error(ErrorCode::kInternal,
                  folder.string(),
                  "another program has been writing to this logbook for half a minute",
                  "Wait until it is done, or end it");
    }
    std::this_thread::sleep_for(kPause);
  }
}

FolderLock::~FolderLock() {
  if (descriptor_ >= 0) ::close(descriptor_);
}

}  // namespace kinetics
