#include "libkinetics/profile/setup.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/median.h"
#include "libkinetics/profile/profile.h"
#include "libkinetics/profile/robust_line.h"
#include "libkinetics/roster/find_lift.h"
#include "libkinetics/roster/names.h"

namespace kinetics {
namespace {

struct Piece {
  int count = 2;
  std::string name;
};

std::string trimmed(const std::string& text) {
  const std::size_t from = text.find_first_not_of(' ');
  if (from == std::string::npos) return {};
  return text.substr(from, text.find_last_not_of(' ') - from + 1);
}

/// "2 x heavy chain"; a name alone means one on each side.
Piece piece_in(const std::string& text) {
  Piece out{.count = 2, .name = text};
  const std::size_t sign = text.find(" x ");
  if (sign == std::string::npos) return out;
  int count = 0;
  const auto read = std::from_chars(text.data(), text.data() + sign, count);
  if (read.ec != std::errc() || read.ptr != text.data() + sign) return out;
  return {.count = count, .name = trimmed(text.substr(sign + 3))};
}

std::vector<Piece> pieces_in(const std::string& words) {
  std::vector<Piece> out;
  std::size_t from = 0;
  while (from <= words.size()) {
    const std::size_t to = std::min(words.find_first_of("+,", from), words.size());
    const std::string part = trimmed(words.substr(from, to - from));
    if (!part.empty()) out.push_back(piece_in(part));
    from = to + 1;
  }
  return out;
}

void check_count(const Piece& piece, const std::optional<int>& owned, const std::string& words) {
  if (piece.count < 2 || piece.count % 2 != 0) {
    throw Error(ErrorCode::kUsage,
                fmt::format("\"{}\"", words),
                fmt::format("{} of '{}' cannot hang evenly", piece.count, piece.name),
                fmt::format("Count both sides together: 2 x {}", piece.name));
  }
  if (owned && piece.count > *owned) {
    throw Error(ErrorCode::kUsage,
                fmt::format("\"{}\"", words),
                fmt::format("the roster has {} of '{}' only", *owned, piece.name),
                "Take fewer, or mend 'count' in the roster");
  }
}

void hang_piece(BarLoad& load, const Roster& roster, const Piece& piece, const std::string& words) {
  std::vector<std::string> known;
  for (const ChainGear& gear : roster.gear.chains) {
    known.push_back(gear.chain.name);
    if (!same_name(gear.chain.name, piece.name)) continue;
    check_count(piece, gear.count, words);
    load.chains.push_back(gear.chain);
    load.chains.back().strands = piece.count;
    return;
  }
  for (const BandGear& gear : roster.gear.bands) {
    known.push_back(gear.band.name);
    if (!same_name(gear.band.name, piece.name)) continue;
    check_count(piece, gear.count, words);
    load.bands.push_back(gear.band);
    load.bands.back().count = piece.count;
    return;
  }
  throw Error(ErrorCode::kUsage,
              fmt::format("\"{}\"", words),
              fmt::format("no chain or band '{}' is in the roster", piece.name),
              meant_or_known(piece.name, known, "Add a [[chain]] or [[band]] to it"));
}

const BarGear* bar_of(const Roster& roster, const std::string& name) {
  const auto& bars = roster.gear.bars;
  if (name.empty()) return bars.empty() ? nullptr : &bars.front();
  const auto found = std::find_if(
      bars.begin(), bars.end(), [&](const BarGear& b) { return same_name(b.name, name); });
  return found == bars.end() ? nullptr : &*found;
}

void find_heights(LoadSetup& setup,
                  const Roster& roster,
                  const LiftVariant& variant,
                  std::optional<double> usual_rise_m) {
  const Lifter* lifter = find_lifter(roster, variant.lifter);
  const LifterLift* lift =
      lifter ? find_lift(*lifter, variant.lift, variant.bar, variant.box_height_m) : nullptr;
  std::optional<double> bottom_m = lift ? lift->bottom_height_m : std::nullopt;
  std::optional<double> top_m = lift ? lift->lockout_height_m : std::nullopt;
  if (!bottom_m && top_m && usual_rise_m) bottom_m = *top_m - *usual_rise_m;
  if (!top_m && bottom_m && usual_rise_m) top_m = *bottom_m + *usual_rise_m;
  if (!bottom_m || !top_m) {
    throw Error(
        ErrorCode::kUsage,
        fmt::format("\"{}\"", setup.accommodating),
        fmt::format("how high the bar is in {}'s {} is not known", variant.lifter, variant.lift),
        "Add lockout_height_cm and bottom_height_cm to the lift in the roster");
  }
  // Heights given for any bar are a straight bar's.
  const BarGear* bar = bar_of(roster, variant.bar);
  const double raised = bar != nullptr && !lift->bar ? bar->sleeves_raised_m : 0.0;
  setup.bottom_m = *bottom_m + raised;
  setup.top_m = *top_m + raised;
}

}  // namespace

LoadSetup make_setup(const Roster& roster,
                     const LiftVariant& variant,
                     const std::string& words,
                     std::optional<double> usual_rise_m) {
  LoadSetup out;
  out.accommodating = trimmed(words);
  if (const BarGear* bar = bar_of(roster, variant.bar)) {
    out.empty.bar_kg = bar->mass_kg;
    out.empty.bar_name = bar->name;
    if (bar->limit_kg) out.limits.push_back({.of = bar->name, .limit_kg = *bar->limit_kg});
  }
  for (const Rack& rack : roster.gear.racks) {
    out.limits.push_back({.of = rack.name, .limit_kg = rack.limit_kg});
  }
  out.empty.collars_kg = 2.0 * roster.gear.collar_kg;
  for (const DiscGear& disc : roster.gear.discs) {
    if (disc.count < 2) continue;
    out.discs.push_back({.mass = Mass::kilograms(disc.mass_kg), .pairs = disc.count / 2});
  }
  for (const Piece& piece : pieces_in(out.accommodating)) {
    hang_piece(out.empty, roster, piece, out.accommodating);
  }
  if (!out.accommodating.empty()) find_heights(out, roster, variant, usual_rise_m);
  return out;
}

std::optional<double> usual_rise_m(const std::vector<LiftedSet>& sets, const LiftVariant& variant) {
  std::vector<double> rises;
  for (const LiftedSet& set : sets) {
    LiftVariant of{.lifter = set.lifter,
                   .lift = set.lift,
                   .bar = set.bar,
                   .box_height_m = set.box_height_m,
                   .accommodating = variant.accommodating};
    if (!same_variant(of, variant)) continue;
    for (const LiftedRep& rep : set.reps) {
      if (rep.kind == RepKind::kFull && rep.rom_m.ok()) rises.push_back(rep.rom_m.value());
    }
  }
  if (rises.empty()) return std::nullopt;
  return even_median_of(std::move(rises));
}

std::vector<LoadSetup> usual_setups(const Roster& roster,
                                    const Profile& profile,
                                    const std::vector<LiftedSet>& sets,
                                    Notes& notes) {
  std::vector<LoadSetup> out{make_setup(roster, profile.variant)};
  std::vector<std::string> seen;
  for (const ProfilePoint& p : profile.points) {
    if (p.accommodating.empty()) continue;
    if (std::find(seen.begin(), seen.end(), p.accommodating) != seen.end()) continue;
    seen.push_back(p.accommodating);
    try {
      out.push_back(make_setup(
          roster, profile.variant, p.accommodating, usual_rise_m(sets, profile.variant)));
    } catch (const Error& e) {
      notes.push_back({NoteKind::kCaution, fmt::format("No loads with {}.", e.what())});
    }
  }
  return out;
}

double added_mean_kg(const LoadSetup& setup) {
  if (setup.accommodating.empty()) return 0.0;
  return load_span(setup.empty, setup.bottom_m, setup.top_m).straight_kg - setup.empty.bar_kg -
         setup.empty.collars_kg;
}

std::optional<HungLoad> hang(const LoadSetup& setup, double mean_kg, HangTo to) {
  const double empty_kg = setup.empty.bar_kg + setup.empty.collars_kg;
  const double added_kg = added_mean_kg(setup);
  HungLoad out;
  out.bar_kg = mean_kg - added_kg;
  if (out.bar_kg < empty_kg) {
    if (to == HangTo::kAtMost) return std::nullopt;
    out.bar_kg = empty_kg;
  }
  if (!setup.discs.empty()) {
    const DiscPlan plan = plan_discs(Mass::kilograms(out.bar_kg), empty_kg, setup.discs);
    const std::optional<DiscChoice> choice = to == HangTo::kAtLeast  ? plan.above
                                             : to == HangTo::kAtMost ? plan.below
                                                                     : plan.nearest();
    if (!choice) return std::nullopt;
    out.side = choice->side;
    out.bar_kg = choice->total_kg;
  }
  out.bottom_kg = out.mean_kg = out.top_kg = out.bar_kg;
  if (setup.accommodating.empty()) return out;
  BarLoad load = setup.empty;
  load.discs_kg = out.bar_kg - empty_kg;
  const LoadSpan span = load_span(load, setup.bottom_m, setup.top_m);
  out.bottom_kg = span.bottom.weight_n / load.gravity_mps2;
  out.mean_kg = span.straight_kg;
  out.top_kg = span.top.weight_n / load.gravity_mps2;
  return out;
}

}  // namespace kinetics
