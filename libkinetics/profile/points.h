#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "libkinetics/history/lifted_set.h"

/// The points of a load-velocity profile: one a set, picked from what was lifted.

namespace kinetics {

/// Which load a profile stands over. Straight weight weighs the same on all three.
enum class LoadAxis {
  kBar,   ///< bar, discs and collars, as stated; chains and bands not counted
  kMean,  ///< straight weight that would weigh as much on average over the way up
  kTop,   ///< the same where the rise ends
};

/// "load of bar and discs", "mean load over the way up", "load at the top".
[[nodiscard]] std::string_view in_words(LoadAxis axis);

/// Which reps speak for a set.
enum class RepChoice {
  kFastest,  ///< the fastest full rep: what the lifter could do at this load (common practice)
  kMiddle,   ///< the middle one of all full reps
};

/// One lift of one lifter with one bar and box. Chains and bands part variants only where the axis
/// does not count them fully: on kBar and kTop.
struct LiftVariant {
  std::string lifter;
  std::string lift;
  std::string bar;
  std::optional<double> box_height_m;
  std::string accommodating;  ///< chains and bands in words; empty on LoadAxis::kMean

  bool operator==(const LiftVariant&) const = default;
};

/// The same in the roster's sense: names as people type them, a box as two tape readings
/// find it.
[[nodiscard]] bool same_variant(const LiftVariant& a, const LiftVariant& b);

/// "box squat, straight bar, box 45 cm, 2 x heavy chain": without the lifter.
[[nodiscard]] std::string in_words(const LiftVariant& variant);

/// One set, as a point of a profile.
struct ProfilePoint {
  double load_kg = 0.0;  ///< on the axis
  double load_sigma_kg = 0.0;
  double stated_load_kg = 0.0;
  double velocity_mps = 0.0;
  double velocity_sigma_mps = 0.0;  ///< of the measurement, one standard error
  std::string day;                  ///< ISO 8601; empty: not known
  double age_days = 0.0;            ///< before the latest day of the profile
  std::string session;
  int set = 1;
  int rep = 1;                ///< the one that speaks for the set
  int full_reps = 1;          ///< of the set
  std::string accommodating;  ///< chains and bands in words
  double recency = 1.0;       ///< 1 on the latest day, halved with each half-life before it
  bool set_aside = false;     ///< an outlier: shown, but not counted
  double doubt = 0.0;         ///< probability of being wild, where only the other lifters can tell
  double residual_mps = 0.0;  ///< above the line, once there is one
};

/// The points of one variant, by day, session and set.
struct VariantPoints {
  LiftVariant variant;
  std::vector<ProfilePoint> points;
  int without_point =
      0;  ///< sets with no measured full rep, or whose load on the axis is not known
};

/// How many loads differ by more than 2 % of the heaviest; points set aside do not count.
[[nodiscard]] int different_loads(const std::vector<ProfilePoint>& points);

/// Sorts sets by variant and picks each one's rep. Variants in the order in which they first come.
///
/// Half-life  days after which a set counts half; 0: all count the same. Sets without a day count
///            as if lifted on the first.
[[nodiscard]] std::vector<VariantPoints> profile_points(const std::vector<LiftedSet>& sets,
                                                        LoadAxis axis = LoadAxis::kMean,
                                                        RepChoice reps = RepChoice::kFastest,
                                                        double half_life_days = 0.0);

/// Days from one ISO 8601 date to another.
///
/// Errors  Error{kUnreadable} naming a date that is none.
[[nodiscard]] double days_between(const std::string& from, const std::string& to);

}  // namespace kinetics
