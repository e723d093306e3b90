#include "libkinetics/inertial/vertical.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "libkinetics/core/median.h"
#include "libkinetics/inertial/gravity.h"

namespace kinetics {
namespace {

// Rest is kept at this rate; there is nothing in between to see.
constexpr double kRestEvery_s = 0.2;
// The ends of a rest stay dense: a bar may ease off.
constexpr double kRestMargin_s = 0.3;
constexpr double kLongestHole_s = 0.5;
// A grinder may glide evenly for two seconds; for longer than this nobody does.
constexpr double kSureRest_s = 3.0;
constexpr double kLeastNoise_mps2 = 0.01;
constexpr double kMostNoise_mps2 = 0.15;
// Jerk: a bar at rest, the calmest and the wildest a moving one is thought to be.
constexpr double kRestJerk_m2ps5 = 0.02;
constexpr double kLeastJerk_m2ps5 = 0.5;
constexpr double kMostJerk_m2ps5 = 3e5;
constexpr double kJerkWithin_s = 0.12;
// A reading next to a blow is off by a share of the jump: it rings on between two readings.
constexpr double kBlow_mps2 = 8.0;
constexpr double kShareOfBlow = 0.25;
constexpr double kClipped_mps2 = 20.0;
// How fast the sensor's error along the vertical changes: of itself, and as the sensor is turned
// into another attitude, where other errors of its axes count.
constexpr double kWander_mps2 = 0.01;
constexpr double kWanderWithoutGyro_mps2 = 0.04;
constexpr double kAxisError_mps2 = 0.15;
// A sensor sits beside the bar's axis, so it rises and sinks as the bar turns.
constexpr double kLever_m = 0.02;
// And it may sit anywhere along the bar, whose ends do not rise quite alike: some 0.9 m from the
// end that the numbers are of, or next to it.
constexpr double kAlongBar_m = 0.6;
// What a bar tilts by on its way when there is no gyroscope to tell, times the same. Common
// practice, no source.
constexpr double kUnseenTilt_m2ps = 8e-5;
// Beyond this it is no bar that tilts, but the hand the sensor is on.
constexpr double kMostTilt_m2ps = 3e-4;
// A turn counts as one movement, not as many small ones, over this long.
constexpr double kTurnWithin_s = 1.5;

// Of the rows that make up an instant of the estimate.
struct Raw {
  double t_s = 0.0;
  double accel = 0.0;
  Eigen::Vector3d up_in_sensor = Eigen::Vector3d::UnitZ();
  std::size_t first = 0;
  std::size_t last = 0;
};

double square(double x) {
  return x * x;
}

std::vector<char> marked(std::size_t count, const std::vector<CalmStretch>& stretches) {
  std::vector<char> out(count, 0);
  for (const CalmStretch& s : stretches) std::fill(&out[s.first], &out[s.last] + 1, char{1});
  return out;
}

// Direction of the specific force, averaged over a third of a second: good enough to see a sensor
// being turned over.
std::vector<Eigen::Vector3d> felt_vertical(const std::vector<Bin>& bins) {
  constexpr double kHalf_s = 0.17;
  constexpr double kNearGravity_mps2 = 4.0;
  const auto told = [](const Bin& b) {
    const bool near = std::abs(b.size_mps2 - kStandardGravity_mps2) < kNearGravity_mps2;
    return near ? Eigen::Vector3d(b.accel_mps2.normalized()) : Eigen::Vector3d(0.0, 0.0, 0.0);
  };
  std::vector<Eigen::Vector3d> out(bins.size());
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  std::size_t first = 0;
  std::size_t end = 0;
  for (std::size_t i = 0; i < bins.size(); ++i) {
    for (; end < bins.size() && bins[end].t_s - bins[i].t_s <= kHalf_s; ++end) {
      sum += told(bins[end]);
    }
    for (; bins[i].t_s - bins[first].t_s > kHalf_s; ++first) sum -= told(bins[first]);
    // A bar that falls, or lands, says nothing of the vertical: it is where it was.
    const bool unknown = sum.norm() < 0.5;
    out[i] = unknown ? (i > 0 ? out[i - 1] : Eigen::Vector3d(0.0, 0.0, 1.0)) : sum.normalized();
  }
  return out;
}

// Bins that may be thinned: at rest with rest around.
std::vector<char> deep_rest(const std::vector<Bin>& bins, const std::vector<CalmStretch>& rests) {
  std::vector<char> out(bins.size(), 0);
  for (const CalmStretch& s : rests) {
    for (std::size_t i = s.first; i <= s.last; ++i) {
      out[i] = bins[i].t_s - bins[s.first].t_s > kRestMargin_s &&
                       bins[s.last].t_s - bins[i].t_s > kRestMargin_s
                   ? 1
                   : 0;
    }
  }
  return out;
}

// White noise of the readings from their third differences, where a bar's motion hardly shows.
double noise_of(const std::vector<UpwardReading>& r) {
  std::vector<double> third;
  for (std::size_t i = 3; i < r.size(); ++i) {
    if (r[i].still != r[i - 3].still || r[i].hole_after || r[i - 3].hole_after) continue;
    third.push_back(std::abs(r[i].accel_mps2 - 3.0 * r[i - 1].accel_mps2 +
                             3.0 * r[i - 2].accel_mps2 - r[i - 3].accel_mps2));
  }
  if (third.size() < 8) return kLeastNoise_mps2;
  // The squares of 1, 3, 3, 1 add up to 20.
  return median_of(std::move(third)) * 1.4826 / std::sqrt(20.0);
}

// Jerk density from the changes of the readings around each, less what noise makes of them.
void learn_jerk(std::vector<UpwardReading>& r) {
  const std::size_t n = r.size();
  std::vector<double> square_sum(n, 0.0);
  std::vector<double> time_sum(n, 0.0);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    const double change = r[i + 1].accel_mps2 - r[i].accel_mps2;
    const double noise = r[i].variance + r[i + 1].variance;
    square_sum[i + 1] = square_sum[i] + std::max(square(change) - noise, 0.0);
    time_sum[i + 1] = time_sum[i] + (r[i + 1].t_s - r[i].t_s);
  }
  std::size_t first = 0;
  std::size_t last = 0;
  for (std::size_t i = 0; i + 1 < n; ++i) {
    while (first < i && r[i].t_s - r[first].t_s > kJerkWithin_s) ++first;
    last = std::max(last, i + 1);
    while (last + 1 < n && r[last].t_s - r[i].t_s < kJerkWithin_s) ++last;
    const double psd =
        (square_sum[last] - square_sum[first]) / std::max(time_sum[last] - time_sum[first], 1e-6);
    r[i].jerk_psd = r[i].still && r[i + 1].still
                        ? kRestJerk_m2ps5
                        : std::clamp(psd, kLeastJerk_m2ps5, kMostJerk_m2ps5);
  }
}

// Discs rattle while the bar moves. What a reading catches of it shows in differences of a high
// order: of the third where readings come fast enough for the motion itself not to show in them, of
// the fifth where they come slowly.
struct Difference {
  std::vector<double> weights;
  double square_sum = 0.0;
};
const Difference kThird{{-1.0, 3.0, -3.0, 1.0}, 20.0};
const Difference kFifth{{-1.0, 5.0, -10.0, 10.0, -5.0, 1.0}, 252.0};
constexpr double kThirdFrom_hz = 40.0;

// Square of the noise that the difference around reading `i` shows; 0 where there is none to see.
double rattle_square(const std::vector<UpwardReading>& r, std::size_t i, const Difference& d) {
  const std::size_t reach = d.weights.size() / 2;
  if (i < reach || i + reach > r.size()) return 0.0;
  const std::size_t first = i - reach;
  const std::size_t last = first + d.weights.size() - 1;
  constexpr double kEven = 1.5;
  const double usual_s = (r[last].t_s - r[first].t_s) / static_cast<double>(last - first);
  double sum = 0.0;
  for (std::size_t k = first; k <= last; ++k) {
    if (k > first && r[k].t_s - r[k - 1].t_s > kEven * usual_s) return 0.0;
    sum += d.weights[k - first] * r[k].accel_mps2;
  }
  return square(sum) / d.square_sum;
}

enum class Pace { kFast, kSlow };

void add_rattle(std::vector<UpwardReading>& r, Pace pace) {
  constexpr std::size_t kFewestAround = 5;
  const std::size_t n = r.size();
  std::vector<double> sum(n + 1, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    const bool fast = i >= 2 && i + 1 < n && r[i + 1].t_s - r[i - 2].t_s < 3.0 / kThirdFrom_hz;
    const bool meant = fast == (pace == Pace::kFast);
    sum[i + 1] = sum[i] + (meant ? rattle_square(r, i, fast ? kThird : kFifth) : 0.0);
  }
  std::size_t first = 0;
  std::size_t last = 0;
  for (std::size_t i = 0; i < n; ++i) {
    while (first + kFewestAround < i && r[i].t_s - r[first].t_s > kJerkWithin_s) ++first;
    last = std::max(last, i);
    while (last + 1 < n &&
           (r[last + 1].t_s - r[i].t_s < kJerkWithin_s || last < i + kFewestAround)) {
      ++last;
    }
    const double local = (sum[last + 1] - sum[first]) / static_cast<double>(last - first + 1);
    r[i].variance = std::max(r[i].variance, local);
  }
}

// How far the vertical turns within the sensor around each instant, from coarse blocks.
std::vector<double> turn_around(const std::vector<UpwardReading>& r,
                                const std::vector<Eigen::Vector3d>& ups) {
  struct Block {
    Eigen::Vector3d lo, hi;
  };
  const double block_s = kTurnWithin_s / 3.0;
  const auto block_of = [&](std::size_t i) {
    return static_cast<std::size_t>((r[i].t_s - r.front().t_s) / block_s);
  };
  std::vector<Block> blocks(block_of(r.size() - 1) + 1,
                            {Eigen::Vector3d::Constant(2.0), Eigen::Vector3d::Constant(-2.0)});
  for (std::size_t i = 0; i < r.size(); ++i) {
    Block& b = blocks[block_of(i)];
    b.lo = b.lo.cwiseMin(ups[i]);
    b.hi = b.hi.cwiseMax(ups[i]);
  }
  std::vector<double> out(r.size());
  for (std::size_t i = 0; i < r.size(); ++i) {
    const std::size_t at = block_of(i);
    Block around{Eigen::Vector3d::Constant(2.0), Eigen::Vector3d::Constant(-2.0)};
    for (std::size_t k = at > 3 ? at - 3 : 0; k < std::min(at + 4, blocks.size()); ++k) {
      around.lo = around.lo.cwiseMin(blocks[k].lo);
      around.hi = around.hi.cwiseMax(blocks[k].hi);
    }
    out[i] = (around.hi - around.lo).norm();
  }
  return out;
}

// `bar_axis` in the sensor's frame; none without a gyroscope.
void wander_with_turns(std::vector<UpwardReading>& r,
                       const std::vector<Eigen::Vector3d>& ups,
                       const Eigen::Vector3d* bar_axis) {
  const std::vector<double> around = turn_around(r, ups);
  std::vector<Eigen::Vector3d> tilts;
  tilts.reserve(ups.size());
  for (const Eigen::Vector3d& up : ups) {
    tilts.push_back(bar_axis != nullptr
                        ? Eigen::Vector3d(up.dot(*bar_axis) * Eigen::Vector3d::UnitX())
                        : Eigen::Vector3d(Eigen::Vector3d::Zero()));
  }
  const std::vector<double> tilt_around = turn_around(r, tilts);
  for (std::size_t i = 0; i + 1 < r.size(); ++i) {
    const double turned = (ups[i + 1] - ups[i]).norm() * around[i];
    // Another attitude, other errors; after a whole turn they are the old ones. So they stray as
    // far as they are large, however often the sensor goes round.
    const double kept = std::exp(-0.5 * turned);
    r[i].error_kept = kept;
    r[i].wander += square(kAxisError_mps2) * (1.0 - kept * kept);
    r[i].lever_variance_m2 = square(kLever_m) * turned;
    const double dt = r[i + 1].t_s - r[i].t_s;
    if (bar_axis != nullptr) {
      const double tilted = (tilts[i + 1] - tilts[i]).norm() * tilt_around[i];
      r[i].lever_variance_m2 += std::min(square(kAlongBar_m) * tilted, kMostTilt_m2ps * dt);
    } else if (!r[i].quiet) {
      r[i].lever_variance_m2 += kUnseenTilt_m2ps * dt;
    }
  }
}

std::vector<double> doubt_blows(std::vector<UpwardReading>& r, const std::vector<double>& spread) {
  std::vector<double> jump(r.size(), 0.0);
  for (std::size_t i = 1; i < r.size(); ++i) {
    const double change = std::abs(r[i].accel_mps2 - r[i - 1].accel_mps2);
    jump[i] = std::max(jump[i], change);
    jump[i - 1] = std::max(jump[i - 1], change);
  }
  for (std::size_t i = 0; i < r.size(); ++i) {
    const double blow = std::max(jump[i], spread[i]);
    if (blow > kBlow_mps2) r[i].variance += square(kShareOfBlow * blow);
    if (r[i].clipped) r[i].variance += square(kClipped_mps2);
  }
  for (std::size_t i = 0; i < r.size(); ++i) jump[i] = std::max(jump[i], spread[i]);
  return jump;
}

// A landing that is clipped, or falls between two readings, changes the velocity by more than any
// reading says.
void let_blows_through(std::vector<UpwardReading>& r, const std::vector<double>& blows) {
  constexpr double kHard_mps2 = 20.0;
  constexpr double kMoreThanSeen = 2.0;
  for (std::size_t i = 0; i + 1 < r.size(); ++i) {
    double blow = std::max(blows[i], blows[i + 1]);
    if (blow < kHard_mps2) continue;
    if (r[i].clipped || r[i + 1].clipped) blow *= kMoreThanSeen;
    const double dt = r[i + 1].t_s - r[i].t_s;
    r[i].jerk_psd = std::max(r[i].jerk_psd, square(kMoreThanSeen * blow) / std::max(dt, 1e-3));
  }
}

// Without a gyroscope the specific force's length stands for its upward part. A bar that slows
// about as hard as gravity would slow it leaves next to none, and of either sign; the direction
// tells.
double upward_by_length(const Bin& bin, const Eigen::Vector3d& felt) {
  constexpr double kFalling_mps2 = 3.0;
  constexpr double kHeld_mps2 = 6.0;
  const double held =
      std::clamp((bin.size_mps2 - kFalling_mps2) / (kHeld_mps2 - kFalling_mps2), 0.0, 1.0);
  const double along = bin.accel_mps2.dot(felt);
  if (along < -0.5 * bin.size_mps2 && bin.size_mps2 < kStandardGravity_mps2) return along;
  return held * bin.size_mps2 + (1.0 - held) * along;
}

// Many turns about an axis read a little wrongly lose the vertical, unless the batch estimate found
// how wrongly.
bool keeps_upright(const Attitude& attitude) {
  return !attitude.spinning || attitude.refined;
}

// Of the specific force, gravity included.
double upward_part(const std::vector<Bin>& bins,
                   const Attitude* attitude,
                   const std::vector<Eigen::Vector3d>& felt,
                   std::size_t at) {
  const Bin& bin = bins[at];
  if (attitude == nullptr) return upward_by_length(bin, felt[at]);
  // What going round the bar's axis adds.
  const Bin& before = bins[at > 0 ? at - 1 : at];
  const Bin& after = bins[std::min(at + 1, bins.size() - 1)];
  const Eigen::Vector3d rate = bin.rate_radps - attitude->rate_bias_radps;
  const Eigen::Vector3d faster =
      (after.rate_radps - before.rate_radps) / std::max(after.t_s - before.t_s, 1e-6);
  const Eigen::Vector3d around =
      rate.cross(rate.cross(attitude->lever_m)) + faster.cross(attitude->lever_m);
  const Eigen::Vector3d force =
      attitude->scale * (bin.accel_mps2 - attitude->accel_offset_mps2) - around;
  return keeps_upright(*attitude) ? (attitude->world_from_sensor[at] * force).z() : force.norm();
}

}  // namespace

