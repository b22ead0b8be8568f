/* Rows are kept and filled anew: a drag that changes the order of the findings costs some labels, never a
 * layout of new widgets.  The order of the joins is settled with each step of undo and stands still in
 * between. */
#include "app/joins-pane.h"

#include "app/join-card.h"
#include "app/label.h"
#include "app/lazy-row.h"
#include "app/panel-card.h"
#include "app/photo-card.h"
#include "app/tapes.h"
#include "engine/check.h"
#include "engine/places.h"
#include "engine/strap.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/* The joins below stay in view until all findings are asked for; more than the second say nothing more. */
#define FEW_FINDINGS 5
/* With a panel's card between them and the joins. */
#define FEW_WITH_CARD 2
#define MOST_FINDINGS 40

/* What the width of the tapes stands for grows in steps of this. */
#define SCALE_STEP_MM 50.0

/* One row: the finding, or the same one on both sides. */
typedef struct Place
{
  EngineFinding finding, twin;
  bool both; /* TWIN is the same on the other side */
} Place;

typedef struct FindingRow
{
  GtkWidget *row, *letter, *symbol, *name, *where, *number;
} FindingRow;

typedef struct JoinRow
{
  guint join_id;
  GtkWidget *row, *letter, *kind, *name, *tapes, *value, *slot;
  /* What it shows now: in a drag most rows have nothing new to say. */
  guint edition;
  double longest_mm;
  EngineJoinReading reading;
} JoinRow;

struct _AppJoinsPane
{
  GtkWidget parent;
  AppSession *session;
  GPtrArray *finding_rows, *join_rows; /* FindingRow, JoinRow */
  GArray *places;                      /* Place: what each finding row shows, and those that are not shown */
  guint shown_findings, shown_joins;
  guint refresh_id;
  guint edition; /* counts steps of undo and changes of the selection: names and kinds may be others */
  bool selecting, order_stale, all_findings;
  GtkWidget *box, *count_symbol, *count, *finding_list, *more, *panel_card, *photo_card, *divider,
    *joins_head, *tolerance, *join_list, *empty, *join_card, *card_parent, *scroller, *inner;
};

G_DEFINE_FINAL_TYPE (AppJoinsPane, app_joins_pane, GTK_TYPE_WIDGET)

/* ---- findings ---- */

static const char *
panel_name (const ModelDocument *doc, guint id)
{
  const ModelPanel *panel = model_document_panel (doc, id);
  return panel != NULL ? panel->name : "";
}

/* Short: the number stands beside it, the whole sentence in the card. */
static char *
finding_title (EngineReview *review, const EngineFinding *f)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, f->join_id);
  const ModelMeasure *measure = model_document_measure (doc, f->measure_id);
  if (f->check == &engine_check_join_drift && join != NULL && !isnan (f->difference))
    return g_strdup (_ ("Match marks do not meet"));
  if (f->check == &engine_check_form_against_wearer && measure != NULL)
  {
    g_autofree char *name = engine_words_measure (measure);
    return g_strdup_printf (_ ("%s differs on the form"), name);
  }
  if (f->check != &engine_check_join_length || join == NULL || isnan (f->difference)
      || engine_finding_is_about_straps (f))
  {
    /* Up to the first stop: the rest is for the card. */
    char *text = engine_finding_text (review, f);
    char *stop = strchr (text, ';');
    gsize length = strlen (text);
    if (stop != NULL)
      *stop = '\0';
    else if (length > 0 && text[length - 1] == '.')
      text[length - 1] = '\0';
    return text;
  }
  const ModelRun *longer = f->difference > 0 ? &join->b : &join->a;
  const ModelRun *shorter = f->difference > 0 ? &join->a : &join->b;
  g_autofree char *longer_edges = engine_words_run (doc, longer);
  if (longer->panel_id == shorter->panel_id)
    return g_strdup_printf (_ ("%s: %s is the longer edge"), panel_name (doc, longer->panel_id),
                            longer_edges);
  return g_strdup_printf (_ ("%s longer than %s"), panel_name (doc, longer->panel_id),
                          panel_name (doc, shorter->panel_id));
}

