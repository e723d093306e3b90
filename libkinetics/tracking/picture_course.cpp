#include "libkinetics/tracking/picture_course.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>

#include <Eigen/Core>

#include "libkinetics/core/error.h"
#include "libkinetics/tracking/jerk_step.h"

namespace kinetics {
namespace {

using Eigen::Matrix3d;
using Eigen::Vector3d;

/// A speed rep's jerk of some 60 m/s³ lasting 0.1 s, m²/s⁵.
constexpr double kJerkPsd = 400.0;
/// Sightings err by this at least, m, and by so much more than they say.
constexpr double kLeastSigmaM = 0.0006;
constexpr double kTimesSigma = 1.5;
/// What explanations other than a moment's cost.
constexpr double kJoltCost = 7.0;
constexpr double kWrongCost = 9.0;
constexpr double kShiftCost = 9.0;
/// A jolt leaves little known of velocity and acceleration, m/s and m/s².
constexpr double kJoltMps = 1.5;
constexpr double kJoltMps2 = 40.0;
/// Another edge of the disc is so far from the one before, m.
constexpr double kShiftM = 0.03;
constexpr double kSameS = 1e-9;
/// After a longer hole all begins anew, s.
constexpr double kHoleS = 0.25;
/// Ways so much dearer than the cheapest are given up.
constexpr double kGivenUp = 30.0;

constexpr unsigned kChoices = 4;
constexpr unsigned kRecent = kChoices * kChoices * kChoices;

/// One way to explain what was seen so far.
struct Way {
  Vector3d state = Vector3d::Zero();
  Matrix3d cov = Matrix3d::Zero();
  double taken_s = 0.0;
  double cost = std::numeric_limits<double>::infinity();
  unsigned recent = 0;  ///< its last choices
  std::int32_t before = -1;
  bool exception = false;  ///< in the last picture
};

struct Trace {
  double taken_s;
  std::int32_t before;
  bool exception;
};

double variance_of(const TimedHeight& seen) {
  const double sigma_m = kTimesSigma * std::max(kLeastSigmaM, seen.sigma_m);
  return sigma_m * sigma_m;
}

/// The jolt may have come anywhere between the pictures.
void jolt(Way& way, double dt) {
  const double mps2 = kJoltMps * kJoltMps;
  way.cov(0, 0) += mps2 * dt * dt / 3.0;
  way.cov(0, 1) += 0.5 * mps2 * dt;
  way.cov(1, 0) = way.cov(0, 1);
  way.cov(1, 1) += mps2;
  way.cov(2, 2) += kJoltMps2 * kJoltMps2;
  way.cost += kJoltCost;
  way.exception = true;
}

void update(Way& way, const TimedHeight& seen) {
  const double variance = way.cov(0, 0) + variance_of(seen);
  const double off_m = seen.height_m - way.state(0);
  way.cost += 0.5 * (off_m * off_m / variance + std::log(variance));
  const Vector3d gain = way.cov.col(0) / variance;
  way.state += gain * off_m;
  way.cov -= (gain * gain.transpose()).eval() * variance;
}

Way begun_at(const TimedHeight& seen, double taken_s, double cost) {
  Way way;
  way.state << seen.height_m, 0.0, 0.0;
  way.cov.diagonal() << variance_of(seen), 1.0, 100.0;
  way.taken_s = taken_s;
  way.cost = cost;
  return way;
}

class Search {
 public:
  Search(const std::vector<TimedHeight>& seen, const Moments& moments)
      : seen_(seen), moments_(moments), ways_{begun_at(seen[0], seen[0].stamp_s, 0.0)} {
    traces_.push_back({{seen[0].stamp_s, -1, false}});
    for (std::size_t i = 1; i < seen.size(); ++i) go_on(i);
  }

