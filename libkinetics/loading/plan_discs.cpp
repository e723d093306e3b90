#include "libkinetics/loading/plan_discs.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <iterator>
#include <map>
#include <string>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

// Whole units of 10 ng: 0.45359237 kg and its eighths are whole, and 10 t fits easily.
using Units = std::int64_t;
constexpr double kUnitsPerKg = 1e11;
constexpr Units kSame = 100'000;  // 1 mg

constexpr double kMostKg = 2000.0;
constexpr int kMostPairs = 50;
constexpr std::size_t kMostSums = 400'000;  // beyond it the search would take minutes

Units units(double kg) {
  return std::llround(kg * kUnitsPerKg);
}

/// How many pairs of each kind, heaviest kind first.
using Counts = std::vector<std::uint8_t>;

int discs_in(const Counts& counts) {
  int sum = 0;
  for (const std::uint8_t count : counts) sum += count;
  return sum;
}

/// Fewest discs first, then the heaviest ones.
bool better(const Counts& a, const Counts& b) {
  const int discs_a = discs_in(a);
  const int discs_b = discs_in(b);
  return discs_a != discs_b ? discs_a < discs_b : a > b;
}

/// Every mass one side can have with discs of one unit, and the best way to hang it.
using Sums = std::map<Units, Counts>;

void keep_better(Sums& sums, Units mass, Counts counts) {
  const auto [at, added] = sums.try_emplace(mass, counts);
  if (!added && better(counts, at->second)) at->second = std::move(counts);
}

/// Sums up to `most`, and the one next above it: a heavier side is of no use.
Sums all_sums(const std::vector<DiscPairs>& kinds, Units most) {
  Sums sums{{0, Counts(kinds.size(), 0)}};
  for (std::size_t kind = 0; kind < kinds.size(); ++kind) {
    const Units mass = units(kinds[kind].mass.kg());
    Sums more = sums;
    for (const auto& [sum, counts] : sums) {
      Counts with = counts;
      for (int n = 1; n <= kinds[kind].pairs && sum + (n - 1) * mass <= most; ++n) {
        with[kind] = static_cast<std::uint8_t>(n);
        keep_better(more, sum + n * mass, with);
      }
    }
    const auto above = more.upper_bound(most);
    if (above != more.end()) more.erase(std::next(above), more.end());
    sums = std::move(more);
    if (sums.size() > kMostSums) {
      throw Error(ErrorCode::kUsage,
                  "disc inventory",
                  "too many odd masses to try out every way to load the bar",
                  "List discs by what is stamped on them");
    }
  }
  return sums;
}

std::vector<DiscPairs> heaviest_first(const std::vector<DiscPairs>& owned, MassUnit unit) {
  std::vector<DiscPairs> kinds;
  for (const DiscPairs& kind : owned) {
    if (kind.mass.unit() == unit && kind.pairs > 0) kinds.push_back(kind);
  }
  std::stable_sort(kinds.begin(), kinds.end(), [](const DiscPairs& a, const DiscPairs& b) {
    return a.mass.kg() > b.mass.kg();
  });
  return kinds;
}

void check_inventory(Mass wanted, double empty_kg, const std::vector<DiscPairs>& owned) {
  if (!(wanted.kg() >= 0.0) || !(wanted.kg() <= kMostKg)) {
    throw Error(ErrorCode::kUsage,
                "wanted load",
                fmt::format("{} cannot be loaded", mass_text(wanted)),
                fmt::format("Give a total from 0 to {} kg", kMostKg));
  }
  if (!(empty_kg >= 0.0) || !(empty_kg <= kMostKg)) {
    throw Error(ErrorCode::kUsage,
                "bar and collars",
                fmt::format("{} kg is not a mass of a bar", empty_kg),
                "Give the mass of bar and collars together");
  }
  for (std::size_t i = 0; i < owned.size(); ++i) {
    const std::string item = fmt::format("disc inventory, line {}", i + 1);
    check_discs({{.mass = owned[i].mass}}, item);
    if (owned[i].pairs < 0 || owned[i].pairs > kMostPairs) {
      throw Error(ErrorCode::kUsage,
                  item,
                  fmt::format("{} pairs of {} cannot be", owned[i].pairs, mass_text(owned[i].mass)),
                  fmt::format("Give the number of pairs, 0 to {}", kMostPairs));
    }
  }
}

