// The CSV as Python's csv module reads it (strict mode): a reader that follows RFC 4180 and shares
// no code with us.
#include "libkinetics/report/csv.h"

#include <sstream>
#include <string>

#include <catch2/catch.hpp>

#include "tests/media/made_clip.h"
#include "tests/support/python.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::Folder;
using kinetics_test::python;
using kinetics_test::random_session;
using kinetics_test::spill;

namespace {

// Each cell on a line of its own as ROW:COLUMN=VALUE.
constexpr const char* kScript = R"(
import csv, sys
with open(sys.argv[1], newline='') as f:
    reader = csv.DictReader(f, strict=True)
    for i, row in enumerate(reader):
        assert None not in row and None not in row.values(), row
        for name, value in row.items():
            print(f'{i}:{name}={value}')
    print('columns', len(reader.fieldnames), reader.fieldnames[-1])
)";

std::string as_python_reads(const Session& session) {
  const Folder folder;
  spill(folder / "set.csv", to_csv(session));
  return "\n" + python(folder / "tell.py", kScript, "'" + (folder / "set.csv") + "'");
}

}  // namespace

TEST_CASE("the columns begin and end as promised", "[report]") {
  const std::string csv = to_csv(Session{});
  CHECK_THAT(csv,
             Catch::StartsWith("set,rep,start_s,end_s,mean_velocity_mps,mean_velocity_lo_mps,"
                               "mean_velocity_hi_mps,peak_velocity_mps,peak_velocity_lo_mps,"
                               "peak_velocity_hi_mps,rom_m,rom_lo_m,rom_hi_m,") &&
                 Catch::EndsWith(",flags\r\n"));
}

TEST_CASE("every line ends with CR LF and nothing else does", "[report]") {
  const std::string csv = to_csv(random_session(4, 10, 9));
  std::size_t lines = 0;
  for (std::size_t i = 0; i < csv.size(); ++i) {
    if (csv[i] != '\n') continue;
    REQUIRE(i > 0);
    CHECK(csv[i - 1] == '\r');
    ++lines;
  }
  CHECK(lines == 10);
}

TEST_CASE("another program reads the numbers and their intervals", "[report][oracle]") {
  Session session = random_session(1, 10, 3);
  Rep& rep = session.reps[1];
  rep.set = 2;
  rep.number = 5;
  rep.start_s = 12.34567;
  rep.mean_velocity_mps = {0.8, 0.01};  // 0.8 ± 0.0196
  rep.peak_velocity_mps = Reason::kDiscHidden;
  rep.pause_s = Reason::kNotApplicable;
  rep.flags = {FlagKind::kSlowed, FlagKind::kPartial};
  const std::string told = as_python_reads(session);
  CHECK_THAT(told, Contains("\n1:set=2\n") && Contains("\n1:rep=5\n"));
  CHECK_THAT(told, Contains("\n1:start_s=12.3457\n"));
  CHECK_THAT(told, Contains("\n1:mean_velocity_mps=0.8000\n"));
  CHECK_THAT(told, Contains("\n1:mean_velocity_lo_mps=0.7804\n"));
  CHECK_THAT(told, Contains("\n1:mean_velocity_hi_mps=0.8196\n"));
  CHECK_THAT(told, Contains("\n1:flags=slowed partial\n"));
}

TEST_CASE("what was not measured is an empty cell with its reason", "[report]") {
  Session session = random_session(1, 10, 1);
  session.reps[0].peak_velocity_mps = Reason::kDiscHidden;
  session.reps[0].pause_s = Reason::kNotApplicable;
  const std::string told = as_python_reads(session);
  CHECK_THAT(told, Contains("\n0:peak_velocity_mps=\n") && Contains("\n0:peak_velocity_lo_mps=\n"));
  CHECK_THAT(told, Contains("\n0:pause_s=\n"));
  CHECK_THAT(told, Contains("peak_velocity_mps: disc hidden"));
  // A deadlift has no pause: that is no loss, and no reason is listed for it.
  CHECK_THAT(told, !Contains("pause_s: "));
}
