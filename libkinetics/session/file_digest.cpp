#include "libkinetics/session/file_digest.h"

#include <array>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <memory>
#include <system_error>
#include <vector>

#include <fmt/format.h>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/sha.h>
}

namespace kinetics {

std::string sha256_of_file(const std::string& path, std::uintmax_t largest_bytes) {
  std::error_code failed;
  const std::uintmax_t size = std::filesystem::file_size(path, failed);
  if (failed || size > largest_bytes) return {};
  std::ifstream file(path, std::ios::binary);
  const std::unique_ptr<AVSHA, void (*)(void*)> sha(av_sha_alloc(), &av_free);
  if (!file || sha == nullptr || av_sha_init(sha.get(), 256) != 0) return {};

  std::vector<char> block(std::size_t{1} << 18U);
  while (file) {
    file.read(block.data(), static_cast<std::streamsize>(block.size()));
    av_sha_update(sha.get(),
                  reinterpret_cast<const std::uint8_t*>(block.data()),
                  static_cast<std::size_t>(file.gcount()));
  }
  if (!file.eof()) return {};

  std::array<std::uint8_t, 32> digest{};
  av_sha_final(sha.get(), digest.data());
  std::string hex;
  for (const std::uint8_t byte : digest) hex += fmt::format("{:02x}", byte);
  return hex;
}

}  // namespace kinetics
