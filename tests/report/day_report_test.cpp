// The day's page is well-formed (judged by Python's expat), needs nothing from outside, says of
// every set what its session says, and holds up with odd names, missing numbers, one lifter and
// twenty.
#include "libkinetics/report/day_report.h"

#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/report/day_table.h"
#include "libkinetics/report/set_figures.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"
#include "tests/support/html.h"
#include "tests/support/made_day.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::DayRecipe;
using kinetics_test::made_day;
using kinetics_test::told;

namespace {

std::vector<std::string> lifters(int count) {
  std::vector<std::string> out;
  for (int i = 0; i < count; ++i) out.push_back(fmt::format("Lifter {}", i + 1));
  return out;
}

/// As Python prints a list of texts.
std::string listed(const std::vector<std::string>& texts) {
  std::string out;
  for (const std::string& text : texts) out += (out.empty() ? "'" : ", '") + text + "'";
  return "[" + out + "]\n";
}

std::string shown(const Measured& m, double factor, int decimals) {
  return m.ok() ? fmt::format("{:.{}f}", factor * m.value(), decimals) : "–";
}

/// What the sessions say of one lifter's sets, in the order of the rows; empty for a missed row.
template <typename Text>
std::string by_sessions(const DaySession& day, const std::string& lifter, Text text) {
  std::vector<std::string> out;
  for (std::size_t row = 0; row < day.rows.size(); ++row) {
    if (day.rows[row].lifter != lifter) continue;
    out.emplace_back();
    for (const DaySet& set : day.sets) {
      if (set.match.row == row) out.back() = text(set_figures(set.session));
    }
  }
  return listed(out);
}

}  // namespace

TEST_CASE("the page of a day shows the figures of its sessions", "[report][day]") {
  const DaySession day = made_day({.lifters = lifters(4),
                                   .sets = 12,
                                   .reps = 5,
                                   .chains = true,
                                   .missed = {5},
                                   .not_measured = {9}});
  const std::string page = day_report(day, "Northgate Barbell");
  for (const std::string& lifter : lifters(4)) {
    const std::string section = "section('" + lifter + "')";
    const auto row = [&](const std::string& head) {
      return told(page, "row(" + section + ", '" + head + "')");
    };
    CAPTURE(lifter);
    CHECK(row("fastest") ==
          by_sessions(day, lifter, [](const auto& f) { return shown(f.fastest_mps, 1.0, 2); }));
    CHECK(row("mean") ==
          by_sessions(day, lifter, [](const auto& f) { return shown(f.mean_mps, 1.0, 2); }));
    CHECK(row("last") ==
          by_sessions(day, lifter, [](const auto& f) { return shown(f.last_mps, 1.0, 2); }));
    CHECK(row("loss %") ==
          by_sessions(day, lifter, [](const auto& f) { return shown(f.loss, 100.0, 0); }));
    CHECK(row("top") ==
          by_sessions(day, lifter, [](const auto& f) { return shown(f.top_load_kg, 1.0, 0); }));
  }
}

TEST_CASE("every measured rep is marked, and the slowed ones by shape and word", "[report][day]") {
  const DaySession day =
      made_day({.lifters = lifters(2), .sets = 6, .reps = 6, .not_measured = {3}, .seed = 4});
  int slowed = 0;
  int maybe = 0;
  int measured = 0;
  for (const DaySet& set : day.sets) {
    for (const Rep& rep : set.session.reps) {
      measured += rep.mean_velocity_mps.ok() ? 1 : 0;
      for (const FlagKind flag : rep.flags) {
        slowed += flag == FlagKind::kSlowed ? 1 : 0;
        maybe += flag == FlagKind::kMaybeSlowed ? 1 : 0;
      }
    }
  }
  REQUIRE(slowed > 0);
  REQUIRE(maybe > 0);
  const std::string page = day_report(day);
  const auto count = [&](const std::string& tag, const std::string& style) {
    return std::stoi(told(page, "len(of(root, '" + tag + "', '" + style + "'))"));
  };
  CHECK(count("polygon", "slow") == slowed);
  CHECK(count("circle", "ring") == maybe);
  CHECK(count("circle", "dot") == measured - slowed - maybe);
  CHECK(count("line", "interval") == measured);
  CHECK(count("line", "cross") == 2);
  CHECK(told(page, "any(said(t) == 'slowed' for t in of(root, 'text', 'word'))") == "True\n");
  CHECK(told(page, "' '.join(row(section('Lifter 1'), 'slowed')).strip() != ''") == "True\n");
}

