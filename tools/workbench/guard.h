#pragma once

#include <set>
#include <string>
#include <vector>

#include "tools/workbench/http.h"
#include "tools/workbench/pairing.h"

/// Which requests are answered at all.

namespace kinetics::workbench {

/// Keeps out pages of other sites in the coach's own browser, and strangers on the network.
///
/// - Host must be this server's own address: a foreign name that was pointed at it (DNS rebinding)
///   is refused.
/// - Origin and Sec-Fetch-Site, where the browser sends them, must be our own.
/// - A write must carry the header X-Kinetics: 1, which a foreign page cannot send without asking
///   first, and nothing here ever answers such a question.
/// - From another machine every request for data needs the token that pairing gave.
class Guard {
 public:
  /// `pairing` is null when the server listens on the loopback only.
  Guard(int port, std::vector<std::string> addresses, Pairing* pairing);

  /// Throws Refusal 400, 401 or 403.
  void check(const httplib::Request& request) const;

  /// Whether the request comes from this very machine.
  [[nodiscard]] static bool from_here(const httplib::Request& request);
  [[nodiscard]] static bool is_here(const std::string& address);

 private:
  [[nodiscard]] bool is_own(const std::string& host) const;

  int port_;
  std::set<std::string> hosts_;
  Pairing* pairing_;
};

/// The IPv4 addresses of this machine's network interfaces, loopback left out.
[[nodiscard]] std::vector<std::string> network_addresses();

/// Set-Cookie for a token.
[[nodiscard]] std::string cookie_for(const std::string& token);

}  // namespace kinetics::workbench
