#include "libkinetics/day/order_search.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "libkinetics/core/error.h"

namespace kinetics::day_detail {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

// Passed-over masks that can occur once `row` rows were dealt with.
unsigned masks(std::size_t row, unsigned window) {
  return 1U << std::min<std::size_t>(row, window);
}

}  // namespace

double late_cost(const OrderProblem& problem, int overtaken) {
  if (overtaken == 0) return 0.0;
  return problem.late + problem.later * (overtaken - 1);
}

double states_of(std::size_t sets, std::size_t rows, int window) {
  return std::ldexp(static_cast<double>(sets + 1) * static_cast<double>(rows + 1), window);
}

OrderSearch::OrderSearch(const OrderProblem& problem)
    : problem_(problem), window_(static_cast<unsigned>(problem.window)) {
  KINETICS_ASSERT(problem.window >= 1);
  const std::size_t n = problem.sets;
  const std::size_t m = problem.rows;
  to_go_.assign(((n + 1) * (m + 1)) << window_, kNever);
  for (std::size_t set = n + 1; set-- > 0;) {
    for (std::size_t row = m + 1; row-- > 0;) {
      for (unsigned passed = 0; passed < masks(row, window_); ++passed) {
        double best = kNever;
        if (set == n && row == m) best = problem.missed * std::popcount(passed);
        visit_moves(set, row, passed, [&](const Move& move) {
          best = std::min(best, move.cost + to_go_[move.to]);
        });
        to_go_[state(set, row, passed)] = best;
      }
    }
  }
}

std::size_t OrderSearch::state(std::size_t set, std::size_t row, unsigned passed) const {
  return ((set * (problem_.rows + 1) + row) << window_) | passed;
}

template <typename Visit>
void OrderSearch::visit_moves(std::size_t set,
                              std::size_t row,
                              unsigned passed,
                              Visit visit) const {
  const unsigned all = (1U << window_) - 1U;
  // The row that leaves the window unmatched is missed for good.
  const double leaves = ((passed << 1U) & ~all) != 0U ? problem_.missed : 0.0;
  const bool more_rows = row < problem_.rows;
  if (set < problem_.sets) {
    const double* const pair = problem_.pair.data() + set * problem_.rows;
    const int* const known = problem_.overtaken.data() + set * problem_.rows;
    if (more_rows) {
      visit(Move{.to = state(set + 1, row + 1, (passed << 1U) & all),
                 .cost = pair[row] + late_cost(problem_, known[row]) + leaves,
                 .row = row,
                 .takes_set = true,
                 .overtaken = known[row]});
    }
    for (unsigned rest = passed; rest != 0U; rest &= rest - 1U) {
      const int back = std::countr_zero(rest);
      const std::size_t late = row - 1 - static_cast<std::size_t>(back);
      const unsigned below = (1U << static_cast<unsigned>(back)) - 1U;
      const int overtaken = back - std::popcount(passed & below) + known[late];
      visit(Move{.to = state(set + 1, row, passed & ~(below + 1U)),
                 .cost = pair[late] + late_cost(problem_, overtaken),
                 .row = late,
                 .takes_set = true,
                 .overtaken = overtaken});
    }
    visit(Move{.to = state(set + 1, row, passed),
               .cost = problem_.extra,
               .row = std::nullopt,
               .takes_set = true,
               .overtaken = 0});
  }
  if (more_rows) {
    visit(Move{.to = state(set, row + 1, ((passed << 1U) | 1U) & all),
               .cost = leaves,
               .row = std::nullopt,
               .takes_set = false,
               .overtaken = 0});
  }
}

OrderSolution OrderSearch::solution() const {
  OrderSolution out{.total = total(),
                    .row_of = std::vector<std::optional<std::size_t>>(problem_.sets),
                    .overtaken = std::vector<int>(problem_.sets, 0)};
  std::size_t set = 0;
  std::size_t row = 0;
  unsigned passed = 0;
  while (set < problem_.sets || row < problem_.rows) {
    Move best;
    double least = kNever;
    visit_moves(set, row, passed, [&](const Move& move) {
      if (!(move.cost + to_go_[move.to] < least)) return;
      least = move.cost + to_go_[move.to];
      best = move;
    });
    if (best.takes_set) {
      out.row_of[set] = best.row;
      out.overtaken[set] = best.overtaken;
    }
    passed = static_cast<unsigned>(best.to & ((std::size_t{1} << window_) - 1U));
    const std::size_t place = best.to >> window_;
    set = place / (problem_.rows + 1);
    row = place % (problem_.rows + 1);
  }
  return out;
}

std::vector<double> OrderSearch::totals_with_each() const {
  const std::size_t columns = problem_.rows + 1;
  std::vector<double> out(problem_.sets * columns, kNever);
  std::vector<double> so_far(to_go_.size(), kNever);
  so_far.front() = 0.0;
  for (std::size_t set = 0; set <= problem_.sets; ++set) {
    for (std::size_t row = 0; row <= problem_.rows; ++row) {
      for (unsigned passed = 0; passed < masks(row, window_); ++passed) {
        const double here = so_far[state(set, row, passed)];
        if (here == kNever) continue;
        visit_moves(set, row, passed, [&](const Move& move) {
          so_far[move.to] = std::min(so_far[move.to], here + move.cost);
          if (!move.takes_set) return;
          double& least = out[set * columns + move.row.value_or(problem_.rows)];
          least = std::min(least, here + move.cost + to_go_[move.to]);
        });
      }
    }
  }
  return out;
}

}  // namespace kinetics::day_detail
