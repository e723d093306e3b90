#include "tools/workbench/pictures.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "libkinetics/report/jpeg.h"
#include "tools/workbench/reply.h"

namespace kinetics::workbench {
namespace {

constexpr std::size_t kClipsOpen = 3;
constexpr std::size_t kMostBytes = std::size_t{96} << 20U;
constexpr int kQuality = 82;

}  // namespace

std::shared_ptr<Pictures::OpenClip> Pictures::open(const std::string& path) {
  const std::lock_guard lock(mutex_);
  const auto at = std::find_if(
      clips_.begin(), clips_.end(), [&](const auto& clip) { return clip->path == path; });
  if (at != clips_.end()) {
    clips_.splice(clips_.begin(), clips_, at);
    return clips_.front();
  }
  auto clip = std::make_shared<OpenClip>();
  clip->path = path;
  clips_.push_front(clip);
  if (clips_.size() > kClipsOpen) clips_.pop_back();
  return clip;
}

std::shared_ptr<const std::string> Pictures::find(const std::string& key) {
  const std::lock_guard lock(mutex_);
  const auto at =
      std::find_if(kept_.begin(), kept_.end(), [&](const auto& one) { return one.key == key; });
  if (at == kept_.end()) return nullptr;
  kept_.splice(kept_.begin(), kept_, at);
  return kept_.front().bytes;
}

void Pictures::keep(const std::string& key, const std::shared_ptr<const std::string>& bytes) {
  const std::lock_guard lock(mutex_);
  kept_.push_front({key, bytes});
  kept_bytes_ += bytes->size();
  while (kept_bytes_ > kMostBytes && kept_.size() > 1) {
    kept_bytes_ -= kept_.back().bytes->size();
    kept_.pop_back();
  }
}

std::shared_ptr<const std::string> Pictures::jpeg(const Session& session,
                                                  const std::string& clip_path,
                                                  std::int64_t index,
                                                  int longest_px) {
  const std::vector<DiscSighting>& sightings = session.disc.sightings;
  if (index < 0 || index >= static_cast<std::int64_t>(sightings.size())) {
    throw not_found(fmt::format("picture {}", index), "the clip has no such picture");
  }
  const std::string key = fmt::format("{}/{}/{}", clip_path, index, longest_px);
  if (auto kept = find(key)) return kept;
  const std::shared_ptr<OpenClip> clip = open(clip_path);
  const std::lock_guard decoding(clip->decoding);
  if (auto kept = find(key)) return kept;  // another page asked for it meanwhile
  if (!clip->pictures) clip->pictures = std::make_unique<ClipPictures>(clip_path, session.clip);
  const double t_s = sightings[static_cast<std::size_t>(index)].t_s;
  auto bytes =
      std::make_shared<const std::string>(to_jpeg(clip->pictures->at(t_s, longest_px), kQuality));
  keep(key, bytes);
  return bytes;
}

}  // namespace kinetics::workbench
