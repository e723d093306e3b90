#include "libkinetics/core/error.h"

#include <utility>

#include <fmt/format.h>

namespace kinetics {
namespace {

std::string sentence(const std::string& where, const std::string& what, const std::string& mend) {
  std::string text = where.empty() ? what : where + ": " + what;
  if (!text.empty() && text.back() != '.') text += '.';
  if (!mend.empty()) {
    text += ' ' + mend;
    if (text.back() != '.') text += '.';
  }
  return text;
}

}  // namespace

Error::Error(ErrorCode code, std::string where, std::string what, std::string mend)
    : std::runtime_error(sentence(where, what, mend)),
      code_(code),
      where_(std::move(where)),
      problem_(std::move(what)),
      mend_(std::move(mend)) {}

void fail_assertion(const char* condition, const char* file, int line) {
  throw Error(ErrorCode::kInternal,
              fmt::format("{}:{}", file, line),
              fmt::format("a check on our own work failed ({})", condition),
              "This is a fault in kinetics; please report it with the input");
}

}  // namespace kinetics
