#pragma once

#include <fstream>
#include <vector>

#include <Eigen/Core>
#include <nlohmann/json.hpp>

/// The stored answers of R and lme4; see profile_values.R beside this file.

namespace kinetics_test {

inline const nlohmann::json& profile_values() {
  static const nlohmann::json values = [] {
    std::ifstream file(KINETICS_SOURCE_DIR "/tests/oracle/profile_values.json");
    return nlohmann::json::parse(file);
  }();
  return values;
}

inline Eigen::VectorXd vector_of(const nlohmann::json& list) {
  const auto values = list.get<std::vector<double>>();
  return Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

}  // namespace kinetics_test
