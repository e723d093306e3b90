#include "libkinetics/logbook/whole_file.h"

#include <atomic>
#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <cstring>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

constexpr mode_t kPlainFileMode = 0666;  // less the user's umask, as any program's output

/// A new file with a name of its own, removed again unless it is renamed. Its functions return 0
/// or the system's error number.
class Temporary {
 public:
  explicit Temporary(const fs::path& folder) {
    // Two threads of one process, or two processes, never share a name; a stale file of a killed
    // process with the same number is stepped over.
    static std::atomic<unsigned> count{0};
    do {
      path_ = folder / fmt::format(".kinetics-{}-{}.part", ::getpid(), ++count);
      descriptor_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, kPlainFileMode);
    } while (descriptor_ < 0 && errno == EEXIST);
    if (descriptor_ < 0) error_ = errno;
  }
  ~Temporary() {
    if (descriptor_ < 0) return;
    ::close(descriptor_);
    if (!renamed_) ::unlink(path_.c_str());
  }
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;

  [[nodiscard]] int error() const { return error_; }

  [[nodiscard]] int write(std::string_view bytes) const {
    while (!bytes.empty()) {
      const ssize_t n = ::write(descriptor_, bytes.data(), bytes.size());
      if (n < 0 && errno == EINTR) continue;
      if (n < 0) return errno;
      bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return ::fsync(descriptor_) == 0 ? 0 : errno;
  }

  [[nodiscard]] int rename_to(const fs::path& target, IfPresent if_present) {
    int failed = 0;
    if (if_present == IfPresent::kReplace) {
      failed = ::rename(path_.c_str(), target.c_str());
    } else {
      failed = ::renameat2(AT_FDCWD, path_.c_str(), AT_FDCWD, target.c_str(), RENAME_NOREPLACE);
      if (failed != 0 && (errno == EINVAL || errno == ENOSYS)) {
        // A file system without that call: a hard link never replaces either.
        failed = ::link(path_.c_str(), target.c_str());
        if (failed == 0) ::unlink(path_.c_str());
      }
    }
    if (failed != 0) return errno;
    renamed_ = true;
    return 0;
  }

 private:
  fs::path path_;
  int descriptor_ = -1;
  int error_ = 0;
  bool renamed_ = false;
};

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

/// Without this a power cut can forget the rename. Some file systems cannot flush a folder; the
/// file itself is safe by then, so that is no failure.
void flush_folder(const fs::path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

}  // namespace

bool write_whole_file(const fs::path& path, std::string_view bytes, IfPresent if_present) {
  Temporary part(folder_of(path));
  int error = part.error();
  if (error == 0) error = part.write(bytes);
  if (error == 0) error = part.rename_to(path, if_present);
  if (error == EEXIST && if_present == IfPresent::kKeep) return false;
  if (error != 0) {
    throw Error(ErrorCode::kInternal,
                path.string(),
                fmt::format("could not be written: {}", std::strerror(error)),
                "Nothing partial was left behind; make room or choose another folder");
  }
  flush_folder(folder_of(path));
  return true;
}

void check_folder_writable(const fs::path& folder) {
  const Temporary probe(folder.empty() ? fs::path(".") : folder);
  if (probe.error() == 0) return;
  throw Error(ErrorCode::kUsage,
              folder.string(),
              fmt::format("no file can be made in this folder: {}", std::strerror(probe.error())),
              "Choose another folder, or allow writing there");
}

}  // namespace kinetics
