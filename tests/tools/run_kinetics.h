#pragma once

#include <string>
#include <vector>

#include "tests/media/made_clip.h"

/// The program itself, run as a user runs it.

namespace kinetics_test {

struct Outcome {
  int status = -1;
  std::string out;
  std::string err;
};

/// Runs `kinetics ARGUMENTS` in `folder` through a shell, with no input.
[[nodiscard]] Outcome run_kinetics(const kinetics_test::Folder& folder,
                                   const std::string& arguments);

/// The same, where it must succeed.
Outcome done(const kinetics_test::Folder& folder, const std::string& arguments);

enum { kBadUsage = 2, kUnreadable = 3, kNothingToTrack = 4 };

/// Checks that the arguments are refused with the status, in one line that holds the words, and
/// that no file comes or goes.
void check_refused(const kinetics_test::Folder& folder,
                   const std::string& arguments,
                   int status,
                   const std::string& words);

[[nodiscard]] std::string kinetics_program();

/// The path of a file in samples/.
[[nodiscard]] std::string sample(const std::string& name);

/// Names of all files below the folder, hidden ones too, without the two that hold the output of
/// run_kinetics; sorted.
[[nodiscard]] std::vector<std::string> files_in(const kinetics_test::Folder& folder);

[[nodiscard]] std::size_t lines_in(const std::string& text);

}  // namespace kinetics_test
