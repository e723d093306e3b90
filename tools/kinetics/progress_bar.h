#pragma once

#include <chrono>
#include <string>

/// How far a long step is, drawn on one line of a terminal.

namespace kinetics::cli {

/// Draws on stderr, and only when that is a terminal: a pipe or a file sees nothing. The line is
/// wiped when the step ends.
class ProgressBar {
 public:
  /// `what` is what is being done, for example "Following the bar".
  explicit ProgressBar(std::string what);
  ~ProgressBar();
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  /// `fraction` from 0 to 1, or negative when the length is not known.
  void show(double fraction);

 private:
  using Clock = std::chrono::steady_clock;

  std::string what_;
  bool on_terminal_;
  bool drawn_ = false;
  Clock::time_point begun_ = Clock::now();
  Clock::time_point next_draw_ = begun_;
};

/// The line itself, at most `columns` wide, without the carriage return.
[[nodiscard]] std::string progress_line(const std::string& what,
                                        double fraction,
                                        double elapsed_s,
                                        int columns);

}  // namespace kinetics::cli
