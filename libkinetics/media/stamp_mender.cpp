#include "libkinetics/media/stamp_mender.h"

#include <algorithm>
#include <cmath>

namespace kinetics {
namespace {

// A step this long is believed only after a look at all that can be held back.
constexpr double kDoubtfulPeriods = 50.0;
// No recording pauses for a million pictures (an hour at 240 Hz): such a stamp is garbage.
constexpr double kLongestPeriods = 1e6;

}  // namespace

std::optional<MendedStamp> StampMender::pop() {
  // One picture beyond the front is always wanted: a stamp that lies ahead of its successor is the
  // wrong one of the two, and only the successor can tell.
  if (waiting_.empty() || (waiting_.size() < 2 && !closed_)) return std::nullopt;
  if (started_ && waiting_.size() < kLookAhead && !closed_ && follows(0) &&
      since_first(*waiting_.front()) > last_ + kDoubtfulPeriods * period_) {
    return std::nullopt;
  }
  if (!started_) return pop_first();
  if (front_is_good()) {
    ++counts_.good;
    return emit(since_first(*waiting_.front()), false);
  }
  return mend_front();
}

double StampMender::since_first(std::int64_t ticks) const {
  // Damaged files hold stamps anywhere in 64 bits: the difference may not overflow.
  return static_cast<double>(static_cast<long double>(ticks) - static_cast<long double>(origin_));
}

void StampMender::go_on_at(std::int64_t ticks) {
  waiting_.clear();
  closed_ = false;
  constexpr double kJustBefore = 0.5;
  last_ = since_first(ticks) - kJustBefore;
}

bool StampMender::follows(std::size_t place) const {
  if (!waiting_[place]) return false;
  const double ticks = since_first(*waiting_[place]);
  return ticks > last_ && ticks < last_ + kLongestPeriods * period_;
}

bool StampMender::front_is_good() const {
  if (!follows(0)) return false;
  for (std::size_t i = 1; i < waiting_.size(); ++i) {
    if (!follows(i)) continue;
    return *waiting_[i] >= *waiting_.front();
  }
  return true;
}

// Several stamps in good order among themselves but none that follows the last: the clock was set.
bool StampMender::clock_restarted() const {
  if (waiting_.size() < kLookAhead) return false;
  for (std::size_t i = 0; i < waiting_.size(); ++i) {
    if (!waiting_[i] || follows(i)) return false;
    if (i > 0 && *waiting_[i] <= *waiting_[i - 1]) return false;
  }
  return true;
}

MendedStamp StampMender::emit(double ticks_since_first, bool repaired) {
  waiting_.pop_front();
  last_ = ticks_since_first;
  const long double stored = static_cast<long double>(origin_) + std::round(ticks_since_first);
  constexpr long double kWidest = 9.0e18L;
  return {static_cast<std::int64_t>(std::clamp(stored, -kWidest, kWidest)),
          ticks_since_first,
          repaired};
}

std::optional<MendedStamp> StampMender::pop_first() {
  const auto known = std::find_if(
      waiting_.begin(), waiting_.end(), [](const auto& ticks) { return ticks.has_value(); });
  if (known == waiting_.end() && waiting_.size() < kLookAhead && !closed_) return std::nullopt;

  const bool has_stamp = waiting_.front().has_value();
  const auto ahead = static_cast<double>(known - waiting_.begin());
  origin_ = known == waiting_.end()
                ? 0
                : **known - static_cast<std::int64_t>(std::round(std::min(ahead * period_, 1e15)));
  started_ = true;
  ++(has_stamp ? counts_.good : counts_.missing);
  return emit(0.0, !has_stamp);
}

std::optional<MendedStamp> StampMender::mend_front() {
  std::size_t next = 1;
  while (next < waiting_.size() && !follows(next)) ++next;
  const bool next_known = next < waiting_.size();
  if (!next_known && waiting_.size() < kLookAhead && !closed_) return std::nullopt;

  ++(waiting_.front() ? counts_.disordered : counts_.missing);
  if (next_known) {
    const double span = since_first(*waiting_[next]) - last_;
    return emit(last_ + span / static_cast<double>(next + 1), true);
  }
  if (clock_restarted()) {
    ++counts_.restarts;
    const double time = last_ + period_;
    origin_ = *waiting_.front() - static_cast<std::int64_t>(std::round(time));
    return emit(time, true);
  }
  return emit(last_ + period_, true);
}

}  // namespace kinetics
