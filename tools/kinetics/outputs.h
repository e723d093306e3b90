#pragma once

#include <optional>
#include <string>
#include <vector>

#include "libkinetics/session/session.h"
#include "tools/kinetics/output_file.h"

/// The places a session is put out to, found writable before the work begins.

namespace kinetics::cli {

/// As typed; empty when not asked for.
struct OutputArguments {
  std::optional<std::string> csv;
  std::optional<std::string> json;
  std::optional<std::string> plot;
  std::optional<std::string> report;
};

class Outputs {
 public:
  /// Throws Error{kUsage} when one cannot be written, would replace one of the `inputs`, or when
  /// two would go to one place.
  Outputs(const OutputArguments& arguments, std::vector<std::string> inputs);

  /// Checks a file that the command writes by itself against all others.
  void reserve(const std::string& option, const std::string& path);

  /// Writes every output but the reserved ones. Unless one went to standard output the table goes
  /// there, followed by the names of the files, `stored_as` among them.
  void write(const Session& session, const std::string& stored_as = "") const;

 private:
  using Render = std::string (*)(const Session&);
  struct Output {
    OutputFile file;
    Render render;  ///< nothing for a reserved file
  };

  void add(const std::string& option, const std::string& path, Render render);

  std::vector<std::string> inputs_;
  std::vector<Output> outputs_;
};

}  // namespace kinetics::cli
