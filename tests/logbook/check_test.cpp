// Every kind of damage is found, named and explained, and no file is touched unless asked. How long
// a file was when it was stored is checked against its own length before it was cut.
#include "libkinetics/logbook/check.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/correct.h"
#include "libkinetics/logbook/history.h"
#include "libkinetics/logbook/logbook.h"
#include "libkinetics/logbook/make_index.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/python.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::any_note_says;
using kinetics_test::Folder;
using kinetics_test::lifted_session;
using kinetics_test::python;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

namespace fs = std::filesystem;

std::map<std::string, std::string> all_bytes(const std::string& logbook) {
  std::map<std::string, std::string> out;
  for (const auto& entry : fs::directory_iterator(logbook)) {
    const std::string name = entry.path().filename();
    if (entry.is_regular_file() && name != "index.sqlite") out[name] = slurp(entry.path().string());
  }
  return out;
}

/// A logbook of three sessions, the first of which the test then damages.
struct Book {
  Folder folder;
  std::string path = folder / "logbook";
  std::string first = store_session(lifted_session(1), path);
  Book() {
    (void)store_session(lifted_session(2), path);
    (void)store_session(lifted_session(3), path);
    (void)read_history(path);
  }
};

DamagedFile only_damage(const Book& book) {
  const auto before = all_bytes(book.path);
  const LogbookCheck found = check_logbook(book.path);
  CHECK(all_bytes(book.path) == before);  // looking touches nothing
  REQUIRE(found.damaged.size() == 1);
  CHECK(found.damaged[0].file == fs::path(book.first).filename());
  CHECK_FALSE(found.damaged[0].mend.empty());
  CHECK(found.whole == 2);
  return found.damaged[0];
}

}  // namespace

TEST_CASE("a sound logbook is found sound", "[logbook]") {
  const Book book;
  const LogbookCheck found = check_logbook(book.path);
  CHECK(found.whole == 3);
  CHECK(found.replaced == 0);
  CHECK(found.damaged.empty());
  CHECK(found.leftovers.empty());
  CHECK(found.remarks.empty());
  CHECK_FALSE(found.index_made_anew);
}

TEST_CASE("a file cut short is told with how much of it is there", "[logbook][bad-input]") {
  const Book book;
  const std::string whole = slurp(book.first);
  spill(book.first, whole.substr(0, whole.size() - 1234));
  const DamagedFile damage = only_damage(book);
  CHECK_THAT(damage.what,
             Contains(fmt::format("{},{:03} of {},{:03} bytes",
                                  (whole.size() - 1234) / 1000,
                                  (whole.size() - 1234) % 1000,
                                  whole.size() / 1000,
                                  whole.size() % 1000)));
  CHECK(damage.worthless);
  // What was lost is known from the index.
  CHECK_THAT(damage.held, Contains("Imre Castellan") && Contains("2031-03-07"));
}

TEST_CASE("damage that keeps size and time is found and told to the index",
          "[logbook][bad-input]") {
  const Book book;
  const auto time = fs::last_write_time(book.first);
  std::string bytes = slurp(book.first);
  bytes[bytes.size() / 2] = static_cast<char>(bytes[bytes.size() / 2] ^ 4);
  spill(book.first, bytes);
  fs::last_write_time(book.first, time);
  const std::size_t sets = read_history(book.path).sets.size();
  const DamagedFile damage = only_damage(book);
  CHECK_THAT(damage.what, Contains("bytes in it were changed"));
  CHECK(damage.worthless);
  CHECK(read_history(book.path).sets.size() < sets);
}

TEST_CASE("each kind of unusable file has its own words", "[logbook][bad-input]") {
  const Book book;
  const std::string whole = slurp(book.first);
  const auto damage_with = [&](const std::string& bytes) {
    spill(book.first, bytes);
    return only_damage(book);
  };
  CHECK_THAT(damage_with("").what, Contains("empty"));
  CHECK_THAT(damage_with(std::string(5000, '\0')).what, Contains("bytes of nothing"));
  CHECK_THAT(damage_with(whole + "more").what, Contains("4 bytes were added"));
  CHECK_THAT(damage_with(whole.substr(0, 300)).what, Contains("cut short"));
  const DamagedFile foreign = damage_with("set,rep\n1,1\n");
  CHECK_FALSE(foreign.worthless);
  CHECK_THAT(foreign.mend, Contains("another folder"));
}

