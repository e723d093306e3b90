#include "tools/workbench/workbench.h"

#include <csignal>
#include <filesystem>
#include <optional>
#include <string>
#include <thread>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <unistd.h>

#include "libkinetics/logbook/session_file.h"
#include "tools/workbench/analysis_request.h"
#include "tools/workbench/corrections.h"
#include "tools/workbench/fair_server.h"
#include "tools/workbench/page.h"
#include "tools/workbench/parts.h"
#include "tools/workbench/qr.h"
#include "tools/workbench/sample_day.h"

namespace kinetics::workbench {
namespace {

namespace fs = std::filesystem;

// Browsers keep their connections open: room for fifty readers and as many pages that listen.
constexpr std::size_t kThreads = 128;
// A piece of a file, or a text, and nothing larger.
constexpr std::size_t kLargestBody = kChunkBytes + (std::size_t{64} << 10U);

/// Two servers on one logbook would work on each other's jobs.
class OnlyServer {
 public:
  explicit OnlyServer(const Folder& folder) {
    const fs::path path = folder.root() / ".workbench" / "lock";
    file_ = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (file_ >= 0 && ::flock(file_, LOCK_EX | LOCK_NB) == 0) return;
    if (file_ >= 0) ::close(file_);
    throw Error(ErrorCode::kUsage,
                folder.root().string(),
                "another workbench serves this logbook already",
                "Use that one, or end it first");
  }
  ~OnlyServer() { ::close(file_); }
  OnlyServer(const OnlyServer&) = delete;
  OnlyServer& operator=(const OnlyServer&) = delete;

 private:
  int file_ = -1;
};

int jobs_at_once(const ServeOptions& options) {
  if (options.jobs_at_once > 0) return options.jobs_at_once;
  constexpr unsigned kCoresForTwo = 4;
  return std::thread::hardware_concurrency() >= kCoresForTwo ? 2 : 1;
}

/// What the job queue is told to do with an analysis.
JobWork work_with(Parts& parts) {
  return {.run = [&parts](const JobRequest& request, const JobTalk& talk) -> std::string {
            if (request.kind == "day") return parts.days.analyse(request, talk);
            if (request.kind == "correct") {
              const Corrected made = analysed_again(parts.folder, parts.store, request, talk);
              talk.storing(made.session.provenance.analysed_at);
              return parts.store.store_corrected(made.session, request.corrects, made.changes);
            }
            const Session made =
                analyse(parts.folder, request, plan_of(parts.folder, request), talk);
            talk.storing(made.provenance.analysed_at);
            return parts.store.store(made);
          },
          .stored_already =
              [&parts](const Job& job) {
                const std::string& source =
                    job.request.clip.empty() ? job.request.log : job.request.clip;
                return parts.store.find(job.analysed_at, source);
              }};
}

void set_headers(httplib::Server& server) {
  static const httplib::Headers kHeaders{
      {"Content-Security-Policy",
       "default-src 'self'; img-src 'self' data: blob:; style-src 'self'; script-src 'self'; "
       "connect-src 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'; "
       "form-action 'self'"},
      {"X-Content-Type-Options", "nosniff"},
      {"X-Frame-Options", "DENY"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
      {"Permissions-Policy", "camera=(self), geolocation=(), microphone=()"}};
  server.set_post_routing_handler([](const httplib::Request&, httplib::Response& response) {
    for (const auto& [name, value] : kHeaders) {
      if (!response.has_header(name.c_str())) response.set_header(name, value);
    }
  });
}

/// Errors that httplib itself answers, in our shape.
void dress_error(const httplib::Request& request, httplib::Response& response) {
  if (!response.body.empty()) return;
  const int status = response.status;
  reply_error(
      response,
      std::make_exception_ptr(
          status == 413 ? Refusal(413,
                                  "too_large",
                                  "request",
                                  "its body is too large",
                                  "Send a file in pieces of the size that was told")
          : status == 404
              ? not_found(request.path, "there is nothing at this address")
              : Refusal(status, "usage", "request", "it could not be read", "Reload the page")));
}

void set_limits(httplib::Server& server) {
  server.new_task_queue = [] { return new httplib::ThreadPool(kThreads); };
  server.set_payload_max_length(kLargestBody);
  server.set_keep_alive_max_count(10000);
  server.set_keep_alive_timeout(15);
  server.set_read_timeout(20);
  server.set_write_timeout(20);
  server.set_tcp_nodelay(true);
  // No second program may listen at this port beside us, as it could with httplib's own choice.
  server.set_socket_options([](socket_t socket) {
    const int yes = 1;
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof(yes));
  });
  server.set_error_handler(dress_error);
  server.set_pre_routing_handler([](const httplib::Request& request, httplib::Response& response) {
    // The server reads neither of these, and hangs up after the answer.
    const bool untold = request.has_header("Transfer-Encoding");
    if (!untold && !request.has_header("Content-Encoding")) {
      return httplib::Server::HandlerResponse::Unhandled;
    }
    reply_error(
        response,
        std::make_exception_ptr(untold ? Refusal(411,
                                                 "usage",
                                                 "request",
                                                 "the length of its body is not told",
                                                 "Send it with a Content-Length")
                                       : Refusal(415,
                                                 "usage",
                                                 "request",
                                                 "its body is packed",
                                                 "Send it as it is, without a Content-Encoding")));
    return httplib::Server::HandlerResponse::Handled;
  });
}

}  // namespace

struct Workbench::Impl {
  explicit Impl(const ServeOptions& options);
  ~Impl();
  void bind(const ServeOptions& options);