static char *
finding_where (EngineReview *review, const Place *place)
{
  const EngineFinding *f = &place->finding;
  const ModelDocument *doc = engine_review_document (review);
  g_autofree char *where = NULL;
  const ModelJoin *join = model_document_join (doc, f->join_id);
  if (join != NULL)
    where = engine_words_join (doc, join);
  else
  {
    g_auto (GStrv) names = engine_finding_where (review, f);
    where = g_strjoinv (", ", names);
  }
  const char *side = place->both ? _ ("both sides") : f->has_side ? engine_words_side (f->side) : "";
  if (side[0] == '\0')
    return g_steal_pointer (&where);
  return g_strdup_printf ("%s, %s", where, side);
}

static char *
finding_number (EngineReview *review, const EngineFinding *f)
{
  if (isnan (f->difference))
    return g_strdup ("");
  if (g_strcmp0 (f->unit, "mm") == 0)
    return engine_words_length (engine_review_document (review), fabs (f->difference));
  if (g_strcmp0 (f->unit, "deg") == 0)
    return g_strdup_printf ("%.1f°", fabs (f->difference));
  return g_strdup_printf ("%.0f", fabs (f->difference));
}

static FindingRow *
finding_row_new (void)
{
  FindingRow *r = g_new0 (FindingRow, 1);
  r->row = gtk_list_box_row_new ();
  app_add_classes (r->row, "pw-row pw-finding pw-open");
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 10);
  r->letter = app_letter_new ();
  r->symbol = gtk_image_new_from_icon_name ("panelwright-not-agreeing-symbolic");
  gtk_widget_set_size_request (r->symbol, 22, -1);
  gtk_widget_add_css_class (r->symbol, "pw-madder");
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);
  gtk_widget_set_valign (words, GTK_ALIGN_CENTER);
  gtk_widget_set_margin_top (words, 6);
  gtk_widget_set_margin_bottom (words, 6);
  gtk_widget_set_hexpand (words, TRUE);
  r->name = app_prose_new (NULL, "pw-name");
  /* A third line where the side is narrow: half a sentence sends nobody to the right edge. */
  gtk_label_set_lines (GTK_LABEL (r->name), 3);
  gtk_label_set_ellipsize (GTK_LABEL (r->name), PANGO_ELLIPSIZE_END);
  r->where = app_label_new (NULL, "pw-small pw-dim");
  gtk_box_append (GTK_BOX (words), r->name);
  gtk_box_append (GTK_BOX (words), r->where);
  r->number = gtk_label_new (NULL);
  app_add_classes (r->number, "pw-number pw-madder pw-strong");
  gtk_box_append (GTK_BOX (box), r->letter);
  gtk_box_append (GTK_BOX (box), r->symbol);
  gtk_box_append (GTK_BOX (box), words);
  gtk_box_append (GTK_BOX (box), r->number);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (r->row), box);
  return r;
}

