#include "tools/workbench/club.h"

#include <algorithm>
#include <filesystem>
#include <mutex>
#include <optional>
#include <system_error>
#include <vector>

#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/report/sheet_check.h"
#include "libkinetics/roster/roster.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/session/file_digest.h"
#include "libkinetics/sheet/new_sheet.h"
#include "libkinetics/sheet/plan_set.h"
#include "libkinetics/sheet/sheet.h"
#include "tools/workbench/set_choice.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

constexpr const char* kRosterName = "roster.toml";
constexpr const char* kPlanName = "plan.toml";

// Two pages that save at once: the revision is looked at and the text replaced in one go.
std::mutex writing;

template <typename T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json lift_json(const LifterLift& lift) {
  Json zone = nullptr;
  if (lift.zone) zone = {lift.zone->lowest_mps, lift.zone->highest_mps};
  Json expected = Json::array();
  for (const ExpectedVelocity& point : lift.expected) {
    expected.push_back({{"load_kg", point.load_kg},
                        {"velocity_mps", point.velocity_mps},
                        {"sigma_mps", point.sigma_mps}});
  }
  return {{"lift", lift.lift},
          {"bar", or_null(lift.bar)},
          {"box_height_m", or_null(lift.box_height_m)},
          {"best_single_kg", or_null(lift.best_single_kg)},
          {"lockout_height_m", or_null(lift.lockout_height_m)},
          {"bottom_height_m", or_null(lift.bottom_height_m)},
          {"zone_mps", zone},
          {"expected", expected}};
}

Json thresholds_json(const Thresholds& t) {
  Json zone = nullptr;
  if (t.zone) zone = {t.zone->lowest_mps, t.zone->highest_mps};
  return {{"slowed_loss", t.slowed_loss},
          {"below_expected_mps", t.below_expected_mps},
          {"zone_mps", zone},
          {"high_bottom_m", t.high_bottom_m},
          {"uneven_pause_s", t.uneven_pause_s}};
}

Json club_json(const Roster& roster) {
  Json lifters = Json::array();
  for (const Lifter& lifter : roster.lifters) {
    Json lifts = Json::array();
    for (const LifterLift& lift : lifter.lifts) lifts.push_back(lift_json(lift));
    lifters.push_back({{"name", lifter.name}, {"lifts", std::move(lifts)}});
  }
  const Gear& gear = roster.gear;
  Json bars = Json::array();
  for (const BarGear& bar : gear.bars) {
    bars.push_back(
        {{"name", bar.name}, {"mass_kg", bar.mass_kg}, {"limit_kg", or_null(bar.limit_kg)}});
  }
  Json discs = Json::array();
  for (const DiscGear& disc : gear.discs) {
    discs.push_back({{"mass_kg", disc.mass_kg}, {"count", disc.count}});
  }
  Json chains = Json::array();
  for (const ChainGear& one : gear.chains) {
    chains.push_back({{"name", one.chain.name}, {"count", or_null(one.count)}});
  }
  Json bands = Json::array();
  for (const BandGear& one : gear.bands) {
    bands.push_back({{"name", one.band.name}, {"count", or_null(one.count)}});
  }
  Json racks = Json::array();
  for (const Rack& rack : gear.racks) {
    racks.push_back({{"name", rack.name}, {"limit_kg", rack.limit_kg}});
  }
  return {{"name", roster.club},
          {"unit", roster.unit == MassUnit::kPound ? "lb" : "kg"},
          {"lifters", std::move(lifters)},
          {"bars", std::move(bars)},
          {"collar_kg", gear.collar_kg},
          {"discs", std::move(discs)},
          {"chains", std::move(chains)},
          {"bands", std::move(bands)},
          {"racks", std::move(racks)},
          {"thresholds", thresholds_json(roster.thresholds)}};
}

std::optional<std::string> text_if_there(const fs::path& path) {
  std::error_code failed;
  if (!fs::is_regular_file(fs::symlink_status(path, failed))) return std::nullopt;
  return text_in(path);
}

void check_revision(const fs::path& path, const Json& revision) {
  const std::optional<std::string> now = text_if_there(path);
  const Json true_one = now ? Json(sha256_of(*now)) : Json(nullptr);
  if (revision == true_one || (!now && revision == "")) return;
  throw Refusal(409,
                "conflict",
                path.filename().string(),
                "it was changed since this page read it",
                "Reload it, and make the change again",
                {{"revision", true_one}});
}

Json row_json(const SheetRow& row) {
  return {{"row", row.row},
          {"words", in_words(row)},
          {"lifter", row.lifter},
          {"lift", row.lift},
          {"bar", row.bar},
          {"box_height_m", or_null(row.box_height_m)},
          {"load_kg", row.load_kg},
          {"unit", row.load_unit == MassUnit::kPound ? "lb" : "kg"},
          {"set", or_null(row.set)},
          {"start", row.start},
          {"reps", or_null(row.planned_reps)},
          {"notes", row.notes},
          {"clip", row.clip}};
}

Json problem_json(const SheetProblem& problem) {
  return {{"row", problem.row},
          {"column", problem.column},
          {"what", problem.what},
          {"mend", problem.mend}};
}

/// The roster, or nothing when there is none or it cannot be read: a sheet is shown all the same.
std::optional<Roster> usable_roster(const Folder& folder) {
  try {
    return roster_in(folder);
  } catch (const kinetics::Error&) {
    return std::nullopt;
  }
}

}  // namespace

