#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "tests/end_to_end/score.h"

/// The accuracy table, its totals, and whether the targets hold.

namespace accuracy {

/// What a row holds; `what` names its first column.
void print_head(std::ostream& out, const std::string& what);
void print_row(std::ostream& out, const Score& score);

/// One target with what was reached. True when it holds.
bool print_target(
    std::ostream& out, const std::string& what, double got, double limit, const char* unit);

/// One table's figures as a JSON object in text.
[[nodiscard]] std::string figures_as_json(const Score& score);

/// Which of the conditions that have targets of their own a clip meets.
struct Conditions {
  bool square_1080p = false;
  bool square_1080p60 = false;
  bool clean_1080p60 = false;
};

class Report {
 public:
  void add(const Score& score, Conditions conditions = {});
  void print_totals(std::ostream& out) const;
  /// Every target with what was reached. True when all hold, but for those whose names begin with
  /// one of `known_short`.
  bool print_targets(std::ostream& out, const std::vector<std::string>& known_short = {}) const;
  [[nodiscard]] std::string as_json() const;

 private:
  std::vector<Score> scores_;
  Score all_, square_1080p60_, square_1080p_, clean_1080p60_;
};

}  // namespace accuracy
