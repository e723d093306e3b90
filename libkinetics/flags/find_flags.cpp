#include "libkinetics/flags/find_flags.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/loading/mass.h"

namespace kinetics {
namespace {

constexpr double kPercent = 100.0;
constexpr double kCentimetres = 100.0;

std::string with_interval(double value, double sigma, int decimals) {
  return fmt::format("{:.{}f} ± {:.{}f}", value, decimals, kNormal95 * sigma, decimals);
}

std::string velocity_of(const Rep& rep) {
  const Measured& v = rep.mean_velocity_mps;
  return with_interval(v.value(), v.sigma(), 3) + " m/s";
}

/// One set: its reps stand next to each other.
using SetOfReps = std::vector<std::size_t>;

/// Judges the reps of one recording.
class Judge {
 public:
  Judge(const std::vector<Rep>& reps,
        const Motion& motion,
        const Thresholds& thresholds,
        const FlagReferences& references)
      : reps_(reps), motion_(motion), limits_(thresholds), held_against_(references) {}

  Findings all() {
    for (const SetOfReps& set : sets()) {
      const auto depth = middle_of(
          set, [](const Rep& rep) { return rep.rom_m.ok(); }, bottom_of);
      const auto pause = middle_of(
          set, [](const Rep& rep) { return rep.pause_s.ok(); }, pause_of);
      for (const std::size_t i : set) judge(i, depth, pause);
    }
    return std::move(findings_);
  }

 private:
  using Middle = std::optional<std::size_t>;

  static double bottom_of(const Rep& rep) { return rep.bottom_height_m; }
  static double pause_of(const Rep& rep) { return rep.pause_s.value(); }

  [[nodiscard]] std::vector<SetOfReps> sets() const {
    std::vector<SetOfReps> out;
    for (std::size_t i = 0; i < reps_.size(); ++i) {
      if (i == 0 || reps_[i].set != reps_[i - 1].set) out.emplace_back();
      out.back().push_back(i);
    }
    return out;
  }

  // The full rep with the middle value, the lower of two.
  template <typename Counts, typename ValueOf>
  [[nodiscard]] Middle middle_of(const SetOfReps& set, Counts counts, ValueOf value_of) const {
    SetOfReps known;
    for (const std::size_t i : set) {
      if (reps_[i].kind == RepKind::kFull && counts(reps_[i])) known.push_back(i);
    }
    if (known.size() < 2) return std::nullopt;
    std::sort(known.begin(), known.end(), [&](std::size_t a, std::size_t b) {
      return value_of(reps_[a]) < value_of(reps_[b]);
    });
    return known[(known.size() - 1) / 2];
  }

  void judge(std::size_t i, const Middle& depth, const Middle& pause) {
    const Rep& rep = reps_[i];
    if (!rep.mean_velocity_mps.ok()) {
      add(rep,
          FindingKind::kNotMeasured,
          Certainty::kCertain,
          fmt::format("The mean velocity could not be had: {}",
                      in_words(rep.mean_velocity_mps.reason())));
    } else {
      if (rep.kind == RepKind::kFull) {
        slowed(rep);
        below_expected(rep);
      }
      if (limits_.zone) zone(i);
    }
    if (rep.kind != RepKind::kFull) return;
    if (held_against_.depth_m) {
      shallower_than_reference(rep);
    } else if (depth && *depth != i) {
      higher_than(i, *depth);
    }
    if (pause && *pause != i) paused_unevenly(rep, reps_[*pause]);
  }

  void add(const Rep& rep, FindingKind kind, Certainty certainty, std::string evidence) {
    findings_.push_back({.set = rep.set,
                         .rep = rep.number,
                         .kind = kind,
                         .certainty = certainty,
                         .evidence = std::move(evidence)});
  }

