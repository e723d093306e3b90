#include "libkinetics/report/json.h"
