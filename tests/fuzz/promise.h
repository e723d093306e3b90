#pragma once

#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "libkinetics/core/error.h"

/// What the fuzz targets hold a reader to. A broken promise ends the program.

namespace kinetics_test {

inline void require(bool holds, const char* promise) {
  if (holds) return;
  std::fprintf(stderr, "broken promise: %s\n", promise);
  std::abort();
}

/// The only way in which a reader may refuse the bytes of a file.
inline void require_helpful(const kinetics::Error& error, std::string_view file) {
  require(error.code() == kinetics::ErrorCode::kUnreadable,
          "bad input is not called our own mistake");
  require(error.where().starts_with(file), "an error names the file");
  require(!error.problem().empty() && !error.mend().empty(),
          "and says what is wrong and how to mend it");
}

}  // namespace kinetics_test