  void slowed(const Rep& rep) {
    const Measured& loss = rep.velocity_loss;
    if (!loss.ok() || (loss.value() == 0.0 && loss.sigma() == 0.0)) return;  // itself the fastest
    auto sure = certainty_beyond(loss.value() - limits_.slowed_loss, loss.sigma());
    const bool flagged =
        std::find(rep.flags.begin(), rep.flags.end(), FlagKind::kMaybeSlowed) != rep.flags.end();
    if (!sure && flagged) sure = Certainty::kCannotTell;
    if (!sure) return;
    add(rep,
        FindingKind::kSlowed,
        *sure,
        fmt::format("{}, {} % below the set's fastest; the limit is {:.0f} %",
                    velocity_of(rep),
                    with_interval(kPercent * loss.value(), kPercent * loss.sigma(), 0),
                    kPercent * limits_.slowed_loss));
  }

  void below_expected(const Rep& rep) {
    const Measured& wanted = held_against_.expected_mps;
    if (!wanted.ok()) return;
    const Measured& v = rep.mean_velocity_mps;
    const double beyond = wanted.value() - limits_.below_expected_mps - v.value();
    const auto sure = certainty_beyond(beyond, std::hypot(v.sigma(), wanted.sigma()));
    if (!sure) return;
    const std::string at =
        held_against_.load_kg ? fmt::format(" at {:.1f} kg", *held_against_.load_kg) : "";
    add(rep,
        FindingKind::kBelowExpected,
        *sure,
        fmt::format("{}; {} m/s expected{}, and {:.2f} less allowed",
                    velocity_of(rep),
                    with_interval(wanted.value(), wanted.sigma(), 2),
                    at,
                    limits_.below_expected_mps));
  }

  void zone(std::size_t i) {
    const Measured& v = reps_[i].mean_velocity_mps;
    const VelocityBand& band = *limits_.zone;
    const auto heavy = certainty_beyond(band.lowest_mps - v.value(), v.sigma());
    const auto light = certainty_beyond(v.value() - band.highest_mps, v.sigma());
    // In a band narrower than the error both could be meant: say the nearer.
    const bool nearer_low = v.value() < 0.5 * (band.lowest_mps + band.highest_mps);
    if (heavy && (nearer_low || !light)) {
      add(reps_[i],
          FindingKind::kTooHeavy,
          *heavy,
          fmt::format("{}; the zone begins at {:.2f} m/s{}",
                      velocity_of(reps_[i]),
                      band.lowest_mps,
                      force_in_words(i)));
    } else if (light) {
      add(reps_[i],
          FindingKind::kTooLight,
          *light,
          fmt::format("{}; the zone ends at {:.2f} m/s{}",
                      velocity_of(reps_[i]),
                      band.highest_mps,
                      force_in_words(i)));
    }
  }

  [[nodiscard]] std::string force_in_words(std::size_t i) const {
    if (i >= held_against_.force_n.size() || !held_against_.force_n[i].ok()) return "";
    const Measured& force = held_against_.force_n[i];
    std::string out =
        fmt::format("; mean force {} N", with_interval(force.value(), force.sigma(), 0));
    if (held_against_.best_single_kg) {
      out += fmt::format(
          ", {:.0f} % of the best single's weight",
          kPercent * force.value() / (*held_against_.best_single_kg * kStandardGravity));
    }
    return out;
  }

  // "Cannot tell" is worth a coach's look only where the heights resolve the limit: by a log that
  // drifts further than the limit between two reps it would be said of every rep.
  [[nodiscard]] std::optional<Certainty> bottom_above_limit(double above_m, double sigma_m) const {
    const auto sure = certainty_beyond(above_m - limits_.high_bottom_m, sigma_m);
    if (sure == Certainty::kCannotTell && sigma_m > limits_.high_bottom_m) return std::nullopt;
    return sure;
  }

