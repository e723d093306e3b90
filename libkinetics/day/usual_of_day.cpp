#include "libkinetics/day/usual_of_day.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <map>

#include "libkinetics/day/middle.h"

namespace kinetics::day_detail {
namespace {

constexpr std::size_t kFewest = 2;
constexpr double kMedianSigma = 1.2533141373155003;  // √(π/2)

bool alike(const DayRow& a, const DayRow& b) {
  return a.lifter == b.lifter && a.lift == b.lift;
}

bool same_zero(const FoundSet& a, const FoundSet& b) {
  if (a.above_floor || b.above_floor) return a.above_floor && b.above_floor;
  return a.view == b.view;
}

// Values that lie far apart say that a wrong one is among them, or that the lifter varies much.
Measured learnt(const std::vector<double>& values, double own_sigma) {
  if (values.size() < kFewest) return {};
  const double n = static_cast<double>(values.size());
  const double centre = *middle(values);
  double squares = 0.0;
  for (const double value : values) squares += (value - centre) * (value - centre);
  const double sigma = std::max(own_sigma, std::sqrt(squares / (n - 1.0)));
  return {centre, kMedianSigma * sigma / std::sqrt(n)};
}

// For each row the first one of which the same is usual.
std::vector<std::size_t> first_alike(const std::vector<DayRow>& rows) {
  std::vector<std::size_t> out;
  out.reserve(rows.size());
  for (std::size_t row = 0; row < rows.size(); ++row) {
    std::size_t first = 0;
    while (!alike(rows[first], rows[row]) || rows[first].usual_rom_m != rows[row].usual_rom_m ||
           rows[first].usual_lockout_m != rows[row].usual_lockout_m) {
      ++first;
    }
    out.push_back(first);
  }
  return out;
}

class DayMemory {
 public:
  DayMemory(const std::vector<FoundSet>& sets,
            const std::vector<DayRow>& rows,
            const std::vector<std::optional<std::size_t>>& lifter_of,
            const MatchOptions& options)
      : sets_(sets), rows_(rows), lifter_of_(lifter_of), options_(options) {
    find_zeros();
  }

  [[nodiscard]] Usual usual(std::size_t set, std::size_t row) const {
    return {.rom_m = rom_m(set, row), .lockout_m = lockout_m(set, row)};
  }

 private:
  // Height above the floor of each view's zero.
  void find_zeros() {
    std::map<int, std::vector<double>> differences;
    for (std::size_t set = 0; set < sets_.size(); ++set) {
      if (!lifter_of_[set] || !sets_[set].lockout_m || sets_[set].above_floor) continue;
      const Measured& usual = rows_[*lifter_of_[set]].usual_lockout_m;
      if (usual) differences[sets_[set].view].push_back(usual.value() - *sets_[set].lockout_m);
    }
    for (const auto& [view, values] : differences) {
      const Measured zero = learnt(values, options_.lockout_sigma_m);
      if (zero) zeros_[view] = zero;
    }
  }

  template <typename Use>
  void visit_others(std::size_t set, std::size_t row, Use use) const {
    if (!options_.learn) return;
    for (std::size_t other = 0; other < sets_.size(); ++other) {
      if (other == set || !lifter_of_[other] || !alike(rows_[*lifter_of_[other]], rows_[row])) {
        continue;
      }
      use(sets_[other]);
    }
  }

  [[nodiscard]] Measured rom_m(std::size_t set, std::size_t row) const {
    if (rows_[row].usual_rom_m) return rows_[row].usual_rom_m;
    std::vector<double> values;
    visit_others(set, row, [&](const FoundSet& other) {
      if (other.rom_m) values.push_back(*other.rom_m);
    });
    return learnt(values, options_.rom_sigma_m);
  }

  [[nodiscard]] Measured lockout_m(std::size_t set, std::size_t row) const {
    const Measured& usual = rows_[row].usual_lockout_m;
    const FoundSet& seen = sets_[set];
    if (usual && seen.above_floor) return usual;
    if (usual) {
      const auto zero = zeros_.find(seen.view);
      if (zero == zeros_.end()) return {};
      return {usual.value() - zero->second.value(),
              std::hypot(usual.sigma(), zero->second.sigma())};
    }
    std::vector<double> values;
    visit_others(set, row, [&](const FoundSet& other) {
      if (other.lockout_m && same_zero(other, seen)) values.push_back(*other.lockout_m);
    });
    return learnt(values, options_.lockout_sigma_m);
  }

  const std::vector<FoundSet>& sets_;
  const std::vector<DayRow>& rows_;
  const std::vector<std::optional<std::size_t>>& lifter_of_;
  const MatchOptions& options_;
  std::map<int, Measured> zeros_;
};

}  // namespace

std::vector<Usual> usual_of_day(const std::vector<FoundSet>& sets,
                                const std::vector<DayRow>& rows,
                                const std::vector<std::optional<std::size_t>>& lifter_of,
                                const MatchOptions& options) {
  const DayMemory memory(sets, rows, lifter_of, options);
  const std::vector<std::size_t> first = first_alike(rows);
  std::vector<Usual> out(sets.size() * rows.size());
  for (std::size_t set = 0; set < sets.size(); ++set) {
    Usual* const of_set = out.data() + set * rows.size();
    for (std::size_t row = 0; row < rows.size(); ++row) {
      of_set[row] = first[row] < row ? of_set[first[row]] : memory.usual(set, row);
    }
  }
  return out;
}

}  // namespace kinetics::day_detail