static void
finding_row_show (AppJoinsPane *self, FindingRow *r, const Place *place)
{
  const EngineFinding *f = &place->finding;
  EngineReview *review = app_session_review (self->session);
  g_autofree char *title = finding_title (review, f);
  g_autofree char *where = finding_where (review, place);
  g_autofree char *number = finding_number (review, f);
  const ModelJoin *join = model_document_join (app_session_document (self->session), f->join_id);
  app_letter_show (APP_LETTER (r->letter), join != NULL ? join->letter : NULL);
  gtk_widget_set_visible (r->letter, join != NULL);
  gtk_widget_set_visible (r->symbol, join == NULL);
  app_label_set (r->name, title);
  app_label_set (r->where, where);
  app_label_set (r->number, number);
  g_autofree char *spoken = engine_finding_text (review, f);
  gtk_accessible_update_property (GTK_ACCESSIBLE (r->row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
}

static bool
is_selected_finding (AppJoinsPane *self, const EngineFinding *f)
{
  const AppSelection *s = app_session_selection (self->session);
  const EngineFinding *g = &s->finding;
  return s->has_finding && g->check == f->check && g->join_id == f->join_id && g->panel_id == f->panel_id
         && g->edge_id == f->edge_id && g->measure_id == f->measure_id && g->side == f->side
         && g->what == f->what;
}

/* Copies: the engine's own live until the next touch only. */
static void
gather_places (AppJoinsPane *self)
{
  g_autoptr (GArray) open = engine_review_open_places (app_session_review (self->session));
  g_array_set_size (self->places, 0);
  for (guint i = 0; i < open->len; i++)
  {
    const EnginePlace *from = &g_array_index (open, EnginePlace, i);
    Place place = { .finding = *from->finding, .both = from->twin != NULL };
    if (place.both)
      place.twin = *from->twin;
    g_array_append_val (self->places, place);
  }
}

static int
selected_place (AppJoinsPane *self)
{
  for (guint i = 0; i < self->places->len; i++)
  {
    const Place *place = &g_array_index (self->places, Place, i);
    if (is_selected_finding (self, &place->finding)
        || (place->both && is_selected_finding (self, &place->twin)))
      return (int)i;
  }
  return -1;
}

static guint
few_findings (AppJoinsPane *self)
{
  return gtk_widget_get_visible (self->panel_card) ? FEW_WITH_CARD : FEW_FINDINGS;
}

static void
show_count (AppJoinsPane *self)
{
  guint open = self->places->len;
  g_autofree char *words = engine_words_count (open);
  app_label_set (self->count, words);
  const char *icon = open > 0 ? "panelwright-not-agreeing-symbolic" : "panelwright-agreeing-symbolic";
  if (g_strcmp0 (gtk_image_get_icon_name (GTK_IMAGE (self->count_symbol)), icon) != 0)
    gtk_image_set_from_icon_name (GTK_IMAGE (self->count_symbol), icon);
  app_set_class (self->count_symbol, "pw-madder", open > 0);
  app_set_class (self->count_symbol, "pw-moss", open == 0);
  gtk_widget_set_visible (self->finding_list, open > 0);
  gtk_widget_set_visible (self->more, open > few_findings (self));
  g_autofree char *more = self->all_findings ? g_strdup (_ ("Show the worst only"))
                                             : g_strdup_printf (_ ("Show all %u"), MIN (open, MOST_FINDINGS));
  if (g_strcmp0 (gtk_button_get_label (GTK_BUTTON (self->more)), more) != 0)
    gtk_button_set_label (GTK_BUTTON (self->more), more);
}

/* Without a word to the session; NULL: none. */
static void
choose_row (AppJoinsPane *self, GtkWidget *list, GtkWidget *row)
{
  if (gtk_list_box_get_selected_row (GTK_LIST_BOX (list)) == (GtkListBoxRow *)row)
    return;
  self->selecting = true;
  gtk_list_box_select_row (GTK_LIST_BOX (list), (GtkListBoxRow *)row);
  self->selecting = false;
}

static void
show_findings (AppJoinsPane *self)
{
  gather_places (self);
  int selected = selected_place (self);
  guint few = few_findings (self);
  bool all = self->all_findings || selected >= (int)few;
  guint count = MIN (self->places->len, all ? MOST_FINDINGS : few);
  while (self->finding_rows->len < count)
  {
    FindingRow *r = finding_row_new ();
    g_ptr_array_add (self->finding_rows, r);
    gtk_list_box_append (GTK_LIST_BOX (self->finding_list), r->row);
  }
  for (guint i = 0; i < self->finding_rows->len; i++)
  {
    FindingRow *r = g_ptr_array_index (self->finding_rows, i);
    gtk_widget_set_visible (r->row, i < count);
    if (i < count)
      finding_row_show (self, r, &g_array_index (self->places, Place, i));
  }
  self->shown_findings = count;
  bool has_row = selected >= 0 && (guint)selected < count;
  choose_row (self, self->finding_list,
              has_row ? ((FindingRow *)g_ptr_array_index (self->finding_rows, selected))->row : NULL);
  show_count (self);
}

/* ---- joins ---- */

static const char *
kind_icon (ModelJoinKind kind)
{
  switch (kind)
  {
  case MODEL_JOIN_FLUSH:
    return "panelwright-join-flush-symbolic";
  case MODEL_JOIN_LAPPED:
    return "panelwright-join-lapped-symbolic";
  case MODEL_JOIN_STITCHED:
    return "panelwright-join-stitched-symbolic";
  case MODEL_JOIN_GAP:
    return "panelwright-join-gap-symbolic";
  }
  return NULL;
}

static JoinRow *
join_row_new (void)
{
  JoinRow *r = g_new0 (JoinRow, 1);
  r->row = app_lazy_row_new ();
  app_add_classes (r->row, "pw-row pw-join");
  GtkWidget *all = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_widget_set_margin_top (all, 8);
  gtk_widget_set_margin_bottom (all, 8);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 10);
  r->letter = app_letter_new ();
  r->kind = gtk_image_new ();
  r->name = app_label_new (NULL, "pw-name");
  gtk_widget_set_hexpand (r->name, TRUE);
  gtk_box_append (GTK_BOX (head), r->letter);
  gtk_box_append (GTK_BOX (head), r->kind);
  gtk_box_append (GTK_BOX (head), r->name);
  GtkWidget *foot = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 10);
  r->tapes = app_tapes_new ();
  gtk_widget_set_hexpand (r->tapes, TRUE);
  gtk_widget_set_margin_start (r->tapes, 7);
  r->value = gtk_label_new (NULL);
  gtk_label_set_xalign (GTK_LABEL (r->value), 1.0F);
  /* The end says what is wanted: "over", "under". */
  gtk_label_set_ellipsize (GTK_LABEL (r->value), PANGO_ELLIPSIZE_MIDDLE);
  gtk_label_set_width_chars (GTK_LABEL (r->value), 11);
  gtk_label_set_max_width_chars (GTK_LABEL (r->value), 11);
  app_add_classes (r->value, "pw-number");
  gtk_box_append (GTK_BOX (foot), r->tapes);
  gtk_box_append (GTK_BOX (foot), r->value);
  r->slot = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_box_append (GTK_BOX (all), head);
  gtk_box_append (GTK_BOX (all), foot);
  gtk_box_append (GTK_BOX (all), r->slot);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (r->row), all);
  return r;
}

