#include "tools/workbench/uploads.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/session/analyse.h"
#include "tools/workbench/pairing.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

fs::path part_of(const Folder& folder, const std::string& id) {
  return folder.uploads() / (id + ".bytes");
}
fs::path words_of(const Folder& folder, const std::string& id) {
  return folder.uploads() / (id + ".json");
}

std::uintmax_t size_of(const fs::path& path) {
  std::error_code failed;
  const std::uintmax_t size = fs::file_size(path, failed);
  return failed ? 0 : size;
}

Refusal no_room(const std::string& name) {
  return {507,
          "no_space",
          name,
          "the disk has not enough room for it",
          "Make room on the laptop, then go on: what was sent already is kept"};
}

/// Writes at an offset and flushes. Returns the system's error number, 0 when all is on the disk.
int write_at(const fs::path& path, std::uintmax_t offset, std::string_view piece) {
  const int file = ::open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
  if (file < 0) return errno;
  int error = 0;
  auto at = static_cast<off_t>(offset);
  while (!piece.empty() && error == 0) {
    const ssize_t n = ::pwrite(file, piece.data(), piece.size(), at);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) {
      error = errno;
    } else {
      piece.remove_prefix(static_cast<std::size_t>(n));
      at += n;
    }
  }
  if (error == 0 && ::fsync(file) != 0) error = errno;
  // Half a piece is taken off again, so that the file's size is always what was acknowledged.
  if (error != 0 && ::ftruncate(file, static_cast<off_t>(offset)) != 0) error = errno;
  ::close(file);
  return error;
}

}  // namespace

std::string kind_of_recording(const std::string& name) {
  if (names_a_log(name)) return "log";
  std::string ending = fs::path(name).extension().string();
  for (char& c : ending) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  constexpr std::array kClips{".mp4",
                              ".mov",
                              ".m4v",
                              ".3gp",
                              ".mkv",
                              ".webm",
                              ".avi",
                              ".mts",
                              ".m2ts",
                              ".ts",
                              ".mpg",
                              ".mpeg",
                              ".wmv",
                              ".flv",
                              ".mjpeg"};
  return std::find(kClips.begin(), kClips.end(), ending) != kClips.end() ? "clip" : "";
}

Json to_json(const Upload& upload) {
  return {{"id", upload.id},
          {"name", upload.name},
          {"bytes", upload.bytes},
          {"offset", upload.offset},
          {"chunk_bytes", kChunkBytes},
          {"file", upload.file.empty() ? Json(nullptr) : Json(upload.file)}};
}

Uploads::Uploads(const Folder& folder) : folder_(folder) {
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(folder.uploads(), failed)) {
    if (entry.path().extension() != ".json") continue;
    const Json words = Json::parse(text_in(entry.path()), nullptr, false);
    if (!words.is_object() || !words.contains("name") || !words.contains("bytes")) continue;
    auto found = std::make_shared<Entry>();
    found->upload = {.id = entry.path().stem().string(),
                     .asked = value_or<std::string>(words, "asked", ""),
                     .name = words["name"].get<std::string>(),
                     .bytes = words["bytes"].get<std::uintmax_t>(),
                     .offset = 0,
                     .file = ""};
    found->upload.offset = size_of(part_of(folder, found->upload.id));
    if (found->upload.offset > found->upload.bytes) continue;
    if (found->upload.offset == found->upload.bytes) {
      (void)put_in_place(found->upload);  // the server ended between the last piece and the name
    } else {
      entries_[found->upload.id] = found;
    }
  }
}

Upload Uploads::begin(const std::string& name, std::uintmax_t bytes) {
  check_name(name);
  if (kind_of_recording(name).empty()) {
    throw Refusal(400,
                  "usage",
                  name,
                  "this is neither a clip nor a log by its ending",
                  "Clips end in .mp4, .mov or the like, logs in .csv, .tsv, .txt, .log or .dat");
  }
  if (bytes == 0) {
    throw Refusal(400, "usage", name, "the file is empty", "Copy it again from phone or logger");
  }
  if (bytes > kLargestUploadBytes) {
    throw Refusal(413,
                  "too_large",
                  name,
                  fmt::format("it is larger than {} GB", kLargestUploadBytes >> 30U),
                  "Cut the clip, or copy it into the logbook's folder recordings/ by hand");
  }
  const std::lock_guard lock(mutex_);
  for (const auto& [id, entry] : entries_) {
    if (entry->upload.asked == name && entry->upload.bytes == bytes) return entry->upload;
  }
  const std::uintmax_t free = folder_.free_bytes();
  if (free < bytes + kSpareBytes) throw no_room(name);
  auto entry = std::make_shared<Entry>();
  entry->upload = {.id = random_hex(8),
                   .asked = name,
                   .name = folder_.free_recording_name(name),
                   .bytes = bytes,
                   .offset = 0,
                   .file = ""};
  const Json words = {{"asked", name}, {"name", entry->upload.name}, {"bytes", bytes}};
  (void)write_whole_file(words_of(folder_, entry->upload.id), text_of(words), IfPresent::kReplace);
  entries_[entry->upload.id] = entry;
  return entry->upload;
}

