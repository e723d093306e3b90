#include "tests/bench/box_tracker.h"

#include <algorithm>
#include <stdexcept>

#include <opencv2/core.hpp>
#include <opencv2/tracking.hpp>
#include <opencv2/tracking/tracking_legacy.hpp>

#include "libkinetics/media/clip_reader.h"

namespace peers {
namespace {

using kinetics::PathPoint;

// MOSSE and median flow live on in OpenCV's legacy namespace only; all four are taken from there,
// where boxes are fractional, so that none is at a disadvantage by whole pixels.
cv::Ptr<cv::legacy::Tracker> make(Kind kind) {
  switch (kind) {
    case Kind::kCsrt:
      return cv::legacy::TrackerCSRT::create();
    case Kind::kKcf:
      return cv::legacy::TrackerKCF::create();
    case Kind::kMosse:
      return cv::legacy::TrackerMOSSE::create();
    case Kind::kMedianFlow:
      return cv::legacy::TrackerMedianFlow::create();
  }
  throw std::logic_error("no such tracker");
}

// Pixels a metre where the disc is, from the true motion in the picture and in the gym.
double px_per_m(const render::ClipTruth& truth) {
  const auto [low, high] = std::minmax_element(
      truth.frames.begin(), truth.frames.end(), [](const auto& a, const auto& b) {
        return a.height_m < b.height_m;
      });
  const double rise_m = high->height_m - low->height_m;
  if (rise_m < 0.1) throw std::runtime_error("the bar never moves");
  return (low->disc_centre.y - high->disc_centre.y) / rise_m;
}

cv::Rect2d box_around(const render::Pixel& centre, double size_px) {
  return {centre.x - 0.5 * size_px + 0.5, centre.y - 0.5 * size_px + 0.5, size_px, size_px};
}

}  // namespace

std::string name_of(Kind kind) {
  switch (kind) {
    case Kind::kCsrt:
      return "CSRT";
    case Kind::kKcf:
      return "KCF";
    case Kind::kMosse:
      return "MOSSE";
    case Kind::kMedianFlow:
      return "MedianFlow";
  }
  return "?";
}

kinetics::Session follow(Kind kind, const accuracy::MadeClip& clip) {
  kinetics::ClipReader reader(clip.file.string(), clip.options.clip);
  kinetics::Session session;
  session.clip = reader.info();
  session.options = clip.options;

  const double diameter_m = clip.options.tracking.disc_diameter_m;
  const double size_px = px_per_m(clip.truth) * diameter_m;
  const double m_per_px = diameter_m / size_px;
  const cv::Ptr<cv::legacy::Tracker> tracker = make(kind);
  cv::Rect2d box = box_around(clip.truth.frames.at(0).disc_centre, size_px);
  cv::Point2d first;
  while (const auto frame = reader.next()) {
    kinetics::ColourPicture picture = kinetics::to_colour(*frame, reader.info());
    const cv::Mat image(picture.height_px, picture.width_px, CV_8UC3, picture.bgr.data());
    const bool starts = session.path.points.empty();
    const bool seen = starts ? tracker->init(image, box) : tracker->update(image, box);
    // Boxes count from pixel edges, our places from pixel middles.
    const cv::Point2d centre(box.x + 0.5 * box.width - 0.5, box.y + 0.5 * box.height - 0.5);
    if (starts) first = centre;

    // One pixel: the smoother finds out by itself how much noise there really is.
    session.path.points.push_back({.t_s = frame->t_s,
                                   .x_m = (centre.x - first.x) * m_per_px,
                                   .y_m = (first.y - centre.y) * m_per_px,
                                   .sigma_x_m = m_per_px,
                                   .sigma_y_m = m_per_px,
                                   .seen = seen});
    kinetics::DiscSighting sighting;
    sighting.frame = frame->index;
    sighting.t_s = frame->t_s;
    sighting.sighting = seen ? kinetics::Sighting::kSeen : kinetics::Sighting::kLost;
    sighting.centre = {centre.x, centre.y};
    session.disc.sightings.push_back(sighting);
  }
  session.path.scale_sigma_rel = 0.01;
  session.motion = kinetics::estimate_motion(session.path, session.options.motion);
  session.reps = kinetics::find_reps(session.motion, session.options.reps).reps;
  return session;
}

}  // namespace peers
