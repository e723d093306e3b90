#include "libkinetics/logbook/session_index.h"

#include <algorithm>
#include <chrono>
#include <cstddef>
#include <limits>
#include <optional>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <sys/stat.h>

#include "libkinetics/core/error.h"
#include "libkinetics/history/lifted_set.h"
#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/index_rows.h"
#include "libkinetics/logbook/logbook.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;
using sqlite::Access;
using sqlite::Database;
using sqlite::Statement;
using sqlite::Transaction;
using sqlite::Trouble;

FolderState known_files(const Database& db) {
  FolderState out;
  const Statement rows(db, "SELECT name, size, changed_ns FROM file WHERE state != ?");
  rows.bind(1, static_cast<int>(IndexedState::kGone));
  while (rows.next()) out[rows.text(0)] = {rows.whole(1), rows.whole(2)};
  return out;
}

constexpr const char* kOnlyInMemory =
    "The logbook's index could not be written ({}), so every new session is read again each time. "
    "Make room on the disk, or allow writing to the folder.";

}  // namespace

FolderState files_of(const fs::path& folder) {
  std::error_code failed;
  if (!fs::is_directory(folder, failed)) {
    throw Error(ErrorCode::kUnreadable,
                folder.string(),
                "no such logbook folder",
                "Make one by analysing a set with --logbook");
  }
  fs::directory_iterator entries(folder, failed);
  if (failed) {
    throw Error(ErrorCode::kUnreadable,
                folder.string(),
                fmt::format("the logbook cannot be read: {}", failed.message()),
                "Allow reading the folder");
  }
  constexpr std::int64_t kNanoseconds = 1'000'000'000;
  FolderState out;
  for (const auto& entry : entries) {
    const std::string name = entry.path().filename().string();
    if (entry.path().extension() != ".h5" || name.front() == '.') continue;
    struct stat facts {};
    // What cannot be looked at is read all the same, and then says why it cannot.
    if (::stat(entry.path().c_str(), &facts) != 0) facts = {};
    out[name] = {facts.st_size, facts.st_mtim.tv_sec * kNanoseconds + facts.st_mtim.tv_nsec};
  }
  return out;
}

SessionIndex::SessionIndex(const fs::path& folder, const FolderLock* lock)
    : folder_(folder), lock_(lock), db_("", Access::kMemory) {
  check_layout(folder_);
  (void)files_of(folder_);  // a folder that is not there is told before an index is made in it
  const std::string path = (folder_ / kIndexName).string();
  const auto from_disk = [&] {
    db_ = Database(path, Access::kReadWrite);
    bring_in_step();
  };
  try {
    try {
      from_disk();
      return;
    } catch (const Trouble& trouble) {
      if (!trouble.is_damage()) throw;
      delete_index(folder_, lock_);
      notes_.push_back({NoteKind::kDecision, "The logbook's index was damaged; it was made anew."});
    }
    from_disk();
  } catch (const Trouble& trouble) {
    notes_.push_back({NoteKind::kDecision, fmt::format(kOnlyInMemory, trouble.what())});
    in_memory_ = true;
    db_ = Database("", Access::kMemory);
    try {
      sqlite::copy(Database(path, Access::kReadOnly), db_);
    } catch (const Trouble&) {
      db_ = Database("", Access::kMemory);  // there is none, or none that is of use
    }
    bring_in_step();
  }
}

SessionIndex::SessionIndex(const fs::path& folder, InMemory /*unused*/)
    : folder_(folder), lock_(nullptr), db_("", Access::kMemory), in_memory_(true) {}

SessionIndex SessionIndex::made_from_files(const fs::path& folder, const Progress& progress) {
  check_layout(folder);
  SessionIndex out(folder, InMemory{});
  out.progress_ = progress;
  out.bring_in_step();
  return out;
}

void SessionIndex::bring_in_step() {
  db_.run("PRAGMA cache_spill = OFF");  // readers are shut out while it commits, and no longer
  const bool is_ours = index_version(db_) == kIndexVersion;
  if (is_ours && files_of(folder_) == known_files(db_)) return;

  std::optional<FolderLock> own;
  if (!in_memory_) {
    const FolderLock& lock = lock_ != nullptr ? *lock_ : own.emplace(folder_);
    if (!lock.held()) throw Trouble(SQLITE_READONLY, "the folder may not be written");
  }
  Transaction changes(db_);
  // Another process may have done it while this one waited for the lock.
  if (index_version(db_) != kIndexVersion) make_tables(db_);
  read_changes(files_of(folder_), known_files(db_));
  changes.commit();
}

void SessionIndex::read_changes(const FolderState& there, const FolderState& known) {
  for (const auto& [name, state] : known) {
    if (there.count(name) == 0) mark_gone(db_, name);
  }
  std::size_t done = 0;
  for (const auto& [name, state] : there) {
    if (progress_) progress_(static_cast<double>(done++) / static_cast<double>(there.size()));
    const auto old = known.find(name);
    if (old == known.end() || old->second != state) read_file(name, state);
  }
  settle_what_counts(db_);
}

void SessionIndex::read_file(const std::string& name, const FileState& state) {
  ++files_read_;
  try {
    const StoredSession stored = read_whole((folder_ / name).string(), SessionPart::kSummary);
    put_session(db_, name, state, stored);
  } catch (const Error& error) {
    if (error.code() != ErrorCode::kUnreadable) throw;
    mark_damaged(db_, name, state, error.what());
  }
}

void replace_index(const fs::path& folder, const Database& fresh, const FolderLock* lock) {
  std::optional<FolderLock> own;
  if (lock == nullptr) lock = &own.emplace(folder);
  const std::string path = (folder / kIndexName).string();
  try {
    sqlite::copy(fresh, Database(path, Access::kReadWrite));
  } catch (const Trouble& trouble) {
    if (!trouble.is_damage()) throw;
    delete_index(folder, lock);
    sqlite::copy(fresh, Database(path, Access::kReadWrite));
  }
}

void delete_index(const fs::path& folder, const FolderLock* lock) {
  std::optional<FolderLock> own;
  if (lock == nullptr) own.emplace(folder);
  std::error_code failed;
  for (const char* const ending : {"", "-journal", "-wal", "-shm"}) {
    fs::remove(folder / (std::string(kIndexName) + ending), failed);
  }
}

}  // namespace kinetics
