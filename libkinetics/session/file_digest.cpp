#include "libkinetics/session/file_digest.h"

#include <array>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <memory>
#include <new>
#include <string_view>
#include <system_error>
#include <vector>

#include <fmt/format.h>

extern "C" {
#include <libavutil/mem.h>
#include <libavutil/sha.h>
}

namespace kinetics {
namespace {

class Sha256 {
 public:
  Sha256() : state_(av_sha_alloc(), &av_free) {
    if (state_ == nullptr || av_sha_init(state_.get(), 256) != 0) throw std::bad_alloc();
  }
  void add(std::string_view bytes) {
    av_sha_update(state_.get(), reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
  }
  std::string hex() {
    std::array<std::uint8_t, 32> digest{};
    av_sha_final(state_.get(), digest.data());
    std::string text;
    for (const std::uint8_t byte : digest) text += fmt::format("{:02x}", byte);
    return text;
  }

 private:
  std::unique_ptr<AVSHA, void (*)(void*)> state_;
};

}  // namespace

std::string sha256_of(std::string_view bytes) {
  Sha256 sha;
  sha.add(bytes);
  return sha.hex();
}

std::string sha256_of_file(const std::string& path, std::uintmax_t largest_bytes) {
  std::error_code failed;
  const std::uintmax_t size = std::filesystem::file_size(path, failed);
  if (failed || size > largest_bytes) return {};
  std::ifstream file(path, std::ios::binary);
  if (!file) return {};

  Sha256 sha;
  std::vector<char> block(std::size_t{1} << 18U);
  while (file) {
    file.read(block.data(), static_cast<std::streamsize>(block.size()));
    sha.add({block.data(), static_cast<std::size_t>(file.gcount())});
  }
  return file.eof() ? sha.hex() : std::string();
}

}  // namespace kinetics
