/* The torso drafted for every body of the open survey in data/survey: the girths come out, every join holds,
 * every check holds.
 *
 * What is wanted comes from outside the starter: a girth is measured here by cutting the drawn outlines with
 * a level line, and must be the survey's girth and what lies between (layers of thickness t add 2 pi t to a
 * closed convex girth: Steiner's formula, e.g. L. A. Santalo, Integral Geometry and Geometric Probability,
 * 1976, ch. 1, from memory).
 */
#include "engine/check.h"
#include "engine/starter.h"
#include "fixture.h"

#define GIRTH_MM 1e-6
#define JOIN_MM 0.01

/* ---- the survey's columns as measures ---- */

typedef struct Body
{
  int id;
  double chest, waist, hip, neck_base, shoulder, biacromial, interscye, back_waist, front_waist,
    axilla_height, chest_height, waist_height, hip_height;
} Body;

static const struct
{
  const char *column;
  size_t at;
} columns[] = {
  { "chestcircumference", offsetof (Body, chest) },
  { "waistcircumference", offsetof (Body, waist) },
  { "buttockcircumference", offsetof (Body, hip) },
  { "neckcircumferencebase", offsetof (Body, neck_base) },
  { "shoulderlength", offsetof (Body, shoulder) },
  { "biacromialbreadth", offsetof (Body, biacromial) },
  { "interscyei", offsetof (Body, interscye) },
  { "waistbacklength", offsetof (Body, back_waist) },
  { "waistfrontlengthsitting", offsetof (Body, front_waist) },
  { "axillaheight", offsetof (Body, axilla_height) },
  { "chestheight", offsetof (Body, chest_height) },
  { "waistheightomphalion", offsetof (Body, waist_height) },
  { "buttockheight", offsetof (Body, hip_height) },
};

static void
read_bodies (const char *file, GArray *bodies)
{
  const char *root = g_getenv ("PW_SOURCE_ROOT");
  g_autofree char *path = g_build_filename (root ? root : ".", "data", "survey", file, NULL);
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;
  g_file_get_contents (path, &text, NULL, &error);
  g_assert_no_error (error);
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  g_auto (GStrv) head = g_strsplit (g_strchomp (lines[0]), ",", -1);
  int place[G_N_ELEMENTS (columns)];
  for (guint c = 0; c < G_N_ELEMENTS (columns); c++)
  {
    place[c] = -1;
    for (int i = 0; head[i]; i++)
      if (strcmp (head[i], columns[c].column) == 0)
        place[c] = i;
    g_assert_cmpint (place[c], >=, 0);
  }
  for (int l = 1; lines[l] && lines[l][0]; l++)
  {
    g_auto (GStrv) cells = g_strsplit (lines[l], ",", -1);
    Body body = { .id = atoi (cells[0]) };
    for (guint c = 0; c < G_N_ELEMENTS (columns); c++)
      *(double *)(gpointer)((char *)&body + columns[c].at) = g_ascii_strtod (cells[place[c]], NULL);
    g_array_append_val (bodies, body);
  }
}

static void
set (const EngineStarter *starter, double *values, const char *name, double to)
{
  int index = engine_starter_find (starter, values, name);
  g_assert_cmpint (index, >=, 0);
  values[index] = to;
}

static double
get (const EngineStarter *starter, const double *values, const char *name)
{
  return values[engine_starter_find (starter, values, name)];
}

/* Measured in the survey: girths, shoulder, breadth across the shoulder bones, across the back between the
 * arm creases, lengths to the waist; levels are differences of heights.  Not measured there, common practice
 * without a source: across the front 0.92 of across the back, the bust points a fifth of the chest apart. */
static void
fill (const EngineStarter *torso, const Body *b, double *values)
{
  engine_starter_defaults (torso, values);
  set (torso, values, "chest_girth", b->chest);
  set (torso, values, "waist_girth", b->waist);
  set (torso, values, "hip_girth", b->hip);
  set (torso, values, "neck_base_girth", b->neck_base);
  set (torso, values, "shoulder_length", b->shoulder);
  set (torso, values, "shoulder_width", b->biacromial);
  set (torso, values, "across_back", b->interscye);
  set (torso, values, "across_front", 0.92 * b->interscye);
  set (torso, values, "bust_point_width", 0.2 * b->chest);
  set (torso, values, "back_waist_length", b->back_waist);
  set (torso, values, "front_waist_length", b->front_waist);
  set (torso, values, "side_length", b->axilla_height - b->waist_height);
  set (torso, values, "chest_height", b->chest_height - b->waist_height);
  set (torso, values, "waist_to_hip", b->waist_height - b->hip_height);
}

/* ---- measuring ---- */

static int
compare_doubles (gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y;
}

static double
height_at (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  return s * s * s * c->p[0].y + 3.0 * s * s * t * c->p[1].y + 3.0 * s * t * t * c->p[2].y
         + t * t * t * c->p[3].y;
}

static double
across_at (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  return s * s * s * c->p[0].x + 3.0 * s * s * t * c->p[1].x + 3.0 * s * t * t * c->p[2].x
         + t * t * t * c->p[3].x;
}

