#include "tools/workbench/page.h"

#include <algorithm>
#include <array>
#include <utility>

namespace kinetics::workbench {

const PageFile* page_file(std::string_view address) {
  if (!address.empty() && address.front() == '/') address.remove_prefix(1);
  const std::span<const PageFile> files = page_files();
  const auto named = [&](std::string_view path) -> const PageFile* {
    const auto at = std::find_if(
        files.begin(), files.end(), [&](const PageFile& file) { return file.path == path; });
    return at == files.end() ? nullptr : &*at;
  };
  if (const PageFile* file = named(address)) return file;
  const std::size_t slash = address.rfind('/');
  const std::string_view last =
      slash == std::string_view::npos ? address : address.substr(slash + 1);
  return last.find('.') == std::string_view::npos ? named("index.html") : nullptr;
}

std::string content_type(std::string_view path) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 10> kTypes{
      {{".html", "text/html; charset=utf-8"},
       {".js", "text/javascript; charset=utf-8"},
       {".css", "text/css; charset=utf-8"},
       {".svg", "image/svg+xml"},
       {".png", "image/png"},
       {".ico", "image/x-icon"},
       {".json", "application/json"},
       {".webmanifest", "application/manifest+json"},
       {".woff2", "font/woff2"},
       {".txt", "text/plain; charset=utf-8"}}};
  for (const auto& [ending, type] : kTypes) {
    if (path.ends_with(ending)) return std::string(type);
  }
  return "application/octet-stream";
}

std::string page_missing() {
  return "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>kinetics</title>"
         "<h1>The workbench's page was not built</h1>"
         "<p>The server runs and answers under <code>/api/</code>. Build the page with "
         "<code>scripts/build</code> (it needs Node.js) and start the server again.</p></html>";
}

}  // namespace kinetics::workbench
