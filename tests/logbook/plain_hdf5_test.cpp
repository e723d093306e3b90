// A stored session is plain HDF5: h5py, which shares no code with us beyond the HDF5 library, finds
// the documented groups, lengths, units and values.
#include <cstdlib>
#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/session_file.h"
#include "tests/media/made_clip.h"
#include "tests/support/python.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using kinetics_test::Folder;
using kinetics_test::python;
using kinetics_test::random_session;

namespace {

// One line a dataset: its path, unit, length and kind; then chosen values with all their digits.
constexpr const char* kScript = R"(
import sys, h5py
with h5py.File(sys.argv[1], 'r') as f:
    print('format', f.attrs['format'], f.attrs['schema_version'])
    def tell(name, node):
        if isinstance(node, h5py.Dataset):
            print('dataset', name, node.attrs['unit'], len(node), node.dtype.kind)
    f.visititems(tell)
    print('value', repr(float(f['path/y_m'][7])), repr(float(f['path/sigma_y_m'][7])))
    print('text', f['notes/text'].asstr()[1])
    print('threshold', repr(float(f['options'].attrs['threshold_mps'])))
    print('seen', int(f['path/seen'][3]))
)";

}  // namespace

TEST_CASE("h5py reads a stored session as documented", "[logbook][oracle]") {
  const Folder folder;
  const Session session = random_session(5, 300, 4);
  const std::string stored = store_session(session, folder / "logbook");
  const std::string told = python(folder / "tell.py", kScript, "'" + stored + "'");
  CAPTURE(told);
  const auto has_line = [&](const std::string& line) {
    return ("\n" + told).find("\n" + line + "\n") != std::string::npos;
  };
  CHECK(has_line("format kinetics session 1"));
  CHECK(has_line("dataset path/t_s s 300 f"));
  CHECK(has_line("dataset path/seen 1 300 i"));
  CHECK(has_line("dataset motion/velocity_mps m/s 300 f"));
  CHECK(has_line("dataset motion/accel_mps2 m/s2 300 f"));
  CHECK(has_line("dataset disc/centre_x_px px 300 f"));
  CHECK(has_line("dataset disc/sighting text 300 O"));
  CHECK(has_line("dataset reps/mean_velocity_mps m/s 4 f"));
  CHECK(has_line("dataset reps/mean_velocity_sigma_mps m/s 4 f"));
  CHECK(has_line("dataset reps/mean_velocity_not_measured text 4 O"));
  CHECK(has_line("dataset reps/rom_m m 4 f"));
  CHECK(has_line("dataset reps/flags text 4 O"));
  CHECK(has_line("text " + session.notes[1].text));
  CHECK(has_line(std::string("seen ") + (session.path.points[3].seen ? "1" : "0")));

  // Python prints the shortest text that reads back as the same double.
  std::istringstream lines(told.substr(told.find("\nvalue ") + 7));
  double y_m = 0.0;
  double sigma_y_m = 0.0;
  lines >> y_m >> sigma_y_m;
  CHECK(y_m == session.path.points[7].y_m);
  CHECK(sigma_y_m == session.path.points[7].sigma_y_m);
  const double threshold = std::strtod(told.c_str() + told.find("\nthreshold ") + 11, nullptr);
  CHECK(threshold == session.options.reps.threshold_mps);
}
