#include "tools/workbench/days.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <optional>
#include <set>
#include <system_error>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/report/day_json.h"
#include "libkinetics/report/day_report.h"
#include "libkinetics/report/filled_sheet.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/session/options.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "libkinetics/speed_day/recordings.h"
#include "tools/workbench/analysis_request.h"
#include "tools/workbench/corrections.h"
#include "tools/workbench/set_choice.h"
#include "tools/workbench/uploads.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

DayOptions options_of(const JobRequest& request) {
  DayOptions out;
  out.analysis = apply_options(request.options, {});
  out.analysis.held_on = {.day = request.day, .told_by = ""};
  out.split.rest_s = out.analysis.reps.set_gap_s;
  const bool loss_typed = request.options.is_object() && request.options.contains("slowed_loss");
  const double typed_loss = out.analysis.reps.slowed_loss;
  out.overrule = [loss_typed, typed_loss](AnalysisOptions& options) {
    if (loss_typed) options.thresholds.slowed_loss = typed_loss;
    options.reps.slowed_loss = options.thresholds.slowed_loss;
  };
  return out;
}

std::string name_of(const JobRequest& request) {
  if (request.recordings.empty()) return request.clip.empty() ? request.log : request.clip;
  return fmt::format(
      "{} and {} more", request.recordings.front().name, request.recordings.size() - 1);
}

int cameras_of(const JobRequest& request) {
  std::set<int> cameras;
  for (const DayRecording& r : request.recordings) cameras.insert(r.camera);
  return static_cast<int>(cameras.size());
}

/// In the order of cameras and names, whichever way they were chosen. Refusals 400.
std::vector<DayRecording> in_order(std::vector<DayRecording> recordings) {
  constexpr int kMostCameras = 9;
  std::set<std::string> names;
  for (const DayRecording& r : recordings) {
    if (!names.insert(r.name).second) refuse_key("recordings", r.name + " is named twice");
    if (r.camera < 1 || r.camera > kMostCameras) refuse_key("camera", "it is none from 1 to 9");
  }
  std::sort(recordings.begin(), recordings.end(), [](const auto& a, const auto& b) {
    return a.camera != b.camera ? a.camera < b.camera : name_before(a.name, b.name);
  });
  return recordings;
}

/// All but the day itself.
Json head_of(const JobRequest& request, const std::string& sheet_text) {
  return {{"name", name_of(request)},
          {"clip", request.clip},
          {"log", request.log},
          {"recordings", to_json(request.recordings)},
          {"sheet", request.sheet},
          {"sheet_revision", sha256_of(sheet_text)},
          {"told_day", request.day},
          {"options", request.options}};
}

std::string id_of(const Json& set) {
  return fs::path(set.at("session").get<std::string>()).stem().string();
}

/// The start that all files of one set share, whatever its row: see day_places.
std::string set_in_name(const std::string& file) {
  return file.substr(0, file.rfind('_') + 1);
}

/// What was corrected that a fresh measurement does not take along.
std::string not_taken_along(const Session& corrected) {
  std::string out;
  for (const Json& made : history_of(corrected)) {
    const auto kind = made["kind"].get<std::string>();
    if (made["undone"] == true || (kind != "disc diameter" && kind != "day")) continue;
    out += (out.empty() ? "" : "; ") + made["words"].get<std::string>();
  }
  return out;
}

const Json* set_numbered(const Json& day, int number) {
  for (const Json& set : day["sets"]) {
    if (set["number"] == number) return &set;
  }
  return nullptr;
}

Assignment assignment_at(const Json& set) {
  return {.recording = set["recording"].get<std::string>(),
          .at_s = set["recording_s"].get<double>()};
}

/// The coach's word on file for a set.
const Assignment* word_on(const Json& set, const std::vector<Assignment>& words) {
  const Assignment place = assignment_at(set);
  for (const Assignment& word : words) {
    if (word.recording == place.recording && std::abs(word.at_s - place.at_s) <= kSameSetS) {
      return &word;
    }
  }
  return nullptr;
}

}  // namespace

