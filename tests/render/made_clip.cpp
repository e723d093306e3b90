#include "tests/render/made_clip.h"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <system_error>
#include <utility>

namespace {

std::string output_of(const std::string& command) {
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("cannot run " + command);
  std::string out;
  std::array<char, 1 << 16> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    out.append(buffer.data(), n);
  if (pclose(pipe) != 0) throw std::runtime_error("failed: " + command);
  return out;
}

}  // namespace

ScratchFolder::ScratchFolder()
    : path((std::filesystem::temp_directory_path() / "kinetics-render-XXXXXX").string()) {
  if (::mkdtemp(path.data()) == nullptr) throw std::runtime_error("cannot make " + path);
}

ScratchFolder::~ScratchFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(path, ignored);
}

MadeClip made_clip(const std::string& name, const std::string& json, const std::string& ending) {
  const auto folder = std::make_shared<const ScratchFolder>();
  std::string path = folder->path + "/" + name + ending;
  MadeClip out{.folder = folder,
               .path = std::move(path),
               .scene = render::parse_scene(json, name),
               .truth = {}};
  out.truth = render::render_scene(out.scene, out.path);
  return out;
}

std::vector<std::vector<std::uint8_t>> luma_of(const MadeClip& clip) {
  const std::string all = output_of("ffmpeg -v error -i '" + clip.path +
                                    "' -fps_mode passthrough -pix_fmt yuv420p "
                                    "-f rawvideo -");
  const auto luma = static_cast<std::size_t>(clip.scene.camera.width_px) *
                    static_cast<std::size_t>(clip.scene.camera.height_px);
  const std::size_t frame = luma * 3 / 2;
  std::vector<std::vector<std::uint8_t>> out;
  for (std::size_t at = 0; at + frame <= all.size(); at += frame)
    out.emplace_back(all.begin() + std::ptrdiff_t(at), all.begin() + std::ptrdiff_t(at + luma));
  return out;
}

std::vector<std::string> probed(const MadeClip& clip, const std::string& entries) {
  std::istringstream lines(output_of("ffprobe -v error -select_streams v -show_entries " + entries +
                                     " -of csv=p=0 '" + clip.path + "'"));
  std::vector<std::string> out;
  for (std::string line; std::getline(lines, line);)
    if (!line.empty()) out.push_back(line);
  return out;
}
