#include "libkinetics/loading/special_bar.h"

#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

constexpr double kHeaviestBar = 100.0;
constexpr double kMostOffset = 1.0;

void check_offset(const SpecialBar& bar, double offset_m, const char* what) {
  if (std::abs(offset_m) <= kMostOffset) return;  // false for a number that is none
  throw Error(ErrorCode::kUsage,
              fmt::format("bar ({})", bar.name),
              fmt::format("it {} by {} m", what, offset_m),
              fmt::format("Give metres, from -{0} to {0}", kMostOffset));
}

}  // namespace

void check_bar(const SpecialBar& bar) {
  if (!(bar.mass.kg() > 0.0) || !(bar.mass.kg() <= kHeaviestBar)) {
    throw Error(ErrorCode::kUsage,
                fmt::format("bar ({})", bar.name),
                fmt::format("a mass of {} is not a bar's", mass_text(bar.mass)),
                "Weigh it, and say kg or lb");
  }
  check_offset(bar, bar.rests_higher_m, "rests higher");
  check_offset(bar, bar.sleeves_lower_m, "has its sleeves lower");
}

void take_bar(BarLoad& load, const SpecialBar& bar) {
  check_bar(bar);
  load.bar_kg = bar.mass.kg();
  load.bar_name = bar.name;
}

double sleeve_height_m(const SpecialBar& bar, double straight_height_m) {
  return straight_height_m + bar.rests_higher_m - bar.sleeves_lower_m;
}

double sleeve_shift_m(const SpecialBar& from, const SpecialBar& to) {
  return sleeve_height_m(to, 0.0) - sleeve_height_m(from, 0.0);
}

}  // namespace kinetics
