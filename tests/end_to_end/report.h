#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "tests/end_to_end/score.h"

/// The accuracy table, its totals, and whether the targets hold.

namespace accuracy {

class Report {
 public:
  void add(const Score& score, bool square_1080p60, bool square_1080p);
  void print_head(std::ostream& out) const;
  void print_row(std::ostream& out, const Score& score) const;
  void print_totals(std::ostream& out) const;
  /// Every target with what was reached. True when all hold.
  bool print_targets(std::ostream& out) const;
  [[nodiscard]] std::string as_json() const;

 private:
  std::vector<Score> scores_;
  Score all_, square_1080p60_, square_1080p_;
};

}  // namespace accuracy
