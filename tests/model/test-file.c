/* Documents as bytes. */
#include "model/file.h"
#include "support/big-document.h"

#include <float.h>
#include <glib/gstdio.h>
#include <locale.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char *
every_member (gsize *length)
{
  g_autofree char *path = g_test_build_filename (G_TEST_DIST, "model", "every-member.panelwright", NULL);
  g_autoptr (GError) error = NULL;
  char *text = NULL;

  g_file_get_contents (path, &text, length, &error);
  g_assert_no_error (error);
  return text;
}

static ModelDocument *
read_sound (const char *text, gssize length)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_from_data (text, length < 0 ? strlen (text) : (gsize)length, &error);

  g_assert_no_error (error);
  g_assert_nonnull (doc);
  return doc;
}

/* The example holds every member there is, unknown ones at every level, in the order and form the schema
 * describes; it was written by hand.  Whatever the reader dropped or the writer changed would show. */
static void
test_every_member_survives (void)
{
  gsize length = 0, written_length = 0;
  g_autofree char *text = every_member (&length);
  g_autoptr (ModelDocument) doc = read_sound (text, (gssize)length);
  g_autofree char *written = model_document_to_data (doc, &written_length);

  g_assert_cmpstr (written, ==, text);
  g_assert_cmpuint (written_length, ==, length);
}

/* A photo is the largest thing in a document: saved, read and saved again it has the same bytes, whatever the
 * picture's length leaves over of base64's threes (RFC 4648, 4). */
static void
test_photo_is_byte_stable (void)
{
  static const guint8 head[] = { 0xff, 0xd8, 0xff, 0xe0 };
  for (gsize size = 300000; size < 300003; size++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPhoto *photo = model_photo_new ();
    guint8 *data = g_malloc (size);
    for (gsize i = 0; i < size; i++)
      data[i] = i < sizeof head ? head[i] : (guint8)(i * 2654435761u >> 13);
    photo->id = model_document_take_id (doc);
    photo->image = g_bytes_new_take (data, size);
    photo->width_px = 2800;
    photo->height_px = 1980;
    photo->mm_per_px = 1.0 / 7.0;
    photo->at = geom_point (-12.345, 67.891);
    photo->turn_deg = 3.3;
    photo->fade = 0.6;
    photo->locked = true;
    model_document_put (doc, (ModelPart) { MODEL_PART_PHOTO, photo }, -1);
    gsize length = 0, again_length = 0;
    g_autofree char *first = model_document_to_data (doc, &length);
    g_autoptr (ModelDocument) read = read_sound (first, (gssize)length);
    g_autofree char *second = model_document_to_data (read, &again_length);
    g_assert_cmpmem (first, length, second, again_length);
    const ModelPhoto *kept = g_ptr_array_index (read->photos, 0);
    g_assert_true (g_bytes_equal (kept->image, photo->image));
  }
}

static void
test_what_is_read (void)
{
  g_autofree char *text = every_member (NULL);
  g_autoptr (ModelDocument) doc = read_sound (text, -1);
  const ModelPanel *back = model_document_panel (doc, 10), *front = model_document_panel (doc, 30);
  const ModelJoin *join = model_document_join (doc, 50);
  const ModelMeasure *chest = model_document_measure (doc, 3), *straps = model_document_measure (doc, 4);
  const ModelNode *node = model_edge_node (model_panel_edge (back, 0), 1);
  const ModelNode *plain = model_edge_node (model_panel_edge (back, 3), 0);

  g_assert_cmpuint (doc->next_id, ==, 60);
  g_assert_cmpstr (doc->head->title, ==, "Caravan guard “jerkin”");
  g_assert_cmpint (doc->head->unit, ==, MODEL_UNIT_CM);
  g_assert_false (doc->head->edge_names);
  g_assert_cmpfloat (model_document_material (doc, 1)->neutral, ==, 0.45);
  g_assert_true (chest->has_wearer && chest->has_form && chest->has_tolerance);
  g_assert_cmpfloat (chest->form_mm, ==, 934.5);
  g_assert_null (straps->key);
  g_assert_false (straps->has_wearer || straps->has_form || straps->has_tolerance);
  g_assert_cmpint (straps->group, ==, MODEL_MEASURE_ACROSS);
  g_assert_cmpint (back->halves, ==, MODEL_HALVES_FOLD);
  g_assert_cmpint (back->side, ==, MODEL_SIDE_LEFT);
  g_assert_true (back->own_sides && back->locked && !back->hidden && back->has_grain);
  g_assert_cmpint (node->kind, ==, MODEL_NODE_SMOOTH);
  g_assert_cmpfloat (node->out.x, ==, 90.0);
  g_assert_true (geom_same_point (plain->in, plain->at) && geom_same_point (plain->out, plain->at));
  g_assert_cmpint (model_panel_find_mark (back, 22)->wedges, ==, 2);
  /* Left-out handles of a correction move with the node. */
  g_assert_cmpfloat (model_panel_find_correction (back, 16)->out.x, ==, -3.0);
  g_assert_cmpint (front->quantity, ==, 2);
  g_assert_true (front->hidden && !front->has_grain);
  g_assert_cmpfloat (front->mirror_x_mm, ==, -250.0);
  g_assert_null (front->note);
  g_assert_cmpint (join->kind, ==, MODEL_JOIN_LAPPED);
  g_assert_cmpint (join->only, ==, MODEL_SIDE_LEFT);
  g_assert_true (join->b_over && join->b.reversed && !join->a.reversed && !join->a.twin);
  g_assert_cmpuint (g_array_index (join->b.edges, guint, 1), ==, 31);
  g_assert_cmpfloat (join->ease_mm, ==, -2.0);
  g_assert_cmpuint (g_array_index (join->matches, ModelMatch, 0).b_mark_id, ==, 37);
  g_assert_true (model_document_join (doc, 51)->b.twin);
}

