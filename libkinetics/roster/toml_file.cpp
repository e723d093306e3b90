#include "libkinetics/roster/toml_file.h"

#include <algorithm>
#include <cctype>
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
    if (text.substr(i, end.size()) == end) {
      i += end.size();
      // A text over several lines may itself end in one or two quotes.
      for (int more = 0; many_lines && more < 2 && text.substr(i, 1) == end.substr(0, 1); ++more)
        ++i;
      return i;
    }
    if (text[i] == '\n' && !many_lines) return i;
    if (text[i] == '\\' && quote == '"') ++i;
  }
  return text.size();
}

[[noreturn]] void refuse_at(std::string_view text,
                            std::size_t at,
                            const std::string& name,
                            const std::string& what,
                            const std::string& mend) {
  const std::string_view before = text.substr(0, at);
  throw Error(ErrorCode::kUnreadable,
              fmt::format("{}:{}", name, 1 + std::count(before.begin(), before.end(), '\n')),
              "this is not TOML: " + what,
              mend);
}

/// Whether a quote at `i` opens a text: one that follows a letter or sign belongs to what that
/// began, and toml++ reads on as if it were a number.
bool opens_text(std::string_view text, std::size_t i) {
  return (text[i] == '"' || text[i] == '\'') &&
         (i == 0 || std::string_view(" \t\r\n=[,{").find(text[i - 1]) != std::string_view::npos);
}

/// Whether "[" or "[[" at `i`, which begins a line, is followed by a name; an end that TOML's
/// reader complains about itself is let pass.
bool is_header(std::string_view text, std::size_t i) {
  const bool two = text.substr(i, 2) == "[[";
  i = text.find_first_not_of(" \t", i + (two ? 2 : 1));
  if (i >= text.size()) return true;
  const std::string_view begins = two ? "_-\"']" : "_-\"'][";
  return std::isalnum(static_cast<unsigned char>(text[i])) != 0 ||
         begins.find(text[i]) != std::string_view::npos;
}

/// Refuses what toml++ 3.3 does not expect, since what it does then is undefined: letters beyond
/// those of ASCII outside quotes and comments, a header without a name, a list that ends in '}'.
void check_text(std::string_view text, const std::string& name) {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  std::size_t i = text.starts_with(kByteOrderMark) ? kByteOrderMark.size() : 0;
  bool line_begins = true;
  std::string open;  // brackets not yet closed, innermost last
  while (i < text.size()) {
    const char c = text[i];
    if (static_cast<unsigned char>(c) >= 0x80U) {
      refuse_at(text,
                i,
                name,
                "a letter that is not A to Z stands outside quotes",
                "Put names and texts in quotes");
    }
    if (c == '[' && line_begins && open.empty() && !is_header(text, i)) {
      refuse_at(
          text, i, name, "no name follows '['", "Begin entries with [[lifter]], [meet] or alike");
    }
    if (c == '}' && open.ends_with('[')) {
      refuse_at(
          text, i, name, "'}' stands where ']' is expected", "Close with ']' what '[' opened");
    }
    if (c == '[' || c == '{') open += c;
    if ((c == ']' || c == '}') && open.ends_with(c == ']' ? '[' : '{')) open.pop_back();
    if (c != ' ' && c != '\t') line_begins = c == '\n';
    if (opens_text(text, i)) {
      i = after_quotes(text, i);
    } else if (c == '#') {
      i = std::min(text.find('\n', i), text.size());
    } else {
      ++i;
    }
  }
}

}  // namespace

toml::table parsed_toml(const std::string& text, const std::string& name) {
  check_text(text, name);
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