TEST_CASE("a session of a newer program is no damage to set aside", "[logbook]") {
  const Book book;
  python(book.folder / "newer.py",
         "import sys, h5py, hashlib\n"
         "with h5py.File(sys.argv[1], 'r+') as f:\n    f.attrs['schema_version'] = 2\n"
         "data = bytearray(open(sys.argv[1], 'rb').read())\n"
         "at = data.index(b'SHA-256 ') + 8\n"
         "data[at:at + 64] = hashlib.sha256(data[512:]).hexdigest().encode()\n"
         "open(sys.argv[1], 'wb').write(data)\n",
         "'" + book.first + "'");
  const DamagedFile newer = only_damage(book);
  CHECK_THAT(newer.what, Contains("newer kinetics"));
  CHECK_FALSE(newer.worthless);
  CHECK(set_aside(book.path, check_logbook(book.path)).empty());
}

TEST_CASE("only what is worthless is set aside, when asked, and nothing is deleted", "[logbook]") {
  const Book book;
  const std::string cut = slurp(book.first).substr(0, 2000);
  spill(book.first, cut);
  spill(book.path + "/notes.h5", "not a session");
  spill(book.path + "/.kinetics-999999999-1.part", "half");
  const LogbookCheck found = check_logbook(book.path);
  CHECK(found.leftovers.size() == 1);
  const auto moved = set_aside(book.path, found);
  REQUIRE(moved.size() == 2);
  CHECK(fs::exists(book.path + "/notes.h5"));
  CHECK_FALSE(fs::exists(book.first));
  CHECK(slurp(book.path + "/damaged/" + fs::path(book.first).filename().string()) == cut);
  // The same again under the same name: the first one stays.
  spill(book.first, "");
  (void)set_aside(book.path, check_logbook(book.path));
  CHECK(slurp(book.path + "/damaged/" + fs::path(book.first).filename().string()) == cut);
  CHECK(any_note_says(check_logbook(book.path).remarks, "is gone"));
}

TEST_CASE("a part of a file that is being written is left alone", "[logbook]") {
  const Book book;
  spill(book.path + fmt::format("/.kinetics-{}-7.part", ::getpid()), "half");
  CHECK(check_logbook(book.path).leftovers.empty());
}

TEST_CASE("an index that says something else than the files is made anew", "[logbook]") {
  const Book book;
  const std::vector<LiftedSet> right = read_history(book.path).sets;
  // SQLite's own program changes a number behind our back, in a file that is sound as a database.
  python(book.folder / "change.py",
         "import sys, sqlite3\n"
         "db = sqlite3.connect(sys.argv[1])\n"
         "db.execute('UPDATE lifted_rep SET value_0 = value_0 + 0.1')\n"
         "db.commit()\n",
         "'" + book.path + "/index.sqlite'");
  CHECK(read_history(book.path).sets != right);
  CHECK(check_logbook(book.path).index_made_anew);
  CHECK(read_history(book.path).sets == right);
  CHECK_FALSE(check_logbook(book.path).index_made_anew);
}

TEST_CASE("what is worth knowing is remarked on", "[logbook]") {
  const Book book;
  const std::string corrected =
      store_correction(load_session(book.first), book.first, {{"load", "90 kg", "95 kg"}});
  CHECK(check_logbook(book.path).replaced == 1);
  CHECK(check_logbook(book.path).remarks.empty());
  fs::remove(book.first);
  CHECK(any_note_says(check_logbook(book.path).remarks, "is gone"));
  (void)make_index_anew(book.path);
  CHECK(any_note_says(check_logbook(book.path).remarks,
                      "corrects " + fs::path(book.first).filename().string()));
  spill(roster_of(book.path).string(), "[[lifter]]\nname = \"Imre Castelan\"\n");
  CHECK(any_note_says(check_logbook(book.path).remarks, "'Imre Castellan', who is not"));
  spill(roster_of(book.path).string(), "[[lifter]\n");
  CHECK(any_note_says(check_logbook(book.path).remarks, "roster.toml"));
}

TEST_CASE("a folder laid out by a newer program is refused", "[logbook][bad-input]") {
  const Book book;
  spill(book.path + "/layout.toml", "# written by kinetics\nlayout_version = 2\n");
  CHECK_THROWS_WITH(read_history(book.path), Contains("newer kinetics (layout 2"));
  CHECK_THROWS_WITH(check_logbook(book.path), Contains("Update kinetics"));
  spill(book.path + "/layout.toml", "layout_version = 1\n");
  CHECK(read_history(book.path).notes.empty());
}

TEST_CASE("making the index anew forgets what is gone", "[logbook]") {
  const Book book;
  fs::remove(book.first);
  CHECK(list_sessions(book.path).sessions.size() == 3);
  const IndexMade made = make_index_anew(book.path);
  CHECK(made.files == 2);
  CHECK(list_sessions(book.path).sessions.size() == 2);
}
