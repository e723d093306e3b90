// Corrections over the API. A moved rep's mean velocity is held against its definition, height
// gained over time, worked out from the served samples; an undone one against the numbers before.
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

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
using Json = nlohmann::json;

namespace {

/// A logbook with the club, its sheet and the analysed dead-lift sample.
struct Day {
  TemporaryFolder folder;
  Workbench bench{options_in(folder)};
  Client client{bench.port()};
  std::string id;

  Day() {
    (void)client.put("/api/roster",
                     {{"text", bytes_of(sample("club/northgate.toml"))}, {"revision", nullptr}});
    (void)client.put("/api/sheets/day.csv",
                     {{"text", bytes_of(sample("club/speed_day.csv"))}, {"revision", nullptr}});
    upload(client, sample("clips/northgate_deadlift.mp4"));
    const Answer job = client.post("/api/jobs", {{"clip", "northgate_deadlift.mp4"}});
    id = ended(client, job.json["id"])["session"];
  }
  Json session(const std::string& of) { return client.get("/api/sessions/" + of).json; }
  Json about(const std::string& of) { return client.get("/api/sessions/" + of + "/about").json; }
  Answer correct(const std::string& of, const Json& body) {
    return client.post("/api/sessions/" + of + "/corrections", body);
  }
};

double height_at(const Json& samples, double t_s) {
  const auto& t = samples["t_s"];
  for (std::size_t i = 1; i < t.size(); ++i) {
    const double after = t[i];
    if (after < t_s) continue;
    const double before = t[i - 1];
    const double share = (t_s - before) / (after - before);
    const double a = samples["height_m"][i - 1];
    const double b = samples["height_m"][i];
    return a + share * (b - a);
  }
  return 0.0;
}

}  // namespace

TEST_CASE("a rep's end is moved, seen at once, kept in the history and taken back",
          "[workbench][corrections]") {
  Day day;
  const Json before = day.session(day.id);
  REQUIRE(before["reps"].size() >= 3);
  const double start_s = before["reps"][1]["start_s"];
  const double end_s = before["reps"][1]["end_s"].get<double>() - 0.2;
  const Json move = {
      {"kind", "move_rep"}, {"set", 1}, {"rep", 2}, {"start_s", start_s}, {"end_s", end_s}};

  const Answer preview =
      day.client.post("/api/sessions/" + day.id + "/corrections?preview=1", move);
  CHECK(preview.status == 200);
  CHECK(day.client.get("/api/sessions").json["sessions"].size() == 1);

  const Answer moved = day.correct(day.id, move);
  REQUIRE(moved.status == 201);
  CHECK(moved.json["session"]["reps"] == preview.json["session"]["reps"]);
  const std::string fresh = moved.json["id"];
  const Json after = day.session(fresh);
  const Json& samples = before["samples"];
  const double expected_mps =
      (height_at(samples, end_s) - height_at(samples, start_s)) / (end_s - start_s);
  const double mean_mps = after["reps"][1]["mean_velocity_mps"]["value"];
  CHECK(std::abs(mean_mps - expected_mps) < 0.002);  // straight between samples; steps of 1e-5 m
  CHECK(mean_mps != before["reps"][1]["mean_velocity_mps"]["value"]);
  // The others keep their numbers.
  for (const std::size_t i : {std::size_t{0}, std::size_t{2}}) {
    for (const char* key : {"mean_velocity_mps", "peak_velocity_mps", "rom_m", "concentric_s"}) {
      CAPTURE(i, key);
      CHECK(after["reps"][i][key] == before["reps"][i][key]);
    }
  }
  const Json about = day.about(fresh);
  REQUIRE(about["corrections"].size() == 1);
  CHECK(about["corrections"][0]["words"].get<std::string>().find("set 1 rep 2") !=
        std::string::npos);
  CHECK(about["can_undo"] == true);
  CHECK(day.about(day.id)["newest"] == fresh);

  // Another tab that still shows the old one is told.
  const Answer late = day.correct(day.id, {{"kind", "exclude_rep"}, {"set", 1}, {"rep", 1}});
  CHECK(late.status == 409);
  CHECK(late.json["newest"] == fresh);

  const Answer undone = day.client.post("/api/sessions/" + fresh + "/undo");
  REQUIRE(undone.status == 201);
  const std::string back = undone.json["id"];
  CHECK(day.session(back)["reps"] == before["reps"]);
  const Json history = day.about(back);
  CHECK(history["corrections"].size() == 2);
  CHECK(history["corrections"][0]["undone"] == true);
  CHECK(history["can_undo"] == false);
  CHECK(day.client.post("/api/sessions/" + back + "/undo").status == 409);
  CHECK(day.client.get("/api/sessions").json["sessions"].size() == 1);
  CHECK(day.client.get("/api/sessions?all=1").json["sessions"].size() == 3);
}

