#include "tools/workbench/days.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <optional>
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
#include "tools/workbench/analysis_request.h"
#include "tools/workbench/corrections.h"
#include "tools/workbench/set_choice.h"

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

std::string recording_of(const JobRequest& request) {
  return request.clip.empty() ? request.log : request.clip;
}

/// All but the day itself.
Json head_of(const JobRequest& request, const std::string& sheet_text) {
  return {{"name", recording_of(request)},
          {"clip", request.clip},
          {"log", request.log},
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

Assignment place_of(const Json& set) {
  return {.recording = set["recording"].get<std::string>(),
          .at_s = set["recording_s"].get<double>()};
}

/// The coach's word on file for a set.
const Assignment* word_on(const Json& set, const std::vector<Assignment>& words) {
  const Assignment place = place_of(set);
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
  if (request.clip.empty() == request.log.empty()) {
    throw Refusal(400,
                  "usage",
                  "recording",
                  "a day is one clip or one log, with a sheet",
                  "Choose one recording");
  }
  (void)folder_.recording(recording_of(request));
  request.sheet = needed<std::string>(body, "sheet");
  request.day = ::kinetics::workbench::day_of(body);
  request.options = body.contains("options") ? body["options"] : Json(nullptr);
  request.title = fmt::format("{} with {}", recording_of(request), request.sheet);
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
                    {"sheet", stored["sheet"]},
                    {"day", stored["told_day"]},
                    {"options", stored["options"]}});
}

std::string Days::analyse(const JobRequest& request, const JobTalk& talk) {
  constexpr std::chrono::milliseconds kPatience{200};
  std::unique_lock one(analysing_, std::defer_lock);
  while (!one.try_lock_for(kPatience)) talk.progress(-1.0);
  const std::string recording = folder_.recording(recording_of(request)).string();
  const std::string sheet_text = text_in(folder_.sheet(request.sheet));
  const Sheet sheet = read_sheet(folder_.sheet(request.sheet).string());
  const std::optional<Roster> roster = roster_in(folder_);
  talk.step("Watching the whole day");
  bool seen = false;
  const DaySession day = analyse_day(recording,
                                     sheet,
                                     roster ? &*roster : nullptr,
                                     folder_.root().string(),
                                     options_of(request),
                                     [&](double fraction) {
                                       if (fraction >= 1.0 && !seen)
                                         talk.step("Measuring the sets");
                                       seen = seen || fraction >= 1.0;
                                       talk.progress(seen ? -1.0 : fraction);
                                     });
  Json stored = head_of(request, sheet_text);
  stored["day"] = Json::parse(to_json(day));
  keep_corrections(stored["day"]);
  const std::string name = recording_of(request);
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
    return drop_assignment(file, place_of(*set).recording, place_of(*set).at_s);
  }
  Assignment said = place_of(*set);
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
