#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

/// The text of a log in blocks of whole lines, whatever bytes it was stored as.

namespace kinetics::sensor_detail {

/// Reads a file from front to back in bounded memory. UTF-8 with or without a byte order mark and
/// Latin-1 pass as they are; UTF-16 becomes UTF-8; every line ends in '\n' ("\r\n" keeps its
/// '\r', a lone '\r' becomes '\n'). Zero bytes, which a logger that lost power leaves behind, end
/// up as nothing.
class LogText {
 public:
  /// Throws Error{kUnreadable} when the file cannot be opened, is empty, or is not text.
  explicit LogText(std::filesystem::path path);

  /// The first megabytes, cut at a line end; all of a small file.
  [[nodiscard]] std::string_view head() const { return {block_.data(), head_size_}; }
  [[nodiscard]] bool head_is_all() const { return head_is_all_; }

  /// The next block of whole lines, from the very first on; empty at the end. The view lives until
  /// the next call.
  [[nodiscard]] std::string_view next();

  /// The last line has no line end: it may have been cut short.
  [[nodiscard]] bool last_line_is_open() const { return last_line_is_open_; }
  [[nodiscard]] bool zero_bytes_skipped() const { return zero_bytes_skipped_; }

  /// Size on disk, and how much of it has been read. 0 when it is not known (a pipe).
  [[nodiscard]] std::uintmax_t bytes() const { return bytes_; }
  [[nodiscard]] std::uintmax_t bytes_read() const { return bytes_read_; }

  /// "FILE", for messages.
  [[nodiscard]] std::string name() const { return path_.string(); }

 private:
  enum class Encoding { kBytes, kUtf16Little, kUtf16Big };

  void refuse_binary() const;
  void learn_encoding();
  void fill(std::size_t most);  // appends decoded text to block_
  void decode_utf16(std::size_t got);
  [[nodiscard]] std::size_t whole_lines() const;

  std::filesystem::path path_;
  std::unique_ptr<std::FILE, int (*)(std::FILE*)> file_;
  std::vector<char> raw_;
  std::string block_;
  std::size_t used_ = 0;  // of block_, by the last next()
  std::size_t head_size_ = 0;
  bool head_is_all_ = false;
  bool begun_ = false;
  bool at_end_ = false;
  bool lone_returns_ = false;
  bool last_line_is_open_ = false;
  bool zero_bytes_skipped_ = false;
  Encoding encoding_ = Encoding::kBytes;
  std::string pending_;  // raw bytes of a UTF-16 unit that the last block cut in two
  std::uintmax_t bytes_ = 0;
  std::uintmax_t bytes_read_ = 0;
};

}  // namespace kinetics::sensor_detail
