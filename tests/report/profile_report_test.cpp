// Profiles and zones as text, data and drawing: everything shown is checked against the profile
// itself, and the drawing is read with Python's own XML reader.
#include <cmath>
#include <sstream>
#include <string>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/report/profile_chart.h"
#include "libkinetics/report/profile_data.h"
#include "libkinetics/report/profile_table.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "tests/profile/lifted_sets.h"
#include "tests/support/python.h"
#include "tests/support/svg.h"

namespace kinetics {
namespace {

using Catch::Contains;
using kinetics_test::evaluated;
using kinetics_test::one_set;
using kinetics_test::python;

const char* const kRoster = R"(
[thresholds]
zone_mps = [0.60, 1.00]
[[bar]]
name = "straight bar"
mass_kg = 20
[[disc]]
mass_kg = 20
count = 4
[[disc]]
mass_kg = 10
count = 4
[[disc]]
mass_kg = 2.5
count = 4
[[rack]]
name = "rack one"
limit_kg = 100
[[lifter]]
name = "Odalys Brandt"
[[lifter.lift]]
lift = "squat"
best_single_kg = 170
best_single_mps = 0.30
)";

/// Four days, one wild set, one set with chains.
std::vector<LiftedSet> sets() {
  std::vector<LiftedSet> out;
  const char* const days[] = {"2031-01-06", "2031-01-13", "2031-01-20", "2031-01-27"};
  for (int d = 0; d < 4; ++d) {
    for (int i = 0; i < 4; ++i) {
      const double load = 70.0 + 20.0 * i + 5.0 * d;
      const double wobble = 0.01 * ((5 * d + 3 * i) % 4 - 1.5);
      out.push_back(one_set(load, 1.5 - 0.007 * load + wobble, days[d], 0.008));
      out.back().set = i + 1;
    }
  }
  out[5].reps[0].mean_velocity_mps = Measured(0.45, 0.008);
  out[9].accommodating = "2 x heavy chain";
  out[9].reps[0].mean_load_kg = Measured(100.0, 0.3);
  return out;
}

struct Made {
  Roster roster = parse_roster(kRoster, "club.toml");
  ClubProfiles club;
  std::vector<ZoneOf> zones;
  Made() : club(fit_profiles(sets(), &roster)) {
    REQUIRE(club.profiles.size() == 1);
    const Profile& p = club.profiles[0];
    zones.push_back({.profile = &p, .zone = find_zone(p, {make_setup(roster, p.variant)})});
  }
  [[nodiscard]] const Profile& profile() const { return club.profiles[0]; }
};

void check_columns(const std::string& text) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    CAPTURE(line);
    CHECK(shown_width(line) <= static_cast<std::size_t>(kTableColumns));
  }
}

TEST_CASE("the profile's table tells line, power, best single and outliers", "[report]") {
  const Made made;
  const std::string text = profile_table({&made.profile()});
  check_columns(text);
  CHECK_THAT(text, Contains("Odalys Brandt: squat"));
  CHECK_THAT(text, Contains("16 sets on 4 days, 2031-01-06 to 2031-01-27"));
  CHECK_THAT(text, Contains("mean load over the way up"));
  CHECK_THAT(text, Contains("170.0 kg entered"));
  CHECK_THAT(text, Contains("(entered in"));
  CHECK_THAT(text, Contains("no reason to attempt a weight"));
  CHECK_THAT(text, Contains("Set aside          2031-01-13 set 2: 0.45 m/s at 95.0 kg"));
  const VelocityAt at = velocity_at(*prediction_line(made.profile()), 100.0);
  CHECK_THAT(text, Contains(fmt::format("    100       59   {:.2f} ± ", at.velocity_mps)));
}

