#pragma once

#include <filesystem>

/// One writer at a time in a logbook folder. Private to the logbook.

namespace kinetics {

/// Holds the folder's lock file while it lives. The system lets go of it when the process ends,
/// however it ends; the file itself stays and is empty. Waits for another process or thread that
/// holds it.
///
/// Errors  throws Error{kInternal} when it is not had within half a minute.
class FolderLock {
 public:
  explicit FolderLock(const std::filesystem::path& folder);
  ~FolderLock();
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;

  /// False when no lock file can be made: nothing can be written to that folder either.
  [[nodiscard]] bool held() const { return descriptor_ >= 0; }

 private:
  int descriptor_ = -1;
};

}  // namespace kinetics