std::vector<UpwardReading> upward_readings(const std::vector<Bin>& bins,
                                           const Stillness& stillness,
                                           const Attitude* attitude,
                                           double gravity_mps2) {
  std::vector<CalmStretch> sure = stillness.still;
  std::erase_if(sure, [&](const CalmStretch& s) {
    return bins[s.last].t_s - bins[s.first].t_s < kSureRest_s;
  });
  const std::vector<char> still = marked(bins.size(), sure);
  const std::vector<char> lying = marked(bins.size(), stillness.still);
  const std::vector<char> quiet = marked(bins.size(), stillness.quiet);
  const std::vector<char> deep = deep_rest(bins, sure);
  std::vector<UpwardReading> out;
  std::vector<double> spread;
  std::vector<Eigen::Vector3d> ups;
  const std::vector<Eigen::Vector3d> felt = felt_vertical(bins);
  for (std::size_t i = 0; i < bins.size();) {
    std::size_t end = i + 1;
    while (deep[i] != 0 && end < bins.size() && deep[end] != 0 &&
           bins[end].t_s - bins[i].t_s < kRestEvery_s) {
      ++end;
    }
    UpwardReading r;
    double most_spread = 0.0;
    for (std::size_t k = i; k < end; ++k) {
      const Bin& b = bins[k];
      const double upward = upward_part(bins, attitude, felt, k);
      r.accel_mps2 += upward - gravity_mps2;
      r.t_s += b.t_s;
      r.clipped = r.clipped || b.clipped;
      most_spread = std::max(most_spread, b.spread_mps2);
    }
    const double count = static_cast<double>(end - i);
    r.accel_mps2 /= count;
    r.t_s /= count;
    r.still = still[i] != 0;
    r.lying = lying[i] != 0;
    r.quiet = quiet[i] != 0;
    r.hole_after = end < bins.size() && bins[end].t_s - bins[end - 1].t_s > kLongestHole_s;
    const Eigen::Vector3d up =
        attitude != nullptr
            ? Eigen::Vector3d(attitude->world_from_sensor[i].conjugate() * Eigen::Vector3d::UnitZ())
            : Eigen::Vector3d(Eigen::Vector3d::UnitZ());
    if (!out.empty()) {
      const double dt = r.t_s - out.back().t_s;
      const bool upright = attitude != nullptr && keeps_upright(*attitude);
      const double own = upright ? kWander_mps2 : kWanderWithoutGyro_mps2;
      out.back().wander = square(own) * dt;
    }
    ups.push_back(up);
    r.up = (attitude != nullptr ? up : felt[i]).cast<float>();
    if (attitude != nullptr) {
      for (std::size_t k = i; k < end; ++k) {
        r.yaw_radps += (bins[k].rate_radps - attitude->rate_bias_radps).dot(up) / count;
      }
    }
    out.push_back(r);
    spread.push_back(most_spread);
    i = end;
  }
  wander_with_turns(out, ups, attitude != nullptr ? &attitude->main_axis : nullptr);
  const double noise =
      std::clamp(std::min(noise_of(out), std::max(stillness.accel_noise_mps2, kLeastNoise_mps2)),
                 kLeastNoise_mps2,
                 kMostNoise_mps2);
  for (UpwardReading& r : out) r.variance = square(noise);
  add_rattle(out, Pace::kFast);
  const std::vector<double> blows = doubt_blows(out, spread);
  learn_jerk(out);
  // What slow readings show may be the motion's own sharp turns: it is counted as noise, but the
  // motion is left as free to follow them.
  add_rattle(out, Pace::kSlow);
  let_blows_through(out, blows);
  return out;
}

