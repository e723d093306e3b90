#pragma once

#include <vector>

/// Where the bar was, when, and how sure that is: what every source of measurement delivers.

namespace kinetics {

/// One sighting of the bar. Gym frame: x level in the plane of the lift (to the right as seen by
/// the camera), y up; the origin is where the path began.
struct PathPoint {
  double t_s = 0.0;
  double x_m = 0.0;
  double y_m = 0.0;
  double sigma_x_m = 0.0;  ///< 1 sigma of this point alone, without the errors all points share
  double sigma_y_m = 0.0;
  /// The part of the height's error that lasts over some tenths of a second (1 sigma): a rim partly
  /// covered is pulled the same way from frame to frame. It is part of sigma_y_m, not beside it.
  double lasting_sigma_m = 0.0;
  bool seen = true;  ///< false: the bar was hidden; x and y are a guess and carry no weight
};

/// The path through a whole clip or log. One point per frame, times strictly increasing.
struct BarPath {
  std::vector<PathPoint> points;
  /// Error that all lengths share, as a fraction (1 sigma): the disc's own tolerance, the edge's
  /// position, the view. It does not average out over a clip.
  double scale_sigma_rel = 0.0;
  /// Time error that grows with height because the sensor's rows are read out one by one and the
  /// readout time is not known (1 sigma), s per m of height. 0 when it was corrected.
  double shutter_sigma_s_per_m = 0.0;
  /// Timing error of one stamp (1 sigma), s: the container's resolution, and how far pictures stray
  /// from the times they carry. Not part of the points' sigmas.
  double stamp_sigma_s = 0.0;
  /// Error of the time in which the bar starts or stops (1 sigma), s: of pictures that are missing
  /// without a gap in the stamps, those do not show.
  double slow_time_sigma_s = 0.0;
  /// Errors of sightings nearer to each other in time than this are alike, s: video coding carries
  /// what is wrong with one picture on to the next ones. 0 where each errs by itself.
  double alike_s = 0.0;
  /// How far the picture lags behind a bar that hardly moves (1 sigma), m. Video coding leaves a
  /// part of the picture as it was until it has changed by a fair share of a pixel, so a bar that
  /// comes to rest gently seems to stop early. Errors of this kind last from frame to frame.
  double hold_sigma_m = 0.0;
};

/// Throws Error{kInternal} unless times strictly increase and all numbers are finite, naming the
/// first bad pair of points.
void check(const BarPath& path);

}  // namespace kinetics
