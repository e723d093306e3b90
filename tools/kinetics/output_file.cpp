#include "tools/kinetics/output_file.h"

#include <cerrno>
#include <cstddef>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <string>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/whole_file.h"

namespace kinetics::cli {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(const OutputFile& file, const std::string& what, const std::string& mend) {
  throw Error(ErrorCode::kUsage, fmt::format("{} {}", file.option(), file.name()), what, mend);
}

[[noreturn]] void fail_midway(const std::string& name, int error) {
  throw Error(ErrorCode::kInternal,
              name,
              fmt::format("could not be written: {}", std::strerror(error)),
              "Make room or choose another place");
}

/// 0, or the error number of the write that failed.
int write_all(int descriptor, const std::string& text) {
  std::size_t done = 0;
  while (done < text.size()) {
    const ssize_t n = ::write(descriptor, text.data() + done, text.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return errno;
    done += static_cast<std::size_t>(n);
  }
  return 0;
}

bool is_special(const fs::path& target) {
  std::error_code unused;
  const fs::file_status status = fs::status(target, unused);
  return fs::exists(status) && !fs::is_regular_file(status);
}

}  // namespace

OutputFile::OutputFile(std::string option, const std::string& path)
    : option_(std::move(option)), name_(path), standard_output_(path == "-") {
  if (standard_output_) return;
  if (path.empty()) refuse(*this, "no file name was given", "Give a name, or - for the screen");
  std::error_code failed;
  target_ = fs::weakly_canonical(fs::absolute(path), failed);
  if (failed) refuse(*this, failed.message(), "Choose another place");
  if (fs::is_directory(target_, failed))
    refuse(*this, "this is a folder", "Give a file name in it");
  if (is_special(target_) || fs::exists(target_, failed)) {
    if (::access(target_.c_str(), W_OK) != 0) {
      refuse(*this, std::strerror(errno), "Choose another place, or allow writing there");
    }
  }
  if (is_special(target_)) return;
  if (!fs::is_directory(target_.parent_path(), failed)) {
    refuse(*this, "its folder does not exist", "Make the folder first");
  }
  check_folder_writable(target_.parent_path());
}

void OutputFile::write(const std::string& text) const {
  if (standard_output_) return print(text);
  if (is_special(target_)) {
    const int descriptor = ::open(target_.c_str(), O_WRONLY | O_CLOEXEC);
    const int error = descriptor < 0 ? errno : write_all(descriptor, text);
    if (descriptor >= 0) ::close(descriptor);
    if (error != 0) fail_midway(name_, error);
    return;
  }
  (void)write_whole_file(target_, text, IfPresent::kReplace);
}

void print(const std::string& text) {
  std::fflush(stdout);
  const int error = write_all(STDOUT_FILENO, text);
  if (error != 0) fail_midway("standard output", error);
}

}  // namespace kinetics::cli