JobRequest Days::asked_for(const Json& body) const {
  JobRequest request;
  request.kind = "day";
  request.clip = value_or<std::string>(body, "clip", "");
  request.log = value_or<std::string>(body, "log", "");
  request.recordings = in_order(recordings_in(body));
  const int named = (request.clip.empty() ? 0 : 1) + (request.log.empty() ? 0 : 1);
  if (named != (request.recordings.empty() ? 1 : 0)) {
    throw Refusal(400,
                  "usage",
                  "recording",
                  "a day is one recording, or a list of them, with a sheet",
                  "Choose the recordings of the day");
  }
  if (request.recordings.size() == 1) {
    const std::string name = request.recordings.front().name;
    (kind_of_recording(name) == "log" ? request.log : request.clip) = name;
    request.recordings.clear();
  }
  if (request.recordings.empty()) (void)folder_.recording(name_of(request));
  for (const DayRecording& r : request.recordings) (void)folder_.recording(r.name);
  check_name(name_of(request));
  request.sheet = needed<std::string>(body, "sheet");
  request.day = ::kinetics::workbench::day_of(body);
  request.options = body.contains("options") ? body["options"] : Json(nullptr);
  request.title = fmt::format("{} with {}", name_of(request), request.sheet);
  check(options_of(request).analysis);
  const Sheet sheet = read_sheet(folder_.sheet(request.sheet).string());
  const std::optional<Roster> roster = roster_in(folder_);
  if (day_rows(sheet, roster ? &*roster : nullptr).rows.empty()) {
    throw Refusal(400,
                  "usage",
                  request.sheet,
                  "it has no row that is filled in",
                  "Write one row for each set: lifter, lift and load");
  }
  return request;
}

JobRequest Days::again(const std::string& name) const {
  const Json stored = Json::parse(text_in(folder_.day(name, ".json")));
  return asked_for({{"clip", stored["clip"]},
                    {"log", stored["log"]},
                    {"recordings", stored.value("recordings", Json::array())},
                    {"sheet", stored["sheet"]},
                    {"day", stored["told_day"]},
                    {"options", stored["options"]}});
}

std::string Days::place_of(const JobRequest& request) const {
  if (request.recordings.empty()) return folder_.recording(name_of(request)).string();
  const fs::path place = folder_.days() / (name_of(request) + ".files");
  fs::remove_all(place);
  const bool one_camera = cameras_of(request) == 1;
  for (const DayRecording& r : request.recordings) {
    const fs::path beside = one_camera ? place : place / fmt::format("camera {}", r.camera);
    fs::create_directories(beside);
    std::error_code failed;
    fs::create_symlink(folder_.recording(r.name), beside / r.name, failed);
    if (!failed) continue;
    throw Error(
        ErrorCode::kInternal,
        (beside / r.name).string(),
        fmt::format("it cannot be linked to: {}", failed.message()),
        "Move the logbook to a disk that knows links, or put the recordings in a folder and "
        "use kinetics analyse FOLDER");
  }
  return place.string();
}

std::string Days::analyse(const JobRequest& request, const JobTalk& talk) {
  constexpr std::chrono::milliseconds kPatience{200};
  std::unique_lock one(analysing_, std::defer_lock);
  while (!one.try_lock_for(kPatience)) talk.progress(-1.0);
  const std::string place = place_of(request);
  const std::string sheet_text = text_in(folder_.sheet(request.sheet));
  const Sheet sheet = read_sheet(folder_.sheet(request.sheet).string());
  const std::optional<Roster> roster = roster_in(folder_);
  talk.step("Watching the whole day");
  bool seen = false;
  DayOptions options = options_of(request);
  options.measuring = [&](double fraction) {
    if (!seen) talk.step("Measuring the sets");
    seen = true;
    talk.progress(fraction);
  };
  const auto watching = [&](double fraction) {
    if (!seen) talk.progress(fraction);
  };
  const DaySession day = analyse_day(
      place, sheet, roster ? &*roster : nullptr, folder_.root().string(), options, watching);
  Json stored = head_of(request, sheet_text);
  stored["day"] = Json::parse(to_json(day));
  keep_corrections(stored["day"]);
  std::string name = name_of(request);
  const auto write = [&](const char* ending, const std::string& text) {
    (void)write_whole_file(folder_.days() / (name + ending), text, IfPresent::kReplace);
  };
  write(".csv", filled_sheet(day));
  write(".html", day_report(day, roster ? roster->club : ""));
  write(".json", text_of(stored));
  return name;
}

