#include "libkinetics/loading/chain_table.h"

#include <cctype>
#include <charconv>
#include <cmath>
#include <numbers>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {
namespace {

constexpr double kSteelKgPerM3 = 7850.0;  // EN 1991-1-1, table A.4: 77.0 to 78.5 kN/m³
constexpr double kSameMm = 0.05;

/// Letters lowered, everything but letters, digits and the decimal point turned into spaces.
std::string plain(const std::string& name) {
  std::string text;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == ',') {
      text += '.';
    } else if (std::isalnum(byte) != 0 || c == '.') {
      text += static_cast<char>(std::tolower(byte));
    } else {
      text += ' ';
    }
  }
  return text;
}

/// All numbers in a text, in order: "din 766 13x36" gives 766, 13, 36.
std::vector<double> numbers_in(const std::string& text) {
  std::vector<double> numbers;
  const char* const end = text.data() + text.size();
  for (const char* at = text.data(); at < end;) {
    double number = 0.0;
    const auto [next, error] = std::from_chars(at, end, number, std::chars_format::fixed);
    const bool taken = std::isdigit(static_cast<unsigned char>(*at)) != 0 && error == std::errc();
    if (taken) numbers.push_back(number);
    at = taken ? next : at + 1;
  }
  return numbers;
}

/// Standard, wire and, when given, pitch. "DIN 5685-1" is the first part of DIN 5685.
std::vector<double> size_in(const std::string& name) {
  std::vector<double> numbers = numbers_in(plain(name));
  if (numbers.size() > 2 && numbers[0] == 5685.0 && numbers[1] == 1.0) {
    numbers.erase(numbers.begin() + 1);
  }
  return numbers;
}

std::string list_of_sizes() {
  std::string text;
  std::string_view standard;
  for (const ChainSize& size : chain_sizes()) {
    if (size.standard != standard) {
      text += fmt::format("{}{} ", text.empty() ? "" : "; ", size.standard);
      standard = size.standard;
    } else {
      text += ", ";
    }
    text += fmt::format("{}x{}", size.wire_mm, size.pitch_mm);
  }
  return text;
}

}  // namespace

const std::vector<ChainSize>& chain_sizes() {
  static const std::vector<ChainSize> sizes = {
      {"DIN 763", 6, 42, 10.8, 0.63},  {"DIN 763", 7, 49, 12.6, 0.86},
      {"DIN 763", 8, 52, 14.4, 1.10},  {"DIN 763", 10, 65, 18, 1.75},
      {"DIN 763", 13, 82, 23.4, 2.95}, {"DIN 763", 16, 100, 28.8, 4.45},
      {"DIN 764", 10, 35, 14, 2.1},    {"DIN 764", 13, 45, 18, 3.5},
      {"DIN 764", 16, 56, 22, 5.3},    {"DIN 764", 18, 63, 24, 6.7},
      {"DIN 764", 20, 70, 27, 8.3},    {"DIN 766", 4, 16, 5, 0.32},
      {"DIN 766", 5, 18.5, 6, 0.50},   {"DIN 766", 6, 18.5, 7.2, 0.80},
      {"DIN 766", 7, 22, 8.4, 1.10},   {"DIN 766", 8, 24, 9.6, 1.40},
      {"DIN 766", 9, 27, 10.8, 1.80},  {"DIN 766", 10, 28, 12, 2.20},
      {"DIN 766", 11, 31, 13.2, 2.70}, {"DIN 766", 13, 36, 15.6, 3.80},
      {"DIN 766", 14, 41, 16.8, 4.40}, {"DIN 766", 16, 45, 19.2, 5.70},
      {"DIN 766", 18, 50, 21.6, 7.30}, {"DIN 766", 20, 56, 24, 9.0},
      {"DIN 5685", 4, 19, 8, 0.30},    {"DIN 5685", 5, 21, 10, 0.50},
      {"DIN 5685", 6, 24, 12, 0.73},   {"DIN 5685", 7, 28, 14, 1.00},
      {"DIN 5685", 8, 32, 16, 1.30},   {"DIN 5685", 10, 40, 20, 2.05},
      {"DIN 5685", 13, 52, 26, 3.45},
  };
  return sizes;
}

const ChainSize& find_chain_size(const std::string& name) {
  const std::vector<double> numbers = size_in(name);
  if (numbers.size() == 2 || numbers.size() == 3) {
    for (const ChainSize& size : chain_sizes()) {
      if (numbers_in(std::string(size.standard)).front() == numbers[0] &&
          std::abs(size.wire_mm - numbers[1]) < kSameMm &&
          (numbers.size() == 2 || std::abs(size.pitch_mm - numbers[2]) < kSameMm)) {
        return size;
      }
    }
  }
  throw Error(ErrorCode::kUsage,
              fmt::format("chain size '{}'", name),
              "no table here lists it",
              fmt::format("Weigh a metre and give kg/m, or use one of: {}", list_of_sizes()));
}

Chain chain_of_size(const std::string& name, double free_length_m) {
  const ChainSize& size = find_chain_size(name);
  return {.name = fmt::format("{} {}x{}", size.standard, size.wire_mm, size.pitch_mm),
          .mass_kg_per_m = size.mass_kg_per_m,
          .mass_sigma_kg_per_m = kChainTableSigma * size.mass_kg_per_m,
          .free_length_m = free_length_m};
}

double round_link_kg_per_m(double wire_mm, double pitch_mm, double inside_width_mm) {
  if (!(wire_mm > 0.0) || !(pitch_mm > inside_width_mm) || !(inside_width_mm > wire_mm) ||
      !(pitch_mm < 1000.0)) {
    throw Error(ErrorCode::kUsage,
                "chain link",
                fmt::format("wire {} mm, inside length {} mm and inside width {} mm make no link",
                            wire_mm,
                            pitch_mm,
                            inside_width_mm),
                "The wire is thinner than the opening is wide, and that is narrower than long");
  }
  const double centre_line_mm =
      2.0 * (pitch_mm - inside_width_mm) + std::numbers::pi * (inside_width_mm + wire_mm);
  const double area_mm2 = std::numbers::pi * wire_mm * wire_mm / 4.0;
  // One link hangs from the next inside to inside, so each pitch holds one link.
  return kSteelKgPerM3 * area_mm2 * centre_line_mm / pitch_mm * 1e-6;
}

}  // namespace kinetics
