// A session's page is well-formed (judged by Python's expat), needs nothing from outside, and says
// what the session says; names and notes are text and never markup.
#include "libkinetics/report/set_report.h"

#include <cmath>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/report/flag_words.h"
#include "tests/support/html.h"
#include "tests/support/sample_session.h"

using namespace kinetics;
using Catch::Contains;
using kinetics_test::random_session;
using kinetics_test::told;

namespace {

std::string shown(const Measured& m, double factor, int decimals) {
  if (!m.ok()) return "–";
  if (m.sigma() == 0.0) return fmt::format("{:.{}f}", factor * m.value(), decimals);
  return fmt::format(
      "{:.{}f} ± {:.{}f}", factor * m.value(), decimals, factor * kNormal95 * m.sigma(), decimals);
}

/// The column's cells under a heading, as Python prints them.
std::string column(const std::string& page, const std::string& head) {
  return told(page,
              "[said(of(r, 'td')[[said(h) for h in of(root, 'th')].index('" + head +
                  "')]) for r in of(of(root, 'tbody')[0], 'tr')]");
}

std::string listed(const std::vector<std::string>& texts) {
  std::string out;
  for (const std::string& text : texts) out += (out.empty() ? "'" : ", '") + text + "'";
  return "[" + out + "]\n";
}

/// A squat of `reps` reps over a swinging motion, with all that a page shows.
Session squat(int reps) {
  constexpr double kPeriod_s = 3.0;
  Session session;
  session.provenance.source_name = "squat.mp4";
  for (int i = 0; i < 60 * (3 * reps + 1); ++i) {
    const double t_s = i / 60.0;
    const double phase = 2.0 * 3.14159265358979 * t_s / kPeriod_s;
    session.motion.samples.push_back({.t_s = t_s,
                                      .height_m = 0.3 * (1.0 - std::cos(phase)),
                                      .velocity_mps = 0.3 * 2.0944 * std::sin(phase),
                                      .velocity_sigma_mps = 0.01});
  }
  for (int i = 0; i < reps; ++i) {
    Rep rep;
    rep.number = i + 1;
    rep.start_s = kPeriod_s * i;
    rep.end_s = rep.start_s + 1.5;
    rep.top_height_m = 0.6;
    rep.rom_m = Measured(0.6, 0.001);
    rep.mean_velocity_mps = Measured(0.4, 0.004);
    session.reps.push_back(rep);
  }
  return session;
}

}  // namespace

TEST_CASE("a session's page shows the session's figures", "[report][set-report]") {
  const std::uint32_t seed = GENERATE(1U, 2U, 3U, 4U);
  const Session session = random_session(seed);
  const std::string page = set_report(session);
  std::vector<std::string> means;
  std::vector<std::string> ranges;
  std::vector<std::string> flags;
  for (const Rep& rep : session.reps) {
    means.push_back(shown(rep.mean_velocity_mps, 1.0, 3));
    ranges.push_back(shown(rep.rom_m, 100.0, 1));
    flags.push_back(fmt::format("{}", fmt::join(spoken_flags(session, rep), ", ")));
  }
  CAPTURE(seed);
  CHECK(column(page, "Mean velocitym/s") == listed(means));
  CHECK(column(page, "Rangecm") == listed(ranges));
  CHECK(column(page, "Flags") == listed(flags));
  const std::string text = told(page, "said(root)");
  for (const Finding& finding : session.findings) {
    CHECK_THAT(text, Contains(in_a_sentence(finding)));
  }
  for (const Note& note : session.notes) CHECK_THAT(text, Contains(note.text));
  CHECK_THAT(text, Contains(session.provenance.source_sha256));
  CHECK_THAT(text, Contains("see a licensed clinician"));
}

TEST_CASE("a session's page needs nothing from outside", "[report][set-report]") {
  const std::string page = set_report(random_session(5));
  for (const char* outside : {"http:", "https:", "//", "<script", "<link", "<img", "@import"}) {
    CAPTURE(outside);
    CHECK(page.find(outside) == std::string::npos);
  }
  // Patterns are named, and are on the page itself.
  CHECK(told(page,
             "all(\"id='%s'\" % p in text.replace('\"', \"'\") for p in "
             "__import__('re').findall(r'url\\(#(\\w+)\\)', text))") == "True\n");
}

TEST_CASE("names and notes on a session's page are text", "[report][set-report]") {
  Session session = squat(2);
  session.provenance.source_name = "<img src=x> & \"set\".mp4";
  session.notes = {{NoteKind::kCaution, "a < b && b > c"}};
  const std::string page = set_report(session);
  CHECK(told(page, "said(of(root, 'h1')[0])") == "<img src=x> & \"set\".mp4\n");
  CHECK_THAT(told(page, "said(root)"), Contains("Caution: a < b && b > c"));
}

TEST_CASE("every rise is drawn, beside the times or below them", "[report][set-report]") {
  const int reps = GENERATE(1, 6, 7, 12);
  CAPTURE(reps);
  const std::string page = set_report(squat(reps));
  CHECK(told(page, "len(of(root, 'polyline', 'curve'))") == fmt::format("{}\n", reps));
  CHECK(told(page, "len(of(root, 'polyline', 'velocity')) > 0") == "True\n");
  CHECK(told(page, "len(of(root, 'div', 'whole'))") == (reps > 6 ? "1\n" : "0\n"));
}

TEST_CASE("a set without motion, and a recording without a rep, make a page",
          "[report][set-report]") {
  Session session = squat(3);
  session.motion = {};
  CHECK(told(set_report(session), "len(of(root, 'svg')), len(of(root, 'tr'))") == "0 4\n");
  session = squat(1);
  session.reps.clear();
  CHECK_THAT(told(set_report(session), "said(root)"), Contains("No repetition was found."));
}
