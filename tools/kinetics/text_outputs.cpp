#include "tools/kinetics/text_outputs.h"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/report/text.h"

namespace kinetics::cli {

void TextOutputs::add(const std::string& option,
                      const std::optional<std::string>& path,
                      std::function<std::string()> render) {
  if (!path) return;
  OutputFile file(option, *path);
  const auto refuse = [&](const std::string& what) {
    throw Error(
        ErrorCode::kUsage, fmt::format("{} {}", option, *path), what, "Choose another name");
  };
  std::error_code no_such_file;
  for (const std::string& input : inputs_) {
    if (!file.is_standard_output() &&
        std::filesystem::equivalent(file.target(), input, no_such_file)) {
      refuse("this is an input, which is never written to");
    }
  }
  for (const Output& other : outputs_) {
    const bool same = file.is_standard_output() ? other.file.is_standard_output()
                                                : !other.file.is_standard_output() &&
                                                      other.file.target() == file.target();
    if (same) refuse(fmt::format("{} goes there already", other.file.option()));
  }
  outputs_.push_back({std::move(file), std::move(render)});
}

void TextOutputs::write(const std::string& table) const {
  std::string names;
  bool to_screen = true;
  for (const Output& output : outputs_) {
    output.file.write(output.render());
    to_screen = to_screen && !output.file.is_standard_output();
    names += (names.empty() ? "" : ", ") + output.file.name();
  }
  if (!to_screen) return;
  print(names.empty() ? table : fmt::format("{}\nWritten: {}\n", table, printable(names)));
}

}  // namespace kinetics::cli
