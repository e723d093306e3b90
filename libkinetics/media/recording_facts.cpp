#include "libkinetics/media/recording_facts.h"

#include <initializer_list>

extern "C" {
#include <libavutil/parseutils.h>
}

#include "libkinetics/media/clip_source.h"

namespace kinetics {
namespace {

constexpr double kMicroseconds = 1e6;
// 2000-01-01. A camera whose clock was never set counts from an earlier year.
constexpr double kThisCenturyUnix_s = 946684800.0;

std::string tag(const ClipSource& source, std::initializer_list<const char*> names) {
  for (const AVDictionary* tags : {source.container().metadata, source.stream().metadata}) {
    for (const char* name : names) {
      const AVDictionaryEntry* entry = av_dict_get(tags, name, nullptr, 0);
      if (entry != nullptr && entry->value[0] != '\0') return entry->value;
    }
  }
  return {};
}

std::optional<double> created(const ClipSource& source) {
  const std::string text = tag(source, {"creation_time", "com.apple.quicktime.creationdate"});
  std::int64_t microseconds = 0;
  if (text.empty() || av_parse_time(&microseconds, text.c_str(), 0) < 0) return std::nullopt;
  const double unix_s = static_cast<double>(microseconds) / kMicroseconds;
  if (unix_s < kThisCenturyUnix_s) return std::nullopt;
  return unix_s;
}

}  // namespace

RecordingFacts recording_facts(const std::string& path) {
  const ClipSource source(path, 1);
  const std::string maker = tag(source, {"make", "com.android.manufacturer"});
  const std::string model = tag(source, {"model", "com.android.model"});
  return {.created_unix_s = created(source),
          .duration_s = source.duration_s(),
          .width_px = source.stream().codecpar->width,
          .height_px = source.stream().codecpar->height,
          .camera = maker.empty() || model.empty() ? maker + model : maker + " " + model};
}

}  // namespace kinetics