/* A copy, and every part's copy, is written alike: nothing is lost in copying. */
static void
test_copy_is_whole (void)
{
  g_autofree char *text = every_member (NULL);
  g_autoptr (ModelDocument) doc = read_sound (text, -1);
  g_autoptr (ModelDocument) copy = model_document_copy (doc);
  g_autofree char *written = NULL;

  g_clear_pointer (&doc, model_document_free);
  written = model_document_to_data (copy, NULL);
  g_assert_cmpstr (written, ==, text);
}

static void
test_big_document_twice (void)
{
  g_autoptr (ModelDocument) doc = test_big_document (), again = NULL;
  g_autofree char *first = model_document_to_data (doc, NULL), *second = NULL;

  again = read_sound (first, -1);
  second = model_document_to_data (again, NULL);
  g_assert_cmpstr (first, ==, second);
  g_assert_cmpuint (again->panels->len, ==, TEST_BIG_PANELS);
  g_assert_cmpuint (again->joins->len, ==, TEST_BIG_JOINS);
}

/* ---- numbers ---- */

static char *
written_number (double v)
{
  ModelMaterial material = { .id = 1, .name = (char *)"", .neutral = v };
  g_autofree char *text = model_part_to_data ((ModelPart) { MODEL_PART_MATERIAL, &material }, NULL);
  char *start = strstr (text, "\"neutral\": ") + strlen ("\"neutral\": ");

  return g_strndup (start, strcspn (start, ","));
}

static void
test_numbers_are_shortest (void)
{
  /* Right-hand sides: the shortest decimal of each double, worked by hand; 5e-324 is the least positive
   * double of IEEE 754, whose 15 digits read back as itself. */
  static const struct
  {
    double v;
    const char *want;
  } rows[] = { { 0.0, "0" },       { -0.0, "0" },          { 1.0, "1" },
               { -12.5, "-12.5" }, { 0.1, "0.1" },         { 0.1 + 0.2, "0.30000000000000004" },
               { 1e-7, "1e-07" },  { 100000.0, "100000" }, { 1.0 / 3.0, "0.3333333333333333" },
               { NAN, "0" },       { INFINITY, "0" } };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autofree char *text = written_number (rows[i].v);
    g_assert_cmpstr (text, ==, rows[i].want);
  }
}

/* Law: any finite double reads back to the same bits. */
static void
test_numbers_read_back (void)
{
  for (int i = 0; i < 20000; i++)
  {
    guint64 bits = ((guint64)(guint32)g_test_rand_int () << 32) | (guint32)g_test_rand_int ();
    double v, back;
    g_autofree char *text = NULL;

    memcpy (&v, &bits, sizeof v);
    if (i % 2 == 0)
      v = g_test_rand_double_range (-1000.0, 1000.0);
    if (!isfinite (v) || v == 0.0)
      continue;
    text = written_number (v);
    back = g_ascii_strtod (text, NULL);
    g_assert_cmpmem (&v, sizeof v, &back, sizeof back);
  }
}

/* Judge: the plain way, printing with ever more digits until the same double is read. */
static void
test_numbers_against_printf (void)
{
  for (int i = 0; i < 200000; i++)
  {
    double v = g_test_rand_double_range (-1.0, 1.0) * pow (10.0, g_test_rand_int_range (-5, 17));
    g_autofree char *text = NULL;
    char want[64];

    if (i % 3 == 0)
      v = round (v * 1000.0) / 1000.0;
    else if (i % 3 == 1)
      v = ldexp (1.0 + (double)g_test_rand_int_range (-1, 2) * DBL_EPSILON, g_test_rand_int_range (-14, 50));
    if (v == 0.0)
      continue;
    for (int digits = 1; digits <= 17; digits++)
    {
      g_snprintf (want, sizeof want, "%.*g", digits, v);
      if (g_ascii_strtod (want, NULL) == v)
        break;
    }
    text = written_number (v);
    if (fabs (v) < 1e15 && strchr (want, 'e') != NULL && fabs (v) >= 1.0)
      g_snprintf (want, sizeof want, "%.0f", v);
    g_assert_cmpstr (text, ==, want);
  }
}

