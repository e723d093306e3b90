#include "libkinetics/sensor/row_order.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "libkinetics/core/error.h"

namespace kinetics::sensor_detail {
namespace {

// Loggers that send in packets mix up a packet or two, not more.
constexpr std::size_t kWindow = 64;

void count(LeftOut& tally, const LogRow& row) {
  if (tally.rows++ == 0) tally.line = row.line;
}

}  // namespace

// A clock of 16, 24 or 32 bits begins again at zero, and a clock reading at midnight.
void RowOrder::carry_on(LogRow& row) {
  const TimeColumn& time = *plan_.time;
  const double raw_s = row.t_s + plan_.origin_s;
  if (begun_ && raw_s < previous_s_) {
    if (time.written) {
      if (!time.wall_clock && previous_s_ - raw_s > 0.5 * 86400.0) {
        offset_s_ += 86400.0;
        ++overruns_;
      }
    } else {
      for (const double counts : {65536.0, 16777216.0, 4294967296.0}) {
        const double span_s = counts * time.to_s;
        if (previous_s_ < span_s && previous_s_ > 0.98 * span_s && raw_s >= 0.0 &&
            raw_s < 0.02 * span_s) {
          offset_s_ += span_s;
          ++overruns_;
          break;
        }
      }
    }
  }
  begun_ = true;
  previous_s_ = raw_s;
  row.t_s += offset_s_;
}

void RowOrder::insert(const LogRow& row) {
  if (held_.empty() || row.t_s >= held_.back().t_s) {
    if (row.t_s >= emitted_s_) {
      late_in_a_row_ = 0;
      held_.push_back(row);
      return;
    }
  }
  std::size_t place = held_.size();
  while (place > 0 && held_[place - 1].t_s > row.t_s) --place;
  if (row.t_s < emitted_s_ || held_.size() - place > kWindow) {
    if (late_in_a_row_++ == 0) first_late_ = row;
    count(stray_, row);
    if (late_in_a_row_ > kWindow) {
      throw Error(ErrorCode::kUnreadable,
                  fmt::format("{}:{}", plan_.file, first_late_.line),
                  fmt::format("time goes back by {:.6g} s and goes on from there",
                              std::max(emitted_s_, held_.empty() ? emitted_s_ : held_.back().t_s) -
                                  first_late_.t_s),
                  "Where two recordings follow one another in a file, cut it in two there; else "
                  "sort the rows by time, or give --rate");
    }
    return;
  }
  late_in_a_row_ = 0;
  count(moved_, row);
  held_.insert(held_.begin() + static_cast<std::ptrdiff_t>(place), row);
  // A stamp from the future is overtaken by every row that follows.
  if (held_.back().line + kWindow < row.line) {
    count(stray_, held_.back());
    moved_.rows -= std::min(moved_.rows, kWindow + 1);
    held_.pop_back();
  }
}

void RowOrder::add(const std::vector<LogRow>& rows, std::vector<LogRow>& sorted) {
  for (LogRow row : rows) {
    carry_on(row);
    insert(row);
  }
  if (held_.size() <= 2 * kWindow) return;
  const auto certain = held_.end() - static_cast<std::ptrdiff_t>(2 * kWindow);
  sorted.insert(sorted.end(), held_.begin(), certain);
  emitted_s_ = sorted.back().t_s;
  held_.erase(held_.begin(), certain);
}

void RowOrder::finish(std::vector<LogRow>& sorted) {
  sorted.insert(sorted.end(), held_.begin(), held_.end());
  held_.clear();
}

}  // namespace kinetics::sensor_detail
