#include "tools/kinetics/profile_command.h"

#include <algorithm>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/zone.h"
#include "libkinetics/report/profile_chart.h"
#include "libkinetics/report/profile_data.h"
#include "libkinetics/report/profile_table.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "libkinetics/roster/names.h"
#include "tools/kinetics/arguments.h"
#include "tools/kinetics/output_file.h"

namespace kinetics::cli {
namespace {

struct ProfileArguments {
  std::string lifter;
  std::string logbook;
  std::optional<std::string> roster;
  std::optional<std::string> lift;
  std::optional<std::string> bar;
  std::optional<std::string> box_cm;
  std::optional<std::string> from_day;
  std::optional<std::string> to_day;
  std::optional<std::string> unit;
  std::string axis = "mean";
  std::string reps = "fastest";
  std::optional<std::string> half_life_days;
  bool alone = false;
  std::optional<std::string> power_percent;
  std::optional<std::string> band;
  std::vector<std::string> with;
  std::optional<std::string> csv;
  std::optional<std::string> json;
  std::optional<std::string> plot;
};

struct Found {
  std::optional<Roster> roster;
  std::vector<LiftedSet> sets;
  ClubProfiles club;
  std::vector<const Profile*> wanted;
};

std::optional<Roster> roster_for(const ProfileArguments& a) {
  if (a.roster) return read_roster(*a.roster);
  const std::filesystem::path own = roster_of(a.logbook);
  if (std::filesystem::exists(own)) return read_roster(own.string());
  return std::nullopt;
}

ProfileOptions options_of(const ProfileArguments& a) {
  ProfileOptions out;
  out.axis = a.axis == "bar" ? LoadAxis::kBar : a.axis == "top" ? LoadAxis::kTop : LoadAxis::kMean;
  out.reps = a.reps == "middle" ? RepChoice::kMiddle : RepChoice::kFastest;
  out.pooling = a.alone ? Pooling::kNone : Pooling::kClub;
  if (a.half_life_days) {
    out.half_life_days =
        parse_number("--half-life", *a.half_life_days, "days", {.least = 0.0, .greatest = 3650.0});
  }
  return out;
}

[[noreturn]] void nothing_found(const ProfileArguments& a, const ClubProfiles& club) {
  std::vector<std::string> names;
  std::vector<std::string> lifts;
  for (const Profile& p : club.profiles) {
    if (std::find(names.begin(), names.end(), p.variant.lifter) == names.end()) {
      names.push_back(p.variant.lifter);
    }
    if (same_name(p.variant.lifter, a.lifter)) lifts.push_back(in_words(p.variant));
  }
  if (lifts.empty()) {
    throw Error(
        ErrorCode::kUsage,
        a.logbook,
        a.lifter.empty() ? "no set of this lift is in the logbook"
                         : fmt::format("no set of '{}' is in the logbook", a.lifter),
        meant_or_known(a.lifter, names, "Analyse sessions with --sheet and --logbook first"));
  }
  std::string known;
  for (const std::string& lift : lifts) known += (known.empty() ? "" : "; ") + lift;
  throw Error(ErrorCode::kUsage,
              a.logbook,
              fmt::format("no set of {} fits --lift, --bar or --box", a.lifter),
              fmt::format("The logbook has {}", known));
}

bool fits(const Profile& p, const ProfileArguments& a, std::optional<double> box_m) {
  const LiftVariant& v = p.variant;
  if (!a.lifter.empty() && !same_name(v.lifter, a.lifter)) return false;
  if (a.lift && !same_name(v.lift, *a.lift)) return false;
  if (a.bar && !same_name(v.bar, *a.bar)) return false;
  LiftVariant boxed = v;
  if (box_m) boxed.box_height_m = box_m;
  return same_variant(v, boxed);
}

Found find(const ProfileArguments& a) {
  std::optional<double> box_m;
  if (a.box_cm) {
    box_m = 0.01 * parse_number("--box", *a.box_cm, "cm", {.least = 5.0, .greatest = 120.0});
  }
  Found out;
  out.roster = roster_for(a);
  // The others' sets are read too: this lifter's line may lean on them.
  History history = read_history(
      a.logbook, {.lifter = {}, .lift = a.lift, .from_day = a.from_day, .to_day = a.to_day});
  out.sets = std::move(history.sets);
  out.club = fit_profiles(out.sets, out.roster ? &*out.roster : nullptr, options_of(a));
  out.club.notes.insert(out.club.notes.begin(), history.notes.begin(), history.notes.end());
  for (Profile& p : out.club.profiles) {
    if (a.unit) p.unit = *a.unit == "lb" ? MassUnit::kPound : MassUnit::kKilogram;
    if (fits(p, a, box_m)) out.wanted.push_back(&p);
  }
  if (out.wanted.empty()) nothing_found(a, out.club);
  return out;
}

std::vector<ZoneOf> zones_of(Found& found, const ProfileArguments& a) {
  ZoneOptions options;
  if (a.power_percent) {
    options.power_share =
        0.01 * parse_number("--power", *a.power_percent, "%", {.least = 51.0, .greatest = 99.5});
  }
  if (a.band) options.band = parse_zone("--band", *a.band);
  std::vector<ZoneOf> out;
  for (const Profile* p : found.wanted) {
    std::vector<LoadSetup> setups;
    if (found.roster) setups = usual_setups(*found.roster, *p, found.sets, found.club.notes);
    for (const std::string& words : a.with) {
      if (!found.roster) {
        throw Error(ErrorCode::kUsage,
                    "--with " + words,
                    "chains and bands cannot be looked up without a roster",
                    "Give --roster FILE");
      }
      LoadSetup asked =
          make_setup(*found.roster, p->variant, words, usual_rise_m(found.sets, p->variant));
      const bool there = std::any_of(setups.begin(), setups.end(), [&](const LoadSetup& s) {
        return same_name(s.accommodating, asked.accommodating);
      });
      if (!there) setups.push_back(std::move(asked));
    }
    out.push_back({.profile = p, .zone = find_zone(*p, setups, options)});
  }
  return out;
}

/// One result: the option, where it is to go, and what.
struct Result {
  std::string option;
  std::optional<std::string> path;
  std::string text;
};

/// Writes the results; the table goes to the screen unless one of them went there.
void put_out(const std::vector<Result>& results, std::string table, const Notes& notes) {
  bool taken = false;
  std::string closing;
  for (const Result& result : results) {
    if (!result.path) continue;
    const OutputFile file(result.option, *result.path);
    file.write(result.text);
    taken = taken || file.is_standard_output();
    if (!file.is_standard_output()) {
      closing += fmt::format("Written: {}\n", printable(file.name()));
    }
  }
  if (taken) return;
  for (const Note& note : notes) {
    table += wrapped(printable(note.text), kTableColumns, "Note: ", "  ");
  }
  print(table + (closing.empty() ? "" : "\n" + closing));
}

/// Places that cannot be written to, that are one, or that are the roster or within the logbook are
/// told before the work.
void check_places(const ProfileArguments& a) {
  std::vector<OutputFile> places;
  if (a.csv) places.emplace_back("--csv", *a.csv);
  if (a.json) places.emplace_back("--json", *a.json);
  if (a.plot) places.emplace_back("--plot", *a.plot);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const OutputFile& place = places[i];
    const std::string where = fmt::format("{} {}", place.option(), place.name());
    for (std::size_t k = 0; k < i; ++k) {
      const OutputFile& other = places[k];
      const bool both_out = place.is_standard_output() && other.is_standard_output();
      const bool one_file = !place.is_standard_output() && !other.is_standard_output() &&
                            place.target() == other.target();
      if (!both_out && !one_file) continue;
      throw Error(ErrorCode::kUsage,
                  where,
                  fmt::format("{} already goes there", other.option()),
                  "Give each its own name");
    }
    if (place.is_standard_output()) continue;
    std::error_code no_such_file;
    const bool roster =
        a.roster && std::filesystem::equivalent(place.target(), *a.roster, no_such_file);
    const bool stored =
        std::filesystem::equivalent(place.target().parent_path(), a.logbook, no_such_file);
    if (!roster && !stored) continue;
    throw Error(ErrorCode::kUsage,
                where,
                roster ? "this is the roster, which is never written to"
                       : "this is within the logbook, which holds sessions only",
                "Choose another name");
  }
}

void run_profile(const ProfileArguments& a) {
  check_places(a);
  Found found = find(a);
  std::vector<ZoneOf> pages;
  for (const Profile* p : found.wanted) {
    // The chart shows the zone wherever there is one; its loads are for `zone` to tell.
    pages.push_back({.profile = p, .zone = p->axis == LoadAxis::kMean ? find_zone(*p) : Zone{}});
  }
  put_out({{"--csv", a.csv, a.csv ? profiles_csv(found.wanted) : ""},
           {"--json", a.json, a.json ? profiles_json(found.wanted) : ""},
           {"--plot", a.plot, a.plot ? profile_chart(pages) : ""}},
          profile_table(found.wanted),
          found.club.notes);
}

void run_zone(const ProfileArguments& a) {
  check_places(a);
  Found found = find(a);
  const std::vector<ZoneOf> zones = zones_of(found, a);
  put_out({{"--csv", a.csv, a.csv ? zones_csv(zones) : ""},
           {"--json", a.json, a.json ? zones_json(zones) : ""},
           {"--plot", a.plot, a.plot ? profile_chart(zones) : ""}},
          zone_table(zones),
          found.club.notes);
}

void add_common(CLI::App& command, ProfileArguments& a) {
  command.add_option("lifter", a.lifter, "Whose; every lifter's when left out");
  command.add_option("--logbook", a.logbook, "The logbook's folder")->required();
  command.add_option(
      "--roster", a.roster, "The club's roster (TOML). Default: the logbook's own, if any");
  command.add_option("--lift", a.lift, "Only this lift");
  command.add_option("--bar", a.bar, "Only with this bar");
  command.add_option("--box", a.box_cm, "Only with this box: its height in cm");
  command.add_option("--from", a.from_day, "Only sets from this day on: 2031-03-07");
  command.add_option("--to", a.to_day, "Only sets up to this day, itself included");
  command.add_option("--unit", a.unit, "kg or lb. Default: as most sets were written down")
      ->check(CLI::IsMember({"kg", "lb"}));
  command
      .add_option("--reps", a.reps, "Which rep speaks for a set: fastest, or the middle one of all")
      ->check(CLI::IsMember({"fastest", "middle"}))
      ->capture_default_str();
  command.add_option("--half-life",
                     a.half_life_days,
                     "Days after which a set counts half; 0: all alike. Default: 56");
  command.add_flag("--alone", a.alone, "Do not lean on the other lifters' sets");
  command.add_option("--csv", a.csv, "For a spreadsheet; - for standard output");
  command.add_option("--json", a.json, "For another program; - likewise");
  command.add_option("--plot", a.plot, "Draw it as this SVG");
}

}  // namespace

