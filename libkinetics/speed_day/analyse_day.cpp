#include "libkinetics/speed_day/analyse_day.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <filesystem>
#include <map>
#include <mutex>
#include <set>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/share_work.h"
#include "libkinetics/logbook/session_file.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/use_plan.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/speed_day/bar_work.h"
#include "libkinetics/speed_day/day_sets.h"
#include "libkinetics/speed_day/file_lock.h"
#include "libkinetics/speed_day/part_cameras.h"
#include "libkinetics/speed_day/recordings.h"
#include "libkinetics/speed_day/same_sets.h"
#include "libkinetics/speed_day/seen_recording.h"
#include "libkinetics/speed_day/set_session.h"
#include "libkinetics/speed_day/watch_recordings.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

/// A clip of one set is smaller; hashing an hour would take as long as a part of its decoding.
constexpr std::uintmax_t kLargestHashedBytes = std::uintmax_t{128} << 20U;

/// Of the measuring, what goes into the bar's motion between sets and in them; the rest into the
/// sets.
constexpr double kShareOfWork = 0.5;

double share(std::size_t done, std::size_t of) {
  return static_cast<double>(done) / static_cast<double>(of);
}

void check(const DayOptions& options) {
  if (options.jobs < 1 || options.of < 1 || options.part < 1 || options.part > options.of) {
    throw Error(ErrorCode::kUsage,
                fmt::format("part {} of {}, {} jobs", options.part, options.of, options.jobs),
                "this is no share of the work",
                "Count parts from 1 up to their number, and give one job or more");
  }
}

std::string plain(std::string text) {
  constexpr std::size_t kLongest = 60;
  for (char& c : text) {
    if (std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '-') c = '_';
  }
  return text.substr(0, kLongest);
}

