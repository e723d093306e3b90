#include "libkinetics/report/csv.h"

#include <string>
#include <string_view>

#include <fmt/format.h>

#include "libkinetics/report/flag_words.h"
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
  return line +
         ",lifter,lift,bar,stated_load_kg,evidence,bottom_height_m,top_height_m,kind,not_measured,"
         "flags";
}

std::string reasons_in(const Rep& rep) {
  std::string text;
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    // What the lift has not, or nobody said, is no loss.
    if (m.ok() || m.reason() == Reason::kNotApplicable || m.reason() == Reason::kLoadUnknown ||
        m.reason() == Reason::kNotGiven) {
      continue;
    }
    text += fmt::format("{}{}: {}", text.empty() ? "" : "; ", name_of(q), in_words(m.reason()));
  }
  return text;
}

/// Who lifted what; the same in each row, so that the sheets of a day can be put below each other.
std::string set_of(const Session& session) {
  if (!session.options.plan) return ",,,,";
  const SetPlan& plan = *session.options.plan;
  return fmt::format(",{},{},{},{:.3f}",
                     quoted_when_needed(plan.lifter),
                     quoted_when_needed(plan.lift),
                     quoted_when_needed(plan.bar),
                     plan.stated_load_kg);
}

/// The set's findings about a rep, each with how sure it is.
std::string evidence_for(const Session& session, const Rep& rep) {
  std::string text;
  for (const Finding& finding : session.findings) {
    if (finding.set != rep.set || finding.rep != rep.number) continue;
    text += fmt::format("{}{} ({}): {}",
                        text.empty() ? "" : " | ",
                        in_words(finding.kind),
                        in_words(finding.certainty),
                        finding.evidence);
  }
  return text;
}

std::string row(const Session& session, const Rep& rep) {
  std::string line =
      fmt::format("{},{},{:.4f},{:.4f}", rep.set, rep.number, rep.start_s, rep.end_s);
  for (const Quantity& q : kQuantities) {
    const Measured& m = rep.*q.member;
    line += m.ok() ? fmt::format(",{:.4f},{:.4f},{:.4f}", m.value(), m.lo(), m.hi()) : ",,,";
  }
  line += set_of(session) + "," + quoted_when_needed(evidence_for(session, rep));
  return line + fmt::format(",{:.4f},{:.4f},{},{},{}",
                            rep.bottom_height_m,
                            rep.top_height_m,
                            in_words(rep.kind),
                            quoted_when_needed(reasons_in(rep)),
                            fmt::join(flag_words(session, rep), " "));
}

}  // namespace

std::string to_csv(const Session& session) {
  std::string text = header().append(kLineEnd);
  for (const Rep& rep : session.reps) text += row(session, rep).append(kLineEnd);
  return text;
}

}  // namespace kinetics
