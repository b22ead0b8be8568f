/* The starters against closed forms.
 *
 * A cone that goes from girth G1 to G2 over S along its side is, laid flat, a sector of a ring: turning
 * (G2 - G1) / S, radii G1 and G2 over the turning, area (G1 + G2) S / 2 (M; the frustum of radii r1, r2 and
 * height h has S = sqrt (h^2 + (r2 - r1)^2) and outer radius S r2 / (r2 - r1)).  An arc of 30 degrees as one
 * cubic is 1.9e-7 of its length too long (M: k = 4/3 tan (angle / 4)).
 */
#include "engine/check.h"
#include "engine/starter.h"
#include "engine/words.h"
#include "fixture.h"
#include "model/file.h"

#define ARC_SHARE 1e-6

typedef struct Setting
{
  const char *name;
  double to;
} Setting;

static void
set_all (const EngineStarter *starter, double *values, const Setting *settings)
{
  bool chooses = g_strcmp0 (settings[0].name, "use") == 0;
  engine_starter_defaults_for (starter, chooses ? (int)settings[0].to : 0, values);
  for (guint i = 0; settings[i].name; i++)
  {
    int index = engine_starter_find (starter, values, settings[i].name);
    g_assert_cmpint (index, >=, 0);
    values[index] = settings[i].to;
  }
}

static ModelDocument *
make (const char *key, const Setting *settings)
{
  const EngineStarter *starter = engine_starter_named (key);
  double values[ENGINE_STARTER_VALUES];
  set_all (starter, values, settings);
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = engine_starter_make (starter, values, &error);
  g_assert_no_error (error);
  return doc;
}

static void
assert_holds (ModelDocument *doc)
{
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    g_autofree char *text = finding->holds ? NULL : engine_finding_text (review, finding);
    g_assert_cmpstr (text, ==, NULL);
  }
}

static void
edge_path (const ModelPanel *panel, const char *name, GeomPath *path)
{
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);
    for (guint k = 0; strcmp (edge->name, name) == 0 && k < edge->nodes->len; k++)
    {
      const ModelNode *a = model_edge_node (edge, k), *b = model_panel_next_node (panel, e, k);
      geom_path_append (path, &(GeomCubic) { { a->at, a->out, b->in, b->at } });
    }
  }
  g_assert_cmpuint (path->count, >, 0);
}

static double
edge_length (const ModelPanel *panel, const char *name)
{
  GeomPath path;
  geom_path_init (&path);
  edge_path (panel, name, &path);
  double length = geom_path_length (&path, 1e-9);
  geom_path_clear (&path);
  return length;
}

/* Chord of an edge, and how far its middle stands off that. */
static double
edge_chord (const ModelPanel *panel, const char *name, double *rise)
{
  GeomPath path;
  geom_path_init (&path);
  edge_path (panel, name, &path);
  GeomPoint a = path.piece[0].p[0], b = path.piece[path.count - 1].p[3];
  GeomPoint middle
    = geom_path_point (&path, geom_path_place_at (&path, geom_path_length (&path, 1e-9) / 2, 1e-9));
  *rise = geom_distance (middle, geom_mix (a, b, 0.5));
  geom_path_clear (&path);
  return geom_distance (a, b);
}

static double
area_of (const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double area = geom_path_area (&path);
  geom_path_clear (&path);
  return area;
}

/* ---- the tube ---- */

typedef struct ConeRow
{
  const char *source;
  double narrow, wide, along;
  double turning_rad, area;
  double wide_chord, wide_rise, narrow_chord, narrow_rise; /* NAN: not in the row */
} ConeRow;

#define TAU (2.0 * G_PI)

/* M, at 40 digits: frustums by radii and height, then panels by rim lengths and side.  The second column of
 * figures follows from the first by S, R = S r / (r2 - r1), chord 2 R sin (angle / 2), arc height R (1 - cos
 * (angle / 2)). */
