#pragma once

#include <cstddef>
#include <optional>
#include <vector>

/// The cheapest one-to-one matching of two ordered lists in which little is out of order.
///
/// Internal to the room.

namespace kinetics::day_detail {

struct OrderProblem {
  std::size_t sets = 0;
  std::size_t rows = 0;
  std::vector<double> pair;  ///< sets × rows: cost of the pair, infinite when it may not be
  /// sets × rows: later rows known to be matched by earlier sets already, besides those found here.
  std::vector<int> overtaken;
  double extra = 0.0;   ///< a set without a row
  double missed = 0.0;  ///< a row without a set
  double late = 0.0;    ///< a pair with one later row matched by an earlier set
  double later = 0.0;   ///< for each more of those
  int window = 7;       ///< rows before the next one that are kept in mind, 1 or more
};

[[nodiscard]] double late_cost(const OrderProblem& problem, int overtaken);

struct OrderSolution {
  double total = 0.0;
  std::vector<std::optional<std::size_t>> row_of;  ///< by set
  std::vector<int> overtaken;                      ///< by set: later rows matched earlier
};

/// Least total of all matchings in which no row is matched after one that stands `window` or more
/// below it. Of equally cheap ones always the same.
///
/// Method  State: sets dealt with, rows dealt with, and which of the last `window` rows were passed
///         over so far. Of the rows in the window that are no longer to be had, all were matched,
///         which tells how many a late one comes after. Exact. n·m·2^w states.
class OrderSearch {
 public:
  explicit OrderSearch(const OrderProblem& problem);

  [[nodiscard]] double total() const { return to_go_.front(); }
  [[nodiscard]] OrderSolution solution() const;

  /// sets × (rows + 1): least total of all matchings that hold the pair; last column: that leave
  /// the set without a row.
  [[nodiscard]] std::vector<double> totals_with_each() const;

 private:
  struct Move {
    std::size_t to = 0;  ///< state
    double cost = 0.0;
    std::optional<std::size_t> row;
    bool takes_set = false;
    int overtaken = 0;
  };
  [[nodiscard]] std::size_t state(std::size_t set, std::size_t row, unsigned passed) const;
  template <typename Visit>
  void visit_moves(std::size_t set, std::size_t row, unsigned passed, Visit visit) const;

  const OrderProblem& problem_;
  unsigned window_;
  std::vector<double> to_go_;  ///< least cost from each state to the end
};

/// Numbers that the search keeps for a problem of this size.
[[nodiscard]] double states_of(std::size_t sets, std::size_t rows, int window);

}  // namespace kinetics::day_detail
