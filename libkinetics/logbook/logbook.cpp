#include "libkinetics/logbook/logbook.h"

#include <charconv>
#include <fstream>
#include <string>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

/// The number behind "layout_version =", which stands at the start of a line; 0 when it is not
/// there.
int layout_in(std::ifstream& file) {
  constexpr std::string_view kKey = "layout_version";
  for (std::string line; std::getline(file, line);) {
    if (!line.starts_with(kKey)) continue;
    const std::size_t digits = line.find_first_not_of(" =", kKey.size());
    int version = 0;
    if (digits == std::string::npos) return 0;
    std::from_chars(line.data() + digits, line.data() + line.size(), version);
    return version;
  }
  return 0;
}

}  // namespace

std::filesystem::path roster_of(const std::filesystem::path& logbook) {
  return logbook / "roster.toml";
}

std::filesystem::path plan_of(const std::filesystem::path& logbook) {
  return logbook / "plan.toml";
}

void check_layout(const std::filesystem::path& logbook) {
  const std::filesystem::path path = logbook / "layout.toml";
  std::error_code failed;
  if (!std::filesystem::exists(path, failed)) return;
  std::ifstream file(path);
  const int version = layout_in(file);
  if (version == kLayoutVersion) return;
  throw Error(ErrorCode::kUnreadable,
              path.string(),
              version == 0 ? std::string("it does not say how this logbook is laid out")
                           : fmt::format("this logbook is laid out by a newer kinetics (layout {}; "
                                         "this one knows {})",
                                         version,
                                         kLayoutVersion),
              "Update kinetics");
}

}  // namespace kinetics
