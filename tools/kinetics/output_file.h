#pragma once

#include <filesystem>
#include <string>

/// Files that appear whole or not at all.

namespace kinetics::cli {

/// Where one result is to go: a file, or standard output when `-` was given.
///
/// The constructor finds out whether the file can be written, so that a mistyped folder is known
/// before a long analysis and not after it. Throws Error{kUsage} when it cannot.
class OutputFile {
 public:
  OutputFile(std::string option, const std::string& path);

  [[nodiscard]] bool is_standard_output() const { return standard_output_; }
  /// As the user gave it, for messages.
  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const std::string& option() const { return option_; }
  /// Where the bytes really go, symbolic links followed.
  [[nodiscard]] const std::filesystem::path& target() const { return target_; }

  /// Writes to a temporary name beside the target and renames, so that an older file stays until
  /// the new one is whole. A target that is no regular file (a pipe) is written straight to.
  /// Throws Error{kInternal} when the disk fills.
  void write(const std::string& text) const;

 private:
  std::string option_;
  std::string name_;
  std::filesystem::path target_;
  bool standard_output_ = false;
};

/// Writes to standard output and makes sure it arrived. Throws Error{kInternal}.
void print(const std::string& text);

}  // namespace kinetics::cli
