#pragma once

#include <functional>

/// How a long step says how far it is. Called often, from the calling thread.

namespace kinetics {

/// `fraction` runs from 0 to 1; negative when the length of the input is not known.
using Progress = std::function<void(double fraction)>;

}  // namespace kinetics
