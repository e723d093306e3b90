#pragma once

#include <optional>
#include <vector>

#include <opencv2/core.hpp>

#include "libkinetics/media/luma_view.h"
#include "libkinetics/tracking/judged_circles.h"
#include "libkinetics/tracking/rim.h"

/// Looks over a whole picture for discs, now and then. Internal.

namespace kinetics {

/// Fits the rim under several ideas of where the camera stands and keeps the one most of the rim
/// agrees with: seen off square, a thick disc's outline looks like another, rounder disc's. What
/// can hardly reach the least agreement is not gone into.
[[nodiscard]] std::optional<RimFit> best_view(const LumaView& picture,
                                              const Ellipse& guess,
                                              const RimOptions& options,
                                              double least_agreement = 0.0);

/// A rim outside this one, when most of it is seen: this one is then a lip or a smaller disc.
[[nodiscard]] std::optional<RimFit> wider_rim(const LumaView& picture,
                                              const RimFit& fit,
                                              double least_rim);

/// Confirms a round thing at full resolution: its rim is fitted, and when a wider concentric rim
/// is seen as well, that one is taken (a small disc may hang outside the large one). The least
/// agreement is as for best_view.
[[nodiscard]] std::optional<RimFit> confirm_disc(const LumaView& picture,
                                                 const Eigen::Vector2d& centre_px,
                                                 double radius_px,
                                                 double least_rim,
                                                 double least_agreement = 0.0);

/// The disc around a place a person pointed at, with less asked of its rim than elsewhere.
[[nodiscard]] std::optional<RimFit> find_disc_at(const LumaView& picture,
                                                 const Eigen::Vector2d& place_px);

/// The hub of a disc, a ring of a sixth to a half of its size about the same middle, when most of
/// it is seen. It shines where the rim may be lost: a black disc on a black mat.
[[nodiscard]] std::optional<RimFit> hub_of(const LumaView& picture, const RimFit& disc);

/// Remembers the last picture it looked at, so that moving edges can be told from still ones.
class DiscFinder {
 public:
  enum class Memory { kShort, kOfJudged };
  /// With a memory of what it judged, it does not look again into what has not changed since.
  explicit DiscFinder(Memory memory = Memory::kShort) : memory_(memory) {}

  /// The next look goes over all edges again.
  void begin_anew() { looks_ = 0; }

  /// Round things in this picture, the most convincing first. Looks among all edges now and
  /// then, and among moving ones alone every time: a busy background cannot drown the disc there.
  /// Places of discs that are followed already are passed over, and
  /// what is smaller than the least radius.
  [[nodiscard]] std::vector<RimFit> look(const LumaView& picture,
                                         const std::vector<Ellipse>& followed,
                                         double least_radius_px);

  /// Discs about as large as this one, above and below it, the most convincing first: where a bar
  /// may have gone to. Costs a part of a look.
  [[nodiscard]] static std::vector<RimFit> look_in_column(const LumaView& picture,
                                                          const Ellipse& like,
                                                          const std::vector<Ellipse>& followed);

 private:
  Memory memory_;
  JudgedCircles judged_;
  cv::Mat1b last_;
  int looks_ = 0;
};

}  // namespace kinetics
