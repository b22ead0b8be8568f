/* The lists, and finding in them. */
#include "model/document.h"

#include "support/big-document.h"

static guint
add_panel (ModelDocument *doc, const char *name)
{
  ModelPanel *panel = model_panel_new ();

  panel->id = model_document_take_id (doc);
  g_free (panel->name);
  panel->name = g_strdup (name);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  return panel->id;
}

static void
add_join (ModelDocument *doc, const char *letter)
{
  ModelJoin *join = model_join_new ();

  join->id = model_document_take_id (doc);
  g_free (join->letter);
  join->letter = g_strdup (letter);
  model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
}

static void
assert_names (const ModelDocument *doc, const char *want)
{
  g_autoptr (GString) names = g_string_new (NULL);

  for (guint i = 0; i < doc->panels->len; i++)
    g_string_append (names, ((ModelPanel *)g_ptr_array_index (doc->panels, i))->name);
  g_assert_cmpstr (names->str, ==, want);
}

static void
test_put_and_take (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  guint a = add_panel (doc, "a"), b = add_panel (doc, "b");
  ModelPanel *again = model_panel_new ();
  ModelPart part;
  int index = -1;

  g_assert_cmpuint (a, !=, b);
  add_panel (doc, "c");
  again->id = b;
  g_free (again->name);
  again->name = g_strdup ("B");
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, again }, 0);
  assert_names (doc, "aBc");
  g_assert_true (model_document_panel (doc, b) == again);
  part = model_document_take (doc, MODEL_PART_PANEL, b, &index);
  g_assert_cmpint (index, ==, 1);
  g_assert_null (model_document_panel (doc, b));
  assert_names (doc, "ac");
  model_document_put (doc, part, 0);
  assert_names (doc, "Bac");
  part = model_document_take (doc, MODEL_PART_PANEL, b, NULL);
  model_document_put (doc, part, 99);
  assert_names (doc, "acB");
  part = model_document_take (doc, MODEL_PART_PANEL, 999, NULL);
  g_assert_null (part.body);
  part = model_document_take (doc, MODEL_PART_HEAD, 0, NULL);
  g_assert_null (part.body);
}

/* An id of a panel is not one of a join, though they draw from one counter. */
static void
test_kinds_are_kept_apart (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  guint id = add_panel (doc, "a");

  g_assert_nonnull (model_document_panel (doc, id));
  g_assert_null (model_document_join (doc, id));
  g_assert_null (model_document_measure (doc, id));
  g_assert_null (model_document_material (doc, id));
  g_assert_null (model_document_panel (doc, 0));
  g_assert_true (model_document_part (doc, MODEL_PART_HEAD, 0).body == doc->head);
}

static void
test_ids_stay_ahead (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelMaterial *material = model_material_new ();

  material->id = 41;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, material }, -1);
  g_assert_cmpuint (model_document_take_id (doc), ==, 42);
  g_assert_cmpuint (model_document_take_id (doc), ==, 43);
}

static void
test_free_letter (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autofree char *first = model_document_free_letter (doc), *gap = NULL, *double_a = NULL, *double_b = NULL;

  g_assert_cmpstr (first, ==, "A");
  add_join (doc, "A");
  add_join (doc, "C");
  gap = model_document_free_letter (doc);
  g_assert_cmpstr (gap, ==, "B");
  add_join (doc, "B");
  for (char c = 'D'; c <= 'Z'; c++)
    add_join (doc, (char[]) { c, '\0' });
  double_a = model_document_free_letter (doc);
  g_assert_cmpstr (double_a, ==, "AA");
  add_join (doc, "AA");
  double_b = model_document_free_letter (doc);
  g_assert_cmpstr (double_b, ==, "AB");
}

