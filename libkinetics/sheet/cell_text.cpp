#include "libkinetics/sheet/cell_text.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <cmath>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/loading/mass.h"
#include "libkinetics/roster/names.h"

namespace kinetics::sheet_detail {
namespace {

constexpr int kMostPieces = 40;  // of one kind on a bar: more is a slip

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

// U+00A0 and U+202F, which some spreadsheets put between a number and its unit.
std::string with_plain_spaces(std::string_view cell) {
  std::string out(cell);
  for (const std::string_view space : {"\xC2\xA0", "\xE2\x80\xAF"}) {
    for (std::size_t at = out.find(space); at != std::string::npos; at = out.find(space)) {
      out.replace(at, space.size(), " ");
    }
  }
  return out;
}

std::optional<int> whole_number(std::string_view text) {
  int value = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, failed] = std::from_chars(text.data(), end, value);
  if (text.empty() || failed != std::errc{} || stop != end) return std::nullopt;
  return value;
}

// The sign between a number and a name: x, X, * or the multiplication sign. Its bytes, else 0.
std::size_t times_sign(std::string_view text) {
  if (text.starts_with("\xC3\x97")) return 2;
  return !text.empty() && (text[0] == 'x' || text[0] == 'X' || text[0] == '*') ? 1 : 0;
}

// Takes "2 x " off the front.
std::optional<int> take_leading_count(std::string& text) {
  std::size_t i = 0;
  while (i < text.size() && is_digit(text[i])) ++i;
  const auto count = whole_number(std::string_view(text).substr(0, i));
  if (!count) return std::nullopt;
  while (i < text.size() && text[i] == ' ') ++i;
  const std::size_t sign = times_sign(std::string_view(text).substr(i));
  if (sign == 0) return std::nullopt;
  text = trimmed(std::string_view(text).substr(i + sign));
  return count;
}

// Takes " x 2" off the end.
std::optional<int> take_trailing_count(std::string& text) {
  std::size_t i = text.size();
  while (i > 0 && is_digit(text[i - 1])) --i;
  const auto count = whole_number(std::string_view(text).substr(i));
  if (!count) return std::nullopt;
  while (i > 0 && text[i - 1] == ' ') --i;
  const std::size_t sign_size =
      i >= 2 && times_sign(std::string_view(text).substr(i - 2)) == 2 ? 2 : 1;
  if (i < sign_size + 1 || times_sign(std::string_view(text).substr(i - sign_size)) != sign_size) {
    return std::nullopt;
  }
  // A name may end in x: the sign stands apart.
  if (text[i - sign_size - 1] != ' ') return std::nullopt;
  text = trimmed(std::string_view(text).substr(0, i - sign_size));
  return count;
}

// Takes "a side" off the end.
bool take_a_side(std::string& text) {
  for (const std::string_view words : {" a side", " per side", " each side", "/side"}) {
    if (!text.ends_with(words)) continue;
    text = trimmed(std::string_view(text).substr(0, text.size() - words.size()));
    return true;
  }
  return false;
}

std::optional<GearCount> one_gear(std::string text, std::string& why) {
  const std::string typed = text;
  const bool a_side = take_a_side(text);
  std::optional<int> count = take_leading_count(text);
  if (!count) count = take_trailing_count(text);
  const int pieces = count.value_or(a_side ? 1 : 2) * (a_side ? 2 : 1);
  if (folded(text).empty()) {
    why = fmt::format("'{}' names no gear", typed);
    return std::nullopt;
  }
  if (pieces < 1 || pieces > kMostPieces) {
    why = fmt::format("'{}' is {} pieces", typed, pieces);
    return std::nullopt;
  }
  return GearCount{.name = text, .count = pieces};
}

// "17:05", "7.30", "17:05:30"; also "5:05 pm".
bool is_time_of_day(std::string text) {
  bool half_day = false;
  for (const std::string_view words : {" am", " pm", "am", "pm"}) {
    if (half_day || !text.ends_with(words)) continue;
    text = trimmed(std::string_view(text).substr(0, text.size() - words.size()));
    half_day = true;
  }
  std::replace(text.begin(), text.end(), '.', ':');
  std::vector<int> parts;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t to = std::min(text.find(':', from), text.size());
    const auto part = whole_number(std::string_view(text).substr(from, to - from));
    if (!part || *part < 0 || (from > 0 && to - from != 2)) return false;
    parts.push_back(*part);
    from = to + 1;
  }
  constexpr int kHours = 24;
  constexpr int kHalfDay = 12;
  constexpr int kSixty = 60;
  if (parts.size() < (half_day ? 1U : 2U) || parts.size() > 3) return false;
  if (parts[0] >= kHours || (half_day && (parts[0] < 1 || parts[0] > kHalfDay))) return false;
  return std::all_of(parts.begin() + 1, parts.end(), [](int part) { return part < kSixty; });
}

std::string lower(std::string text) {
  for (char& c : text) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return text;
}

}  // namespace

std::string trimmed(std::string_view cell) {
  const std::string text = with_plain_spaces(cell);
  constexpr const char* kSpaces = " \t\r\n";
  const std::size_t first = text.find_first_not_of(kSpaces);
  if (first == std::string::npos) return "";
  return text.substr(first, text.find_last_not_of(kSpaces) - first + 1);
}

