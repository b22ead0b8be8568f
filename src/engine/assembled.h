/* Where the assembled piece domes by itself, and where it is flat.
 *
 * Flat panels joined at their edges hold curvature in two places only:
 *
 *  - Corners closing round a point: 2 pi less the sum of their angles.
 *  - A seam: the sum of what both edges turn, each as the outline of its own panel with the leather to its
 *    left.  Where one edge bulges as much as the other is hollow the sum is 0 and the seam lies flat.
 *
 * Above 0 it domes, below 0 it opens like a saddle.  All of it together with what the rim turns is 2 pi times
 * the number of pieces less handles and holes (Gauss and Bonnet), whatever the panels look like.
 *
 * A gap counts as if it were laced shut: a strip of even width between both edges turns as much to the one
 * side as to the other.  A run that ends at a mark has there a corner of half a turn.  A corner inside a run
 * belongs to the seam, a dart's mouth inside a run does as it lies when the dart is closed.
 */
#ifndef ENGINE_ASSEMBLED_H
#define ENGINE_ASSEMBLED_H

#include "engine/review.h"

typedef enum EngineFlatKind
{
  ENGINE_FLAT_POINT, /* corners that close round a point */
  ENGINE_FLAT_RIM,   /* corners side by side on the rim: what the rim turns there, it domes nothing */
  ENGINE_FLAT_SEAM   /* a stretch of a seam that domes, or opens, all along */
} EngineFlatKind;

/* Where it can be seen on one panel: a corner, or the middle of the stretch. */
typedef struct EngineFlatSpot
{
  guint panel_id;
  ModelSide side;
  GeomPoint at;
} EngineFlatSpot;

typedef struct EngineFlatPlace
{
  EngineFlatKind kind;
  guint join_id;            /* of a seam */
  ModelSide side_a, side_b; /* of a seam: on which side each run lies */
  double from, to;          /* of a seam: the stretch, 0..1 along both runs */
  double angle_rad;         /* above 0: domes; below: opens like a saddle; 0: flat */
  guint first, count;       /* its spots: one for each corner that meets, two of a seam */
} EngineFlatPlace;

typedef struct EngineFlatMap
{
  GArray *places; /* EngineFlatPlace: points and rim, then seams in the order of joins */
  GArray *spots;  /* EngineFlatSpot */
} EngineFlatMap;

/* What a hand, or the leather itself, takes up without anybody seeing it: common practice, no source. */
#define ENGINE_FLAT_DEG 2.0

/* Round a point inside: 2 pi - sum; on the rim: pi - sum. */
double engine_angle_defect (const double *angles_rad, guint count, bool rim);

/* Left and right as far as both exist. */
EngineFlatMap *engine_flat_map_new (EngineReview *review);
void engine_flat_map_free (EngineFlatMap *map);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (EngineFlatMap, engine_flat_map_free)

/* It domes or opens by at least ENGINE_FLAT_DEG and is no rim. */
bool engine_flat_place_shows (const EngineFlatPlace *place);
bool engine_flat_place_touches (const EngineFlatMap *map, const EngineFlatPlace *place, guint panel_id);
/* "Join C: domes by 8.1°", "Where 4 corners meet (Front, Side): opens like a saddle by 3.0°". */
char *
engine_flat_place_words (const ModelDocument *doc, const EngineFlatMap *map, const EngineFlatPlace *place);

#endif
