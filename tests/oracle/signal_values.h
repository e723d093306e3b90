#pragma once

#include <fstream>

#include <nlohmann/json.hpp>

/// The stored answers of SciPy; see signal_values.py beside this file.

namespace kinetics_test {

inline const nlohmann::json& signal_values() {
  static const nlohmann::json values = [] {
    std::ifstream file(KINETICS_SOURCE_DIR "/tests/oracle/signal_values.json");
    return nlohmann::json::parse(file);
  }();
  return values;
}

}  // namespace kinetics_test
