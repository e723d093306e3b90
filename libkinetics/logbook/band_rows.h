#pragma once

#include <vector>

#include "libkinetics/loading/band.h"

/// What is known of bands' tensions as rows of a table: there are several a band. Private to the
/// logbook.

namespace kinetics::schema {

struct BandReading {
  int band = 0;  ///< row of the band, from 0
  double length_m = 0.0;
  double tension_n = 0.0;
};

struct BandCoefficient {
  int band = 0;
  double coefficient = 0.0;
};

struct BandRows {
  std::vector<BandReading> readings;
  std::vector<BandCoefficient> polynomials;
  std::vector<BandCoefficient> covariances;
};

[[nodiscard]] BandRows rows_of(const std::vector<Band>& bands);

/// Errors  Error{kUnreadable} when a row belongs to no band.
void put_back(const BandRows& rows, std::vector<Band>& bands);

}  // namespace kinetics::schema
