// What the server tells over many sessions is what the library tells of the same logbook: the
// invented season beside the samples, imported as the command line does. That the library is right
// is for the tests of its rooms.
#include <filesystem>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/import_sets.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/zone.h"
#include "libkinetics/report/loading_sheet.h"
#include "libkinetics/report/plan_table.h"
#include "libkinetics/roster/training_plan.h"
#include "libkinetics/training/compare_spans.h"
#include "libkinetics/training/expectation.h"
#include "tests/workbench/bench_client.h"

using Catch::Matchers::WithinAbs;
using kinetics::workbench::Workbench;
using kinetics_test::Answer;
using kinetics_test::bytes_of;
using kinetics_test::Client;
using kinetics_test::options_in;
using kinetics_test::sample;
using kinetics_test::TemporaryFolder;
namespace fs = std::filesystem;

namespace {

constexpr double kRounding = 1.01e-5;  // JSON's numbers end at the fifth decimal
const std::string kOdalys = "?lifter=Odalys%20Brandt&lift=box%20squat";

/// A logbook of the season with roster and, if asked, plan.
struct Season {
  explicit Season(bool with_plan) {
    fs::create_directories(book());
    fs::copy_file(sample("season/roster.toml"), book() / "roster.toml");
    if (with_plan) fs::copy_file(sample("season/plan.toml"), book() / "plan.toml");
    roster = kinetics::read_roster((book() / "roster.toml").string());
    (void)kinetics::import_sets(
        kinetics::read_set_csv(sample("season/northgate_season.csv").string()),
        book().string(),
        &roster);
    sets = kinetics::read_history(book().string()).sets;
  }
  [[nodiscard]] fs::path book() const { return folder.path() / "logbook"; }

  TemporaryFolder folder;
  kinetics::Roster roster;
  std::vector<kinetics::LiftedSet> sets;
};

bool holds(const nlohmann::json& list, const std::string& word) {
  for (const auto& one : list) {
    if (one == word) return true;
  }
  return false;
}

void check_profile(const nlohmann::json& told, const kinetics::Profile& p) {
  REQUIRE(prediction_line(p) != nullptr);
  REQUIRE(told["points"].size() == p.points.size());
  for (std::size_t i = 0; i < p.points.size(); ++i) {
    CHECK_THAT(told["points"][i]["load_kg"].get<double>(),
               WithinAbs(p.points[i].load_kg, kRounding));
    CHECK_THAT(told["points"][i]["velocity_mps"]["value"].get<double>(),
               WithinAbs(p.points[i].velocity_mps, kRounding));
    CHECK(told["points"][i]["set_aside"] == p.points[i].set_aside);
  }
  // Drawn from below the lightest load to above the heaviest, each as the line has it there.
  REQUIRE(told["predictions"].size() > 20);
  CHECK(told["predictions"].front()["beyond_lifted"] == true);
  CHECK(told["predictions"].back()["beyond_lifted"] == true);
  for (const auto& q : told["predictions"]) {
    const auto at = velocity_at(*prediction_line(p), q["load_kg"].get<double>());
    CHECK_THAT(q["line_mps"]["value"].get<double>(), WithinAbs(at.velocity_mps, kRounding));
    CHECK_THAT(q["line_mps"]["lo"].get<double>(), WithinAbs(at.line_mps.lo, kRounding));
    CHECK_THAT(q["set_mps"]["hi"].get<double>(), WithinAbs(at.set_mps.hi, kRounding));
  }
  REQUIRE(p.force);
  CHECK_THAT(told["force_velocity"]["pmax_w"]["value"].get<double>(),
             WithinAbs(p.force->pmax_w.value, kRounding));
  CHECK(told["words"].size() >= 4);
}

}  // namespace

TEST_CASE("a profile that is kept follows roster and sessions, and speaks the unit asked for",
          "[workbench][plans]") {
  const Season season(true);
  const Workbench bench(options_in(season.folder));
  Client client(bench.port());
  const auto profile = [&](const std::string& more = "") {
    return client.get("/api/profile" + kOdalys + more).json["profiles"][0];
  };
  const nlohmann::json first = profile();
  CHECK(profile() == first);

  const nlohmann::json club = client.get("/api/roster").json;
  std::string text = club["text"];
  const std::string key = "best_single_kg = ";
  const std::size_t at = text.find(key);
  REQUIRE(at != std::string::npos);
  const std::size_t end = text.find('\n', at);
  text.replace(at + key.size(), end - at - key.size(), "181");
  REQUIRE(client.put("/api/roster", {{"text", text}, {"revision", club["revision"]}}).status ==
          200);
  CHECK(profile()["best_single"]["entered_kg"] == 181.0);

  // A session that goes takes its point with it.
  const std::string file = first["points"][0]["session"];
  fs::remove(season.book() / file);
  CHECK(profile()["points"].size() == first["points"].size() - 1);

  const std::string pounds = profile("&unit=lb")["words"].dump();
  CHECK(pounds.find(" lb") != std::string::npos);
  CHECK(pounds.find(" kg") == std::string::npos);
  CHECK(client.get("/api/profile" + kOdalys + "&unit=stone").status == 400);
}

