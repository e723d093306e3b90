#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

bool starts_character(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
}

// Bytes that make up the first `width` characters.
std::size_t bytes_of(std::string_view text, std::size_t width) {
  std::size_t seen = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (starts_character(text[i]) && ++seen > width) return i;
  }
  return text.size();
}

}  // namespace

std::size_t shown_width(std::string_view text) {
  std::size_t width = 0;
  for (const char c : text) width += starts_character(c) ? 1 : 0;
  return width;
}

std::string wrapped(std::string_view text,
                    std::size_t width,
                    std::string_view first,
                    std::string_view rest) {
  std::string out;
  std::string line(first);
  bool line_is_empty = true;
  const auto end_line = [&] {
    out.append(line).append("\n");
    line = rest;
    line_is_empty = true;
  };
  while (!text.empty()) {
    const std::size_t space = text.find(' ');
    std::string_view word = text.substr(0, space);
    text.remove_prefix(space == std::string_view::npos ? text.size() : space + 1);
    if (word.empty()) continue;
    if (!line_is_empty && shown_width(line) + 1 + shown_width(word) > width) end_line();
    while (shown_width(line) + (line_is_empty ? 0 : 1) + shown_width(word) > width) {
      const std::size_t cut = bytes_of(word, width - shown_width(line));
      line += word.substr(0, cut);
      word.remove_prefix(cut);
      end_line();
    }
    if (!line_is_empty) line += ' ';
    line += word;
    line_is_empty = false;
  }
  out.append(line).append("\n");
  return out;
}

std::string printable(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20U || byte == 0x7FU) c = '?';
  }
  return out;
}

}  // namespace kinetics
