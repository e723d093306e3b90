#include "libkinetics/day/match_sets.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/day/check_match.h"
#include "libkinetics/day/clock.h"
#include "libkinetics/day/match_search.h"
#include "libkinetics/day/order_search.h"
#include "libkinetics/day/pair_cost.h"

namespace kinetics {
namespace {

using namespace day_detail;

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr std::size_t kMostAlternatives = 3;

/// Tells of the cheapest matching how sure it is.
class Verdict {
 public:
  explicit Verdict(const MatchQuestion& question) : q_(question) {}

  [[nodiscard]] DayMatch on(const std::vector<Story>& stories) {
    conclude(stories);
    add_notes();
    return std::move(out_);
  }

 private:
  void conclude(const std::vector<Story>& stories) {
    const Hypothesis& best = stories.front().best();
    tell(stories.front(), best);
    const std::vector<double> totals = totals_with_each(stories, best.total());
    for (std::size_t i = 0; i < q_.open_sets.size(); ++i) {
      weigh_alternatives(
          out_.sets[q_.open_sets[i]], totals.data() + i * (q_.open_rows.size() + 1), best.total());
    }
  }

  void tell(const Story& story, const Hypothesis& best) {
    std::vector<bool> lifted(q_.rows.size());
    for (std::size_t set = 0; set < q_.sets.size(); ++set) {
      SetMatch match{.row = best.row_of[set],
                     .like = std::nullopt,
                     .terms = terms_of(story, best, set),
                     .certainty = MatchCertainty::kCertain,
                     .lifter_certainty = MatchCertainty::kCertain,
                     .alternatives = {},
                     .corrected = q_.fixed.set[set]};
      if (match.row) {
        lifted[*match.row] = true;
      } else {
        match.like = looks_like(story, set);
      }
      out_.sets.push_back(std::move(match));
    }
    for (std::size_t row = 0; row < q_.rows.size(); ++row) {
      if (!lifted[row]) out_.missed.push_back(row);
    }
    out_.total_points = best.total();
    out_.recording_began_s = best.began_s;
    out_.clock_points = clock_points(best.began_s, q_.options);
  }

  // A row of the only lifter whose range and lockout are those of the set.
  [[nodiscard]] std::optional<std::size_t> looks_like(const Story& story, std::size_t set) const {
    std::optional<std::size_t> like;
    double least = q_.options.certain_points;
    double second = kNever;
    for (std::size_t row = 0; row < q_.rows.size(); ++row) {
      const Usual& usual = story.usual[set * q_.rows.size() + row];
      if (!usual.rom_m && !usual.lockout_m) continue;
      const double points = body_misfit(q_.sets[set], usual, q_.options);
      if (same_lifter(q_.rows, row, like)) {
        least = std::min(least, points);
      } else if (points < least) {
        second = like ? least : second;
        least = points;
        like = row;
      } else {
        second = std::min(second, points);
      }
    }
    if (second - least < q_.options.likely_points) like.reset();
    return like;
  }

  [[nodiscard]] std::vector<CostTerm> terms_of(const Story& story,
                                               const Hypothesis& best,
                                               std::size_t set) const {
    if (!best.row_of[set]) {
      if (q_.fixed.set[set]) return {{"no row's, as the coach says", 0.0}};
      return {{"an extra set", q_.options.extra_cost}};
    }
    const std::size_t row = *best.row_of[set];
    std::vector<CostTerm> terms =
        body_terms(q_.sets[set], q_.rows[row], story.usual[set * q_.rows.size() + row], q_.options);
    if (best.began_s && q_.rows[row].start_s) {
      terms.push_back(time_term(lateness_s(q_.sets[set], q_.rows[row], *best.began_s), q_.options));
    }
    if (best.overtaken[set] > 0) {
      terms.push_back(
          order_term(best.overtaken[set], late_cost(best.problem, best.overtaken[set])));
    }
    return terms;
  }

