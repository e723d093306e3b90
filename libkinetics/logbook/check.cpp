#include "libkinetics/logbook/check.h"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <map>
#include <optional>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/diagnose.h"
#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/index_rows.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/logbook/session_index.h"
#include "libkinetics/roster/load_words.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/session/file_digest.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;
using sqlite::Access;
using sqlite::Database;
using sqlite::Statement;
using sqlite::Trouble;

constexpr const char* kAsideFolder = "damaged";

/// Everything the index says of whole files, in an order of its own, as one digest. How the rows
/// are numbered inside does not count.
std::string digest_of(const Database& db) {
  std::string all;
  const auto add = [&](const std::string& query) {
    const Statement rows(db, query);
    while (rows.next()) {
      for (int c = 0; c < rows.columns(); ++c) all += rows.text(c) + '\x1f';
      all += '\x1e';
    }
  };
  add("SELECT name, size, changed_ns, seal, day, analysed_at, made_at, source_name, source_sha256, "
      "supersedes, replaced_by, first_s, last_s, reps, fastest_mps, fastest_sigma_mps FROM file "
      "WHERE state = 0 ORDER BY name");
  add("SELECT file.name, superseded.name FROM superseded JOIN file ON file.id = file_id "
      "WHERE state = 0 ORDER BY file.name, superseded.name");
  add("SELECT name, start, lifter, lift, lifter_key, lift_key, bar, box_height_m, accommodating, "
      "stated_load_kg, in_pounds, number FROM lifted_set JOIN file ON file.id = file_id "
      "WHERE state = 0 ORDER BY name, lifted_set.id");
  add("SELECT name, place, lifted_rep.number, kind" + rep_columns() +
      " FROM lifted_rep JOIN lifted_set ON lifted_set.id = set_id JOIN file ON file.id = file_id "
      "WHERE state = 0 ORDER BY name, lifted_set.id, place");
  return sha256_of(all);
}

bool is_sound(const Database& db) {
  const Statement row(db, "PRAGMA integrity_check");
  return row.next() && row.text(0) == "ok";
}

/// Whether the index on the disk says what the files hold. It is told of damage that came without
/// a change of size or time.
bool agrees(const Database& on_disk, const Database& from_files) {
  if (index_version(on_disk) != kIndexVersion || !is_sound(on_disk)) return false;
  sqlite::Transaction changes(on_disk);
  const Statement damaged(from_files,
                          "SELECT name, size, changed_ns, problem FROM file WHERE state = 1");
  while (damaged.next()) {
    mark_damaged(on_disk, damaged.text(0), {damaged.whole(1), damaged.whole(2)}, damaged.text(3));
  }
  settle_what_counts(on_disk);
  changes.commit();
  return digest_of(on_disk) == digest_of(from_files);
}

/// Returns whether the index had to be made anew.
bool mend_index(const fs::path& folder, const Database& from_files, Notes& remarks) {
  const FolderLock lock(folder);
  try {
    if (agrees(Database((folder / kIndexName).string(), Access::kReadWrite), from_files)) {
      return false;
    }
  } catch (const Trouble&) {
    // Then it is of no use, and the next step puts another in its place or says why it cannot.
  }
  try {
    replace_index(folder, from_files, &lock);
    return true;
  } catch (const Trouble& trouble) {
    remarks.push_back({NoteKind::kDecision,
                       fmt::format("The index could not be written ({}). Nothing is lost by it: "
                                   "it is made anew when there is room.",
                                   trouble.what())});
    return false;
  }
}

std::string held_in_words(const SessionEntry& entry) {
  if (entry.lifter.empty()) {
    return entry.source_name.empty() ? "" : fmt::format("from {}", entry.source_name);
  }
  return fmt::format("{}, {}, {}{}{}, {} rep{}{}",
                     entry.lifter,
                     entry.lift,
                     load_in_words(entry.stated_load_kg, entry.unit, {}),
                     entry.accommodating.empty() ? "" : ", ",
                     entry.accommodating,
                     entry.reps,
                     entry.reps == 1 ? "" : "s",
                     entry.day.empty() ? "" : fmt::format(", held on {}", entry.day)) +
         (entry.source_name.empty() ? "" : fmt::format(", from {}", entry.source_name));
}

using Known = std::map<std::string, SessionEntry>;  ///< by file

void find_damaged(const fs::path& folder,
                  const Database& from_files,
                  const Known& known,
                  LogbookCheck& out) {
  const Statement rows(from_files, "SELECT name, problem FROM file WHERE state = 1 ORDER BY name");
  while (rows.next()) {
    DamagedFile file = diagnose(folder / rows.text(0), rows.text(1));
    file.file = rows.text(0);
    const auto entry = known.find(file.file);
    if (entry != known.end()) file.held = held_in_words(entry->second);
    out.damaged.push_back(std::move(file));
  }
}

bool runs(pid_t process) {
  return ::kill(process, 0) == 0 || errno == EPERM;
}

/// ".kinetics-PID-N.part" of a process that is gone.
bool is_leftover(const fs::path& path) {
  const std::string name = path.filename().string();
  constexpr std::string_view kStart = ".kinetics-";
  if (!name.starts_with(kStart) || path.extension() != ".part") return false;
  pid_t process = 0;
  std::from_chars(name.data() + kStart.size(), name.data() + name.size(), process);
  std::error_code failed;
  const auto age = fs::file_time_type::clock::now() - fs::last_write_time(path, failed);
  return process > 0 && !failed && (!runs(process) || age > std::chrono::hours(24));
}

