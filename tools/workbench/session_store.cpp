#include "tools/workbench/session_store.h"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <tuple>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/report/json.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/full_motion.h"
#include "tools/workbench/uploads.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kSessionsKept = 24;
constexpr std::size_t kTextsKept = 64;

Json or_null(const std::string& text) {
  return text.empty() ? Json(nullptr) : Json(text);
}

std::string id_of(const std::string& file) {
  return fs::path(file).stem().string();
}

}  // namespace

template <typename T>
std::shared_ptr<const T> SessionStore::Kept<T>::find(const std::string& key) {
  const auto at =
      std::find_if(items.begin(), items.end(), [&](const auto& item) { return item.first == key; });
  if (at == items.end()) return nullptr;
  items.splice(items.begin(), items, at);
  return items.front().second;
}

template <typename T>
void SessionStore::Kept<T>::put(const std::string& key,
                                std::shared_ptr<const T> value,
                                std::size_t most) {
  if (find(key)) return;
  items.emplace_front(key, std::move(value));
  if (items.size() > most) items.pop_back();
}

std::shared_ptr<const Session> SessionStore::load(const std::string& id) {
  const fs::path path = folder_.session(id);
  {
    const std::lock_guard lock(mutex_);
    if (auto kept = sessions_.find(id)) return kept;
  }
  auto session = std::make_shared<const Session>(load_session(path.string()));
  const std::lock_guard lock(mutex_);
  sessions_.put(id, session, kSessionsKept);
  return session;
}

std::shared_ptr<const Motion> SessionStore::motion(const std::string& id) {
  const auto session = load(id);
  {
    const std::lock_guard lock(mutex_);
    if (auto kept = motions_.find(id)) return kept;
  }
  auto motion = std::make_shared<const Motion>(full_motion(*session, log_path(*session)));
  const std::lock_guard lock(mutex_);
  motions_.put(id, motion, kSessionsKept / 4);
  return motion;
}

std::shared_ptr<const std::string> SessionStore::json(const std::string& id,
                                                      std::size_t most_samples) {
  const std::string key = fmt::format("{}/{}", id, most_samples);
  (void)folder_.session(id);
  {
    const std::lock_guard lock(mutex_);
    if (auto kept = texts_.find(key)) return kept;
  }
  auto text = std::make_shared<const std::string>(to_json(*load(id), most_samples));
  const std::lock_guard lock(mutex_);
  texts_.put(key, text, kTextsKept);
  return text;
}

std::string SessionStore::store(const Session& session) {
  std::string id = id_of(store_session(session, folder_.root().string()));
  (void)listed(Wait::kForNewest);
  return id;
}

std::string SessionStore::store_corrected(const Session& session,
                                          const std::string& old_id,
                                          const std::vector<Change>& changes) {
  const std::string old_path = folder_.session(old_id).string();
  const auto refuse_replaced = [&] {
    (void)listed(Wait::kForNewest);
    const std::string newest = replaced_by(old_id);
    if (newest.empty()) return;
    throw Refusal(409,
                  "conflict",
                  old_id,
                  "it was corrected or analysed again meanwhile",
                  "Look at the newest one and correct that",
                  {{"newest", newest}});
  };
  refuse_replaced();
  try {
    std::string id = id_of(store_correction(session, old_path, changes));
    (void)listed(Wait::kForNewest);
    return id;
  } catch (const kinetics::Error& error) {
    if (error.code() == ErrorCode::kUsage) refuse_replaced();  // it came between
    throw;
  }
}

/// Changes whenever a session comes, goes or is changed.
std::string SessionStore::folder_state() const {
  std::vector<std::string> files;
  std::error_code failed;
  for (const auto& file : fs::directory_iterator(folder_.root(), failed)) {
    if (file.path().extension() != ".h5") continue;
    files.push_back(fmt::format("{} {} {}\n",
                                file.path().filename().string(),
                                file.file_size(failed),
                                file.last_write_time(failed).time_since_epoch().count()));
  }
  std::sort(files.begin(), files.end());
  return sha256_of(fmt::format("{}", fmt::join(files, "")));
}

// Many readers and one that looks through the folder: the others need not wait for it, as what they
// get is the list as it was a moment ago. Whoever stored something waits.
std::shared_ptr<const SessionStore::Listed> SessionStore::listed(Wait wait) {
  std::unique_lock looking(looking_, std::defer_lock);
  if (wait == Wait::kForNewest) {
    looking.lock();
  } else if (!looking.try_lock()) {
    const std::lock_guard lock(mutex_);
    if (listed_) return listed_;
  }
  if (!looking.owns_lock()) looking.lock();
  const std::string state = folder_state();
  {
    const std::lock_guard lock(mutex_);
    if (listed_ && listed_->folder_state == state) return listed_;
  }
  auto fresh = std::make_shared<Listed>();
  fresh->folder_state = state;
  fresh->entries = list_sessions(folder_.root().string()).sessions;
  fresh->counting = std::make_shared<const std::string>(words_of(fresh->entries, false));
  fresh->all = std::make_shared<const std::string>(words_of(fresh->entries, true));
  const std::lock_guard lock(mutex_);
  listed_ = fresh;
  return fresh;
}

