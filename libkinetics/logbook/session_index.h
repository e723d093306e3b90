#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>

#include "libkinetics/core/note.h"
#include "libkinetics/core/progress.h"
#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/sqlite_db.h"

/// The index of a logbook: what its session files hold, in an SQLite file that can be deleted at
/// any time. Private to the logbook; logbook.h tells of it.

namespace kinetics {

inline constexpr const char* kIndexName = "index.sqlite";

/// What tells that a file is the one the index knows. Session files are never written to, so a
/// file of the same size and time of change is the same.
struct FileState {
  std::int64_t size = 0;
  std::int64_t changed_ns = 0;
  bool operator==(const FileState&) const = default;
};

using FolderState = std::map<std::string, FileState>;  ///< by name

/// The session files of a folder. Throws Error{kUnreadable} when there is no such folder.
[[nodiscard]] FolderState files_of(const std::filesystem::path& folder);

class SessionIndex {
 public:
  /// Opens the folder's index and brings it in step with the files. When the folder cannot be
  /// written, or the disk is full, the index lives in memory alone.
  /// `lock` is given by who holds the folder's lock already.
  explicit SessionIndex(const std::filesystem::path& folder, const FolderLock* lock = nullptr);

  /// An index in memory, made from the files alone. Writes nothing.
  [[nodiscard]] static SessionIndex made_from_files(const std::filesystem::path& folder,
                                                    const Progress& progress);

  [[nodiscard]] const sqlite::Database& db() const { return db_; }
  /// What the coach should know of how it was opened.
  [[nodiscard]] const Notes& notes() const { return notes_; }
  [[nodiscard]] std::size_t files_read() const { return files_read_; }

 private:
  struct InMemory {};
  SessionIndex(const std::filesystem::path& folder, InMemory);
  void bring_in_step();
  void read_changes(const FolderState& there, const FolderState& known);
  void read_file(const std::string& name, const FileState& state);

  std::filesystem::path folder_;
  const FolderLock* lock_;
  sqlite::Database db_;
  bool in_memory_ = false;
  Notes notes_;
  Progress progress_;
  std::size_t files_read_ = 0;
};

/// Puts `fresh` in place of the folder's index, whatever state that is in. Throws sqlite::Trouble
/// when it cannot be written.
void replace_index(const std::filesystem::path& folder,
                   const sqlite::Database& fresh,
                   const FolderLock* lock = nullptr);

/// Deletes the folder's index, if there is one. The next SessionIndex makes it anew.
void delete_index(const std::filesystem::path& folder, const FolderLock* lock = nullptr);

}  // namespace kinetics
