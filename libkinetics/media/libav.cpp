#include "libkinetics/media/libav.h"

#include <array>
#include <cstdarg>
#include <mutex>

#include "libkinetics/core/error.h"

namespace kinetics::libav {
namespace {

thread_local std::string said;

void remember(void* context, int level, const char* format, va_list arguments) {
  if (level > AV_LOG_ERROR) return;
  std::array<char, 512> line{};
  int print_prefix = 0;  // the prefix holds an address, of no use to a coach
  av_log_format_line2(
      context, level, format, arguments, line.data(), static_cast<int>(line.size()), &print_prefix);
  said = line.data();
  while (!said.empty() && (said.back() == '\n' || said.back() == '\r')) said.pop_back();
}

template <typename T>
T require(T pointer) {
  if (!pointer) {
    throw Error(ErrorCode::kInternal,
                "",
                "memory ran out while reading the clip",
                "Close other programs and try again");
  }
  return pointer;
}

}  // namespace

Picture make_picture() {
  return require(Picture(av_frame_alloc()));
}
Packet make_packet() {
  return require(Packet(av_packet_alloc()));
}

void hush() {
  static std::once_flag once;
  std::call_once(once, [] { av_log_set_callback(remember); });
  said.clear();
}

std::string last_message() {
  return said;
}

std::string in_words(int error) {
  std::array<char, AV_ERROR_MAX_STRING_SIZE> text{};
  av_strerror(error, text.data(), text.size());
  return text.data();
}

}  // namespace kinetics::libav