std::function<void()> add_profile_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand(
      "profile", "How a lifter's velocity falls with load: line, force, power, best single");
  auto arguments = std::make_shared<ProfileArguments>();
  add_common(*command, *arguments);
  command
      ->add_option("--axis",
                   arguments->axis,
                   "Load to stand over: bar and discs, the mean over the way up, or at the top")
      ->check(CLI::IsMember({"bar", "mean", "top"}))
      ->capture_default_str();
  return [command, arguments] {
    if (command->parsed()) run_profile(*arguments);
  };
}

std::function<void()> add_zone_command(CLI::App& app) {
  CLI::App* const command = app.add_subcommand(
      "zone",
      "Loads at which a lifter is near the highest power and within the band of velocities");
  auto arguments = std::make_shared<ProfileArguments>();
  add_common(*command, *arguments);
  command->add_option("--power",
                      arguments->power_percent,
                      "Least share of the highest mean power, in percent. Default: 95");
  command->add_option(
      "--band", arguments->band, "LOW,HIGH in m/s, in place of the roster's zone_mps");
  command->add_option(
      "--with",
      arguments->with,
      "Chains and bands to load with as well: \"2 x heavy chain + 2 x light band\"");
  return [command, arguments] {
    if (command->parsed()) run_zone(*arguments);
  };
}

}  // namespace kinetics::cli
