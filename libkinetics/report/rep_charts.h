#pragma once

#include <cstddef>
#include <string_view>
#include <vector>

#include "libkinetics/report/svg.h"
#include "libkinetics/session/session.h"

/// Each rep's velocity over its height, with the sticking region and the load. A part of the plot;
/// private to the report.

namespace kinetics::svg {

/// Two charts a row, or as many as are wanted, for the first 24 measured reps; a line says when
/// there are more.
///
/// Shows     velocity with its 95 % band from the bottom of the rise to its top, one scale for all
///           reps; the sticking region hatched between its first peak and its low point, both
///           marked; below it the load at each height when it was given.
class RepCharts {
 public:
  explicit RepCharts(const Session& session, std::size_t columns = 2);

  [[nodiscard]] double height() const;
  void draw(Drawing& d, double left, double top, double width) const;

  /// What the styles used here look like, and the hatching.
  static const std::string_view kStyleSheet;
  static const std::string_view kDefinitions;

 private:
  void draw_one(Drawing& d, double left, double top, double width, const Rep& rep) const;
  void draw_load(Drawing& d, double left, double top, double width, const Rep& rep) const;
  [[nodiscard]] double row_height() const;

  const Session& session_;
  std::size_t columns_;
  std::vector<const Rep*> reps_;
  std::size_t left_out_ = 0;
  double highest_cm_ = 0.0;
  double fastest_mps_ = 0.0;
  double heaviest_kg_ = 0.0;
  bool with_load_ = false;
};

}  // namespace kinetics::svg
