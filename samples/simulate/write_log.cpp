// The file a logger writes: columns, units and habits as the spec asks.
#include <cmath>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <numbers>
#include <stdexcept>

#include "samples/render/truth_json.h"
#include "samples/simulate/sensor.h"

namespace simulate {
namespace {

constexpr double kStandardGravity_mps2 = 9.80665;

struct Column {
  std::string name;
  bool is_text = false;
};

class LogWriter {
 public:
  LogWriter(const SensorSpec& spec, const std::string& path)
      : spec_(spec), file_(spec.file), path_(path), out_(path, std::ios::binary) {}

  // Which of the two sensors go into this file.
  void write(const std::vector<Row>& rows, bool accel, bool gyro) {
    if (file_.byte_order_mark) out_ << "\xEF\xBB\xBF";
    if (file_.comments) {
      line("# bar sensor, rate " + number(spec_.rate_hz, 2) + " Hz");
      line("# Northgate Barbell, platform 2");
      line("");
    }
    if (file_.header != "none") header(accel, gyro);
    std::size_t index = 0;
    for (const Row& row : rows) write(row, ++index, accel, gyro);
    if (!out_.flush())
      throw std::runtime_error(path_ + ": cannot be written. Check folder and disk");
  }

 private:
  void line(const std::string& text) { out_ << text << (file_.crlf ? "\r\n" : "\n"); }
  std::string number(double value, int decimals) const {
    char text[64];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    std::string out = text;
    if (file_.decimal_comma)
      if (const auto dot = out.find('.'); dot != std::string::npos) out[dot] = ',';
    return out;
  }
  std::string quoted(const std::string& text) const {
    return file_.quoted ? "\"" + text + "\"" : text;
  }
  void add(std::string& to, const std::string& cell) const {
    if (!to.empty()) to += file_.delimiter;
    to += quoted(cell);
  }

  std::string time_name() const {
    const std::string& t = file_.time;
    const bool date = t == "epoch_s" || t == "epoch_ms" || t == "iso" || t == "clock";
    const std::string unit = t == "epoch_s" ? "s" : t == "epoch_ms" ? "ms" : t;
    if (t == "iso" || t == "clock") return file_.header == "short" ? "t" : "timestamp";
    if (file_.header == "plain") return (date ? "epoch_" : "time_") + unit;
    if (file_.header == "words") return (date ? "Epoch (" : "Elapsed time (") + unit + ")";
    if (file_.header == "axis") return date ? "timestamp" : "elapsed (" + unit + ")";
    return unit == "s" ? "t" : "t_" + unit;
  }
  static std::string plain_unit(const std::string& unit) {
    if (unit == "m/s2") return "mps2";
    if (unit == "rad/s") return "radps";
    if (unit == "deg/s") return "dps";
    if (unit == "mdeg/s") return "mdps";
    return unit;
  }
  std::string axis_name(bool accel, char axis) const {
    const std::string unit = accel ? file_.accel_unit : file_.gyro_unit;
    const std::string a(1, axis);
    if (file_.header == "plain") return (accel ? "a" : "g") + a + "_" + plain_unit(unit);
    if (file_.header == "words")
      return std::string(accel ? "Acceleration " : "Angular velocity ") + a + " (" + unit + ")";
    if (file_.header == "axis") return a + "-axis (" + unit + ")";
    return (accel ? "a" : "g") + a;
  }
  std::string height_name() const {
    if (file_.header == "plain") return "height_" + file_.height_unit;
    if (file_.header == "words") return "Position (" + file_.height_unit + ")";
    if (file_.header == "axis") return "height (" + file_.height_unit + ")";
    return "h";
  }

  void header(bool accel, bool gyro) {
    std::string text;
    if (file_.extra_columns) add(text, "row");
    if (file_.time != "none") add(text, time_name());
    if (spec_.kind == "position") add(text, height_name());
    for (const bool is_accel : {!file_.gyro_first, file_.gyro_first}) {
      if (spec_.kind == "position" || !(is_accel ? accel : gyro)) continue;
      for (const char axis : {'x', 'y', 'z'}) add(text, axis_name(is_accel, axis));
    }
    if (file_.magnitude && accel) add(text, "magnitude");
    if (file_.extra_columns) add(text, "temperature_c"), add(text, "battery_v");
    line(text);
  }

