#include "libkinetics/report/sticking_sets.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/load_words.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

constexpr double kCentimetres = 100.0;

std::string gear_in_words(const SetPlan& plan, const BarLoad& load) {
  std::string text = plan.bar.empty() ? "bar not named" : plan.bar;
  if (plan.box_height_m) text += fmt::format(", box {:.3g} cm", kCentimetres * *plan.box_height_m);
  // The load itself differs from set to set; chains and bands stand behind its first comma.
  const std::string words = load_in_words(plan.stated_load_kg, plan.unit, load);
  const std::size_t comma = words.find(", ");
  return comma == std::string::npos ? text : text + words.substr(comma);
}

/// The sets of one kind, still without their place on a map.
struct Kind {
  std::vector<const MappedSet*> sets;
};

/// In the unit it was stated in as it was; in another to a tenth, which is finer than any disc.
std::string load_of(const MappedSet& set, MassUnit unit) {
  double kg = set.load_kg;
  if (unit != set.unit) {
    const double a_tenth_kg = 0.1 * (unit == MassUnit::kPound ? kKilogramsPerPound : 1.0);
    kg = a_tenth_kg * std::round(kg / a_tenth_kg);
  }
  return load_in_words(kg, unit, {});
}

std::string detail_of(const Kind& kind, std::optional<MassUnit> asked) {
  const auto lighter = [](const MappedSet* a, const MappedSet* b) {
    return a->load_kg < b->load_kg;
  };
  const auto [least, most] = std::minmax_element(kind.sets.begin(), kind.sets.end(), lighter);
  const MassUnit unit = asked.value_or(kind.sets.front()->unit);
  const std::string from = load_of(**least, unit);
  const std::string to = load_of(**most, unit);
  std::string text = from == to ? from : from.substr(0, from.find(' ')) + "-" + to;
  if (kind.sets.size() > 1) text += fmt::format(", {} sessions", kind.sets.size());
  return text;
}

MapGroup group_of(const Kind& kind, std::optional<MassUnit> unit) {
  MapGroup out{.name = kind.sets.front()->gear, .detail = detail_of(kind, unit), .rises = {}};
  for (const MappedSet* set : kind.sets) {
    out.rises.insert(out.rises.end(), set->rises.begin(), set->rises.end());
    out.left_out += set->left_out;
  }
  return out;
}

/// The element for which `is_it` holds, made when there is none.
template <typename T, typename Is>
T& found_or_made(std::vector<T>& in, Is is_it) {
  const auto found = std::find_if(in.begin(), in.end(), is_it);
  return found != in.end() ? *found : in.emplace_back();
}

}  // namespace

MappedSet mapped_set(const Session& session, const std::string& file) {
  if (!session.options.plan) {
    throw Error(ErrorCode::kUnreadable,
                file,
                "this session does not say who lifted what",
                "Analyse its clip again with --sheet and --logbook, and give the new session");
  }
  const SetPlan& plan = *session.options.plan;
  MappedSet out{
      .lifter = plan.lifter,
      .lift = plan.lift,
      .gear = gear_in_words(plan, session.options.loading.load.value_or(BarLoad{})),
      .load_kg = plan.stated_load_kg,
      .unit = plan.unit,
      .rises = {},
  };
  for (const Rep& rep : session.reps) {
    auto rise = rep.kind == RepKind::kFull ? map_rise(session.motion, rep) : std::nullopt;
    if (rise) {
      out.rises.push_back(std::move(*rise));
    } else {
      ++out.left_out;
    }
  }
  return out;
}

std::vector<StickingMap> sticking_maps(const std::vector<MappedSet>& sets,
                                       std::optional<MassUnit> unit) {
  struct Lift {
    std::vector<Kind> kinds;
  };
  std::vector<Lift> lifts;
  for (const MappedSet& set : sets) {
    const auto same_lift = [&](const Lift& l) {
      const MappedSet& other = *l.kinds.front().sets.front();
      return same_name(other.lifter, set.lifter) && same_name(other.lift, set.lift);
    };
    const auto same_gear = [&](const Kind& k) { return same_name(k.sets.front()->gear, set.gear); };
    Lift& lift = found_or_made(lifts, same_lift);
    found_or_made(lift.kinds, same_gear).sets.push_back(&set);
  }
  std::vector<StickingMap> out;
  for (const Lift& lift : lifts) {
    const MappedSet& first = *lift.kinds.front().sets.front();
    StickingMap map{.lifter = first.lifter, .lift = first.lift, .groups = {}};
    for (const Kind& kind : lift.kinds) map.groups.push_back(group_of(kind, unit));
    out.push_back(std::move(map));
  }
  return out;
}

}  // namespace kinetics
