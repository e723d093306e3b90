#include "libkinetics/logbook/band_rows.h"

#include <cstddef>

#include "libkinetics/core/error.h"

namespace kinetics::schema {
namespace {

BandTension& tension_of(int band, std::vector<Band>& bands) {
  if (band < 0 || static_cast<std::size_t>(band) >= bands.size()) {
    throw Error(ErrorCode::kUnreadable,
                "/load_bands in the session file",
                "a reading belongs to no band",
                "Use a copy of the file, or analyse the clip again");
  }
  return bands[static_cast<std::size_t>(band)].tension;
}

}  // namespace

BandRows rows_of(const std::vector<Band>& bands) {
  BandRows rows;
  int band = 0;
  for (const Band& one : bands) {
    for (const auto& [length_m, tension_n] : one.tension.length_m_tension_n) {
      rows.readings.push_back({.band = band, .length_m = length_m, .tension_n = tension_n});
    }
    for (const double c : one.tension.polynomial_n) rows.polynomials.push_back({band, c});
    for (const double c : one.tension.polynomial_covariance_n2) {
      rows.covariances.push_back({band, c});
    }
    ++band;
  }
  return rows;
}

void put_back(const BandRows& rows, std::vector<Band>& bands) {
  for (const BandReading& row : rows.readings) {
    tension_of(row.band, bands).length_m_tension_n.emplace_back(row.length_m, row.tension_n);
  }
  for (const BandCoefficient& row : rows.polynomials) {
    tension_of(row.band, bands).polynomial_n.push_back(row.coefficient);
  }
  for (const BandCoefficient& row : rows.covariances) {
    tension_of(row.band, bands).polynomial_covariance_n2.push_back(row.coefficient);
  }
}

}  // namespace kinetics::schema
