/* Will it lie flat?  What leather has to do over a dome, from a few taped lengths, and where an assembled
 * piece domes by itself.
 *
 * A dome holds curvature, an angle: what is missing of a full turn round its tip, were it cut open and laid
 * down.  A flat panel holds none.  So that angle is taken out by a wedge, or by seams whose edges both bulge,
 * or the material must stretch for it.
 *
 *  - Cone of half apex angle b: 2 pi (1 - sin b), sin b = base radius / slant.
 *  - Cap of a sphere, angular radius a: 2 pi (1 - cos a) (Gauss).
 *  - Corners meeting in a point: 2 pi less the sum of their angles; on the rim pi less that sum.
 *  - A seam: the sum of what both edges turn, each as the outline of its own panel (Gauss and Bonnet).
 */
#ifndef ENGINE_FLAT_H
#define ENGINE_FLAT_H

#include "engine/review.h"

/* A dome over a round base, its tip in the middle.  All 0 for a base without width or a height that is not
 * above 0. */
typedef struct EngineDome
{
  double base_radius_mm, height_mm;
  double slant_mm;     /* from rim to tip over the surface */
  double short_mm;     /* by how much a flat panel of the base's width is too short over the tip */
  double wedge_rad;    /* what a wedge from the rim to the tip must take out */
  double least_strain; /* no flat copy stretches and squeezes less than by this, either way */
} EngineDome;

EngineDome engine_dome_cone (double base_radius_mm, double height_mm);
/* The cap of a sphere; of more than half a sphere, height above radius, too.  LEAST_STRAIN: a shortest way of
 * 2 a R over the tip lies over one of 2 R sin a round it in the plane; the ratio p = a / sin a is shared out
 * as (p - 1) / (p + 1) each way. */
EngineDome engine_dome_cap (double base_radius_mm, double height_mm);
/* What the tape reads: FLAT_MM straight across, WRAP_MM over the body, 0 < FLAT <= WRAP.  CONE: pointed, else
 * rounded. */
EngineDome engine_dome_taped (double flat_mm, double wrap_mm, bool cone);

/* Round a point inside: 2 pi - sum; on the rim: pi - sum. */
double engine_angle_defect (const double *angles_rad, guint count, bool rim);

/* What a material bears, as a part of 1.  Common practice, no source: dry leather 2 %, wet-formed 12 %, foam
 * as it is 3 %, warmed 15 %, cloth 4 %, anything else 1 %.  A material that says its stretch is believed. */
double engine_strain_limit (const ModelMaterial *material, bool formed);
/* It can be formed: leather wet, foam warm. */
bool engine_material_forms (const ModelMaterial *material);

typedef enum EngineRelief
{
  ENGINE_RELIEF_NONE, /* it lies down by itself */
  ENGINE_RELIEF_FORM, /* wet or warm it gives that much */
  ENGINE_RELIEF_DART,
  ENGINE_RELIEF_SEAM /* one dart would take out too much in one place: cut it through the fullest part */
} EngineRelief;

/* Common practice, no source: a single dart wider than this stands off the body at its tip. */
#define ENGINE_WIDEST_DART_DEG 45.0
/* MATERIAL may be NULL. */
EngineRelief engine_dome_relief (const EngineDome *dome, const ModelMaterial *material);
/* "A flat panel is 12.4 mm too short over this dome.  A dart of 38.9° takes it out; without one the leather
 * would have to give 3.1 %, and dry it takes 2.0 %." */
char *engine_dome_words (const ModelDocument *doc, const EngineDome *dome, const ModelMaterial *material);

/* ---- assembled ---- */

typedef enum EngineFlatKind
{
  ENGINE_FLAT_POINT, /* corners that close round a point */
  ENGINE_FLAT_RIM,   /* corners side by side on the rim */
  ENGINE_FLAT_SEAM
} EngineFlatKind;

typedef struct EngineFlatPlace
{
  EngineFlatKind kind;
  guint panel_id, join_id; /* where it can be seen: the first panel; of a seam its join */
  ModelSide side;
  GeomPoint at;     /* on that panel */
  double angle_rad; /* above 0: domes; below: opens like a saddle; 0: flat */
  guint corners;    /* how many meet */
} EngineFlatPlace;

/* Left and right as far as both exist.  Gap joins and runs that end at marks join nothing here.  New array,
 * points first, in the order of joins. */
GArray *engine_flat_places (EngineReview *review);

#endif
