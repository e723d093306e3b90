#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/core/note.h"

/// The files of a speed day: which there are, which follow each other, and when each began.

namespace kinetics {

/// One file: a clip, or a sensor's log.
struct Recording {
  std::string path;
  std::string name;  ///< below the day's folder
  bool is_log = false;
  int camera = 0;                 ///< files of one camera (or logger) have the same, from 0
  bool goes_on = false;           ///< where the camera's file before ended: the phone split it
  double begins_s = 0.0;          ///< since the day's first recording began
  std::optional<double> lasts_s;  ///< as stored; empty when the file does not say
  std::string held_on = {};       ///< local day, ISO 8601; empty when nothing tells
  std::string sha256 = {};        ///< of the file; empty when it is large
};

struct Recordings {
  std::vector<Recording> files;  ///< in time order
  /// Time of day, local, at which the first began, s since midnight; empty when nothing tells.
  std::optional<double> start_s;
  bool clock_known = true;  ///< false: nothing tells when files began; they stand in order of names
  Notes notes;
};

/// One file, or all clips and logs in a folder and the folders in it. A camera is told by its
/// folder, by what the file says of its maker and by the picture's size; what it saw may part it
/// later (part_cameras.h).
///
/// Clocks  A date and time in the file's name (20310307_170500), else the one in the container, by
///         the zone that one of the files tells, else by this computer's. A
///         file that begins where one of the same camera ends is that one going on. A file whose
///         clock tells nothing, or another day than most, stands by its name.
/// Errors  Error{kUnreadable} when there is nothing to read at all.
[[nodiscard]] Recordings find_recordings(const std::string& path,
                                         const std::vector<std::string>& not_these = {});

/// Whether a name goes before another as a person would sort it: 2 before 10.
[[nodiscard]] bool name_before(const std::string& a, const std::string& b);

}  // namespace kinetics
