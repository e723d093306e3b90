// Times made of bad stamps: always strictly increasing, good ones untouched, bad ones between
// their neighbours. The laws are stated; no outside reference is needed.
#include "libkinetics/media/stamp_mender.h"

#include <algorithm>
#include <limits>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

using kinetics::MendedStamp;
using kinetics::StampMender;

namespace {

using Stamp = std::optional<std::int64_t>;
constexpr Stamp kNone;

std::vector<MendedStamp> mend(StampMender& mender, const std::vector<Stamp>& stamps) {
  std::vector<MendedStamp> out;
  std::size_t pushed = 0;
  for (const Stamp& stamp : stamps) {
    mender.push(stamp);
    ++pushed;
    while (const auto time = mender.pop()) out.push_back(*time);
    CHECK(pushed - out.size() <= StampMender::kLookAhead);
  }
  mender.close();
  while (const auto time = mender.pop()) out.push_back(*time);
  CHECK(out.size() == stamps.size());
  return out;
}

std::vector<double> times(const std::vector<Stamp>& stamps, double period = 100.0) {
  StampMender mender(period);
  std::vector<double> result;
  for (const MendedStamp& stamp : mend(mender, stamps)) result.push_back(stamp.ticks_since_first);
  return result;
}

}  // namespace

TEST_CASE("good stamps pass through, counted from the first", "[media][stamps]") {
  CHECK(times({-50, 10, 45, 200}) == std::vector<double>{0, 60, 95, 250});
  StampMender mender(100.0);
  const auto out = mend(mender, {-50, 10, 45});
  CHECK(out[0].stored_ticks == -50);
  CHECK(out[2].stored_ticks == 45);
  CHECK_FALSE(out[1].repaired);
  CHECK(mender.counts().good == 3);
}

TEST_CASE("a missing stamp lies between its neighbours", "[media][stamps]") {
  CHECK(times({0, 100, kNone, 300}) == std::vector<double>{0, 100, 200, 300});
  CHECK(times({0, kNone, kNone, 30}) == std::vector<double>{0, 10, 20, 30});
  // One tick apart leaves no whole tick between: the time is fractional, still increasing.
  CHECK(times({0, kNone, 1}) == std::vector<double>{0, 0.5, 1});
}

TEST_CASE("missing stamps at either end follow the stated rate", "[media][stamps]") {
  CHECK(times({kNone, kNone, 250, 350}) == std::vector<double>{0, 100, 200, 300});
  CHECK(times({0, 100, kNone, kNone}) == std::vector<double>{0, 100, 200, 300});
  CHECK(times({kNone, kNone, kNone}) == std::vector<double>{0, 100, 200});
  CHECK(times({kNone}) == std::vector<double>{0});
}

TEST_CASE("a repeated stamp gives way to the middle of its neighbours", "[media][stamps]") {
  StampMender mender(100.0);
  const auto out = mend(mender, {0, 100, 100, 300});
  CHECK(out[2].ticks_since_first == 200);
  CHECK(out[2].repaired);
  CHECK(mender.counts().disordered == 1);
}

TEST_CASE("one stamp far ahead or behind does not bend the others", "[media][stamps]") {
  CHECK(times({0, 100, 9000, 300, 400}) == std::vector<double>{0, 100, 200, 300, 400});
  CHECK(times({0, 100, -9000, 300, 400}) == std::vector<double>{0, 100, 200, 300, 400});
}

TEST_CASE("a clock that restarts runs on from where it was", "[media][stamps]") {
  std::vector<Stamp> stamps;
  for (int i = 0; i < 20; ++i) stamps.emplace_back(5000 + 100 * i);
  for (int i = 0; i < 20; ++i) stamps.emplace_back(100 * i);
  StampMender mender(100.0);
  const auto out = mend(mender, stamps);
  CHECK(mender.counts().restarts == 1);
  for (std::size_t i = 0; i < out.size(); ++i) {
    CHECK(out[i].ticks_since_first == 100.0 * static_cast<double>(i));
  }
}

TEST_CASE("times strictly increase whatever the stamps", "[media][stamps]") {
  const unsigned seed = GENERATE(range(1U, 41U));
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  std::vector<Stamp> stamps;
  std::int64_t now = 0;
  for (int i = 0; i < 300; ++i) {
    now += std::uniform_int_distribution<int>(1, 200)(random);
    switch (std::uniform_int_distribution<int>(0, 9)(random)) {
      case 0:
        stamps.push_back(kNone);
        break;
      case 1:
        stamps.emplace_back(now - 500);
        break;
      case 2:
        stamps.emplace_back(std::uniform_int_distribution<std::int64_t>(
            std::numeric_limits<std::int64_t>::min() + 1)(random));
        break;
      default:
        stamps.emplace_back(now);
    }
  }
  const std::vector<double> out = times(stamps);
  CHECK(std::adjacent_find(out.begin(), out.end(), std::greater_equal<>()) == out.end());
}
