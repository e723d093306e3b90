// What the index remembers is what the session files hold, read here one by one without it; and the
// index can be deleted, damaged, out of date or impossible to write without a number changing.
#include "libkinetics/logbook/history.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/correct.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::any_note_says;
using kinetics_test::Folder;
using kinetics_test::lifted_session;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

namespace fs = std::filesystem;

/// The sets of the files, with nothing but the files' own reader.
std::vector<LiftedSet> read_plainly(const std::string& logbook) {
  std::vector<LiftedSet> out;
  for (const auto& entry : fs::directory_iterator(logbook)) {
    if (entry.path().extension() != ".h5") continue;
    for (LiftedSet& set : lifted_sets(load_session(entry.path().string()))) {
      set.session = entry.path().filename().string();
      out.push_back(std::move(set));
    }
  }
  std::stable_sort(out.begin(), out.end(), [](const LiftedSet& a, const LiftedSet& b) {
    return std::tie(a.day, a.session, a.set) < std::tie(b.day, b.session, b.set);
  });
  return out;
}

/// Twelve sessions of three lifters over four days.
void store_some(const std::string& logbook) {
  for (std::uint32_t seed = 0; seed < 12; ++seed)
    (void)store_session(lifted_session(seed), logbook);
}

std::string index_of(const Folder& folder) {
  return folder / "logbook" + "/index.sqlite";
}

}  // namespace

TEST_CASE("the index remembers exactly what the session files hold", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::vector<LiftedSet> plain = read_plainly(logbook);
  REQUIRE(plain.size() >= 12);
  CHECK(read_history(logbook).sets == plain);
  CHECK(read_history(logbook).sets == plain);  // now from the index alone
  CHECK(read_history(logbook).notes.empty());
  CHECK(fs::exists(index_of(folder)));
}

TEST_CASE("history is filtered by lifter, lift and day as the roster compares names", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::vector<LiftedSet> plain = read_plainly(logbook);
  const auto count = [&](auto wanted) {
    return static_cast<std::size_t>(std::count_if(plain.begin(), plain.end(), wanted));
  };
  const std::string lifter = plain.front().lifter;
  CHECK(read_history(logbook, {.lifter = "  odalys   BRANDT "}).sets.size() ==
        count([](const LiftedSet& s) { return s.lifter == "Odalys Brandt"; }));
  CHECK(read_history(logbook, {.lift = "Box-Squat"}).sets.size() ==
        count([](const LiftedSet& s) { return s.lift == "box squat"; }));
  CHECK(read_history(logbook, {.from_day = "2031-03-08"}).sets.size() ==
        count([](const LiftedSet& s) { return s.day >= "2031-03-08"; }));
  CHECK(read_history(logbook, {.to_day = "2031-03-08"}).sets.size() ==
        count([](const LiftedSet& s) { return !s.day.empty() && s.day <= "2031-03-08"; }));
  CHECK(read_history(logbook, {.lifter = "Nobody"}).sets.empty());
}

TEST_CASE("sessions stored, deleted and replaced are noticed by the next query", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  (void)read_history(logbook);
  const std::string added = store_session(lifted_session(40), logbook);
  CHECK(read_history(logbook).sets == read_plainly(logbook));
  fs::remove(added);
  CHECK(read_history(logbook).sets == read_plainly(logbook));
  const SessionList list = list_sessions(logbook);
  const auto gone = std::find_if(list.sessions.begin(), list.sessions.end(), [&](const auto& s) {
    return s.file == fs::path(added).filename();
  });
  REQUIRE(gone != list.sessions.end());  // a lost file does not go unseen
  CHECK_THAT(gone->problem, Contains("no longer in the folder"));
}

TEST_CASE("a session under another name is the same session", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const std::string stored = store_session(lifted_session(1), logbook);
  const std::size_t sets = read_history(logbook).sets.size();
  fs::copy_file(stored, logbook + "/2031 copy.h5");
  CHECK(read_history(logbook).sets.size() == sets);
  CHECK(any_note_says(read_history(logbook).notes, "is a copy"));
  fs::remove(stored);
  CHECK(read_history(logbook).sets.size() == sets);
  CHECK(read_history(logbook).sets.front().session == "2031 copy.h5");
  CHECK(list_sessions(logbook).sessions.size() == 1);
}