void remark(LogbookCheck& out, std::string text) {
  out.remarks.push_back({NoteKind::kDecision, std::move(text)});
}

void remark_on_gone(const Known& known, LogbookCheck& out) {
  for (const auto& [file, entry] : known) {
    if (entry.problem.find("no longer in the folder") == std::string::npos) continue;
    const std::string held = held_in_words(entry);
    remark(out,
           fmt::format("{} was in this logbook and is gone{}{}. If you did not take it out, put a "
                       "copy back; 'kinetics logbook index' forgets it.",
                       file,
                       held.empty() ? "" : ": ",
                       held));
  }
}

void remark_on_counting(const Database& db, LogbookCheck& out) {
  const Statement missing(db,
                          "SELECT file.name, superseded.name FROM superseded "
                          "JOIN file ON file.id = file_id WHERE state = 0 AND superseded.name "
                          "NOT IN (SELECT name FROM file) ORDER BY 1, 2");
  while (missing.next()) {
    remark(out,
           fmt::format("{} corrects {}, which is gone; the correction counts all the same.",
                       missing.text(0),
                       missing.text(1)));
  }
  const Statement doubles(
      db,
      "SELECT name, replaced_by FROM file WHERE state = 0 AND replaced_by != '' "
      "AND name NOT IN (SELECT name FROM superseded) ORDER BY name");
  while (doubles.next()) {
    remark(out,
           fmt::format("{} does not count: {} is a copy or a later analysis of the same recording.",
                       doubles.text(0),
                       doubles.text(1)));
  }
  const Statement dayless(db, "SELECT count(*), min(name) FROM file WHERE state = 0 AND day = ''");
  if (dayless.next() && dayless.whole(0) > 0) {
    remark(out,
           fmt::format("{} session(s) do not say on which day they were held, {} among them; they "
                       "come first in a history.",
                       dayless.whole(0),
                       dayless.text(1)));
  }
}

void remark_on_names(const fs::path& folder, const Database& db, LogbookCheck& out) {
  std::error_code failed;
  if (!fs::exists(roster_of(folder), failed)) return;
  std::vector<std::string> names;
  try {
    for (const Lifter& lifter : read_roster(roster_of(folder).string()).lifters) {
      names.push_back(lifter.name);
    }
  } catch (const Error& error) {
    return remark(out, error.what());
  }
  const Statement rows(db,
                       "SELECT lifter, count(*), min(name) FROM lifted_set "
                       "JOIN file ON file.id = file_id WHERE state = 0 AND replaced_by = '' "
                       "GROUP BY lifter_key ORDER BY lifter");
  while (rows.next()) {
    const std::string lifter = rows.text(0);
    const bool known = std::any_of(
        names.begin(), names.end(), [&](const std::string& n) { return same_name(n, lifter); });
    if (known) continue;
    remark(out,
           fmt::format("{} set(s) are of '{}', who is not in the roster ({} among them). {}.",
                       rows.whole(1),
                       lifter,
                       rows.text(2),
                       meant_or_known(lifter, names, "Add a [[lifter]]")));
  }
}

void count_whole(const Database& db, LogbookCheck& out) {
  const Statement row(db, "SELECT count(*), sum(replaced_by != '') FROM file WHERE state = 0");
  if (!row.next()) return;
  out.whole = static_cast<std::size_t>(row.whole(0));
  out.replaced = static_cast<std::size_t>(row.whole(1));
}

}  // namespace

LogbookCheck check_logbook(const std::string& logbook, const Progress& progress) {
  const fs::path folder(logbook);
  LogbookCheck out;
  SessionList list = list_sessions(logbook);
  Known known;
  for (SessionEntry& entry : list.sessions) known.emplace(entry.file, std::move(entry));
  out.remarks = std::move(list.notes);

  const SessionIndex from_files = SessionIndex::made_from_files(folder, progress);
  count_whole(from_files.db(), out);
  find_damaged(folder, from_files.db(), known, out);
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (is_leftover(entry.path())) out.leftovers.push_back(entry.path().filename().string());
  }
  std::sort(out.leftovers.begin(), out.leftovers.end());
  remark_on_gone(known, out);
  remark_on_counting(from_files.db(), out);
  remark_on_names(folder, from_files.db(), out);
  out.index_made_anew = mend_index(folder, from_files.db(), out.remarks);
  return out;
}

std::vector<std::string> set_aside(const std::string& logbook, const LogbookCheck& found) {
  std::vector<std::string> names = found.leftovers;
  for (const DamagedFile& file : found.damaged) {
    if (file.worthless) names.push_back(file.file);
  }
  std::vector<std::string> out;
  if (names.empty()) return out;
  const fs::path folder(logbook);
  const fs::path aside = folder / kAsideFolder;
  const FolderLock lock(folder);
  std::error_code failed;
  fs::create_directory(aside, failed);
  for (const std::string& name : names) {
    fs::path to = aside / name;
    for (int copy = 2; fs::exists(to, failed); ++copy) {
      to = aside / fmt::format("{}-{}", name, copy);
    }
    fs::rename(folder / name, to, failed);
    if (failed) {
      throw Error(ErrorCode::kInternal,
                  (folder / name).string(),
                  fmt::format("it could not be moved to {}: {}", aside.string(), failed.message()),
                  "Allow writing to the folder; nothing was lost");
    }
    out.push_back(to.string());
  }
  return out;
}

}  // namespace kinetics
