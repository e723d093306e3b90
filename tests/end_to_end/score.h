#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "libkinetics/session/session.h"
#include "samples/render/film.h"

/// Comparing what was measured with what is true.

namespace accuracy {

/// Errors of one quantity over many repetitions, measured minus true.
struct Errors {
  std::vector<double> values;
  std::size_t covered = 0;  ///< how often the stated 95 % interval held the truth

  void add(double measured, double truth, double lo, double hi);
  void add(const Errors& more);
  [[nodiscard]] double bias() const;
  [[nodiscard]] double sd() const;
  /// 95 % limits of agreement: J. M. Bland, D. G. Altman, Lancet 1986; i:307–310.
  [[nodiscard]] double lower() const { return bias() - 1.96 * sd(); }
  [[nodiscard]] double upper() const { return bias() + 1.96 * sd(); }
  [[nodiscard]] double widest() const;  ///< the limit farther from zero
  [[nodiscard]] double coverage() const;
};

struct Score {
  std::string name;
  std::string trouble;  ///< why there is no result at all
  std::size_t truth_reps = 0;
  std::size_t found = 0;
  std::size_t missed = 0;
  std::size_t invented = 0;
  std::size_t mislabelled = 0;   ///< full, partial or failed taken for another of the three
  std::size_t not_measured = 0;  ///< found, with a reason instead of a velocity
  Errors mean_velocity, peak_velocity, rom;
  double centre_sum_px2 = 0.0;  ///< squared distance of the rim's centre from the truth
  std::size_t centres = 0;
  double clip_s = 0.0;
  double analysis_s = 0.0;
  std::vector<std::string> details;  ///< one line a repetition

  void add(const Score& more);
  [[nodiscard]] double centre_rms_px() const;
};

/// Pairs repetitions by overlap in time. Velocities are compared for full repetitions only.
[[nodiscard]] Score compare(const std::string& name,
                            const kinetics::Session& session,
                            const render::ClipTruth& truth);

}  // namespace accuracy
