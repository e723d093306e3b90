#include "libkinetics/roster/toml_file.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::roster_detail {
namespace {

/// Steps over a text in quotes that begins at `i` and returns where it ends. One that is not closed
/// ends with its line, or with the file where it may go over several.
std::size_t after_quotes(std::string_view text, std::size_t i) {
  const char quote = text[i];
  const std::string three(3, quote);
  const bool many_lines = text.substr(i, 3) == three;
  const std::string_view end = many_lines ? std::string_view(three) : text.substr(i, 1);
  for (i += end.size(); i < text.size(); ++i) {
    if (text.substr(i, end.size()) == end) return i + end.size();
    if (text[i] == '\n' && !many_lines) return i;
    if (text[i] == '\\' && quote == '"') ++i;
  }
  return text.size();
}

/// Whether a quote at `i` opens a text. One that follows a letter or sign belongs to what that
/// began: toml++ reads on as if it were a number.
bool opens_text(std::string_view text, std::size_t i) {
  return (text[i] == '"' || text[i] == '\'') &&
         (i == 0 || std::string_view(" \t\r\n=[,{").find(text[i - 1]) != std::string_view::npos);
}

/// TOML knows no letter but those of ASCII outside quotes and comments. Said here, since toml++ 3.3
/// does not expect one there: what it does then is undefined.
void check_letters(std::string_view text, const std::string& name) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  std::size_t i = text.starts_with(kByteOrderMark) ? kByteOrderMark.size() : 0;
  while (i < text.size()) {
    if (opens_text(text, i)) {
      i = after_quotes(text, i);
    } else if (text[i] == '#') {
      i = std::min(text.find('\n', i), text.size());
    } else if (static_cast<unsigned char>(text[i]) < 0x80U) {
      ++i;
    } else {
      const std::string_view before = text.substr(0, i);
      const auto lines = std::count(before.begin(), before.end(), '\n');
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("{}:{}", name, 1 + lines),
                  "this is not TOML: a letter that is not A to Z stands outside quotes",
                  "Put names and texts in quotes");
    }
  }
}

}  // namespace

toml::table parsed_toml(const std::string& text, const std::string& name) {
  check_letters(text, name);
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& error) {
    throw Error(ErrorCode::kUnreadable,
                fmt::format("{}:{}", name, error.source().begin.line),
                fmt::format("this is not TOML: {}", error.description()),
                "Texts stand in quotes, numbers have a point, entries begin with [[lifter]]");
  }
}

std::string whole_toml_file(const std::string& path, const std::string& kind) {
  const auto refuse = [&](const std::string& what, const std::string& mend) {
    throw Error(ErrorCode::kUnreadable, path, what, mend);
  };
  std::error_code failed;
  const auto status = std::filesystem::status(path, failed);
  if (!std::filesystem::exists(status)) {
    refuse(fmt::format("no such {}", kind), "Give the name of a TOML file");
  }
  if (std::filesystem::is_directory(status)) refuse("this is a folder", "Give a file in it");
  constexpr std::uintmax_t kLargestBytes = std::uintmax_t{16} << 20U;
  if (std::filesystem::is_regular_file(status) &&
      std::filesystem::file_size(path, failed) > kLargestBytes) {
    refuse(fmt::format("this is too large for a {}", kind), "Give the club's TOML file");
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  if (!file) refuse("this cannot be read", "Allow reading it, or give another file");
  return std::move(content).str();
}

}  // namespace kinetics::roster_detail