/* A locale that writes 1,5: only where such a one is installed. */
static void
test_comma_locale (void)
{
  static const char *const names[] = { "de_DE.UTF-8", "fr_FR.UTF-8", "nl_NL.UTF-8", "de_DE.utf8" };
  g_autofree char *text = every_member (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    if (setlocale (LC_NUMERIC, names[i]) != NULL)
    {
      g_autoptr (ModelDocument) doc = read_sound (text, -1);
      g_autofree char *written = model_document_to_data (doc, NULL);

      setlocale (LC_NUMERIC, "C");
      g_assert_cmpstr (written, ==, text);
      return;
    }
  g_test_skip ("no locale with a decimal comma is installed");
}

/* ---- refusals ---- */

typedef struct Refusal
{
  const char *story;
  /* In the example, FROM (all of it must be there) becomes TO. */
  const char *from, *to;
  const char *where; /* the message begins so */
} Refusal;

static const Refusal refusals[] = {
  { "another format", "\"panelwright\"", "\"somebody's\"", "format: " },
  { "no version", "\"version\": 1,", "", "version: " },
  { "version 0", "\"version\": 1,", "\"version\": 0,", "version: " },
  { "version 0.5", "\"version\": 1,", "\"version\": 0.5,", "version: " },
  { "version of text", "\"version\": 1,", "\"version\": \"1\",", "version: " },
  { "next_id negative", "\"next_id\": 60", "\"next_id\": -60", "next_id: " },
  { "next_id beyond counting", "\"next_id\": 60", "\"next_id\": 4294967295", "next_id: " },
  { "head a list", "\"head\": {", "\"head\": [], \"head2\": {", "head: " },
  { "title a number", "\"Caravan guard “jerkin”\"", "7", "head.title: " },
  { "unknown unit", "\"unit\": \"cm\"", "\"unit\": \"ell\"", "head.unit: " },
  { "unknown paper", "420x594.5", "papyrus", "head.paper: " },
  { "paper without height", "420x594.5", "420x", "head.paper: " },
  { "paper of no width", "420x594.5", "0x300", "head.paper: " },
  { "paper of infinite width", "420x594.5", "420xinf", "head.paper: " },
  { "truth a number", "\"edge_names\": false", "\"edge_names\": 0", "head.edge_names: " },
  { "overlap negative", "\"overlap_mm\": 12.5", "\"overlap_mm\": -1", "head.overlap_mm: " },
  { "materials an object", "\"materials\": [", "\"materials\": {}, \"other\": [", "materials: " },
  { "material a number", "\"materials\": [", "\"materials\": [5,", "materials[0]: " },
  { "unknown material kind", "\"kind\": \"foam\"", "\"kind\": \"paper\"", "materials[1].kind: " },
  { "neutral beyond 1", "\"neutral\": 0.45", "\"neutral\": 1.45", "materials[0].neutral: " },
  { "thickness beyond sense", "\"thickness_mm\": 10", "\"thickness_mm\": 1e4",
    "materials[1].thickness_mm: " },
  { "id missing", "{\"id\": 2, ", "{", "materials[1].id: " },
  { "id 0", "{\"id\": 2, ", "{\"id\": 0, ", "materials[1].id: " },
  { "id negative", "{\"id\": 2, ", "{\"id\": -2, ", "materials[1].id: " },
  { "id huge", "{\"id\": 2, ", "{\"id\": 18446744073709551618, ", "materials[1].id: " },
  { "id just beyond", "{\"id\": 2, ", "{\"id\": 2000000001, ", "materials[1].id: " },
  { "id fractional", "{\"id\": 2, ", "{\"id\": 2.5, ", "materials[1].id: " },
  { "id a text", "{\"id\": 2, ", "{\"id\": \"2\", ", "materials[1].id: " },
  { "id null", "{\"id\": 2, ", "{\"id\": null, ", "materials[1].id: " },
  { "id twice, among materials", "{\"id\": 2, ", "{\"id\": 1, ", "materials[1].id: " },
  { "id twice, node and material", "{\"id\": 13,", "{\"id\": 2,", "panels[0].edges[0].nodes[1].id: " },
  { "id twice, join and panel", "{\"id\": 53,", "{\"id\": 40,", "joins[3].id: " },
  { "unknown group", "\"group\": \"across\"", "\"group\": \"askew\"", "measures[1].group: " },
  { "measure negative", "\"wearer_mm\": 940", "\"wearer_mm\": -940", "measures[0].wearer_mm: " },
  { "measure a text", "\"form_mm\": 934.5", "\"form_mm\": \"934.5\"", "measures[0].form_mm: " },
  { "material that is not there", "\"material\": 1", "\"material\": 9", "panels[0].material: " },
  { "material that is a measure", "\"material\": 1", "\"material\": 3", "panels[0].material: " },
  { "unknown halves", "\"halves\": \"pair\"", "\"halves\": \"three\"", "panels[1].halves: " },
  { "unknown side", "\"side\": \"right\"", "\"side\": \"port\"", "panels[1].side: " },
  { "pair in the centre", "\"side\": \"right\"", "\"side\": \"centre\"", "panels[1].side: " },
  { "quantity 0", "\"quantity\": 2", "\"quantity\": 0", "panels[1].quantity: " },
  { "quantity fractional", "\"quantity\": 2", "\"quantity\": 1.5", "panels[1].quantity: " },
  { "note a list", "\"note\": \"Cut on the fold.\"", "\"note\": []", "panels[0].note: " },
  { "no fold edge", "\"fold\": true, ", "", "panels[0].halves: " },
  { "two fold edges", "\"name\": \"side\", \"nodes\": [\n          {\"id\": 16",
    "\"fold\": true, \"nodes\": [\n          {\"id\": 16", "panels[0].halves: " },
  { "bent fold edge", "{\"id\": 20, \"at\": [0, 400]}", "{\"id\": 20, \"at\": [0, 400], \"out\": [5, 200]}",
    "panels[0].halves: " },
  { "fold edge of two pieces", "{\"id\": 20, \"at\": [0, 400]}",
    "{\"id\": 20, \"at\": [0, 400]}, {\"id\": 59, \"at\": [0, 200]}", "panels[0].halves: " },
  { "no nodes", "\"nodes\": [\n          {\"id\": 32, \"at\": [300, 0]}\n        ]", "\"nodes\": []",
    "panels[1].edges[0].nodes: " },
  { "first node smooth", "{\"id\": 12, ", "{\"id\": 12, \"kind\": \"smooth\", ",
    "panels[0].edges[0].nodes[0].kind: " },
  { "unknown node kind", "\"kind\": \"even\"", "\"kind\": \"odd\"", "panels[0].edges[0].nodes[2].kind: " },
  { "node without a place", "\"at\": [60, -4], ", "", "panels[0].edges[0].nodes[1].at: " },
  { "place of one number", "\"at\": [60, -4]", "\"at\": [60]", "panels[0].edges[0].nodes[1].at: " },
  { "place of three numbers", "\"at\": [60, -4]", "\"at\": [60, -4, 0]", "panels[0].edges[0].nodes[1].at: " },
  { "place an object", "\"at\": [60, -4]", "\"at\": {\"x\": 60, \"y\": -4}",
    "panels[0].edges[0].nodes[1].at: " },
  { "place of texts", "\"at\": [60, -4]", "\"at\": [\"60\", -4]", "panels[0].edges[0].nodes[1].at[0]: " },
  { "place beyond the limit", "\"at\": [60, -4]", "\"at\": [60, -100000.1]",
    "panels[0].edges[0].nodes[1].at[1]: " },
  { "handle beyond the limit", "\"out\": [90, -4]", "\"out\": [9e300, -4]",
    "panels[0].edges[0].nodes[1].out[0]: " },
  { "allowance negative", "\"allowance_mm\": 6", "\"allowance_mm\": -6",
    "panels[0].edges[0].allowance_mm: " },
  { "mark on no edge", "\"edge\": 15, \"at_mm\": 300", "\"edge\": 99, \"at_mm\": 300",
    "panels[0].marks[1].edge: " },
  { "mark on another panel's edge", "\"edge\": 15, \"at_mm\": 300", "\"edge\": 31, \"at_mm\": 300",
    "panels[0].marks[1].edge: " },
  { "mark on a node", "\"edge\": 15, \"at_mm\": 300", "\"edge\": 16, \"at_mm\": 300",
    "panels[0].marks[1].edge: " },
  { "mark nowhere", "\"edge\": 15, \"at_mm\": 300", "\"edge\": 15", "panels[0].marks[1].at_mm: " },
  { "mark before the start", "\"at_mm\": 300", "\"at_mm\": -1", "panels[0].marks[1].at_mm: " },
  { "three wedges", "\"wedges\": 2", "\"wedges\": 3", "panels[0].marks[1].wedges: " },
  { "correction of no node", "{\"node\": 16, ", "{\"node\": 99, ", "panels[0].corrections[0].node: " },
  { "correction of another panel's node", "{\"node\": 16, ", "{\"node\": 32, ",
    "panels[0].corrections[0].node: " },
  { "correction of an edge", "{\"node\": 16, ", "{\"node\": 15, ", "panels[0].corrections[0].node: " },
  { "two corrections of a node", "{\"node\": 16, ", "{\"node\": 13, ", "panels[0].corrections[1].node: " },
  { "correction of nothing", "{\"node\": 16, \"at\": [-3, 1.5]}", "{\"node\": 16}",
    "panels[0].corrections[0].at: " },
  { "unknown join kind", "\"kind\": \"gap\"", "\"kind\": \"glued\"", "joins[2].kind: " },
  { "tolerance negative", "\"tolerance_mm\": 0.5", "\"tolerance_mm\": -0.5", "joins[0].tolerance_mm: " },
  { "join of one run", ",\n      \"b\": {\"panel\": 10, \"edges\": [11]}", "", "joins[2].b: " },
  { "run on no panel", "{\"panel\": 40, \"edges\": [41]},", "{\"panel\": 41, \"edges\": [41]},",
    "joins[2].a.panel: " },
  { "run without a panel", "{\"panel\": 40, \"edges\": [41]},", "{\"edges\": [41]},", "joins[2].a.panel: " },
  { "run of no edges", "\"edges\": [15, 17]", "\"edges\": []", "joins[0].a.edges: " },
  { "run of an edge that is not there", "\"edges\": [15, 17]", "\"edges\": [15, 99]",
    "joins[0].a.edges[1]: " },
  { "run of another panel's edge", "\"edges\": [15, 17]", "\"edges\": [15, 31]", "joins[0].a.edges[1]: " },
  { "run with a leap over what is no dart", "\"edges\": [35, 31]", "\"edges\": [31, 35]",
    "joins[0].b.edges[1]: " },
  { "run backwards", "\"edges\": [15, 17]", "\"edges\": [17, 15]", "joins[0].a.from_mark: " },
  { "run with an edge twice", "\"edges\": [15, 17]", "\"edges\": [15, 15]", "joins[0].a.edges[1]: " },
  { "run more than once round", "{\"panel\": 40, \"edges\": [41]},", "{\"panel\": 40, \"edges\": [41, 41]},",
    "joins[2].a.edges[1]: " },
  { "edge joined with itself", "\"edges\": [33], \"twin\": true", "\"edges\": [33], \"twin\": false",
    "joins[1].b: " },
  { "match with a mark that is not there", "{\"a\": 21, \"b\": 37", "{\"a\": 99, \"b\": 37",
    "joins[0].matches[0].a: " },
  { "match with the other run's mark", "{\"a\": 21, \"b\": 37", "{\"a\": 37, \"b\": 37",
    "joins[0].matches[0].a: " },
  { "match with a mark off the run", "\"b\": {\"panel\": 30, \"edges\": [35, 31]",
    "\"b\": {\"panel\": 30, \"edges\": [33, 35]", "joins[0].matches[0].b: " },
  { "run from a mark off its first edge", "\"from_mark\": 21", "\"from_mark\": 23",
    "joins[0].a.from_mark: " },
  { "run to a mark that is not there", "\"to_mark\": 23", "\"to_mark\": 99", "joins[0].a.to_mark: " },
  { "ease from another run's mark", "\"ease_from\": 21", "\"ease_from\": 37", "joins[0].ease_from: " },
  { "a crowd of straps", "\"straps\": 3", "\"straps\": 3e9", "joins[2].straps: " },
  { "tape along to a point", "{\"id\": 25, \"kind\": \"along\", \"a\": 21, \"b\": 22}",
    "{\"id\": 25, \"kind\": \"along\", \"a\": 21, \"b_at\": [0, 0]}", "panels[0].tapes[1].kind: " },
  { "tape without an end", "\"a\": 21, \"b_at\": [0, 200.5]", "\"a\": 21", "panels[0].tapes[0].b_at: " },
  { "tape from another panel's mark", "{\"id\": 24, \"a\": 21", "{\"id\": 24, \"a\": 37",
    "panels[0].tapes[0].a: " },
  { "span on no panel", "{\"panel\": 10, \"a\": 21", "{\"panel\": 11, \"a\": 21",
    "lines[1].spans[0].panel: " },
  { "span from another panel's mark", "{\"panel\": 10, \"a\": 21", "{\"panel\": 10, \"a\": 37",
    "lines[1].spans[0].a: " },
  { "line of no measure", "\"measure\": 3", "\"measure\": 1", "lines[1].measure: " },
  { "photo of no picture", "\"image\": \"iVBO", "\"image\": \"AAAA", "photos[0].image: " },
  { "photo without a picture", "\"image\": ", "\"imago\": ", "photos[0].image: " },
  { "photo without a size", "\"width_px\": 1", "\"width_px\": 0", "photos[0].width_px: " },
  { "fit note of another panel's edge", "\"panel\": 10, \"edge\": 15", "\"panel\": 10, \"edge\": 31",
    "fit_notes[0].edge: " },
  { "revision without a state", "\"state\": {", "\"estate\": {", "revisions[0].state: " },
  { "trouble inside a revision", "{\"id\": 42, \"at\": [0, -90]", "{\"id\": 41, \"at\": [0, -90]",
    "revisions[0].state.panels[0].edges[0].nodes[0].id: " },
  /* JSON itself.  Lines and columns counted in the example by hand. */
  { "two members of a name", "\"unit\": \"cm\",", "\"unit\": \"cm\", \"unit\": \"mm\",",
    "line 5, column 11: " },
  { "no comma", "\"version\": 1,", "\"version\": 1", "line 4, column 3: " },
  { "comma at the end", "{\"b\": 1, \"a\": 2}", "{\"b\": 1, \"a\": 2,}", "line 142, column 28: " },
  { "single quotes", "\"version\"", "'version'", "line 3, column 3: " },
  { "a comment", "\"version\": 1,", "\"version\": 1, // one", "line 3, column 17: " },
  { "NaN", "\"version\": 1,", "\"version\": NaN,", "line 3, column 14: " },
  { "Infinity", "\"version\": 1,", "\"version\": -Infinity,", "line 3, column 15: " },
  { "1e999", "\"version\": 1,", "\"version\": 1e999,", "line 3, column 14: " },
  { "leading zero", "\"version\": 1,", "\"version\": 01,", "line 3, column 14: " },
  { "plus sign", "\"version\": 1,", "\"version\": +1,", "line 3, column 14: " },
  { "hexadecimal", "\"version\": 1,", "\"version\": 0x1,", "line 3, column 15: " },
  { "point without digits", "\"version\": 1,", "\"version\": 1.,", "line 3, column 16: " },
  { "exponent without digits", "\"version\": 1,", "\"version\": 1e,", "line 3, column 16: " },
  { "unknown escape", "wearer A", "wearer \\q", "line 7, column 23: " },
  { "NUL in a text", "wearer A", "wearer \\u0000", "line 7, column 23: " },
  { "half a pair of escapes", "wearer A", "wearer \\ud800", "line 7, column 23: " },
  { "the other half", "wearer A", "wearer \\udc00", "line 7, column 23: " },
  { "tab in a text", "wearer A", "wearer\tA", "line 7, column 22: " },
  { "not UTF-8", "wearer A", "wearer \xff", "line 7, column 23: " },
  { "columns are characters", "jerkin”", "jerkin”\x01", "line 6, column 37: " },
  { "text after the end", "\"a\": 2}\n}", "\"a\": 2}\n} x", "line 143, column 3: " },
};

static void
assert_one_line (const char *message)
{
  g_assert_true (g_utf8_validate (message, -1, NULL));
  g_assert_cmpuint (strlen (message), >, 0);
  for (const char *c = message; *c != '\0'; c++)
    g_assert_false (g_ascii_iscntrl (*c));
}

static void
assert_refused (const char *text, gsize length, const char *story, const char *where)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = model_document_from_data (text, length, &error);

  g_test_message ("%s: %s", story, error != NULL ? error->message : "accepted");
  g_assert_null (doc);
  g_assert_cmpint (error->domain, ==, MODEL_FILE_ERROR);
  g_assert_cmpint (error->code, ==,
                   g_str_has_prefix (where, "line ") ? (int)MODEL_FILE_ERROR_SYNTAX
                                                     : (int)MODEL_FILE_ERROR_CONTENT);
  assert_one_line (error->message);
  g_assert_true (g_str_has_prefix (error->message, where));
  g_assert_cmpuint (strlen (error->message), >, strlen (where));
}

