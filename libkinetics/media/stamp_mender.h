#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>

/// Private to this room: makes strictly increasing times of the stamps a container really holds.

namespace kinetics {

/// What was done to the stamps so far.
struct StampCounts {
  std::size_t good = 0;
  std::size_t missing = 0;     ///< no stamp at all
  std::size_t disordered = 0;  ///< equal to or before the one ahead of it, or out of line with both
  std::size_t restarts = 0;    ///< the clock jumped and went on from there
};

/// One picture's time.
struct MendedStamp {
  std::int64_t stored_ticks = 0;   ///< as stored; the nearest tick when repaired
  double ticks_since_first = 0.0;  ///< fractional where a repaired time falls between ticks
  bool repaired = false;
};

/// Feed stamps in display order with push(); take times with pop(). A few pictures are held back
/// so that a bad stamp can be interpolated between its neighbours instead of guessed.
class StampMender {
 public:
  /// `period_ticks`: time between two pictures where no neighbour tells it. Positive.
  explicit StampMender(double period_ticks) : period_(period_ticks) {}

  void push(std::optional<std::int64_t> ticks) { waiting_.push_back(ticks); }
  /// Goes on, forth or back, with pictures from a stamp on. Only right where flawless().
  void go_on_at(std::int64_t ticks);
  /// Whether there were stamps, and none was wrong.
  [[nodiscard]] bool flawless() const {
    return started_ && counts_.missing + counts_.disordered + counts_.restarts == 0;
  }
  /// No more stamps will come.
  void close() { closed_ = true; }
  /// The time of the earliest picture pushed and not yet popped, once it is certain.
  [[nodiscard]] std::optional<MendedStamp> pop();

  [[nodiscard]] const StampCounts& counts() const { return counts_; }

  /// Most pictures ever held back.
  static constexpr std::size_t kLookAhead = 6;

 private:
  [[nodiscard]] double since_first(std::int64_t ticks) const;
  [[nodiscard]] bool follows(std::size_t place) const;
  [[nodiscard]] bool front_is_good() const;
  [[nodiscard]] bool clock_restarted() const;
  MendedStamp emit(double ticks_since_first, bool repaired);
  std::optional<MendedStamp> pop_first();
  std::optional<MendedStamp> mend_front();

  double period_;
  bool closed_ = false;
  bool started_ = false;
  std::int64_t origin_ = 0;  ///< stored ticks of the first picture, moved on when a clock restarts
  double last_ = 0.0;        ///< ticks since the first picture of the last one popped
  std::deque<std::optional<std::int64_t>> waiting_;
  StampCounts counts_;
};

}  // namespace kinetics
