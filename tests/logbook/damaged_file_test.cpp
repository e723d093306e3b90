// Files that are no session, or no longer one, each get an error that names the file and says what
// is wrong; no damage makes the reader crash or hand back something else than was stored.
#include <filesystem>
#include <random>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/python.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::python;
using kinetics_test::random_session;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

std::string problem_of(const std::string& path) {
  try {
    (void)load_session(path);
  } catch (const Error& e) {
    CHECK(e.code() == ErrorCode::kUnreadable);
    CHECK(e.where() == path);
    CHECK_FALSE(e.mend().empty());
    return e.problem();
  }
  return "no error";
}

constexpr const char* kSealAgain = R"(
import hashlib
data = bytearray(open(sys.argv[1], 'rb').read())
at = data.index(b'SHA-256 ') + 8
data[at:at + 64] = hashlib.sha256(data[512:]).hexdigest().encode()
open(sys.argv[1], 'wb').write(data)
)";

/// Stores a session, lets h5py change it by `change` (statements on `f`), seals it again unless
/// told otherwise, and reads it.
std::string problem_after(const std::string& change, bool seal_again = true) {
  const Folder folder;
  const std::string stored = store_session(random_session(2, 50, 3), folder / "logbook");
  python(folder / "change.py",
         "import sys, h5py\nwith h5py.File(sys.argv[1], 'r+') as f:\n    " + change + "\n" +
             (seal_again ? kSealAgain : ""),
         "'" + stored + "'");
  return problem_of(stored);
}

}  // namespace

TEST_CASE("what is not a session file is refused by name", "[logbook][bad-input]") {
  const Folder folder;
  CHECK(problem_of(folder / "missing.h5") == "no such file");
  CHECK(problem_of(folder.path().string()) == "this is not a file");
  spill(folder / "empty.h5", "");
  CHECK(problem_of(folder / "empty.h5") == "this is not a session file");
  spill(folder / "text.h5", "set,rep\n1,1\n");
  CHECK(problem_of(folder / "text.h5") == "this is not a session file");
  python(folder / "foreign.py",
         "import sys, h5py\nh5py.File(sys.argv[1], 'w')['x'] = [1, 2]\n",
         "'" + (folder / "foreign.h5") + "'");
  CHECK(problem_of(folder / "foreign.h5") == "this HDF5 file is not a session");
}

TEST_CASE("a session of a newer schema asks for an update", "[logbook][bad-input]") {
  CHECK_THAT(problem_after("f.attrs['schema_version'] = 2"),
             Catch::Contains("newer kinetics (schema 2; this one knows 1)"));
}

TEST_CASE("a session that lost a part says which", "[logbook][bad-input]") {
  CHECK_THAT(problem_after("del f['path/y_m']"), Catch::Contains("/path/y_m is missing"));
  CHECK_THAT(problem_after("del f['reps']"), Catch::Contains("/reps is missing"));
  CHECK_THAT(problem_after("del f['clip'].attrs['width_px']"),
             Catch::Contains("/clip/width_px is missing"));
  CHECK_THAT(problem_after("del f['path/x_m']; f['path/x_m'] = [1.0, 2.0]"),
             Catch::Contains("/path/x_m has another length"));
  CHECK_THAT(problem_after("del f['path/x_m']; f['path/x_m'] = ['a'] * 50"),
             Catch::Contains("/path/x_m has the wrong type"));
  CHECK_THAT(problem_after("f['path/x_m'][3] = float('nan')"),
             Catch::Contains("/path/x_m holds something that is not a number"));
  CHECK_THAT(problem_after("f['disc/sighting'][0] = 'perhaps'"),
             Catch::Contains("unknown word 'perhaps'"));
  CHECK_THAT(problem_after("f['path/seen'][0] = 7"), Catch::Contains("/path/seen is out of range"));
  CHECK_THAT(problem_after("f['clip'].attrs['width_px'] = 2**40"),
             Catch::Contains("/clip/width_px is out of range"));
}

TEST_CASE("what a newer program adds to a session is ignored", "[logbook]") {
  CHECK(problem_after("f['path/extra'] = [1.0]; f.create_group('sensor')") == "no error");
}

TEST_CASE("a session of before something was added is read, and that is left as it is by default",
          "[logbook]") {
  const Folder folder;
  const Session session = random_session(2, 50, 3);
  const std::string stored = store_session(session, folder / "logbook");
  python(folder / "age.py",
         std::string("import sys, h5py\n"
                     "with h5py.File(sys.argv[1], 'r+') as f:\n"
                     "    for name in ['held_on', 'supersedes']:\n"
                     "        del f['provenance'].attrs[name]\n"
                     "    del f['clip'].attrs['recorded_at']\n"
                     "    for group in ['path', 'motion']:\n"
                     "        del f[group].attrs['hold_sigma_m']\n"
                     "        del f[group]['lasting_sigma_m']\n"
                     "    del f['corrections']\n"
                     "    del f['findings']\n") +
             kSealAgain,
         "'" + stored + "'");
  const Session aged = load_session(stored);
  CHECK(aged.provenance.held_on.empty());
  CHECK(aged.provenance.supersedes.empty());
  CHECK(aged.clip.recorded_at.empty());
  CHECK(aged.path.hold_sigma_m == BarPath{}.hold_sigma_m);
  CHECK(aged.motion.hold_sigma_m == Motion{}.hold_sigma_m);
  CHECK(aged.corrections.empty());
  REQUIRE(aged.path.points.size() == session.path.points.size());
  CHECK(aged.path.points[7].y_m == session.path.points[7].y_m);
  CHECK(aged.path.points[7].lasting_sigma_m == PathPoint{}.lasting_sigma_m);
  CHECK(aged.motion.samples[7].lasting_sigma_m == MotionSample{}.lasting_sigma_m);
  CHECK(aged.motion.samples[7].height_m == session.motion.samples[7].height_m);
  CHECK(aged.reps.size() == session.reps.size());
}

TEST_CASE("a session cut short anywhere is refused", "[logbook][bad-input]") {
  const Folder folder;
  const std::string whole = slurp(store_session(random_session(2, 200, 3), folder / "logbook"));
  for (int part = 0; part < 40; ++part) {
    const std::string path = folder / "cut.h5";
    const std::size_t length = whole.size() * static_cast<std::size_t>(part) / 40;
    spill(path, whole.substr(0, length));
    CAPTURE(length, whole.size());
    CHECK(problem_of(path) != "no error");
  }
}

TEST_CASE("a session with one flipped bit is refused", "[logbook][bad-input]") {
  const Folder folder;
  const std::string whole = slurp(store_session(random_session(2, 200, 3), folder / "logbook"));
  std::mt19937 random(20261125);
  for (int trial = 0; trial < 200; ++trial) {
    std::string flipped = whole;
    std::size_t place = random() % flipped.size();
    // The user block's filling means nothing, so a flip there does no harm.
    if (place >= 115 && place < 512) place += 512;
    flipped[place] = static_cast<char>(flipped[place] ^ (1 << (random() % 8)));
    spill(folder / "flipped.h5", flipped);
    CAPTURE(trial, place);
    CHECK(problem_of(folder / "flipped.h5") != "no error");
  }
}

TEST_CASE("a session changed by another program is refused", "[logbook][bad-input]") {
  CHECK_THAT(problem_after("f['reps/mean_velocity_mps'][0] = 0.9", false),
             Catch::Contains("changed after it was stored"));
}
