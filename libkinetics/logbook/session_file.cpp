#include "libkinetics/logbook/session_file.h"

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <string_view>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/hdf5_node.h"
#include "libkinetics/logbook/session_archive.h"
#include "libkinetics/logbook/session_schema.h"
#include "libkinetics/logbook/stored_session.h"
#include "libkinetics/logbook/whole_file.h"
#include "libkinetics/session/file_digest.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

// The seal is checked before a byte of what follows is given to HDF5, which can crash on damaged
// files.
constexpr std::size_t kSealLetters = 64;
constexpr std::string_view kSealWords = "kinetics session; HDF5 from byte 512, with SHA-256 ";

std::string sealed(const std::string& image) {
  std::string file(kSealWords);
  file += sha256_of(image) + '\n';
  file.resize(kUserBlockBytes, '\0');
  return file + image;
}

[[noreturn]] void refuse(const std::string& path, const std::string& what) {
  throw Error(
      ErrorCode::kUnreadable, path, what, "Give a file that kinetics analyse --logbook made");
}

std::string whole_content(const std::string& path) {
  std::error_code failed;
  const fs::file_status status = fs::status(path, failed);
  if (!fs::exists(status)) refuse(path, "no such file");
  if (!fs::is_regular_file(status)) refuse(path, "this is not a file");
  std::ifstream file(path, std::ios::binary);
  std::ostringstream content;
  content << file.rdbuf();
  if (!file) refuse(path, "cannot be read");
  return std::move(content).str();
}

bool seal_holds(std::string_view file, std::string_view image) {
  return file.substr(kSealWords.size()).starts_with(sha256_of(image));
}

std::string_view image_in(std::string_view file) {
  return file.substr(std::min(kUserBlockBytes, file.size()));
}

/// The HDF5 part of the file, as it was written.
std::string_view unsealed(std::string_view file, const std::string& path) {
  constexpr std::string_view kHdf5Signature = "\x89HDF\r\n\x1a\n";
  if (file.starts_with(kHdf5Signature)) refuse(path, "this HDF5 file is not a session");
  if (!starts_like_session(file)) refuse(path, "this is not a session file");
  const std::string_view image = image_in(file);
  if (!seal_holds(file, image)) {
    throw Error(ErrorCode::kUnreadable,
                path,
                "the file is cut short or was changed after it was stored",
                "Use a copy of it, or analyse the clip again");
  }
  return image;
}

std::string image_of(const Session& session) {
  const hdf5::Quiet quiet;
  const hdf5::MemoryFile file;
  {
    const hdf5::GroupWriter root(file.id(), "/");
    root.attribute("format", std::string(schema::kFormat));
    root.attribute("schema_version", std::int64_t{schema::kVersion});
  }
  const auto in_group = [&](const char* name, auto describe) {
    const hdf5::GroupWriter group(file.id(), name);
    SessionWriter writer(group);
    describe(writer);
  };
  const auto in_optional_group = [&](const char* name, const auto& value, auto describe) {
    if (value) in_group(name, [&](auto& writer) { describe(writer, *value); });
  };
  schema::describe_session(session, in_group, in_optional_group, in_group);
  return file.image();
}

/// Letters and digits that every file system takes; anything else becomes an underscore.
std::string plain(const std::string& text) {
  constexpr std::size_t kLongest = 100;
  std::string out = text.substr(0, kLongest);
  for (char& c : out) {
    if (std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '-') c = '_';
  }
  return out;
}

/// "2026-11-25T10:30:00Z" and "box squat.mp4" give "2026-11-25_103000_box_squat".
std::string stem_for(const Provenance& from) {
  std::string when;
  for (const char c : from.analysed_at.substr(0, from.analysed_at.find('Z'))) {
    if (c == 'T') when += '_';
    if (std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '-') when += c;
  }
  constexpr std::size_t kLongest = 60;
  const std::string clip = fs::path(from.source_name).stem().string().substr(0, kLongest);
  return when + "_" + (clip.empty() ? "clip" : clip);
}

fs::path nearest_existing(fs::path folder) {
  std::error_code failed;
  while (!fs::exists(folder, failed) && folder.has_parent_path() &&
         folder != folder.parent_path()) {
    folder = folder.parent_path();
  }
  return folder;
}