/* Of two sides, the one that is further out. */
static bool
worst_reading (EngineReview *review, guint join_id, EngineJoinReading *out)
{
  EngineJoinReading both[2];
  int count = engine_review_join_readings (review, join_id, both);
  if (count == 0)
    return false;
  *out = count == 2 && fabs (both[1].difference_mm) > fabs (both[0].difference_mm) ? both[1] : both[0];
  return true;
}

/* "+6.2", or what is wanted here: "ease 4", "Strap over", "gap 12", "agrees". */
static char *
join_value (const ModelDocument *doc, const ModelJoin *join, const EngineJoinReading *reading)
{
  ModelUnit unit = doc->head->unit;
  if (!reading->holds)
    return model_unit_signed (reading->difference_mm, unit, 1);
  if (reading->ease_mm != 0.0)
  {
    g_autofree char *ease = model_unit_figure (reading->ease_mm, unit, 0);
    return g_strdup_printf (_ ("ease %s"), ease);
  }
  if (join->kind == MODEL_JOIN_LAPPED)
    return g_strdup_printf (_ ("%s over"),
                            panel_name (doc, join->b_over ? join->b.panel_id : join->a.panel_id));
  if (join->kind == MODEL_JOIN_GAP)
  {
    g_autofree char *gap = model_unit_figure (join->gap_mm, unit, 0);
    return g_strdup_printf (_ ("gap %s"), gap);
  }
  return g_strdup (_ ("agrees"));
}

static bool
same_reading (const EngineJoinReading *a, const EngineJoinReading *b)
{
  return a->join_id == b->join_id && a->length_a_mm == b->length_a_mm && a->length_b_mm == b->length_b_mm
         && a->difference_mm == b->difference_mm && a->holds == b->holds;
}

