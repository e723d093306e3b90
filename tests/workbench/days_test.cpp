// A whole day through the server: the same as the library's own call, the coach's word on a set
// kept and worked in, and what was put right by hand taken along. The clip shows a drawn disc; what
// is in it is known because the test drew it.
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "libkinetics/report/day_json.h"
#include "libkinetics/report/filled_sheet.h"
#include "libkinetics/speed_day/analyse_day.h"
#include "tests/tools/disc_clip.h"
#include "tests/workbench/bench_client.h"

using namespace kinetics_test;
using Json = nlohmann::json;
namespace fs = std::filesystem;

namespace {

constexpr const char* kSheet =
    "lifter,lift,load (kg),set,reps\n"
    "Odalys Brandt,squat,90,1,2\n"
    "Imre Castellan,squat,120,1,2\n";

/// A workbench with a recording of one set of two reps, and a sheet of two rows.
struct Bench {
  TemporaryFolder folder{};
  kinetics::workbench::Workbench server{options_in(folder)};
  Client client{server.port()};

  Bench() {
    const fs::path clip = folder.path() / "day.mp4";
    fs::copy_file(shared_disc_clip(), clip);
    upload(client, clip);
    REQUIRE(
        client.put("/api/sheets/monday.csv", {{"text", kSheet}, {"revision", nullptr}}).status ==
        200);
  }

  Json analysed() {
    const Answer begun =
        client.post("/api/jobs", {{"kind", "day"}, {"clip", "day.mp4"}, {"sheet", "monday.csv"}});
    REQUIRE(begun.status == 201);
    return ended(client, begun.json["id"]);
  }

  Json day() { return client.get("/api/days/day.mp4").json; }

  Json told(const Json& word) {
    const Answer answer = client.post("/api/days/day.mp4/sets", word);
    CAPTURE(answer.text);
    REQUIRE(answer.status == 202);
    REQUIRE(ended(client, answer.json["job"]["id"])["state"] == "done");
    return day();
  }

  [[nodiscard]] fs::path logbook() const { return options_in(folder).logbook; }
};

}  // namespace

TEST_CASE("a day from the page is the day of the library's own call", "[workbench][days]") {
  Bench bench;
  const Json job = bench.analysed();
  CAPTURE(job.dump());
  REQUIRE(job["state"] == "done");
  CHECK(job["session"] == "day.mp4");
  const Json day = bench.day();
  REQUIRE(day["day"]["sets"].size() == 1);

  const TemporaryFolder alone;
  const auto sheet = kinetics::read_sheet((bench.logbook() / "sheets" / "monday.csv").string());
  const auto own = kinetics::analyse_day((bench.logbook() / "recordings" / "day.mp4").string(),
                                         sheet,
                                         nullptr,
                                         alone.path().string(),
                                         kinetics::DayOptions{});
  Json expected = Json::parse(kinetics::to_json(own));
  Json stored = day["day"];
  CHECK(stored["sets"][0]["session"].get<std::string>() + ".h5" == expected["sets"][0]["session"]);
  for (Json* one : {&expected, &stored}) {
    (*one)["sets"][0].erase("session");
    (*one)["sets"][0].erase("told");
  }
  CHECK(stored == expected);
  CHECK(bench.client.get("/api/days/day.mp4/filled.csv").text == kinetics::filled_sheet(own));
  const Answer page = bench.client.get("/api/days/day.mp4/page.html");
  CHECK(page.text.find("<html") != std::string::npos);
  CHECK(page.headers.count("Content-Security-Policy") == 1);
  const Json listed = bench.client.get("/api/days").json["days"];
  REQUIRE(listed.size() == 1);
  CHECK(listed[0]["sets"] == 1);
  CHECK(listed[0]["missed"] == 1);
}