std::shared_ptr<Uploads::Entry> Uploads::find(const std::string& id) const {
  const std::lock_guard lock(mutex_);
  const auto at = entries_.find(id);
  if (at == entries_.end()) throw not_found("upload " + id, "there is no such upload");
  return at->second;
}

Upload Uploads::add(const std::string& id, std::uintmax_t offset, std::string_view piece) {
  const std::shared_ptr<Entry> entry = find(id);
  const std::lock_guard writing(entry->writing);
  Upload& upload = entry->upload;
  if (entry->dropped) throw not_found("upload " + id, "there is no such upload");
  if (offset != upload.offset) {
    throw Refusal(
        409,
        "conflict",
        upload.name,
        fmt::format("{} bytes are here, and the piece begins at {}", upload.offset, offset),
        "Go on from what is here",
        {{"offset", upload.offset}});
  }
  if (piece.size() > kChunkBytes || piece.size() > upload.bytes - upload.offset) {
    throw Refusal(413,
                  "too_large",
                  upload.name,
                  "the piece is larger than it may be",
                  "Send pieces of the size that was told, up to the announced end");
  }
  if (folder_.free_bytes() < piece.size() + kSpareBytes / 4) throw no_room(upload.name);
  const int error = write_at(part_of(folder_, id), offset, piece);
  if (error == ENOSPC || error == EDQUOT || error == EFBIG) throw no_room(upload.name);
  if (error != 0) {
    throw Refusal(500,
                  "internal",
                  upload.name,
                  fmt::format("it could not be written: {}", std::strerror(error)),
                  "Check the logbook's folder, then go on");
  }
  const bool whole = upload.offset + piece.size() == upload.bytes;
  const std::string name = whole ? put_in_place(upload) : upload.name;
  const std::lock_guard lock(mutex_);
  upload.offset += piece.size();
  upload.name = name;
  if (whole) {
    upload.file = name;
    entry->dropped = true;
    entries_.erase(id);
  }
  return upload;
}

// The name that was free at the beginning may be taken by now. Returns the one it got.
std::string Uploads::put_in_place(const Upload& upload) const {
  const fs::path part = part_of(folder_, upload.id);
  for (;;) {
    const std::string name = folder_.free_recording_name(upload.name);
    const fs::path target = folder_.recordings() / name;
    std::error_code failed;
    if (::renameat2(AT_FDCWD, part.c_str(), AT_FDCWD, target.c_str(), RENAME_NOREPLACE) != 0) {
      if (errno == EEXIST) continue;
      // A file system without that call: nothing but this server writes here.
      fs::rename(part, target, failed);
    }
    if (failed) {
      throw Refusal(500,
                    "internal",
                    name,
                    "it could not be put in its place: " + failed.message(),
                    "Check the logbook's folder, then send the last piece again");
    }
    fs::remove(words_of(folder_, upload.id), failed);
    return name;
  }
}

void Uploads::drop(const std::string& id) {
  const std::shared_ptr<Entry> entry = find(id);
  const std::lock_guard writing(entry->writing);
  entry->dropped = true;
  const std::lock_guard lock(mutex_);
  std::error_code failed;
  fs::remove(part_of(folder_, id), failed);
  fs::remove(words_of(folder_, id), failed);
  entries_.erase(id);
}

std::vector<Upload> Uploads::unfinished() const {
  const std::lock_guard lock(mutex_);
  std::vector<Upload> out;
  out.reserve(entries_.size());
  for (const auto& [id, entry] : entries_) out.push_back(entry->upload);
  return out;
}

}  // namespace kinetics::workbench
