#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

/// The sensor on the bar, everything that is wrong with it, and the file its logger writes. The
/// "sensor" block of a scene names the same fields (samples/simulate/sensor_spec.cpp lists them).
///
/// The defaults are what an ordinary consumer-grade sensor does: orders of magnitude from memory of
/// the trade, no single source. Densities are two-sided, as the coefficient N of IEEE Std 952-1997
/// (σ of one sample is N·√rate); a data sheet's one-sided figure is √2 larger.

namespace simulate {

/// Where the sensor sits and how that part of the bar turns.
struct MountSpec {
  /// collar: fixed to the bar near its end. sleeve: on the part that turns freely, with the discs.
  /// middle: fixed to the bar between the hands. wrist: worn by the lifter, turning with the lift
  /// about some level axis rather than the bar's.
  std::string place = "collar";
  double off_axis_m = 0.035;  ///< from the bar's axis
  /// Turns from the bar's frame about its z, then y, then x. Left empty: any angle, drawn by lot.
  std::optional<std::array<double, 3>> angles_deg{};
  /// The sensor's z axis points roughly down. Ignored when the angles are given.
  bool upside_down = false;
  /// How far the bar turns in the hands or on the back over 0.5 m of height. Left empty: 12 for
  /// squats, 5 for the other lifts.
  std::optional<double> bar_pitch_deg{};
  double bar_pitch_noise_deg = 1.5;  ///< 1 sigma of what the bar turns besides
  double bar_tilt_deg = 0.3;         ///< 1 sigma: one end leads the other
  double sleeve_turn_deg = 8.0;      ///< 1 sigma, of a sleeve over a repetition
  double spin_turns = 0.0;           ///< whole turns of a sleeve over a repetition, besides
};

/// What shakes the sensor besides the lift.
struct ShakeSpec {
  double contacts = 1.0;        ///< strength of knocks at hooks, box, floor; 0: none, 1: ordinary
  double rattle_mps2 = 0.3;     ///< 1 sigma of discs and collars rattling at 0.5 m/s and above
  double whip_mm = 0.0;         ///< first swing of the bar's own bending after it starts or stops
  double tremor_mm = 0.0;       ///< of the lifter's hands, while lifting
  double plate_change_g = 2.0;  ///< strongest knock while discs are changed
};

struct ErrorSpec {
  double accel_noise_ug_rthz = 200.0;
  double gyro_noise_dps_rthz = 0.01;
  double accel_bias_mg = 30.0;  ///< 1 sigma an axis
  double gyro_bias_dps = 1.0;
  double accel_walk_ug_rts = 30.0;  ///< random walk of the bias: the K of IEEE Std 952-1997
  double gyro_walk_dps_rts = 0.002;
  double accel_instability_mg = 0.1;  ///< 1 sigma of a bias that wanders and comes back
  double gyro_instability_dps = 0.005;
  double instability_s = 100.0;  ///< and how soon it forgets
  double accel_scale_pct = 1.0;  ///< 1 sigma an axis
  double gyro_scale_pct = 1.0;
  double misalignment_deg = 0.5;  ///< 1 sigma of each axis against each other
  double gyro_per_g_dps = 0.0;    ///< 1 sigma of what a gyroscope axis reads for 1 g
  double accel_range_g = 8.0;     ///< readings stop there; 0: no end
  double gyro_range_dps = 2000.0;
  int bits = 16;                      ///< of a reading over the whole range; 0: no steps
  std::optional<double> filter_hz{};  ///< half-power frequency before sampling. Left empty: rate/2;
                                      ///< 0: none, so that what is faster folds back
  /// Of a position log: the step it counts in, the noise, and where the cable comes from.
  double height_step_mm = 1.0;
  double height_noise_mm = 0.2;
  double cable_aside_m = 0.05;  ///< from under where the lifts are done, level
};

struct GapSpec {
  double at_s = 0.0;  ///< in the clip's time, as everywhere
  double length_s = 0.5;
};

struct ClockSpec {
  double skew_ppm = 0.0;       ///< the log's clock runs fast by this
  double jitter_s = 0.0;       ///< 1 sigma of when a row is really taken; its stamp says when
  double stamp_error_s = 0.0;  ///< 1 sigma of what a stamp says wrongly
  int rows_a_packet = 1;       ///< rows that share the stamp of the packet they came in
  double dropped_share = 0.0;
  double repeated_share = 0.0;  ///< rows written twice
  double swapped_share = 0.0;   ///< rows written after the one that follows them
  double gyro_late_s = 0.0;     ///< of a gyroscope file: its rows are taken this much later
  double gyro_rate_hz = 0.0;    ///< of a gyroscope file; 0: that of the accelerometer
  std::vector<GapSpec> gaps{};
  /// The logger sleeps: it writes only what is this close to a movement. 0: it writes everything.
  double awake_s = 0.0;
};

struct FileSpec {
  std::string delimiter = ",";
  bool decimal_comma = false;
  /// s, ms, us, ns, epoch_s, epoch_ms, iso, clock (hh:mm:ss.fff) or none
  std::string time = "s";
  double started_unix_s = 1789200000.0;  ///< for the times that say the date
  std::string accel_unit = "m/s2";       ///< m/s2, g or mg
  std::string gyro_unit = "rad/s";       ///< rad/s, deg/s or mdeg/s
  std::string height_unit = "m";         ///< m, cm or mm
  std::string header = "plain";          ///< plain, words, short, axis or none
  int accel_decimals = 5;
  int gyro_decimals = 5;
  int time_decimals = 4;  ///< of seconds; whole numbers for ms, µs and ns
  bool gyro_first = false;
  bool gyro_file = false;      ///< the gyroscope's rows go to a file of their own
  bool extra_columns = false;  ///< a row number in front, temperature and battery behind
  bool magnitude = false;      ///< a column with the length of the acceleration
  bool comments = false;
  bool quoted = false;
  bool crlf = false;
  bool byte_order_mark = false;
};

/// The sensor is in somebody's hands: picked up, turned, carried, put down.
struct HandlingSpec {
  double at_s = -8.0;
  double length_s = 5.0;
  double rise_m = 0.6;  ///< lifted by so much and set down again
  double turn_deg = 140.0;
  int knocks = 3;
  double steps_mm = 0.0;   ///< whoever has it walks: it bobs by so much at each step
  double swing_deg = 0.0;  ///< and swings as an arm does
  bool returns = false;    ///< it is put back as it was, not in another attitude
};

struct SensorSpec {
  std::uint64_t seed = 0;         ///< 0: the scene's
  std::string kind = "inertial";  ///< inertial or position
  double rate_hz = 100.0;
  bool gyroscope = true;
  double starts_before_s = 2.0;  ///< before the clip's first picture
  double ends_after_s = 2.0;
  std::optional<double> latitude_deg{};  ///< gives the local gravity; left empty: 9.80665
  MountSpec mount;
  ShakeSpec shake;
  ErrorSpec errors;
  ClockSpec clock;
  FileSpec file;
  std::vector<HandlingSpec> handled{};
  std::vector<double> plates_changed_s{};  ///< besides the clip's own plate changes
};

/// Reads the "sensor" block of a scene; defaults where there is none. Throws std::runtime_error
/// naming the file and the field that is wrong.
[[nodiscard]] SensorSpec parse_sensor(const std::string& scene_text, const std::string& where);
[[nodiscard]] SensorSpec read_sensor(const std::string& path);

/// A sensor that reads the truth: no noise, no error, no filter, steps or end of range.
[[nodiscard]] ErrorSpec no_errors();

/// Local gravity at sea level, m/s².
///
/// Source  Helmert's formula: g = 9.80616 − 0.025928 cos 2φ + 0.000069 cos² 2φ (Kaye & Laby tables,
///         from memory).
[[nodiscard]] double gravity_mps2(const SensorSpec& spec);

/// Makes up a scene with a sensor, clip and all; the same seed gives the same one. `hard` piles
/// conditions on each other.
[[nodiscard]] std::string random_log_scene(std::uint64_t seed, bool hard);

/// Makes up what somebody with an uncalibrated sensor on the wrist or the bar brings along: single
/// sets cut off next to their repetitions, whole workouts with walks in the rests, and logs of rest
/// alone; at low rates as a rule, the gyroscope in a file and at a rate of its own. No clip.
[[nodiscard]] std::string random_worn_scene(std::uint64_t seed);

}  // namespace simulate
