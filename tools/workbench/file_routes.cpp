#include <algorithm>
#include <charconv>
#include <chrono>
#include <cstdint>
#include <filesystem>
#include <system_error>
#include <utility>

#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

double modified_unix_s(const fs::directory_entry& file) {
  std::error_code failed;
  const auto since =
      file.last_write_time(failed).time_since_epoch() -
      fs::file_time_type::clock::from_sys(std::chrono::sys_seconds{}).time_since_epoch();
  return std::chrono::duration<double>(since).count();
}

Json files_in(const Folder& folder) {
  Json files = Json::array();
  std::error_code failed;
  for (const auto& file : fs::directory_iterator(folder.recordings(), failed)) {
    const std::string name = file.path().filename().string();
    const std::string kind = kind_of_recording(name);
    if (!is_plain_name(name) || kind.empty() || file.is_symlink(failed)) continue;
    files.push_back({{"name", name},
                     {"kind", kind},
                     {"bytes", file.file_size(failed)},
                     {"modified_s", modified_unix_s(file)}});
  }
  std::sort(files.begin(), files.end(), [](const Json& a, const Json& b) {
    return a["modified_s"].get<double>() > b["modified_s"].get<double>();
  });
  return files;
}

/// Which sessions came from each file.
void add_sessions(Parts& parts, Json& files) {
  const Json listed = Json::parse(*parts.store.list(false));
  for (Json& file : files) {
    file["sessions"] = Json::array();
    for (const Json& session : listed["sessions"]) {
      if (session["source"] == file["name"]) file["sessions"].push_back(session["id"]);
    }
  }
}

std::uintmax_t offset_in(const httplib::Request& request) {
  const std::string text = request.get_param_value("offset");
  std::uintmax_t offset = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), offset);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) {
    refuse_key("offset", "it is no whole number");
  }
  return offset;
}

}  // namespace

void add_file_routes(Router& router, Parts& parts) {
  router.get("/api/files", [&](const auto&, auto& response) {
    Json files = files_in(parts.folder);
    add_sessions(parts, files);
    reply(response, 200, {{"files", std::move(files)}});
  });
  router.get("/api/uploads", [&](const auto&, auto& response) {
    Json uploads = Json::array();
    for (const Upload& upload : parts.uploads.unfinished()) uploads.push_back(to_json(upload));
    reply(response, 200, {{"uploads", std::move(uploads)}});
  });
  router.post("/api/uploads", [&](const auto& request, auto& response) {
    const Json body = object_of(request);
    const auto bytes = needed<std::int64_t>(body, "bytes");
    if (bytes < 0) refuse_key("bytes", "it is negative");
    const Upload upload =
        parts.uploads.begin(needed<std::string>(body, "name"), static_cast<std::uintmax_t>(bytes));
    reply(response, upload.offset > 0 ? 200 : 201, to_json(upload));
  });
  router.put("/api/uploads/([0-9a-f]+)", [&](const auto& request, auto& response) {
    const Upload upload = parts.uploads.add(request.matches[1], offset_in(request), request.body);
    if (!upload.file.empty()) parts.events.tell("files", "{}");
    reply(response, 200, to_json(upload));
  });
  router.remove("/api/uploads/([0-9a-f]+)", [&](const auto& request, auto& response) {
    parts.uploads.drop(request.matches[1]);
    response.status = 204;
  });
}

}  // namespace kinetics::workbench
