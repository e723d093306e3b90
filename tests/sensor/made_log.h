#pragma once

#include <array>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

/// Logs written for a test, with what is true of them.

namespace kinetics_test {

/// A file with the given bytes, gone with the object.
class MadeFile {
 public:
  explicit MadeFile(std::string_view bytes, std::string_view name = "made.csv");
  ~MadeFile();
  MadeFile(const MadeFile&) = delete;
  MadeFile& operator=(const MadeFile&) = delete;
  [[nodiscard]] const std::filesystem::path& path() const { return path_; }
  [[nodiscard]] std::string line(int number) const {
    return path_.string() + ":" + std::to_string(number);
  }

 private:
  std::filesystem::path folder_;
  std::filesystem::path path_;
};

/// One row of a motion, SI units.
struct TrueRow {
  double t_s = 0.0;
  std::array<double, 3> accel_mps2{};
  std::array<double, 3> rate_radps{};
};

/// A sensor that lies still, is turned slowly by hand, and rises twice: enough of all that decides
/// units. Seeded.
[[nodiscard]] std::vector<TrueRow> true_rows(double rate_hz, double seconds, unsigned seed = 1);

/// Rows as text: `cells` makes the cells of one row.
[[nodiscard]] std::string written(
    std::string_view head,
    const std::vector<TrueRow>& rows,
    std::string_view delimiter,
    const std::function<std::vector<std::string>(const TrueRow&)>& cells,
    std::string_view line_end = "\n");

[[nodiscard]] std::string number(double value, int decimals);

/// t, ax, ay, az (and gx, gy, gz) with these units, in SI.
[[nodiscard]] std::function<std::vector<std::string>(const TrueRow&)> plain_cells(
    double time_unit_s, double accel_unit_mps2, double rate_unit_radps = 0.0);

}  // namespace kinetics_test
