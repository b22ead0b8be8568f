/* Will it lie flat?  What leather has to do over a dome.
 *
 * A dome holds curvature, an angle: what is missing of a full turn round its tip, were it cut open and laid
 * down.  A flat panel holds none.  So that angle is taken out by a wedge, or by seams whose edges both bulge,
 * or the material must stretch for it.
 *
 *  - Cone of half apex angle b: 2 pi (1 - sin b), sin b = base radius / slant.
 *  - Cap of a sphere, angular radius a: 2 pi (1 - cos a) (Gauss).
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
  ENGINE_RELIEF_SEAM,  /* one dart would take out too much in one place: cut it through the fullest part */
  ENGINE_RELIEF_SPREAD /* it opens like a saddle: slash and spread */
} EngineRelief;

/* Common practice, no source: a single dart wider than this stands off the body at its tip. */
#define ENGINE_WIDEST_DART_DEG 45.0
/* MATERIAL may be NULL. */
EngineRelief engine_dome_relief (const EngineDome *dome, const ModelMaterial *material);
/* "A flat panel is 12.4 mm too short over this dome.  A dart of 38.9° takes it out; without one the leather
 * would have to give 3.1 %, and dry it takes 2.0 %." */
char *engine_dome_words (const ModelDocument *doc, const EngineDome *dome, const ModelMaterial *material);

#endif