TEST_CASE("a lifter's profile and zone are the library's", "[workbench][plans]") {
  const Season season(true);
  const Workbench bench(options_in(season.folder));
  Client client(bench.port());
  const auto club = kinetics::fit_profiles(season.sets, &season.roster);
  std::vector<const kinetics::Profile*> own;
  for (const auto& p : club.profiles) {
    if (p.variant.lifter == "Odalys Brandt") own.push_back(&p);
  }
  REQUIRE(!own.empty());

  const Answer profile = client.get("/api/profile" + kOdalys);
  REQUIRE(profile.status == 200);
  REQUIRE(profile.json["profiles"].size() == own.size());
  const Answer zone = client.get("/api/zone" + kOdalys);
  REQUIRE(zone.status == 200);
  REQUIRE(zone.json["profiles"].size() == own.size());
  for (std::size_t i = 0; i < own.size(); ++i) {
    CHECK(profile.json["profiles"][i]["lifter"] == "Odalys Brandt");
    check_profile(profile.json["profiles"][i], *own[i]);
    nlohmann::json beside = zone.json["profiles"][i];
    const nlohmann::json told = beside["zone"];
    beside.erase("zone");
    CHECK(beside == profile.json["profiles"][i]);
    const kinetics::Zone expected = kinetics::find_zone(*own[i]);
    REQUIRE(expected.state != kinetics::ZoneState::kNoLine);
    CHECK_THAT(told["low"]["load_kg"]["value"].get<double>(),
               WithinAbs(expected.low.load_kg, kRounding));
    CHECK_THAT(told["high"]["load_kg"]["value"].get<double>(),
               WithinAbs(expected.high.load_kg, kRounding));
    CHECK_THAT(told["best_power_w"].get<double>(), WithinAbs(expected.best_power_w, kRounding));
    REQUIRE(!told["words"].empty());
    if (expected.state == kinetics::ZoneState::kFixed) {
      CHECK(!told["loads"].empty());  // the chains of the season can be hung
      CHECK(told["words"][0].get<std::string>().starts_with("Zone: "));
    }
  }

  // Everyone's, when no one is named; and names as people type them.
  CHECK(client.get("/api/profile").json["profiles"].size() == club.profiles.size());
  CHECK(client.get("/api/profile?lifter=odalys%20brandt").status == 200);
  const Answer nobody = client.get("/api/zone?lifter=Nobody%20Here");
  CHECK(nobody.status == 404);
  CHECK(nobody.json["error"]["code"] == "not_found");
  CHECK(nobody.json["error"]["where"] == "Nobody Here");
}

TEST_CASE("the next session is the library's", "[workbench][plans]") {
  const Season season(true);
  const Workbench bench(options_in(season.folder));
  Client client(bench.port());
  const auto plan = kinetics::read_training_plan((season.book() / "plan.toml").string());
  const auto next = kinetics::next_plan(
      plan, season.roster, season.sets, kinetics::expectation_as_of(season.sets, season.roster));
  const Answer told = client.get("/api/plan");
  REQUIRE(told.status == 200);
  CHECK(told.text == kinetics::to_json(next));
  REQUIRE(told.json["days"].size() == 1);
  const auto& loadings = told.json["days"][0]["loadings"];
  REQUIRE(loadings.size() == season.roster.lifters.size());
  for (const auto& loading : loadings) {
    // What hangs weighs what is said: bar of 20 kg and collars of 2.5 kg, as in the roster.
    double total = 20.0 + 2.0 * 2.5;
    for (const auto& disc : loading["discs_a_side"]) {
      total += 2.0 * disc["mass_kg"].get<double>() * disc["count"].get<int>();
    }
    CHECK_THAT(loading["load_kg"].get<double>(), WithinAbs(total, 1e-9));
    CHECK(!loading["why"].get<std::string>().empty());
    CHECK(!loading["set_up"].get<std::string>().empty());
  }

  const auto first =
      kinetics::to_json(kinetics::next_plan(plan,
                                            season.roster,
                                            season.sets,
                                            kinetics::expectation_as_of(season.sets, season.roster),
                                            {.day = next.days[0].day, .lift = "box squat"}));
  const std::string day = told.json["days"][0]["date"];
  CHECK(client.get("/api/plan?lift=box%20squat&day=" + day).text == first);
  CHECK(client.get("/api/plan?day=2031-02-30").status == 400);
  // The sheet for the crew is the command line's.
  const auto sheet = [&](kinetics::MassUnit unit, kinetics::Paper paper) {
    return kinetics::loading_sheet(next, season.roster.club, unit, paper);
  };
  const std::string at = "/api/plan/loading_sheet.html";
  CHECK(client.get(at).text == sheet(season.roster.unit, kinetics::Paper::kA4));
  CHECK(client.get(at + "?unit=lb&paper=letter").text ==
        sheet(kinetics::MassUnit::kPound, kinetics::Paper::kLetter));
  CHECK(client.get(at + "?paper=a3").status == 400);
  const Answer no_day = client.get("/api/plan?day=2031-01-01");
  CHECK(no_day.status == 400);
  CHECK(no_day.json["error"]["code"] == "usage");
}