static void
join_row_show (AppJoinsPane *self, JoinRow *r, const ModelJoin *join, double longest_mm)
{
  const ModelDocument *doc = app_session_document (self->session);
  EngineJoinReading reading = { 0 };
  bool read = worst_reading (app_session_review (self->session), join->id, &reading);
  if (!read)
    reading.holds = true;
  if (r->edition == self->edition && r->longest_mm == longest_mm && same_reading (&r->reading, &reading))
    return;
  r->edition = self->edition;
  r->longest_mm = longest_mm;
  r->reading = reading;
  bool chosen = app_session_selection (self->session)->join_id == join->id;
  app_letter_show (APP_LETTER (r->letter), join->letter);
  if (g_strcmp0 (gtk_image_get_icon_name (GTK_IMAGE (r->kind)), kind_icon (join->kind)) != 0)
    gtk_image_set_from_icon_name (GTK_IMAGE (r->kind), kind_icon (join->kind));
  g_autofree char *name = engine_words_join (doc, join);
  app_label_set (r->name, name);
  g_autofree char *value = read ? join_value (doc, join, &reading) : g_strdup ("");
  app_label_set (r->value, value);
  app_set_class (r->value, "pw-madder", !reading.holds);
  app_set_class (r->value, "pw-strong", !reading.holds);
  app_set_class (r->value, "pw-dim", reading.holds);
  const AppTapesShown shown = { .first_mm = reading.length_a_mm,
                                .second_mm = reading.length_b_mm,
                                .wanted_mm = reading.ease_mm,
                                .longest_mm = longest_mm,
                                .lit = chosen,
                                .holds = reading.holds };
  app_tapes_show (APP_TAPES (r->tapes), &shown);

  g_autofree char *kind = engine_words_join_kind (doc, join);
  g_autofree char *a = engine_words_length (doc, reading.length_a_mm);
  g_autofree char *b = engine_words_length (doc, reading.length_b_mm);
  g_autofree char *spoken
    = !read ? g_strdup_printf (_ ("Join %s, %s: %s"), join->letter, kind, name)
      : reading.holds
        ? g_strdup_printf (_ ("Join %s, %s: %s, %s and %s; agrees"), join->letter, kind, name, a, b)
        : g_strdup_printf (_ ("Join %s, %s: %s, %s and %s; does not agree"), join->letter, kind, name, a, b);
  gtk_accessible_update_property (GTK_ACCESSIBLE (r->row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  if (r->join_id != join->id || chosen)
  {
    g_autofree char *tip = g_strdup_printf (_ ("Join %s, %s"), join->letter, kind);
    gtk_widget_set_tooltip_text (r->name, tip);
  }
  r->join_id = join->id;
}

typedef struct Ranked
{
  guint join_id, index;
  double weight;
} Ranked;

static int
compare_ranked (gconstpointer a, gconstpointer b)
{
  const Ranked *p = a, *q = b;
  if (p->weight != q->weight)
    return p->weight > q->weight ? -1 : 1;
  return p->index < q->index ? -1 : p->index > q->index;
}

static GArray *
ranked_joins (AppJoinsPane *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  GArray *ranked = g_array_new (FALSE, FALSE, sizeof (Ranked));
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    EngineJoinReading reading;
    Ranked r = { .join_id = join->id, .index = i };
    if (worst_reading (app_session_review (self->session), join->id, &reading) && !reading.holds)
      r.weight = fabs (reading.difference_mm) / fmax (reading.tolerance_mm, 0.01);
    g_array_append_val (ranked, r);
  }
  g_array_sort (ranked, compare_ranked);
  return ranked;
}

/* The chosen row whole in view, once its card has a height. */
static gboolean
scroll_to_card (gpointer user)
{
  AppJoinsPane *self = user;
  graphene_rect_t bounds;
  GtkWidget *row
    = self->card_parent != NULL ? gtk_widget_get_ancestor (self->card_parent, GTK_TYPE_LIST_BOX_ROW) : NULL;
  if (row != NULL && gtk_widget_compute_bounds (row, self->inner, &bounds))
  {
    GtkAdjustment *at = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scroller));
    gtk_adjustment_clamp_page (at, bounds.origin.y, bounds.origin.y + bounds.size.height);
  }
  return G_SOURCE_REMOVE;
}

