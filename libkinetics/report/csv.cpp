#include "libkinetics/report/csv.h"
