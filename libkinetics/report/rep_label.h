#pragma once

#include <string>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/kinematics/rep.h"

/// The first columns of a table of reps. Internal to the room.

namespace kinetics {

/// Which rep a row is of; the set only when there are several, which leaves room for words.
class RepLabels {
 public:
  explicit RepLabels(const std::vector<Rep>& reps)
      : with_set_(!reps.empty() && reps.front().set != reps.back().set) {}

  [[nodiscard]] std::string heading() const { return with_set_ ? "Set Rep" : "Rep"; }
  [[nodiscard]] std::string blank() const { return std::string(with_set_ ? 7 : 3, ' '); }
  [[nodiscard]] std::string of(const Rep& rep) const {
    return with_set_ ? fmt::format("{:>3} {:>3}", rep.set, rep.number)
                     : fmt::format("{:>3}", rep.number);
  }

 private:
  bool with_set_;
};

}  // namespace kinetics
