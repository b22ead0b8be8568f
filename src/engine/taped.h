/* A dome from what a tape read over it.
 *
 * On the flat panel each tape is a way; over the body, along the same drawn way, it read another length. Seen
 * from the top of the dome every short bit of a way goes partly outward (along a ray) and partly round (along
 * a ring).  The body is taken for round about its top, so at radius r of the panel
 *
 *     a ring is  m  times as long as on the panel,
 *     a ray is   m / sqrt (1 - u s^2)  times as long,   s = 1: pointed;  s = r / reach: rounded.
 *
 * With m = 1 the panel is the dome seen from above: the rim is right and the way over the top is too short.
 * u is 1 - (cos of the slope at the rim)^2, and in both shapes the dome holds the angle
 * 2 pi (1 - sqrt (1 - u)): exactly a cone's for s = 1, exactly a cap's of a sphere for the other (Gauss).  u
 * below 0 is a saddle: the rim is too short for what lies inside it.
 *
 * m and u are fitted by least squares over the tapes.  m moves only if some tape goes mostly round and
 * another mostly outward; if all go outward the rings are right (m = 1), if all go round the rays are.
 */
#ifndef ENGINE_TAPED_H
#define ENGINE_TAPED_H

#include "engine/flat.h"

/* One tape: the open way on the flat panel, borrowed, and the length over the body, above 0. */
typedef struct EngineTaping
{
  const GeomPath *way;
  double wrap_mm;
} EngineTaping;

/* Common practice, no source: so far a careful hand tapes wrong. */
#define ENGINE_TAPING_ERROR_MM 3.0

typedef struct EngineDomeFit
{
  bool known;       /* at least one tape could be used; else all the rest is 0 */
  bool pointed;     /* as asked, or because no rounded dome is as steep or explains the tapes */
  guint count;      /* tapes used */
  GeomPoint apex;   /* on the panel */
  bool apex_placed; /* given, or several tapes place it; else it is the middle of the tape */
  double reach_mm;  /* the farthest a tape lies from the top, on the panel */
  double ring;      /* m: above 1 the panel's rim is too short */
  double ray;       /* true over drawn way from the top to the reach */
  double steep;     /* u */
  double short_mm;  /* at the tape that differs most: what the panel lacks there; below 0 it is too long */
  guint short_tape; /* which one that is */
  double worst_mm;  /* the largest difference between a tape and the fitted dome */
  guint worst_tape;
  double error_mm;    /* root of the mean square of these differences */
  bool contradictory; /* they lie beyond a hand's error and beyond what the tapes say */
  EngineDome dome;    /* wedge_rad below 0: a saddle; then least_strain is what it takes to lay a saddle of
                       * as much curvature flat with its rays kept, shared out */
} EngineDomeFit;

/* APEX NULL: it is looked for: where the ways cross, and with three tapes or more where one dome explains
 * them best.  Tapes without a length, or with one that makes no sense, are left out. */
EngineDomeFit engine_dome_fit (const EngineTaping *tapes, guint count, const GeomPoint *apex, bool pointed);
/* What a tape along WAY would read over the fitted dome. */
double engine_dome_fit_length (const EngineDomeFit *fit, const GeomPath *way);
/* The dome under all tapes of PANEL that were read over the wrap; TWIN: on the side that is not drawn.  A
 * free end inside the panel at which tapes begin is the top: at which several do, or the only one there is.
 */
EngineDomeFit engine_panel_dome (const ModelPanel *panel, bool twin, bool pointed);
/* Cut apart through the top instead: how far each new edge bulges in its middle so that both take the wedge
 * out between them: arcs over twice the slant that turn by half of it each. */
double engine_dome_seam_bulge_mm (const EngineDome *dome);
/* What is found, what takes it out, what the material has to do: whole sentences, char *, freed with the
 * array.  MATERIAL may be NULL.  Empty if nothing is known. */
GPtrArray *
engine_dome_fit_words (const ModelDocument *doc, const EngineDomeFit *fit, const ModelMaterial *material);

#endif
