// What the server reads out is what the command line writes: the same bytes where it is a file's,
// the same words where it is a table's. Pictures are compared with those of a reading from the
// clip's beginning.
#include <atomic>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <string>
#include <thread>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/session_file.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/report/csv.h"
#include "libkinetics/report/jpeg.h"
#include "libkinetics/report/json.h"
#include "libkinetics/report/table.h"
#include "tests/workbench/bench_client.h"

using kinetics::workbench::Workbench;
using kinetics_test::Answer;
using kinetics_test::bytes_of;
using kinetics_test::Client;
using kinetics_test::ended;
using kinetics_test::options_in;
using kinetics_test::sample;
using kinetics_test::TemporaryFolder;
using kinetics_test::upload;
namespace fs = std::filesystem;

namespace {

/// Uploads and analyses the dead-lift sample; gives the session's id.
std::string analysed(Client& client) {
  upload(client, sample("clips/northgate_deadlift.mp4"));
  const Answer job = client.post("/api/jobs", {{"clip", "northgate_deadlift.mp4"}});
  REQUIRE(job.status == 201);
  const nlohmann::json end = ended(client, job.json["id"]);
  REQUIRE(end["state"] == "done");
  return end["session"];
}

}  // namespace

TEST_CASE("the page's files are sent as they are: compressing them takes longer than sending them",
          "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  const Answer plain = client.get("/");
  const Answer any = client.get("/", {{"Accept-Encoding", "gzip, deflate, br"}});
  CHECK(any.status == 200);
  CHECK(any.headers.count("Content-Encoding") == 0);
  CHECK(any.text == plain.text);
}

TEST_CASE("from an empty logbook to a table by upload", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  CHECK(client.get("/api/state").json["empty"] == true);
  const std::string id = analysed(client);
  CHECK(client.get("/api/state").json["empty"] == false);

  const auto session = kinetics::load_session((folder.path() / "logbook" / (id + ".h5")).string());
  REQUIRE(session.reps.size() >= 3);
  const nlohmann::json listed = client.get("/api/sessions").json["sessions"];
  REQUIRE(listed.size() == 1);
  CHECK(listed[0]["id"] == id);
  CHECK(listed[0]["reps"] == session.reps.size());
  CHECK(listed[0]["clip"] == true);

  const Answer whole = client.get("/api/sessions/" + id);
  CHECK(whole.text == kinetics::to_json(session));
  const Answer few = client.get("/api/sessions/" + id + "?samples=100");
  CHECK(few.json["reps"] == whole.json["reps"]);
  CHECK(few.json["samples"]["t_s"].size() <= 100);
  CHECK(few.json["samples"]["t_s"].size() > 50);
  CHECK(client.get("/api/sessions/" + id + "?samples=0").json["samples"]["t_s"].empty());
  CHECK(client.get("/api/sessions/" + id + "?samples=x").status == 400);

  const nlohmann::json about = client.get("/api/sessions/" + id + "/about").json;
  CHECK(about["table"] == kinetics::to_table(session));
  for (const auto& row : about["rows"]) {
    const std::string cell = row["mean_velocity"];
    CHECK(about["table"].get<std::string>().find(cell) != std::string::npos);
  }
  CHECK(about["frames"] == session.disc.sightings.size());
  CHECK(about["can_undo"] == false);

  const nlohmann::json disc = client.get("/api/sessions/" + id + "/disc").json;
  for (const auto& [name, column] : disc.items()) {
    CAPTURE(name);
    CHECK(column.size() == session.disc.sightings.size());
  }
  CHECK(client.get("/api/sessions/" + id + "/export.csv").text == kinetics::to_csv(session));
  CHECK(client.get("/api/sessions/" + id + "/export.json").text == kinetics::to_json(session));
  CHECK(client.get("/api/sessions/" + id + "/plot.svg").text.find("<svg") != std::string::npos);

  // A browser that has it asks whether it is still true.
  const auto tag = whole.headers.find("ETag");
  REQUIRE(tag != whole.headers.end());
  CHECK(client.get("/api/sessions/" + id, {{"If-None-Match", tag->second}}).status == 304);
  CHECK(client.get("/api/sessions/nothing").status == 404);
  CHECK(client.get("/api/sessions/nothing/about").json["error"]["code"] == "not_found");

  // Any picture in any order is the one that a reading from the beginning comes to.
  kinetics::ClipReader reader(sample("clips/northgate_deadlift.mp4").string());
  std::vector<std::string> pictures;
  while (const auto frame = reader.next()) {
    if (frame->index % 37 == 0) {
      pictures.push_back(kinetics::to_jpeg(kinetics::to_colour(*frame, reader.info(), 480), 82));
    }
  }
  for (const std::size_t i : {pictures.size() - 1,
                              std::size_t{0},
                              pictures.size() / 2,
                              pictures.size() / 2 - 1,
                              std::size_t{1}}) {
    CAPTURE(i);
    const Answer picture =
        client.get("/api/sessions/" + id + "/frames/" + std::to_string(37 * i) + ".jpg?width=480");
    CHECK(picture.status == 200);
    CHECK((picture.text == pictures[i]));
  }
  CHECK(client.get("/api/sessions/" + id + "/frames/999999.jpg").status == 404);
}

