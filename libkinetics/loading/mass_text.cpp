#include "libkinetics/loading/mass_text.h"

#include <fmt/format.h>

namespace kinetics {
namespace {

std::string trimmed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') == std::string::npos) return text;
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

}  // namespace

std::string mass_text(const Mass& mass) {
  return trimmed(mass.value(), 3) + (mass.unit() == MassUnit::kPound ? " lb" : " kg");
}

std::string load_text(double kg, MassUnit unit) {
  return unit == MassUnit::kPound ? trimmed(kg / kKilogramsPerPound, 1) + " lb"
                                  : trimmed(kg, 1) + " kg";
}

std::string item_text(const std::string& where,
                      const std::string& kind,
                      std::size_t index,
                      const std::string& name) {
  std::string text = fmt::format("{} {}", kind, index + 1);
  if (!name.empty()) text += fmt::format(" ({})", name);
  return where.empty() ? text : where + ", " + text;
}

}  // namespace kinetics
