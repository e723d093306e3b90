#include "libkinetics/logbook/session_file.h"

#include <cctype>
#include <cstdint>
#include <filesystem>
#include <string>
#include <system_error>

#include <fmt/format.h>

#include "libkinetics/core/error.h"
#include "libkinetics/logbook/hdf5_node.h"
#include "libkinetics/logbook/session_archive.h"
#include "libkinetics/logbook/session_schema.h"
#include "libkinetics/logbook/whole_file.h"

namespace kinetics {
namespace {

namespace fs = std::filesystem;

std::string image_of(const Session& session) {
  const hdf5::Quiet quiet;
  const hdf5::MemoryFile file;
  {
    const hdf5::GroupWriter root(file.id(), "/");
    root.attribute("format", std::string(schema::kFormat));
    root.attribute("schema_version", std::int64_t{schema::kVersion});
  }
  schema::describe_session(session, [&](const char* name, auto describe) {
    const hdf5::GroupWriter group(file.id(), name);
    SessionWriter writer(group);
    describe(writer);
  });
  return file.image();
}

/// Letters and digits that every file system takes; anything else becomes an underscore.
std::string plain(const std::string& text) {
  constexpr std::size_t kLongest = 60;
  std::string out = text.substr(0, kLongest);
  for (char& c : out) {
    if (std::isalnum(static_cast<unsigned char>(c)) == 0 && c != '-') c = '_';
  }
  return out.empty() ? "clip" : out;
}

/// "2026-11-25T10:30:00Z" and "box squat.mp4" give "2026-11-25_103000_box_squat".
std::string stem_for(const Provenance& from) {
  std::string when;
  for (const char c : from.analysed_at.substr(0, from.analysed_at.find('Z'))) {
    if (c == 'T') when += '_';
    if (std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '-') when += c;
  }
  return when + "_" + plain(fs::path(from.source_name).stem().string());
}

fs::path nearest_existing(fs::path folder) {
  std::error_code failed;
  while (!fs::exists(folder, failed) && folder.has_parent_path() &&
         folder != folder.parent_path()) {
    folder = folder.parent_path();
  }
  return folder;
}

void make_folder(const std::string& logbook_dir) {
  std::error_code failed;
  fs::create_directories(logbook_dir, failed);
  if (!failed) return;
  throw Error(ErrorCode::kUsage,
              logbook_dir,
              fmt::format("the logbook folder cannot be made: {}", failed.message()),
              "Choose another folder");
}

void check_format(hid_t file, const std::string& path) {
  const hdf5::GroupReader root(file, "/", path);
  std::string format;
  if (root.has_attribute("format")) root.attribute("format", format);
  if (format != schema::kFormat) {
    throw Error(ErrorCode::kUnreadable,
                path,
                "this HDF5 file is not a session",
                "Give a file that kinetics analyse --logbook made");
  }
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

}  // namespace

void check_logbook_writable(const std::string& logbook_dir) {
  const fs::path folder = nearest_existing(fs::absolute(logbook_dir));
  if (!fs::is_directory(folder)) {
    throw Error(ErrorCode::kUsage, folder.string(), "this is not a folder", "Choose another");
  }
  check_folder_writable(folder);
}

std::string store_session(const Session& session, const std::string& logbook_dir) {
  make_folder(logbook_dir);
  const std::string image = image_of(session);
  const std::string stem = stem_for(session.provenance);
  // Two sessions of one second and one clip name get numbers; the loop ends at the first free one.
  for (int copy = 1;; ++copy) {
    const std::string name = copy == 1 ? stem + ".h5" : fmt::format("{}-{}.h5", stem, copy);
    const fs::path path = fs::path(logbook_dir) / name;
    if (write_whole_file(path, image, IfPresent::kKeep)) return path.string();
  }
}

Session load_session(const std::string& path) {
  const hdf5::Quiet quiet;
  const hdf5::Handle file = hdf5::open_for_reading(path);
  check_format(file.id(), path);
  Session session;
  schema::describe_session(session, [&](const char* name, auto describe) {
    const hdf5::GroupReader group(file.id(), name, path);
    SessionReader reader(group);
    describe(reader);
  });
  return session;
}

}  // namespace kinetics
