#include "libkinetics/training/compare.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <map>
#include <utility>

#include <Eigen/QR>
#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/roster/names.h"
#include "libkinetics/training/day_model.h"
#include "libkinetics/training/reliability.h"
#include "libkinetics/training/wave.h"

namespace kinetics {
namespace {

constexpr double kTenth = 0.1;
// One slope serves all; lifters' own ones differ from it by some 15 % (common practice, no source).
constexpr double kSlopeSpread = 0.15;

bool within(const CompareSpan& span, CalendarDay day) {
  return span.from <= day && day <= span.to;
}

/// A session, and where it stands in the model.
struct Row {
  const LiftedSession* session = nullptr;
  std::size_t lifter = 0;
  bool before = false;
  bool after = false;
  double load = 0.0;  ///< over the lifter's usual one, less 1
};

struct Table {
  std::vector<std::string> lifters;
  std::vector<double> usual_kg;
  std::vector<Row> rows;
  std::vector<CalendarDay> days;
  Notes notes;
};

std::size_t lifter_at(Table& table, const std::string& name) {
  for (std::size_t i = 0; i < table.lifters.size(); ++i) {
    if (same_name(table.lifters[i], name)) return i;
  }
  table.lifters.push_back(name);
  return table.lifters.size() - 1;
}

/// Same variant, and a load as near as asked for.
bool alike(const LiftedSession& a, const LiftedSession& b, double match_share) {
  return same_set_up(a.set_up, b.set_up) &&
         std::abs(a.mean_load_kg - b.mean_load_kg) <=
             match_share * std::max(a.mean_load_kg, b.mean_load_kg) * (1.0 + 1e-9);
}

/// Whether the other span has something to hold this session against.
bool matched(const std::vector<const LiftedSession*>& all,
             const LiftedSession& session,
             const CompareSpan& other,
             double match_share) {
  return std::any_of(all.begin(), all.end(), [&](const LiftedSession* s) {
    return within(other, s->day) && same_name(s->lifter, session.lifter) &&
           alike(*s, session, match_share);
  });
}

std::vector<const LiftedSession*> measured_sessions(const std::vector<LiftedSession>& sessions,
                                                    const std::string& lift,
                                                    Notes& notes) {
  std::vector<const LiftedSession*> out;
  int not_measured = 0;
  for (const LiftedSession& s : sessions) {
    if (!same_name(s.lift, lift)) continue;
    if (s.velocity_mps.ok()) {
      out.push_back(&s);
    } else {
      ++not_measured;
    }
  }
  if (not_measured > 0) {
    notes.push_back({NoteKind::kCaution,
                     fmt::format("{} session{} without a measured rep {} left out.",
                                 not_measured,
                                 not_measured == 1 ? "" : "s",
                                 not_measured == 1 ? "is" : "are")});
  }
  return out;
}

/// Rows of the lifters who have matched sessions in both spans. `context`: sessions of neither span
/// count too, for the scatter.
Table rows_for(const std::vector<const LiftedSession*>& all,
               const CompareSpan& before,
               const CompareSpan& after,
               const CompareOptions& options,
               bool context) {
  Table table;
  int unmatched = 0;
  std::vector<Row> rows;
  for (const LiftedSession* s : all) {
    const bool in_before = within(before, s->day);
    const bool in_after = within(after, s->day);
    Row row{.session = s};
    row.before = in_before && matched(all, *s, after, options.match_share);
    row.after = in_after && matched(all, *s, before, options.match_share);
    if ((in_before || in_after) && !row.before && !row.after) ++unmatched;
    if (!row.before && !row.after && (!context || in_before || in_after)) continue;
    rows.push_back(row);
  }
  if (unmatched > 0) {
    table.notes.push_back(
        {NoteKind::kDecision,
         fmt::format("{} session{} left out: nothing at a like load, bar, box and chains or bands "
                     "in the other span.",
                     unmatched,
                     unmatched == 1 ? " is" : "s are")});
  }
  std::map<std::string, std::pair<int, int>> count;
  for (const Row& row : rows) {
    auto& [first, second] = count[folded(row.session->lifter)];
    first += row.before ? 1 : 0;
    second += row.after ? 1 : 0;
  }
  for (Row& row : rows) {
    const auto& [first, second] = count[folded(row.session->lifter)];
    if (first == 0 || second == 0) continue;
    row.lifter = lifter_at(table, row.session->lifter);
    table.rows.push_back(row);
  }
  return table;
}

void find_usual_loads(Table& table) {
  table.usual_kg.assign(table.lifters.size(), 0.0);
  std::vector<double> count(table.lifters.size(), 0.0);
  for (const Row& row : table.rows) {
    if (!row.before && !row.after) continue;
    table.usual_kg[row.lifter] += row.session->mean_load_kg;
    count[row.lifter] += 1.0;
  }
  for (std::size_t i = 0; i < count.size(); ++i) table.usual_kg[i] /= count[i];
  for (Row& row : table.rows) {
    row.load = row.session->mean_load_kg / table.usual_kg[row.lifter] - 1.0;
  }
}

int day_at(Table& table, CalendarDay day) {
  const auto known = std::find(table.days.begin(), table.days.end(), day);
  const auto at = known - table.days.begin();
  if (known == table.days.end()) table.days.push_back(day);
  return static_cast<int>(at);
}

/// The model's columns: lifters, then their changes when fitted, then the load's slope.
struct Design {
  DayData data = {};
  bool with_change = false;
  bool with_slope = false;
  [[nodiscard]] Eigen::Index slope_column() const { return data.x.cols() - 1; }
};

Eigen::MatrixXd columns(const Table& table, bool with_change, bool with_slope) {
  const auto k = static_cast<Eigen::Index>(table.lifters.size());
  const auto n = static_cast<Eigen::Index>(table.rows.size());
  Eigen::MatrixXd x = Eigen::MatrixXd::Zero(n, k * (with_change ? 2 : 1) + (with_slope ? 1 : 0));
  for (Eigen::Index i = 0; i < n; ++i) {
    const Row& row = table.rows[static_cast<std::size_t>(i)];
    const auto lifter = static_cast<Eigen::Index>(row.lifter);
    x(i, lifter) = 1.0;
    if (with_change && row.after) x(i, k + lifter) = 1.0;
    if (with_slope) x(i, x.cols() - 1) = row.load;
  }
  return x;
}

Design design_of(Table& table, bool with_change) {
  Design out{.with_change = with_change};
  const auto n = static_cast<Eigen::Index>(table.rows.size());
  out.data.y.resize(n);
  out.data.own_variance.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Row& row = table.rows[static_cast<std::size_t>(i)];
    out.data.y[i] = row.session->velocity_mps.value();
    out.data.own_variance[i] = std::pow(row.session->velocity_mps.sigma(), 2);
    out.data.day.push_back(day_at(table, row.session->day));
  }
  out.data.x = columns(table, with_change, true);
  out.with_slope = out.data.x.colPivHouseholderQr().rank() == out.data.x.cols();
  if (!out.with_slope) out.data.x = columns(table, with_change, false);
  return out;
}

/// Weights on the sessions that make one lifter's change: what is fitted, or the difference of the
/// means with the loads' effect taken off.
Eigen::VectorXd change_weights(const Table& table,
                               const Design& design,
                               const DayFit& fit,
                               std::size_t lifter) {
  const auto k = static_cast<Eigen::Index>(table.lifters.size());
  Eigen::VectorXd c = Eigen::VectorXd::Zero(design.data.x.cols());
  if (design.with_change) {
    c[k + static_cast<Eigen::Index>(lifter)] = 1.0;
    return weights_of(design.data, fit, c);
  }
  double first = 0.0;
  double second = 0.0;
  for (const Row& row : table.rows) {
    if (row.lifter != lifter) continue;
    first += row.before ? 1.0 : 0.0;
    second += row.after ? 1.0 : 0.0;
  }
  Eigen::VectorXd a = Eigen::VectorXd::Zero(design.data.x.rows());
  double load = 0.0;
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const Row& row = table.rows[i];
    if (row.lifter != lifter) continue;
    const double weight = (row.after ? 1.0 / second : 0.0) - (row.before ? 1.0 / first : 0.0);
    a[static_cast<Eigen::Index>(i)] = weight;
    load += weight * row.load;
  }
  if (!design.with_slope) return a;
  c[design.slope_column()] = load;
  return a - weights_of(design.data, fit, c);
}