  std::string time_cell(double t) const {
    const std::string& kind = file_.time;
    const double wall = file_.started_unix_s + t;
    if (kind == "s") return number(t, file_.time_decimals);
    if (kind == "ms") return number(1e3 * t, 0);
    if (kind == "us") return number(1e6 * t, 0);
    if (kind == "ns") return number(1e9 * t, 0);
    if (kind == "epoch_s") return number(wall, file_.time_decimals);
    if (kind == "epoch_ms") return number(1e3 * wall, 0);
    const auto whole = static_cast<std::time_t>(std::floor(wall));
    int milli = static_cast<int>(std::lround(1e3 * (wall - std::floor(wall))));
    const std::time_t second = milli == 1000 ? whole + 1 : whole;
    milli %= 1000;
    std::tm parts{};
    gmtime_r(&second, &parts);
    char text[64], tail[16];
    std::strftime(text, sizeof text, kind == "iso" ? "%Y-%m-%dT%H:%M:%S" : "%H:%M:%S", &parts);
    std::snprintf(tail, sizeof tail, ".%03d%s", milli, kind == "iso" ? "Z" : "");
    return std::string(text) + tail;
  }

  void write(const Row& row, std::size_t index, bool accel, bool gyro) {
    std::string text;
    if (file_.extra_columns) add(text, std::to_string(index));
    if (file_.time != "none") add(text, time_cell(row.stamp_s));
    if (spec_.kind == "position") {
      const double unit = file_.height_unit == "mm" ? 1e-3 : file_.height_unit == "cm" ? 1e-2 : 1.0;
      add(text, number(row.height_m / unit, unit == 1.0 ? 5 : unit == 1e-2 ? 3 : 2));
    }
    for (const bool is_accel : {!file_.gyro_first, file_.gyro_first}) {
      if (spec_.kind == "position" || !(is_accel ? accel : gyro)) continue;
      const double unit = is_accel ? accel_unit() : gyro_unit();
      const int decimals = is_accel ? file_.accel_decimals : file_.gyro_decimals;
      for (const double value : is_accel ? row.accel_mps2 : row.rate_radps)
        add(text, number(value / unit, decimals));
    }
    if (file_.magnitude && accel)
      add(text, number(row.accel_mps2.norm() / accel_unit(), file_.accel_decimals));
    if (file_.extra_columns) {
      add(text, number(22.0 + 4.0 * (1.0 - std::exp(-row.stamp_s / 600.0)), 1));
      add(text, number(3.9 - 1e-5 * row.stamp_s, 2));
    }
    line(text);
  }
  double accel_unit() const {
    if (file_.accel_unit == "g") return kStandardGravity_mps2;
    if (file_.accel_unit == "mg") return 1e-3 * kStandardGravity_mps2;
    return 1.0;
  }
  double gyro_unit() const {
    if (file_.gyro_unit == "deg/s") return std::numbers::pi / 180.0;
    if (file_.gyro_unit == "mdeg/s") return 1e-3 * std::numbers::pi / 180.0;
    return 1.0;
  }

  const SensorSpec& spec_;
  const FileSpec& file_;
  std::string path_;
  std::ofstream out_;
};

}  // namespace

std::string gyro_path(const std::string& path) {
  const std::filesystem::path p(path);
  return (p.parent_path() / (p.stem().string() + ".gyro" + p.extension().string())).string();
}

void write_log(const SimulatedLog& log, const SensorSpec& spec, const std::string& path) {
  const bool apart = spec.file.gyro_file && spec.gyroscope;
  LogWriter(spec, path).write(log.rows, true, spec.gyroscope && !apart);
  if (apart) LogWriter(spec, gyro_path(path)).write(log.gyro_rows, false, true);
}

void write_truth(const LogTruth& truth, const std::string& path) {
  const nlohmann::json j{{"first_row_in_clip_s", truth.first_row_in_clip_s},
                         {"skew_ppm", truth.skew_ppm},
                         {"lag_s", truth.lag_s},
                         {"gravity_mps2", truth.gravity_mps2},
                         {"reps", render::json_of(truth.reps)},
                         {"reps_in_clip", render::json_of(truth.reps_in_clip)}};
  std::ofstream file(path);
  file << j.dump(1) << '\n';
  if (!file.flush()) throw std::runtime_error(path + ": cannot be written. Check folder and disk");
}

}  // namespace simulate