static void
test_refusals (void)
{
  g_autofree char *text = every_member (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (refusals); i++)
  {
    const Refusal *row = &refusals[i];
    g_autoptr (GString) changed = g_string_new (text);

    if (g_string_replace (changed, row->from, row->to, 1) != 1)
      g_error ("“%s” is not in the example", row->from);
    assert_refused (changed->str, changed->len, row->story, row->where);
  }
}

static void
test_whole_texts_refused (void)
{
  static const Refusal rows[] = {
    { "nothing", NULL, "", "line 1, column 1: " },
    { "blanks", NULL, " \n\n ", "line 3, column 2: " },
    { "only a byte order mark", NULL, "\xef\xbb\xbf", "line 1, column " },
    { "a number", NULL, "12", "this is JSON" },
    { "null", NULL, "null", "this is JSON" },
    { "a list", NULL, "[]", "this is JSON" },
    { "an empty object", NULL, "{}", "format: " },
    { "another program's JSON", NULL, "{\"type\": \"FeatureCollection\"}", "format: " },
    { "XML", NULL, "<?xml version=\"1.0\"?>", "line 1, column 1: " },
    { "UTF-16", NULL, "\xff\xfe{", "line 1, column 1: " },
  };
  static const char with_nul[] = "{\"format\": \"panel\0wright\"}";

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    assert_refused (rows[i].to, strlen (rows[i].to), rows[i].story, rows[i].where);
  assert_refused (with_nul, sizeof with_nul - 1, "an embedded NUL", "line 1, column 18: ");
}

