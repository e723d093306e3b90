#include "libkinetics/report/sticking_place.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/measured.h"

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;
// Kinds whose ranges differ by more have another bottom: what is higher above it need not be higher
// in the room.
constexpr double kOtherRangeM = 0.02;

double cm(double metres) {
  return 100.0 * metres;
}

struct Moments {
  double count = 0.0;
  double mean = 0.0;
  double variance_of_mean = 0.0;
};

Measured place_of(const MapRise& rise, PlaceFrom from) {
  const double low_m = rise.sticking->low_m;
  const double sigma_m = rise.sticking->low_sigma_m;
  switch (from) {
    case PlaceFrom::kBottom:
      return {low_m, sigma_m};
    case PlaceFrom::kTop:
      return {low_m - rise.rom_m, sigma_m};
    case PlaceFrom::kShare:
      return {low_m / rise.rom_m, sigma_m / rise.rom_m};
  }
  return Reason::kNotApplicable;
}

Moments moments_of(const MapGroup& group, PlaceFrom from) {
  Moments out;
  double squares = 0.0;
  double own = 0.0;
  for (const MapRise& rise : group.rises) {
    if (!rise.sticking) continue;
    const Measured place = place_of(rise, from);
    out.count += 1.0;
    const double off = place.value() - out.mean;
    out.mean += off / out.count;
    squares += off * (place.value() - out.mean);
    own += place.sigma() * place.sigma();
  }
  if (out.count < 1.0) return out;
  // Reps that happen to agree are no surer than each one's own measurement.
  const double spread = out.count < 2.0 ? 0.0 : squares / (out.count - 1.0);
  out.variance_of_mean = std::max(spread, own / out.count) / out.count;
  return out;
}

/// Two-sided 95 % quantile of Student's t: within 1 % from 2 degrees of freedom on, within 3 % from
/// 1.5 (against scipy.stats.t.ppf); below that the one of 1 degree, which is wider.
double student95(double freedom) {
  constexpr double kOneDegree = 12.706;
  if (freedom < 1.5) return kOneDegree;
  const double z = kNormal95;
  const double z3 = z * z * z;
  const double z5 = z3 * z * z;
  const double z7 = z5 * z * z;
  const double z9 = z7 * z * z;
  return z + (z3 + z) / (4.0 * freedom) +
         (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * std::pow(freedom, 2)) +
         (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * std::pow(freedom, 3)) +
         (79.0 * z9 + 776.0 * z7 + 1482.0 * z5 - 1920.0 * z3 - 945.0 * z) /
             (92160.0 * std::pow(freedom, 4));
}

double mean_range(const MapGroup& group) {
  double sum = 0.0;
  for (const MapRise& rise : group.rises) sum += rise.rom_m;
  return group.rises.empty() ? 0.0 : sum / static_cast<double>(group.rises.size());
}

std::string in_words(const MapShift& shift) {
  if (!shift.clear()) {
    return fmt::format(
        "no clear change from A ({:+.1f} ± {:.1f} cm)", cm(shift.shift_m), cm(shift.half_width_m));
  }
  return fmt::format("{:.1f} ± {:.1f} cm {} than A",
                     cm(std::abs(shift.shift_m)),
                     cm(shift.half_width_m),
                     shift.shift_m > 0.0 ? "higher" : "lower");
}

std::string against_first(const MapGroup& first, const MapGroup& other) {
  if (!slow_point(first, PlaceFrom::kBottom)) return ". A has none to compare with";
  const auto shift = shift_between(first, other);
  if (!shift) return ". Too few to compare with A";
  std::string text = ": " + in_words(*shift);
  if (std::abs(mean_range(first) - mean_range(other)) < kOtherRangeM) return text;
  const auto from_top = shift_between(first, other, PlaceFrom::kTop);
  return text + ". Counted from the top, as its range differs: " + in_words(*from_top);
}

}  // namespace

std::optional<MapPlace> slow_point(const MapGroup& group, PlaceFrom from) {
  const Moments m = moments_of(group, from);
  if (m.count < 1.0) return std::nullopt;
  const double quantile = m.count < 2.0 ? kNormal95 : student95(m.count - 1.0);
  return MapPlace{.mean = m.mean, .half_width = quantile * std::sqrt(m.variance_of_mean)};
}

std::optional<MapShift> shift_between(const MapGroup& first,
                                      const MapGroup& other,
                                      PlaceFrom from) {
  const Moments a = moments_of(first, from);
  const Moments b = moments_of(other, from);
  if (a.count < 2.0 || b.count < 2.0) return std::nullopt;
  const double variance = a.variance_of_mean + b.variance_of_mean;
  const double freedom = variance * variance /
                         std::max(a.variance_of_mean * a.variance_of_mean / (a.count - 1.0) +
                                      b.variance_of_mean * b.variance_of_mean / (b.count - 1.0),
                                  1e-30);
  return MapShift{b.mean - a.mean, student95(freedom) * std::sqrt(variance)};
}

std::string letter_of(std::size_t group) {
  constexpr std::size_t kLetters = 26;
  std::string text(1, static_cast<char>('A' + group % kLetters));
  if (group >= kLetters) text += fmt::format("{}", group / kLetters);
  return text;
}

std::vector<std::string> places_in_words(const StickingMap& map) {
  std::vector<std::string> out;
  for (std::size_t i = 0; i < map.groups.size(); ++i) {
    const auto up = slow_point(map.groups[i], PlaceFrom::kBottom);
    const auto share = slow_point(map.groups[i], PlaceFrom::kShare);
    std::string text = letter_of(i) + ": ";
    if (!up || !share) {
      out.push_back(text + "no sticking region.");
      continue;
    }
    text += fmt::format("slowest {:.1f} ± {:.1f} cm up, {:.0f} % of the range",
                        cm(up->mean),
                        cm(up->half_width),
                        kPercent * share->mean);
    if (i > 0) text += against_first(map.groups.front(), map.groups[i]);
    out.push_back(text + ".");
  }
  return out;
}

}  // namespace kinetics