/// "0-12-34" of a time within a recording.
std::string time_in_name(double t_s) {
  const auto whole = static_cast<int>(std::floor(t_s));
  return fmt::format("{}-{:02}-{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

std::string time_of_day(double t_s) {
  const auto whole = static_cast<int>(std::llround(t_s)) % 86400;
  return fmt::format("{:02}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60);
}

Recordings recordings_of(const std::string& path, const Sheet& sheet, const std::string& logbook) {
  return find_recordings(path, {sheet.file, logbook});
}

/// What the sheet's column for the clip says of sets that are alone in their clip.
void add_named_clips(const Sheet& sheet,
                     const std::vector<DaySet>& sets,
                     std::map<std::size_t, std::optional<int>>& known) {
  const auto base = [](const std::string& name) { return fs::path(name).filename().string(); };
  for (const SheetRow& row : sheet.rows) {
    if (row.clip.empty()) continue;
    std::optional<std::size_t> only;
    int count = 0;
    int rows = 0;
    for (const SheetRow& other : sheet.rows) rows += base(other.clip) == base(row.clip) ? 1 : 0;
    for (std::size_t k = 0; k < sets.size(); ++k) {
      if (base(sets[k].recording) != base(row.clip)) continue;
      only = k;
      ++count;
    }
    if (count == 1 && rows == 1 && !known.contains(*only)) known[*only] = row.row;
  }
}

/// The coach's word on the sets of this run: what is on file, and what was typed now, which is
/// written there.
std::vector<Correction> corrections_of(const std::vector<DaySet>& sets,
                                       const Sheet& sheet,
                                       const std::string& file,
                                       const DayOptions& options,
                                       Notes& notes) {
  std::vector<Assignment> typed;
  for (const NumberedAssignment& a : options.assignments) {
    if (a.set < 1 || static_cast<std::size_t>(a.set) > sets.size()) {
      throw Error(ErrorCode::kUsage,
                  fmt::format("--assign {}", a.set),
                  fmt::format("there are {} sets on this day", sets.size()),
                  "Give the number of a set as the table shows it");
    }
    const bool in_sheet = !a.row || std::any_of(sheet.rows.begin(),
                                                sheet.rows.end(),
                                                [&](const SheetRow& r) { return r.row == *a.row; });
    if (!in_sheet) {
      throw Error(ErrorCode::kUsage,
                  fmt::format("--assign {}={}", a.set, *a.row),
                  fmt::format("{} has no set in row {}", sheet.file, *a.row),
                  "Give a row as the spreadsheet numbers it");
    }
    const DaySet& set = sets[static_cast<std::size_t>(a.set - 1)];
    typed.push_back({set.recording, set.recording_s, a.row});
  }
  add_assignments(file, typed);
  std::map<std::size_t, std::optional<int>> known;
  std::size_t lost = 0;
  for (const Assignment& a : read_assignments(file)) {
    std::optional<std::size_t> nearest;
    for (std::size_t k = 0; k < sets.size(); ++k) {
      const double apart_s = std::abs(sets[k].recording_s - a.at_s);
      if (sets[k].recording != a.recording || apart_s > kSameSetS) continue;
      if (!nearest || apart_s < std::abs(sets[*nearest].recording_s - a.at_s)) nearest = k;
    }
    if (!nearest) {
      ++lost;
      continue;
    }
    known[*nearest] = a.row;
  }
  if (lost > 0) {
    notes.push_back({NoteKind::kCaution,
                     fmt::format("{} of the corrections in {} name no set that was found now; they "
                                 "are kept.",
                                 lost,
                                 file)});
  }
  add_named_clips(sheet, sets, known);
  std::vector<Correction> out;
  for (const auto& [set, row] : known) out.push_back({.set = set, .row = row});
  return out;
}

/// Everything about the sets but what the sheet says of them.
struct FoundDay {
  Recordings recordings;
  std::vector<BarWork> work;
  std::vector<FoundDaySet> sets;
  Notes notes;
};

FoundDay find_day(const std::string& path,
                  const Sheet& sheet,
                  const std::string& logbook,
                  const DayOptions& options,
                  const Progress& progress) {
  FoundDay out{
      .recordings = recordings_of(path, sheet, logbook), .work = {}, .sets = {}, .notes = {}};
  out.notes = out.recordings.notes;
  for (Recording& r : out.recordings.files) r.sha256 = sha256_of_file(r.path, kLargestHashedBytes);
  WatchedDay watched =
      watch_recordings(out.recordings.files, options, day_places(logbook, sheet).seen, progress);
  part_cameras(out.recordings.files, watched.seen, options.analysis, out.notes);
  DayWork chosen = choose_work(out.recordings.files, watched.seen);
  out.work = std::move(chosen.work);
  for (BarWork& log : watched.logs) out.work.push_back(std::move(log));
  share_work(
      options.jobs,
      out.work.size(),
      [&](std::size_t k) { measure_work(out.work[k], options.analysis); },
      [&](std::size_t done) {
        if (progress) progress(1.0);
        if (options.measuring) options.measuring(kShareOfWork * share(done, out.work.size()));
      });
  line_up_cameras(out.recordings.files, out.work, out.notes);
  out.sets = find_day_sets(out.recordings.files, out.work, options.split);
  join_same_sets(out.sets, out.recordings.files, out.work);
  for (const Notes& more : {watched.notes, chosen.notes}) {
    out.notes.insert(out.notes.end(), more.begin(), more.end());
  }
  return out;
}

/// Sets as they will be shown, not matched yet.
std::vector<DaySet> day_sets_of(const FoundDay& found) {
  std::vector<DaySet> out;
  for (std::size_t k = 0; k < found.sets.size(); ++k) {
    const FoundDaySet& set = found.sets[k];
    const BarWork& work = found.work[set.parts.front().work];
    DaySet day_set;
    day_set.number = static_cast<int>(k) + 1;
    day_set.found = set.found;
    day_set.found.first_rep = 0;
    day_set.recording = found.recordings.files[work.recording].name;
    day_set.same_as = set.same_as;
    day_set.recording_s = work.reps[set.parts.front().first].start_s;
    out.push_back(std::move(day_set));
  }
  return out;
}

/// Stores the set unless a file with the same content is there; one of the same set with other
/// content goes to replaced/.
std::string store_set(const Session& session, const DaySet& set, const std::string& logbook) {
  constexpr std::size_t kDigits = 8;
  const std::string what =
      fmt::format("{}_{}_{}",
                  session.provenance.held_on.empty() ? "undated" : session.provenance.held_on,
                  plain(fs::path(set.recording).replace_extension().string()),
                  time_in_name(set.recording_s));
  const std::string row =
      session.options.plan ? fmt::format("row{}", session.options.plan->row) : "nobody";
  const std::string name =
      fmt::format("{}_{}-{}.h5", what, row, session_digest(session).substr(0, kDigits));
  std::error_code failed;
  const fs::path folder(logbook);
  std::vector<fs::path> others;
  for (const auto& entry : fs::directory_iterator(folder, failed)) {
    const std::string other = entry.path().filename().string();
    const bool same_set = other.starts_with(what + "_") && other.ends_with(".h5");
    if (same_set && other != name) others.push_back(entry.path());
  }
  (void)store_session_at(session, (folder / name).string());
  for (const fs::path& other : others) {
    fs::create_directories(folder / "replaced", failed);
    fs::rename(other, folder / "replaced" / other.filename(), failed);
  }
  return (folder / name).string();
}

/// Times of the sheet say nothing when no clock told when files began.
std::vector<DayRow> rows_for(const DayPlan& plan, const Recordings& recordings) {
  std::vector<DayRow> rows = plan.rows;
  if (!recordings.clock_known && recordings.files.size() > 1) {
    for (DayRow& row : rows) row.start_s.reset();
  }
  return rows;
}

/// The set with its row's load and thresholds, and stored.
void finish_set(DaySet& set,
                const FoundDaySet& found,
                const FoundDay& day,
                const DaySession& session,
                const Roster* roster,
                const std::string& logbook,
                const DayOptions& options) {
  AnalysisOptions analysis = options.analysis;
  if (roster != nullptr) analysis.thresholds = roster->thresholds;
  Notes notes;
  if (set.match.row) {
    const SheetRow* row = sheet_row_of(session, session.rows[*set.match.row]);
    KINETICS_ASSERT(row != nullptr);
    PlannedSet planned = plan_set(session.sheet, *row, roster);
    notes = planned.notes;
    use_planned(std::move(planned), analysis);
  }
  if (options.overrule) options.overrule(analysis);
  set.session = session_of_set(found, day.work, day.recordings.files, analysis);
  set.session.notes.insert(set.session.notes.begin(), notes.begin(), notes.end());
  {
    const std::scoped_lock lock(file_lock());
    set.session_file = store_set(set.session, set, logbook);
  }
  set.found.reps = static_cast<int>(set.session.reps.size());
  // A day of any length is small: what is left is in the file.
  set.session.disc = {};
  set.session.path = {};
  set.session.motion = {};
}

}  // namespace

DayPlaces day_places(const std::string& logbook, const Sheet& sheet) {
  return {.seen = (fs::path(logbook) / "seen").string(),
          .assignments =
              (fs::path(logbook) / (fs::path(sheet.file).stem().string() + ".rows.txt")).string()};
}

DayShare watch_day(const std::string& path,
                   const Sheet& sheet,
                   const std::string& logbook,
                   const DayOptions& options,
                   const Progress& progress) {
  check(options);
  const Recordings recordings = recordings_of(path, sheet, logbook);
  const std::string keep = day_places(logbook, sheet).seen;
  (void)watch_recordings(recordings.files, options, keep, progress);
  DayShare out{.recordings = recordings.files.size()};
  for (const Recording& r : recordings.files) {
    out.done += r.is_log || seen_whole(part_recording(r, options.analysis, keep)) ? 1 : 0;
  }
  return out;
}

DaySession analyse_day(const std::string& path,
                       const Sheet& sheet,
                       const Roster* roster,
                       const std::string& logbook,
                       const DayOptions& options,
                       const Progress& progress) {
  check(options);
  const DayPlan plan = day_rows(sheet, roster);
  const FoundDay found = find_day(path, sheet, logbook, options, progress);

  DaySession day;
  day.sheet = sheet;
  day.rows = rows_for(plan, found.recordings);
  day.sets = day_sets_of(found);
  for (const Recording& r : found.recordings.files) day.recordings.push_back(r.name);
  day.held_on = found.recordings.files.front().held_on;
  day.notes = sheet.notes;
  day.notes.insert(day.notes.end(), plan.notes.begin(), plan.notes.end());
  day.notes.insert(day.notes.end(), found.notes.begin(), found.notes.end());

  std::vector<FoundSet> sets;
  for (const DaySet& set : day.sets) sets.push_back(set.found);
  MatchOptions matching = options.match;
  if (!matching.recording_start_s) matching.recording_start_s = found.recordings.start_s;
  const DayMatch match = match_sets(
      sets,
      day.rows,
      corrections_of(day.sets, sheet, day_places(logbook, sheet).assignments, options, day.notes),
      matching);
  day.missed = match.missed;
  day.notes.insert(day.notes.end(), match.notes.begin(), match.notes.end());

  fs::create_directories(logbook);
  for (std::size_t k = 0; k < day.sets.size(); ++k) {
    DaySet& set = day.sets[k];
    set.match = match.sets[k];
    if (match.recording_began_s) {
      set.clock = time_of_day(*match.recording_began_s + set.found.start_s);
    }
  }
  share_work(
      options.jobs,
      day.sets.size(),
      [&](std::size_t k) {
        finish_set(day.sets[k], found.sets[k], found, day, roster, logbook, options);
      },
      [&](std::size_t done) {
        if (progress) progress(1.0);
        if (options.measuring) {
          options.measuring(kShareOfWork + (1.0 - kShareOfWork) * share(done, day.sets.size()));
        }
      });
  // What the coach or the sheet tell of the day goes before the recording's clock.
  if (!day.sets.empty()) day.held_on = day.sets.front().session.provenance.held_on;
  return day;
}

}  // namespace kinetics
