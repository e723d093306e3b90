#include "libkinetics/report/csv.h"

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/session/rep_quantities.h"

namespace kinetics {
namespace {

constexpr std::string_view kLineEnd = "\r\n";

std::string quoted_when_needed(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + '"';
}

std::string header() {
  std::string line = "set,rep,start_s,end_s";
  for (const Quantity& q : kQuantities) {
    for (const char* part : {"", "_lo", "_hi"}) line += "," + name_of(q, part);
  }
  return line + ",bottom_height_m,top_height_m,kind,not_measured,flags";
}

std::string reasons_in(const Rep& rep) {
  std::string text;
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    // What the lift has not, or nobody said, is no loss.
    if (m.ok() || m.reason() == Reason::kNotApplicable || m.reason() == Reason::kLoadUnknown) {
      continue;
    }
    text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", name_of(q), in_words(m.reason()));
  }
  return text;
}

std::string row(const Rep& rep) {
  std::string line =
      fmt::format("{},{},{:.4f},{:.4f}", rep.set, rep.number, rep.start_s, rep.end_s);
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    line += m.ok() ? fmt::format(",{:.4f},{:.4f},{:.4f}", m.value(), m.lo(), m.hi()) : ",,,";
  }
  std::string flags;
  for (const FlagKind flag : rep.flags) {
    flags += fmt::format("{}{}", flags.empty() ? "" : " ", in_words(flag));
  }
  return line + fmt::format(",{:.4f},{:.4f},{},{},{}",
                            rep.bottom_height_m,
                            rep.top_height_m,
                            in_words(rep.kind),
                            quoted_when_needed(reasons_in(rep)),
                            flags);
}

}  // namespace

std::string to_csv(const Session& session) {
  std::string text = header().append(kLineEnd);
  for (const Rep& rep : session.reps) text += row(rep).append(kLineEnd);
  return text;
}

}  // namespace kinetics