static const ConeRow cone_rows[] = {
  { "r 40, 70, h 40: 216 degrees", TAU * 40, TAU * 70, 50, TAU * 0.6, 17278.7595947439, NAN, NAN, NAN, NAN },
  { "r 100, 150, h 120", TAU * 100, TAU * 150, 130, 138.461538461538 / 360 * TAU, 102101.761241668, NAN, NAN,
    NAN, NAN },
  { "r 45, 60, h 112", TAU * 45, TAU * 60, 113, 47.787610619469 / 360 * TAU, G_PI * 105 * 113,
    366.15863455493, 38.737415696488, NAN, NAN },
  { "girths 800, 1000 over 200", 800, 1000, 200, 1.0, 180000, NAN, NAN, NAN, NAN },
  { "rims 190, 235, side 200", 190, 235, 200, 0.225, 42500, 234.504610467624, 6.60240711495702,
    189.599472292973, 5.33811639081632 },
  { "rims 200, 250, side 200", 200, 250, 200, 0.25, 45000, NAN, 7.80233277067095, NAN, 6.24186621653676 },
};

static void
test_cones (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (cone_rows); i++)
  {
    const ConeRow *row = &cone_rows[i];
    g_test_message ("%s", row->source);
    g_autoptr (ModelDocument) doc = make ("tube", (const Setting[]) { { "use", 2 },
                                                                      { "narrow_girth", row->narrow },
                                                                      { "wide_girth", row->wide },
                                                                      { "length", row->along },
                                                                      { "under", 0 },
                                                                      { "thickness", 0 },
                                                                      { "closing", 2 },
                                                                      { NULL, 0 } });
    const ModelPanel *panel = g_ptr_array_index (doc->panels, 0);
    fixture_near (edge_length (panel, "wide end"), row->wide, row->wide * ARC_SHARE);
    fixture_near (edge_length (panel, "narrow end"), row->narrow, row->narrow * ARC_SHARE);
    fixture_near (edge_length (panel, "seam, inner"), row->along, 1e-9);
    fixture_near (edge_length (panel, "seam, outer"), row->along, 1e-9);
    fixture_near (area_of (panel), row->area, row->area * 2 * ARC_SHARE);
    GeomPath rim;
    geom_path_init (&rim);
    edge_path (panel, "wide end", &rim);
    double turning = 0;
    for (size_t k = 0; k < rim.count; k++)
    {
      turning += geom_cubic_turning (&rim.piece[k]);
      g_assert_cmpfloat (geom_cubic_turning (&rim.piece[k]), <=, G_PI / 6 + 1e-12);
    }
    geom_path_clear (&rim);
    fixture_near (turning, row->turning_rad, 1e-9);
    double rise;
    double chord = edge_chord (panel, "wide end", &rise);
    if (isfinite (row->wide_chord))
      fixture_near (chord, row->wide_chord, 1e-8);
    /* A cubic arc lies at most 3.8e-7 of its radius outside the circle, and its middle by length is as near
     * to the true one as the pieces are even. */
    if (isfinite (row->wide_rise))
      fixture_near (rise, row->wide_rise, 2e-3);
    chord = edge_chord (panel, "narrow end", &rise);
    if (isfinite (row->narrow_chord))
      fixture_near (chord, row->narrow_chord, 1e-8);
    if (isfinite (row->narrow_rise))
      fixture_near (rise, row->narrow_rise, 2e-3);
    assert_holds (doc);
  }
}

/* Layers outside: 2 pi t each, the leather itself pi t with its neutral layer in the middle, 2 pi k t in
 * general (Steiner; M).  3 mm over 900: 909.424777960769; R 150 t 4 all round, k 0.4: 952.530892568425. */
