#include "libkinetics/logbook/correct.h"

#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"
#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/logbook/session_index.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

/// Two corrections of one file would both count, and its reps twice.
void refuse_second(const fs::path& folder, const std::string& name, const FolderLock& lock) {
  const SessionIndex index(folder, &lock);
  sqlite::Statement row(index.db(), "SELECT replaced_by FROM file WHERE name = ?");
  row.with(name);
  if (!row.next() || row.text(0).empty()) return;
  throw Error(ErrorCode::kUsage,
              (folder / name).string(),
              fmt::format("{} already counts in place of this session", row.text(0)),
              "Correct that one");
}

}  // namespace

std::string store_correction(Session corrected,
                             const std::string& old_path,
                             const std::vector<Change>& changes) {
  if (changes.empty()) {
    throw Error(ErrorCode::kUsage, old_path, "nothing was corrected", "Say what was put right");
  }
  const fs::path old_file(old_path);
  const fs::path folder = old_file.has_parent_path() ? old_file.parent_path() : fs::path(".");
  const std::string name = old_file.filename().string();
  const FolderLock lock(folder);
  corrected.corrections = load_session_summary(old_path).corrections;
  refuse_second(folder, name, lock);
  corrected.provenance.supersedes = name;
  const std::string now = now_in_iso();
  for (const Change& change : changes) {
    corrected.corrections.push_back({.made_at = now,
                                     .of_file = name,
                                     .what = change.what,
                                     .before = change.before,
                                     .after = change.after,
                                     .words = change.words});
  }
  return store_session(corrected, folder.string());
}

}  // namespace kinetics
