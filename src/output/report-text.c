/* Reports as lines for people: what does not agree first and worst first, figures in columns. */
#include "output/report.h"

#include "engine/check.h"
#include "engine/places.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* Columns of a table, as wide as their widest cell; figures stand right. */
typedef struct Table
{
  GPtrArray *cells; /* char *, COLUMNS a row */
  guint columns;
  guint left; /* how many columns from the first stand left */
} Table;

static void
table_init (Table *table, guint columns, guint left)
{
  *table = (Table) { g_ptr_array_new_with_free_func (g_free), columns, left };
}

static void
cell (Table *table, char *taken)
{
  g_ptr_array_add (table->cells, taken);
}

static glong
cell_width (const char *text)
{
  glong width = 0;
  for (const char *c = text; *c != '\0'; c = g_utf8_next_char (c))
  {
    const gunichar u = g_utf8_get_char (c);
    width += g_unichar_iszerowidth (u) ? 0 : g_unichar_iswide (u) ? 2 : 1;
  }
  return width;
}

static void
pad (GString *out, glong count)
{
  for (glong i = 0; i < count; i++)
    g_string_append_c (out, ' ');
}

static void
table_print (Table *table, GString *out, const char *indent)
{
  g_autofree glong *width = g_new0 (glong, table->columns);
  for (guint i = 0; i < table->cells->len; i++)
    width[i % table->columns]
      = MAX (width[i % table->columns], cell_width ((const char *)g_ptr_array_index (table->cells, i)));
  for (guint i = 0; i < table->cells->len; i++)
  {
    const guint column = i % table->columns;
    const char *text = (const char *)g_ptr_array_index (table->cells, i);
    const glong space = width[column] - cell_width (text);
    g_string_append (out, column == 0 ? indent : "  ");
    if (column >= table->left)
      pad (out, space);
    g_string_append (out, text);
    if (column < table->left && column + 1 < table->columns)
      pad (out, space);
    if (column + 1 == table->columns)
      g_string_append_c (out, '\n');
  }
  g_ptr_array_unref (table->cells);
}

/* ---- check ---- */

static void
add_open (GString *out, EngineReview *review, guint number, const EnginePlace *place)
{
  const EngineFinding *finding = place->finding;
  g_autofree char *text = engine_finding_text (review, finding);
  g_autofree char *detail = engine_finding_detail (review, finding);
  g_string_append_printf (out, "%3u  %s\n", number, text);
  const char *side = engine_place_side (place);
  if (*detail != '\0' || *side != '\0')
    g_string_append_printf (out, *side != '\0' ? "     %s (%s)\n" : "     %s\n", detail, side);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  for (guint i = 0; i < remedies->len; i++)
    g_string_append_printf (out, "       %u: %s\n", i,
                            ((const EngineRemedy *)g_ptr_array_index (remedies, i))->text);
  if (remedies->len == 0)
  {
    g_autofree char *why = engine_finding_why_none (review, finding);
    g_string_append_printf (out, "       %s\n", why);
  }
}

/* The number `settle` takes: the place among all findings. */
static guint
number_of (const GPtrArray *all, const EngineFinding *finding)
{
  for (guint i = 0; i < all->len; i++)
    if (g_ptr_array_index (all, i) == finding)
      return i;
  return 0;
}

char *
output_report_check_text (EngineReview *review, const char *name)
{
  GString *out = g_string_new (NULL);
  const GPtrArray *all = engine_review_findings (review);
  g_autoptr (GArray) open = engine_review_open_places (review);
  g_autofree char *count = engine_words_count (open->len);
  g_string_append_printf (out, "%s: %s\n", name, count);
  for (guint i = 0; i < open->len; i++)
  {
    const EnginePlace *place = &g_array_index (open, EnginePlace, i);
    g_string_append_c (out, '\n');
    add_open (out, review, number_of (all, place->finding), place);
  }
  g_string_append_c (out, '\n');
  const EngineCheck *const *checks = engine_checks ();
  Table table;
  table_init (&table, 3, 1);
  for (; *checks != NULL; checks++)
  {
    guint ran = 0, held = 0;
    for (guint i = 0; i < all->len; i++)
    {
      const EngineFinding *finding = (const EngineFinding *)g_ptr_array_index (all, i);
      if (finding->check != *checks)
        continue;
      ran++;
      held += finding->holds ? 1 : 0;
    }
    if (ran == 0)
      continue;
    cell (&table, g_strdup ((*checks)->name));
    cell (&table, g_strdup_printf (ngettext ("%u time", "%u times", ran), ran));
    const guint failed = ran - held;
    cell (&table, failed == 0
                    ? g_strdup (_ ("agrees"))
                    : g_strdup_printf (ngettext ("%u does not agree", "%u do not agree", failed), failed));
  }
  table_print (&table, out, "  ");
  return g_string_free (out, FALSE);
}

