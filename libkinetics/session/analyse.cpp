#include "libkinetics/session/analyse.h"
