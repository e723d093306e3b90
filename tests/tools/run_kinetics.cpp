#include "tests/tools/run_kinetics.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include <catch2/catch.hpp>
#include <sys/wait.h>

namespace kinetics_test {

using kinetics_test::Folder;
using kinetics_test::slurp;

std::string kinetics_program() {
  return std::string(KINETICS_BIN_DIR) + "/kinetics";
}

Outcome run_kinetics(const Folder& folder, const std::string& arguments) {
  const std::string command = "cd '" + folder.path().string() + "' && '" + kinetics_program() +
                              "' " + arguments + " </dev/null >.out 2>.err";
  const int status = std::system(command.c_str());
  return {.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1,
          .out = slurp(folder / ".out"),
          .err = slurp(folder / ".err")};
}

std::vector<std::string> files_in(const Folder& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder.path())) {
    if (!entry.is_regular_file()) continue;
    const std::string name = std::filesystem::relative(entry.path(), folder.path()).string();
    if (name != ".out" && name != ".err") names.push_back(name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::size_t lines_in(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

Outcome done(const Folder& folder, const std::string& arguments) {
  Outcome outcome = run_kinetics(folder, arguments);
  CAPTURE(arguments, outcome.err, outcome.out);
  REQUIRE(outcome.status == 0);
  return outcome;
}

void check_refused(const Folder& folder,
                   const std::string& arguments,
                   int status,
                   const std::string& words) {
  const std::vector<std::string> before = files_in(folder);
  const Outcome outcome = run_kinetics(folder, arguments);
  CAPTURE(arguments, outcome.err, outcome.out);
  CHECK(outcome.status == status);
  CHECK_THAT(outcome.err, Catch::StartsWith("kinetics: ") && Catch::Contains(words));
  CHECK(lines_in(outcome.err) == 1);
  CHECK(outcome.out.empty());
  CHECK(files_in(folder) == before);
}

std::string sample(const std::string& name) {
  return std::string(KINETICS_SOURCE_DIR) + "/samples/" + name;
}

}  // namespace kinetics_test
