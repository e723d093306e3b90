#include "libkinetics/report/flag_words.h"

#include <algorithm>

namespace kinetics {

std::vector<std::string> flag_words(const Session& session, const Rep& rep) {
  std::vector<std::string> words;
  for (const FlagKind flag : rep.flags) words.emplace_back(in_words(flag));
  for (const Finding& finding : session.findings) {
    if (finding.set != rep.set || finding.rep != rep.number) continue;
    std::string word = flag_word(finding);
    if (std::find(words.begin(), words.end(), word) == words.end()) {
      words.push_back(std::move(word));
    }
  }
  return words;
}

std::vector<std::string> spoken_flags(const Session& session, const Rep& rep) {
  std::vector<std::string> words = flag_words(session, rep);
  for (std::string& word : words) std::replace(word.begin(), word.end(), '-', ' ');
  return words;
}

}  // namespace kinetics
