#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>

#include "libkinetics/core/progress.h"
#include "libkinetics/sensor/sensor_log.h"

/// Reads a log of a bar-mounted sensor, or of a cable encoder, from a text file.

namespace kinetics {

/// What the reader is told. Whatever is left open it decides from the header and the numbers, and
/// says so in the log's notes.
struct LogOptions {
  /// What each column is, from the left: t, ax, ay, az, gx, gy, gz, h (height), or - for one to
  /// skip: "t,-,ax,ay,az". Columns beyond the last named are skipped. Empty: from the header.
  std::string columns = {};
  /// Units, where the header's are missing or wrong: "g,deg/s", "accel=16384/g,time=ms". They hold
  /// for both files.
  std::string units = {};
  /// Rows a second. The rows are then taken as even and the stamps are not read.
  std::optional<double> rate_hz = {};
  /// Rotation rates, when they are in a file of their own. It is held in memory.
  std::filesystem::path gyroscope_file = {};
  /// As `columns`, for that file.
  std::string gyroscope_columns = {};
  /// How far the reader is, by bytes of the main file.
  Progress progress = {};
};

/// Takes samples as they are read, in order of time, some thousand at a time. `log` holds what is
/// known from the start: `has_gyroscope`, `rate_hz`, `started_unix_s` and the decisions so far; its
/// `samples` stay empty.
using SampleSink = std::function<void(const SensorLog& log, std::span<const SensorSample> samples)>;

/// Reads the whole log.
///
/// Shape     text with one row a sample: any of comma, semicolon, tab, bar and spaces between the
///           cells, decimal point or comma, quotes, remarks, lines above the header or no header,
///           any line end, UTF-8, UTF-16 or Latin-1. Acceleration on three axes with or without
///           rotation rate, at 3 to 2500 rows a second; or one height.
/// Frame     the sensor's own, as logged. Heights upwards, from the first row.
/// Units     SI, from g, mg, m/s², cm/s², raw counts, deg/s, rad/s, s, ms, µs, ns, dates and clock
///           readings; mm, cm, m. A unit that no header states is decided from the numbers: a
///           sensor at rest feels one g.
/// Time      rows that share a stamp, as loggers write that send in packets or stamp in whole
///           seconds, are laid out evenly between the stamps. Rows out of order by less than 64
///           rows are sorted; rows that are there twice are dropped; holes stay holes.
/// Errors    throws Error{kUsage} for options that make no sense, Error{kUnreadable} with file,
///           line and reason for a log that cannot be used: no acceleration or height, no time,
///           gravity taken out, time that runs backwards, or more than one row in twenty wrong.
///           Fewer wrong rows are left out with a note that names the first.
/// Cost      O(n) time. Memory: the samples, the gyroscope's file when there is one, and a few
///           megabytes.
/// Source    standard gravity 9.80665 m/s² (3rd CGPM, 1901).
[[nodiscard]] SensorLog read_log(const std::filesystem::path& path, const LogOptions& options = {});

/// As above, but hands the samples to `sink` and keeps none: memory does not grow with the log.
/// `clipped` is then known from what has been read so far. Positions are kept in the log returned.
[[nodiscard]] SensorLog read_log(const std::filesystem::path& path,
                                 const LogOptions& options,
                                 const SampleSink& sink);

}  // namespace kinetics
