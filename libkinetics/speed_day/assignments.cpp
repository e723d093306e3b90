#include "libkinetics/speed_day/assignments.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/whole_file.h"

namespace kinetics {
namespace {

constexpr const char* kMend = "Write it as: day.mp4 at 0:12:34 is row 7 (or: is nobody's)";

std::string without_remark(const std::string& line) {
  std::string text = line.substr(0, line.find('#'));
  text.erase(text.find_last_not_of(" \t\r") + 1);
  text.erase(0, std::min(text.find_first_not_of(" \t"), text.size()));
  return text;
}

std::optional<Assignment> parse_line(const std::string& text) {
  static const std::regex kLine(
      R"((.+) at (\d+):([0-5]?\d):([0-5]?\d(?:\.\d+)?) is (?:row (\d{1,6})|nobody'?s?))");
  std::smatch m;
  if (!std::regex_match(text, m, kLine)) return std::nullopt;
  constexpr std::size_t kLongestHours = 4;
  if (m[2].length() > static_cast<std::ptrdiff_t>(kLongestHours)) return std::nullopt;
  Assignment out{.recording = m[1]};
  out.at_s = 3600.0 * std::stoi(m[2]) + 60.0 * std::stoi(m[3]) + std::stod(m[4]);
  if (m[5].matched) out.row = std::stoi(m[5]);
  return out;
}

std::string as_line(const Assignment& a) {
  const auto tenths = static_cast<long long>(std::llround(10.0 * a.at_s));
  const std::string what = a.row ? fmt::format("row {}", *a.row) : "nobody's";
  return fmt::format("{} at {}:{:02}:{:04.1f} is {}",
                     a.recording,
                     tenths / 36000,
                     tenths / 600 % 60,
                     static_cast<double>(tenths % 600) / 10.0,
                     what);
}

bool same_set(const Assignment& a, const Assignment& b) {
  return a.recording == b.recording && std::abs(a.at_s - b.at_s) < kSameSetS;
}

/// The file's text with the lines on these sets put behind a #.
std::string without(const std::string& path, const std::vector<Assignment>& sets) {
  std::ifstream file(path);
  std::string line;
  std::string text;
  while (std::getline(file, line)) {
    const std::optional<Assignment> old = parse_line(without_remark(line));
    const bool superseded = old && std::any_of(sets.begin(), sets.end(), [&](const Assignment& a) {
                              return same_set(*old, a);
                            });
    text += (superseded ? "# before: " : "") + line + '\n';
  }
  return text;
}

}  // namespace

std::vector<Assignment> read_assignments(const std::string& path) {
  std::vector<Assignment> out;
  std::ifstream file(path);
  std::string line;
  for (int number = 1; std::getline(file, line); ++number) {
    const std::string text = without_remark(line);
    if (text.empty()) continue;
    const std::optional<Assignment> a = parse_line(text);
    if (!a) {
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("{}:{}", path, number),
                  fmt::format("\"{}\" says of no set what it is", text),
                  kMend);
    }
    out.push_back(*a);
  }
  return out;
}

void add_assignments(const std::string& path, const std::vector<Assignment>& added) {
  if (added.empty()) return;
  std::string text = without(path, added);
  if (text.empty()) {
    text =
        "# Who lifted which set, by the coach's word. One a line:\n"
        "#   day.mp4 at 0:12:34 is row 7\n"
        "#   day.mp4 at 0:15:00 is nobody's\n";
  }
  for (const Assignment& a : added) text += as_line(a) + '\n';
  (void)write_whole_file(path, text, IfPresent::kReplace);
}

void drop_assignment(const std::string& path, const std::string& recording, double at_s) {
  const std::string text = without(path, {{recording, at_s}});
  if (!text.empty()) (void)write_whole_file(path, text, IfPresent::kReplace);
}

NumberedAssignment parse_assignment(const std::string& typed) {
  static const std::regex kForm(R"(\s*(\d{1,6})\s*=\s*(?:(?:row\s*)?(\d{1,6})|nobody'?s?)\s*)");
  std::smatch m;
  if (!std::regex_match(typed, m, kForm)) {
    throw Error(ErrorCode::kUsage,
                "--assign " + typed,
                "this is not a set and a row",
                "Give the set's number and the sheet's row: --assign 5=7, or --assign 5=nobody");
  }
  NumberedAssignment out{.set = std::stoi(m[1])};
  if (m[2].matched) out.row = std::stoi(m[2]);
  return out;
}

}  // namespace kinetics
