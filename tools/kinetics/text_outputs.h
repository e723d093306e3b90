#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "tools/kinetics/output_file.h"

/// The places a result goes to besides the screen, found writable before the work begins.

namespace kinetics::cli {

class TextOutputs {
 public:
  /// The files that are read, which are never written to.
  explicit TextOutputs(std::vector<std::string> inputs) : inputs_(std::move(inputs)) {}

  /// Throws Error{kUsage} when the place cannot be written to, is an input, or is taken already.
  /// `render` makes what is to stand there.
  void add(const std::string& option,
           const std::optional<std::string>& path,
           std::function<std::string()> render);

  /// Writes them all. Unless one went to standard output `table` goes there, followed by the names
  /// of the files.
  void write(const std::string& table) const;

 private:
  struct Output {
    OutputFile file;
    std::function<std::string()> render;
  };
  std::vector<std::string> inputs_;
  std::vector<Output> outputs_;
};

}  // namespace kinetics::cli