TEST_CASE("reps are split, merged, left out and added", "[workbench][corrections]") {
  Day day;
  const Json before = day.session(day.id);
  const std::size_t reps = before["reps"].size();
  const double start_s = before["reps"][0]["start_s"];
  const double end_s = before["reps"][0]["end_s"];

  const Answer split = day.correct(
      day.id, {{"kind", "split_rep"}, {"set", 1}, {"rep", 1}, {"at_s", 0.5 * (start_s + end_s)}});
  REQUIRE(split.status == 201);
  CHECK(split.json["session"]["reps"].size() == reps + 1);
  const Answer merged =
      day.correct(split.json["id"], {{"kind", "merge_reps"}, {"set", 1}, {"rep", 1}});
  REQUIRE(merged.status == 201);
  CHECK(merged.json["session"]["reps"] == before["reps"]);
  const Answer without =
      day.correct(merged.json["id"], {{"kind", "exclude_rep"}, {"set", 1}, {"rep", 1}});
  REQUIRE(without.status == 201);
  CHECK(without.json["session"]["reps"].size() == reps - 1);
  const Answer added = day.correct(without.json["id"],
                                   {{"kind", "add_rep"}, {"start_s", start_s}, {"end_s", end_s}});
  REQUIRE(added.status == 201);
  CHECK(added.json["session"]["reps"] == before["reps"]);

  // Taking back twice goes two corrections back, not back and forth.
  const Answer once =
      day.client.post("/api/sessions/" + added.json["id"].get<std::string>() + "/undo");
  REQUIRE(once.status == 201);
  CHECK(once.json["session"]["reps"].size() == reps - 1);
  const Answer twice =
      day.client.post("/api/sessions/" + once.json["id"].get<std::string>() + "/undo");
  REQUIRE(twice.status == 201);
  CHECK(twice.json["session"]["reps"] == before["reps"]);
}

TEST_CASE("a correction that makes no sense says why and stores nothing",
          "[workbench][corrections]") {
  Day day;
  const double start_s = day.session(day.id)["reps"][0]["start_s"];
  for (const Json& body :
       {Json{{"kind", "move_rep"}, {"set", 1}, {"rep", 99}, {"start_s", 1.0}, {"end_s", 2.0}},
        Json{{"kind", "move_rep"}, {"set", 1}, {"rep", 1}, {"start_s", 5.0}, {"end_s", 4.0}},
        Json{{"kind", "move_rep"}, {"set", 1}, {"rep", 1}, {"start_s", 5.0}, {"end_s", 4000.0}},
        Json{{"kind", "move_rep"}, {"set", 1}, {"rep", 1}},
        Json{{"kind", "split_rep"}, {"set", 1}, {"rep", 1}, {"at_s", start_s - 1.0}},
        Json{{"kind", "merge_reps"}, {"set", 2}, {"rep", 1}},
        Json{{"kind", "disc_diameter"}, {"disc_diameter_m", 45}},
        Json{{"kind", "seed"}, {"x_px", 5}},
        Json{{"kind", "set"},
             {"set", {{"lifter", "Nobody"}, {"lift", "deadlift"}, {"load_kg", 100}}}},
        Json{{"kind", "no such"}, {"set", 1}, {"rep", 1}},
        Json::object()}) {
    CAPTURE(body.dump());
    const Answer answer = day.correct(day.id, body);
    CHECK((answer.status == 400 || answer.status == 422));
    CHECK(!answer.json["error"]["mend"].get<std::string>().empty());
  }
  CHECK(day.client.get("/api/sessions?all=1").json["sessions"].size() == 1);
}

TEST_CASE("a lifter and load are told afterwards, by sheet or by hand",
          "[workbench][corrections]") {
  Day day;
  CHECK(day.session(day.id)["reps"][0]["mean_force_n"].contains("not_measured"));
  const Answer told =
      day.correct(day.id, {{"kind", "set"}, {"set", {{"sheet", "day.csv"}, {"row", 4}}}});
  REQUIRE(told.status == 201);
  CHECK(told.json["session"]["plan"]["lifter"] == "Wenna Duarte");
  CHECK(told.json["session"]["reps"][0]["mean_load_kg"]["value"] == 150.0);
  CHECK(told.json["session"]["reps"][0]["mean_force_n"].contains("value"));
  CHECK(day.client.get("/api/history").json["sets"][0]["stated_load_kg"] == 150.0);

  const Answer by_hand = day.correct(
      told.json["id"],
      {{"kind", "set"},
       {"set", {{"lifter", "Wenna Duarte"}, {"lift", "deadlift"}, {"load_kg", 155.5}}}});
  REQUIRE(by_hand.status == 201);
  CHECK(by_hand.json["session"]["plan"]["stated_load_kg"] == 155.5);
  const Json history = day.client.get("/api/history?lifter=Wenna%20Duarte").json["sets"];
  REQUIRE(history.size() == 1);  // corrected sessions count once
  CHECK(history[0]["stated_load_kg"] == 155.5);
  const std::string words =
      day.about(by_hand.json["id"])["corrections"][1]["words"].get<std::string>();
  CHECK(words.find("155.5 kg") != std::string::npos);
  CHECK(words.find("150 kg") != std::string::npos);
}