/// Degrees of freedom between days and within them.
struct Freedom {
  double days = 1.0;
  double rows = 1.0;
};

Freedom freedom_of(const Table& table, const Design& design) {
  const double between = 1.0 + (design.with_change ? 1.0 : 0.0) + (design.with_slope ? 1.0 : 0.0);
  const double left = static_cast<double>(design.data.x.rows() - design.data.x.cols());
  Freedom out;
  out.days = std::max(1.0, static_cast<double>(table.days.size()) - between);
  out.rows = std::max(1.0, left - out.days);
  return out;
}

/// Later less earlier mean load of one lifter, in parts of the usual one.
double load_step(const Table& table, std::size_t lifter) {
  std::array<double, 2> sums{};
  std::array<double, 2> counts{};
  for (const Row& row : table.rows) {
    if (row.lifter != lifter || (!row.before && !row.after)) continue;
    sums[row.after ? 1U : 0U] += row.load;
    counts[row.after ? 1U : 0U] += 1.0;
  }
  return sums[1] / counts[1] - sums[0] / counts[0];
}

/// What a slope of the lifter's own adds to the variance of the change.
double slope_variance(const Table& table,
                      const Design& design,
                      const DayFit& fit,
                      std::size_t lifter) {
  if (!design.with_slope) return 0.0;
  const double slope = fit.beta[design.slope_column()];
  return std::pow(kSlopeSpread * slope * load_step(table, lifter), 2);
}

