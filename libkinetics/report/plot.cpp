#include "libkinetics/report/plot.h"