TEST_CASE("the coach's word on a set is kept, worked in and taken back", "[workbench][days]") {
  Bench bench;
  REQUIRE(bench.analysed()["state"] == "done");
  const int found = bench.day()["day"]["sets"][0]["row"];
  const int other = found == 2 ? 3 : 2;

  const Json told = bench.told({{"set", 1}, {"row", other}});
  CHECK(told["day"]["sets"][0]["row"] == other);
  CHECK(told["day"]["sets"][0]["corrected"] == true);
  CHECK(told["day"]["sets"][0]["told"]["row"] == other);
  CHECK(told["day"]["missed"] == Json::array({found}));
  CHECK(bytes_of(bench.logbook() / "monday.rows.txt").find("is row " + std::to_string(other)) !=
        std::string::npos);
  const Json sessions = bench.client.get("/api/sessions").json["sessions"];
  REQUIRE(sessions.size() == 1);
  CHECK(sessions[0]["lifter"] == (other == 2 ? "Odalys Brandt" : "Imre Castellan"));

  const Json nobody = bench.told({{"set", 1}, {"row", nullptr}});
  CHECK(nobody["day"]["sets"][0]["row"].is_null());
  CHECK(nobody["day"]["sets"][0]["told"].contains("row"));

  const Json open = bench.told({{"set", 1}, {"open", true}});
  CHECK(open["day"]["sets"][0]["row"] == found);
  CHECK(open["day"]["sets"][0]["told"].is_null());
}

TEST_CASE("a rep left out by hand stays out when the set is given another row",
          "[workbench][days]") {
  Bench bench;
  REQUIRE(bench.analysed()["state"] == "done");
  const Json set = bench.day()["day"]["sets"][0];
  REQUIRE(set["reps"] == 2);
  const Answer left =
      bench.client.post("/api/sessions/" + set["session"].get<std::string>() + "/corrections",
                        {{"kind", "exclude_rep"}, {"set", 1}, {"rep", 1}});
  REQUIRE(left.status == 201);
  // The day leads to what counts now.
  CHECK(bench.day()["day"]["sets"][0]["session"] == left.json["id"]);

  const int other = set["row"] == 2 ? 3 : 2;
  const Json told = bench.told({{"set", 1}, {"row", other}});
  const Json sessions = bench.client.get("/api/sessions").json["sessions"];
  REQUIRE(sessions.size() == 1);
  CHECK(sessions[0]["reps"] == 1);
  CHECK(sessions[0]["id"] == told["day"]["sets"][0]["session"]);
  const Json about =
      bench.client.get("/api/sessions/" + sessions[0]["id"].get<std::string>() + "/about").json;
  CHECK(about["day_recording"] == "day.mp4");
  REQUIRE(about["corrections"].size() == 1);
  CHECK(about["corrections"][0]["words"].get<std::string>().find("1 rep left out") !=
        std::string::npos);
  // A part of the recording cannot be followed from another seed.
  const Answer seed =
      bench.client.post("/api/sessions/" + sessions[0]["id"].get<std::string>() + "/corrections",
                        {{"kind", "seed"}, {"x_px", 100}, {"y_px", 100}, {"t_s", 1}});
  CHECK(seed.status == 409);
}

TEST_CASE("what cannot be is refused before it is kept", "[workbench][days]") {
  Bench bench;
  const auto ask = [&](const Json& body) { return bench.client.post("/api/jobs", body).status; };
  CHECK(ask({{"kind", "day"}, {"clip", "day.mp4"}}) == 400);
  CHECK(ask({{"kind", "day"}, {"clip", "day.mp4"}, {"sheet", "none.csv"}}) == 404);
  CHECK(ask({{"kind", "day"}, {"clip", "none.mp4"}, {"sheet", "monday.csv"}}) == 404);
  CHECK(ask({{"kind", "day"}, {"clip", "../day.mp4"}, {"sheet", "monday.csv"}}) == 400);
  CHECK(ask({{"kind", "day"}, {"sheet", "monday.csv"}}) == 400);
  CHECK(bench.client.get("/api/days/day.mp4").status == 404);
  REQUIRE(bench.analysed()["state"] == "done");
  const auto say = [&](const Json& word) {
    return bench.client.post("/api/days/day.mp4/sets", word).status;
  };
  CHECK(say({{"set", 9}, {"row", 2}}) == 404);
  CHECK(say({{"set", 1}, {"row", 99}}) == 400);
  CHECK(say({{"set", 1}}) == 400);
  CHECK(say({{"set", 1}, {"row", "two"}}) == 400);
  CHECK(!fs::exists(bench.logbook() / "monday.rows.txt"));
}