TEST_CASE("of two analyses of one recording the later one counts", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  Session first = lifted_session(1);
  first.provenance.source_sha256 = std::string(64, 'b');
  Session again = first;
  again.provenance.analysed_at = "2031-12-01T08:00:00Z";
  const std::string newer = store_session(again, logbook);
  const std::string older = store_session(first, logbook);
  const History history = read_history(logbook);
  REQUIRE_FALSE(history.sets.empty());
  for (const LiftedSet& set : history.sets) CHECK(set.session == fs::path(newer).filename());
  CHECK(any_note_says(history.notes, "a later analysis of the same recording"));

  // Sets of one long recording stand beside each other.
  Session later_set = first;
  for (Rep& rep : later_set.reps) {
    rep.start_s += 500.0;
    rep.end_s += 500.0;
  }
  const std::size_t before = history.sets.size();
  (void)store_session(later_set, logbook);
  CHECK(read_history(logbook).sets.size() == 2 * before);
}

TEST_CASE("a correction counts in place of what it corrects, and both are kept", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const std::string first = store_session(lifted_session(1), logbook);
  const std::string bytes = slurp(first);

  Session corrected = load_session(first);
  corrected.options.plan->lifter = "Imre Castellan";
  const std::string second =
      store_correction(corrected, first, {{"lifter", "Odalys Brandt", "Imre Castellan"}});
  CHECK(second != first);
  CHECK(slurp(first) == bytes);
  for (const LiftedSet& set : read_history(logbook).sets) {
    CHECK(set.lifter == "Imre Castellan");
    CHECK(set.session == fs::path(second).filename());
  }

  // A second correction, of a rep: the first of its set goes.
  corrected = load_session(second);
  const std::size_t reps = corrected.reps.size();
  corrected.reps.erase(corrected.reps.begin());
  const std::string third =
      store_correction(corrected, second, {{"rep excluded", "set 1 rep 1, 0.600 m/s", ""}});
  const Session stored = load_session(third);
  CHECK(stored.provenance.supersedes == fs::path(second).filename());
  REQUIRE(stored.corrections.size() == 2);
  CHECK(stored.corrections[0].what == "lifter");
  CHECK(stored.corrections[0].of_file == fs::path(first).filename());
  CHECK(stored.corrections[0].before == "Odalys Brandt");
  CHECK(stored.corrections[0].after == "Imre Castellan");
  CHECK(stored.corrections[1].of_file == fs::path(second).filename());
  CHECK(stored.corrections[1].made_at >= stored.corrections[0].made_at);
  std::size_t counted = 0;
  for (const LiftedSet& set : read_history(logbook).sets) counted += set.reps.size();
  CHECK(counted == reps - 1);
  CHECK(read_history(logbook).notes.empty());

  // Without the one in the middle the first does not come back.
  fs::remove(second);
  for (const LiftedSet& set : read_history(logbook).sets) {
    CHECK(set.session == fs::path(third).filename());
  }
}

TEST_CASE("a session is corrected once; the next correction is of the new one", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const std::string first = store_session(lifted_session(1), logbook);
  const Session session = load_session(first);
  const std::string second = store_correction(session, first, {{"load", "90 kg", "92.5 kg"}});
  const std::size_t files = read_plainly(logbook).size();
  CHECK_THROWS_WITH(store_correction(session, first, {{"load", "90 kg", "95 kg"}}),
                    Contains(fs::path(second).filename().string()) && Contains("Correct that one"));
  CHECK_THROWS_WITH(store_correction(session, second, {}), Contains("nothing was corrected"));
  CHECK(read_plainly(logbook).size() == files);
}

TEST_CASE("a newest correction that is damaged lets the one before it count", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const std::string first = store_session(lifted_session(1), logbook);
  const std::string second =
      store_correction(load_session(first), first, {{"load", "90 kg", "95 kg"}});
  spill(second, slurp(second).substr(0, 3000));
  const History history = read_history(logbook);
  REQUIRE_FALSE(history.sets.empty());
  CHECK(history.sets.front().session == fs::path(first).filename());
  CHECK(any_note_says(history.notes, fs::path(second).filename().string()));
}

