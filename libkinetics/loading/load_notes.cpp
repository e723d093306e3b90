#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/core/measured.h"
#include "libkinetics/loading/check_load.h"
#include "libkinetics/loading/mass_text.h"

namespace kinetics {
namespace {

void caution(Notes& notes, std::string text) {
  notes.push_back({.kind = NoteKind::kCaution, .text = std::move(text)});
}

std::string kg_and_lb(double kg) {
  return fmt::format(
      "{} ({})", load_text(kg, MassUnit::kKilogram), load_text(kg, MassUnit::kPound));
}

/// Nothing that hangs weighs less higher up, so the top is the worst.
void note_rack(Notes& notes, const BarLoad& load, double top_m, double rack_kg) {
  if (rack_kg <= 0.0) return;
  const LoadAt top = load_at(load, top_m);
  const double kg = top.weight_n / load.gravity_mps2;
  const double sigma_kg = top.weight_sigma_n / load.gravity_mps2;
  if (kg + kNormal95 * sigma_kg <= rack_kg) return;
  caution(
      notes,
      fmt::format("The load at the top {} {}; the rack is stated to hold {}. Take weight off, or "
                  "use a rack that holds it.",
                  kg > rack_kg ? "is" : "may be over the limit: about",
                  kg_and_lb(kg),
                  kg_and_lb(rack_kg)));
}

void note_held_up(Notes& notes, const BarLoad& load, double bottom_m, double top_m) {
  for (const double height_m : {bottom_m, top_m}) {
    if (load_at(load, height_m).weight_n > 0.0) continue;
    caution(notes,
            fmt::format("At {:.2f} m the bands hold up more than the bar weighs: it would fly up "
                        "when let go. Use lighter bands or more weight.",
                        height_m));
    return;
  }
}

void note_chain(
    Notes& notes, const Chain& chain, const std::string& item, double bottom_m, double top_m) {
  const double end_m = chain.attachment_below_bar_m + chain.leader_length_m;
  if (top_m <= end_m) {
    caution(notes,
            fmt::format("{} never leaves the floor and adds nothing: its upper end is still down "
                        "with the bar at {:.2f} m. Shorten its leader.",
                        item,
                        top_m));
  } else if (bottom_m >= end_m + chain.free_length_m) {
    caution(notes,
            fmt::format("{} hangs free all the way and swings: it adds the same weight everywhere. "
                        "Hang it {:.2f} m lower if it should pile up.",
                        item,
                        bottom_m - end_m - chain.free_length_m));
  }
}

/// Longest a band gets over the lift: at an end, as the anchor's distance has no inner maximum.
double longest_m(const Band& band, double bottom_m, double top_m) {
  return std::max(stretched_length_m(band, bottom_m), stretched_length_m(band, top_m));
}

void note_band(
    Notes& notes, const Band& band, const std::string& item, double bottom_m, double top_m) {
  const BandTension& tension = band.tension;
  const double long_m = longest_m(band, bottom_m, top_m);
  if (tension.limit_length_m > 0.0 && long_m > tension.limit_length_m) {
    caution(notes,
            fmt::format("{} is stretched to {:.2f} m, over its stated limit of {:.2f} m. Use a "
                        "longer band or a nearer anchor.",
                        item,
                        long_m,
                        tension.limit_length_m));
  }
  const auto& rows = tension.length_m_tension_n;
  const double known_m = rows.empty() ? tension.known_to_m : rows.back().first;
  if (known_m > 0.0 && long_m > known_m) {
    caution(notes,
            fmt::format("{} is stretched to {:.2f} m, but was measured to {:.2f} m only: its pull "
                        "beyond is a guess. Measure it further.",
                        item,
                        long_m,
                        known_m));
  }
  const auto shorter_m =
      std::min(stretched_length_m(band, bottom_m), stretched_length_m(band, top_m));
  if (shorter_m < tension.known_from_m && tension_at(tension, shorter_m).tension_n > 0.0) {
    caution(notes,
            fmt::format("{} is as short as {:.2f} m on the way, but was measured from {:.2f} m on: "
                        "its pull below is a guess. Measure its slack length too.",
                        item,
                        shorter_m,
                        tension.known_from_m));
  }
  const bool slack_low = band_at(band, bottom_m).pull_n == 0.0;
  const bool slack_high = band_at(band, top_m).pull_n == 0.0;
  if (slack_low && slack_high) {
    caution(notes, item + " is slack all the way and adds nothing. Move its anchor, or fold it.");
  } else if (slack_low) {  // reverse bands slack at the top are as wanted
    caution(notes,
            item +
                " is slack at the bottom and snaps tight on the way. Fold it or choke it shorter "
                "if it should pull all the way.");
  }
}

}  // namespace

Notes handling_cautions(const BarLoad& load) {
  Notes notes;
  caution(notes,
          "Fix a collar on both sides and count the discs on both; a sheet does not replace a "
          "look at the bar.");
  if (!load.chains.empty()) {
    caution(notes,
            "Chains swing: check links and hooks, hang and take off both sides together, keep "
            "feet and bystanders clear. Set rack, boxes and spotters for the load at the top.");
  }
  if (!load.bands.empty()) {
    caution(notes,
            "Bands recoil: check rubber and anchors for wear, keep faces and bystanders out of "
            "the line of pull, never use them alone. Set spotters for the load at the top.");
  }
  caution(notes, "The venue's and the federation's rules come before anything printed here.");
  return notes;
}

Notes load_notes(const BarLoad& load, double bottom_m, double top_m, const LoadLimits& limits) {
  if (!std::isfinite(bottom_m) || !std::isfinite(top_m) || !(top_m > bottom_m)) {
    throw Error(ErrorCode::kUsage,
                "bar heights",
                fmt::format("a lift from {} m to {} m does not rise", bottom_m, top_m),
                "Give the bar's height above the floor at the bottom, then at the top");
  }
  Notes notes;
  note_rack(notes, load, top_m, limits.rack_kg);
  note_held_up(notes, load, bottom_m, top_m);
  for (std::size_t i = 0; i < load.chains.size(); ++i) {
    const std::string item = item_text("", "Chain", i, load.chains[i].name);
    note_chain(notes, load.chains[i], item, bottom_m, top_m);
  }
  for (std::size_t i = 0; i < load.bands.size(); ++i) {
    const std::string item = item_text("", "Band", i, load.bands[i].name);
    note_band(notes, load.bands[i], item, bottom_m, top_m);
  }
  return notes;
}

}  // namespace kinetics
