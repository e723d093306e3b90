// What the words promise is counted over simulated measurements. Shares for a limit exactly reached
// follow from the normal distribution: 5 % certain, 20 % likely, 50 % cannot tell, 25 % nothing.
// Bounds are those of a binomial count at 99.9 %.
#include "libkinetics/flags/certainty.h"

#include <array>
#include <cmath>
#include <random>

#include <catch2/catch.hpp>

using namespace kinetics;

TEST_CASE("words of certainty are those of the report", "[flags]") {
  CHECK(in_words(Certainty::kCertain) == "certain");
  CHECK(in_words(Certainty::kLikely) == "likely");
  CHECK(in_words(Certainty::kCannotTell) == "cannot tell");
}

TEST_CASE("without noise a limit is passed or it is not", "[flags]") {
  CHECK(certainty_beyond(0.01, 0.0) == Certainty::kCertain);
  CHECK_FALSE(certainty_beyond(0.0, 0.0).has_value());
  CHECK_FALSE(certainty_beyond(-0.01, 0.0).has_value());
}

TEST_CASE("a limit exactly reached is called certain in 1 of 20 measurements", "[flags]") {
  constexpr int kRuns = 40000;
  std::mt19937 engine(3);
  std::normal_distribution<double> noise(0.0, 0.02);
  std::array<int, 4> counts{};
  for (int i = 0; i < kRuns; ++i) {
    const auto sure = certainty_beyond(noise(engine), 0.02);
    ++counts[sure ? static_cast<std::size_t>(*sure) : 3U];
  }
  const std::array expected{0.05, 0.20, 0.50, 0.25};
  for (std::size_t k = 0; k < counts.size(); ++k) {
    CAPTURE(k, counts[k]);
    const double sigma = std::sqrt(expected[k] * (1.0 - expected[k]) * kRuns);
    CHECK(std::abs(counts[k] - expected[k] * kRuns) < 3.29 * sigma);
  }
}

TEST_CASE("what is certain is true in 19 of 20 cases or more, what is likely in 3 of 4",
          "[flags]") {
  // Truths spread evenly about the limit, far wider than the noise.
  constexpr int kRuns = 60000;
  std::mt19937 engine(5);
  std::normal_distribution<double> noise(0.0, 1.0);
  std::uniform_real_distribution<double> truths(-12.0, 12.0);
  std::array<int, 4> said{};
  std::array<int, 4> right{};
  for (int i = 0; i < kRuns; ++i) {
    const double truth = truths(engine);
    const auto sure = certainty_beyond(truth + noise(engine), 1.0);
    const std::size_t k = sure ? static_cast<std::size_t>(*sure) : 3U;
    ++said[k];
    right[k] += truth > 0.0 ? 1 : 0;
  }
  const auto share = [&](std::size_t k) { return static_cast<double>(right[k]) / said[k]; };
  const auto slack = [&](std::size_t k) { return 3.29 * std::sqrt(0.25 / said[k]); };
  CHECK(share(0) > 0.95);
  CHECK(share(1) > 0.75 - slack(1));
  CHECK(share(1) < 0.95 + slack(1));
  CHECK(share(2) > 0.25 - slack(2));
  CHECK(share(2) < 0.75 + slack(2));
  CHECK(share(3) < 0.25);
}
