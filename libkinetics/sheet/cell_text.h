#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/sheet/sheet.h"

/// What stands in one cell of a sheet. Internal to the room.

namespace kinetics::sheet_detail {

/// Without spaces at the ends; no-break spaces, which spreadsheets put into numbers, are spaces.
[[nodiscard]] std::string trimmed(std::string_view cell);

/// A number, and what follows it in lower case ("kg", "").
struct NumberAndUnit {
  double number = 0.0;
  std::string unit;
};

/// Decimal point or decimal comma. Empty with `why` set when it is no number, or when a comma may
/// mean thousands.
[[nodiscard]] std::optional<NumberAndUnit> number_in(std::string_view cell, std::string& why);

/// kg in one of a unit of mass, m in one of a unit of length; nothing for another word.
[[nodiscard]] std::optional<double> kilograms_in(std::string_view unit);
[[nodiscard]] std::optional<double> metres_in(std::string_view unit);

/// A day, as ISO 8601 writes it: from "2031-03-07", "7.3.2031" (a point puts the day first) or
/// "14/3/2031" (slashes tell only when one number is above 12); a time of day may follow. Empty
/// with `why` set when it is none.
[[nodiscard]] std::string day_in_cell(std::string_view cell, std::string& why);

/// Whether this is a time of day, with or without a date, or a whole number (place in the order).
[[nodiscard]] bool is_time_or_order(std::string_view cell);

/// "2 x long chain + short chain x 4", "1 x light band a side", "none". A name alone means one on
/// each side. Empty with `why` set when a part makes no sense.
[[nodiscard]] std::optional<std::vector<GearCount>> gear_in(std::string_view cell,
                                                            std::string& why);

}  // namespace kinetics::sheet_detail
