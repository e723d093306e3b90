#include "libkinetics/kinematics/motion.h"
