// The day of the lifting: what was told goes before the clip's own time, and that before the log's.
// The instants were checked with GNU date (2031-03-07T23:30:00Z is 1930692600).
#include "libkinetics/session/held_on.h"

#include <cstdlib>
#include <ctime>
#include <string>

#include <catch2/catch.hpp>

using namespace kinetics;

namespace {

class TimeZone {
 public:
  explicit TimeZone(const char* zone) {
    const char* const old = std::getenv("TZ");
    was_set_ = old != nullptr;
    if (was_set_) old_ = old;
    ::setenv("TZ", zone, 1);
    ::tzset();
  }
  ~TimeZone() {
    was_set_ ? ::setenv("TZ", old_.c_str(), 1) : ::unsetenv("TZ");
    ::tzset();
  }
  TimeZone(const TimeZone&) = delete;
  TimeZone& operator=(const TimeZone&) = delete;

 private:
  std::string old_;
  bool was_set_ = false;
};

Session with_all_three() {
  Session session;
  session.options.held_on = {.day = "2031-03-01", .told_by = "--date"};
  session.clip.recorded_at = "2031-03-07T23:30:00.000000Z";
  session.log.emplace().started_unix_s = 1930692600.0 - 86400.0;
  return session;
}

std::string day_of(Session session) {
  find_day(session);
  CHECK(session.notes.size() == (session.provenance.held_on.empty() ? 0U : 1U));
  return session.provenance.held_on;
}

}  // namespace

TEST_CASE("the day is taken from the surest source that tells it", "[session]") {
  const TimeZone zone("UTC0");
  Session session = with_all_three();
  CHECK(day_of(session) == "2031-03-01");
  session.options.held_on = {};
  CHECK(day_of(session) == "2031-03-07");
  session.clip.recorded_at.clear();
  CHECK(day_of(session) == "2031-03-06");
  session.log->started_unix_s = 0.0;
  CHECK(day_of(session).empty());
  session.log->started_unix_s = 12.5;  // a clock that began to count when it was switched on
  CHECK(day_of(session).empty());
}

TEST_CASE("a time in UTC falls on the gym's own day", "[session]") {
  Session session = with_all_three();
  session.options.held_on = {};
  {
    const TimeZone east("EAST-1");
    CHECK(day_of(session) == "2031-03-08");
    session.clip.recorded_at = "2031-03-07T23:30:00-0500";  // told with the zone it was filmed in
    CHECK(day_of(session) == "2031-03-07");
  }
  session.clip.recorded_at = "2031-03-07T03:30:00Z";
  const TimeZone west("WEST8");
  CHECK(day_of(session) == "2031-03-06");
}

TEST_CASE("the note names where the day was taken from", "[session]") {
  const TimeZone zone("UTC0");
  Session session = with_all_three();
  find_day(session);
  CHECK_THAT(session.notes.back().text, Catch::Contains("2031-03-01, taken from --date"));
  session.options.held_on = {};
  find_day(session);
  CHECK_THAT(session.notes.back().text, Catch::Contains("2031-03-07 23:30 UTC"));
}
