// The day's page on paper: printed by Chromium, counted and read by Poppler. How many pages a day
// may need is common practice, no source: what a coach can hold beside the rack.
#include <cstdlib>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "libkinetics/report/day_report.h"
#include "tests/media/made_clip.h"
#include "tests/support/made_day.h"

using namespace kinetics;
using kinetics_test::DayRecipe;
using kinetics_test::Folder;
using kinetics_test::made_day;
using kinetics_test::slurp;
using kinetics_test::spill;

namespace {

void run(const std::string& command) {
  if (std::system(command.c_str()) != 0) throw std::runtime_error("failed: " + command);
}

/// The text of each page, as it would be printed.
std::vector<std::string> printed(const DaySession& day, const std::string& paper) {
  const Folder folder;
  std::string page = day_report(day, "Northgate Barbell");
  page.insert(page.find("</head>"), "<style>@page{size:" + paper + "}</style>");
  spill(folder / "day.html", page);
  run(
      fmt::format("HOME='{0}' chromium --headless --no-sandbox --disable-gpu --no-first-run "
                  "--disable-quic --disable-background-networking --no-pdf-header-footer "
                  "--user-data-dir='{0}/profile' --print-to-pdf='{0}/day.pdf' '{0}/day.html' "
                  ">'{0}/log' 2>&1",
                  folder.path().string()));
  run(
      fmt::format("pdftotext -layout '{0}/day.pdf' '{0}/day.txt' && pdfinfo '{0}/day.pdf' "
                  ">'{0}/info'",
                  folder.path().string()));
  const std::string info = slurp(folder / "info");
  CAPTURE(info);
  CHECK(info.find(paper == "A4" ? "(A4)" : "(letter)") != std::string::npos);
  // Poppler ends each page with a form feed.
  std::vector<std::string> pages;
  std::istringstream text(slurp(folder / "day.txt"));
  for (std::string one; std::getline(text, one, '\f');) pages.push_back(one);
  return pages;
}

std::size_t count(const std::string& text, const std::string& words) {
  std::size_t n = 0;
  for (std::size_t at = 0; (at = text.find(words, at)) != std::string::npos; ++at) ++n;
  return n;
}

DayRecipe recipe(int lifters, int sets) {
  DayRecipe out{.lifters = {}, .sets = sets, .reps = 3, .missed = {4}, .doubtful = {7}, .extra = 1};
  for (int i = 0; i < lifters; ++i) out.lifters.push_back(fmt::format("Lifter No{:02}", i + 1));
  return out;
}

}  // namespace

TEST_CASE("a day of six or eight lifters is one page on either paper", "[report][printed]") {
  const std::string paper = GENERATE("A4", "letter");
  const int lifters = GENERATE(6, 8);
  CAPTURE(paper, lifters);
  const auto pages = printed(made_day(recipe(lifters, 8)), paper);
  REQUIRE(pages.size() == 1);
  for (const char* words : {"Northgate Barbell", "Not seen", "Doubtful", "Stop on pain"}) {
    CAPTURE(words);
    CHECK(count(pages[0], words) >= 1);
  }
}

TEST_CASE("a day of twenty lifters breaks between them", "[report][printed]") {
  const std::string paper = GENERATE("A4", "letter");
  CAPTURE(paper);
  const auto pages = printed(made_day(recipe(20, 8)), paper);
  CHECK(pages.size() >= 2);
  CHECK(pages.size() <= 3);
  std::size_t lifters = 0;
  for (const std::string& page : pages) {
    CAPTURE(page);
    // Each lifter's table is whole: as many begin on a page as have their rows there.
    const std::size_t here = count(page, "zone 0.65");
    lifters += here;
    for (const char* row : {"reps/plan", "loss %"}) CHECK(count(page, row) == here);
    CHECK(here > 0);
  }
  CHECK(lifters == 20);
}