/* The card goes into the chosen row; it is one and the same for all. */
static void
place_join_card (AppJoinsPane *self, JoinRow *chosen)
{
  GtkWidget *slot = chosen != NULL ? chosen->slot : NULL;
  if (slot != self->card_parent)
  {
    if (self->card_parent != NULL)
      gtk_box_remove (GTK_BOX (self->card_parent), self->join_card);
    self->card_parent = slot;
    if (slot != NULL)
    {
      gtk_box_append (GTK_BOX (slot), self->join_card);
      g_idle_add_full (G_PRIORITY_LOW, scroll_to_card, g_object_ref (self), g_object_unref);
    }
  }
  app_join_card_show (APP_JOIN_CARD (self->join_card), chosen != NULL ? chosen->join_id : 0);
}

static void
fill_join_rows (AppJoinsPane *self)
{
  g_autoptr (GArray) ranked = ranked_joins (self);
  while (self->join_rows->len < ranked->len)
  {
    JoinRow *r = join_row_new ();
    g_ptr_array_add (self->join_rows, r);
    gtk_list_box_append (GTK_LIST_BOX (self->join_list), r->row);
  }
  for (guint i = 0; i < self->join_rows->len; i++)
  {
    JoinRow *r = g_ptr_array_index (self->join_rows, i);
    gtk_widget_set_visible (r->row, i < ranked->len);
    if (i >= ranked->len)
      r->join_id = 0;
    else if (r->join_id != g_array_index (ranked, Ranked, i).join_id)
      r->join_id = g_array_index (ranked, Ranked, i).join_id;
  }
  self->shown_joins = ranked->len;
  self->order_stale = false;
}

static void
show_joins (AppJoinsPane *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  if (self->order_stale || self->shown_joins != doc->joins->len)
    fill_join_rows (self);
  EngineReview *review = app_session_review (self->session);
  const GArray *readings = engine_review_readings (review);
  double longest = 1.0;
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *reading = &g_array_index (readings, EngineJoinReading, i);
    longest = fmax (longest, fmax (reading->length_a_mm, reading->length_b_mm));
  }
  /* In steps: a drag of the longest edge must not draw every tape anew. */
  longest = SCALE_STEP_MM * ceil (longest / SCALE_STEP_MM);
  guint chosen = app_session_selection (self->session)->join_id;
  JoinRow *chosen_row = NULL;
  for (guint i = 0; i < self->shown_joins; i++)
  {
    JoinRow *r = g_ptr_array_index (self->join_rows, i);
    const ModelJoin *join = model_document_join (doc, r->join_id);
    if (join == NULL)
      continue;
    join_row_show (self, r, join, longest);
    if (join->id == chosen)
      chosen_row = r;
  }
  choose_row (self, self->join_list, chosen_row != NULL ? chosen_row->row : NULL);
  /* With a finding open the answer lies in its card, not in the join's fields. */
  place_join_card (self, app_session_selection (self->session)->has_finding ? NULL : chosen_row);
  gtk_widget_set_visible (self->empty, doc->joins->len == 0);
}

static void
show_tolerance (AppJoinsPane *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  bool same = doc->joins->len > 0;
  double mm = same ? ((ModelJoin *)g_ptr_array_index (doc->joins, 0))->tolerance_mm : 0.0;
  for (guint i = 1; i < doc->joins->len && same; i++)
    same = ((ModelJoin *)g_ptr_array_index (doc->joins, i))->tolerance_mm == mm;
  g_autofree char *length = model_unit_text (mm, doc->head->unit, 0);
  g_autofree char *words = same ? g_strdup_printf (_ ("tolerance %s"), length) : g_strdup ("");
  app_label_set (self->tolerance, words);
}

/* ---- following the session ---- */

static gboolean
refresh (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppJoinsPane *self = APP_JOINS_PANE (widget);
  self->refresh_id = 0;
  if (self->session == NULL)
    return G_SOURCE_REMOVE;
  show_findings (self);
  show_joins (self);
  show_tolerance (self);
  return G_SOURCE_REMOVE;
}

static void
queue (AppJoinsPane *self)
{
  app_queue_refresh (GTK_WIDGET (self), &self->refresh_id, refresh);
}

static void
on_touched (AppSession *session, int kind, guint id, int touch, AppJoinsPane *self)
{
  queue (self);
}

static void
on_settled (AppSession *session, AppJoinsPane *self)
{
  self->order_stale = true;
  self->edition++;
  queue (self);
}