Json revision_in(const Json& body) {
  return body.contains("revision") ? body["revision"] : Json(nullptr);
}

Json note_json(const Note& note) {
  return {{"kind", note.kind == NoteKind::kCaution ? "caution" : "decision"}, {"text", note.text}};
}

Json checked_roster(const std::string& text) {
  try {
    return {{"error", nullptr}, {"club", club_json(parse_roster(text, kRosterName))}};
  } catch (const kinetics::Error& error) {
    return {{"error", error_json(error)}, {"club", nullptr}};
  }
}

Json roster_json(const Folder& folder) {
  const std::optional<std::string> text = text_if_there(folder.roster());
  if (!text) return {{"text", ""}, {"revision", nullptr}, {"error", nullptr}, {"club", nullptr}};
  const Json checked = checked_roster(*text);
  return {{"text", *text},
          {"revision", sha256_of(*text)},
          {"error", checked["error"]},
          {"club", checked["club"]}};
}

void write_roster(const Folder& folder, const std::string& text, const Json& revision) {
  (void)parse_roster(text, kRosterName);
  const std::lock_guard lock(writing);
  check_revision(folder.roster(), revision);
  folder.replace_text(folder.roster(), text);
}

Json checked_plan(const std::string& text) {
  try {
    (void)parse_training_plan(text, kPlanName);
    return {{"error", nullptr}};
  } catch (const kinetics::Error& error) {
    return {{"error", error_json(error)}};
  }
}

Json plan_json(const Folder& folder) {
  const std::optional<std::string> text = text_if_there(folder.plan());
  if (!text) return {{"text", ""}, {"revision", nullptr}, {"error", nullptr}};
  return {{"text", *text}, {"revision", sha256_of(*text)}, {"error", checked_plan(*text)["error"]}};
}

void write_plan(const Folder& folder, const std::string& text, const Json& revision) {
  (void)parse_training_plan(text, kPlanName);
  const std::lock_guard lock(writing);
  check_revision(folder.plan(), revision);
  folder.replace_text(folder.plan(), text);
}

Json checked_sheet(const Folder& folder, const std::string& name, const std::string& text) {
  const SheetReading reading = parse_sheet(text, name);
  const std::optional<Roster> roster = usable_roster(folder);
  std::vector<SheetProblem> problems = reading.problems;
  Notes notes = reading.sheet.notes;
  if (roster) {
    SheetCheck against = check_sheet(reading.sheet, *roster);
    problems.insert(problems.end(), against.problems.begin(), against.problems.end());
    notes.insert(notes.end(), against.notes.begin(), against.notes.end());
    std::stable_sort(problems.begin(), problems.end(), [](const auto& a, const auto& b) {
      return a.row < b.row;
    });
  }
  Json out = {{"name", name},
              {"text", text},
              {"revision", nullptr},
              {"rows", Json::array()},
              {"rows_to_fill", reading.sheet.rows_to_fill},
              {"problems", Json::array()},
              {"notes", Json::array()},
              {"check", roster ? check_in_words(reading, *roster).text : ""}};
  for (const SheetRow& row : reading.sheet.rows) out["rows"].push_back(row_json(row));
  for (const SheetProblem& problem : problems) out["problems"].push_back(problem_json(problem));
  for (const Note& note : notes) out["notes"].push_back(note_json(note));
  return out;
}

Json sheet_json(const Folder& folder, const std::string& name) {
  const std::string text = text_in(folder.sheet(name));
  Json out = checked_sheet(folder, name, text);
  out["revision"] = sha256_of(text);
  return out;
}

Json sheets_json(const Folder& folder) {
  Json out = Json::array();
  std::error_code failed;
  for (const auto& file : fs::directory_iterator(folder.sheets(), failed)) {
    const std::string name = file.path().filename().string();
    if (file.path().extension() != ".csv" || !is_plain_name(name)) continue;
    Json one = {{"name", name}, {"rows", 0}, {"problems", 0}, {"error", nullptr}};
    try {
      const Json sheet = checked_sheet(folder, name, text_in(folder.sheet(name)));
      one["rows"] = sheet["rows"].size();
      one["problems"] = sheet["problems"].size();
    } catch (const kinetics::Error& error) {
      one["error"] = error_json(error);
    }
    out.push_back(std::move(one));
  }
  std::sort(out.begin(), out.end(), [](const Json& a, const Json& b) {
    return a["name"].get<std::string>() < b["name"].get<std::string>();
  });
  return {{"sheets", std::move(out)}};
}

void write_sheet(const Folder& folder,
                 const std::string& name,
                 const std::string& text,
                 const Json& revision) {
  const fs::path path = folder.sheet_to_write(name);
  (void)parse_sheet(text, name);  // what is no sheet at all is refused; cells may be wrong
  const std::lock_guard lock(writing);
  check_revision(path, revision);
  folder.replace_text(path, text);
}

void make_sheet(const Folder& folder, const std::string& name) {
  const fs::path path = folder.sheet_to_write(name);
  const std::optional<Roster> roster = roster_in(folder);
  if (!roster) {
    throw Refusal(409,
                  "conflict",
                  name,
                  "there is no roster to make a sheet of",
                  "Write the roster first, or start the sheet from a row typed in");
  }
  if (!write_whole_file(path, new_sheet(*roster), IfPresent::kKeep)) {
    throw Refusal(409, "conflict", name, "there is a sheet of this name", "Choose another name");
  }
}

}  // namespace kinetics::workbench
