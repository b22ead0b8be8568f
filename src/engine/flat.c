#include "engine/flat.h"

#include "engine/words.h"

#include <glib/gi18n.h>

enum
{
  SOLVE_STEPS = 60 /* bisection of an angle below pi: no double is finer */
};

/* Two ends of a tape nearer than this have no dome between them. */
#define LEAST_MM 1e-6

/* ---- one dome ---- */

static bool
is_dome (double base_radius_mm, double height_mm)
{
  return base_radius_mm > LEAST_MM && height_mm > LEAST_MM && isfinite (base_radius_mm)
         && isfinite (height_mm);
}

/* The cap that a wedge of this angle would lay flat: one measure of strain for pointed and rounded domes. */
static double
strain_of_angle (double half_opening_rad)
{
  if (!(half_opening_rad > 0.0))
    return 0.0;
  double sine = sin (half_opening_rad);
  double p = sine > 0.0 ? half_opening_rad / sine : INFINITY;
  return isfinite (p) ? (p - 1.0) / (p + 1.0) : 1.0;
}

EngineDome
engine_dome_cone (double base_radius_mm, double height_mm)
{
  EngineDome dome = { .base_radius_mm = base_radius_mm, .height_mm = height_mm };
  if (!is_dome (base_radius_mm, height_mm))
    return (EngineDome) { 0 };
  dome.slant_mm = hypot (base_radius_mm, height_mm);
  dome.short_mm = 2.0 * (dome.slant_mm - base_radius_mm);
  double part = base_radius_mm / dome.slant_mm;
  dome.wedge_rad = 2.0 * G_PI * (1.0 - part);
  /* A cap with as much curvature: 1 - cos a = 1 - part. */
  dome.least_strain = strain_of_angle (acos (part));
  return dome;
}

EngineDome
engine_dome_cap (double base_radius_mm, double height_mm)
{
  EngineDome dome = { .base_radius_mm = base_radius_mm, .height_mm = height_mm };
  if (!is_dome (base_radius_mm, height_mm))
    return (EngineDome) { 0 };
  double radius = (height_mm * height_mm + base_radius_mm * base_radius_mm) / (2.0 * height_mm);
  double opening = atan2 (base_radius_mm, radius - height_mm);
  dome.slant_mm = radius * opening;
  dome.short_mm = 2.0 * (dome.slant_mm - base_radius_mm);
  dome.wedge_rad = 2.0 * G_PI * (1.0 - cos (opening));
  dome.least_strain = strain_of_angle (opening);
  return dome;
}

EngineDome
engine_dome_taped (double flat_mm, double wrap_mm, bool cone)
{
  if (!(flat_mm > LEAST_MM) || !(wrap_mm - flat_mm > LEAST_MM) || !isfinite (wrap_mm))
    return (EngineDome) { 0 };
  double r = flat_mm / 2.0, s = wrap_mm / 2.0;
  if (cone)
    return engine_dome_cone (r, sqrt ((s - r) * (s + r)));
  /* sin a / a = flat / wrap, falling from 1 to 0. */
  double low = 0.0, high = G_PI;
  for (int i = 0; i < SOLVE_STEPS; i++)
  {
    double middle = (low + high) / 2.0;
    if (middle <= 0.0 || sin (middle) / middle > flat_mm / wrap_mm)
      low = middle;
    else
      high = middle;
  }
  double opening = (low + high) / 2.0;
  return engine_dome_cap (r, s / opening * (1.0 - cos (opening)));
}

/* ---- materials ---- */

bool
engine_material_forms (const ModelMaterial *material)
{
  return material && (material->kind == MODEL_MATERIAL_LEATHER || material->kind == MODEL_MATERIAL_FOAM);
}

double
engine_strain_limit (const ModelMaterial *material, bool formed)
{
  double said = material ? material->stretch_percent / 100.0 : 0.0, usual = 0.01;
  switch (material ? material->kind : MODEL_MATERIAL_OTHER)
  {
  case MODEL_MATERIAL_LEATHER:
    usual = formed ? 0.12 : 0.02;
    break;
  case MODEL_MATERIAL_FOAM:
    usual = formed ? 0.15 : 0.03;
    break;
  case MODEL_MATERIAL_CLOTH:
    usual = 0.04;
    break;
  case MODEL_MATERIAL_OTHER:
    break;
  }
  return said > 0.0 && !formed ? said : MAX (said, usual);
}

EngineRelief
engine_dome_relief (const EngineDome *dome, const ModelMaterial *material)
{
  if (dome->least_strain <= engine_strain_limit (material, false))
    return ENGINE_RELIEF_NONE;
  if (dome->wedge_rad < 0.0)
    return ENGINE_RELIEF_SPREAD;
  if (engine_material_forms (material) && dome->least_strain <= engine_strain_limit (material, true))
    return ENGINE_RELIEF_FORM;
  return dome->wedge_rad * 180.0 / G_PI <= ENGINE_WIDEST_DART_DEG ? ENGINE_RELIEF_DART : ENGINE_RELIEF_SEAM;
}

char *
engine_dome_words (const ModelDocument *doc, const EngineDome *dome, const ModelMaterial *material)
{
  g_autofree char *missing = engine_words_length (doc, dome->short_mm);
  double degrees = dome->wedge_rad * 180.0 / G_PI, gives = dome->least_strain * 100.0,
         takes = engine_strain_limit (material, false) * 100.0,
         formed = engine_strain_limit (material, true) * 100.0;
  switch (engine_dome_relief (dome, material))
  {
  case ENGINE_RELIEF_NONE:
    /* Translators: a length; two parts in a hundred. */
    return g_strdup_printf (
      _ ("It will lie down. A flat panel is %1$s short over the dome; the material gives "
         "%2$.1f %% for it and takes %3$.1f %%."),
      missing, gives, takes);
  case ENGINE_RELIEF_FORM:
    return g_strdup_printf (
      _ ("Form it. A flat panel is %1$s short over the dome: %2$.1f %%, more than the "
         "%3$.1f %% it takes as it is, less than the %4$.1f %% it takes when formed. Or "
         "take out a dart of %5$.1f°."),
      missing, gives, takes, formed, degrees);
  case ENGINE_RELIEF_DART:
    return g_strdup_printf (
      _ ("It will not lie flat. A flat panel is %1$s short over the dome; a dart of %2$.1f° "
         "to its top takes it out. Without one the material must give %3$.1f %% and takes "
         "%4$.1f %%."),
      missing, degrees, gives, takes);
  case ENGINE_RELIEF_SEAM:
    return g_strdup_printf (
      _ ("It will not lie flat. A flat panel is %1$s short over the dome; %2$.1f° must come "
         "out, too much for one dart. Cut it apart with a seam through the fullest part, or "
         "share it out over several darts."),
      missing, degrees);
  case ENGINE_RELIEF_SPREAD:
    return g_strdup_printf (_ ("It opens like a saddle: slash it and spread it by %.1f°."), -degrees);
  }
  return g_strdup ("");
}
