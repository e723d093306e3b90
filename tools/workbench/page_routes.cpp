#include <string>

#include "tools/workbench/page.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

void send_page(const httplib::Request& request, httplib::Response& response) {
  if (request.path.rfind("/api/", 0) == 0) {
    throw not_found(request.path, "there is nothing at this address");
  }
  if (page_files().empty()) {
    reply_text(response, page_missing(), "text/html; charset=utf-8");
    return;
  }
  const PageFile* file = page_file(request.path);
  if (file == nullptr) throw not_found(request.path, "there is nothing at this address");
  // Files under assets/ carry a digest of themselves in their names.
  const bool lasting = file->path.starts_with("assets/");
  response.set_header("Cache-Control",
                      lasting ? "private, max-age=31536000, immutable" : "no-cache");
  reply_text(response, std::string(file->bytes), content_type(file->path));
}

}  // namespace

void add_page_routes(Router& router) {
  router.get("/.*", send_page);
}

}  // namespace kinetics::workbench