  [[nodiscard]] PictureCourse cheapest() const {
    std::size_t at = index_of_cheapest();
    PictureCourse out{.taken_s = std::vector<double>(seen_.size()),
                      .exceptions = std::vector<bool>(seen_.size()),
                      .cost = ways_[at].cost};
    for (std::size_t i = seen_.size(); i-- > 0;) {
      out.taken_s[i] = traces_[i][at].taken_s;
      out.exceptions[i] = traces_[i][at].exception;
      at = static_cast<std::size_t>(std::max(0, traces_[i][at].before));
    }
    return out;
  }

 private:
  [[nodiscard]] std::size_t index_of_cheapest() const {
    const auto best = std::min_element(
        ways_.begin(), ways_.end(), [](const Way& a, const Way& b) { return a.cost < b.cost; });
    return static_cast<std::size_t>(best - ways_.begin());
  }

  void go_on(std::size_t i) {
    std::array<Way, kRecent> best;
    if (seen_[i].stamp_s - seen_[i - 1].stamp_s > kHoleS) {
      const std::size_t from = index_of_cheapest();
      // What is before a hole says of the moment after it no more than the stamps do.
      const auto choices = moments_(seen_[i - 1], seen_[i], ways_[from].taken_s);
      const double taken_s = std::max(choices.front().t_s, ways_[from].taken_s);
      best[0] = begun_at(seen_[i], taken_s, ways_[from].cost);
      best[0].before = static_cast<std::int32_t>(from);
    } else {
      for (std::size_t k = 0; k < ways_.size(); ++k) go_on_from(k, i, best);
    }
    double least = std::numeric_limits<double>::infinity();
    for (const Way& way : best) least = std::min(least, way.cost);
    ways_.clear();
    traces_.emplace_back();
    for (const Way& way : best) {
      if (way.before < 0 || way.cost > least + kGivenUp) continue;
      ways_.push_back(way);
      traces_.back().push_back({way.taken_s, way.before, way.exception});
    }
    KINETICS_ASSERT(!ways_.empty());
  }

  void go_on_from(std::size_t k, std::size_t i, std::array<Way, kRecent>& best) {
    const Way& from = ways_[k];
    const auto offer = [&](const Way& way) {
      Way& rival = best[way.recent];
      if (way.cost < rival.cost) rival = way;
    };
    unsigned choice = 0;
    bool gone_on = false;
    for (const TakenAt& moment : moments_(seen_[i - 1], seen_[i], from.taken_s)) {
      const double dt_s = moment.t_s - from.taken_s;
      const unsigned own = std::min(choice++, kChoices - 1);
      if (dt_s < -kSameS) continue;
      Way way = from;
      way.before = static_cast<std::int32_t>(k);
      way.recent = (kChoices * from.recent + own) % kRecent;
      way.taken_s = std::max(moment.t_s, from.taken_s);
      way.cost += moment.cost;
      way.exception = false;
      step_white_jerk(std::max(0.0, dt_s), kJerkPsd, way.state, way.cov);
      if (!gone_on) {
        Way jolted = way;
        jolt(jolted, dt_s);
        update(jolted, seen_[i]);
        offer(jolted);
        Way shifted = way;
        shifted.cov(0, 0) += kShiftM * kShiftM;
        shifted.cost += kShiftCost;
        shifted.exception = true;
        update(shifted, seen_[i]);
        offer(shifted);
        Way wrong = way;
        wrong.exception = true;
        wrong.cost += kWrongCost + 0.5 * std::log(way.cov(0, 0) + variance_of(seen_[i]));
        offer(wrong);
      }
      gone_on = true;
      update(way, seen_[i]);
      offer(way);
    }
  }

  const std::vector<TimedHeight>& seen_;
  const Moments& moments_;
  std::vector<Way> ways_;
  std::vector<std::vector<Trace>> traces_;
};

}  // namespace

PictureCourse likeliest_course(const std::vector<TimedHeight>& seen, const Moments& moments) {
  return seen.empty() ? PictureCourse{} : Search(seen, moments).cheapest();
}

}  // namespace kinetics