/* How much of the level line at Y lies inside the outline as drawn: x of every crossing, in pairs.  A piece
 * ends above, or else on or below the line, so that a node on the line counts once.  Pieces are cut into 16
 * parts, within which they cross once. */
static double
width_at (const ModelPanel *panel, double y)
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
      bool above = height_at (c, low) > y;
      if (above == (height_at (c, high) > y))
        continue;
      for (int k = 0; k < 60; k++)
      {
        double t = (low + high) / 2.0;
        if ((height_at (c, t) > y) == above)
          low = t;
        else
          high = t;
      }
      g_assert_cmpuint (n, <, G_N_ELEMENTS (x));
      x[n++] = across_at (c, low);
    }
  geom_path_clear (&path);
  g_assert_cmpuint (n % 2, ==, 0);
  qsort (x, n, sizeof x[0], compare_doubles);
  double sum = 0.0;
  for (guint i = 0; i < n; i += 2)
    sum += x[i + 1] - x[i];
  return sum;
}

/* All three panels are drawn half. */
static double
girth_at (const ModelDocument *doc, double y, double gap_mm)
{
  double sum = gap_mm;
  for (guint i = 0; i < doc->panels->len; i++)
    sum += 2.0 * width_at (g_ptr_array_index (doc->panels, i), y);
  return sum;
}

/* The level of the second mark on the first seam's drawn edge, which says where the chest line is. */
static double
chest_level (const ModelDocument *doc)
{
  const ModelPanel *side = model_document_panel_named (doc, "Side");
  double low = INFINITY;
  for (guint e = 0; e < side->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (side, e);
    if (strcmp (edge->name, "back seam") == 0)
      low = model_edge_node (edge, edge->nodes->len - 1)->at.y;
  }
  return low;
}

static double
length_of (const ModelDocument *doc, const char *panel, const char *edge_name)
{
  const ModelPanel *of = model_document_panel_named (doc, panel);
  double sum = 0.0;
  for (guint e = 0; e < of->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (of, e);
    for (guint k = 0; strcmp (edge->name, edge_name) == 0 && k < edge->nodes->len; k++)
    {
      const ModelNode *a = model_edge_node (edge, k), *b = model_panel_next_node (of, e, k);
      GeomCubic piece = { { a->at, a->out, b->in, b->at } };
      sum += geom_cubic_length (&piece, 1e-9);
    }
  }
  return sum;
}

static void
check_body (const EngineStarter *torso, const double *values, int id)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = engine_starter_make (torso, values, &error);
  if (doc == NULL)
    g_test_message ("body %d", id);
  g_assert_no_error (error);
  double more = get (torso, values, "ease")
                + 2.0 * G_PI
                    * (get (torso, values, "under")
                       + get (torso, values, "neutral") * get (torso, values, "thickness"));
  double gap = get (torso, values, "gap"), hip = get (torso, values, "waist_to_hip");
  fixture_near (girth_at (doc, chest_level (doc), gap), get (torso, values, "chest_girth") + more, GIRTH_MM);
  fixture_near (girth_at (doc, 0.0, gap), get (torso, values, "waist_girth") + more, GIRTH_MM);
  if (get (torso, values, "hem") > hip + 1.0)
    fixture_near (girth_at (doc, -hip, gap), get (torso, values, "hip_girth") + more, GIRTH_MM);
  /* The neckline, both halves of both panels and the gap. */
  fixture_near (2.0 * (length_of (doc, "Front", "neck") + length_of (doc, "Back", "neck")) + gap,
                get (torso, values, "neck_base_girth") + get (torso, values, "neck_ease") + more
                  - get (torso, values, "ease"),
                1e-5);
  fixture_near (length_of (doc, "Front", "shoulder"), get (torso, values, "shoulder_length"), GIRTH_MM);

  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GArray *readings = engine_review_readings (review);
  g_assert_cmpuint (readings->len, >=, 7);
  for (guint i = 0; i < readings->len; i++)
    fixture_near (g_array_index (readings, EngineJoinReading, i).difference_mm, 0.0, JOIN_MM);
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    if (!finding->holds)
    {
      g_autofree char *text = engine_finding_text (review, finding);
      g_test_message ("body %d, %s: %s", id, finding->check->name, text);
    }
    g_assert_true (finding->holds);
  }
}

static void
test_survey (gconstpointer hem)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  g_autoptr (GArray) bodies = g_array_new (FALSE, FALSE, sizeof (Body));
  read_bodies ("ansur2-upper-body-female.csv", bodies);
  g_assert_cmpuint (bodies->len, ==, 1986);
  read_bodies ("ansur2-upper-body-male.csv", bodies);
  g_assert_cmpuint (bodies->len, ==, 6068);
  for (guint i = 0; i < bodies->len; i++)
  {
    const Body *body = &g_array_index (bodies, Body, i);
    fill (torso, body, values);
    if (hem != NULL)
      set (torso, values, "hem", get (torso, values, "waist_to_hip") + 40.0);
    check_body (torso, values, body->id);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/engine/starter/torso/survey/short", NULL, test_survey);
  g_test_add_data_func ("/engine/starter/torso/survey/over-the-hip", "long", test_survey);
  return g_test_run ();
}