TEST_CASE("an index that is damaged, of another version or no index is made anew", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::vector<LiftedSet> plain = read_plainly(logbook);
  CHECK(read_history(logbook).sets == plain);
  const std::string whole = slurp(index_of(folder));

  spill(index_of(folder), "this is no database, but it is long enough to look at");
  CHECK(read_history(logbook).sets == plain);
  spill(index_of(folder), "");
  CHECK(read_history(logbook).sets == plain);
  spill(index_of(folder), whole.substr(0, whole.size() / 2));
  CHECK(read_history(logbook).sets == plain);
  std::string other_version = whole;
  other_version[63] = static_cast<char>(other_version[63] ^ 1);  // user_version, SQLite file format
  spill(index_of(folder), other_version);
  CHECK(read_history(logbook).sets == plain);
  CHECK(slurp(index_of(folder))[63] == whole[63]);
  fs::remove(index_of(folder));
  CHECK(read_history(logbook).sets == plain);
}

TEST_CASE("an index cut short or with bytes written over never stops a query", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::size_t sets = read_history(logbook).sets.size();
  const std::string whole = slurp(index_of(folder));
  std::mt19937 random(20261126);
  for (int round = 0; round < 60; ++round) {
    std::string bad = whole;
    if (round % 3 == 0) {
      bad.resize(random() % bad.size());
    } else {
      const std::size_t at = random() % (bad.size() - 64);
      for (std::size_t i = at; i < at + 64; ++i) bad[i] = static_cast<char>(random());
    }
    spill(index_of(folder), bad);
    // What SQLite itself cannot tell from good data is found by `check`, which compares all.
    CHECK_NOTHROW(read_history(logbook));
  }
  fs::remove(index_of(folder));
  CHECK(read_history(logbook).sets.size() == sets);
}

TEST_CASE("a damaged session is noted by name and the others stay", "[logbook][bad-input]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::string bad = store_session(lifted_session(50), logbook);
  (void)read_history(logbook);
  spill(bad, slurp(bad).substr(0, 5000));
  fs::last_write_time(bad, fs::file_time_type::clock::now() + std::chrono::seconds(5));
  const History history = read_history(logbook);
  CHECK(any_note_says(history.notes, fs::path(bad).filename().string()));
  fs::remove(bad);
  CHECK(history.sets == read_plainly(logbook));
}

TEST_CASE("a list tells of each session, the damaged with what they held", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  const Session session = lifted_session(1);
  const std::string stored = store_session(session, logbook);
  const SessionEntry entry = list_sessions(logbook).sessions.at(0);
  CHECK(entry.file == fs::path(stored).filename());
  CHECK(entry.lifter == session.options.plan->lifter);
  CHECK(entry.stated_load_kg == session.options.plan->stated_load_kg);
  CHECK(entry.day == session.provenance.held_on);
  CHECK(entry.reps == static_cast<int>(session.reps.size()));
  double fastest = 0.0;
  for (const Rep& rep : session.reps) {
    if (rep.kind == RepKind::kFull && rep.mean_velocity_mps.ok()) {
      fastest = std::max(fastest, rep.mean_velocity_mps.value());
    }
  }
  CHECK(entry.fastest_mps.value() == fastest);

  spill(stored, slurp(stored).substr(0, 4000));
  const SessionEntry damaged = list_sessions(logbook).sessions.at(0);
  CHECK_THAT(damaged.problem, Contains("cut short"));
  CHECK(damaged.lifter == entry.lifter);  // so that the coach knows what is missing
}

TEST_CASE("a logbook that cannot be written is read all the same", "[logbook]") {
  const Folder folder;
  const std::string logbook = folder / "logbook";
  store_some(logbook);
  const std::vector<LiftedSet> plain = read_plainly(logbook);
  // A folder of that name stands in the way of the index, also for the superuser.
  fs::create_directories(index_of(folder) + "/occupied");
  const History history = read_history(logbook);
  CHECK(history.sets == plain);
  CHECK(any_note_says(history.notes, "index could not be written"));
}

TEST_CASE("a logbook that is not there is told by name", "[logbook][bad-input]") {
  const Folder folder;
  CHECK_THROWS_WITH(read_history(folder / "nowhere"), Contains("no such logbook folder"));
  CHECK_THROWS_WITH(list_sessions(folder / "nowhere"), Contains("no such logbook folder"));
  fs::create_directory(folder / "empty");
  CHECK(read_history(folder / "empty").sets.empty());
}
