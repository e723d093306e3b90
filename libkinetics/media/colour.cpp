#include "libkinetics/core/error.h"
#include "libkinetics/media/clip_reader.h"
#include "libkinetics/media/held_picture.h"