static void
test_newer_refused (void)
{
  static const char *const versions[] = { "2", "1.5", "1e300", "99999999999999999999" };

  for (guint i = 0; i < G_N_ELEMENTS (versions); i++)
  {
    g_autofree char *text
      = g_strdup_printf ("{\"format\": \"panelwright\", \"version\": %s, \"panels\": 7}", versions[i]);
    g_autoptr (GError) error = NULL;

    g_assert_null (model_document_from_data (text, strlen (text), &error));
    g_assert_error (error, MODEL_FILE_ERROR, MODEL_FILE_ERROR_NEWER);
    assert_one_line (error->message);
  }
}

static char *
nested (int depth)
{
  g_autofree char *up = g_strnfill ((gsize)depth, '['), *down = g_strnfill ((gsize)depth, ']');

  return g_strdup_printf ("{\"format\": \"panelwright\", \"version\": 1, \"x\": %s%s}", up, down);
}

static void
test_depth (void)
{
  /* The document itself is one level. */
  g_autofree char *deep = nested (99), *too_deep = nested (100), *abyss = g_strnfill (3000000, '[');
  g_autoptr (ModelDocument) doc = read_sound (deep, -1);
  g_autofree char *written = model_document_to_data (doc, NULL);
  g_autoptr (ModelDocument) again = read_sound (written, -1);

  g_assert_nonnull (again);
  assert_refused (too_deep, strlen (too_deep), "a hundred levels more", "line 1, column ");
  assert_refused (abyss, strlen (abyss), "nothing but brackets", "line 1, column ");
}