  // Least total of any matching in any story at any clock, for each open set with each open row
  // and, last, with none.
  [[nodiscard]] std::vector<double> totals_with_each(const std::vector<Story>& stories,
                                                     double best_total) const {
    std::vector<double> least(q_.open_sets.size() * (q_.open_rows.size() + 1), kNever);
    for (const Story& story : stories) {
      for (const Hypothesis& clock : story.clocks) {
        if (clock.total() > best_total + q_.options.certain_points) continue;
        const std::vector<double> totals = OrderSearch(clock.problem).totals_with_each();
        for (std::size_t i = 0; i < least.size(); ++i) {
          least[i] = std::min(least[i], totals[i] + clock.other_points);
        }
      }
    }
    return least;
  }

  // Whether somebody said what a row's lifter looks like: the roster, or the coach by naming a set.
  // What is learnt alone does not count: a day shifted by one row teaches itself.
  [[nodiscard]] bool told(std::size_t row) const {
    if (q_.rows[row].usual_rom_m || q_.rows[row].usual_lockout_m) return true;
    return std::any_of(q_.fixed.row_of.begin(), q_.fixed.row_of.end(), [&](const auto& fixed) {
      return same_lifter(q_.rows, fixed, row);
    });
  }

  void weigh_alternatives(SetMatch& set, const double* totals, double best_total) const {
    double other_lifter = kNever;
    const std::optional<std::size_t> whose = set.row ? set.row : set.like;
    for (std::size_t column = 0; column <= q_.open_rows.size(); ++column) {
      std::optional<std::size_t> row;
      if (column < q_.open_rows.size()) row = q_.open_rows[column];
      const double extra = std::max(0.0, totals[column] - best_total);
      if (row == set.row || extra == kNever) continue;
      set.alternatives.push_back({row, extra});
      if (!same_lifter(q_.rows, row, whose)) other_lifter = std::min(other_lifter, extra);
    }
    std::stable_sort(
        set.alternatives.begin(),
        set.alternatives.end(),
        [](const Alternative& a, const Alternative& b) { return a.extra_points < b.extra_points; });
    set.lifter_certainty = certainty_of(other_lifter, q_.options);
    if (!set.row && set.lifter_certainty == MatchCertainty::kCertain) {
      set.lifter_certainty = MatchCertainty::kLikely;
    }
    if (!set.alternatives.empty()) {
      set.certainty = certainty_of(set.alternatives.front().extra_points, q_.options);
      shorten(set.alternatives);
    }
    if (set.row ? told(*set.row) : !q_.guesses) return;
    set.certainty = std::max(set.certainty, MatchCertainty::kLikely);
    set.lifter_certainty = std::max(set.lifter_certainty, MatchCertainty::kLikely);
  }

  void shorten(std::vector<Alternative>& alternatives) const {
    std::size_t keep = 1;
    while (keep < std::min(alternatives.size(), kMostAlternatives) &&
           alternatives[keep].extra_points < q_.options.certain_points) {
      ++keep;
    }
    alternatives.resize(keep);
  }

  void add_notes() {
    if (!q_.options.recording_start_s || !out_.recording_began_s) return;
    const double off_s = *q_.options.recording_start_s - *out_.recording_began_s;
    if (std::abs(off_s) < q_.options.time_sigma_s) return;
    out_.notes.push_back({NoteKind::kDecision,
                          fmt::format("The recording's clock was taken to be {:.1f} min {} the "
                                      "sheet's, since the sets agree with its times then.",
                                      std::abs(off_s) / 60.0,
                                      off_s < 0.0 ? "behind" : "ahead of")});
  }

  const MatchQuestion& q_;
  DayMatch out_;
};

}  // namespace

DayMatch match_sets(const std::vector<FoundSet>& sets,
                    const std::vector<DayRow>& rows,
                    const std::vector<Correction>& corrections,
                    const MatchOptions& options) {
  check_match(sets, options);
  const MatchQuestion question = match_question(sets, rows, corrections, options);
  Notes notes;
  const std::vector<Story> stories = match_stories(question, notes);
  DayMatch out = Verdict(question).on(stories);
  out.notes.insert(out.notes.begin(), notes.begin(), notes.end());
  return out;
}

}  // namespace kinetics
