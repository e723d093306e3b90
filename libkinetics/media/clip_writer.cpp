#include "libkinetics/media/clip_writer.h"