/* 26 + 26 * 26 = 702 joins up to "ZZ"; the next is "AAA". */
static void
test_letters_go_on (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (GHashTable) seen = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);

  for (int i = 0; i < 702; i++)
  {
    g_autofree char *letter = model_document_free_letter (doc);

    add_join (doc, letter);
    if (i == 51)
      g_assert_cmpstr (letter, ==, "AZ");
    if (i == 701)
      g_assert_cmpstr (letter, ==, "ZZ");
    g_assert_true (g_hash_table_add (seen, g_steal_pointer (&letter)));
  }
  g_autofree char *last = model_document_free_letter (doc);
  g_assert_cmpstr (last, ==, "AAA");
}

static void
test_free_panel_name (void)
{
  static const struct
  {
    const char *wish, *want;
  } rows[]
    = { { "Back", "Back" }, { "Front", "Front 3" }, { "Front 2", "Front 3" },  { "Plate 9", "Plate 2" },
        { "7", "7 2" },     { "", " 2" },           { "Bracer2", "Bracer2 2" } };
  g_autoptr (ModelDocument) doc = model_document_new ();

  add_panel (doc, "Front");
  add_panel (doc, "Front 2");
  add_panel (doc, "Plate 9");
  add_panel (doc, "7");
  add_panel (doc, "");
  add_panel (doc, "Bracer2");
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autofree char *name = model_document_free_panel_name (doc, rows[i].wish);

    g_assert_cmpstr (name, ==, rows[i].want);
    g_assert_null (model_document_panel_named (doc, name));
  }
  g_assert_cmpstr (model_document_panel_named (doc, "Front 2")->name, ==, "Front 2");
}

static void
test_excerpt (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  const ModelPanel *a = g_ptr_array_index (doc->panels, 4), *b = g_ptr_array_index (doc->panels, 5);
  guint ids[] = { b->id, a->id, 999999, a->id };
  g_autoptr (ModelDocument) part = model_document_excerpt (doc, ids, G_N_ELEMENTS (ids));
  g_autoptr (ModelDocument) none = model_document_excerpt (doc, NULL, 0);

  g_assert_cmpuint (part->panels->len, ==, 2);
  g_assert_cmpuint (((ModelPanel *)g_ptr_array_index (part->panels, 0))->id, ==, a->id);
  g_assert_true (model_document_panel (part, b->id) != b);
  g_assert_cmpuint (part->materials->len, ==, 1);
  g_assert_nonnull (model_document_material (part, a->material_id));
  g_assert_cmpuint (part->measures->len, ==, 0);
  /* Join 4 of the large document is the one between its panels 4 and 5. */
  g_assert_cmpuint (part->joins->len, ==, 1);
  g_assert_cmpuint (((ModelJoin *)g_ptr_array_index (part->joins, 0))->a.panel_id, ==, a->id);
  g_assert_cmpuint (part->next_id, ==, doc->next_id);
  g_assert_cmpuint (none->panels->len + none->materials->len + none->joins->len, ==, 0);
}

static void
test_copy (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  g_autoptr (ModelDocument) copy = model_document_copy (doc);
  ModelPanel *panel = g_ptr_array_index (copy->panels, 7);

  g_assert_cmpuint (copy->next_id, ==, doc->next_id);
  g_assert_true (model_document_panel (copy, panel->id) == panel);
  g_assert_true (model_document_panel (doc, panel->id) != panel);
  model_edge_node (model_panel_edge (panel, 0), 0)->at.x += 1.0;
  g_assert_cmpfloat (model_edge_node (model_panel_edge (model_document_panel (doc, panel->id), 0), 0)->at.x,
                     !=, model_edge_node (model_panel_edge (panel, 0), 0)->at.x);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/document/put-and-take", test_put_and_take);
  g_test_add_func ("/model/document/kinds-are-kept-apart", test_kinds_are_kept_apart);
  g_test_add_func ("/model/document/ids-stay-ahead", test_ids_stay_ahead);
  g_test_add_func ("/model/document/free-letter", test_free_letter);
  g_test_add_func ("/model/document/letters-go-on", test_letters_go_on);
  g_test_add_func ("/model/document/free-panel-name", test_free_panel_name);
  g_test_add_func ("/model/document/excerpt", test_excerpt);
  g_test_add_func ("/model/document/copy", test_copy);
  return g_test_run ();
}
