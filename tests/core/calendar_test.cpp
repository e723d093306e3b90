// Days and instants as ISO 8601 writes them. Instants are checked against GNU date's answers
// (`date -u -d 2031-03-07T16:05:00Z +%s`).
#include "libkinetics/core/calendar.h"

#include <chrono>
#include <cstdlib>
#include <ctime>

#include <catch2/catch.hpp>

using namespace kinetics;

TEST_CASE("a day is read as ISO 8601 writes it, and nothing else is a day", "[core]") {
  using namespace std::chrono;
  CHECK(day_in("2031-03-07") == sys_days(2031y / March / 7d));
  CHECK(day_in("2028-02-29") == sys_days(2028y / February / 29d));
  for (const char* bad : {"",
                          "2031-3-7",
                          "2031-02-29",
                          "2031-13-01",
                          "2031-00-10",
                          "2031-03-32",
                          "07.03.2031",
                          "2031/03/07",
                          "2031-03-07 ",
                          "+031-03-07",
                          "2031-03-0x"}) {
    CAPTURE(bad);
    CHECK_FALSE(day_in(bad));
  }
}

TEST_CASE("a day written and read is the same day", "[core]") {
  const auto first = *day_in("1999-12-25");
  for (int i = 0; i < 20000; i += 13) {
    const auto day = first + std::chrono::days(i);
    CHECK(day_in(in_iso(day)) == day);
  }
}

TEST_CASE("an instant is read with its zone", "[core]") {
  CHECK(unix_seconds_in("2031-03-07T16:05:00Z") == 1930665900);
  CHECK(unix_seconds_in("2031-03-07T16:05:00.000000Z") == 1930665900);
  CHECK(unix_seconds_in("2031-03-07 16:05:00Z") == 1930665900);
  CHECK(unix_seconds_in("2031-03-07T17:05:00+0100") == 1930665900);
  CHECK(unix_seconds_in("2031-03-07T10:35:00-05:30") == 1930665900);
  CHECK(unix_seconds_in("1970-01-01T00:00:00Z") == 0);
  for (const char* bad : {"",
                          "2031-03-07",
                          "2031-03-07T16:05:00",
                          "2031-03-07T25:05:00Z",
                          "2031-03-07T16:05Z",
                          "2031-03-07T16:05:00+1:00",
                          "yesterday"}) {
    CAPTURE(bad);
    CHECK_FALSE(unix_seconds_in(bad));
  }
  CHECK(unix_seconds_in(now_in_iso()).value_or(0) >= std::time(nullptr) - 60);
}

TEST_CASE("a zone is told by an offset, and UTC tells none", "[core]") {
  CHECK(zone_told_in("2031-03-07T17:05:00+0100") == 3600);
  CHECK(zone_told_in("2031-03-07T10:35:00.250-05:30") == -19800);
  for (const char* none : {"2031-03-07T16:05:00Z", "2031-03-07T16:05:00", "2031-03-07", ""}) {
    CAPTURE(none);
    CHECK_FALSE(zone_told_in(none));
  }
}

TEST_CASE("the local day follows the computer's time zone", "[core]") {
  const char* const old = std::getenv("TZ");
  const std::string kept = old == nullptr ? "" : old;
  const auto day_at = [](const char* zone, std::int64_t unix_s) {
    ::setenv("TZ", zone, 1);
    ::tzset();
    return local_day(unix_s);
  };
  // 2031-03-07T23:30:00Z
  CHECK(day_at("UTC0", 1930692600) == "2031-03-07");
  CHECK(day_at("EAST-1", 1930692600) == "2031-03-08");
  CHECK(day_at("WEST8", 1930692600) == "2031-03-07");
  if (old == nullptr) {
    ::unsetenv("TZ");
  } else {
    ::setenv("TZ", kept.c_str(), 1);
  }
  ::tzset();
}
