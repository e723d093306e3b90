#pragma once

#include <string>

#include "libkinetics/history/lifted_set.h"
#include "libkinetics/logbook/session_index.h"
#include "libkinetics/logbook/sqlite_db.h"
#include "libkinetics/logbook/stored_session.h"

/// What stands in the index: its tables, and how a session gets in. Private to the logbook.

namespace kinetics {

/// An index of another version is made anew. The number of what is remembered of a rep is part of
/// it; raise the layout's when anything else changes, the order of Reason among it.
inline constexpr int kIndexLayout = 1;
inline constexpr int kIndexVersion =
    1000 * kIndexLayout + static_cast<int>(kRememberedNumbers.size());

enum class IndexedState {
  kWhole = 0,
  kDamaged = 1,
  kGone = 2,  ///< it was in the folder once
};

[[nodiscard]] int index_version(const sqlite::Database& db);

/// Empty tables of this version in place of whatever is there.
void make_tables(const sqlite::Database& db);

/// Names of the columns that hold a rep's numbers, each after a comma.
[[nodiscard]] std::string rep_columns();

void put_session(const sqlite::Database& db,
                 const std::string& name,
                 const FileState& state,
                 const StoredSession& stored);

/// Keeps what the index knew of the file: it tells what was lost.
void mark_damaged(const sqlite::Database& db,
                  const std::string& name,
                  const FileState& state,
                  const std::string& problem);
void mark_gone(const sqlite::Database& db, const std::string& name);

/// Works out anew which files count: see replaced.h. Forgets files that are gone when the same
/// session is there under another name.
void settle_what_counts(const sqlite::Database& db);

/// Two columns hold a number: value and standard error, or nothing and the reason.
void bind_measured(const sqlite::Statement& row, int place, const Measured& number);
[[nodiscard]] Measured measured_in(const sqlite::Statement& row, int column);

}  // namespace kinetics