TEST_CASE("a damaged session is told of and hides no other", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  std::ofstream(folder.path() / "logbook" / "broken.h5") << "no session";
  const nlohmann::json listed = client.get("/api/sessions").json;
  CHECK(listed["sessions"].empty());
  REQUIRE(listed["unreadable"].size() == 1);
  CHECK(listed["unreadable"][0]["id"] == "broken");
  CHECK(client.get("/api/sessions/broken").status == 422);
}

TEST_CASE("a file that is no clip fails as a job with the reader's words", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  std::ofstream(folder.path() / "text.mp4") << "this is a text and no clip";
  upload(client, folder.path() / "text.mp4");
  const Answer job = client.post("/api/jobs", {{"clip", "text.mp4"}});
  REQUIRE(job.status == 201);
  const nlohmann::json end = ended(client, job.json["id"]);
  CHECK(end["state"] == "failed");
  CHECK(end["error"]["code"] == "unreadable");
  CHECK(end["error"]["where"].get<std::string>().find("text.mp4") != std::string::npos);
  CHECK(client.get("/api/sessions").json["sessions"].empty());
}

TEST_CASE("a job's options are checked before it is taken on", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  upload(client, sample("clips/northgate_deadlift.mp4"));
  const auto status = [&](const nlohmann::json& more) {
    nlohmann::json body = {{"clip", "northgate_deadlift.mp4"}};
    body.update(more);
    return client.post("/api/jobs", body).status;
  };
  CHECK(status({{"options", {{"disc_diameter_m", 45.0}}}}) == 400);
  CHECK(status({{"options", {{"disc_diameter", 0.45}}}}) == 400);
  CHECK(status({{"options", {{"seed", {{"x_px", 5}}}}}}) == 400);
  CHECK(status({{"options", 5}}) == 400);
  CHECK(status({{"log", "no such.csv"}}) == 404);
  CHECK(status({{"set", {{"sheet", "none.csv"}}}}) == 404);
  CHECK(status({{"set", {{"lifter", "Odalys Brandt"}}}}) / 100 == 4);
  CHECK(client.post("/api/jobs", nlohmann::json::object()).status == 400);
  CHECK(client.get("/api/jobs").json["jobs"].empty());
}

