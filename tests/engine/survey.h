/* The bodies of the open survey in data/survey as a torso's measures. */
#ifndef TEST_ENGINE_SURVEY_H
#define TEST_ENGINE_SURVEY_H

#include "engine/starter.h"
#include "fixture.h"

typedef struct SurveyBody
{
  int id;
  double chest, waist, hip, neck_base, shoulder, biacromial, interscye, back_waist, front_waist,
    axilla_height, chest_height, waist_height, hip_height;
} SurveyBody;

static const struct
{
  const char *column;
  size_t at;
} survey_columns[] = {
  { "chestcircumference", offsetof (SurveyBody, chest) },
  { "waistcircumference", offsetof (SurveyBody, waist) },
  { "buttockcircumference", offsetof (SurveyBody, hip) },
  { "neckcircumferencebase", offsetof (SurveyBody, neck_base) },
  { "shoulderlength", offsetof (SurveyBody, shoulder) },
  { "biacromialbreadth", offsetof (SurveyBody, biacromial) },
  { "interscyei", offsetof (SurveyBody, interscye) },
  { "waistbacklength", offsetof (SurveyBody, back_waist) },
  { "waistfrontlengthsitting", offsetof (SurveyBody, front_waist) },
  { "axillaheight", offsetof (SurveyBody, axilla_height) },
  { "chestheight", offsetof (SurveyBody, chest_height) },
  { "waistheightomphalion", offsetof (SurveyBody, waist_height) },
  { "buttockheight", offsetof (SurveyBody, hip_height) },
};

static inline void
survey_read (const char *file, GArray *bodies)
{
  const char *root = g_getenv ("PW_SOURCE_ROOT");
  g_autofree char *path = g_build_filename (root ? root : ".", "data", "survey", file, NULL);
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;
  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  g_auto (GStrv) head = g_strsplit (g_strchomp (lines[0]), ",", -1);
  int place[G_N_ELEMENTS (survey_columns)];
  for (guint c = 0; c < G_N_ELEMENTS (survey_columns); c++)
  {
    place[c] = -1;
    for (int i = 0; head[i]; i++)
      if (strcmp (head[i], survey_columns[c].column) == 0)
        place[c] = i;
    g_assert_cmpint (place[c], >=, 0);
  }
  for (int l = 1; lines[l] && lines[l][0]; l++)
  {
    g_auto (GStrv) cells = g_strsplit (lines[l], ",", -1);
    SurveyBody body = { .id = atoi (cells[0]) };
    for (guint c = 0; c < G_N_ELEMENTS (survey_columns); c++)
      *(double *)(gpointer)((char *)&body + survey_columns[c].at) = g_ascii_strtod (cells[place[c]], NULL);
    g_array_append_val (bodies, body);
  }
}

static inline void
survey_set (const EngineStarter *starter, double *values, const char *name, double to)
{
  int index = engine_starter_find (starter, values, name);
  g_assert_cmpint (index, >=, 0);
  values[index] = to;
}

static inline double
survey_get (const EngineStarter *starter, const double *values, const char *name)
{
  return values[engine_starter_find (starter, values, name)];
}

/* Measured in the survey: girths, shoulder, breadth across the shoulder bones, across the back between the
 * arm creases, lengths to the waist; levels are differences of heights.  Not measured there, common practice
 * without a source: across the front 0.92 of across the back, the bust points a fifth of the chest apart. */
static inline void
survey_fill (const EngineStarter *torso, const SurveyBody *b, double *values)
{
  engine_starter_defaults (torso, values);
  survey_set (torso, values, "chest_girth", b->chest);
  survey_set (torso, values, "waist_girth", b->waist);
  survey_set (torso, values, "hip_girth", b->hip);
  survey_set (torso, values, "neck_base_girth", b->neck_base);
  survey_set (torso, values, "shoulder_length", b->shoulder);
  survey_set (torso, values, "shoulder_width", b->biacromial);
  survey_set (torso, values, "across_back", b->interscye);
  survey_set (torso, values, "across_front", 0.92 * b->interscye);
  survey_set (torso, values, "bust_point_width", 0.2 * b->chest);
  survey_set (torso, values, "back_waist_length", b->back_waist);
  survey_set (torso, values, "front_waist_length", b->front_waist);
  survey_set (torso, values, "side_length", b->axilla_height - b->waist_height);
  survey_set (torso, values, "chest_height", b->chest_height - b->waist_height);
  survey_set (torso, values, "waist_to_hip", b->waist_height - b->hip_height);
}

/* ---- measuring ---- */

static inline int
survey_by_value (gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

static inline double
survey_height_at (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  return s * s * s * c->p[0].y + 3.0 * s * s * t * c->p[1].y + 3.0 * s * t * t * c->p[2].y
         + t * t * t * c->p[3].y;
}

static inline double
survey_across_at (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  return s * s * s * c->p[0].x + 3.0 * s * s * t * c->p[1].x + 3.0 * s * t * t * c->p[2].x
         + t * t * t * c->p[3].x;
}

/* How much of the level line at Y lies inside the outline as drawn: x of every crossing, in pairs.  A piece
 * ends above, or else on or below the line, so that a node on the line counts once.  Pieces are cut into 16
 * parts, within which they cross once. */
static inline double
survey_width_at (const ModelPanel *panel, double y)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double x[64];
  guint n = 0;
  for (size_t i = 0; i < path.count; i++)
    for (int part = 0; part < 16; part++)
    {
      const GeomCubic *c = &path.piece[i];
      double low = part / 16.0, high = (part + 1) / 16.0;
      bool above = survey_height_at (c, low) > y;
      if (above == (survey_height_at (c, high) > y))
        continue;
      for (int k = 0; k < 60; k++)
      {
        double t = (low + high) / 2.0;
        if ((survey_height_at (c, t) > y) == above)
          low = t;
        else
          high = t;
      }
      g_assert_cmpuint (n, <, G_N_ELEMENTS (x));
      x[n++] = survey_across_at (c, low);
    }
  geom_path_clear (&path);
  g_assert_cmpuint (n % 2, ==, 0);
  qsort (x, n, sizeof x[0], survey_by_value);
  double sum = 0.0;
  for (guint i = 0; i < n; i += 2)
    sum += x[i + 1] - x[i];
  return sum;
}

#endif
