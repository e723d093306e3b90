#pragma once

#include <vector>

/// Zero-lag Butterworth low-pass and the choice of its cut-off, as the literature on bar velocity
/// uses them. For comparison; the Kalman smoother in motion.h is what the tool reports by default.

namespace kinetics {

/// One second-order pass: y[i] = a0 x[i] + a1 x[i-1] + a2 x[i-2] + b1 y[i-1] + b2 y[i-2].
///
/// Source  D. A. Winter, Biomechanics and Motor Control of Human Movement; the signs of b are
///         opposite to those of most filter libraries. The five sum to 1.
struct LowPass {
  double a0 = 1.0;
  double a1 = 0.0;
  double a2 = 0.0;
  double b1 = 0.0;
  double b2 = 0.0;
};

/// How much lower than asked each of `passes` equal passes must not cut: C = (2^(1/n) - 1)^(1/4).
/// 1 for one pass, 0.802243 for a run forth and back. Divides the warped frequency tan(pi fc/fs).
///
/// Source  D. G. E. Robertson, J. J. Dowling, J Electromyogr Kinesiol 2003; 13:569-573.
[[nodiscard]] double pass_correction(int passes);

/// Coefficients for a half-power frequency that holds after all `passes`.
///
/// Errors  Error{kUsage} unless 0 < cutoff_hz < rate_hz / 2 and passes >= 1.
[[nodiscard]] LowPass butterworth(double cutoff_hz, double rate_hz, int passes = 2);

/// One pass from rest (zero before the first value).
[[nodiscard]] std::vector<double> filter_once(const std::vector<double>& values, const LowPass& f);

/// Forth and back: no lag, the gain squared. The ends are extended by a point reflection of nine
/// values, and each pass starts in its steady state.
///
/// Errors  Error{kUnreadable} with fewer than 10 values.
[[nodiscard]] std::vector<double> filter_both_ways(const std::vector<double>& values,
                                                   const LowPass& f);

/// Gain of the run forth and back at one frequency, 0 to 1.
[[nodiscard]] double gain_both_ways(const LowPass& f, double frequency_hz, double rate_hz);

struct CutOff {
  double cutoff_hz = 0.0;
  double noise_rms = 0.0;  ///< of the values, in their unit
};

/// Winter's residual analysis: what the filter takes away, R(fc), falls along a straight line where
/// it takes noise only; the line's value at 0 Hz is the noise, and the cut-off is where R equals
/// it. The line is fitted from 0.12 to 0.22 of the sampling rate, where it is straight for white
/// noise.
///
/// Errors  as filter_both_ways.
/// Source  R. P. Wells, D. A. Winter 1980; Winter's book (from memory).
[[nodiscard]] CutOff residual_analysis(const std::vector<double>& values, double rate_hz);

}  // namespace kinetics
