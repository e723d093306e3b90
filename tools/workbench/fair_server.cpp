#include "tools/workbench/fair_server.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstddef>
#include <cstdint>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "tools/workbench/guard.h"

namespace kinetics::workbench {
namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

struct Place {
  std::string address;
  int port = 0;
};

/// Of the other end (getpeername) or of this one (getsockname).
Place place_of(int socket, int (*name_of)(int, sockaddr*, socklen_t*)) {
  sockaddr_in at{};
  socklen_t size = sizeof(at);
  if (name_of(socket, reinterpret_cast<sockaddr*>(&at), &size) != 0) return {};
  std::array<char, INET_ADDRSTRLEN> text{};
  ::inet_ntop(AF_INET, &at.sin_addr, text.data(), text.size());
  return {text.data(), ntohs(at.sin_port)};
}

enum class Waited { kReady, kTooLong, kBroken };

/// Until the socket can be read (POLLIN) or written (POLLOUT).
Waited wait_for(int socket, short event, milliseconds patience) {
  const auto until = Clock::now() + patience;
  for (;;) {
    const auto left = std::chrono::duration_cast<milliseconds>(until - Clock::now());
    pollfd one{.fd = socket, .events = event, .revents = 0};
    const int ready = ::poll(&one, 1, static_cast<int>(std::max<std::int64_t>(left.count(), 0)));
    if (ready < 0 && errno == EINTR) continue;
    if (ready == 0) return Waited::kTooLong;
    return ready > 0 && (one.revents & event) != 0 ? Waited::kReady : Waited::kBroken;
  }
}

/// One request's bytes, read up to a moment and not after it.
class TimedStream final : public httplib::Stream {
 public:
  TimedStream(int socket, milliseconds request_time, milliseconds patience)
      : socket_(socket), until_(Clock::now() + request_time), patience_(patience) {}

  [[nodiscard]] bool is_readable() const override {
    const auto left = std::chrono::duration_cast<milliseconds>(until_ - Clock::now());
    return left.count() > 0 &&
           wait_for(socket_, POLLIN, std::min(left, patience_)) == Waited::kReady;
  }

  [[nodiscard]] bool is_writable() const override {
    if (wait_for(socket_, POLLOUT, patience_) != Waited::kReady) return false;
    // A reader that has hung up is noticed before more is written to it.
    std::byte one{};
    const ssize_t n = ::recv(socket_, &one, sizeof(one), MSG_PEEK | MSG_DONTWAIT);
    return n > 0 || (n < 0 && (errno == EAGAIN || errno == EINTR));
  }

  ssize_t read(char* to, std::size_t size) override {
    if (begin_ == end_) {
      if (!is_readable()) return -1;
      const ssize_t n = ::recv(socket_, kept_.data(), kept_.size(), 0);
      if (n <= 0) return n;
      begin_ = 0;
      end_ = static_cast<std::size_t>(n);
    }
    const std::size_t given = std::min(size, end_ - begin_);
    std::copy_n(kept_.begin() + static_cast<std::ptrdiff_t>(begin_), given, to);
    begin_ += given;
    return static_cast<ssize_t>(given);
  }

  ssize_t write(const char* from, std::size_t size) override {
    if (!is_writable()) return -1;
    return ::send(socket_, from, size, MSG_NOSIGNAL | MSG_DONTWAIT);
  }

  void get_remote_ip_and_port(std::string& ip, int& port) const override {
    const Place place = place_of(socket_, ::getpeername);
    ip = place.address;
    port = place.port;
  }

  void get_local_ip_and_port(std::string& ip, int& port) const override {
    const Place place = place_of(socket_, ::getsockname);
    ip = place.address;
    port = place.port;
  }

  [[nodiscard]] socket_t socket() const override { return socket_; }

 private:
  int socket_;
  Clock::time_point until_;
  milliseconds patience_;
  std::array<char, std::size_t{16} << 10U> kept_{};
  std::size_t begin_ = 0;
  std::size_t end_ = 0;
};

/// A body whose length is not told before it comes, or that grows when it is unpacked, could be of
/// any size: it is not read, and no request can follow it.
bool has_body_of_any_size(const httplib::Request& request) {
  return request.has_header("Transfer-Encoding") || request.has_header("Content-Encoding");
}

}  // namespace

bool OpenConnections::came(const std::string& address) {
  if (Guard::is_here(address)) return true;
  const std::lock_guard lock(mutex_);
  int& open = open_[address];
  if (open >= most_) return false;
  ++open;
  return true;
}

void OpenConnections::left(const std::string& address) {
  const std::lock_guard lock(mutex_);
  const auto at = open_.find(address);
  if (at != open_.end() && --at->second == 0) open_.erase(at);
}

bool FairServer::process_and_close_socket(socket_t socket) {
  const std::string address = place_of(socket, ::getpeername).address;
  bool served = false;
  if (open_.came(address)) {
    served = serve(socket);
    open_.left(address);
  }
  ::shutdown(socket, SHUT_RDWR);
  ::close(socket);
  return served;
}

bool FairServer::serve(socket_t socket) {
  constexpr milliseconds kLook{100};  // as long as the server's end may be overlooked
  const auto patience = milliseconds(1000 * read_timeout_sec_);
  for (std::size_t left = keep_alive_max_count_; left > 0; --left) {
    const auto until = Clock::now() + std::chrono::seconds(keep_alive_timeout_sec_);
    Waited waited = Waited::kTooLong;
    while ((waited = wait_for(socket, POLLIN, kLook)) == Waited::kTooLong) {
      if (svr_sock_ == INVALID_SOCKET || Clock::now() >= until) return true;
    }
    if (waited == Waited::kBroken) return false;
    TimedStream stream(socket, request_time_, patience);
    bool closed = false;
    bool last = left == 1;
    const bool going = process_request(stream, last, closed, [&last](httplib::Request& request) {
      // Nothing here is large enough to be asked for in parts, and many parts of one answer
      // could be larger than any.
      request.ranges.clear();
      // Nor is anything asked for behind a stream of events: once it ends, its thread is free.
      if (!has_body_of_any_size(request) && request.path != "/api/events") return;
      last = true;
      request.headers.erase("Connection");
      request.set_header("Connection", "close");
    });
    if (!going || closed || last) return going;
  }
  return true;
}

}  // namespace kinetics::workbench
