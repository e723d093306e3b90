#pragma once

/// httplib, without what its system headers leave behind: a macro `_res`, which breaks Eigen's.

#include <httplib.h>
#undef _res
