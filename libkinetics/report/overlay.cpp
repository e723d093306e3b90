#include "libkinetics/report/overlay.h"