static void
on_selection (AppJoinsPane *self)
{
  self->edition++;
  queue (self);
}

static void
choose_finding (AppJoinsPane *self, guint index)
{
  if (index >= self->places->len)
    return;
  EngineFinding f = g_array_index (self->places, Place, index).finding;
  app_session_select_finding (self->session, &f);
}

static void
on_finding_selected (GtkListBox *list, GtkListBoxRow *row, AppJoinsPane *self)
{
  if (!self->selecting && row != NULL && self->session != NULL)
    choose_finding (self, (guint)gtk_list_box_row_get_index (row));
}

static void
on_join_selected (GtkListBox *list, GtkListBoxRow *row, AppJoinsPane *self)
{
  if (self->selecting || row == NULL || self->session == NULL)
    return;
  guint index = (guint)gtk_list_box_row_get_index (row);
  if (index < self->join_rows->len)
    app_session_select_join (self->session, ((JoinRow *)g_ptr_array_index (self->join_rows, index))->join_id);
}

/* A second click on the lit join lets it go. */
static void
on_join_activated (GtkListBox *list, GtkListBoxRow *row, AppJoinsPane *self)
{
  guint index = (guint)gtk_list_box_row_get_index (row);
  if (self->session == NULL || index >= self->join_rows->len)
    return;
  guint id = ((JoinRow *)g_ptr_array_index (self->join_rows, index))->join_id;
  if (app_session_selection (self->session)->has_finding)
    app_session_select_join (self->session, id);
}

void
app_joins_pane_place (AppJoinsPane *self, guint *at, guint *count)
{
  if (self->session != NULL)
    gather_places (self);
  *count = self->places->len;
  *at = self->session != NULL ? (guint)(selected_place (self) + 1) : 0;
}

static void
on_more (AppJoinsPane *self)
{
  self->all_findings = !self->all_findings;
  queue (self);
}

GtkWidget *
app_joins_pane_findings (AppJoinsPane *self)
{
  return self->finding_list;
}

void
app_joins_pane_step (AppJoinsPane *self, int step)
{
  guint count = self->places->len;
  if (self->session == NULL || count == 0)
    return;
  int at = selected_place (self);
  guint next = step > 0 ? 0 : count - 1;
  if (at >= 0)
    next = (guint)(at + step + (int)count) % count;
  choose_finding (self, next);
}

guint
app_joins_pane_finding_rows (AppJoinsPane *self)
{
  return self->shown_findings;
}

guint
app_joins_pane_join_rows (AppJoinsPane *self)
{
  return self->shown_joins;
}

void
app_joins_pane_set_session (AppJoinsPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  if (self->box == NULL) /* on the way out */
    return;
  app_join_card_set_session (APP_JOIN_CARD (self->join_card), session);
  app_panel_card_set_session (APP_PANEL_CARD (self->panel_card), session);
  app_photo_card_set_session (APP_PHOTO_CARD (self->photo_card), session);
  if (session != NULL)
  {
    g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
    g_signal_connect (session, "settled", G_CALLBACK (on_settled), self);
    g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (on_selection), self);
    self->order_stale = true;
    self->edition++;
    refresh (GTK_WIDGET (self), NULL, NULL);
  }
}

/* ---- building ---- */

static GtkWidget *
heading_row (GtkWidget *first, GtkWidget *label, GtkWidget *last)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 10);
  gtk_widget_set_margin_start (row, 16);
  gtk_widget_set_margin_end (row, 16);
  gtk_widget_set_margin_top (row, 12);
  gtk_widget_set_margin_bottom (row, 8);
  gtk_widget_set_hexpand (label, TRUE);
  if (first != NULL)
    gtk_box_append (GTK_BOX (row), first);
  gtk_box_append (GTK_BOX (row), label);
  if (last != NULL)
    gtk_box_append (GTK_BOX (row), last);
  return row;
}