VelocityChange change_of(double difference, const VarianceParts& parts, double freedom) {
  VelocityChange out{.difference_mps = difference, .freedom = freedom};
  out.half_width_mps = student_t_95(freedom) * std::sqrt(parts.sum());
  if (difference > out.half_width_mps) out.change = ChangeWord::kFaster;
  if (difference < -out.half_width_mps) out.change = ChangeWord::kSlower;
  return out;
}

double combined_freedom(const VarianceParts& parts, const Freedom& freedom) {
  // The means' own errors are known well from many reps; they are counted as the scatter's.
  const double scatter = parts.scatter + parts.own;
  const double spread = parts.day * parts.day / freedom.days + scatter * scatter / freedom.rows;
  if (!(spread > 0.0)) return freedom.rows;
  return std::max(1.0, std::pow(parts.day + scatter, 2) / spread);
}

[[noreturn]] void refuse(const CompareSpan& before,
                         const CompareSpan& after,
                         const std::string& what,
                         const std::string& mend) {
  throw Error(ErrorCode::kUsage, fmt::format("{} against {}", after.name, before.name), what, mend);
}

std::vector<LifterChange> lifter_changes(const Table& table,
                                         const Design& design,
                                         const DayFit& fit,
                                         std::vector<Eigen::VectorXd>& weights) {
  std::vector<LifterChange> out;
  const Freedom freedom = freedom_of(table, design);
  for (std::size_t i = 0; i < table.lifters.size(); ++i) {
    weights.push_back(change_weights(table, design, fit, i));
    VarianceParts parts = variance_of(design.data, fit, weights.back());
    parts.own += slope_variance(table, design, fit, i);
    LifterChange one{.lifter = table.lifters[i], .load_kg = table.usual_kg[i], .change = {}};
    one.change =
        change_of(weights.back().dot(design.data.y), parts, combined_freedom(parts, freedom));
    double before = 0.0;
    for (const Row& row : table.rows) {
      if (row.lifter != i) continue;
      one.sessions_before += row.before ? 1 : 0;
      one.sessions_after += row.after ? 1 : 0;
      const double slope = design.with_slope ? fit.beta[design.slope_column()] : 0.0;
      if (row.before) before += row.session->velocity_mps.value() - slope * row.load;
    }
    one.before_mps = before / one.sessions_before;
    one.after_mps = one.before_mps + one.change.difference_mps;
    out.push_back(std::move(one));
  }
  return out;
}

