// The JSON as Python's json module reads it, which follows RFC 8259 and shares no code with us.
#include "libkinetics/report/json.h"

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

std::string evaluated(const Session& session, const std::string& expression) {
  const Folder folder;
  spill(folder / "set.json", to_json(session));
  return python(folder / "tell.py",
                "import json, sys\ns = json.load(open(sys.argv[1], encoding='utf-8'))\nprint(" +
                    expression + ")\n",
                "'" + (folder / "set.json") + "'");
}

}  // namespace

TEST_CASE("another program reads the whole session", "[report][oracle]") {
  Session session = random_session(2, 40, 3);
  session.reps[0].mean_velocity_mps = {0.8, 0.01};
  session.reps[0].peak_velocity_mps = Reason::kTooFewFrames;
  session.reps[0].flags = {FlagKind::kMaybeSlowed};
  session.findings = {{.set = session.reps[0].set,
                       .rep = session.reps[0].number,
                       .kind = FindingKind::kHighBottom,
                       .certainty = Certainty::kLikely,
                       .evidence = "3.4 ± 0.6 cm above rep 2"}};
  session.options.plan = SetPlan{.sheet = "day.csv", .row = 4, .lifter = "Odalys \"O\" Brandt"};
  session.options.plan->expected = {{.load_kg = 100.0, .velocity_mps = 0.8}};
  session.options.thresholds.zone = VelocityBand{0.7, 0.95};
  session.options.reps.threshold_mps = 0.02;
  session.options.tracking.readout_s = std::nullopt;
  CHECK(evaluated(session, "s['format'], s['schema_version']") == "kinetics session 1\n");
  CHECK(evaluated(session, "s['reps'][0]['mean_velocity_mps']") ==
        "{'value': 0.8, 'lo': 0.7804, 'hi': 0.8196}\n");
  CHECK(evaluated(session, "s['reps'][0]['peak_velocity_mps']") ==
        "{'not_measured': 'too few frames'}\n");
  CHECK(evaluated(session, "s['reps'][0]['flags']") == "['maybe-slowed', 'maybe-high-bottom']\n");
  CHECK(evaluated(session, "s['findings'][0]['certainty'], s['findings'][0]['evidence']") ==
        "likely 3.4 ± 0.6 cm above rep 2\n");
  CHECK(evaluated(session, "s['plan']['lifter'], s['plan']['row'], s['plan']['set']") ==
        "Odalys \"O\" Brandt 4 None\n");
  CHECK(evaluated(session, "s['plan']['expected'][0]['velocity_mps'], s['options']['zone_mps']") ==
        "0.8 [0.7, 0.95]\n");
  CHECK(evaluated(session, "s['options']['threshold_mps'], s['options']['readout_s']") ==
        "0.02 None\n");
  CHECK(evaluated(session, "s['notes'][1]['text']") == session.notes[1].text + "\n");
  CHECK(evaluated(session, "s['provenance']['program_version']") == "0.1.0\n");
  CHECK(evaluated(session, "[len(c) for c in s['samples'].values()]") == "[40, 40, 40, 40, 40]\n");
}

TEST_CASE("a session without frames or reps is still valid", "[report]") {
  CHECK(evaluated(Session{}, "len(s['reps']), len(s['samples']['t_s'])") == "0 0\n");
}

TEST_CASE("a file name that is not UTF-8 does not spoil the file", "[report][bad-input]") {
  Session session;
  session.provenance.source_name = "caf\xE9.mp4";
  CHECK(evaluated(session, "ascii(s['provenance']['source_name'])") == "'caf\\ufffd.mp4'\n");
}
