#pragma once

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <string_view>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

/// A fuzz target run by the ordinary tests: over small files, and over copies of them that were
/// cut, changed and spliced by a seeded generator.

namespace kinetics_test {

/// The bytes of a file.
inline std::string content_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

/// The bytes of every file in the folder, by name.
inline std::vector<std::string> contents_of(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> all;
  for (const auto& path : paths) all.push_back(content_of(path));
  return all;
}

/// `all[which]` with 1 to 8 changes; `scraps` are what the reader takes for more than a letter.
inline std::string mutated(const std::vector<std::string>& all,
                           std::size_t which,
                           const std::vector<std::string_view>& scraps,
                           std::mt19937& random) {
  const auto pick = [&](std::size_t below) {
    return std::uniform_int_distribution<std::size_t>(0, below - 1)(random);
  };
  std::string bytes = all[which];
  for (std::size_t changes = 1 + pick(8); changes > 0; --changes) {
    if (bytes.empty()) bytes = " ";
    const std::size_t at = pick(bytes.size());
    switch (pick(5)) {
      case 0:
        bytes[at] = static_cast<char>(pick(256));
        break;
      case 1:
        bytes.insert(at, scraps[pick(scraps.size())]);
        break;
      case 2:
        bytes.erase(at, 1 + pick(30));
        break;
      case 3:
        if (pick(8) == 0) bytes.resize(at);
        break;
      default: {
        const std::string& other = all[pick(all.size())];
        bytes.insert(at, other.substr(pick(other.size()), pick(60)));
      }
    }
  }
  return bytes;
}

/// Runs the target; a promise that it finds broken ends the program. Returns how many inputs it
/// came back from.
inline std::size_t finished_over(const std::vector<std::string>& all,
                                 const std::vector<std::string_view>& scraps,
                                 std::size_t copies) {
  std::mt19937 random(20261125);
  std::size_t finished = 0;
  const auto run = [&](const std::string& bytes) {
    const auto* const data = reinterpret_cast<const std::uint8_t*>(bytes.data());
    finished += LLVMFuzzerTestOneInput(data, bytes.size()) == 0 ? 1 : 0;
  };
  for (std::size_t which = 0; which < all.size(); ++which) {
    run(all[which]);
    for (std::size_t i = 0; i < copies; ++i) run(mutated(all, which, scraps, random));
  }
  return finished;
}

}  // namespace kinetics_test