Json SessionStore::words_of(const SessionEntry& entry) const {
  const fs::path clip = folder_.recordings() / fs::path(entry.source_name).filename();
  std::error_code failed;
  return {{"id", id_of(entry.file)},
          {"source", entry.source_name},
          {"day", entry.day},
          {"start", entry.start},
          {"analysed_at", entry.analysed_at},
          {"lifter", entry.lifter},
          {"lift", entry.lift},
          {"bar", entry.bar},
          {"accommodating", entry.accommodating},
          {"load_kg", entry.lifter.empty() ? Json(nullptr) : Json(entry.stated_load_kg)},
          {"unit", entry.unit == MassUnit::kPound ? "lb" : "kg"},
          {"sets", entry.sets},
          {"reps", entry.reps},
          {"fastest_mps", entry.fastest_mps.ok() ? Json(entry.fastest_mps.value()) : Json(nullptr)},
          {"corrected", !entry.supersedes.empty()},
          {"replaced_by", or_null(id_of(entry.replaced_by))},
          {"clip", kind_of_recording(entry.source_name) == "clip" && fs::exists(clip, failed)}};
}

std::string SessionStore::words_of(const std::vector<SessionEntry>& entries, bool all) const {
  Json sessions = Json::array();
  Json unreadable = Json::array();
  std::vector<const SessionEntry*> newest_first;
  for (const SessionEntry& entry : entries) newest_first.push_back(&entry);
  std::stable_sort(newest_first.begin(), newest_first.end(), [](auto* a, auto* b) {
    return std::tie(a->day, a->analysed_at, a->file) > std::tie(b->day, b->analysed_at, b->file);
  });
  for (const SessionEntry* entry : newest_first) {
    if (!is_plain_name(id_of(entry->file))) continue;
    if (!entry->problem.empty()) {
      unreadable.push_back({{"id", id_of(entry->file)},
                            {"error",
                             {{"code", "unreadable"},
                              {"where", entry->file},
                              {"what", entry->problem},
                              {"mend", "Use a copy of it, or analyse the recording again"}}}});
    } else if (all || entry->replaced_by.empty()) {
      sessions.push_back(words_of(*entry));
    }
  }
  return text_of({{"sessions", std::move(sessions)}, {"unreadable", std::move(unreadable)}});
}

std::shared_ptr<const std::string> SessionStore::list(bool all) {
  const auto now = listed(Wait::kNot);
  return all ? now->all : now->counting;
}

std::vector<SessionEntry> SessionStore::entries() {
  return listed(Wait::kForNewest)->entries;
}

bool SessionStore::empty() {
  return listed(Wait::kNot)->entries.empty();
}

bool SessionStore::knows_sets(Day day) {
  const auto now = listed(Wait::kNot);
  return std::any_of(now->entries.begin(), now->entries.end(), [&](const SessionEntry& entry) {
    return entry.problem.empty() && entry.replaced_by.empty() && !entry.lifter.empty() &&
           (day == Day::kAny || !entry.day.empty());
  });
}

std::string SessionStore::replaced_by(const std::string& id) {
  const auto now = listed(Wait::kNot);
  for (const SessionEntry& entry : now->entries) {
    if (id_of(entry.file) == id) return id_of(entry.replaced_by);
  }
  return "";
}

std::optional<std::string> SessionStore::find(const std::string& analysed_at,
                                              const std::string& source_name) {
  const auto now = listed(Wait::kForNewest);
  for (const SessionEntry& entry : now->entries) {
    if (entry.analysed_at == analysed_at && entry.source_name == source_name) {
      return id_of(entry.file);
    }
  }
  return std::nullopt;
}

std::string SessionStore::clip_path(const Session& session) const {
  if (!has_clip(session)) return "";
  const fs::path path = folder_.recordings() / fs::path(session.provenance.source_name).filename();
  std::error_code failed;
  return fs::is_regular_file(fs::symlink_status(path, failed)) ? path.string() : "";
}

std::string SessionStore::log_path(const Session& session) const {
  if (!session.log) return "";
  const fs::path path = folder_.recordings() / fs::path(session.log->name).filename();
  std::error_code failed;
  return fs::is_regular_file(fs::symlink_status(path, failed)) ? path.string() : "";
}

}  // namespace kinetics::workbench