std::optional<NumberAndUnit> number_in(std::string_view cell, std::string& why) {
  std::string text = trimmed(cell);
  const std::string typed = text;
  std::size_t end = 0;
  while (end < text.size() && (is_digit(text[end]) || text[end] == '.' || text[end] == ',' ||
                               (end == 0 && (text[end] == '+' || text[end] == '-')))) {
    ++end;
  }
  std::string digits = text.substr(0, end);
  const auto commas = std::count(digits.begin(), digits.end(), ',');
  const auto points = std::count(digits.begin(), digits.end(), '.');
  if (commas + points > 1) {
    why = fmt::format("'{}' has {} decimal marks", typed, commas + points);
    return std::nullopt;
  }
  constexpr std::size_t kThousands = 3;
  if (commas == 1 && digits.size() - digits.find(',') == kThousands + 1) {
    why = fmt::format("the comma in '{}' may part thousands or decimals", typed);
    return std::nullopt;
  }
  std::replace(digits.begin(), digits.end(), ',', '.');
  if (digits.starts_with('+')) digits.erase(0, 1);
  NumberAndUnit out;
  const char* const stop = digits.data() + digits.size();
  const auto [at, failed] = std::from_chars(digits.data(), stop, out.number);
  if (failed != std::errc{} || at != stop || !std::isfinite(out.number)) {
    why = fmt::format("'{}' is not a number", typed);
    return std::nullopt;
  }
  out.unit = lower(trimmed(std::string_view(text).substr(end)));
  if (out.unit.ends_with('.')) out.unit.pop_back();
  return out;
}

std::optional<double> kilograms_in(std::string_view unit) {
  constexpr std::array kKilograms{"kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"};
  constexpr std::array kPounds{"lb", "lbs", "pound", "pounds"};
  if (std::find(kKilograms.begin(), kKilograms.end(), unit) != kKilograms.end()) return 1.0;
  if (std::find(kPounds.begin(), kPounds.end(), unit) != kPounds.end()) return kKilogramsPerPound;
  return std::nullopt;
}

std::optional<double> metres_in(std::string_view unit) {
  // An inch is 25.4 mm exactly (international yard and pound agreement, 1959).
  constexpr std::array<std::pair<std::string_view, double>, 7> kUnits{{{"cm", 0.01},
                                                                       {"mm", 0.001},
                                                                       {"m", 1.0},
                                                                       {"in", 0.0254},
                                                                       {"inch", 0.0254},
                                                                       {"inches", 0.0254},
                                                                       {"\"", 0.0254}}};
  for (const auto& [name, metres] : kUnits) {
    if (name == unit) return metres;
  }
  return std::nullopt;
}

std::string day_in_cell(std::string_view cell, std::string& why) {
  const std::string typed = trimmed(cell);
  const std::string text = typed.substr(0, typed.find_first_of(" T"));
  if (day_in(text)) return text;
  why = fmt::format("'{}' is no day", typed);
  const std::size_t mark_at = text.find_first_of("./");
  if (mark_at == std::string::npos) return "";
  const char mark = text[mark_at];
  const std::size_t second = text.find(mark, mark_at + 1);
  if (second == std::string::npos) return "";
  auto day = whole_number(std::string_view(text).substr(0, mark_at));
  auto month = whole_number(std::string_view(text).substr(mark_at + 1, second - mark_at - 1));
  const auto year = whole_number(std::string_view(text).substr(second + 1));
  constexpr int kMonths = 12;
  if (!day || !month || !year || text.size() - second != 5) return "";
  if (mark == '/' && *day <= kMonths && *month <= kMonths && *day != *month) {
    why = fmt::format("'{}' may put the day or the month first", typed);
    return "";
  }
  if (mark == '/' && *month > kMonths) std::swap(day, month);
  const std::string iso = fmt::format("{:04}-{:02}-{:02}", *year, *month, *day);
  return day_in(iso) ? iso : "";
}

bool is_time_or_order(std::string_view cell) {
  std::string text = lower(trimmed(cell));
  if (const auto order = whole_number(text)) return *order >= 0;
  // A date in front: "2026-11-25 17:05", "2026-11-25t17:05".
  const std::size_t parted = text.find_first_of(" t");
  const bool dated =
      parted != std::string::npos && parted >= 8 &&
      std::count_if(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(parted), is_digit) >=
          6;
  if (dated) text = trimmed(std::string_view(text).substr(parted + 1));
  return is_time_of_day(text);
}

std::optional<std::vector<GearCount>> gear_in(std::string_view cell, std::string& why) {
  std::vector<GearCount> out;
  const std::string text = trimmed(cell);
  if (text.empty() || text == "-" || text == "0" || same_name(text, "none") ||
      same_name(text, "no")) {
    return out;
  }
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t to = std::min(text.find_first_of("+;&\n", from), text.size());
    auto gear = one_gear(trimmed(std::string_view(text).substr(from, to - from)), why);
    if (!gear) return std::nullopt;
    for (const GearCount& other : out) {
      if (!same_name(other.name, gear->name)) continue;
      why = fmt::format("'{}' stands here twice", gear->name);
      return std::nullopt;
    }
    out.push_back(std::move(*gear));
    from = to + 1;
  }
  return out;
}

}  // namespace kinetics::sheet_detail