static void
test_too_many_nodes (void)
{
  g_autoptr (GString) text
    = g_string_new ("{\"format\": \"panelwright\", \"version\": 1, \"panels\": [{\"id\": 1, \"edges\": ["
                    "{\"id\": 2, \"nodes\": [{\"id\": 3, \"at\": [0, 0]}");

  for (guint i = 1; i < MODEL_FILE_MAX_NODES; i++)
    g_string_append_printf (text, ",{\"id\":%u,\"at\":[%u,1]}", i + 3, i % 1000);
  {
    g_autofree char *most = g_strconcat (text->str, "]}]}]}", NULL);
    g_autoptr (ModelDocument) doc = read_sound (most, -1);

    g_assert_cmpuint (model_panel_node_count (model_document_panel (doc, 1)), ==, MODEL_FILE_MAX_NODES);
  }
  g_string_append (text, ",{\"id\": 999999, \"at\": [0, 0]}]}]}]}");
  assert_refused (text->str, text->len, "one more", "panels[0].edges[0].nodes[200000]: ");
}

/* ---- what is let through ---- */

static void
test_lenient (void)
{
  static const char *const texts[] = {
    "{\"format\": \"panelwright\", \"version\": 1}",
    "\xef\xbb\xbf{\"format\": \"panelwright\", \"version\": 1}",
    "\r\n\t{\"version\": 1.0, \"format\": \"panelwrigh\\u0074\"}\r\n",
    /* A panel of one node; a mark far beyond the edge. */
    "{\"format\": \"panelwright\", \"version\": 1, \"panels\": [{\"id\": 1, \"edges\": [{\"id\": 2, "
    "\"nodes\": [{\"id\": 3, \"at\": [5, 5]}]}],"
    " \"marks\": [{\"id\": 4, \"edge\": 2, \"at_mm\": 1e6}]}]}",
    /* A folded panel of no size at all is for the checks, not for the reader. */
    "{\"format\": \"panelwright\", \"version\": 1, \"panels\": [{\"id\": 1, \"halves\": \"fold\", \"edges\": "
    "[{\"id\": 2, \"fold\": true, \"nodes\": "
    "[{\"id\": 3, \"at\": [5, 5]}]}]}]}",
    "{\"format\": \"panelwright\", \"version\": 1, \"next_id\": 3, \"materials\": [{\"id\": 7.0}]}",
  };

  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
  {
    g_autoptr (ModelDocument) doc = read_sound (texts[i], -1), again = NULL;
    g_autofree char *first = model_document_to_data (doc, NULL), *second = NULL;

    again = read_sound (first, -1);
    second = model_document_to_data (again, NULL);
    g_assert_cmpstr (first, ==, second);
  }
}

