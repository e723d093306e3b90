#include "libkinetics/logbook/make_index.h"

#include <chrono>

#include <fmt/format.h>

#include "libkinetics/logbook/folder_lock.h"
#include "libkinetics/logbook/session_index.h"

namespace kinetics {

IndexMade make_index_anew(const std::string& logbook, const Progress& progress) {
  const auto begin = std::chrono::steady_clock::now();
  const SessionIndex fresh = SessionIndex::made_from_files(logbook, progress);
  IndexMade out{.files = fresh.files_read(), .seconds = 0.0, .notes = {}};
  const sqlite::Statement damaged(fresh.db(),
                                  "SELECT problem FROM file WHERE state = 1 ORDER BY name");
  while (damaged.next()) out.notes.push_back({NoteKind::kCaution, damaged.text(0)});
  try {
    replace_index(logbook, fresh.db());
  } catch (const sqlite::Trouble& trouble) {
    out.notes.push_back({NoteKind::kDecision,
                         fmt::format("The index could not be written ({}). Queries read the files "
                                     "instead, which takes longer.",
                                     trouble.what())});
  }
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - begin;
  out.seconds = taken.count();
  return out;
}

}  // namespace kinetics