/// A set that was given another row is measured anew and stored as a new session. What the coach
/// did to the reps of the one before goes with it.
void Days::keep_corrections(Json& day) {
  const std::vector<SessionEntry> entries = store_.entries();
  for (const SessionEntry& entry : entries) {
    if (!entry.problem.empty() || entry.supersedes.empty()) continue;
    const auto corrections =
        load_session_summary((folder_.root() / entry.file).string()).corrections;
    if (corrections.empty()) continue;
    const std::string root = corrections.front().of_file;
    for (const Json& set : day["sets"]) {
      const auto fresh = set["session"].get<std::string>();
      if (root == fresh || set_in_name(root) != set_in_name(fresh)) continue;
      const bool newest = std::none_of(entries.begin(), entries.end(), [&](const auto& other) {
        return other.supersedes == entry.file;
      });
      if (newest) keep_correction(entry.file, fresh, day["notes"]);
      set_aside(entry.file);
    }
  }
}

void Days::keep_correction(const std::string& file, const std::string& fresh, Json& notes) {
  const std::string old_id = fs::path(file).stem().string();
  const std::string fresh_id = fs::path(fresh).stem().string();
  const Corrected kept =
      with_kept_corrections(store_, *store_.load(fresh_id), *store_.motion(fresh_id), old_id);
  if (!kept.changes.empty()) (void)store_.store_corrected(kept.session, fresh_id, kept.changes);
  const std::string lost = not_taken_along(*store_.load(old_id));
  if (lost.empty()) return;
  notes.push_back({{"kind", "caution"},
                   {"text",
                    fmt::format("{} was given another row and measured anew. Make this correction "
                                "again if it still holds: {}.",
                                fresh_id,
                                lost)}});
}

void Days::set_aside(const std::string& file) const {
  const fs::path aside = folder_.root() / "replaced";
  fs::create_directories(aside);
  fs::rename(folder_.root() / file, aside / file);
}

std::shared_ptr<const Json> Days::read(const std::string& name) {
  const fs::path path = folder_.day(name, ".json");
  const std::string state = fmt::format(
      "{} {}", fs::file_size(path), fs::last_write_time(path).time_since_epoch().count());
  const std::lock_guard lock(mutex_);
  std::shared_ptr<const Stored>& kept = read_[name];
  if (!kept || kept->state != state) {
    kept = std::make_shared<const Stored>(Stored{state, Json::parse(text_in(path))});
  }
  return {kept, &kept->words};
}

Json Days::list() {
  Json out = Json::array();
  std::error_code failed;
  for (const auto& file : fs::directory_iterator(folder_.days(), failed)) {
    const std::string name = file.path().stem().string();
    if (file.path().extension() != ".json" || !is_plain_name(name)) continue;
    const auto stored = read(name);
    const Json& day = stored->at("day");
    const auto doubtful = std::count_if(day["sets"].begin(), day["sets"].end(), [](const Json& s) {
      return s["certainty"] == "doubtful" && s["corrected"] == false && !s["row"].is_null();
    });
    out.push_back({{"name", name},
                   {"sheet", stored->at("sheet")},
                   {"held_on", day["held_on"]},
                   {"sets", day["sets"].size()},
                   {"doubtful", doubtful},
                   {"missed", day["missed"].size()},
                   {"sessions", Json::array()}});
    for (const Json& set : day["sets"]) out.back()["sessions"].push_back(id_of(set));
  }
  const auto day_of = [](const Json& day) {
    return day["held_on"].is_null() ? "" : day["held_on"].get<std::string>();
  };
  std::sort(out.begin(), out.end(), [&](const Json& a, const Json& b) {
    return std::pair(day_of(a), a["name"].get<std::string>()) >
           std::pair(day_of(b), b["name"].get<std::string>());
  });
  return out;
}

