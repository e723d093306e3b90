#include "libkinetics/day/split_sets.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/day/middle.h"

namespace kinetics {
namespace {

using day_detail::middle;

/// Reps from `first` up to, not including, `last`.
struct Span {
  std::size_t first = 0;
  std::size_t last = 0;
};

void check(const SetTable& table, const std::vector<DiscSeen>& discs, const SplitOptions& options) {
  if (!discs.empty() && discs.size() != table.reps.size()) {
    throw Error(ErrorCode::kUsage,
                "split_sets",
                fmt::format("{} discs for {} reps", discs.size(), table.reps.size()),
                "Give one for each rep, or none");
  }
  for (const double value :
       {options.rest_s, options.hand_over_s, options.disc_change, options.lockout_change_m}) {
    if (!(value > 0.0)) {
      throw Error(ErrorCode::kUsage,
                  "split_sets",
                  fmt::format("an option is {}", value),
                  "Rests and changes must be above zero");
    }
  }
  for (std::size_t i = 0; i < table.reps.size(); ++i) {
    const Rep& rep = table.reps[i];
    const double not_before = i == 0 ? rep.start_s : table.reps[i - 1].end_s;
    if (rep.start_s >= not_before && rep.end_s >= rep.start_s) continue;
    throw Error(ErrorCode::kUsage,
                fmt::format("split_sets at {:.2f} s", rep.start_s),
                fmt::format("rep {} overlaps the one before it or ends before it starts", i + 1),
                "Sort the reps by their times");
  }
}

class Splitter {
 public:
  Splitter(const SetTable& table, const std::vector<DiscSeen>& discs, const SplitOptions& options)
      : reps_(table.reps), discs_(discs), options_(options) {}

  std::vector<FoundSet> split() {
    std::size_t first = 0;
    for (std::size_t i = 1; i <= reps_.size(); ++i) {
      if (i < reps_.size() && pause_before(i) < options_.rest_s && view(i) == view(i - 1)) continue;
      split_at_changes({first, i});
      first = i;
    }
    return std::move(sets_);
  }

 private:
  [[nodiscard]] double pause_before(std::size_t i) const {
    return reps_[i].start_s - reps_[i - 1].end_s;
  }
  [[nodiscard]] int view(std::size_t i) const { return discs_.empty() ? 1 : discs_[i].view; }

  [[nodiscard]] std::optional<double> radius_px(Span span) const {
    std::vector<double> values;
    for (std::size_t i = span.first; i < span.last && !discs_.empty(); ++i) {
      if (discs_[i].radius_px) values.push_back(*discs_[i].radius_px);
    }
    return middle(values);
  }

  [[nodiscard]] std::optional<double> lockout_m(Span span) const {
    std::vector<double> values;
    for (std::size_t i = span.first; i < span.last; ++i) {
      if (reps_[i].kind == RepKind::kFull) values.push_back(reps_[i].top_height_m);
    }
    return middle(values);
  }

  [[nodiscard]] std::optional<double> rom_m(Span span) const {
    std::vector<double> values;
    for (std::size_t i = span.first; i < span.last; ++i) {
      if (reps_[i].kind == RepKind::kFull && reps_[i].rom_m) {
        values.push_back(reps_[i].rom_m.value());
      }
    }
    return middle(values);
  }

  // How much the two sides of a pause differ, 1 at the limit.
  [[nodiscard]] double difference(Span before, Span after) const {
    double out = 0.0;
    const auto radius_before = radius_px(before);
    const auto radius_after = radius_px(after);
    if (radius_before && radius_after && *radius_before > 0.0) {
      out = std::abs(*radius_after / *radius_before - 1.0) / options_.disc_change;
    }
    const auto lockout_before = lockout_m(before);
    const auto lockout_after = lockout_m(after);
    if (lockout_before && lockout_after) {
      out = std::max(out, std::abs(*lockout_after - *lockout_before) / options_.lockout_change_m);
    }
    return out;
  }

  // Reps that follow each other without a rest. Each part is looked through again, since two
  // changes may lie in one.
  void split_at_changes(Span run) {
    std::vector<Span> todo{run};
    while (!todo.empty()) {
      const Span span = todo.back();
      todo.pop_back();
      double greatest = 1.0;
      std::size_t where = span.first;
      for (std::size_t i = span.first + 1; i < span.last; ++i) {
        const bool lone = i == span.first + 1 || i + 1 == span.last;
        if (pause_before(i) < options_.hand_over_s * (lone ? 2.0 : 1.0)) continue;
        const double differs = difference({span.first, i}, {i, span.last});
        if (differs <= greatest) continue;
        greatest = differs;
        where = i;
      }
      if (where == span.first) {
        add(span);
        continue;
      }
      todo.push_back({where, span.last});
      todo.push_back({span.first, where});
    }
  }

  void add(Span span) {
    sets_.push_back({.first_rep = span.first,
                     .reps = static_cast<int>(span.last - span.first),
                     .start_s = reps_[span.first].start_s,
                     .end_s = reps_[span.last - 1].end_s,
                     .view = view(span.first),
                     .rom_m = rom_m(span),
                     .lockout_m = lockout_m(span),
                     .disc_radius_px = radius_px(span)});
  }

  const std::vector<Rep>& reps_;
  const std::vector<DiscSeen>& discs_;
  const SplitOptions& options_;
  std::vector<FoundSet> sets_;
};

}  // namespace

std::vector<FoundSet> split_sets(const SetTable& table,
                                 const std::vector<DiscSeen>& discs,
                                 const SplitOptions& options) {
  check(table, discs, options);
  return Splitter(table, discs, options).split();
}

}  // namespace kinetics
