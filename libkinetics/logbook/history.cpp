#include "libkinetics/logbook/history.h"

#include <algorithm>
#include <filesystem>
#include <iterator>
#include <tuple>
#include <utility>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

std::vector<std::filesystem::path> session_files(const std::string& logbook) {
  if (!std::filesystem::is_directory(logbook)) {
    throw Error(ErrorCode::kUnreadable,
                logbook,
                "no such logbook folder",
                "Make one by analysing a set with --logbook");
  }
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(logbook)) {
    if (entry.path().extension() == ".h5") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

bool passes(const LiftedSet& set, const HistoryFilter& filter) {
  return (!filter.lifter || same_name(set.lifter, *filter.lifter)) &&
         (!filter.lift || same_name(set.lift, *filter.lift)) &&
         (!filter.from_day || set.day >= *filter.from_day) &&
         (!filter.to_day || (!set.day.empty() && set.day <= *filter.to_day));
}

bool earlier(const LiftedSet& a, const LiftedSet& b) {
  return std::tie(a.day, a.session, a.set) < std::tie(b.day, b.session, b.set);
}

}  // namespace

History read_history(const std::string& logbook, const HistoryFilter& filter) {
  History out;
  for (const auto& file : session_files(logbook)) {
    try {
      for (LiftedSet& set : lifted_sets(load_session(file.string()))) {
        set.session = file.filename().string();
        if (passes(set, filter)) out.sets.push_back(std::move(set));
      }
    } catch (const Error& error) {
      if (error.code() != ErrorCode::kUnreadable) throw;
      out.notes.push_back({NoteKind::kDecision, error.what()});
    }
  }
  std::stable_sort(out.sets.begin(), out.sets.end(), earlier);
  return out;
}

}  // namespace kinetics
