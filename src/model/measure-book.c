#include "model/measure-book.h"

#include <glib/gi18n.h>
#include <string.h>

/* Largest differences between two careful takings, ISO 20685, as summarised in Anthropometry, Apparel Sizing
 * and Design, 2nd ed., p. 41. The standard names classes, not every measure; that a thigh is a large girth
 * and a measure from a fixed point to the floor a height is our reading. */
#define LARGE_GIRTH 9.0
#define SMALL_GIRTH 4.0
#define HEIGHT 4.0
#define BREADTH 4.0
#define SEGMENT 5.0
#define HEAD 2.0
/* For measures of the maker's own: the middle class. */
#define UNKNOWN_TOLERANCE_MM 5.0

#define ROUND MODEL_MEASURE_ROUND
#define ACROSS MODEL_MEASURE_ACROSS
#define ALONG MODEL_MEASURE_ALONG

/* Clauses only where two sources agree on them. */
static const ModelMeasureDef book[] = {
  { "head_girth", N_ ("Head"),
    N_ ("Level round the head over the brow and the most backward point of the skull, hair pressed flat."),
    NULL, ROUND, HEAD, "head" },
  { "neck_girth", N_ ("Neck"), N_ ("Round the neck just below the Adam’s apple, square to the neck."),
    "5.3.2", ROUND, SMALL_GIRTH, "neck" },
  { "neck_base_girth", N_ ("Neck base"),
    N_ ("Round the foot of the neck, through the nape bone behind, the two side neck points and the pit in "
        "front."),
    "5.3.3", ROUND, SMALL_GIRTH, "neck" },
  { "shoulder_girth", N_ ("Round the shoulders"),
    N_ ("Level round both upper arms and the trunk at the widest place of the shoulders, arms hanging."),
    NULL, ROUND, LARGE_GIRTH, "chest" },
  { "upper_chest_girth", N_ ("Upper chest"),
    N_ ("Round the trunk close under the arms, above the fullest part of the chest."), NULL, ROUND,
    LARGE_GIRTH, "chest" },
  { "chest_girth", N_ ("Chest"), N_ ("Level round the trunk at the bust points, breathing quietly."), "5.3.4",
    ROUND, LARGE_GIRTH, "chest" },
  { "under_chest_girth", N_ ("Under the chest"), N_ ("Level round the trunk directly below the breasts."),
    "5.3.6", ROUND, LARGE_GIRTH, "chest" },
  { "waist_girth", N_ ("Waist"),
    N_ ("Level round the trunk, midway between the lowest rib and the top of the hip bone."), "5.3.10", ROUND,
    LARGE_GIRTH, "waist" },
  { "hip_girth", N_ ("Hips"), N_ ("Level round the seat where it stands out most."), "5.3.13", ROUND,
    LARGE_GIRTH, "hip" },
  { "upper_arm_girth", N_ ("Upper arm, relaxed"),
    N_ ("Round the fullest part of the upper arm, the arm hanging."), "5.3.16", ROUND, SMALL_GIRTH, "arm" },
  { "upper_arm_bent_girth", N_ ("Upper arm, bent"),
    N_ ("Round the fullest part of the upper arm, the elbow at a right angle and the fist closed hard."),
    NULL, ROUND, SMALL_GIRTH, "arm" },
  { "elbow_girth", N_ ("Elbow, bent"),
    N_ ("Round the tip of the elbow and its crook, the arm bent at a right angle."), NULL, ROUND, SMALL_GIRTH,
    "arm" },
  { "forearm_girth", N_ ("Forearm"), N_ ("Round the fullest part of the forearm, the fist closed lightly."),
    NULL, ROUND, SMALL_GIRTH, "arm" },
  { "wrist_girth", N_ ("Wrist"), N_ ("Round the wrist over the two wrist bones."), "5.3.19", ROUND,
    SMALL_GIRTH, "arm" },
  { "hand_girth", N_ ("Hand, folded"),
    N_ ("Round the widest part of the hand, thumb laid in: what must pass through a closed bracer."), NULL,
    ROUND, SMALL_GIRTH, "arm" },
  { "thigh_girth", N_ ("Thigh"), N_ ("Level round the thigh close below the seat."), NULL, ROUND, LARGE_GIRTH,
    "leg" },
  { "knee_girth", N_ ("Knee"), N_ ("Round the middle of the kneecap, the leg straight."), NULL, ROUND,
    SMALL_GIRTH, "leg" },
  { "calf_girth", N_ ("Calf"), N_ ("Level round the fullest part of the calf."), NULL, ROUND, SMALL_GIRTH,
    "leg" },
  { "ankle_girth", N_ ("Ankle"), N_ ("Round the leg at its thinnest, above the ankle bones."), NULL, ROUND,
    SMALL_GIRTH, "leg" },

  { "shoulder_width", N_ ("Shoulder width"),
    N_ ("Over the back from one shoulder point to the other, the tape lying on the body."), "5.4.2", ACROSS,
    SEGMENT, "shoulder" },
  { "across_front", N_ ("Across the front"),
    N_ ("From arm crease to arm crease over the chest, halfway down the front of the armhole."), NULL, ACROSS,
    SEGMENT, "shoulder" },
  { "across_back", N_ ("Across the back"),
    N_ ("From arm crease to arm crease over the shoulder blades, arms hanging; take it with the arms forward "
        "too."),
    NULL, ACROSS, SEGMENT, "back" },
  { "bust_point_width", N_ ("Between the bust points"), N_ ("Straight from one bust point to the other."),
    NULL, ACROSS, BREADTH, "chest" },

  { "shoulder_length", N_ ("Shoulder length"),
    N_ ("From the side neck point along the shoulder to the shoulder point."), NULL, ALONG, SEGMENT,
    "shoulder" },
  { "front_waist_length", N_ ("Front to waist"),
    N_ ("From the pit of the neck down the middle of the front to the level of the waist."), NULL, ALONG,
    SEGMENT, "waist" },
  { "back_waist_length", N_ ("Back to waist"),
    N_ ("From the nape bone down the middle of the back to the level of the waist."), "5.4.5", ALONG, SEGMENT,
    "back" },
  { "side_length", N_ ("Side"), N_ ("From the armpit straight down the side to the level of the waist."),
    NULL, ALONG, SEGMENT, "waist" },
  { "shoulder_to_waist_left", N_ ("Left shoulder to waist"),
    N_ ("From the left side neck point over the bust point to the level of the waist."), NULL, ALONG, SEGMENT,
    "waist" },
  { "shoulder_to_waist_right", N_ ("Right shoulder to waist"),
    N_ ("From the right side neck point over the bust point to the level of the waist."), NULL, ALONG,
    SEGMENT, "waist" },
  { "waist_to_hip", N_ ("Waist to hips"),
    N_ ("Down the side from the level of the waist to the level of the hips."), NULL, ALONG, SEGMENT, "hip" },
  { "arm_length", N_ ("Arm"),
    N_ ("From the shoulder point over the tip of the slightly bent elbow to the wrist bone."), NULL, ALONG,
    SEGMENT, "arm" },
  { "upper_arm_length", N_ ("Shoulder to elbow"),
    N_ ("From the shoulder point to the tip of the bent elbow."), NULL, ALONG, SEGMENT, "arm" },
  { "forearm_length", N_ ("Elbow to wrist"), N_ ("From the tip of the bent elbow to the wrist bone."), NULL,
    ALONG, SEGMENT, "arm" },
  { "outside_leg_length", N_ ("Leg, outside"),
    N_ ("Down the side from the level of the waist to the floor, without shoes."), NULL, ALONG, SEGMENT,
    "leg" },
  { "inside_leg_length", N_ ("Leg, inside"),
    N_ ("From the crotch straight down to the floor, without shoes."), NULL, ALONG, HEIGHT, "leg" },
  { "knee_height", N_ ("Knee height"),
    N_ ("From the middle of the kneecap straight down to the floor, without shoes."), NULL, ALONG, HEIGHT,
    "leg" },
  { "stature", N_ ("Height"),
    N_ ("From the crown of the head straight down to the floor, standing upright, without shoes."), "5.1.1",
    ALONG, HEIGHT, "stature" },
};

const ModelMeasureDef *
model_measure_book (guint *count)
{
  if (count != NULL)
    *count = G_N_ELEMENTS (book);
  return book;
}

const ModelMeasureDef *
model_measure_def (const char *key)
{
  for (gsize i = 0; key != NULL && i < G_N_ELEMENTS (book); i++)
    if (strcmp (book[i].key, key) == 0)
      return &book[i];
  return NULL;
}

double
model_measure_tolerance (const ModelMeasure *measure)
{
  const ModelMeasureDef *def = model_measure_def (measure->key);

  if (measure->has_tolerance)
    return measure->tolerance_mm;
  return def != NULL ? def->tolerance_mm : UNKNOWN_TOLERANCE_MM;
}
