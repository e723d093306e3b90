#include <cmath>
#include <cstddef>
#include <iterator>
#include <set>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "libkinetics/history/lifted_set.h"
#include "libkinetics/logbook/set_csv.h"
#include "libkinetics/logbook/set_csv_row.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/session/rep_quantities.h"
#include "libkinetics/sheet/csv_table.h"

namespace kinetics {
namespace {

using Row = std::vector<std::string>;
using SetKey = std::tuple<std::string, std::string, std::string, int>;

constexpr std::string_view kWrittenOfSet[] = {"date",
                                              "lifter",
                                              "lift",
                                              "bar",
                                              "box_height_m",
                                              "load_kg",
                                              "load_lb",
                                              "chains",
                                              "set",
                                              "start",
                                              "planned_reps",
                                              "best_single_kg",
                                              "notes",
                                              "source",
                                              "session"};

/// The shortest text that reads back as the same number.
std::string exactly(double value) {
  return fmt::format("{}", value);
}

template <typename T>
std::string or_empty(const std::optional<T>& value) {
  return value ? fmt::format("{}", *value) : std::string();
}

/// Pounds that make the same kilograms again to the last bit; round ones when they do.
double pounds_of(double kg) {
  const double pounds = kg / kKilogramsPerPound;
  const double round = std::round(pounds * 1e6) / 1e6;
  for (const double candidate :
       {round, pounds, std::nextafter(pounds, 0.0), std::nextafter(pounds, 1e9)}) {
    if (candidate * kKilogramsPerPound == kg) return candidate;
  }
  return pounds;
}

/// "2 x heavy chain, 2 x light band" with the sign that parts pieces in a cell.
std::string pieces(const std::string& accommodating) {
  std::string out = accommodating;
  for (std::size_t at = out.find(", "); at != std::string::npos; at = out.find(", ", at)) {
    out.replace(at, 2, " + ");
  }
  return out;
}

Row cells_of_set(const LiftedSet& set, int number, const NamedSession& from) {
  const SetPlan& plan = *from.session.options.plan;
  const bool pounds = set.unit == MassUnit::kPound;
  return {set.day,
          set.lifter,
          set.lift,
          set.bar,
          or_empty(set.box_height_m),
          pounds ? "" : exactly(set.stated_load_kg),
          pounds ? exactly(pounds_of(set.stated_load_kg)) : "",
          pieces(set.accommodating),
          std::to_string(number),
          set.start,
          or_empty(plan.planned_reps),
          or_empty(plan.best_single_kg),
          plan.notes,
          from.session.provenance.source_name,
          from.file};
}

void add_rep(const Rep& rep, Row& row) {
  row.push_back(std::to_string(rep.number));
  row.emplace_back(in_words(rep.kind));
  for (const double value : {rep.start_s, rep.end_s, rep.bottom_height_m, rep.top_height_m}) {
    row.push_back(exactly(value));
  }
  std::string reasons;
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    if (m.ok() || m.reason() == Reason::kNotGiven) continue;
    reasons +=
        fmt::format("{}{}: {}", reasons.empty() ? "" : "; ", name_of(q), in_words(m.reason()));
  }
  row.push_back(std::move(reasons));
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    row.push_back(m.ok() ? exactly(m.value()) : "");
    row.push_back(m.ok() ? exactly(m.sigma()) : "");
  }
}

Row headings() {
  Row out(std::begin(kWrittenOfSet), std::end(kWrittenOfSet));
  out.insert(out.end(), std::begin(kRepHeadings), std::end(kRepHeadings));
  for (const Quantity& q : kQuantities) {
    out.push_back(name_of(q));
    out.push_back(name_of(q, "_sigma"));
  }
  return out;
}

/// The set's own number, or the next that no other set of that day, lifter and lift has.
int free_number(const LiftedSet& set, std::set<SetKey>& taken) {
  int number = set.set;
  while (!taken.emplace(set.day, folded(set.lifter), folded(set.lift), number).second) ++number;
  return number;
}

}  // namespace

std::string to_set_csv(const std::vector<NamedSession>& sessions) {
  CsvTable table{.rows = {headings()}, .carriage_returns = true};
  std::set<SetKey> taken;
  for (const NamedSession& named : sessions) {
    auto rep = named.session.reps.begin();  // the sets hold the session's reps in their order
    for (const LiftedSet& set : lifted_sets(named.session)) {
      const Row of_set = cells_of_set(set, free_number(set, taken), named);
      for (std::size_t i = 0; i < set.reps.size(); ++i, ++rep) {
        Row row = of_set;
        add_rep(*rep, row);
        table.rows.push_back(std::move(row));
      }
    }
  }
  return to_text(table);
}

}  // namespace kinetics
