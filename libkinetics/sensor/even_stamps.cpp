#include "libkinetics/sensor/even_stamps.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::sensor_detail {
namespace {

// Rows over which our own clock follows the stamps: long enough to even out packets, short enough
// to follow a clock that drifts.
constexpr double kFollowRows = 200.0;
constexpr double kStandstill_s = 30.0;
constexpr std::size_t kStandstillRows = 5000;

void count(LeftOut& tally, const LogRow& row) {
  if (tally.rows++ == 0) tally.line = row.line;
}

}  // namespace

EvenStamps::EvenStamps(const LogPlan& plan) : plan_(plan), even_(!plan.time), step_s_(plan.step_s) {
  if (even_) return;
  coarse_ = plan.time->coarse;
  hole_s_ = 2.5 * plan.time->group_s + 5.0 * step_s_;
  // A clock that shows whole seconds is read late by up to one; a packet's stamp is not.
  if (plan.time->resolution_s > 0.9 * plan.time->group_s) {
    shift_s_ = std::max(0.0, plan.time->group_s - step_s_);
  }
}

double EvenStamps::sigma_s() const {
  if (!coarse_ || groups_ == 0) return 0.0;
  return std::sqrt(squares_ / static_cast<double>(groups_));
}

void EvenStamps::add(const std::vector<LogRow>& sorted, std::vector<LogRow>& timed) {
  for (const LogRow& row : sorted) take(row, timed);
}

void EvenStamps::take(const LogRow& row, std::vector<LogRow>& timed) {
  if (even_) {
    timed.push_back(row);
    timed.back().t_s = static_cast<double>(row_++) * step_s_;
    return;
  }
  if (group_.empty() || row.t_s != group_.front().t_s) {
    close_group(&row, timed);
    group_.push_back(row);
    return;
  }
  if (!coarse_ && std::any_of(group_.begin(), group_.end(), [&](const LogRow& other) {
        return other.values == row.values;
      })) {
    count(duplicates_, row);
    return;
  }
  group_.push_back(row);
  if (group_.size() > kStandstillRows &&
      static_cast<double>(group_.size()) * step_s_ > kStandstill_s) {
    throw Error(ErrorCode::kUnreadable,
                fmt::format("{}:{}", plan_.file, group_.front().line),
                fmt::format("from here on the time stands still for {} rows", group_.size()),
                "Give the rate with --rate, or name another column of times with --columns");
  }
}

void EvenStamps::close_group(const LogRow* next, std::vector<LogRow>& timed) {
  if (group_.empty()) return;
  if (coarse_) {
    lay_out_coarse(next != nullptr);
  } else if (group_.size() > 1) {
    lay_out_fine(next);
  }
  for (LogRow& row : group_) emit(row, timed);
  group_.clear();
}

void EvenStamps::lay_out_fine(const LogRow* next) {
  const double stamp_s = group_.front().t_s;
  const double rows = static_cast<double>(group_.size());
  const double before_s = begun_ ? stamp_s - last_s_ : 0.0;
  double from_s = stamp_s;
  double step_s = step_s_;
  if (before_s > 0.6 * rows * step_s_) {
    // They were held back and stamped on arrival: they belong into the time before.
    step_s = std::min(step_s_, before_s / rows);
    from_s = stamp_s - (rows - 1.0) * step_s;
  } else if (next != nullptr) {
    step_s = std::min(step_s_, (next->t_s - stamp_s) / rows);
  }
  for (std::size_t i = 0; i < group_.size(); ++i) {
    if (i > 0) count(laid_out_, group_[i]);
    group_[i].t_s = from_s + static_cast<double>(i) * step_s;
  }
}

// The last group is not `whole`: the log ended before its stamp was used up.
void EvenStamps::lay_out_coarse(bool whole) {
  const double stamp_s = group_.front().t_s + shift_s_;
  const double rows = static_cast<double>(group_.size());
  double step_s = step_s_;
  double end_s = stamp_s;
  if (begun_) {
    const double expected_s = last_s_ + rows * step_s_;
    const double ahead_s = stamp_s - expected_s;
    if (ahead_s < hole_s_) {
      const double follow = whole ? 1.0 - std::exp(-rows / kFollowRows) : 0.0;
      end_s = expected_s + std::max(follow * ahead_s, -0.5 * rows * step_s_);
      step_s = (end_s - last_s_) / rows;
      step_s_ = std::clamp(step_s_ + 0.25 * follow * follow * ahead_s / rows,
                           0.8 * plan_.step_s,
                           1.25 * plan_.step_s);
      squares_ += ahead_s * ahead_s * follow;  // what of the jump gets through
      ++groups_;
    }
  }
  for (std::size_t i = 0; i < group_.size(); ++i) {
    group_[i].t_s = end_s - (rows - 1.0 - static_cast<double>(i)) * step_s;
  }
}

void EvenStamps::emit(LogRow& row, std::vector<LogRow>& timed) {
  if (begun_ && row.t_s <= last_s_) {
    count(duplicates_, row);
    return;
  }
  begun_ = true;
  last_s_ = row.t_s;
  timed.push_back(row);
}

void EvenStamps::finish(std::vector<LogRow>& timed) {
  close_group(nullptr, timed);
}

}  // namespace kinetics::sensor_detail