LogModel upward_model(const std::vector<UpwardReading>& r, const UpwardAssumptions& assumed) {
  // Before anything is seen. The height is counted from where the bar began.
  constexpr double kFirstHeight_m = 1e-3;
  constexpr double kFirstVelocity_mps = 0.3;
  constexpr double kFirstAccel_mps2 = 3.0;
  constexpr double kFirstBias_mps2 = 0.3;
  constexpr double kFirstLockout_m = 3.0;
  // The bar stays within arm's reach of where it began.
  constexpr double kReach_m = 1.0;
  constexpr double kFastest_mps = 0.8;
  constexpr double kBoundEvery_s = 0.5;
  constexpr double kStillVelocity_mps = 0.003;
  constexpr double kStillAccel_mps2 = 0.03;
  constexpr double kHeldEvery_s = 0.2;
  constexpr double kLockoutDrift_m2ps = 1e-5;
  constexpr double kForgetLockout_m2 = 4.0;

  LogModel model;
  const std::size_t n = r.size();
  model.steps.reserve(n);
  model.wander.reserve(n);
  model.readings.reserve(n + n / 8);
  model.first_variance << square(kFirstHeight_m), square(kFirstVelocity_mps),
      square(kFirstAccel_mps2), square(kFirstBias_mps2), square(kFirstLockout_m);
  auto lockout = assumed.lockouts.begin();
  double bound_s = -1e9;
  double held_s = -1e9;
  const auto read = [&](std::size_t i, int state, double value, double sigma) {
    StateReading<kLogStates> reading;
    reading.at = i;
    reading.row[state] = 1.0;
    reading.value = value;
    reading.variance = square(sigma);
    model.readings.push_back(reading);
  };
  for (std::size_t i = 0; i < n; ++i) {
    StateReading<kLogStates> accel;
    accel.at = i;
    accel.row[at::kAccel] = accel.row[at::kBias] = 1.0;
    accel.value = r[i].accel_mps2;
    accel.variance = r[i].variance;
    model.readings.push_back(accel);
    if (r[i].still) {
      read(i, at::kVelocity, 0.0, kStillVelocity_mps);
      read(i, at::kAccel, 0.0, kStillAccel_mps2);
    } else if (!assumed.rest_sigma_mps.empty() && assumed.rest_sigma_mps[i] > 0.0 &&
               r[i].t_s - held_s >= kHeldEvery_s) {
      read(i, at::kVelocity, 0.0, assumed.rest_sigma_scale * assumed.rest_sigma_mps[i]);
      held_s = r[i].t_s;
    }
    if (assumed.bounded && r[i].t_s - bound_s >= kBoundEvery_s) {
      read(i, at::kHeight, 0.0, kReach_m);
      read(i, at::kVelocity, 0.0, kFastest_mps);
      bound_s = r[i].t_s;
    }
    for (; lockout != assumed.lockouts.end() && lockout->at == i; ++lockout) {
      StateReading<kLogStates> top;
      top.at = i;
      top.row[at::kHeight] = 1.0;
      top.row[at::kLockout] = -1.0;
      top.variance = lockout->variance_m2;
      model.readings.push_back(top);
    }
    if (i + 1 == n) break;
    const double dt = r[i + 1].t_s - r[i].t_s;
    model.steps.push_back({dt, r[i].jerk_psd, r[i].lever_variance_m2, r[i].error_kept});
    model.wander.push_back(Eigen::Vector2d(r[i].wander, kLockoutDrift_m2ps * dt));
  }
  for (const std::size_t step : assumed.new_sets) model.wander[step][1] += kForgetLockout_m2;
  return model;
}

}  // namespace kinetics
