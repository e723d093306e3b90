#include "tools/workbench/folder.h"

#include <algorithm>
#include <chrono>
#include <fstream>
#include <sstream>
#include <system_error>
#include <utility>

#include <fmt/chrono.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/whole_file.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

bool is_utf8(std::string_view text) {
  try {
    (void)nlohmann::json(std::string(text)).dump();
    return true;
  } catch (const nlohmann::json::exception&) {
    return false;
  }
}

fs::path existing(const fs::path& path, const std::string& name) {
  std::error_code failed;
  if (!fs::is_regular_file(fs::symlink_status(path, failed))) {
    throw not_found(name, "there is no such file in the logbook");
  }
  return path;
}

}  // namespace

bool is_plain_name(std::string_view name) {
  constexpr std::size_t kLongest = 180;
  if (name.empty() || name.size() > kLongest || name.front() == '.') return false;
  if (name.front() == ' ' || name.back() == ' ') return false;
  const bool plain = std::none_of(name.begin(), name.end(), [](char c) {
    return c == '/' || c == '\\' || c == '\x7f' || static_cast<unsigned char>(c) < 0x20;
  });
  return plain && is_utf8(name);
}

void check_name(const std::string& name) {
  if (is_plain_name(name)) return;
  throw Refusal(400,
                "usage",
                "name",
                "this is not a plain file name",
                "Use letters, digits and spaces, without folders and without a dot in front");
}

Folder::Folder(fs::path root) : root_(fs::absolute(std::move(root)).lexically_normal()) {
  for (const fs::path& folder :
       {root_, recordings(), sheets(), root_ / "kept", days(), jobs(), uploads()}) {
    std::error_code failed;
    fs::create_directories(folder, failed);
    if (!failed) continue;
    throw Error(ErrorCode::kUsage,
                folder.string(),
                fmt::format("the folder cannot be made: {}", failed.message()),
                "Choose another logbook folder");
  }
}

fs::path Folder::session(const std::string& id) const {
  check_name(id);
  return existing(root_ / (id + ".h5"), id);
}

fs::path Folder::recording(const std::string& name) const {
  check_name(name);
  return existing(recordings() / name, name);
}

fs::path Folder::sheet(const std::string& name) const {
  return existing(sheet_to_write(name), name);
}

fs::path Folder::day(const std::string& name, const std::string& ending) const {
  check_name(name);
  return existing(days() / (name + ending), name);
}

fs::path Folder::sheet_to_write(const std::string& name) const {
  check_name(name);
  const fs::path path = sheets() / name;
  if (path.extension() == ".csv") return path;
  throw Refusal(400, "usage", name, "a sheet's name ends in .csv", "Add .csv to it");
}

std::string Folder::free_recording_name(const std::string& name) const {
  check_name(name);
  const fs::path given(name);
  for (int copy = 1;; ++copy) {
    const std::string next =
        copy == 1
            ? name
            : fmt::format("{} ({}){}", given.stem().string(), copy, given.extension().string());
    std::error_code failed;
    if (!fs::exists(fs::symlink_status(recordings() / next, failed))) return next;
  }
}

void Folder::replace_text(const fs::path& path, std::string_view text) const {
  std::error_code failed;
  if (fs::exists(fs::symlink_status(path, failed))) {
    const std::string before = text_in(path);
    if (before == text) return;
    const auto now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    for (int copy = 1;; ++copy) {
      const std::string name = fmt::format("{}_{:%Y-%m-%d_%H%M%S}_{}{}",
                                           path.stem().string(),
                                           fmt::gmtime(now),
                                           copy,
                                           path.extension().string());
      if (write_whole_file(root_ / "kept" / name, before, IfPresent::kKeep)) break;
    }
  }
  (void)write_whole_file(path, text, IfPresent::kReplace);
}

std::uintmax_t Folder::free_bytes() const {
  std::error_code failed;
  const fs::space_info space = fs::space(root_, failed);
  return failed ? 0 : space.available;
}

std::string text_in(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  if (!file) {
    throw Error(ErrorCode::kUnreadable,
                path.filename().string(),
                "it cannot be read",
                "Check the file's permissions");
  }
  return std::move(content).str();
}

}  // namespace kinetics::workbench
