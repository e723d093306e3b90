#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "samples/render/film.h"

/// A rendered clip in a scratch folder, read back with FFmpeg's own programs.

/// Removed with all it holds.
struct ScratchFolder {
  ScratchFolder();
  ~ScratchFolder();
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;

  std::string path;
};

struct MadeClip {
  std::shared_ptr<const ScratchFolder> folder;  ///< the clip's own, gone with the last copy
  std::string path;
  render::Scene scene;
  render::ClipTruth truth;
};

/// Renders a scene given as JSON text. `ending` chooses the container.
MadeClip made_clip(const std::string& name,
                   const std::string& json,
                   const std::string& ending = ".mp4");

/// Brightness planes of a clip as `ffmpeg` decodes and turns them, one after another.
std::vector<std::vector<std::uint8_t>> luma_of(const MadeClip& clip);

/// What `ffprobe` prints for the given entries, one line each.
std::vector<std::string> probed(const MadeClip& clip, const std::string& entries);