  void shallower_than_reference(const Rep& rep) {
    if (!rep.rom_m.ok()) return;
    const double above = *held_against_.depth_m - rep.rom_m.value();
    const double sigma = std::hypot(rep.rom_m.sigma(), held_against_.depth_sigma_m);
    const auto sure = bottom_above_limit(above, sigma);
    if (!sure) return;
    add(rep,
        FindingKind::kHighBottom,
        *sure,
        fmt::format(
            "The bar rose {} cm and from the usual depth it would be {:.1f}; {:.1f} less "
            "allowed",
            with_interval(kCentimetres * rep.rom_m.value(), kCentimetres * rep.rom_m.sigma(), 1),
            kCentimetres * *held_against_.depth_m,
            kCentimetres * limits_.high_bottom_m));
  }

  void higher_than(std::size_t i, std::size_t reference) {
    const Rep& rep = reps_[i];
    const double above = rep.bottom_height_m - reps_[reference].bottom_height_m;
    const double sigma = height_difference_sigma(rep, reps_[reference]);
    const auto sure = bottom_above_limit(above, sigma);
    if (!sure) return;
    add(rep,
        FindingKind::kHighBottom,
        *sure,
        fmt::format("{} cm above rep {}, the set's middle one; {:.1f} cm allowed",
                    with_interval(kCentimetres * above, kCentimetres * sigma, 1),
                    reps_[reference].number,
                    kCentimetres * limits_.high_bottom_m));
  }

  // Errors that last, as of an integrated accelerometer, are common to neighbours and grow apart.
  [[nodiscard]] double height_difference_sigma(const Rep& a, const Rep& b) const {
    if (motion_.drift.empty()) return std::hypot(bottom_sigma(a), bottom_sigma(b));
    const Eigen::Matrix4d c =
        joint_covariance(motion_, std::min(a.start_s, b.start_s), std::max(a.start_s, b.start_s));
    return std::sqrt(std::max(c(0, 0) + c(2, 2) - 2.0 * c(0, 2), 0.0));
  }

  [[nodiscard]] double bottom_sigma(const Rep& rep) const {
    constexpr std::ptrdiff_t kBeside = 3;
    if (motion_.samples.empty()) return rep.rom_m.ok() ? rep.rom_m.sigma() / std::sqrt(2.0) : 0.0;
    const auto at = static_cast<std::ptrdiff_t>(sample_before(motion_, rep.start_s));
    const auto end = static_cast<std::ptrdiff_t>(motion_.samples.size());
    double lasting = 0.0;
    for (std::ptrdiff_t k = std::max<std::ptrdiff_t>(at - kBeside, 0);
         k < std::min(at + kBeside + 1, end);
         ++k) {
      lasting = std::max(lasting, motion_.samples[static_cast<std::size_t>(k)].lasting_sigma_m);
    }
    return std::hypot(state_at(motion_, rep.start_s).height_sigma_m, lasting);
  }

  void paused_unevenly(const Rep& rep, const Rep& middle) {
    if (!rep.pause_s.ok()) return;
    const double difference = rep.pause_s.value() - middle.pause_s.value();
    const double sigma = std::hypot(rep.pause_s.sigma(), middle.pause_s.sigma());
    const auto sure = certainty_beyond(std::abs(difference) - limits_.uneven_pause_s, sigma);
    if (!sure) return;
    add(rep,
        FindingKind::kUnevenPause,
        *sure,
        fmt::format("Paused {} s, {:.2f} s {} than rep {}, the set's middle one; {:.2f} s allowed",
                    with_interval(rep.pause_s.value(), rep.pause_s.sigma(), 2),
                    std::abs(difference),
                    difference > 0.0 ? "longer" : "shorter",
                    middle.number,
                    limits_.uneven_pause_s));
  }

  const std::vector<Rep>& reps_;
  const Motion& motion_;
  const Thresholds& limits_;
  const FlagReferences& held_against_;
  Findings findings_;
};

}  // namespace

Findings find_flags(const std::vector<Rep>& reps,
                    const Motion& motion,
                    const Thresholds& thresholds,
                    const FlagReferences& references) {
  return Judge(reps, motion, thresholds, references).all();
}

}  // namespace kinetics
