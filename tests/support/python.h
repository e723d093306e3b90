#pragma once

#include <array>
#include <cstdio>
#include <fstream>
#include <stdexcept>
#include <string>

/// Debian's own Python, as a reader of our files that shares no code with us.

namespace kinetics_test {

/// Runs `script` (written to `script_path`) with the arguments as given and returns what it
/// printed. Throws std::runtime_error when Python fails. Python's standard error goes to the test's
/// own.
inline std::string python(const std::string& script_path,
                          const std::string& script,
                          const std::string& arguments) {
  std::ofstream(script_path) << script;
  const std::string command = "/usr/bin/python3 '" + script_path + "' " + arguments;
  FILE* const pipe = ::popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("cannot run: " + command);
  std::string printed;
  std::array<char, 4096> block{};
  for (std::size_t got; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;) {
    printed.append(block.data(), got);
  }
  if (::pclose(pipe) != 0) throw std::runtime_error("failed: " + command + "\n" + printed);
  return printed;
}

}  // namespace kinetics_test
