#pragma once

#include <cstddef>
#include <optional>
#include <vector>

/// Whether two recordings show the same lifts, told by when rises begin. Internal.

namespace kinetics {

struct SharedRises {
  double later_s = 0.0;      ///< by so much the second's rises must be moved to fall on the first's
  std::size_t together = 0;  ///< so many then fall together
  int sets = 0;              ///< of so many sets: between them are long breaks
  double share = 0.0;        ///< of the rises in the time that both filmed
};

/// The times at which rises begin are a rhythm that no other hour has. Nothing when they do not
/// fall together anywhere, or as well elsewhere. Times in s, ascending.
[[nodiscard]] std::optional<SharedRises> shared_rises(const std::vector<double>& first,
                                                      const std::vector<double>& second);

}  // namespace kinetics
