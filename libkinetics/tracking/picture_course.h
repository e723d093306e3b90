#pragma once

#include <functional>
#include <vector>

/// When the pictures of a moving bar were taken, of several moments that each may have been taken
/// at. Internal.

namespace kinetics {

struct TimedHeight {
  double stamp_s = 0.0;
  double height_m = 0.0;
  double sigma_m = 0.0;
};

/// A moment at which a picture may have been taken, and how unlikely that is beforehand (minus the
/// log of its probability).
struct TakenAt {
  double t_s = 0.0;
  double cost = 0.0;
};

/// The moments (four at most) at which the picture `now` may have been taken when the one `before`
/// was at `taken_before_s`. Moments earlier than that are passed over.
using Moments = std::function<std::vector<TakenAt>(
    const TimedHeight& before, const TimedHeight& now, double taken_before_s)>;

struct PictureCourse {
  std::vector<double> taken_s;   ///< of each sighting, never falling
  std::vector<bool> exceptions;  ///< where no moment explains it, but something else
  double cost = 0.0;             ///< of all that was seen, minus a log-likelihood
};

/// The likeliest moments under a jerk that is white noise. A bar that is stopped by something, and
/// something else that is taken for it once or from there on, are explanations as well, each at its
/// price.
///
/// Method  Viterbi's search over the last three choices, with one Kalman filter for each way that
///         survives.
[[nodiscard]] PictureCourse likeliest_course(const std::vector<TimedHeight>& seen,
                                             const Moments& moments);

}  // namespace kinetics
