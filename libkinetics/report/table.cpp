#include "libkinetics/report/table.h"
