#pragma once

#include <cstdint>
#include <string>
#include <string_view>

/// Fingerprints: they tie a stored session to its clip, and show that a file is as it was written.

namespace kinetics {

/// SHA-256 of the bytes as 64 lower-case hex digits.
///
/// Source  FIPS 180-4.
[[nodiscard]] std::string sha256_of(std::string_view bytes);

/// SHA-256 of the file as 64 lower-case hex digits; empty when the file is larger than
/// `largest_bytes` or cannot be read to its end (the digest is a convenience, never a reason to
/// refuse a clip).
[[nodiscard]] std::string sha256_of_file(const std::string& path, std::uintmax_t largest_bytes);

}  // namespace kinetics