TEST_CASE("two waves compared are the library's", "[workbench][plans]") {
  const Season season(true);
  const Workbench bench(options_in(season.folder));
  Client client(bench.port());
  const auto lifted = kinetics::lifted_sessions(season.sets);
  const auto plan = kinetics::read_training_plan((season.book() / "plan.toml").string());
  const auto waves = kinetics::waves_of(&plan, "box squat", lifted.sessions);
  REQUIRE(waves.size() == 2);
  const auto expected = kinetics::compare(lifted.sessions, "box squat", waves[0], waves[1]);

  const Answer told = client.get("/api/compare");
  REQUIRE(told.status == 200);
  CHECK(told.json["lift"] == "box squat");
  CHECK(told.json["lifts"] == nlohmann::json{"box squat"});
  REQUIRE(told.json["waves"].size() == 2);
  CHECK(told.json["waves"][0]["from"] == kinetics::in_iso(waves[0].from));
  CHECK(told.json["why_not"].is_null());
  const auto& c = told.json["comparison"];
  const auto same = [](const nlohmann::json& change, const kinetics::VelocityChange& by) {
    CHECK_THAT(change["value"].get<double>(), WithinAbs(by.difference_mps, kRounding));
    CHECK_THAT(change["lo"].get<double>(),
               WithinAbs(by.difference_mps - by.half_width_mps, kRounding));
    CHECK(change["word"] == std::string(kinetics::in_words(by.change)));
  };
  same(c["team_difference_mps"], expected.team);
  REQUIRE(c["lifters"].size() == expected.lifters.size());
  for (std::size_t i = 0; i < expected.lifters.size(); ++i) {
    CHECK(c["lifters"][i]["lifter"] == expected.lifters[i].lifter);
    same(c["lifters"][i]["difference_mps"], expected.lifters[i].change);
  }
  CHECK(!c["sessions_against_the_one_before"].empty());

  const Answer named =
      client.get("/api/compare?lift=Box%20Squat&before=" + std::string("wave%201&after=wave%202"));
  CHECK(named.json == told.json);
  const Answer turned = client.get("/api/compare?before=wave%202&after=wave%201");
  CHECK(turned.status == 200);
  CHECK(turned.json["comparison"].is_null());
  CHECK(turned.json["why_not"]["code"] == "usage");
  CHECK(client.get("/api/compare?before=wave%207").json["why_not"]["where"] == "wave 7");
  CHECK(client.get("/api/compare?lift=curl").status == 400);
}

TEST_CASE("only what can be answered is offered", "[workbench][plans]") {
  const TemporaryFolder empty;
  {
    const Workbench bench(options_in(empty));
    Client client(bench.port());
    CHECK(client.get("/api/state").json["can"] == nlohmann::json{"plan-text"});
    for (const std::string noun : {"profile", "zone", "plan", "compare"}) {
      CAPTURE(noun);
      const Answer answer = client.get("/api/" + noun);
      CHECK(answer.status == 404);
      CHECK(answer.json["error"]["code"] == "not_found");
    }
  }
  const Season season(false);
  const Workbench bench(options_in(season.folder));
  Client client(bench.port());
  const nlohmann::json before = client.get("/api/state").json["can"];
  for (const std::string noun : {"profile", "zone", "compare"}) CHECK(holds(before, noun));
  CHECK(!holds(before, "plan"));
  CHECK(client.get("/api/plan").json["error"]["where"] == "plan.toml");
  // Without a plan the waves are those that were lifted.
  CHECK(client.get("/api/compare").json["waves"].size() >= 2);

  const std::string plan = bytes_of(sample("season/plan.toml"));
  const Answer bad = client.put("/api/plan-text", {{"text", "nam = 1\n"}, {"revision", nullptr}});
  CHECK(bad.status == 422);
  CHECK(bad.json["error"]["where"].get<std::string>().starts_with("plan.toml"));
  CHECK(client.post("/api/plan-text/check", {{"text", plan}}).json["error"].is_null());
  const Answer stored = client.put("/api/plan-text", {{"text", plan}, {"revision", nullptr}});
  REQUIRE(stored.status == 200);
  CHECK(stored.json["text"] == plan);
  CHECK(client.put("/api/plan-text", {{"text", plan}, {"revision", nullptr}}).status == 409);
  CHECK(holds(client.get("/api/state").json["can"], "plan"));
  CHECK(client.get("/api/plan").status == 200);
}