void describe_scatter(const Design& design,
                      const DayFit& fit,
                      const CompareOptions& options,
                      Comparison& out) {
  out.typical_error_mps = std::sqrt(fit.scatter_variance + design.data.own_variance.mean());
  out.day_sigma_mps = std::sqrt(fit.day_variance);
  std::vector<double> levels;
  for (const LifterChange& lifter : out.lifters) levels.push_back(lifter.before_mps);
  out.between_sd_mps = standard_deviation(levels);
  out.worthwhile_mps =
      options.worthwhile_mps.value_or(kSmallestWorthwhileShare * out.between_sd_mps);
  if (!options.worthwhile_mps && levels.size() < 3) {
    out.notes.push_back({NoteKind::kCaution,
                         "Fewer than three lifters do not tell what is worthwhile: give "
                         "--worthwhile."});
  }
  if (design.with_slope) out.slope_mps_per_tenth = kTenth * fit.beta[design.slope_column()];
}

void list_sessions(const Table& table, const Design& design, const DayFit& fit, Comparison& out) {
  const double slope = design.with_slope ? fit.beta[design.slope_column()] : 0.0;
  for (const Row& row : table.rows) {
    out.sessions.push_back({.lifted = *row.session,
                            .at_load_mps = row.session->velocity_mps.value() - slope * row.load,
                            .after = row.after,
                            .before = row.before});
  }
  std::stable_sort(out.sessions.begin(), out.sessions.end(), [](const auto& a, const auto& b) {
    return a.lifted.day < b.lifted.day;
  });
}

void note_what_cannot_be_told(const Table& table, const Design& design, Comparison& out) {
  if (design.with_slope) return;
  double most = 0.0;
  for (const Row& row : table.rows) most = std::max(most, std::abs(row.load));
  constexpr double kSameLoad = 0.01;
  if (most < kSameLoad) return;
  out.notes.push_back({NoteKind::kCaution,
                       "Loads differ and what they cost cannot be told from the change itself: "
                       "the difference holds both."});
}

}  // namespace

std::string_view in_words(ChangeWord change) {
  switch (change) {
    case ChangeWord::kFaster:
      return "faster";
    case ChangeWord::kSlower:
      return "slower";
    case ChangeWord::kNoClearChange:
      return "no clear change";
  }
  return "no clear change";
}

