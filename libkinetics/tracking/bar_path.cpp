#include "libkinetics/tracking/bar_path.h"

#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics {

void check(const BarPath& path) {
  for (std::size_t i = 0; i < path.points.size(); ++i) {
    const PathPoint& p = path.points[i];
    if (!std::isfinite(p.t_s) || !std::isfinite(p.x_m) || !std::isfinite(p.y_m)) {
      throw Error(ErrorCode::kInternal,
                  fmt::format("bar path, point {}", i),
                  "time or position is not a number",
                  "This is a fault in kinetics; please report it with the input");
    }
    if (i > 0 && p.t_s <= path.points[i - 1].t_s) {
      throw Error(
          ErrorCode::kInternal,
          fmt::format("bar path, point {}", i),
          fmt::format("time goes from {:.6f} s back to {:.6f} s", path.points[i - 1].t_s, p.t_s),
          "Times must strictly increase");
    }
  }
}

}  // namespace kinetics
