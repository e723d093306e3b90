#pragma once

#include <cstddef>
#include <cstdint>

#include "libkinetics/session/session.h"

/// A session in which every field holds something, drawn at random, so that a field that is lost or
/// mixed up with another is noticed.

namespace kinetics_test {

/// `reps` of them in two sets, over `frames` frames. Every third number is not measured.
[[nodiscard]] kinetics::Session random_session(std::uint32_t seed,
                                               std::size_t frames = 500,
                                               std::size_t reps = 7);

/// The same with few frames, always with a sheet's row and without doubt about who lifted: one of
/// three lifters on one of four days, a recording of its own each. Fields are drawn as above.
[[nodiscard]] kinetics::Session lifted_session(std::uint32_t seed);

}  // namespace kinetics_test
