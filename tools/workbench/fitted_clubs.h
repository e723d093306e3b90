#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "libkinetics/history/lifted_set.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/roster/roster.h"
#include "tools/workbench/folder.h"
#include "tools/workbench/session_store.h"

/// The club's lines of velocity over load, fitted once for as long as sessions and roster stay what
/// they are.

namespace kinetics::workbench {

struct FittedClub {
  std::optional<Roster> roster;
  std::vector<LiftedSet> sets;
  ClubProfiles club;
};

class FittedClubs {
 public:
  FittedClubs(const Folder& folder, SessionStore& store) : folder_(folder), store_(store) {}

  /// Of one lift, or of all. Who asks while a fit is made waits for it.
  ///
  /// Errors  as parse_roster and read_history.
  [[nodiscard]] std::shared_ptr<const FittedClub> of(const std::optional<std::string>& lift);

 private:
  const Folder& folder_;
  SessionStore& store_;
  std::mutex mutex_;
  std::string state_;  ///< of sessions and roster, to which all of the below belong
  std::map<std::string, std::shared_ptr<const FittedClub>> fitted_;  ///< by lift; "" of all
};

}  // namespace kinetics::workbench