void check_format(hid_t file, const std::string& path) {
  const hdf5::GroupReader root(file, "/", path);
  std::string format;
  if (root.has_attribute("format")) root.attribute("format", format);
  if (format != schema::kFormat) refuse(path, "this HDF5 file is not a session");
  std::int64_t version = 0;
  root.attribute("schema_version", version);
  if (version > schema::kVersion) {
    throw Error(ErrorCode::kUnreadable,
                path,
                fmt::format("written by a newer kinetics (schema {}; this one knows {})",
                            version,
                            schema::kVersion),
                "Update kinetics");
  }
  if (version < 1) root.damaged("schema_version", "is out of range");
}

/// The groups that hold a row for each frame.
bool holds_frames(std::string_view group) {
  return group == "disc" || group == "path" || group == "motion";
}

}  // namespace

bool starts_like_session(std::string_view head) {
  return head.starts_with(kSealWords);
}

bool is_as_sealed(const std::string& path) {
  const std::string content = whole_content(path);
  if (!starts_like_session(content)) refuse(path, "this is not a session file");
  return seal_holds(content, image_in(content));
}

bool store_session_at(const Session& session, const std::string& path) {
  make_logbook_folder(fs::path(path).parent_path().string());
  return write_whole_file(path, sealed(image_of(session)), IfPresent::kKeep);
}

std::string session_digest(const Session& session) {
  Session timeless = session;
  timeless.provenance.analysed_at.clear();
  return sha256_of(image_of(timeless));
}

StoredSession read_whole(const std::string& path, SessionPart wanted) {
  const hdf5::Quiet quiet;
  const std::string content = whole_content(path);
  const std::string_view image = unsealed(content, path);
  const hdf5::Handle file = hdf5::open_image(image, path);
  check_format(file.id(), path);
  StoredSession out{.session = {}, .seal = content.substr(kSealWords.size(), kSealLetters)};
  const auto in_group = [&](const char* name, auto describe) {
    if (wanted == SessionPart::kSummary && holds_frames(name)) return;
    const hdf5::GroupReader group(file.id(), name, path);
    SessionReader reader(group);
    describe(reader);
  };
  const auto in_added_group = [&](const char* name, auto describe) {
    if (hdf5::has_group(file.id(), name)) in_group(name, describe);
  };
  const auto in_optional_group = [&](const char* name, auto& value, auto describe) {
    in_added_group(name, [&](auto& reader) { describe(reader, value.emplace()); });
  };
  schema::describe_session(out.session, in_group, in_optional_group, in_added_group);
  return out;
}

void check_logbook_writable(const std::string& logbook_dir) {
  const fs::path folder = nearest_existing(fs::absolute(logbook_dir));
  if (!fs::is_directory(folder)) {
    throw Error(ErrorCode::kUsage, folder.string(), "this is not a folder", "Choose another");
  }
  check_folder_writable(folder);
}

std::string store_session(const Session& session, const std::string& logbook_dir) {
  return store_session_as(session, logbook_dir, stem_for(session.provenance));
}

std::string store_session_as(const Session& session,
                             const std::string& logbook_dir,
                             const std::string& name) {
  make_logbook_folder(logbook_dir);
  const std::string file = sealed(image_of(session));
  const std::string stem = plain(name);
  // Two sessions of one name get numbers; the loop ends at the first free one.
  for (int copy = 1;; ++copy) {
    const std::string full = copy == 1 ? stem + ".h5" : fmt::format("{}-{}.h5", stem, copy);
    const fs::path path = fs::path(logbook_dir) / full;
    std::error_code failed;
    if (fs::exists(path, failed)) continue;
    if (write_whole_file(path, file, IfPresent::kKeep)) return path.string();
  }
}

void make_logbook_folder(const std::string& logbook_dir) {
  std::error_code failed;
  fs::create_directories(logbook_dir, failed);
  if (!failed) return;
  throw Error(ErrorCode::kUsage,
              logbook_dir,
              fmt::format("the logbook folder cannot be made: {}", failed.message()),
              "Choose another folder");
}

Session load_session(const std::string& path) {
  return read_whole(path, SessionPart::kAll).session;
}

Session load_session_summary(const std::string& path) {
  return read_whole(path, SessionPart::kSummary).session;
}

}  // namespace kinetics
