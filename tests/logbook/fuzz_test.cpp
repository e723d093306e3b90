// The fuzz target of the reader of sets holds over the small tables and over mutated copies.
#include <filesystem>

#include <catch2/catch.hpp>

#include "libkinetics/logbook/set_csv.h"
#include "tests/fuzz/mutated.h"

using namespace kinetics;

namespace {

const std::filesystem::path kSets = std::filesystem::path(KINETICS_SOURCE_DIR) / "tests/data/sets";

}  // namespace

TEST_CASE("the small tables of sets are read as what they are", "[logbook]") {
  CHECK(read_set_csv((kSets / "plain.csv").string()).sessions.size() == 2);
  const SetsRead pounds = read_set_csv((kSets / "semicolons_pounds.csv").string());
  REQUIRE(pounds.sessions.size() == 1);
  // 330 lb by the pound of 1959
  CHECK(pounds.sessions[0].options.plan->stated_load_kg == Approx(330 * 0.45359237));
}

TEST_CASE("the fuzz target holds on the small tables, cut anywhere and mutated",
          "[logbook][fuzz]") {
  const auto all = kinetics_test::contents_of(kSets);
  REQUIRE(all.size() >= 2);
  const std::size_t finished = kinetics_test::finished_over(all,
                                                            {",",
                                                             ";",
                                                             "\"",
                                                             "\r\n",
                                                             "\n",
                                                             "\xEF\xBB\xBF",
                                                             "1e308",
                                                             "nan",
                                                             "-",
                                                             "0",
                                                             ": ",
                                                             "; ",
                                                             " + ",
                                                             "failed",
                                                             "load_kg",
                                                             "2031-02-29"},
                                                            500);
  // A broken promise ends the program within the target.
  CHECK(finished == all.size() * 501);
}
