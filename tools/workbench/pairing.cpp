#include "tools/workbench/pairing.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <vector>

#include <fmt/format.h>
#include <sys/random.h>

#include "libkinetics/session/file_digest.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

constexpr int kTries = 5;
constexpr std::chrono::minutes kFirstLock{1};
constexpr std::chrono::minutes kLongestLock{60};
constexpr std::size_t kMostAddresses = 4096;
constexpr std::chrono::hours kPaired{12};

std::vector<std::uint8_t> random_bytes(int count) {
  std::vector<std::uint8_t> bytes(static_cast<std::size_t>(count));
  const ssize_t got = ::getrandom(bytes.data(), bytes.size(), 0);
  KINETICS_ASSERT(got == static_cast<ssize_t>(bytes.size()));  // never short up to 256 bytes
  return bytes;
}

std::string random_digits(int count) {
  constexpr int kFair = 250;  // a multiple of ten: every digit is as likely
  std::string digits;
  while (static_cast<int>(digits.size()) < count) {
    const std::uint8_t byte = random_bytes(1)[0];
    if (byte < kFair) digits += static_cast<char>('0' + byte % 10);
  }
  return digits;
}

/// Takes as long for a code that is wrong in its first digit as for one wrong in its last.
bool same(const std::string& a, const std::string& b) {
  if (a.size() != b.size()) return false;
  unsigned differs = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    differs |= static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(b[i]);
  }
  return differs == 0;
}

/// A minute for the first five, doubled for each five more.
std::chrono::minutes lock_after(int wrong) {
  std::chrono::minutes lock = kFirstLock;
  for (int i = kTries; i < wrong && lock < kLongestLock; i += kTries) lock *= 2;
  return std::min(lock, kLongestLock);
}

}  // namespace

std::string random_hex(int bytes) {
  std::string text;
  for (const std::uint8_t byte : random_bytes(bytes)) text += fmt::format("{:02x}", byte);
  return text;
}

Pairing::Pairing() : code_(random_digits(8)) {}

/// Whoever comes with more addresses than a network has shares the last one's count.
Pairing::Guesses& Pairing::guesses_from(const std::string& address) {
  const bool known = guesses_.count(address) > 0 || guesses_.size() < kMostAddresses;
  return guesses_[known ? address : "others"];
}

std::string Pairing::pair(const std::string& code,
                          const std::string& address,
                          Clock::time_point now) {
  const std::lock_guard lock(mutex_);
  Guesses& guesses = guesses_from(address);
  if (now < guesses.locked_until) {
    const auto left = std::chrono::ceil<std::chrono::minutes>(guesses.locked_until - now).count();
    throw Refusal(429,
                  "too_many",
                  "pairing code",
                  "this device has sent too many wrong codes",
                  fmt::format("Wait {} minute{}, then type the code that the laptop shows",
                              left,
                              left == 1 ? "" : "s"));
  }
  if (!same(code, code_)) {
    if (++guesses.wrong % kTries == 0) guesses.locked_until = now + lock_after(guesses.wrong);
    throw Refusal(403,
                  "forbidden",
                  "pairing code",
                  "this is not the code",
                  "Type the eight digits that the laptop shows");
  }
  guesses_.erase(address);
  std::string token = random_hex(32);
  paired_[sha256_of(token)] = now + kPaired;
  return token;
}

bool Pairing::knows(const std::string& token, Clock::time_point now) {
  const std::lock_guard lock(mutex_);
  const auto at = paired_.find(sha256_of(token));
  return at != paired_.end() && now < at->second;
}

}  // namespace kinetics::workbench
