#pragma once

#include <filesystem>
#include <string>

/// The logbook: a folder that holds everything the club has measured, for as long as it likes.
///
///   roster.toml     lifters, gear and thresholds, written by hand (roster.h)
///   plan.toml       the wave and its dates, written by hand
///   *.h5            one file a session (session_file.h)
///   index.sqlite    what the session files hold, for answering quickly. Made from them, and made
///                   anew when it is missing, damaged or of another version: delete it at any time
///   .lock           empty; held by the program that writes
///   .*.part         a file on its way; of no use when the program that wrote it is gone
///   damaged/        session files that were set aside because they cannot be read
///   layout.toml     not there in this layout, which is the first; see below
///
/// Nothing stored is lost. A session file appears whole or not at all (whole_file.h), carries the
/// SHA-256 of what it holds, and is never written to again: a correction is a new file that names
/// the old one (correct.h). Programs that read need no lock. Programs that write take turns by a
/// lock on `.lock`, which the system drops when a process ends, however it ends. A query compares
/// the folder's names, sizes and times of change with the index and reads what is new, so that
/// files may be copied in and out by hand. What was analysed twice, copied or corrected counts once
/// (history.h).
///
/// Versions. Each session file states its `schema_version`. A reader knows its own and all earlier
/// ones, and turns an older file into today's session in memory while it reads; files are never
/// rewritten. What is added to a file leaves the version as it is: an older program ignores it, and
/// a newer one finds it missing in an older file. The folder's layout is 1. A later layout will
/// say `layout_version = 2` in layout.toml, and this program then refuses the folder instead of
/// misreading it. The index states its version too, and is made anew in another.
///
/// Threads: functions of this room are for one thread at a time, since the HDF5 library is.

namespace kinetics {

inline constexpr int kLayoutVersion = 1;

[[nodiscard]] std::filesystem::path roster_of(const std::filesystem::path& logbook);
[[nodiscard]] std::filesystem::path plan_of(const std::filesystem::path& logbook);

/// Throws Error{kUnreadable} when a newer program laid the folder out.
void check_layout(const std::filesystem::path& logbook);

}  // namespace kinetics
