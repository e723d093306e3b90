#pragma once

#include <cstdint>
#include <string>

/// A fingerprint of an input file, so that a stored session can be tied to its clip.

namespace kinetics {

/// SHA-256 of the file as 64 lower-case hex digits; empty when the file is larger than
/// `largest_bytes` or cannot be read to its end (the digest is a convenience, never a reason to
/// refuse a clip).
///
/// Source  FIPS 180-4.
[[nodiscard]] std::string sha256_of_file(const std::string& path, std::uintmax_t largest_bytes);

}  // namespace kinetics
