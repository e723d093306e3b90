// Days against the Gregorian calendar: its leap rule (every fourth year, no hundredth, every four
// hundredth; Inter gravissimas, 1582), and every day of four centuries as Python's datetime has it.
#include "libkinetics/core/weekday.h"

#include <cstdint>
#include <filesystem>
#include <string>

#include <catch2/catch.hpp>
#include <unistd.h>

#include "tests/support/python.h"

using namespace kinetics;

TEST_CASE("leap days are where the calendar has them", "[core]") {
  for (const char* const leap : {"2024-02-29", "2000-02-29", "2400-02-29", "2032-02-29"}) {
    CAPTURE(leap);
    REQUIRE(day_in(leap));
    CHECK(in_iso(*day_in(leap)) == leap);
  }
  for (const char* const none : {"2023-02-29", "1900-02-29", "2100-02-29", "2031-02-29"}) {
    CAPTURE(none);
    CHECK_FALSE(day_in(none));
  }
}

TEST_CASE("weeks go over the year's end and a leap day", "[core]") {
  using std::chrono::days;
  CHECK(in_iso(*day_in("2031-12-27") + days{7}) == "2032-01-03");
  CHECK(in_iso(*day_in("2032-02-27") + days{7}) == "2032-03-05");
  CHECK(in_iso(*day_in("2031-02-27") + days{7}) == "2031-03-06");
  CHECK(in_iso(*day_in("2032-01-03") - days{7}) == "2031-12-27");
  CHECK((*day_in("2032-03-01") - *day_in("2032-02-01")).count() == 29);
}

TEST_CASE("what is no day is not taken for one", "[core][bad-input]") {
  for (const char* const text : {"",
                                 "2031-3-7",
                                 "2031-13-01",
                                 "2031-00-10",
                                 "2031-04-31",
                                 "2031-01-00",
                                 "07.03.2031",
                                 "2031/03/07",
                                 "2031-03-07 ",
                                 "2031-03-0x",
                                 "+031-03-07"}) {
    CAPTURE(text);
    CHECK_FALSE(day_in(text));
  }
}

TEST_CASE("four centuries of days are those of another calendar", "[core]") {
  // A checksum over every day's text and weekday keeps the exchange small.
  const std::string script =
      "import datetime\n"
      "d, h = datetime.date(1900, 1, 1), 0\n"
      "while d <= datetime.date(2299, 12, 31):\n"
      "    for c in d.isoformat(): h = (h * 31 + ord(c)) % 4294967291\n"
      "    h = (h * 31 + d.weekday()) % 4294967291\n"
      "    d += datetime.timedelta(days=1)\n"
      "print(h)\n";
  std::uint64_t sum = 0;
  constexpr std::uint64_t kPrime = 4294967291U;
  const CalendarDay last = *day_in("2299-12-31");
  for (CalendarDay day = *day_in("1900-01-01"); day <= last; day += std::chrono::days{1}) {
    REQUIRE(day_in(in_iso(day)) == day);
    for (const char c : in_iso(day)) sum = (sum * 31U + static_cast<unsigned>(c)) % kPrime;
    sum = (sum * 31U + static_cast<unsigned>(weekday_number(day))) % kPrime;
  }
  const auto file = std::filesystem::temp_directory_path() /
                    ("kinetics_days_" + std::to_string(::getpid()) + ".py");
  CHECK(kinetics_test::python(file.string(), script, "") == std::to_string(sum) + "\n");
  std::filesystem::remove(file);
}

TEST_CASE("weekdays have names", "[core]") {
  const CalendarDay moon = *day_in("1969-07-20");  // a Sunday
  CHECK(weekday_name(moon) == "Sunday");
  CHECK(day_in_words(moon) == "Sun 20 Jul 1969");
  CHECK(weekday_from_text("sunday") == 6);
  CHECK(weekday_from_text("MON") == 0);
  CHECK_FALSE(weekday_from_text("mond"));
  CHECK_FALSE(weekday_from_text(""));
}