/// The best pick so far on one side of the wanted mass.
struct Pick {
  Units miss = 0;  ///< distance from the wanted mass, both sides
  const Counts* kg = nullptr;
  const Counts* lb = nullptr;
};

Units over_by(Units miss) {
  return miss <= kSame ? 0 : miss;
}

void take_nearer(Pick& best, const Pick& pick) {
  const auto discs = [](const Pick& p) { return discs_in(*p.kg) + discs_in(*p.lb); };
  if (best.kg == nullptr || pick.miss < best.miss ||
      (pick.miss == best.miss && discs(pick) < discs(best))) {
    best = pick;
  }
}

void add_discs(DiscStack& side, const std::vector<DiscPairs>& kinds, const Counts& counts) {
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    if (counts[i] == 0) continue;
    if (!side.empty() && side.back().mass == kinds[i].mass) {
      side.back().count += counts[i];
    } else {
      side.push_back({.mass = kinds[i].mass, .count = counts[i]});
    }
  }
}

}  // namespace

const DiscChoice& DiscPlan::nearest() const {
  KINETICS_ASSERT(below || above);
  if (!above || !below) return below ? *below : *above;
  return wanted_kg - below->total_kg <= above->total_kg - wanted_kg ? *below : *above;
}

DiscPlan plan_discs(Mass wanted, double bar_and_collars_kg, const std::vector<DiscPairs>& owned) {
  check_inventory(wanted, bar_and_collars_kg, owned);
  const std::vector<DiscPairs> kg_kinds = heaviest_first(owned, MassUnit::kKilogram);
  const std::vector<DiscPairs> lb_kinds = heaviest_first(owned, MassUnit::kPound);
  const Units both_sides = units(wanted.kg()) - units(bar_and_collars_kg);
  const Units most = std::max<Units>(both_sides / 2, 0) + kSame;
  const Sums kg_sums = all_sums(kg_kinds, most);
  const Sums lb_sums = all_sums(lb_kinds, most);

  // For every side of kilogram discs the pound discs that bring it just under, and just over.
  Pick below;
  Pick above;
  for (const auto& [kg_mass, kg_counts] : kg_sums) {
    const Units left = both_sides - 2 * kg_mass;  // for pound discs, both sides
    const auto over = lb_sums.lower_bound((left - kSame + 1) / 2);
    if (over != lb_sums.end()) {
      take_nearer(above, {over_by(2 * over->first - left), &kg_counts, &over->second});
    }
    const auto beyond = lb_sums.upper_bound((left + kSame) / 2);
    if (left + kSame < 0 || beyond == lb_sums.begin()) continue;
    const auto under = std::prev(beyond);
    take_nearer(below, {over_by(left - 2 * under->first), &kg_counts, &under->second});
  }

  const auto choice = [&](const Pick& pick) -> std::optional<DiscChoice> {
    if (pick.kg == nullptr) return std::nullopt;
    DiscChoice chosen;
    add_discs(chosen.side, kg_kinds, *pick.kg);
    add_discs(chosen.side, lb_kinds, *pick.lb);
    std::stable_sort(chosen.side.begin(), chosen.side.end(), [](const Disc& a, const Disc& b) {
      return a.mass.kg() > b.mass.kg();
    });
    chosen.total_kg = bar_and_collars_kg + 2.0 * stack_kg(chosen.side);
    return chosen;
  };
  DiscPlan plan{.wanted_kg = wanted.kg(), .below = choice(below), .above = choice(above)};
  plan.exact = plan.below && below.miss == 0;
  if (plan.exact) plan.above = plan.below;
  return plan;
}

}  // namespace kinetics
