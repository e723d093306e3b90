#pragma once

#include <chrono>
#include <map>
#include <mutex>
#include <string>

/// Who may use the workbench over the network: whoever typed the code that the laptop shows.

namespace kinetics::workbench {

/// Made at the server's start and forgotten with it.
class Pairing {
 public:
  using Clock = std::chrono::steady_clock;

  Pairing();

  /// Eight digits.
  [[nodiscard]] const std::string& code() const { return code_; }

  /// A new session's token for the right code. Throws Refusal 403 for a wrong one, and 429 for
  /// every code, right or wrong, from an address that is locked: for a minute after five wrong
  /// ones, twice as long after five more, up to an hour. Others are let in meanwhile. An hour's
  /// five guesses at one of 10^8 codes from each of 250 addresses take years.
  [[nodiscard]] std::string pair(const std::string& code,
                                 const std::string& address,
                                 Clock::time_point now = Clock::now());

  /// Whether a token was given out within the last twelve hours.
  [[nodiscard]] bool knows(const std::string& token, Clock::time_point now = Clock::now());

 private:
  struct Guesses {
    int wrong = 0;
    Clock::time_point locked_until{};
  };
  Guesses& guesses_from(const std::string& address);

  std::string code_;
  std::mutex mutex_;
  std::map<std::string, Guesses> guesses_;           ///< of addresses that were wrong lately
  std::map<std::string, Clock::time_point> paired_;  ///< SHA-256 of each token, and until when
};

/// As many random bytes from the system, as hex digits.
[[nodiscard]] std::string random_hex(int bytes);

}  // namespace kinetics::workbench