/* A counter behind the ids, as after an edit by hand, is put ahead of them. */
static void
test_next_id_catches_up (void)
{
  g_autoptr (ModelDocument) doc = read_sound (
    "{\"format\": \"panelwright\", \"version\": 1, \"next_id\": 3, \"materials\": [{\"id\": 7}]}", -1);

  g_assert_cmpuint (model_document_take_id (doc), ==, 8);
}

/* A twin side is needed for two halves; the drawn one is then the right. */
static void
test_side_of_a_pair (void)
{
  g_autoptr (ModelDocument) doc = read_sound (
    "{\"format\": \"panelwright\", \"version\": 1, \"panels\": [{\"id\": 1, \"halves\": \"pair\", "
    "\"edges\": [{\"id\": 2, \"nodes\": [{\"id\": 3, \"at\": [5, 5]}]}]}]}",
    -1);

  g_assert_cmpint (model_document_panel (doc, 1)->side, ==, MODEL_SIDE_RIGHT);
}

/* ---- damage ---- */

static void
load_or_refuse (const char *text, gsize length)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = model_document_from_data (text, length, &error);

  g_assert_true ((doc == NULL) == (error != NULL));
  if (doc == NULL)
    assert_one_line (error->message);
  else
  {
    /* What was let through is sound: it can be written and read again. */
    g_autofree char *written = model_document_to_data (doc, NULL), *twice = NULL;
    g_autoptr (ModelDocument) again = read_sound (written, -1);

    twice = model_document_to_data (again, NULL);
    g_assert_cmpstr (written, ==, twice);
  }
}

static void
test_every_prefix (void)
{
  gsize length = 0;
  g_autofree char *text = every_member (&length);

  for (gsize i = 0; i + 1 < length; i++)
  {
    /* A copy of its own, so that the sanitizer sees a reader that looks too far. */
    g_autofree char *prefix = i > 0 ? g_memdup2 (text, i) : g_malloc (1);
    g_autoptr (GError) error = NULL;
    g_autoptr (ModelDocument) doc = model_document_from_data (prefix, i, &error);

    g_assert_null (doc);
    assert_one_line (error->message);
  }
}

static void
test_flipped_bytes (void)
{
  gsize length = 0;
  g_autofree char *text = every_member (&length);

  for (gsize i = 0; i < length; i++)
  {
    char kept = text[i];

    for (int bit = 0; bit < 8; bit++)
    {
      text[i] = (char)(kept ^ (1 << bit));
      load_or_refuse (text, length);
    }
    text[i] = kept;
  }
}

