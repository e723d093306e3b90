#include "libkinetics/media/recording_facts.h"

#include "libkinetics/media/clip_source.h"

namespace kinetics {

RecordingFacts recording_facts(const std::string& path) {
  const ClipSource source(path, 1);
  const std::string maker = source.tag({"make", "com.android.manufacturer"});
  const std::string model = source.tag({"model", "com.android.model"});
  return {.recorded_at = source.recorded_at(),
          .duration_s = source.duration_s(),
          .width_px = source.stream().codecpar->width,
          .height_px = source.stream().codecpar->height,
          .camera = maker.empty() || model.empty() ? maker + model : maker + " " + model};
}

}  // namespace kinetics
