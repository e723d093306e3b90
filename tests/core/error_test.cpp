// An error reads as one line: where, what, mend.
#include "libkinetics/core/error.h"

#include <catch2/catch.hpp>

using kinetics::Error;
using kinetics::ErrorCode;

TEST_CASE("an error reads where, what and how to mend it", "[core]") {
  const Error error(ErrorCode::kUnreadable, "set3.mp4", "the file is empty", "Copy it again");
  CHECK(std::string(error.what()) == "set3.mp4: the file is empty. Copy it again.");
  CHECK(error.code() == ErrorCode::kUnreadable);
}

TEST_CASE("an error without a place or a mend is still a sentence", "[core]") {
  CHECK(std::string(Error(ErrorCode::kUsage, "", "nothing to do", "").what()) == "nothing to do.");
}

TEST_CASE("a broken assertion names its condition", "[core]") {
  const int two = 2;
  CHECK_THROWS_WITH(KINETICS_ASSERT(two == 3), Catch::Contains("two == 3"));
}