TEST_CASE("several files make one day, in the order of their cameras and names",
          "[workbench][days]") {
  Bench bench;
  const fs::path second = bench.folder.path() / "evening.mp4";
  fs::copy_file(shared_disc_clip(), second);
  // An empty box at the end: the same pictures in another file, not the same file twice.
  std::ofstream box(second, std::ios::binary | std::ios::app);
  box << std::string("\0\0\0\bfree", 8) << std::flush;
  upload(bench.client, second);
  const auto ask = [&](const Json& recordings) {
    return bench.client.post(
        "/api/jobs", {{"kind", "day"}, {"sheet", "monday.csv"}, {"recordings", recordings}});
  };
  const Json day = {{"name", "day.mp4"}, {"camera", 1}};
  CHECK(ask({day, day}).status == 400);
  CHECK(ask({day, {{"name", "none.mp4"}}}).status == 404);
  CHECK(ask({day, {{"name", "../sheets/monday.csv"}}}).status == 400);
  CHECK(ask({day, {{"name", "evening.mp4"}, {"camera", 0}}}).status == 400);
  CHECK(ask({day, 7}).status == 400);
  CHECK(ask("day.mp4").status == 400);
  CHECK(ask(Json::array({day})).json["clip"] == "day.mp4");  // a list of one is that one

  const Answer begun = ask({{{"name", "evening.mp4"}}, day});
  REQUIRE(begun.status == 201);
  CHECK(begun.json["recordings"].size() == 2);
  const Json job = ended(bench.client, begun.json["id"]);
  CAPTURE(job.dump());
  REQUIRE(job["state"] == "done");
  CHECK(job["session"] == "day.mp4 and 1 more");
  const Json made = bench.client.get("/api/days/day.mp4%20and%201%20more").json["day"];
  REQUIRE(made["sets"].size() == 2);
  CHECK(made["sets"][0]["recording"] == "day.mp4");
  CHECK(made["sets"][1]["recording"] == "evening.mp4");
  CHECK(made["missed"].empty());
  // Each set's picture comes from its own file.
  for (const Json& set : made["sets"]) {
    const auto id = set["session"].get<std::string>();
    CHECK(bench.client.get("/api/sessions/" + id + "/about").json["clip_file"] == set["recording"]);
  }
}

TEST_CASE("a camera's files lie in a folder of their own, as links", "[workbench][days]") {
  Bench bench;
  const fs::path second = bench.folder.path() / "other side.mp4";
  fs::copy_file(shared_disc_clip(), second);
  upload(bench.client, second);
  const Answer begun = bench.client.post(
      "/api/jobs",
      {{"kind", "day"},
       {"sheet", "monday.csv"},
       {"recordings",
        {{{"name", "day.mp4"}, {"camera", 1}}, {{"name", "other side.mp4"}, {"camera", 2}}}}});
  REQUIRE(begun.status == 201);
  REQUIRE(ended(bench.client, begun.json["id"])["state"] == "done");
  const fs::path files = bench.logbook() / "days" / "day.mp4 and 1 more.files";
  CHECK(fs::is_symlink(files / "camera 1" / "day.mp4"));
  CHECK(fs::is_symlink(files / "camera 2" / "other side.mp4"));
}
