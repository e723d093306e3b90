#include "libkinetics/logbook/diagnose.h"

#include <algorithm>
#include <cerrno>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <optional>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/logbook/stored_session.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

constexpr const char* kUseCopy = "Use a copy of it, or analyse its clip again";

std::string head_of(const fs::path& path, std::size_t bytes) {
  std::string head(bytes, '\0');
  std::ifstream file(path, std::ios::binary);
  file.read(head.data(), static_cast<std::streamsize>(bytes));
  head.resize(static_cast<std::size_t>(std::max<std::streamsize>(file.gcount(), 0)));
  return head;
}

std::uintmax_t address_at(std::string_view bytes, std::size_t at) {
  constexpr std::size_t kAddressBytes = 8;
  std::uintmax_t out = 0;
  for (std::size_t i = kAddressBytes; i-- > 0;) {
    out = (out << 8U) | static_cast<unsigned char>(bytes[at + i]);
  }
  return out;
}

/// How long the file was when it was stored: its HDF5 part says where it ends, counted from where
/// it says that it begins.
///
/// Source  HDF5 File Format Specification 3.0, superblock of versions 0 and 1.
std::optional<std::uintmax_t> stored_bytes(std::string_view head) {
  constexpr std::size_t kOffsetSizeAt = 13;
  constexpr std::size_t kBaseAddressAt = 24;
  constexpr std::size_t kEndAddressAt = 40;
  constexpr std::size_t kNeeded = kEndAddressAt + 8;
  constexpr std::string_view kSignature = "\x89HDF\r\n\x1a\n";
  if (head.size() < kUserBlockBytes + kNeeded) return std::nullopt;
  head.remove_prefix(kUserBlockBytes);
  const bool known =
      head.starts_with(kSignature) && head[kSignature.size()] == 0 && head[kOffsetSizeAt] == 8;
  const std::uintmax_t base = address_at(head, kBaseAddressAt);
  const std::uintmax_t end = address_at(head, kEndAddressAt);
  if (!known || base > end) return std::nullopt;
  return end - base + kUserBlockBytes;
}

DamagedFile worthless(std::string what) {
  return {.file = {}, .what = std::move(what), .held = {}, .mend = kUseCopy, .worthless = true};
}

std::string with_commas(std::uintmax_t n) {
  std::string out = std::to_string(n);
  for (auto at = static_cast<std::ptrdiff_t>(out.size()) - 3; at > 0; at -= 3) {
    out.insert(static_cast<std::size_t>(at), ",");
  }
  return out;
}

}  // namespace

DamagedFile diagnose(const fs::path& path, const std::string& problem) {
  std::error_code failed;
  if (!fs::is_regular_file(path, failed)) {
    return {.file = {}, .what = "it is not an ordinary file", .held = {}, .mend = kUseCopy};
  }
  if (!std::ifstream(path, std::ios::binary)) {
    return {.file = {},
            .what = fmt::format("it may not be read ({})", std::strerror(errno)),
            .held = {},
            .mend = "Allow this user to read it"};
  }
  const std::uintmax_t size = fs::file_size(path, failed);
  if (size == 0) return worthless("it is empty");
  const std::string head = head_of(path, 2 * kUserBlockBytes);
  if (head.find_first_not_of('\0') == std::string::npos) {
    return worthless(
        fmt::format("it holds {} bytes of nothing, as after a power cut while a "
                    "copy was made",
                    with_commas(size)));
  }
  if (!starts_like_session(head)) {
    return {.file = {},
            .what = problem,
            .held = {},
            .mend = "If it is no session, keep it in another folder; else " +
                    std::string("use a copy of it")};
  }
  if (is_as_sealed(path.string())) {
    return {.file = {}, .what = problem, .held = {}, .mend = "See what it says"};
  }
  const std::optional<std::uintmax_t> stored = stored_bytes(head);
  if (size <= kUserBlockBytes || (stored && size < *stored)) {
    return worthless(stored ? fmt::format("it is cut short: {} of {} bytes are there",
                                          with_commas(size),
                                          with_commas(*stored))
                            : "it is cut short");
  }
  if (stored && size > *stored) {
    return worthless(
        fmt::format("{} bytes were added to it after it was stored", with_commas(size - *stored)));
  }
  return worthless("bytes in it were changed after it was stored; its length is right");
}

}  // namespace kinetics
