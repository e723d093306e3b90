#include "tools/kinetics/outputs.h"

#include <algorithm>
#include <filesystem>
#include <string>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/report/csv.h"
#include "libkinetics/report/json.h"
#include "libkinetics/report/plot.h"
#include "libkinetics/report/set_report.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"

namespace kinetics::cli {
namespace {

bool same_place(const OutputFile& a, const OutputFile& b) {
  if (a.is_standard_output() || b.is_standard_output()) {
    return a.is_standard_output() && b.is_standard_output();
  }
  return a.target() == b.target();
}

}  // namespace

Outputs::Outputs(const OutputArguments& arguments, std::vector<std::string> inputs)
    : inputs_(std::move(inputs)) {
  if (arguments.csv) add("--csv", *arguments.csv, &to_csv);
  if (arguments.json) add("--json", *arguments.json, &to_json);
  if (arguments.plot) add("--plot", *arguments.plot, &to_svg);
  if (arguments.report) add("--report", *arguments.report, &set_report);
}

void Outputs::reserve(const std::string& option, const std::string& path) {
  if (path == "-") {
    throw Error(
        ErrorCode::kUsage, option + " -", "this cannot go to standard output", "Give a file name");
  }
  add(option, path, nullptr);
}

void Outputs::add(const std::string& option, const std::string& path, Render render) {
  const OutputFile file(option, path);
  std::error_code no_such_file;
  // Hard links and other spellings of one path count too.
  const bool is_input = std::any_of(inputs_.begin(), inputs_.end(), [&](const std::string& input) {
    return std::filesystem::equivalent(file.target(), input, no_such_file);
  });
  if (!file.is_standard_output() && is_input) {
    throw Error(ErrorCode::kUsage,
                fmt::format("{} {}", option, path),
                "this is the input, which is never written to",
                "Choose another name");
  }
  for (const Output& other : outputs_) {
    if (!same_place(file, other.file)) continue;
    throw Error(ErrorCode::kUsage,
                fmt::format("{} {}", option, path),
                fmt::format("{} already goes there", other.file.option()),
                "Give each its own name");
  }
  outputs_.push_back({file, render});
}

void Outputs::write(const Session& session, const std::string& stored_as) const {
  std::string closing;
  bool standard_output_taken = false;
  for (const Output& output : outputs_) {
    if (output.render != nullptr) output.file.write(output.render(session));
    if (output.file.is_standard_output()) {
      standard_output_taken = true;
    } else {
      closing += fmt::format("Written: {}\n", printable(output.file.name()));
    }
  }
  if (standard_output_taken) return;
  if (!stored_as.empty()) closing += fmt::format("Stored: {}\n", printable(stored_as));
  if (!closing.empty()) closing.insert(0, "\n");
  print(to_table(session) + closing);
}

}  // namespace kinetics::cli
