#include "libkinetics/sensor/log_text.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include "libkinetics/core/error.h"

namespace kinetics::sensor_detail {
namespace {

constexpr std::size_t kHeadBytes = std::size_t{4} << 20U;
constexpr std::size_t kBlockBytes = std::size_t{1} << 20U;
constexpr std::size_t kLongestLine = std::size_t{1} << 16U;

[[noreturn]] void fail(const std::string& where, const std::string& what, const std::string& mend) {
  throw Error(ErrorCode::kUnreadable, where, what, mend);
}

void append_utf8(std::string& out, std::uint32_t code) {
  const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (code < 0x80U) {
    put(code);
  } else if (code < 0x800U) {
    put(0xC0U | (code >> 6U));
    put(0x80U | (code & 0x3FU));
  } else {
    put(0xE0U | (code >> 12U));
    put(0x80U | ((code >> 6U) & 0x3FU));
    put(0x80U | (code & 0x3FU));
  }
}

}  // namespace

LogText::LogText(std::filesystem::path path)
    : path_(std::move(path)), file_(nullptr, &std::fclose) {
  std::error_code failed;
  if (std::filesystem::is_directory(path_, failed)) {
    fail(name(), "this is a folder, not a log", "Name the file");
  }
  file_.reset(std::fopen(path_.c_str(), "rb"));
  if (!file_) fail(name(), std::strerror(errno), "Check the name and that you may read the file");
  const std::uintmax_t size = std::filesystem::file_size(path_, failed);
  if (!failed) bytes_ = size;

  // Encoding and line ends show in the first few kilobytes; they must be known to decode the rest.
  raw_.resize(4096);
  learn_encoding();
  if (bytes_ == 0 || bytes_ > raw_.size()) raw_.resize(kBlockBytes);
  while (!at_end_ && block_.size() < kHeadBytes) fill(kHeadBytes);
  head_is_all_ = at_end_;
  head_size_ = whole_lines();
  if (block_.find_first_not_of(" \t\r\n") == std::string::npos) {
    fail(name(), "the file is empty", "Log again, or copy the file from the logger again");
  }
}

void LogText::learn_encoding() {
  const std::size_t got = std::fread(raw_.data(), 1, raw_.size(), file_.get());
  bytes_read_ += got;
  const std::string_view start(raw_.data(), got);
  std::size_t even_zeros = 0;
  std::size_t odd_zeros = 0;
  for (std::size_t i = 0; i < got; ++i) {
    if (start[i] == '\0') ++(i % 2 == 0 ? even_zeros : odd_zeros);
  }
  std::size_t mark = 0;
  if (start.starts_with("\xFF\xFE") || odd_zeros > got / 3) encoding_ = Encoding::kUtf16Little;
  if (start.starts_with("\xFE\xFF") || even_zeros > got / 3) encoding_ = Encoding::kUtf16Big;
  if (even_zeros > got / 3 && odd_zeros > got / 3) encoding_ = Encoding::kBytes;
  if (start.starts_with("\xEF\xBB\xBF")) {
    encoding_ = Encoding::kBytes;
    mark = 3;
  } else if (start.starts_with("\xFF\xFE") || start.starts_with("\xFE\xFF")) {
    mark = 2;
  }
  if (encoding_ == Encoding::kBytes) {
    block_.assign(start.substr(std::min(mark, start.size())));
    refuse_binary();
  } else {
    pending_.assign(start.substr(mark));
    decode_utf16(0);
  }
  const std::size_t feed = block_.find('\n');
  const std::size_t lone = block_.find('\r');
  lone_returns_ = feed == std::string::npos && lone != std::string::npos;
  if (lone_returns_) std::replace(block_.begin(), block_.end(), '\r', '\n');
  if (got < raw_.size()) fill(block_.size() + 1);  // settles the end of a small file
}

void LogText::refuse_binary() const {
  const std::string_view start = block_;
  if (start.starts_with("PK\x03\x04") || start.starts_with("\xD0\xCF\x11\xE0")) {
    fail(name(),
         "this is a workbook or an archive, not a text log",
         "Save the sheet as CSV, or unpack the archive, and give that file");
  }
  if (start.starts_with("\x1F\x8B")) {
    fail(name(), "this file is compressed", "Unpack it and give the file inside");
  }
  if (start.starts_with("{") || start.starts_with("[{")) {
    fail(name(), "this looks like JSON, not rows of numbers", "Export the log as CSV");
  }
  std::size_t odd = 0;
  for (const char c : start) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20U && c != '\n' && c != '\r' && c != '\t') ++odd;
  }
  if (odd > start.size() / 50) {
    fail(name(), "this is not a text file", "Export the log as CSV and give that file");
  }
}

void LogText::decode_utf16(std::size_t got) {
  pending_.append(raw_.data(), got);
  const bool little = encoding_ == Encoding::kUtf16Little;
  std::size_t i = 0;
  for (; i + 1 < pending_.size(); i += 2) {
    const auto a = static_cast<unsigned char>(pending_[i]);
    const auto b = static_cast<unsigned char>(pending_[i + 1]);
    const std::uint32_t unit = little ? (a | (b << 8U)) : (b | (a << 8U));
    if (unit != 0) append_utf8(block_, unit);  // halves of a pair stay apart: no log means them
  }
  pending_.erase(0, i);
}

void LogText::fill(std::size_t most) {
  while (!at_end_ && block_.size() < most) {
    const std::size_t before = block_.size();
    const std::size_t got = std::fread(raw_.data(), 1, raw_.size(), file_.get());
    bytes_read_ += got;
    if (got < raw_.size()) {
      if (std::ferror(file_.get()) != 0) {
        fail(name(), std::strerror(errno), "Copy the file from the logger again");
      }
      at_end_ = std::feof(file_.get()) != 0;
    }
    if (encoding_ == Encoding::kBytes) {
      block_.append(raw_.data(), got);
      if (block_.find('\0', before) != std::string::npos) {
        zero_bytes_skipped_ = true;
        block_.erase(
            std::remove(block_.begin() + static_cast<std::ptrdiff_t>(before), block_.end(), '\0'),
            block_.end());
      }
    } else {
      decode_utf16(got);
    }
    if (lone_returns_) {
      std::replace(block_.begin() + static_cast<std::ptrdiff_t>(before), block_.end(), '\r', '\n');
    }
  }
  if (at_end_ && !block_.empty() && block_.back() != '\n') {
    last_line_is_open_ = true;
    static_cast<void>(whole_lines());  // refuses one without an end in sight
    block_ += '\n';
  }
}

std::size_t LogText::whole_lines() const {
  const std::size_t last = block_.rfind('\n');
  const std::size_t whole = last == std::string::npos ? 0 : last + 1;
  if (block_.size() - whole > kLongestLine) {
    fail(name(),
         "a line is longer than 64 kB: these are not rows of a log",
         "Export the log as CSV with one row a line");
  }
  return whole;
}

std::string_view LogText::next() {
  if (!begun_) {
    begun_ = true;
    used_ = head_size_;
    return head();
  }
  block_.erase(0, used_);
  used_ = 0;
  while (!at_end_ && whole_lines() == 0) fill(block_.size() + kBlockBytes);
  if (block_.size() < kBlockBytes && !at_end_) fill(kBlockBytes);
  used_ = whole_lines();
  return {block_.data(), used_};
}

}  // namespace kinetics::sensor_detail
