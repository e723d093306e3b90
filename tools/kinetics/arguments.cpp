#include "tools/kinetics/arguments.h"

#include <array>
#include <charconv>
#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/calendar.h"
#include "libkinetics/core/error.h"

namespace kinetics::cli {
namespace {

struct NumberAndRest {
  double number = 0.0;
  std::string_view rest;
};

// Independent of the locale: the decimal mark is a point. A comma would part X, Y and T.
std::optional<NumberAndRest> leading_number(std::string_view text) {
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  NumberAndRest out;
  const char* const end = text.data() + text.size();
  const auto [stop, failed] = std::from_chars(text.data(), end, out.number);
  if (failed != std::errc{} || !std::isfinite(out.number)) return std::nullopt;
  out.rest = text.substr(static_cast<std::size_t>(stop - text.data()));
  return out;
}

[[noreturn]] void refuse(const std::string& option, std::string what, std::string mend) {
  throw Error(ErrorCode::kUsage, option, std::move(what), std::move(mend));
}

double whole_number_of(const std::string& option, const std::string& typed, std::string_view part) {
  const std::optional<NumberAndRest> read = leading_number(part);
  if (read && read->rest.empty()) return read->number;
  refuse(option, fmt::format("'{}' is not a number", part), fmt::format("You gave '{}'", typed));
}

}  // namespace

double parse_number(const std::string& option,
                    const std::string& typed,
                    const std::string& unit,
                    Range range) {
  const std::string mend =
      fmt::format("Give a number from {:g} to {:g} {}", range.least, range.greatest, unit);
  const std::optional<NumberAndRest> read = leading_number(typed);
  if (!read || !read->rest.empty()) {
    refuse(option, fmt::format("'{}' is not a number", typed), mend);
  }
  if (!range.holds(read->number)) refuse(option, fmt::format("{} is out of range", typed), mend);
  return read->number;
}

double parse_length_m(const std::string& option, const std::string& typed, Range range_m) {
  constexpr std::array<std::pair<std::string_view, double>, 5> kUnits{
      {{"", 0.001}, {"mm", 0.001}, {"cm", 0.01}, {"m", 1.0}, {"in", 0.0254}}};
  const std::string mend = fmt::format(
      "Give {:g} to {:g} mm; a plain number is millimetres, or write 450mm, 45cm, "
      "0.45m or 17.7in",
      1000.0 * range_m.least,
      1000.0 * range_m.greatest);
  const std::optional<NumberAndRest> read = leading_number(typed);
  if (read) {
    for (const auto& [name, metres] : kUnits) {
      if (read->rest != name) continue;
      const double length_m = read->number * metres;
      if (range_m.holds(length_m)) return length_m;
      refuse(option, fmt::format("{} is out of range", typed), mend);
    }
  }
  refuse(option, fmt::format("'{}' is not a length", typed), mend);
}

DiscSeed parse_seed(const std::string& option, const std::string& typed) {
  const std::string_view text = typed;
  const std::size_t first = text.find(',');
  const std::size_t second = first == std::string_view::npos ? first : text.find(',', first + 1);
  if (second == std::string_view::npos) {
    refuse(option,
           fmt::format("'{}' is not a place and a time", typed),
           "Give X,Y,T: pixels from the left, pixels from the top, and seconds, as in 960,540,2.5");
  }
  const DiscSeed seed{
      .at = {.x_px = whole_number_of(option, typed, text.substr(0, first)),
             .y_px = whole_number_of(option, typed, text.substr(first + 1, second - first - 1))},
      .t_s = whole_number_of(option, typed, text.substr(second + 1))};
  if (seed.at.x_px < 0.0 || seed.at.y_px < 0.0 || !kSeedTimeS.holds(seed.t_s)) {
    refuse(option,
           fmt::format("'{}' lies outside the clip", typed),
           "Pixels count from the top left corner and seconds from the first picture");
  }
  return seed;
}

VelocityBand parse_zone(const std::string& option, const std::string& typed) {
  const std::string_view text = typed;
  const std::size_t comma = text.find(',');
  if (comma == std::string_view::npos) {
    refuse(option,
           fmt::format("'{}' is not a band of velocities", typed),
           "Give LOW,HIGH in m/s, as in 0.70,0.95");
  }
  const VelocityBand band{.lowest_mps = whole_number_of(option, typed, text.substr(0, comma)),
                          .highest_mps = whole_number_of(option, typed, text.substr(comma + 1))};
  if (kZoneMps.holds(band.lowest_mps) && kZoneMps.holds(band.highest_mps) &&
      band.lowest_mps < band.highest_mps) {
    return band;
  }
  refuse(
      option,
      fmt::format("'{}' is not a band of velocities", typed),
      fmt::format(
          "Give the lower first, both from {:g} to {:g} m/s", kZoneMps.least, kZoneMps.greatest));
}

std::string parse_day(const std::string& option, const std::string& typed) {
  if (day_in(typed)) return typed;
  throw Error(ErrorCode::kUsage,
              fmt::format("{} {}", option, typed),
              "this is no day",
              "Write it like 2031-03-07");
}

}  // namespace kinetics::cli