TEST_CASE("the page needs nothing from outside and no script", "[report][day]") {
  const std::string page = day_report(made_day({}), "Northgate Barbell");
  for (const char* outside :
       {"http:", "https:", "//", "<script", "<link", "<img", "url(", "@import"}) {
    CAPTURE(outside);
    CHECK(page.find(outside) == std::string::npos);
  }
  CHECK(told(page, "said(of(root, 'h1')[0])") == "Northgate Barbell, speed day of 2031-03-07\n");
}

TEST_CASE("names are text and never markup", "[report][day]") {
  const std::string name = "<b>Mirek & \"Ox\"</b> Tolland";
  DaySession day =
      made_day({.lifters = {name, "Sünniva Ø"}, .missed = {2}, .doubtful = {1}, .extra = 1});
  day.notes = {{NoteKind::kCaution, "The clock & the sheet are <9 min> apart."}};
  const std::string page = day_report(day, "<Northgate> & sons");
  CHECK(told(page, "[of(s, 'h2')[0].text for s in of(root, 'section')]") ==
        "['<b>Mirek & \"Ox\"</b> Tolland ', 'Sünniva Ø ', 'Sets not on the sheet ']\n");
  CHECK(told(page, "said(of(root, 'h1')[0])") == "<Northgate> & sons, speed day of 2031-03-07\n");
  CHECK_THAT(told(page, "said(of(root, 'div', 'foot')[0])"),
             Contains("Caution: The clock & the sheet are <9 min> apart."));
}

TEST_CASE("missed rows, doubts and extra sets stand in the head", "[report][day]") {
  const DaySession day =
      made_day({.lifters = lifters(3), .missed = {4}, .doubtful = {7}, .extra = 1});
  const std::string head = told(day_report(day), "said(of(root, 'header')[0])");
  CHECK_THAT(head, Contains("12 sets and 36 reps of 3 lifters seen."));
  CHECK_THAT(head, Contains("12 rows, 1 not seen; 1 set not on it."));
  CHECK_THAT(head, Contains("Not seen: row 6, Lifter 2, set 2 (17:09)."));
  CHECK_THAT(head, Contains("no. 7 (17:12:04, 3 reps, fastest"));
  CHECK_THAT(head,
             Contains("row 9, Lifter 2, or row 10, Lifter 3 (1.8 times less likely), or an extra "
                      "set (5.5 times less likely)."));
  CHECK_THAT(head, Contains("it moves like Lifter 1"));
}

TEST_CASE("doubts among rows that read alike are told in one sentence", "[report][day]") {
  DaySession day = made_day({.lifters = lifters(1), .sets = 8, .doubtful = {1, 2, 3, 5}});
  const auto told_one_by_one = [&] {
    return told(day_report(day), "said(of(root, 'header')[0])").find("no. 3 (") !=
           std::string::npos;
  };
  // The recipe's loads differ from set to set.
  CHECK(told_one_by_one());
  for (SheetRow& row : day.sheet.rows) row.load_kg = 100.0;
  for (DaySet& set : day.sets) {
    // An extra set as the next likeliest does not make whose it is doubtful.
    if (set.match.certainty == MatchCertainty::kDoubtful) {
      set.match.alternatives.push_back({.row = std::nullopt, .extra_points = 0.5});
    }
  }
  CHECK_FALSE(told_one_by_one());
  const std::string words =
      "Nos. 2 to 4 and 6 are Lifter 1's, taken for rows 3 to 5 and 7; but these rows read alike";
  CHECK_THAT(told(day_report(day), "said(of(root, 'header')[0])"), Contains(words));
  CHECK_THAT(day_table(day), Contains("Nos. 2 to 4 and 6 are Lifter 1's"));
  CHECK_THAT(day_table(day), !Contains("No. 3 ("));
}