static GtkWidget *
list_new (const char *name, GCallback selected, AppJoinsPane *self)
{
  GtkWidget *list = gtk_list_box_new ();
  gtk_accessible_update_property (GTK_ACCESSIBLE (list), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_signal_connect (list, "row-selected", selected, self);
  return list;
}

static void
app_joins_pane_dispose (GObject *object)
{
  AppJoinsPane *self = APP_JOINS_PANE (object);
  GtkWidget *box = g_steal_pointer (&self->box);
  app_joins_pane_set_session (self, NULL);
  g_clear_pointer (&box, gtk_widget_unparent);
  g_clear_object (&self->join_card);
  g_clear_pointer (&self->finding_rows, g_ptr_array_unref);
  g_clear_pointer (&self->join_rows, g_ptr_array_unref);
  g_clear_pointer (&self->places, g_array_unref);
  G_OBJECT_CLASS (app_joins_pane_parent_class)->dispose (object);
}

static void
app_joins_pane_class_init (AppJoinsPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_joins_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_joins_pane_init (AppJoinsPane *self)
{
  self->finding_rows = g_ptr_array_new_with_free_func (g_free);
  self->join_rows = g_ptr_array_new_with_free_func (g_free);
  self->places = g_array_new (FALSE, FALSE, sizeof (Place));
  self->join_card = g_object_ref_sink (app_join_card_new ());
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));

  self->count_symbol = gtk_image_new ();
  self->count = app_prose_new (NULL, "pw-heading");
  gtk_box_append (GTK_BOX (self->box), heading_row (self->count_symbol, self->count, NULL));

  GtkWidget *inner = self->inner = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  self->finding_list = list_new (_ ("Places that do not agree yet"), G_CALLBACK (on_finding_selected), self);
  self->more = app_button_new ("", "pw-link pw-small", NULL);
  gtk_widget_set_halign (self->more, GTK_ALIGN_START);
  gtk_widget_set_margin_start (self->more, 12);
  g_signal_connect_swapped (self->more, "clicked", G_CALLBACK (on_more), self);
  self->divider = gtk_separator_new (GTK_ORIENTATION_HORIZONTAL);
  app_add_classes (self->divider, "pw-divider");
  gtk_widget_set_margin_top (self->divider, 8);
  self->panel_card = app_panel_card_new ();
  self->photo_card = app_photo_card_new ();
  self->tolerance = app_label_new (NULL, "pw-small pw-dim");
  self->joins_head = heading_row (NULL, app_label_new (_ ("Joins"), "pw-heading"), self->tolerance);
  self->join_list = list_new (_ ("Joins"), G_CALLBACK (on_join_selected), self);
  g_signal_connect (self->join_list, "row-activated", G_CALLBACK (on_join_activated), self);
  self->empty = app_prose_new (
    _ ("No joins yet. Say which edge meets which, and their lengths are held against each other."),
    "pw-empty");
  gtk_widget_set_margin_start (self->empty, 16);
  gtk_widget_set_margin_end (self->empty, 16);
  GtkWidget *const all[] = { self->finding_list, self->more,       self->divider, self->panel_card,
                             self->photo_card,   self->joins_head, self->empty,   self->join_list };
  for (guint i = 0; i < G_N_ELEMENTS (all); i++)
    gtk_box_append (GTK_BOX (inner), all[i]);
  GtkWidget *scroller = self->scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), inner);
  gtk_widget_set_vexpand (scroller, TRUE);
  app_lazy_rows_follow (GTK_LIST_BOX (self->join_list), GTK_SCROLLED_WINDOW (scroller));
  gtk_box_append (GTK_BOX (self->box), scroller);

  GtkWidget *join = app_button_new (_ ("_Join two edges"), "pw-plain", NULL);
  gtk_actionable_set_detailed_action_name (GTK_ACTIONABLE (join), "win.tool::join");
  gtk_widget_set_tooltip_text (join,
                               _ ("Join two edges. Touch the first edge, then the one that meets it. F9"));
  gtk_widget_set_margin_start (join, 16);
  gtk_widget_set_margin_end (join, 16);
  gtk_widget_set_margin_top (join, 8);
  gtk_widget_set_margin_bottom (join, 14);
  gtk_box_append (GTK_BOX (self->box), join);
}

GtkWidget *
app_joins_pane_new (void)
{
  return g_object_new (APP_TYPE_JOINS_PANE, NULL);
}