std::string Days::rows_file(const Json& stored) const {
  Sheet sheet;
  sheet.file = stored["sheet"].get<std::string>();
  return day_places(folder_.root().string(), sheet).assignments;
}

Json Days::one(const std::string& name) {
  Json out = *read(name);
  const std::vector<Assignment> words = read_assignments(rows_file(out));
  std::error_code failed;
  for (Json& set : out["day"]["sets"]) {
    std::string id = id_of(set);
    for (std::string next = id; !next.empty(); next = store_.replaced_by(id)) id = next;
    const bool there = fs::exists(folder_.root() / (id + ".h5"), failed);
    set["session"] = there ? Json(id) : Json(nullptr);
    const Assignment* word = word_on(set, words);
    set["told"] = nullptr;
    if (word != nullptr) set["told"] = {{"row", word->row ? Json(*word->row) : Json(nullptr)}};
  }
  const fs::path sheet = folder_.sheets() / out["sheet"].get<std::string>();
  out["sheet_there"] = fs::exists(sheet, failed);
  out["sheet_changed"] =
      out["sheet_there"] == true && sha256_of(text_in(sheet)) != out["sheet_revision"];
  return out;
}

void Days::tell(const std::string& name, const Json& word) {
  const auto stored = read(name);
  const Json& day = stored->at("day");
  const auto number = needed<int>(word, "set");
  const Json* set = set_numbered(day, number);
  if (set == nullptr) {
    throw not_found(fmt::format("set {}", number), "the day has no such set");
  }
  const std::string file = rows_file(*stored);
  if (value_or<bool>(word, "open", false)) {
    return drop_assignment(file, assignment_at(*set).recording, assignment_at(*set).at_s);
  }
  Assignment said = assignment_at(*set);
  if (!word.contains("row")) refuse_key("row", "it is missing");
  if (!word["row"].is_null()) said.row = needed<int>(word, "row");
  const std::vector<Assignment> words = read_assignments(file);
  for (const Json& other : day["sets"]) {
    const Assignment* on = said.row ? word_on(other, words) : nullptr;
    if (on == nullptr || other["number"] == number || on->row != said.row) continue;
    throw Refusal(
        409,
        "conflict",
        fmt::format("row {}", *said.row),
        fmt::format("set {} is this row by your word already", other["number"].get<int>()),
        "Say first what that set is");
  }
  const Sheet sheet = read_sheet(folder_.sheet(stored->at("sheet").get<std::string>()).string());
  const bool in_sheet =
      !said.row || std::any_of(sheet.rows.begin(), sheet.rows.end(), [&](const SheetRow& r) {
        return r.row == *said.row;
      });
  if (!in_sheet) {
    throw Refusal(400,
                  "usage",
                  fmt::format("row {}", *said.row),
                  "the sheet has no set in this row",
                  "Choose a row of the sheet");
  }
  add_assignments(file, {said});
}

std::string Days::of_session(const Session& session, const std::string& id) {
  const std::string root = session.corrections.empty()
                               ? id
                               : fs::path(session.corrections.front().of_file).stem().string();
  for (const Json& day : list()) {
    const Json& ids = day["sessions"];
    const bool mine = std::any_of(ids.begin(), ids.end(), [&](const Json& one) {
      return set_in_name(one.get<std::string>()) == set_in_name(root);
    });
    if (mine) return day["name"].get<std::string>();
  }
  return "";
}

}  // namespace kinetics::workbench
