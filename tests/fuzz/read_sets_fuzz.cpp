// The reader of sets as numbers against arbitrary bytes: it makes sessions that keep its promises,
// or throws Error; and what it made is written and read again without a change. Built twice: with
// libFuzzer (option KINETICS_FUZZ, clang), and into the logbook tests, which run it over the seeds
// in tests/data/sets and mutated copies of them.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "libkinetics/core/calendar.h"
#include "libkinetics/history/lifted_set.h"
#include "libkinetics/logbook/set_csv.h"
#include "libkinetics/session/rep_quantities.h"
#include "tests/fuzz/promise.h"

namespace {

using namespace kinetics;
using kinetics_test::require;
using kinetics_test::require_helpful;

void check(const Session& session) {
  require(session.options.plan.has_value(), "a set says who lifted what");
  require(day_in(session.provenance.held_on).has_value(), "and on which day");
  require(session.options.plan->stated_load_kg > 0.0, "and with which load");
  require(!session.reps.empty(), "a set has a rep");
  for (const Rep& rep : session.reps) {
    for (const Quantity& q : kQuantities) {
      const Measured& m = rep.*q.member;
      if (!m.ok()) continue;
      require(std::isfinite(m.value()) && std::isfinite(m.sigma()), "a number is a number");
      require(m.sigma() >= 0.0, "and its error none below zero");
    }
  }
  require(lifted_sets(session).size() == 1, "a session from numbers is one set");
}

void check_written(const std::vector<Session>& sessions) {
  std::vector<NamedSession> named;
  for (const Session& session : sessions) named.push_back({"a.h5", session});
  const std::vector<Session> again = parse_set_csv(to_set_csv(named), "s.csv").sessions;
  require(again.size() == sessions.size(), "no set is lost by writing");
  for (std::size_t i = 0; i < again.size(); ++i) {
    require(again[i].reps.size() == sessions[i].reps.size(), "and no rep");
    for (std::size_t k = 0; k < again[i].reps.size(); ++k) {
      for (const Quantity& q : kQuantities) {
        require(again[i].reps[k].*q.member == sessions[i].reps[k].*q.member, "and no number");
      }
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    const SetsRead read = parse_set_csv({reinterpret_cast<const char*>(data), size}, "s.csv");
    for (const Session& session : read.sessions) check(session);
    check_written(read.sessions);
  } catch (const Error& error) {
    require_helpful(error, "s.csv");
  }
  return 0;
}
