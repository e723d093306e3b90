#pragma once

#include <filesystem>
#include <string>

#include "libkinetics/sensor/sensor_log.h"
#include "samples/render/film.h"
#include "samples/simulate/sensor.h"

/// The logs that are measured: simulated from their scenes each time, which takes no time.

namespace accuracy {

struct MadeLog {
  std::string name;
  std::filesystem::path file;
  std::filesystem::path gyro_file;  ///< empty when the gyroscope has no file of its own
  render::Scene scene;
  simulate::SensorSpec sensor;
  simulate::SimulatedLog log;
  bool has_clip = false;  ///< the scene has a camera: it is one half of a pair
};

/// Simulates the scene's sensor and writes its file into the cache folder. Throws
/// std::runtime_error when the scene is wrong or the folder cannot be written.
[[nodiscard]] MadeLog make_log(const std::string& name,
                               const std::string& scene_json,
                               const std::filesystem::path& cache);

/// The log as a perfect reader would hand it over: what goes wrong then is not the reader's doing.
[[nodiscard]] kinetics::SensorLog as_read(const MadeLog& made);

/// For the score: the repetitions in the log's time.
[[nodiscard]] render::ClipTruth truth_of(const MadeLog& made);

}  // namespace accuracy