/* Pieces of the document cut out, doubled and swapped at random. */
static void
test_shuffled_pieces (void)
{
  gsize length = 0;
  g_autofree char *text = every_member (&length);

  for (int i = 0; i < 4000; i++)
  {
    g_autoptr (GString) changed = g_string_new_len (text, (gssize)length);

    for (int n = g_test_rand_int_range (1, 4); n > 0; n--)
    {
      gsize from = (gsize)g_test_rand_int_range (0, (gint32)changed->len);
      gsize size = (gsize)g_test_rand_int_range (1, 40);
      gsize to = (gsize)g_test_rand_int_range (0, (gint32)changed->len);
      g_autofree char *piece = NULL;

      size = MIN (size, changed->len - from);
      piece = g_strndup (changed->str + from, size);
      if (g_test_rand_bit ())
        g_string_erase (changed, (gssize)from, (gssize)size);
      g_string_insert (changed, (gssize)MIN (to, changed->len), piece);
    }
    load_or_refuse (changed->str, changed->len);
  }
}

/* ---- from a file ---- */

static void
assert_not_loaded (const char *path, GQuark domain, int code)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  g_assert_null (model_document_load (file, NULL, &error));
  g_test_message ("%s", error->message);
  g_assert_error (error, domain, code);
  assert_one_line (error->message);
}

static void
test_load (void)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *dir = g_dir_make_tmp ("model-file-XXXXXX", &error);
  g_autofree char *path = g_build_filename (dir, "jer\nkin.panelwright", NULL);
  g_autofree char *pipe = g_build_filename (dir, "pipe", NULL);
  g_autofree char *gone = g_build_filename (dir, "gone", NULL);
  g_autofree char *text = every_member (NULL), *etag = NULL;
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (ModelDocument) doc = NULL;

  g_assert_no_error (error);
  g_file_set_contents (path, text, -1, &error);
  g_assert_no_error (error);
  doc = model_document_load (file, &etag, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (doc->panels->len, ==, 3);
  g_assert_nonnull (etag);

  assert_not_loaded (gone, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  assert_not_loaded (dir, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY);
  /* Nobody writes into the pipe: reading it would wait for ever. */
  g_assert_cmpint (mkfifo (pipe, 0600), ==, 0);
  assert_not_loaded (pipe, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE);
  g_file_set_contents (path, "{", -1, NULL);
  assert_not_loaded (path, MODEL_FILE_ERROR, MODEL_FILE_ERROR_SYNTAX);
  /* Sparse: takes no room on the disk. */
  g_assert_cmpint (truncate (path, 257L * 1024 * 1024), ==, 0);
  assert_not_loaded (path, G_IO_ERROR, G_IO_ERROR_FAILED);
  g_chmod (path, 0);
  if (geteuid () != 0)
    assert_not_loaded (path, G_IO_ERROR, G_IO_ERROR_PERMISSION_DENIED);
  g_unlink (path);
  g_unlink (pipe);
  g_rmdir (dir);
}

/* For tests/model/check-schema.py, which holds them against the published schema. */
static void
test_write_for_schema (void)
{
  g_autoptr (ModelDocument) empty = model_document_new (), big = test_big_document_of (20, 30), every = NULL;
  g_autofree char *text = every_member (NULL);
  const ModelDocument *docs[3];
  static const char *const names[]
    = { "written-empty.panelwright", "written-big.panelwright", "written-every.panelwright" };

  docs[0] = empty;
  docs[1] = big;
  docs[2] = every = read_sound (text, -1);
  for (guint i = 0; i < G_N_ELEMENTS (docs); i++)
  {
    g_autofree char *path = g_test_build_filename (G_TEST_BUILT, "model", names[i], NULL);
    g_autofree char *written = model_document_to_data (docs[i], NULL);
    g_autoptr (GError) error = NULL;

    g_file_set_contents (path, written, -1, &error);
    g_assert_no_error (error);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/file/every-member-survives", test_every_member_survives);
  g_test_add_func ("/model/file/what-is-read", test_what_is_read);
  g_test_add_func ("/model/file/copy-is-whole", test_copy_is_whole);
  g_test_add_func ("/model/file/big-document-twice", test_big_document_twice);
  g_test_add_func ("/model/file/numbers-are-shortest", test_numbers_are_shortest);
  g_test_add_func ("/model/file/numbers-read-back", test_numbers_read_back);
  g_test_add_func ("/model/file/numbers-against-printf", test_numbers_against_printf);
  g_test_add_func ("/model/file/comma-locale", test_comma_locale);
  g_test_add_func ("/model/file/refusals", test_refusals);
  g_test_add_func ("/model/file/whole-texts-refused", test_whole_texts_refused);
  g_test_add_func ("/model/file/newer-refused", test_newer_refused);
  g_test_add_func ("/model/file/depth", test_depth);
  g_test_add_func ("/model/file/too-many-nodes", test_too_many_nodes);
  g_test_add_func ("/model/file/lenient", test_lenient);
  g_test_add_func ("/model/file/next-id-catches-up", test_next_id_catches_up);
  g_test_add_func ("/model/file/side-of-a-pair", test_side_of_a_pair);
  g_test_add_func ("/model/file/photo-is-byte-stable", test_photo_is_byte_stable);
  g_test_add_func ("/model/file/every-prefix", test_every_prefix);
  g_test_add_func ("/model/file/flipped-bytes", test_flipped_bytes);
  g_test_add_func ("/model/file/shuffled-pieces", test_shuffled_pieces);
  g_test_add_func ("/model/file/load", test_load);
  g_test_add_func ("/model/file/write-for-schema", test_write_for_schema);
  return g_test_run ();
}
