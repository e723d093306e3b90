#include "libkinetics/sheet/gear_words.h"

#include "libkinetics/sheet/cell_text.h"

namespace kinetics {

std::vector<GearCount> gear_from_words(const std::string& words, const std::string& where) {
  if (words.empty()) return {};
  std::string why;
  if (auto gear = sheet_detail::gear_in(words, why)) return *gear;
  throw Error(ErrorCode::kUnreadable,
              where,
              why,
              "Write how many and which: 2 x heavy chain + 2 x light band");
}

}  // namespace kinetics
