#include "libkinetics/logbook/replaced.h"

#include <algorithm>
#include <cstddef>
#include <map>
#include <numeric>
#include <tuple>

namespace kinetics {
namespace {

bool names(const Candidate& one, const std::string& file) {
  return std::find(one.supersedes.begin(), one.supersedes.end(), file) != one.supersedes.end();
}

bool made_later(const Candidate& a, const Candidate& b) {
  return std::tie(a.made_at, a.file) > std::tie(b.made_at, b.file);
}

/// The later one of two that name each other, which only files that were renamed by hand do.
bool corrects(const Candidate& newer, const Candidate& older) {
  return newer.file != older.file && names(newer, older.file) &&
         (!names(older, newer.file) || made_later(newer, older));
}

bool same_stretch(const Candidate& a, const Candidate& b) {
  return !a.source_sha256.empty() && a.source_sha256 == b.source_sha256 && a.first_s < b.last_s &&
         b.first_s < a.last_s;
}

}  // namespace

std::vector<std::string> replaced_by(const std::vector<Candidate>& all) {
  std::vector<std::string> out(all.size());
  std::map<std::string, std::size_t> by_name;
  for (std::size_t i = 0; i < all.size(); ++i) by_name.emplace(all[i].file, i);

  // The last correction first, so that it stands for the whole chain before it.
  std::vector<std::size_t> order(all.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return made_later(all[a], all[b]);
  });
  for (const std::size_t newer : order) {
    for (const std::string& file : all[newer].supersedes) {
      const auto older = by_name.find(file);
      if (older == by_name.end() || !out[older->second].empty()) continue;
      if (corrects(all[newer], all[older->second])) out[older->second] = all[newer].file;
    }
  }

  // A copy of a file that was corrected is no more true than the file.
  std::map<std::string, std::string> stands_for_seal;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (!out[i].empty()) stands_for_seal.emplace(all[i].seal, out[i]);
  }
  for (const auto& [name, i] : by_name) {
    if (!out[i].empty()) continue;
    const auto [stands, is_first] = stands_for_seal.emplace(all[i].seal, name);
    if (!is_first) out[i] = stands->second;
  }

  std::map<std::string, std::vector<std::size_t>> of_source;
  for (const std::size_t i : order) {
    if (!out[i].empty()) continue;
    std::vector<std::size_t>& kept = of_source[all[i].source_sha256];
    const auto later = std::find_if(
        kept.begin(), kept.end(), [&](std::size_t k) { return same_stretch(all[i], all[k]); });
    if (later == kept.end()) {
      kept.push_back(i);
    } else {
      out[i] = all[*later].file;
    }
  }
  return out;
}

}  // namespace kinetics