static void
test_thickness (void)
{
  static const struct
  {
    double girth, under, thickness, neutral, neutral_girth;
  } rows[] = {
    { 900, 0, 3, 0.5, 909.424777960769 },
    { 900, 3, 4, 0.5, 931.415926535898 }, /* 3 mm, then 4 mm over it */
    { 940, 0, 4, 0.5, 952.566370614359 },
    { 2 * G_PI * 150, 0, 4, 0.4, 952.530892568425 },
    { 2 * G_PI * 150, 0, 4, 0.5, 955.044166691297 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    for (int closing = 0; closing < 3; closing++)
    {
      g_autoptr (ModelDocument) doc = make ("tube", (const Setting[]) { { "use", 2 },
                                                                        { "narrow_girth", rows[i].girth },
                                                                        { "wide_girth", rows[i].girth },
                                                                        { "under", rows[i].under },
                                                                        { "thickness", rows[i].thickness },
                                                                        { "neutral", rows[i].neutral },
                                                                        { "closing", closing },
                                                                        { "gap", 30 },
                                                                        { "lap", 15 },
                                                                        { NULL, 0 } });
      const ModelPanel *panel = g_ptr_array_index (doc->panels, 0);
      double left = closing == 0 ? 30 : 0;
      fixture_near (edge_length (panel, "wide end"), rows[i].neutral_girth - left, 1e-9);
      fixture_near (edge_length (panel, "narrow end"), rows[i].neutral_girth - left, 1e-9);
      fixture_near (area_of (panel), (rows[i].neutral_girth - left) * 200, 1e-6);
      const ModelJoin *join = g_ptr_array_index (doc->joins, 0);
      static const ModelJoinKind kinds[] = { MODEL_JOIN_GAP, MODEL_JOIN_LAPPED, MODEL_JOIN_FLUSH };
      g_assert_cmpint (join->kind, ==, kinds[closing]);
      fixture_near (closing == 0   ? join->gap_mm
                    : closing == 1 ? join->lap_mm
                                   : 0,
                    closing == 0   ? 30
                    : closing == 1 ? 15
                                   : 0,
                    0);
      assert_holds (doc);
    }
}

/* The rims of a laced bracer: the gap comes off both, and what is left lies on the arcs of the whole cone. */
static void
test_laced_bracer (void)
{
  g_autoptr (ModelDocument) doc = make ("tube", (const Setting[]) { { "wrist_girth", 160 },
                                                                    { "forearm_girth", 280 },
                                                                    { "length", 200 },
                                                                    { "under", 0 },
                                                                    { "thickness", 0 },
                                                                    { "gap", 24 },
                                                                    { NULL, 0 } });
  const ModelPanel *panel = g_ptr_array_index (doc->panels, 0);
  g_assert_cmpint (panel->halves, ==, MODEL_HALVES_PAIR);
  fixture_near (edge_length (panel, "wrist"), 136, 136 * ARC_SHARE);
  fixture_near (edge_length (panel, "elbow"), 256, 256 * ARC_SHARE);
  /* Turning 120 / 200 = 0.6: radii 800/3 and 1400/3.  Chords: 2 R sin (length / 2 R). */
  double rise;
  fixture_near (edge_chord (panel, "wrist", &rise), 2 * 800.0 / 3 * sin (136 * 3 / 1600.0), 1e-8);
  fixture_near (edge_chord (panel, "elbow", &rise), 2 * 1400.0 / 3 * sin (256 * 3 / 2800.0), 1e-8);
  g_assert_cmpuint (doc->measures->len, ==, 2);
  const ModelMeasure *wrist = g_ptr_array_index (doc->measures, 0);
  g_assert_cmpstr (wrist->key, ==, "wrist_girth");
  fixture_near (wrist->wearer_mm, 160, 0);
  assert_holds (doc);
  g_autoptr (ModelDocument) greave
    = make ("tube", (const Setting[]) { { "use", 1 }, { "calf_girth", 380 }, { NULL, 0 } });
  g_assert_cmpstr (((ModelPanel *)g_ptr_array_index (greave->panels, 0))->name, ==, "Greave");
  g_assert_cmpstr (((ModelMeasure *)g_ptr_array_index (greave->measures, 1))->key, ==, "calf_girth");
  assert_holds (greave);
}

/* ---- the others ---- */

static void
test_collar (void)
{
  for (int lapped = 0; lapped < 2; lapped++)
  {
    g_autoptr (ModelDocument) doc = make ("collar", (const Setting[]) { { "neck_girth", 330 },
                                                                        { "neck_base_girth", 380 },
                                                                        { "height", 50 },
                                                                        { "ease", 20 },
                                                                        { "under", 2 },
                                                                        { "thickness", 4 },
                                                                        { "closing", lapped },
                                                                        { "gap", 30 },
                                                                        { NULL, 0 } });
    const ModelPanel *panel = g_ptr_array_index (doc->panels, 0);
    /* 2 pi 2 + pi 4 = 8 pi; half of each. */
    double more = 20 + 8 * G_PI - (lapped ? 0 : 30);
    fixture_near (edge_length (panel, "upper"), (330 + more) / 2, 180 * ARC_SHARE);
    fixture_near (edge_length (panel, "neck"), (380 + more) / 2, 200 * ARC_SHARE);
    fixture_near (edge_length (panel, "middle"), 50, 1e-9);
    g_assert_cmpint (panel->halves, ==, MODEL_HALVES_FOLD);
    g_assert_cmpint (model_panel_fold_edge (panel), ==, 0);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EnginePiece *piece = engine_review_piece (review, panel->id, MODEL_SIDE_CENTRE);
    g_assert_nonnull (piece);
    if (lapped)
      /* The whole cone: turning 1 over a height of 50, so (G1 + G2) s / 2. */
      fixture_near (piece->area_mm2, (710 + 2 * more) * 25, 0.05);
    else
      /* Each end's edge parts from the slanted side by very little: 0.01 %. */
      fixture_near (piece->area_mm2, (710 + 2 * more) * 25, 3);
    assert_holds (doc);
  }
}

static void
test_strap (void)
{
  /* 300 by 20, turned back 50: pointed tip of 15, so 335 of full width and a triangle; round: half a disc
   * of 10. */
  static const double areas[] = { 335 * 20 + 150, 340 * 20 + G_PI * 50, 350 * 20 };
  for (int tip = 0; tip < 3; tip++)
  {
    g_autoptr (ModelDocument) doc = make ("strap", (const Setting[]) { { "length", 300 },
                                                                       { "width", 20 },
                                                                       { "turn_back", 50 },
                                                                       { "tip", tip },
                                                                       { "count", 3 },
                                                                       { NULL, 0 } });
    const ModelPanel *panel = g_ptr_array_index (doc->panels, 0);
    fixture_near (area_of (panel), areas[tip], 1e-3);
    g_assert_cmpint (panel->quantity, ==, 3);
    g_assert_cmpuint (panel->marks->len, ==, 2);
    /* Both marks lie over the bar, 50 from the buckle end. */
    const ModelMark *upper = &g_array_index (panel->marks, ModelMark, 1);
    fixture_near (g_array_index (panel->marks, ModelMark, 0).at_mm, 50, 1e-12);
    fixture_near (edge_length (panel, "upper") - upper->at_mm, 50, 1e-9);
    assert_holds (doc);
  }
  g_autoptr (ModelDocument) plate
    = make ("rectangle", (const Setting[]) { { "width", 120 }, { "height", 75 }, { NULL, 0 } });
  fixture_near (area_of (g_ptr_array_index (plate->panels, 0)), 9000, 1e-9);
  assert_holds (plate);
}

static void
test_torso_choices (void)
{
  g_autoptr (ModelDocument) doc = make ("torso", (const Setting[]) { { NULL, 0 } });
  g_assert_cmpuint (doc->panels->len, ==, 3);
  g_assert_cmpuint (doc->joins->len, ==, 5);
  g_assert_cmpuint (doc->measures->len, ==, 13);
  assert_holds (doc);
  /* A waist as wide as the chest wants no dart. */
  g_autoptr (ModelDocument) straight = make (
    "torso", (const Setting[]) { { "waist_girth", 940 }, { "shoulders", 1 }, { "gap", 0 }, { NULL, 0 } });
  g_assert_cmpuint (straight->joins->len, ==, 4);
  assert_holds (straight);
  g_autoptr (ModelDocument) dart = make ("torso", (const Setting[]) { { "dart_allowance", 6 }, { NULL, 0 } });
  assert_holds (dart);
}

/* ---- what is refused ---- */

static const struct
{
  const char *starter, *name;
  double to;
  const char *name2;
  double to2;
  int code;
  const char *begins;
} refusals[] = {
  { "tube", "wrist_girth", 300, NULL, 0, ENGINE_STARTER_ERROR_SHAPE,
    "The wrist (300.0\u2009mm) is wider than the forearm (263.0\u2009mm) allows" },
  { "tube", "length", NAN, NULL, 0, ENGINE_STARTER_ERROR_VALUE, "“Length along” must lie between" },
  { "tube", "closing", 0.5, NULL, 0, ENGINE_STARTER_ERROR_VALUE, "“Closed by” must lie between" },
  { "tube", "gap", 300, NULL, 0, ENGINE_STARTER_ERROR_SHAPE, "The lacing gap leaves too little" },
  { "tube", "length", 15, "forearm_girth", 300, ENGINE_STARTER_ERROR_SHAPE, "The girths differ too much" },
  { "collar", "neck_girth", 500, NULL, 0, ENGINE_STARTER_ERROR_SHAPE,
    "The neck (500.0\u2009mm) is wider than its base" },
  { "collar", "height", 10, "neck_base_girth", 500, ENGINE_STARTER_ERROR_SHAPE, "The collar is too low" },
  { "strap", "length", 20, "width", 100, ENGINE_STARTER_ERROR_SHAPE, "The strap is too short" },
  { "rectangle", "width", 0, NULL, 0, ENGINE_STARTER_ERROR_VALUE, "“Width” must lie between 1.0" },
  { "rectangle", "count", 1.5, NULL, 0, ENGINE_STARTER_ERROR_VALUE, "“How many” must lie between 1 and 99" },
  { "torso", "waist_girth", 400, "chest_girth", 1500, ENGINE_STARTER_ERROR_SHAPE, "The waist is too narrow" },
  { "torso", "neck_base_girth", 200, "gap", 150, ENGINE_STARTER_ERROR_SHAPE, "The neck is too tight" },
  { "torso", "side_length", 120, "armhole_drop", 100, ENGINE_STARTER_ERROR_SHAPE,
    "The armhole comes down to the waist" },
};

static void
test_refusals (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (refusals); i++)
  {
    const EngineStarter *starter = engine_starter_named (refusals[i].starter);
    double values[ENGINE_STARTER_VALUES];
    set_all (starter, values,
             (const Setting[]) {
               { refusals[i].name, refusals[i].to }, { refusals[i].name2, refusals[i].to2 }, { NULL, 0 } });
    g_autoptr (GError) error = NULL;
    g_assert_null (engine_starter_make (starter, values, &error));
    g_assert_error (error, ENGINE_STARTER_ERROR, refusals[i].code);
    g_test_message ("%s", error->message);
    g_assert_true (g_str_has_prefix (error->message, refusals[i].begins));
  }
}

/* ---- laws ---- */

/* Said on every sheet; the thickness stood in it twice. */
static void
test_material_is_said_once (void)
{
  guint count;
  const EngineStarter *const *starters = engine_starters (&count);
  for (guint i = 0; i < count; i++)
  {
    g_autoptr (ModelDocument) doc
      = make (starters[i]->key, (const Setting[]) { { "thickness", 3.5 }, { NULL, 0 } });
    for (guint k = 0; k < doc->panels->len; k++)
    {
      g_autofree char *words = engine_words_material (doc, g_ptr_array_index (doc->panels, k));
      g_assert_cmpstr (words, ==, "leather 3.5\u2009mm");
    }
  }
}

static void
test_table (void)
{
  guint count;
  const EngineStarter *const *all = engine_starters (&count);
  g_assert_cmpuint (count, ==, 5);
  for (guint i = 0; i < count; i++)
  {
    const EngineStarter *starter = all[i];
    g_assert_true (engine_starter_named (starter->key) == starter);
    g_assert_cmpuint (starter->value_count, <=, ENGINE_STARTER_VALUES);
    double values[ENGINE_STARTER_VALUES];
    engine_starter_defaults (starter, values);
    for (guint k = 0; k < starter->value_count; k++)
    {
      const EngineStarterValue *value = &starter->values[k];
      g_assert_cmpint (engine_starter_find (starter, values, value->key), ==, (int)k);
      g_assert_cmpfloat (values[k], >=, value->min);
      g_assert_cmpfloat (values[k], <=, value->max);
      if (value->kind == ENGINE_VALUE_CHOICE)
        g_assert_nonnull (value->choices[(int)value->max].key);
    }
    /* Out of the table with its defaults, every document holds, and the file takes it as it is. */
    g_autoptr (ModelDocument) doc = engine_starter_make (starter, values, NULL);
    g_assert_nonnull (doc);
    assert_holds (doc);
    gsize length, again_length;
    g_autofree char *text = model_document_to_data (doc, &length);
    g_autoptr (GError) error = NULL;
    g_autoptr (ModelDocument) read = model_document_from_data (text, length, &error);
    g_assert_no_error (error);
    g_autofree char *again = model_document_to_data (read, &again_length);
    g_assert_cmpstr (text, ==, again);
    for (guint p = 0; p < doc->panels->len; p++)
      g_assert_cmpfloat (area_of (g_ptr_array_index (doc->panels, p)), >, 0);
  }
  g_assert_null (engine_starter_named ("no such"));
  g_assert_null (engine_starter_named (NULL));
}

/* Whatever numbers come, within their limits and near what is usual or not: a document that holds, or a
 * sentence. */
static void
test_any_numbers (void)
{
  guint count, made = 0, refused = 0;
  const EngineStarter *const *all = engine_starters (&count);
  g_autoptr (GRand) rand = g_rand_new_with_seed (20260314);
  for (int round = 0; round < 4000; round++)
  {
    const EngineStarter *starter = all[round % count];
    double spread = g_rand_double (rand), values[ENGINE_STARTER_VALUES];
    engine_starter_defaults (starter, values);
    for (guint k = 0; k < starter->value_count; k++)
    {
      const EngineStarterValue *value = &starter->values[k];
      double wild = g_rand_double_range (rand, value->min, value->max);
      values[k] = values[k] + spread * spread * (wild - values[k]);
      if (value->kind == ENGINE_VALUE_CHOICE || value->kind == ENGINE_VALUE_COUNT)
        values[k] = g_rand_int_range (rand, (int)value->min, (int)value->max + 1);
    }
    g_autoptr (GError) error = NULL;
    g_autoptr (ModelDocument) doc = engine_starter_make (starter, values, &error);
    if (doc == NULL)
    {
      refused++;
      g_assert_nonnull (error);
      g_assert_cmpuint (strlen (error->message), >, 20);
      continue;
    }
    made++;
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (GPtrArray) open = engine_review_open_findings (review);
    if (open->len > 0)
    {
      g_autofree char *text = engine_finding_text (review, g_ptr_array_index (open, 0));
      g_test_message ("%s: %s", starter->key, text);
      for (guint k = 0; k < starter->value_count; k++)
        g_test_message ("  %s=%.17g", starter->values[k].key, values[k]);
    }
    g_assert_cmpuint (open->len, ==, 0);
  }
  g_test_message ("%u made, %u refused", made, refused);
  g_assert_cmpuint (made, >, 1500);
  g_assert_cmpuint (refused, >, 100);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/starter/cones", test_cones);
  g_test_add_func ("/engine/starter/thickness", test_thickness);
  g_test_add_func ("/engine/starter/laced-bracer", test_laced_bracer);
  g_test_add_func ("/engine/starter/collar", test_collar);
  g_test_add_func ("/engine/starter/strap", test_strap);
  g_test_add_func ("/engine/starter/torso-choices", test_torso_choices);
  g_test_add_func ("/engine/starter/refusals", test_refusals);
  g_test_add_func ("/engine/starter/material-is-said-once", test_material_is_said_once);
  g_test_add_func ("/engine/starter/table", test_table);
  g_test_add_func ("/engine/starter/any-numbers", test_any_numbers);
  return g_test_run ();
}
