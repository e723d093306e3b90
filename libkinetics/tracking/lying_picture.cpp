#include "libkinetics/tracking/lying_picture.h"

#include <algorithm>

namespace kinetics {
namespace {

/// Shorter ways are steps and sway, m.
constexpr double kLeastWayM = 0.18;
constexpr int kFewestAcross = 4;
/// Of a lift that lies, so many ways may seem to go up and down: the walk-out and the way back.
constexpr int kMostUpright = 2;

/// Counts ways in opposite directions, one after the other.
class Ways {
 public:
  void take(double at_m) {
    if (!begun_) low_m_ = high_m_ = at_m;
    begun_ = true;
    low_m_ = std::min(low_m_, at_m);
    high_m_ = std::max(high_m_, at_m);
    const bool fell = heading_ >= 0 && high_m_ - at_m >= kLeastWayM;
    const bool rose = heading_ <= 0 && at_m - low_m_ >= kLeastWayM;
    if (!fell && !rose) return;
    ++count_;
    heading_ = fell ? -1 : 1;
    low_m_ = high_m_ = at_m;
  }
  [[nodiscard]] int count() const { return count_; }

 private:
  bool begun_ = false;
  int heading_ = 0;  ///< 1 towards more, -1 towards less, 0 not known yet
  int count_ = 0;
  double low_m_ = 0.0, high_m_ = 0.0;  ///< since the last way was counted
};

}  // namespace

bool seems_to_lie(const BarPath& path) {
  Ways across;
  Ways upright;
  for (const PathPoint& p : path.points) {
    if (!p.seen) continue;
    across.take(p.x_m);
    upright.take(p.y_m);
  }
  return across.count() >= kFewestAcross && upright.count() <= kMostUpright;
}

}  // namespace kinetics