Comparison compare(const std::vector<LiftedSession>& sessions,
                   const std::string& lift,
                   const CompareSpan& before,
                   const CompareSpan& after,
                   const CompareOptions& options) {
  Comparison out{.lift = lift,
                 .before = before,
                 .after = after,
                 .team = {},
                 .lifters = {},
                 .slope_mps_per_tenth = std::nullopt,
                 .sessions = {},
                 .notes = {}};
  const auto all = measured_sessions(sessions, lift, out.notes);
  const bool single_day =
      days_in(before, lift, sessions).size() < 2 || days_in(after, lift, sessions).size() < 2;
  Table table = rows_for(all, before, after, options, single_day);
  out.notes.insert(out.notes.end(), table.notes.begin(), table.notes.end());
  if (table.lifters.empty()) {
    refuse(before,
           after,
           fmt::format("no lifter has a session of '{}' at a like load in both", lift),
           "Choose other days, or widen --match");
  }
  find_usual_loads(table);
  const Design design = design_of(table, !single_day);
  constexpr Eigen::Index kLeastLeft = 2;
  if (design.data.x.rows() - design.data.x.cols() < kLeastLeft) {
    refuse(
        before,
        after,
        fmt::format("{} sessions are too few to tell a change from scatter", design.data.x.rows()),
        "Measure more sessions, or choose longer spans");
  }
  const DayFit fit = fit_days(design.data);
  std::vector<Eigen::VectorXd> weights;
  out.lifters = lifter_changes(table, design, fit, weights);
  Eigen::VectorXd team = Eigen::VectorXd::Zero(design.data.x.rows());
  for (const Eigen::VectorXd& w : weights) team += w / static_cast<double>(weights.size());
  out.team = change_of(
      team.dot(design.data.y), variance_of(design.data, fit, team), freedom_of(table, design).days);
  describe_scatter(design, fit, options, out);
  list_sessions(table, design, fit, out);
  note_what_cannot_be_told(table, design, out);
  std::sort(out.lifters.begin(), out.lifters.end(), [](const auto& a, const auto& b) {
    return a.lifter < b.lifter;
  });
  return out;
}

std::vector<CalendarDay> days_in(const CompareSpan& span,
                                 const std::string& lift,
                                 const std::vector<LiftedSession>& sessions) {
  std::vector<CalendarDay> out;
  for (const LiftedSession& s : sessions) {
    if (same_name(s.lift, lift) && s.velocity_mps.ok() && within(span, s.day)) out.push_back(s.day);
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

std::vector<CompareSpan> planned_waves(const TrainingPlan& plan,
                                       const std::string& lift,
                                       const std::vector<LiftedSession>& sessions) {
  std::vector<CompareSpan> out;
  for (const WavePlan& wave : plan.waves) {
    if (!same_name(wave.lift, lift)) continue;
    // A session may be held a few days late: up to half of the way to the next.
    const std::chrono::days slack{(wave.every_days - 1) / 2};
    int last = 0;
    for (const WaveSession& s : wave_sessions(wave, plan.meet)) {
      if (s.wave != last) {
        out.push_back({.name = fmt::format("wave {}", out.size() + 1),
                       .from = s.day - slack,
                       .to = s.day + slack});
        last = s.wave;
      }
      out.back().to =
          std::max(out.back().to, s.day + (s.second_day ? std::chrono::days{0} : slack));
    }
  }
  std::erase_if(out,
                [&](const CompareSpan& span) { return days_in(span, lift, sessions).empty(); });
  return out;
}

std::vector<CompareSpan> lifted_waves(const std::string& lift,
                                      const std::vector<LiftedSession>& sessions) {
  std::map<std::string, std::pair<double, int>> usual;
  for (const LiftedSession& s : sessions) {
    if (!same_name(s.lift, lift)) continue;
    auto& [sum, count] = usual[folded(s.lifter)];
    sum += s.mean_load_kg;
    ++count;
  }
  std::map<CalendarDay, std::pair<double, int>> by_day;
  for (const LiftedSession& s : sessions) {
    if (!same_name(s.lift, lift)) continue;
    const auto& [sum, count] = usual[folded(s.lifter)];
    by_day[s.day].first += s.mean_load_kg / (sum / count);
    ++by_day[s.day].second;
  }
  std::vector<CompareSpan> out;
  constexpr double kFall = 0.04;
  std::optional<double> last;
  for (const auto& [day, of_day] : by_day) {
    const double load = of_day.first / of_day.second;
    if (!last || load < *last - kFall) {
      out.push_back({.name = fmt::format("wave {}", out.size() + 1), .from = day, .to = day});
    }
    out.back().to = day;
    last = load;
  }
  return out;
}

}  // namespace kinetics
