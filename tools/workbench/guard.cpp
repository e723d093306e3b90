#include "tools/workbench/guard.h"

#include <algorithm>
#include <array>
#include <memory>

#include <arpa/inet.h>
#include <fmt/format.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

constexpr const char* kCookie = "kinetics_session";

[[noreturn]] void forbid(const std::string& what) {
  throw Refusal(403,
                "forbidden",
                "request",
                what,
                "Open the address that kinetics serve printed, and reload the page");
}

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : static_cast<char>(c);
  });
  return text;
}

std::string token_of(const httplib::Request& request) {
  const std::string wanted = std::string(kCookie) + "=";
  const std::string cookies = request.get_header_value("Cookie");
  for (std::size_t at = 0; at < cookies.size();) {
    const std::size_t end = std::min(cookies.find(';', at), cookies.size());
    std::size_t begin = at;
    while (begin < end && cookies[begin] == ' ') ++begin;
    const std::string one = cookies.substr(begin, end - begin);
    if (one.rfind(wanted, 0) == 0) return one.substr(wanted.size());
    at = end + 1;
  }
  return "";
}

bool is_write(const httplib::Request& request) {
  return request.method != "GET" && request.method != "HEAD";
}

/// The one type each kind of body has; a form of another site can send neither.
bool right_type(const httplib::Request& request) {
  if (request.body.empty()) return true;
  const std::string type = lower(request.get_header_value("Content-Type"));
  return type.rfind("application/json", 0) == 0 || type == "application/octet-stream";
}

}  // namespace

Guard::Guard(int port, std::vector<std::string> addresses, Pairing* pairing)
    : port_(port), pairing_(pairing) {
  addresses.insert(addresses.end(), {"localhost", "127.0.0.1", "[::1]"});
  for (const std::string& address : addresses) {
    hosts_.insert(fmt::format("{}:{}", address, port));
    if (port == 80) hosts_.insert(address);
  }
}

bool Guard::is_own(const std::string& host) const {
  if (hosts_.count(host) > 0) return true;
  if (pairing_ == nullptr) return false;
  // The laptop may have joined another network since the start.
  const std::vector<std::string> now = network_addresses();
  return std::any_of(now.begin(), now.end(), [&](const std::string& address) {
    return host == fmt::format("{}:{}", address, port_);
  });
}

bool Guard::is_here(const std::string& address) {
  return address.rfind("127.", 0) == 0 || address == "::1";
}

bool Guard::from_here(const httplib::Request& request) {
  return is_here(request.remote_addr);
}

void Guard::check(const httplib::Request& request) const {
  const std::string host = lower(request.get_header_value("Host"));
  if (request.get_header_value_count("Host") != 1 || !is_own(host)) {
    forbid("it was sent to a name that is not this server's");
  }
  if (request.has_header("Origin") &&
      lower(request.get_header_value("Origin")) != "http://" + host) {
    forbid("it comes from a page of another site");
  }
  const bool is_data = request.path.rfind("/api/", 0) == 0;
  const std::string site = lower(request.get_header_value("Sec-Fetch-Site"));
  // Following a link to the page itself is fine from anywhere.
  const bool may_lead_here = !is_write(request) && !is_data;
  if (!site.empty() && site != "same-origin" && site != "none" && !may_lead_here) {
    forbid("it comes from a page of another site");
  }
  if (is_write(request)) {
    if (request.get_header_value("X-Kinetics") != "1")
      forbid("the header X-Kinetics: 1 is missing");
    if (!right_type(request)) forbid("its body is neither JSON nor a piece of a file");
  }
  if (!is_data || from_here(request) || request.path == "/api/pair") return;
  if (pairing_ == nullptr || !pairing_->knows(token_of(request))) {
    throw Refusal(401,
                  "unpaired",
                  "",
                  "this device is not paired with the laptop",
                  "Type the code that the laptop shows, or scan it");
  }
}

std::vector<std::string> network_addresses() {
  std::vector<std::string> out;
  ifaddrs* first = nullptr;
  if (::getifaddrs(&first) != 0) return out;
  const std::unique_ptr<ifaddrs, decltype(&::freeifaddrs)> all(first, &::freeifaddrs);
  for (const ifaddrs* one = first; one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) continue;
    if ((one->ifa_flags & IFF_LOOPBACK) != 0 || (one->ifa_flags & IFF_UP) == 0) continue;
    std::array<char, INET_ADDRSTRLEN> text{};
    const auto* address = reinterpret_cast<const sockaddr_in*>(one->ifa_addr);
    ::inet_ntop(AF_INET, &address->sin_addr, text.data(), text.size());
    out.emplace_back(text.data());
  }
  return out;
}

std::string cookie_for(const std::string& token) {
  return fmt::format("{}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age=43200", kCookie, token);
}

}  // namespace kinetics::workbench