/* ---- measure ---- */

static char *
signed_length (const ModelDocument *doc, double mm)
{
  return model_unit_signed (mm, doc->head->unit, 1);
}

static char *
area (double mm2)
{
  return g_strdup_printf (_ ("%.1f cm²"), mm2 / 100.0);
}

static void
add_piece (GString *out, const ModelDocument *doc, const EnginePiece *piece)
{
  const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
  if (panel == NULL)
    return;
  g_autofree char *whole = area (piece->area_mm2), *cut = area (piece->cut_area_mm2);
  g_autofree char *round = engine_words_length (doc, piece->perimeter_mm);
  const char *side = engine_words_side (piece->side);
  g_string_append (out, panel->name);
  if (*side != '\0')
    g_string_append_printf (out, ", %s", side);
  /* Translators: area, length all round, area as cut. */
  g_string_append_printf (out, _ (": %s, %s round; cut %s"), whole, round, cut);
  g_string_append_c (out, '\n');
  Table table;
  table_init (&table, 4, 1);
  cell (&table, g_strdup (""));
  cell (&table, g_strdup (_ ("length")));
  cell (&table, g_strdup (_ ("allowance")));
  cell (&table, g_strdup (_ ("cut length")));
  for (guint i = 0; i < piece->edges->len; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    const int index = model_panel_find_edge (panel, edge->edge_id);
    g_autofree char *name = index >= 0 ? engine_words_edge (panel, (guint)index) : g_strdup ("");
    const char *edge_side = edge->side != piece->side ? engine_words_side (edge->side) : "";
    cell (&table, *edge_side != '\0' ? g_strdup_printf ("%s, %s", name, edge_side) : g_strdup (name));
    cell (&table, engine_words_length (doc, edge->length_mm));
    cell (&table, engine_words_length (doc, edge->allowance_mm));
    cell (&table, engine_words_length (doc, edge->cut_length_mm));
  }
  table_print (&table, out, "  ");
  g_string_append_c (out, '\n');
}

/* Worst first: by how far beyond its tolerance. */
static int
by_weight (gconstpointer a, gconstpointer b)
{
  const EngineJoinReading *x = *(const EngineJoinReading *const *)a,
                          *y = *(const EngineJoinReading *const *)b;
  const double wx = fabs (x->difference_mm) / MAX (x->tolerance_mm, 1e-3),
               wy = fabs (y->difference_mm) / MAX (y->tolerance_mm, 1e-3);
  if (x->holds != y->holds)
    return x->holds ? 1 : -1;
  if (!(fabs (wx - wy) > 1e-9))
    return x < y ? -1 : x > y;
  return wx > wy ? -1 : 1;
}

static void
add_readings (GString *out, const ModelDocument *doc, const GArray *readings)
{
  if (readings->len == 0)
    return;
  g_autoptr (GPtrArray) order = g_ptr_array_new ();
  for (guint i = 0; i < readings->len; i++)
    g_ptr_array_add (order, &g_array_index (readings, EngineJoinReading, i));
  g_ptr_array_sort (order, by_weight);
  g_string_append_printf (out, "%s\n", _ ("Joins"));
  Table table;
  table_init (&table, 7, 4);
  const char *const heads[] = { "", "", "", "", _ ("first"), _ ("second"), _ ("differs") };
  for (size_t i = 0; i < G_N_ELEMENTS (heads); i++)
    cell (&table, g_strdup (heads[i]));
  for (guint i = 0; i < order->len; i++)
  {
    const EngineJoinReading *reading = (const EngineJoinReading *)g_ptr_array_index (order, i);
    const ModelJoin *join = model_document_join (doc, reading->join_id);
    if (join == NULL)
      continue;
    cell (&table, g_strdup (join->letter));
    cell (&table, engine_words_join (doc, join));
    cell (&table, engine_words_join_kind (doc, join));
    cell (&table, g_strdup (engine_words_side (reading->side)));
    cell (&table, engine_words_length (doc, reading->length_a_mm));
    cell (&table, engine_words_length (doc, reading->length_b_mm));
    cell (&table, signed_length (doc, reading->difference_mm));
  }
  table_print (&table, out, "  ");
}

char *
output_report_measure_text (EngineReview *review)
{
  GString *out = g_string_new (NULL);
  const ModelDocument *doc = engine_review_document (review);
  const GPtrArray *pieces = engine_review_pieces (review);
  for (guint i = 0; i < pieces->len; i++)
    add_piece (out, doc, (const EnginePiece *)g_ptr_array_index (pieces, i));
  add_readings (out, doc, engine_review_readings (review));
  return g_string_free (out, FALSE);
}
