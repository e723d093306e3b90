#include "libkinetics/report/sticking_table.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/report/sticking_place.h"
#include "libkinetics/report/table.h"
#include "libkinetics/report/text.h"

namespace kinetics {
namespace {

constexpr std::string_view kRowFormat = "{:<2} {:>8}  {:>10}  {:>10}  {:>10}  ";

std::string with_interval(const std::optional<MapPlace>& place, double unit, int decimals) {
  if (!place) return "-";
  return fmt::format("{:.{}f} ± {:.{}f}",
                     place->mean * unit,
                     decimals,
                     place->half_width * std::abs(unit),
                     decimals);
}

std::string row(const MapGroup& group, std::size_t i) {
  const auto stuck = std::count_if(group.rises.begin(), group.rises.end(), [](const MapRise& r) {
    return r.sticking.has_value();
  });
  const std::string numbers =
      fmt::format(fmt::runtime(kRowFormat),
                  letter_of(i),
                  fmt::format("{} of {}", stuck, group.rises.size()),
                  with_interval(slow_point(group, PlaceFrom::kShare), 100.0, 1),
                  with_interval(slow_point(group, PlaceFrom::kBottom), 100.0, 1),
                  with_interval(slow_point(group, PlaceFrom::kTop), -100.0, 1));
  const std::string indent(shown_width(numbers), ' ');
  std::string text = wrapped(printable(group.name), kTableColumns, numbers, indent);
  if (!group.detail.empty())
    text += wrapped(printable(group.detail), kTableColumns, indent, indent);
  return text;
}

std::string heading() {
  const auto line = [](const char* sticks, const char* share, const char* up, const char* down) {
    return fmt::format(fmt::runtime(kRowFormat), "", sticks, share, up, down);
  };
  std::string units = line("", "% of range", "bottom, cm", "top, cm");
  units.erase(units.find_last_not_of(' ') + 1);
  return line("Sticks", "Slowest at", "above", "below") + "Bar, box and load\n" + units + "\n";
}

/// Reps that say nothing about where the bar slows, and why.
std::string not_told(const MapGroup& group, std::size_t i) {
  const auto unsure = std::count_if(
      group.rises.begin(), group.rises.end(), [](const MapRise& r) { return r.within_noise; });
  std::string text;
  if (unsure > 0) text += fmt::format("{} with a dip that may be noise", unsure);
  if (group.left_out > 0) {
    text += fmt::format("{}{} not measured or not full", text.empty() ? "" : ", ", group.left_out);
  }
  return text.empty() ? text : fmt::format("{}: {}.\n", letter_of(i), text);
}

std::string table_of(const StickingMap& map) {
  std::string text =
      wrapped(printable(fmt::format("{}, {}", map.lifter, map.lift)), kTableColumns) + "\n" +
      heading();
  for (std::size_t i = 0; i < map.groups.size(); ++i) text += row(map.groups[i], i);
  text += "\n";
  for (const std::string& line : places_in_words(map)) {
    text += wrapped(printable(line), kTableColumns, "", "   ");
  }
  for (std::size_t i = 0; i < map.groups.size(); ++i) text += not_told(map.groups[i], i);
  return text + "\n";
}

constexpr std::string_view kFoot =
    "Slowest: within the sticking region, mean over the reps that have one. ± is half of its 95 % "
    "interval; with one rep, of that rep's own measurement. Bar, box, load and tiredness all move "
    "this point: compare sets of like load and effort before a bar or box is blamed. These figures "
    "describe bar movement only; coach and lifter decide.";

}  // namespace

std::string sticking_table(const std::vector<StickingMap>& maps) {
  std::string text;
  for (const StickingMap& map : maps) text += table_of(map);
  return text + wrapped(kFoot, kTableColumns);
}

}  // namespace kinetics
