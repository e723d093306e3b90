#pragma once

#include <string>
#include <vector>

#include "libkinetics/session/session.h"

/// Sets as plain numbers in a CSV, one row a rep: the form in which the logbook gives out what it
/// holds, and takes in numbers that were measured elsewhere.
///
/// The first row holds the headings, in any order, named as here. Cells are parted by commas, or by
/// semicolons with decimal commas. Rows of the same date, lifter, lift and set are one set.
///
///   date                 day of the lifting, 2031-03-07
///   lifter, lift
///   load_kg or load_lb   bar, discs and collars together; one of the two in each row
///   set, rep             from 1; a rep of a set stands once
///   mean_velocity_mps    may be empty when not_measured tells why, or the rep failed
///
/// may be left out, and so may what stands in them:
///
///   bar, start, notes, planned_reps, source
///   box_height_m, box_height_cm, box_height_in
///   best_single_kg, best_single_lb
///   chains, bands        "2 x heavy chain"; several with " + "
///   kind                 full, partial or failed
///   start_s, end_s, bottom_height_m, top_height_m
///   any number of rep_quantities.h under its name, with its standard error (mean_velocity_sigma_
///   mps) or both ends of its 95 % interval (mean_velocity_lo_mps, mean_velocity_hi_mps)
///   not_measured         "rom_m: disc hidden; pause_s: not applicable"
///   session              the file it came from; not read
///
/// What is said of a set must be the same in each of its rows.

namespace kinetics {

/// Numbers whose source does not say how sure they are get a standard error of this share.
inline constexpr double kUnsureShare = 0.05;        ///< five per cent; said in a note
inline constexpr double kUnsureLoadShare = 0.0025;  ///< loads: as discs may be off

struct SetsRead {
  std::vector<Session> sessions;  ///< one a set, in the order of their first rows; without frames
  Notes notes;
};

/// Makes a session of each set. Its plan names the file and the set's first row; its
/// `source_sha256` is that of the set's cells, so that the same set is known again.
///
/// Worked out where they are not given, the bar being at rest at both ends of a rise: the loads of
/// a straight weight, mean_force_n of one (load · g), work_j (mean load · g · range),
/// mean_power_w (mean load · g · mean velocity) and velocity_loss within the set.
///
/// Errors  Error{kUnreadable} naming file, row and column: a heading that is missing or stands
///         twice, a cell that is no number, out of range or missing, a set that contradicts itself.
[[nodiscard]] SetsRead parse_set_csv(const std::string& text, const std::string& file);

/// The same from a file, which is never written to.
[[nodiscard]] SetsRead read_set_csv(const std::string& path);

/// A session and the file that holds it.
struct NamedSession {
  std::string file;
  Session session;
};

/// Every rep of the sets that say who lifted. Reading it back gives the same numbers to the last
/// bit. Sets of one day, lifter and lift that bear the same number are numbered on.
[[nodiscard]] std::string to_set_csv(const std::vector<NamedSession>& sessions);

}  // namespace kinetics
