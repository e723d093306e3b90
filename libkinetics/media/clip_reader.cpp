#include "libkinetics/media/clip_reader.h"
