#include "tests/sensor/made_log.h"

#include <atomic>
#include <cmath>
#include <fstream>
#include <numbers>
#include <random>

#include <Eigen/Geometry>
#include <fmt/format.h>
#include <unistd.h>

namespace kinetics_test {

MadeFile::MadeFile(std::string_view bytes, std::string_view name) {
  static std::atomic<int> count = 0;
  folder_ = std::filesystem::temp_directory_path() /
            fmt::format("kinetics-sensor-{}-{}", ::getpid(), count++);
  std::filesystem::create_directories(folder_);
  path_ = folder_ / name;
  std::ofstream(path_, std::ios::binary) << bytes;
}

MadeFile::~MadeFile() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

std::vector<TrueRow> true_rows(double rate_hz, double seconds, unsigned seed) {
  std::mt19937 random(seed);
  std::normal_distribution<double> accel_noise(0.0, 0.02);
  std::normal_distribution<double> rate_noise(0.0, 0.003);
  const double step_s = 1.0 / rate_hz;
  Eigen::Quaterniond room_from_sensor(
      Eigen::AngleAxisd(0.4, Eigen::Vector3d(1, 2, 0).normalized()));
  std::vector<TrueRow> rows;
  for (int i = 0; i < static_cast<int>(std::lround(seconds * rate_hz)); ++i) {
    const double t_s = i * step_s;
    Eigen::Vector3d turn = Eigen::Vector3d::Zero();
    // Turned by hand over a quarter circle and back, from the third second to the fifth.
    if (t_s > 2.0 && t_s < 4.0) {
      turn = Eigen::Vector3d(1.2, 0.4, 0.2) * std::sin(std::numbers::pi * (t_s - 2.0));
    }
    double rise_mps2 = 0.0;
    for (const double start_s : {5.0, 8.0}) {
      const double s = t_s - start_s;
      const double w = 2.0 * std::numbers::pi / 1.6;
      if (s > 0.0 && s < 1.6) rise_mps2 = -0.25 * w * w * std::cos(w * s);
    }
    const Eigen::Vector3d force =
        room_from_sensor.conjugate() * Eigen::Vector3d(0.0, 0.0, 9.80665 + rise_mps2);
    TrueRow row{.t_s = t_s, .accel_mps2 = {}, .rate_radps = {}};
    for (int axis = 0; axis < 3; ++axis) {
      const auto a = static_cast<std::size_t>(axis);
      row.accel_mps2[a] = force[axis] + accel_noise(random);
      row.rate_radps[a] = turn[axis] + rate_noise(random) + (axis == 0 ? 0.01 : -0.008);
    }
    rows.push_back(row);
    room_from_sensor = room_from_sensor * Eigen::Quaterniond(Eigen::AngleAxisd(
                                              turn.norm() * step_s,
                                              turn.norm() > 0.0 ? Eigen::Vector3d(turn.normalized())
                                                                : Eigen::Vector3d::UnitX()));
  }
  return rows;
}

std::string written(std::string_view head,
                    const std::vector<TrueRow>& rows,
                    std::string_view delimiter,
                    const std::function<std::vector<std::string>(const TrueRow&)>& cells,
                    std::string_view line_end) {
  std::string text;
  const auto end_line = [&] { text += line_end; };
  while (!head.empty()) {
    const std::size_t end = head.find('\n');
    text += head.substr(0, end);
    end_line();
    head = end == std::string_view::npos ? std::string_view() : head.substr(end + 1);
  }
  for (const TrueRow& row : rows) {
    text += fmt::format("{}", fmt::join(cells(row), delimiter));
    end_line();
  }
  return text;
}

std::string number(double value, int decimals) {
  return fmt::format("{:.{}f}", value, decimals);
}

std::function<std::vector<std::string>(const TrueRow&)> plain_cells(double time_unit_s,
                                                                    double accel_unit_mps2,
                                                                    double rate_unit_radps) {
  return [=](const TrueRow& row) {
    std::vector<std::string> cells{number(row.t_s / time_unit_s, time_unit_s < 0.5 ? 0 : 4)};
    for (const double a : row.accel_mps2) {
      cells.push_back(number(a / accel_unit_mps2, accel_unit_mps2 < 0.5 ? 1 : 5));
    }
    if (rate_unit_radps != 0.0) {
      for (const double w : row.rate_radps) cells.push_back(number(w / rate_unit_radps, 5));
    }
    return cells;
  };
}

}  // namespace kinetics_test