TEST_CASE("another disc scales what was measured, and another seed follows it again",
          "[workbench][corrections]") {
  Day day;
  const Json before = day.session(day.id);
  const Answer scaled = day.correct(day.id, {{"kind", "disc_diameter"}, {"disc_diameter_m", 0.36}});
  REQUIRE(scaled.status == 201);
  const Json& reps = scaled.json["session"]["reps"];
  REQUIRE(reps.size() == before["reps"].size());
  for (std::size_t i = 0; i < reps.size(); ++i) {
    // Peak velocity and range are lengths of the picture times the disc's. The ends of a rise stand
    // at 0.02 m/s, so the range moves with them by a fraction of a millimetre.
    const double peak = before["reps"][i]["peak_velocity_mps"]["value"];
    const double rom = before["reps"][i]["rom_m"]["value"];
    CHECK(std::abs(reps[i]["peak_velocity_mps"]["value"].get<double>() - 0.8 * peak) < 0.002);
    CHECK(std::abs(reps[i]["rom_m"]["value"].get<double>() - 0.8 * rom) < 0.002);
  }
  const std::string id = scaled.json["id"];
  const Json disc = day.client.get("/api/sessions/" + id + "/disc").json;
  const Answer seeded = day.correct(id,
                                    {{"kind", "seed"},
                                     {"x_px", disc["x_px"][30]},
                                     {"y_px", disc["y_px"][30]},
                                     {"t_s", disc["t_s"][30]}});
  REQUIRE(seeded.status == 202);
  const Json end = ended(day.client, seeded.json["job"]["id"]);
  REQUIRE(end["state"] == "done");
  const Json again = day.session(end["session"]);
  CHECK(again["options"]["disc_diameter_m"] == 0.36);
  CHECK(again["options"]["seed"]["t_s"] == disc["t_s"][30]);
  REQUIRE(again["reps"].size() == reps.size());
  for (std::size_t i = 0; i < reps.size(); ++i) {
    // A whole new analysis with this disc: the short way must have come to the same.
    const double was = reps[i]["mean_velocity_mps"]["value"];
    CHECK(std::abs(again["reps"][i]["mean_velocity_mps"]["value"].get<double>() - was) < 0.004);
  }
  CHECK(day.about(end["session"])["corrections"].size() == 2);
}

TEST_CASE("another seed keeps the reps that were placed and left out by hand",
          "[workbench][corrections]") {
  Day day;
  const Json before = day.session(day.id);
  const double start_s = before["reps"][1]["start_s"];
  const double end_s = before["reps"][1]["end_s"].get<double>() - 0.15;
  const Answer moved = day.correct(
      day.id,
      {{"kind", "move_rep"}, {"set", 1}, {"rep", 2}, {"start_s", start_s}, {"end_s", end_s}});
  REQUIRE(moved.status == 201);
  const Answer left =
      day.correct(moved.json["id"], {{"kind", "exclude_rep"}, {"set", 1}, {"rep", 4}});
  REQUIRE(left.status == 201);
  const Json disc = day.client.get("/api/sessions/" + day.id + "/disc").json;
  const Answer seeded = day.correct(left.json["id"],
                                    {{"kind", "seed"},
                                     {"x_px", disc["x_px"][30]},
                                     {"y_px", disc["y_px"][30]},
                                     {"t_s", disc["t_s"][30]}});
  REQUIRE(seeded.status == 202);
  const Json end = ended(day.client, seeded.json["job"]["id"]);
  REQUIRE(end["state"] == "done");
  const Json again = day.session(end["session"]);
  REQUIRE(again["reps"].size() == before["reps"].size() - 1);
  CHECK(std::abs(again["reps"][1]["end_s"].get<double>() - end_s) < 1e-4);
  const Json history = day.about(end["session"])["corrections"];
  REQUIRE(history.size() == 4);
  CHECK(history[3]["words"].get<std::string>().find("1 rep placed by hand, 1 rep left out") !=
        std::string::npos);
  // One step back takes both away: they were stored in one.
  const Answer undone =
      day.client.post("/api/sessions/" + end["session"].get<std::string>() + "/undo");
  REQUIRE(undone.status == 201);
  CHECK(undone.json["session"]["reps"] == left.json["session"]["reps"]);
}
