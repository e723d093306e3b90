#pragma once

#include <cstddef>
#include <list>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "libkinetics/logbook/correct.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/session/session.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/reply.h"

/// The logbook's sessions, read once and kept while they are looked at. A session's id is its
/// file's name without ".h5".

namespace kinetics::workbench {

class SessionStore {
 public:
  explicit SessionStore(const Folder& folder) : folder_(folder) {}

  /// Throws Refusal 404 or kinetics::Error{kUnreadable}.
  [[nodiscard]] std::shared_ptr<const Session> load(const std::string& id);

  /// The session's motion with all that its smoother knew, for measuring it again.
  [[nodiscard]] std::shared_ptr<const Motion> motion(const std::string& id);

  /// The session's JSON with at most so many samples; kept, since many pages ask for the same.
  [[nodiscard]] std::shared_ptr<const std::string> json(const std::string& id,
                                                        std::size_t most_samples);

  /// Both return the new session's id. A correction of what another one replaced meanwhile is
  /// Refusal 409 with the newest id beside it.
  [[nodiscard]] std::string store(const Session& session);
  [[nodiscard]] std::string store_corrected(const Session& session,
                                            const std::string& old_id,
                                            const std::vector<Change>& changes);

  /// {"sessions": [...], "unreadable": [...]}, see the API. `all` lists replaced ones too.
  [[nodiscard]] std::shared_ptr<const std::string> list(bool all);
  [[nodiscard]] bool empty();

  /// Whether some session that counts says who lifted what, and on which day if that is asked.
  enum class Day { kAny, kKnown };
  [[nodiscard]] bool knows_sets(Day day);

  /// The id of the one that counts in a session's place; empty when it counts itself.
  [[nodiscard]] std::string replaced_by(const std::string& id);

  /// The sessions' files as they are now, and a word that changes whenever they do.
  [[nodiscard]] std::vector<SessionEntry> entries();
  [[nodiscard]] std::string state() { return listed(Wait::kNot)->folder_state; }

  /// The session that an analysis begun by this server stored, if it got so far.
  [[nodiscard]] std::optional<std::string> find(const std::string& analysed_at,
                                                const std::string& source_name);

  /// The recordings a session was made from, while they lie in the logbook; else empty.
  [[nodiscard]] std::string clip_path(const Session& session) const;
  [[nodiscard]] std::string log_path(const Session& session) const;

 private:
  /// Most recently used first.
  template <typename T>
  struct Kept {
    std::list<std::pair<std::string, std::shared_ptr<const T>>> items;
    std::shared_ptr<const T> find(const std::string& key);
    void put(const std::string& key, std::shared_ptr<const T> value, std::size_t most);
  };
  /// The list as of a state of the folder.
  struct Listed {
    std::string folder_state;
    std::vector<SessionEntry> entries;
    std::shared_ptr<const std::string> counting;
    std::shared_ptr<const std::string> all;
  };

  [[nodiscard]] std::string folder_state() const;
  enum class Wait { kNot, kForNewest };
  [[nodiscard]] std::shared_ptr<const Listed> listed(Wait wait);
  [[nodiscard]] Json words_of(const SessionEntry& entry) const;
  [[nodiscard]] std::string words_of(const std::vector<SessionEntry>& entries, bool all) const;

  const Folder& folder_;
  std::mutex mutex_;  ///< of all below; not held while a file is read
  Kept<Session> sessions_;
  Kept<Motion> motions_;
  Kept<std::string> texts_;
  std::shared_ptr<const Listed> listed_;
  std::mutex looking_;  ///< one thread at a time looks through the folder
};

}  // namespace kinetics::workbench