TEST_CASE("roster and sheet are texts that two pages cannot overwrite for each other",
          "[workbench][club]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  Client client(bench.port());
  CHECK(client.get("/api/roster").json["club"].is_null());
  const std::string roster = bytes_of(sample("club/northgate.toml"));
  const Answer first = client.put("/api/roster", {{"text", roster}, {"revision", nullptr}});
  REQUIRE(first.status == 200);
  CHECK(first.json["club"]["name"] == "Northgate Barbell");
  CHECK(client.put("/api/roster", {{"text", roster + "\n"}, {"revision", nullptr}}).status == 409);
  const Answer second =
      client.put("/api/roster", {{"text", roster + "\n"}, {"revision", first.json["revision"]}});
  CHECK(second.status == 200);
  // What was replaced is kept.
  bool kept = false;
  for (const auto& file : fs::directory_iterator(folder.path() / "logbook" / "kept")) {
    kept = kept || bytes_of(file.path()) == roster;
  }
  CHECK(kept);
  const Answer bad = client.put(
      "/api/roster", {{"text", "clubb = \"x\"\n"}, {"revision", second.json["revision"]}});
  CHECK(bad.status == 422);
  CHECK(bad.json["error"]["where"].get<std::string>().find("roster.toml") == 0);
  CHECK(client.post("/api/roster/check", {{"text", "clubb = \"x\"\n"}}).json["error"]["code"] ==
        "unreadable");

  const std::string sheet = bytes_of(sample("club/speed_day.csv"));
  const Answer stored = client.put("/api/sheets/day.csv", {{"text", sheet}, {"revision", nullptr}});
  REQUIRE(stored.status == 200);
  CHECK(stored.json["rows"].size() == 3);
  CHECK(stored.json["problems"].empty());
  CHECK(stored.json["rows"][0]["lifter"] == "Odalys Brandt");
  const Answer wrong = client.post("/api/sheets/day.csv/check",
                                   {{"text", "lifter,lift,load (kg)\nNobody Here,deadlift,100\n"}});
  CHECK(wrong.status == 200);
  CHECK(!wrong.json["problems"].empty());
  CHECK(client.post("/api/sheets/new.csv/new").status == 201);
  CHECK(client.post("/api/sheets/new.csv/new").status == 409);
  CHECK(client.get("/api/sheets").json["sheets"].size() == 2);
  CHECK(client.put("/api/sheets/day.txt", {{"text", sheet}, {"revision", nullptr}}).status == 400);
}

TEST_CASE("a second workbench on the same logbook is refused", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  CHECK_THROWS_WITH(Workbench(options_in(folder)), Catch::Contains("serves this logbook already"));
}

TEST_CASE("a port that is taken is named", "[workbench][reads]") {
  const TemporaryFolder folder;
  const TemporaryFolder other;
  const Workbench bench(options_in(folder));
  auto options = options_in(other);
  options.port = bench.port();
  CHECK_THROWS_WITH(Workbench(options), Catch::Contains("another program uses it"));
}

TEST_CASE("a page hears of what another one did", "[workbench][reads]") {
  const TemporaryFolder folder;
  const Workbench bench(options_in(folder));
  std::string heard;
  std::thread listening([&] {
    httplib::Client browser("127.0.0.1", bench.port());
    browser.set_read_timeout(20);
    const auto latest = std::chrono::steady_clock::now() + std::chrono::seconds(30);
    (void)browser.Get("/api/events", [&](const char* data, std::size_t size) {
      heard.append(data, size);
      return heard.find("event: club") == std::string::npos &&
             std::chrono::steady_clock::now() < latest;
    });
  });
  Client client(bench.port());
  // Written again until it is heard: the other page may not listen yet.
  std::atomic<bool> stop{false};
  std::thread writing([&] {
    nlohmann::json revision = nullptr;
    for (int i = 0; i < 100 && !stop; ++i) {
      const std::string text =
          "lifter,lift,load (kg)\nOdalys Brandt,squat," + std::to_string(60 + i) + "\n";
      revision = client.put("/api/sheets/day.csv", {{"text", text}, {"revision", revision}})
                     .json["revision"];
      std::this_thread::sleep_for(std::chrono::milliseconds(200));
    }
  });
  listening.join();
  stop = true;
  writing.join();
  CHECK(heard.find("event: jobs\ndata: {\"jobs\":[]}") == 0);
  CHECK(heard.find("event: club") != std::string::npos);
}
