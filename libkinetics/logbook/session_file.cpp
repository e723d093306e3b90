#include "libkinetics/logbook/session_file.h"
