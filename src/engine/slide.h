/* Giving a run another length by moving one of its ends: along the neighbouring edge, or along itself. */
#ifndef ENGINE_SLIDE_H
#define ENGINE_SLIDE_H

#include "engine/review.h"

typedef enum EngineSlideWay
{
  ENGINE_SLIDE_ALONG_NEIGHBOUR, /* the neighbour keeps its direction, only its length changes */
  ENGINE_SLIDE_ALONG_EDGE       /* the edge keeps its direction; the neighbour's end follows */
} EngineSlideWay;

typedef struct EngineSlide
{
  ModelPanel *panel; /* the panel as it would be; the caller's */
  double moved_mm;   /* how far the end moves, >= 0 */
  char *end_name;    /* the neighbouring edge's name, the caller's; NULL where it has none */
} EngineSlide;

/* Makes RUN longer by CHANGE_MM on SIDE: the end of the run (AT_END) or its start moves WAY.  BASE: the panel
 * to start from, NULL for the document's.  False, with nothing to free, where the edge or its neighbour is
 * locked or a fold, or no such slide is to be had. */
bool engine_slide_run (EngineReview *review,
                       const ModelPanel *base,
                       const ModelRun *run,
                       ModelSide side,
                       bool at_end,
                       EngineSlideWay way,
                       double change_mm,
                       EngineSlide *out);

#endif
