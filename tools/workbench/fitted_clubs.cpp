#include "tools/workbench/fitted_clubs.h"

#include <filesystem>
#include <system_error>
#include <utility>

#include "libkinetics/logbook/history.h"
#include "tools/workbench/set_choice.h"

namespace kinetics::workbench {

std::shared_ptr<const FittedClub> FittedClubs::of(const std::optional<std::string>& lift) {
  const std::lock_guard lock(mutex_);
  // Both are read before what is fitted: a change in between leaves a state that holds no more.
  std::error_code failed;
  const bool has_roster = std::filesystem::exists(folder_.roster(), failed);
  const std::string state = store_.state() + (has_roster ? text_in(folder_.roster()) : "");
  if (state != state_) fitted_.clear();
  state_ = state;
  std::shared_ptr<const FittedClub>& kept = fitted_[lift.value_or("")];
  if (kept) return kept;
  FittedClub fresh;
  fresh.roster = roster_in(folder_);
  History history = read_history(folder_.root().string(), {.lift = lift});
  fresh.sets = std::move(history.sets);
  fresh.club = fit_profiles(fresh.sets, fresh.roster ? &*fresh.roster : nullptr);
  fresh.club.notes.insert(fresh.club.notes.begin(), history.notes.begin(), history.notes.end());
  kept = std::make_shared<const FittedClub>(std::move(fresh));
  return kept;
}

}  // namespace kinetics::workbench
