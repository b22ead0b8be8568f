/* What an ordinary measure is: the survey of bodies in data/survey, 6,068 people, in mm.
 *
 * 2012 Anthropometric Survey of U.S. Army Personnel, NATICK/TR-15/007, public domain: serving soldiers of 17
 * to 58, women and men together, not the general public.  Written by data/make-percentiles.py; change that,
 * not this. */
#ifndef ENGINE_PERCENTILES_TABLE_H
#define ENGINE_PERCENTILES_TABLE_H

typedef struct EnginePercentiles
{
  const char *key;        /* of the measure book */
  double low_mm, high_mm; /* not more than 1 in 100 lie beyond */
} EnginePercentiles;

/* clang-format off */
static const EnginePercentiles percentiles[] = {
  { "head_girth", 527, 614 }, /* headcircumference */
  { "neck_girth", 299, 464 }, /* neckcircumference */
  { "neck_base_girth", 337, 496 }, /* neckcircumferencebase */
  { "shoulder_girth", 935, 1329 }, /* shouldercircumference */
  { "chest_girth", 807, 1260 }, /* chestcircumference */
  { "waist_girth", 693, 1194 }, /* waistcircumference; the survey: at the navel, the book a little higher */
  { "hip_girth", 862, 1217 }, /* buttockcircumference */
  { "upper_arm_bent_girth", 253, 440 }, /* bicepscircumferenceflexed */
  { "forearm_girth", 232, 361 }, /* forearmcircumferenceflexed; the survey: elbow bent, fist clenched */
  { "wrist_girth", 141, 197 }, /* wristcircumference */
  { "shoulder_length", 117, 173 }, /* shoulderlength */
  { "back_waist_length", 378, 543 }, /* waistbacklength; the survey: to the level of the navel */
  { "upper_arm_length", 280, 375 }, /* acromionradialelength; the survey: straight, to the elbow joint */
  { "forearm_length", 215, 304 }, /* radialestylionlength; the survey: straight, from the elbow joint */
  { "stature", 1509, 1916 }, /* stature */
};
/* clang-format on */

#endif
