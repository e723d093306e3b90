#include "libkinetics/roster/names.h"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

namespace kinetics {
namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool parts_words(char c) {
  return c == ' ' || c == '\t' || c == '-' || c == '_' || c == '\n' || c == '\r';
}

std::size_t edits_between(const std::string& a, const std::string& b) {
  const std::size_t columns = b.size() + 1;
  std::vector<std::size_t> table((a.size() + 1) * columns);
  const auto at = [&](std::size_t i, std::size_t j) -> std::size_t& {
    return table[i * columns + j];
  };
  for (std::size_t i = 0; i <= a.size(); ++i) at(i, 0) = i;
  for (std::size_t j = 0; j <= b.size(); ++j) at(0, j) = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t exchanged = at(i - 1, j - 1) + (a[i - 1] == b[j - 1] ? 0 : 1);
      at(i, j) = std::min({at(i - 1, j) + 1, at(i, j - 1) + 1, exchanged});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        at(i, j) = std::min(at(i, j), at(i - 2, j - 2) + 1);
      }
    }
  }
  return at(a.size(), b.size());
}

}  // namespace

std::string folded(std::string_view name) {
  std::string out;
  bool gap = false;
  for (const char c : name) {
    if (parts_words(c)) {
      gap = !out.empty();
      continue;
    }
    if (gap) out += ' ';
    gap = false;
    out += lower(c);
  }
  return out;
}

bool same_name(std::string_view a, std::string_view b) {
  return folded(a) == folded(b);
}

std::optional<std::string> nearest_name(std::string_view typed,
                                        const std::vector<std::string>& known) {
  constexpr std::size_t kLongest = 80;  // longer is no slip of a name
  const std::string wanted = folded(typed);
  if (wanted.size() > kLongest) return std::nullopt;
  std::optional<std::string> best;
  std::size_t fewest = std::max<std::size_t>(wanted.size() / 3, 1) + 1;
  for (const std::string& name : known) {
    if (name.size() > kLongest) continue;
    const std::size_t edits = edits_between(wanted, folded(name));
    if (edits >= fewest) continue;
    fewest = edits;
    best = name;
  }
  return best;
}

std::string meant_or_known(std::string_view typed,
                           const std::vector<std::string>& known,
                           const std::string& otherwise) {
  if (const auto near = nearest_name(typed, known))
    return fmt::format("Perhaps '{}' is meant", *near);
  if (known.empty()) return otherwise;
  constexpr std::size_t kMost = 8;
  const std::vector<std::string> some(
      known.begin(), known.begin() + static_cast<std::ptrdiff_t>(std::min(known.size(), kMost)));
  return fmt::format(
      "Known are: {}{}", fmt::join(some, ", "), known.size() > kMost ? " and others" : "");
}

}  // namespace kinetics
