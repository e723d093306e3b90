// The log reader against arbitrary bytes: it either returns a log that keeps its promises or throws
// Error. Built twice: with libFuzzer (option KINETICS_FUZZ, clang), and into the sensor tests,
// which run it over the seeds in tests/data/logs and mutated copies of them.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
#include <string_view>

#include <sys/mman.h>
#include <unistd.h>

#include "libkinetics/core/error.h"
#include "libkinetics/sensor/read_log.h"

namespace {

using namespace kinetics;

void require(bool holds, const char* promise) {
  if (holds) return;
  std::fprintf(stderr, "broken promise: %s\n", promise);
  std::abort();
}

// A file in memory, with a path to open it by.
class MemoryFile {
 public:
  explicit MemoryFile(std::string_view bytes) : descriptor_(::memfd_create("log", 0)) {
    require(descriptor_ >= 0, "a file in memory");
    while (!bytes.empty()) {
      const ::ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
      require(written > 0, "a file in memory");
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
  }
  ~MemoryFile() { ::close(descriptor_); }
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;
  [[nodiscard]] std::string path() const { return "/proc/self/fd/" + std::to_string(descriptor_); }

 private:
  int descriptor_;
};

// The last byte chooses what the reader is told.
LogOptions options_by(std::uint8_t choice, const std::string& path) {
  LogOptions options;
  if ((choice & 7U) == 1) options.rate_hz = 100.0;
  if ((choice & 7U) == 2) options.columns = "t,ax,ay,az";
  if ((choice & 7U) == 3) options.columns = "t,h";
  if ((choice & 7U) == 4) options.units = "g,deg/s,ms,mm";
  if ((choice & 7U) == 5) options.gyroscope_file = path;
  return options;
}

void check(const SensorLog& log) {
  require(log.samples.empty() != log.positions.empty(), "either samples or positions");
  require(log.samples.size() + log.positions.size() <= log.rows, "no more samples than rows");
  require(std::isfinite(log.rate_hz) && log.rate_hz > 0.0, "a rate");
  require(std::isfinite(log.stamp_sigma_s) && log.stamp_sigma_s >= 0.0, "a stamp sigma");
  require(std::isfinite(log.started_unix_s), "a start");
  require(!log.notes.empty(), "what was decided is said");
  double previous_s = -1.0;
  for (const SensorSample& sample : log.samples) {
    require(sample.t_s > previous_s, "times strictly increase from zero");
    require(sample.accel_mps2.allFinite() && sample.rate_radps.allFinite(), "finite readings");
    previous_s = sample.t_s;
  }
  for (const PositionSample& position : log.positions) {
    require(position.t_s > previous_s, "times strictly increase from zero");
    require(std::isfinite(position.height_m), "finite heights");
    previous_s = position.t_s;
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const MemoryFile file({reinterpret_cast<const char*>(data), size});
  const LogOptions options = options_by(size == 0 ? 0 : data[size - 1], file.path());
  std::size_t kept = 0;
  try {
    const SensorLog log = read_log(file.path(), options);
    check(log);
    kept = log.samples.size();
  } catch (const Error& error) {
    require(error.code() == ErrorCode::kUnreadable || error.code() == ErrorCode::kUsage,
            "bad input is not called our own mistake");
    require(!error.where().empty() && !error.problem().empty() && !error.mend().empty(),
            "an error says where, what, and how to mend it");
    return 0;
  }
  std::size_t streamed = 0;
  static_cast<void>(
      read_log(file.path(), options, [&](const SensorLog&, std::span<const SensorSample> samples) {
        streamed += samples.size();
      }));
  require(streamed == kept, "a stream hands over the same samples");
  return 0;
}