  Parts parts;
  OnlyServer only;
  FairServer server;
  std::optional<Guard> guard;
  std::optional<Router> router;
  std::thread listening;
};

Workbench::Impl::Impl(const ServeOptions& options)
    : parts{.folder = Folder(options.logbook),
            .lan = options.lan,
            .port = 0,
            .samples = options.samples.empty() ? samples_folder() : fs::path(options.samples),
            .pairing = {}},
      only(parts.folder) {
  check_logbook_writable(parts.folder.root().string());
  // A page that went away, and a disk or quota that is full, are answers and no reason to die.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  set_limits(server);
  set_headers(server);
  bind(options);
  guard.emplace(parts.port,
                parts.lan ? network_addresses() : std::vector<std::string>{},
                parts.lan ? &parts.pairing : nullptr);
  parts.jobs.emplace(parts.folder, parts.events, work_with(parts), jobs_at_once(options));
  router.emplace(server, *guard);
  add_state_routes(*router, parts);
  add_file_routes(*router, parts);
  add_job_routes(*router, parts);
  add_session_routes(*router, parts);
  add_day_routes(*router, parts);
  add_club_routes(*router, parts);
  add_history_routes(*router, parts);
  add_plans_routes(*router, parts);
  add_page_routes(*router);
  listening = std::thread([this] { server.listen_after_bind(); });
  while (!server.is_running()) std::this_thread::yield();
}

void Workbench::Impl::bind(const ServeOptions& options) {
  const std::string host = options.lan ? "0.0.0.0" : "127.0.0.1";
  if (options.port == 0) {
    parts.port = server.bind_to_any_port(host);
    if (parts.port > 0) return;
  } else if (server.bind_to_port(host, options.port)) {
    parts.port = options.port;
    return;
  }
  throw Error(ErrorCode::kUsage,
              fmt::format("port {}", options.port),
              "another program uses it, or this user may not",
              "Choose another with --port");
}

Workbench::Impl::~Impl() {
  parts.events.close();
  server.stop();
  listening.join();
  parts.jobs.reset();
}

Workbench::Workbench(const ServeOptions& options) : impl_(std::make_unique<Impl>(options)) {}
Workbench::~Workbench() = default;

int Workbench::port() const {
  return impl_->parts.port;
}

std::vector<std::string> Workbench::addresses() const {
  return addresses_of(impl_->parts);
}

std::string Workbench::pairing_code() const {
  return impl_->parts.lan ? impl_->parts.pairing.code() : "";
}

std::string Workbench::pairing_picture() const {
  return impl_->parts.lan ? qr_text(pairing_link(impl_->parts)) : "";
}

bool Workbench::has_page() {
  return !page_files().empty();
}

}  // namespace kinetics::workbench
