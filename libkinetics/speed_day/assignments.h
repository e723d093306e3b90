#pragma once

#include <optional>
#include <string>
#include <vector>

/// The coach's corrections of who lifted a set, in a small text file that outlasts every run.

namespace kinetics {

/// "This set, found so long into that recording, is that row's."
struct Assignment {
  std::string recording;        ///< its name below the day's folder
  double at_s = 0.0;            ///< the set's first rise, since the recording began
  std::optional<int> row = {};  ///< as the spreadsheet numbers it; empty: nobody's
};

/// One a line: "day.mp4 at 0:12:34.5 is row 7" or "... is nobody's". Empty lines and what follows a
/// # are passed over. A file that is not there holds none.
///
/// Errors  Error{kUnreadable} naming the line that is not understood.
[[nodiscard]] std::vector<Assignment> read_assignments(const std::string& path);

/// Writes those that are new or say otherwise behind what the file holds, which stays as it is but
/// for older lines on the same set: those are kept behind a #. Two name the same set when they are
/// within kSameSetS of each other.
void add_assignments(const std::string& path, const std::vector<Assignment>& added);

/// Takes the coach's word on this set back: its lines are kept behind a #.
void drop_assignment(const std::string& path, const std::string& recording, double at_s);

inline constexpr double kSameSetS = 10.0;

/// "5=7", "5 = row 7" or "5=nobody": the number of a set and what it is.
struct NumberedAssignment {
  int set = 1;
  std::optional<int> row = {};
};
/// Errors  Error{kUsage} for anything else.
[[nodiscard]] NumberedAssignment parse_assignment(const std::string& typed);

}  // namespace kinetics
