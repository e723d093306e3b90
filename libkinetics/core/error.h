#pragma once

#include <stdexcept>
#include <string>

/// The one exception the library throws for input or an environment it cannot use.

namespace kinetics {

/// Kind of cause. The tools turn it into an exit code; the words are in the error itself.
enum class ErrorCode {
  kUsage,           ///< options that make no sense, or an output that cannot be written
  kUnreadable,      ///< the input is missing, damaged, or not what it claims to be
  kNothingToTrack,  ///< no disc was ever in view, or two are equally likely
  kInternal,        ///< the environment failed midway (disk full), or our own mistake
};

/// Says where the trouble is, what it is, and how to mend it: "WHERE: WHAT. MEND."
///
/// `where` names the file, and the line or time when there is one ("set3.mp4 at 4.20 s").
class Error : public std::runtime_error {
 public:
  Error(ErrorCode code, std::string where, std::string what, std::string mend);

  [[nodiscard]] ErrorCode code() const { return code_; }
  [[nodiscard]] const std::string& where() const { return where_; }
  [[nodiscard]] const std::string& problem() const { return problem_; }
  [[nodiscard]] const std::string& mend() const { return mend_; }

 private:
  ErrorCode code_;
  std::string where_;
  std::string problem_;
  std::string mend_;
};

/// Throws Error{kInternal} naming the broken condition. Use KINETICS_ASSERT.
[[noreturn]] void fail_assertion(const char* condition, const char* file, int line);

}  // namespace kinetics

/// Checks our own reasoning, never the caller's input. Always on: each use costs one branch.
#define KINETICS_ASSERT(condition) \
  ((condition) ? void(0) : ::kinetics::fail_assertion(#condition, __FILE__, __LINE__))