TEST_CASE("a coach's word ends a doubt", "[report][day]") {
  DaySession day = made_day({.lifters = lifters(3), .doubtful = {7}});
  day.sets[7].match.corrected = true;
  const std::string page = day_report(day);
  CHECK_THAT(told(page, "said(of(root, 'header')[0])"), !Contains("Doubtful"));
  CHECK_THAT(told(page, "row(section('Lifter 2'), 'match')"), Contains("yours"));
}

TEST_CASE("from one lifter to twenty every set has its place", "[report][day]") {
  const int count = GENERATE(1, 3, 8, 20);
  const int sets = GENERATE(1, 12, 18, 26);
  if (count * sets > 400) return;  // the recipe's clock ends at midnight
  CAPTURE(count, sets);
  const DaySession day = made_day({.lifters = lifters(count), .sets = sets, .reps = 2});
  const std::string page = day_report(day);
  CHECK(told(page, "len(of(root, 'section'))") == fmt::format("{}\n", count));
  CHECK(told(page, "sum(len(of(t, 'th')) - 1 for t in of(root, 'thead'))") ==
        fmt::format("{}\n", count * sets));
  // The chart's strips and the table's columns have the same widths.
  CHECK(told(page,
             "max(len(of(t, 'th')) - 1 for t in of(root, 'thead')) <= 24 and "
             "all(sum(int(c.get('span', 0)) for c in of(t, 'col')) == "
             "len(of(of(t, 'thead')[0], 'th')) - 1 for t in of(root, 'table'))") == "True\n");
}

TEST_CASE("a day without a set, and one without a sheet's rows, still make a page",
          "[report][day]") {
  DaySession day;
  CHECK_THAT(told(day_report(day), "said(root)"), Contains("0 sets and 0 reps of 0 lifters seen."));
  day = made_day({.lifters = lifters(1), .sets = 2, .missed = {0, 1}});
  CHECK_THAT(told(day_report(day), "said(of(root, 'header')[0])"), Contains("2 not seen"));
  CHECK_THAT(day_table(day), Contains("not seen"));
}

TEST_CASE("several lifts are told apart by letters", "[report][day]") {
  const DaySession day = made_day({.lifters = lifters(2), .sets = 6, .second_lift = true});
  const std::string page = day_report(day);
  CHECK_THAT(told(page, "said(of(root, 'header')[0])"),
             Contains("A: box squat, straight bar, box 45 cm; B: paused bench, straight bar."));
  CHECK(told(page, "[said(h) for h in of(of(section('Lifter 2'), 'thead')[0], 'th')][1:]") ==
        listed({"A 1", "A 2", "A 3", "A 4", "B 5", "B 6"}));
}

TEST_CASE("the day's table for a terminal keeps to its width", "[report][day]") {
  const DaySession day = made_day({.lifters = {"Odalys Brandt", std::string(120, 'x'), "Sünniva Ø"},
                                   .sets = 8,
                                   .reps = 6,
                                   .chains = true,
                                   .second_lift = true,
                                   .missed = {4},
                                   .doubtful = {6},
                                   .not_measured = {7},
                                   .extra = 2});
  const std::string text = day_table(day);
  std::size_t from = 0;
  for (std::size_t end; (end = text.find('\n', from)) != std::string::npos; from = end + 1) {
    CAPTURE(text.substr(from, end - from));
    CHECK(shown_width(text.substr(from, end - from)) <= kTableColumns);
  }
  for (const DaySet& set : day.sets) {
    const SetFigures f = set_figures(set.session);
    CHECK_THAT(text,
               Contains(fmt::format(
                   "{:.3f} ± {:.3f}", f.fastest_mps.value(), kNormal95 * f.fastest_mps.sigma())));
  }
  CHECK_THAT(text, Contains("Sets not on the sheet"));
  CHECK_THAT(text, Contains("is doubtful: row 8, Odalys Brandt"));
  CHECK_THAT(text, Contains("row 6: not seen"));
}
