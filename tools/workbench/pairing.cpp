#include "tools/workbench/pairing.h"

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
constexpr std::chrono::minutes kLocked{1};
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

}  // namespace

std::string random_hex(int bytes) {
  std::string text;
  for (const std::uint8_t byte : random_bytes(bytes)) text += fmt::format("{:02x}", byte);
  return text;
}

Pairing::Pairing() : code_(random_digits(8)) {}

std::string Pairing::pair(const std::string& code, Clock::time_point now) {
  const std::lock_guard lock(mutex_);
  if (now < locked_until_) {
    throw Refusal(429,
                  "too_many",
                  "pairing code",
                  "too many wrong codes were tried",
                  "Wait a minute, then type the code that the laptop shows");
  }
  if (!same(code, code_)) {
    if (++wrong_ % kTries == 0) locked_until_ = now + kLocked;
    throw Refusal(403,
                  "forbidden",
                  "pairing code",
                  "this is not the code",
                  "Type the eight digits that the laptop shows");
  }
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
