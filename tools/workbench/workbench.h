#pragma once

#include <memory>
#include <string>
#include <vector>

/// The browser workbench: a small server on the coach's laptop.

namespace kinetics::workbench {

struct ServeOptions {
  std::string logbook;
  int port = 8321;        ///< 0: any that is free
  bool lan = false;       ///< other machines may pair and use it
  int jobs_at_once = 0;   ///< analyses; 0: one, or two from four cores on
  std::string samples{};  ///< folder of the sample day; empty: looked for
};

/// Runs from construction to destruction, on threads of its own.
class Workbench {
 public:
  /// Errors  kinetics::Error{kUsage} when the logbook cannot be written, another workbench already
  ///         serves it, or the port is taken.
  explicit Workbench(const ServeOptions& options);
  ~Workbench();
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;

  [[nodiscard]] int port() const;

  /// "http://127.0.0.1:8321", and one more for each network with `lan`.
  [[nodiscard]] std::vector<std::string> addresses() const;

  /// What a phone must type; empty without `lan`.
  [[nodiscard]] std::string pairing_code() const;

  /// The address that pairs a phone by itself, as a code for a terminal; empty without `lan`.
  [[nodiscard]] std::string pairing_picture() const;

  /// Whether the page was built into this program.
  [[nodiscard]] static bool has_page();

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace kinetics::workbench