TEST_CASE("the zone's table tells loads as discs, and warns of the rack's limit", "[report]") {
  const Made made;
  REQUIRE(made.zones[0].zone.state == ZoneState::kFixed);
  const std::string text = zone_table(made.zones);
  check_columns(text);
  CHECK_THAT(text, Contains("Straight weight"));
  CHECK_THAT(text, Contains("a side: 2 × 20 kg"));
  CHECK_THAT(text, Contains("beyond the stated limit of rack one"));
  CHECK_THAT(text, Contains("common 50 to 60 %"));
  CHECK_THAT(text, Contains("prescription"));
}

TEST_CASE("a zone that is not fixed tells no loads to hang", "[report]") {
  const Made made;
  std::vector<LiftedSet> few{one_set(90, 0.86), one_set(95, 0.80), one_set(100, 0.79)};
  const ClubProfiles club = fit_profiles(few, &made.roster);
  const Profile& p = club.profiles[0];
  const Zone zone = find_zone(p, {make_setup(made.roster, p.variant)});
  REQUIRE(zone.state == ZoneState::kUnsure);
  const std::string text = zone_table({{.profile = &p, .zone = zone}});
  check_columns(text);
  CHECK_THAT(text, Contains("Zone not fixed") && Contains("To fix it:") && !Contains("a side"));
}

TEST_CASE("the data holds every set and the same numbers", "[report]") {
  const Made made;
  const kinetics_test::Folder folder;
  kinetics_test::spill(folder / "p.json", zones_json(made.zones));
  kinetics_test::spill(folder / "p.csv", profiles_csv({&made.profile()}));
  kinetics_test::spill(folder / "z.csv", zones_csv(made.zones));
  const std::string told = python(
      folder / "read.py",
      "import csv, json, sys\n"
      "d = json.load(open(sys.argv[1]))['profiles'][0]\n"
      "r = list(csv.DictReader(open(sys.argv[2], newline='')))\n"
      "z = list(csv.DictReader(open(sys.argv[3], newline='')))\n"
      "print(len(d['points']), sum(p['set_aside'] for p in d['points']), len(r),\n"
      "      sum(x['set_aside'] == 'yes' for x in r), d['zone']['state'],\n"
      "      '%.6f' % d['line']['intercept_mps'], z[0]['load'], len(z),\n"
      "      all(None not in x.values() and None not in x for x in r + z))\n",
      "'" + (folder / "p.json") + "' '" + (folder / "p.csv") + "' '" + (folder / "z.csv") + "'");
  CHECK(told == fmt::format("16 1 16 1 fixed {:.6f} lightest 3 True\n",
                            made.profile().line->intercept_mps));
}

TEST_CASE("the chart shows every set, the outlier as a cross, the chained one as a square",
          "[report]") {
  const Made made;
  const std::string svg = profile_chart(made.zones);
  CHECK(evaluated(svg, "len(of('circle', 'set'))") == "15\n");  // 14 sets and the highest power
  CHECK(evaluated(svg, "len(of('rect', 'geared'))") == "1\n");
  CHECK(evaluated(svg, "len(of('line', 'aside'))") == "2\n");
  CHECK(evaluated(svg, "len(of('rect', 'zone'))") == "2\n");
  CHECK(evaluated(svg, "len(of('polygon', 'best'))") == "1\n");
  // Words stay on the page: a line of DejaVu Sans is 0.49 em a letter.
  CHECK(evaluated(svg,
                  "all(float(e.get('x')) + 0.50 * 14 * len(e.text) < 720"
                  " for e in of('text', 'words'))") == "True\n");
}

TEST_CASE("a profile without a line is shown with its sets and what is missing", "[report]") {
  const ClubProfiles club = fit_profiles({one_set(90, 0.86), one_set(90, 0.85)});
  const Profile& p = club.profiles[0];
  const std::string text = profile_table({&p});
  check_columns(text);
  CHECK_THAT(text, Contains("No line: 2 sets at one load only"));
  const std::string svg = profile_chart({{.profile = &p, .zone = find_zone(p)}});
  CHECK(evaluated(svg, "len(of('circle', 'set'))") == "2\n");
  CHECK(evaluated(svg, "len(of('polyline', 'line'))") == "0\n");
}

}  // namespace
}  // namespace kinetics
