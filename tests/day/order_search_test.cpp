// The search against every matching there is, priced one by one by its definition: a set without
// a row, a row without a set, pairs, and for each pair how many earlier sets have later rows.
// Seeded random costs; all sizes up to 6 × 6 (13327 matchings).
#include "libkinetics/day/order_search.h"

#include <algorithm>
#include <limits>
#include <random>

#include <catch2/catch.hpp>

using namespace kinetics::day_detail;

namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

using Rows = std::vector<std::optional<std::size_t>>;

double price(const OrderProblem& problem, const Rows& row_of) {
  double sum = problem.missed * static_cast<double>(problem.rows);
  for (std::size_t set = 0; set < problem.sets; ++set) {
    if (!row_of[set]) {
      sum += problem.extra;
      continue;
    }
    const std::size_t at = set * problem.rows + *row_of[set];
    int overtaken = problem.overtaken[at];
    for (std::size_t other = 0; other < set; ++other) {
      if (row_of[other] && *row_of[other] > *row_of[set]) ++overtaken;
    }
    sum += problem.pair[at] - problem.missed;
    if (overtaken > 0) sum += problem.late + problem.later * (overtaken - 1);
  }
  return sum;
}

template <typename Visit>
void visit_matchings(const OrderProblem& problem, Rows& row_of, std::size_t set, Visit visit) {
  if (set == problem.sets) {
    visit(row_of);
    return;
  }
  row_of[set] = std::nullopt;
  visit_matchings(problem, row_of, set + 1, visit);
  for (std::size_t row = 0; row < problem.rows; ++row) {
    const auto end = row_of.begin() + static_cast<std::ptrdiff_t>(set);
    if (std::find(row_of.begin(), end, row) != end) continue;
    row_of[set] = row;
    visit_matchings(problem, row_of, set + 1, visit);
  }
  row_of[set] = std::nullopt;
}

OrderProblem random_problem(std::mt19937& random, std::size_t sets, std::size_t rows) {
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  OrderProblem out{.sets = sets,
                   .rows = rows,
                   .pair = {},
                   .overtaken = {},
                   .extra = 6.0 * unit(random),
                   .missed = 4.0 * unit(random),
                   .late = 3.0 * unit(random),
                   .later = unit(random),
                   .window = static_cast<int>(std::max<std::size_t>(rows, 1))};
  for (std::size_t i = 0; i < sets * rows; ++i) {
    out.pair.push_back(unit(random) < 0.1 ? kNever : 8.0 * unit(random));
    out.overtaken.push_back(unit(random) < 0.2 ? 2 : 0);
  }
  return out;
}

}  // namespace

TEST_CASE("the search finds the cheapest of all matchings, and of those with each pair", "[day]") {
  std::mt19937 random(20261125);
  for (std::size_t sets = 0; sets <= 6; ++sets) {
    for (std::size_t rows = 0; rows <= 6; ++rows) {
      CAPTURE(sets, rows);
      for (int i = 0; i < (sets * rows < 36 ? 10 : 3); ++i) {
        const OrderProblem problem = random_problem(random, sets, rows);
        double least = kNever;
        std::vector<double> with_each(sets * (rows + 1), kNever);
        Rows row_of(sets);
        visit_matchings(problem, row_of, 0, [&](const Rows& tried) {
          const double cost = price(problem, tried);
          least = std::min(least, cost);
          for (std::size_t set = 0; set < sets; ++set) {
            double& entry = with_each[set * (rows + 1) + tried[set].value_or(rows)];
            entry = std::min(entry, cost);
          }
        });
        const OrderSearch search(problem);
        CHECK(search.total() == Approx(least).margin(1e-9));
        CHECK(price(problem, search.solution().row_of) == Approx(least).margin(1e-9));
        const std::vector<double> found = search.totals_with_each();
        REQUIRE(found.size() == with_each.size());
        for (std::size_t k = 0; k < found.size(); ++k) {
          CAPTURE(k);
          if (with_each[k] == kNever) {
            CHECK(found[k] == kNever);
          } else {
            CHECK(found[k] == Approx(with_each[k]).margin(1e-9));
          }
        }
      }
    }
  }
}

TEST_CASE("with a narrow window the search finds the cheapest of what fits in it", "[day]") {
  // A matching fits when no row is matched after one that stands two or more below it.
  std::mt19937 random(7);
  for (int i = 0; i < 20; ++i) {
    OrderProblem problem = random_problem(random, 5, 6);
    problem.window = 2;
    double least = kNever;
    Rows row_of(problem.sets);
    visit_matchings(problem, row_of, 0, [&](const Rows& tried) {
      std::size_t furthest = 0;
      bool fits = true;
      for (const auto& row : tried) {
        if (!row) continue;
        fits = fits && furthest <= *row + 2;
        furthest = std::max(furthest, *row + 1);
      }
      if (fits) least = std::min(least, price(problem, tried));
    });
    CHECK(OrderSearch(problem).total() == Approx(least).margin(1e-9));
  }
}
