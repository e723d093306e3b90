#pragma once

#include <string>

/// A small clip of a dark disc that is lowered and raised, drawn by the test itself: enough for the
/// program to have something to do. Accuracy is tested elsewhere, on rendered clips.

namespace kinetics_test {

/// Writes an MP4 with `reps` rises of 0.6 m in about a second each.
void write_disc_clip(const std::string& path, int reps);

/// One that is made once for the whole test program, with two reps. Do not write to it.
[[nodiscard]] const std::string& shared_disc_clip();

}  // namespace kinetics_test
