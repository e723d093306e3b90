#include "tools/kinetics/progress_bar.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

namespace kinetics::cli {
namespace {

using namespace std::chrono_literals;

constexpr auto kRedraw = 100ms;
constexpr double kLeastElapsedS = 1.0;  // earlier the time left is a wild guess

bool stderr_is_a_terminal() {
  const char* const term = std::getenv("TERM");
  return isatty(STDERR_FILENO) == 1 && (term == nullptr || std::string_view(term) != "dumb");
}

int terminal_columns() {
  winsize size{};
  if (ioctl(STDERR_FILENO, TIOCGWINSZ, &size) != 0 || size.ws_col == 0) return 80;
  return size.ws_col;
}

std::string as_time(double seconds) {
  const auto whole = static_cast<long>(std::ceil(seconds));
  if (whole < 60) return fmt::format("{} s", whole);
  return fmt::format("{} min {:02} s", whole / 60, whole % 60);
}

}  // namespace

std::string progress_line(const std::string& what, double fraction, double elapsed_s, int columns) {
  std::string line;
  if (!(fraction >= 0.0)) {
    line = fmt::format("{}  {} so far", what, as_time(elapsed_s));
  } else {
    const double share = std::min(fraction, 1.0);
    std::string tail = fmt::format(" {:3.0f} %", 100.0 * share);
    if (elapsed_s >= kLeastElapsedS && share > 0.0) {
      tail += fmt::format("  about {} left", as_time(elapsed_s * (1.0 - share) / share));
    }
    constexpr int kTailRoom = 30;  // so that the bar does not jump when the time appears
    const int bar = std::clamp(columns - static_cast<int>(what.size()) - kTailRoom - 4, 0, 40);
    const auto full = static_cast<std::size_t>(std::lround(share * bar));
    const std::string drawn = std::string(full, '=') + std::string(bar - full, ' ');
    line = fmt::format("{} {}{}", what, bar > 0 ? "[" + drawn + "]" : "", tail);
  }
  // A line that reaches the last column would wrap and could not be wiped.
  return line.substr(0, static_cast<std::size_t>(std::max(columns - 1, 0)));
}

ProgressBar::ProgressBar(std::string what)
    : what_(std::move(what)), on_terminal_(stderr_is_a_terminal()) {}

ProgressBar::~ProgressBar() {
  if (drawn_) std::fputs("\r\033[K", stderr);
}

void ProgressBar::show(double fraction) {
  if (!on_terminal_) return;
  const Clock::time_point now = Clock::now();
  if (now < next_draw_) return;
  next_draw_ = now + kRedraw;
  const double elapsed_s = std::chrono::duration<double>(now - begun_).count();
  const std::string line = progress_line(what_, fraction, elapsed_s, terminal_columns());
  fmt::print(stderr, "\r{}\033[K", line);
  std::fflush(stderr);
  drawn_ = true;
}

}  // namespace kinetics::cli
