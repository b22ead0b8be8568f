/* Each field writes one change of the join into the history; what it shows is read back from the document. */
#include "app/join-card.h"

#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/strap.h"
#include "engine/words.h"
#include "model/shape.h"

#include "panelwright-config.h"

#include <glib/gi18n.h>

#define MOST_WIDTH_MM 200.0
#define MOST_EASE_MM 500.0
#define MOST_STRAP_MM 2000.0
/* Between the lowest piece and a strap that becomes a panel. */
#define BELOW_MM 20.0

struct _AppJoinCard
{
  GtkWidget parent;
  AppSession *session;
  guint join_id;
  bool showing;
  GArray *places; /* guint: marks on run a in its order, as the two lists show them */
  GtkWidget *box, *flush, *lapped, *stitched, *gap, *kind_words, *over_words, *swap, *width_words, *width,
    *ease_words, *ease, *ease_percent, *percent, *from_words, *ease_from, *to_words, *ease_to, *tolerance,
    *straps_words, *straps, *strap_width_words, *strap_width, *strap_overlap_words, *strap_overlap,
    *strap_panel, *remove;
};

G_DEFINE_FINAL_TYPE (AppJoinCard, app_join_card, GTK_TYPE_WIDGET)

static const ModelJoin *
shown_join (AppJoinCard *self)
{
  return self->session != NULL && self->join_id != 0
           ? model_document_join (app_session_document (self->session), self->join_id)
           : NULL;
}

static void
put_join (AppJoinCard *self, ModelJoin *join_taken, const char *label)
{
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, label);
  model_history_put_join (history, join_taken);
  model_history_end (history);
}

static void
set_kind (AppJoinCard *self, ModelJoinKind kind)
{
  const ModelJoin *old = shown_join (self);
  if (self->showing || old == NULL || old->kind == kind)
    return;
  ModelJoin *join = model_join_copy (old);
  join->kind = kind;
  put_join (self, join, _ ("Change the kind of a join"));
}

static void
on_kind (GtkToggleButton *button, AppJoinCard *self)
{
  if (!gtk_toggle_button_get_active (button))
    return;
  GtkWidget *widget = GTK_WIDGET (button);
  set_kind (self, widget == self->lapped     ? MODEL_JOIN_LAPPED
                  : widget == self->stitched ? MODEL_JOIN_STITCHED
                  : widget == self->gap      ? MODEL_JOIN_GAP
                                             : MODEL_JOIN_FLUSH);
}

static void
on_width (AppJoinCard *self, double mm)
{
  const ModelJoin *old = shown_join (self);
  if (old == NULL)
    return;
  ModelJoin *join = model_join_copy (old);
  switch (join->kind)
  {
  case MODEL_JOIN_FLUSH:
    break;
  case MODEL_JOIN_LAPPED:
    join->lap_mm = mm;
    break;
  case MODEL_JOIN_STITCHED:
    join->allowance_mm = mm;
    break;
  case MODEL_JOIN_GAP:
    join->gap_mm = mm;
    break;
  }
  put_join (self, join, _ ("Change the width of a join"));
}

static void
on_ease (AppJoinCard *self, double mm)
{
  const ModelJoin *old = shown_join (self);
  if (old == NULL)
    return;
  ModelJoin *join = model_join_copy (old);
  join->ease_mm = mm;
  put_join (self, join, _ ("Change the ease"));
}

static double
first_length (AppJoinCard *self)
{
  EngineJoinReading readings[2];
  return engine_review_join_readings (app_session_review (self->session), self->join_id, readings) > 0
           ? readings[0].length_a_mm
           : 0.0;
}

/* The ease stays what it is, told the other way. */
static void
on_percent (GtkToggleButton *button, AppJoinCard *self)
{
  const ModelJoin *old = shown_join (self);
  bool percent = gtk_toggle_button_get_active (button);
  if (self->showing || old == NULL || old->ease_in_percent == percent)
    return;
  ModelJoin *join = model_join_copy (old);
  double length = first_length (self);
  join->ease_in_percent = percent;
  if (percent)
    join->ease_percent = length > 0.0 ? CLAMP (100.0 * old->ease_mm / length, -100.0, 100.0) : 0.0;
  else
    join->ease_mm = old->ease_percent / 100.0 * length;
  put_join (self, join, _ ("Change the ease"));
}

static void
on_ease_percent (GtkSpinButton *spin, AppJoinCard *self)
{
  const ModelJoin *old = shown_join (self);
  if (self->showing || old == NULL || !old->ease_in_percent)
    return;
  ModelJoin *join = model_join_copy (old);
  join->ease_percent = gtk_spin_button_get_value (spin);
  put_join (self, join, _ ("Change the ease"));
}

static void
on_ease_place (GtkDropDown *list, GParamSpec *spec, AppJoinCard *self)
{
  const ModelJoin *old = shown_join (self);
  guint chosen = gtk_drop_down_get_selected (list);
  if (self->showing || old == NULL || chosen > self->places->len)
    return;
  guint id = chosen > 0 ? g_array_index (self->places, guint, chosen - 1) : 0;
  bool from = GTK_WIDGET (list) == self->ease_from;
  if ((from ? old->ease_from_id : old->ease_to_id) == id)
    return;
  ModelJoin *join = model_join_copy (old);
  *(from ? &join->ease_from_id : &join->ease_to_id) = id;
  put_join (self, join, _ ("Change the place of the ease"));
}

static void
on_tolerance (AppJoinCard *self, double mm)
{
  const ModelJoin *old = shown_join (self);
  if (old == NULL)
    return;
  ModelJoin *join = model_join_copy (old);
  join->tolerance_mm = mm;
  put_join (self, join, _ ("Change the tolerance"));
}

/* ---- straps over a gap ---- */

static ModelJoin *
copy_shown (AppJoinCard *self)
{
  const ModelJoin *old = shown_join (self);
  return old != NULL && !self->showing ? model_join_copy (old) : NULL;
}

static void
on_straps (GtkSpinButton *spin, AppJoinCard *self)
{
  ModelJoin *join = copy_shown (self);
  if (join == NULL)
    return;
  join->straps = gtk_spin_button_get_value_as_int (spin);
  put_join (self, join, _ ("Change the straps"));
}

static void
on_strap_width (AppJoinCard *self, double mm)
{
  ModelJoin *join = copy_shown (self);
  if (join == NULL)
    return;
  join->strap_width_mm = mm;
  put_join (self, join, _ ("Change the straps"));
}

static void
on_strap_overlap (AppJoinCard *self, double mm)
{
  ModelJoin *join = copy_shown (self);
  if (join == NULL)
    return;
  join->strap_overlap_mm = mm;
  put_join (self, join, _ ("Change the straps"));
}

/* Below all pieces, at their left. */
static GeomPoint
free_place (AppJoinCard *self, double height_mm)
{
  const GPtrArray *pieces = engine_review_seam_pieces (app_session_review (self->session));
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < pieces->len; i++)
    box = geom_box_union (box, ((const EnginePiece *)g_ptr_array_index (pieces, i))->bound);
  return box.x1 >= box.x0 ? geom_point (box.x0, box.y0 - BELOW_MM - height_mm) : geom_point (0.0, 0.0);
}

static void
on_strap_panel (AppJoinCard *self)
{
  const ModelJoin *join = shown_join (self);
  const ModelDocument *doc = join != NULL ? app_session_document (self->session) : NULL;
  ModelPanel *panel = join != NULL ? engine_strap_panel (app_session_review (self->session), join,
                                                         free_place (self, join->strap_width_mm))
                                   : NULL;
  if (panel == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  char *name = model_document_free_panel_name (doc, panel->name);
  g_free (panel->name);
  panel->name = name;
  model_history_begin (history, _ ("Add the strap as a panel"));
  model_shape_renew_ids (panel, model_history_document (history));
  const guint id = model_history_put_panel (history, panel);
  model_history_end (history);
  app_session_select_panels (self->session, &id, 1);
}

static void
show_straps (AppJoinCard *self, const ModelJoin *join)
{
  const bool gap = join->kind == MODEL_JOIN_GAP, any = engine_strap_count (join) > 0;
  gtk_widget_set_visible (self->straps_words, gap);
  gtk_widget_set_visible (self->straps, gap);
  GtkWidget *const rows[] = { self->strap_width_words, self->strap_width, self->strap_overlap_words,
                              self->strap_overlap, self->strap_panel };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    gtk_widget_set_visible (rows[i], any);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->straps), join->straps);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->strap_width), join->strap_width_mm);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->strap_overlap), join->strap_overlap_mm);
}

static void
on_swap (AppJoinCard *self)
{
  const ModelJoin *old = shown_join (self);
  if (old == NULL)
    return;
  ModelJoin *join = model_join_copy (old);
  join->b_over = !join->b_over;
  put_join (self, join, _ ("Lap the other way"));
}

static void
on_remove (AppJoinCard *self)
{
  if (shown_join (self) == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Take the join away"));
  model_history_remove (history, MODEL_PART_JOIN, self->join_id);
  model_history_end (history);
}

static const char *
panel_name (AppJoinCard *self, guint id)
{
  const ModelPanel *panel = model_document_panel (app_session_document (self->session), id);
  return panel != NULL ? panel->name : "";
}

static void
show_width (AppJoinCard *self, const ModelJoin *join)
{
  const char *words = "";
  double mm = 0.0;
  switch (join->kind)
  {
  case MODEL_JOIN_FLUSH:
    break;
  case MODEL_JOIN_LAPPED:
    words = _ ("Lap");
    mm = join->lap_mm;
    break;
  case MODEL_JOIN_STITCHED:
    words = _ ("Allowance");
    mm = join->allowance_mm;
    break;
  case MODEL_JOIN_GAP:
    words = _ ("Gap");
    mm = join->gap_mm;
    break;
  }
  bool has_width = join->kind != MODEL_JOIN_FLUSH;
  gtk_widget_set_visible (self->width, has_width);
  gtk_widget_set_visible (self->width_words, has_width);
  app_label_set (self->width_words, words);
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->width), words);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->width), mm);
}

typedef struct Place
{
  guint mark_id;
  double along_mm;
} Place;

static int
by_along (gconstpointer a, gconstpointer b)
{
  double x = ((const Place *)a)->along_mm, y = ((const Place *)b)->along_mm;
  return x < y ? -1 : x > y ? 1 : 0;
}

/* Marks on the first run, in its order. */
static GArray *
places_on (AppJoinCard *self, const ModelJoin *join)
{
  const ModelPanel *panel = model_document_panel (app_session_document (self->session), join->a.panel_id);
  EngineReview *review = app_session_review (self->session);
  EngineJoinReading readings[2];
  GArray *places = g_array_new (FALSE, FALSE, sizeof (Place));
  if (panel == NULL || engine_review_join_readings (review, join->id, readings) == 0)
    return places;
  for (guint i = 0; i < panel->marks->len; i++)
  {
    Place place = { g_array_index (panel->marks, ModelMark, i).id, 0.0 };
    if (engine_review_mark_along (review, &join->a, readings[0].side_a, place.mark_id, &place.along_mm)
        && place.along_mm > 0.0 && place.along_mm < readings[0].length_a_mm)
      g_array_append_val (places, place);
  }
  g_array_sort (places, by_along);
  return places;
}

static void
fill_places (AppJoinCard *self, GtkWidget *list, const GArray *places, const char *end, guint chosen_id)
{
  const ModelDocument *doc = app_session_document (self->session);
  GtkStringList *words = gtk_string_list_new (NULL);
  guint chosen = 0;
  gtk_string_list_append (words, end);
  for (guint i = 0; i < places->len; i++)
  {
    const Place *place = &g_array_index (places, Place, i);
    g_autofree char *length = engine_words_length (doc, place->along_mm);
    /* Translators: a match mark, so far along its edge. */
    g_autofree char *text = g_strdup_printf (_ ("mark at %s"), length);
    gtk_string_list_append (words, text);
    if (place->mark_id == chosen_id)
      chosen = i + 1;
  }
  gtk_drop_down_set_model (GTK_DROP_DOWN (list), G_LIST_MODEL (words));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (list), chosen);
  g_object_unref (words);
}

static void
show_ease (AppJoinCard *self, const ModelJoin *join)
{
  bool percent = join->ease_in_percent;
  g_autoptr (GArray) places = places_on (self, join);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->percent), percent);
  gtk_widget_set_visible (self->ease, !percent);
  gtk_widget_set_visible (self->ease_percent, percent);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->ease), join->ease_mm);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->ease_percent), join->ease_percent);
  g_array_set_size (self->places, 0);
  for (guint i = 0; i < places->len; i++)
    g_array_append_val (self->places, g_array_index (places, Place, i).mark_id);
  fill_places (self, self->ease_from, places, _ ("the start"), join->ease_from_id);
  fill_places (self, self->ease_to, places, _ ("the end"), join->ease_to_id);
  /* Where it lies is asked only once there is some, and somewhere to put it. */
  double ease = percent ? join->ease_percent : join->ease_mm;
  bool asked = join->ease_from_id != 0 || join->ease_to_id != 0 || (fabs (ease) > 0.0 && places->len > 0);
  GtkWidget *const rows[] = { self->from_words, self->ease_from, self->to_words, self->ease_to };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    gtk_widget_set_visible (rows[i], asked);
}

/* "gap 40.0 mm; 6 straps, 20.0 mm × 160.0 mm"; a warning where they do not lie beside each other or
 * beside the marks. */
static char *
kind_words (AppJoinCard *self, const ModelJoin *join)
{
  EngineReview *review = app_session_review (self->session);
  g_autofree char *kind = engine_words_join_kind (engine_review_document (review), join);
  if (engine_strap_count (join) == 0)
    return g_steal_pointer (&kind);
  g_autofree char *straps = engine_words_straps (review, join);
  const char *warning = !engine_straps_fit (review, join) ? _ ("They lie on each other: fewer, or narrower.")
                        : engine_straps_meet_marks (review, join)
                          ? _ ("One lies on a match mark: there is no room beside it.")
                          : NULL;
  return warning == NULL ? g_strdup_printf ("%s; %s", kind, straps)
                         : g_strdup_printf ("%s; %s. %s", kind, straps, warning);
}

void
app_join_card_show (AppJoinCard *self, guint join_id)
{
  self->join_id = join_id;
  const ModelJoin *join = shown_join (self);
  if (join == NULL)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  GtkWidget *const kinds[] = { [MODEL_JOIN_FLUSH] = self->flush,
                               [MODEL_JOIN_LAPPED] = self->lapped,
                               [MODEL_JOIN_STITCHED] = self->stitched,
                               [MODEL_JOIN_GAP] = self->gap };
  self->showing = true;
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (kinds[join->kind]), TRUE);
  self->showing = false;

  GtkWidget *const fields[]
    = { self->width, self->ease, self->tolerance, self->strap_width, self->strap_overlap };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    app_unit_entry_set_unit (APP_UNIT_ENTRY (fields[i]), doc->head->unit);
  g_autofree char *kind = kind_words (self, join);
  app_label_set (self->kind_words, kind);
  show_width (self, join);

  bool lapped = join->kind == MODEL_JOIN_LAPPED;
  gtk_widget_set_visible (self->over_words, lapped);
  gtk_widget_set_visible (self->swap, lapped);
  if (lapped)
  {
    g_autofree char *over = g_strdup_printf (
      _ ("%s lies over"), panel_name (self, join->b_over ? join->b.panel_id : join->a.panel_id));
    app_label_set (self->over_words, over);
  }
  g_autofree char *ease = g_strdup_printf (_ ("Ease, wanted on %s"), panel_name (self, join->b.panel_id));
  app_label_set (self->ease_words, ease);
  self->showing = true;
  show_ease (self, join);
  show_straps (self, join);
  self->showing = false;
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->tolerance), join->tolerance_mm);
}

void
app_join_card_set_session (AppJoinCard *self, AppSession *session)
{
  g_set_object (&self->session, session);
  self->join_id = 0;
}

static void
app_join_card_dispose (GObject *object)
{
  AppJoinCard *self = APP_JOIN_CARD (object);
  g_clear_object (&self->session);
  g_clear_pointer (&self->places, g_array_unref);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_join_card_parent_class)->dispose (object);
}

static void
app_join_card_class_init (AppJoinCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_join_card_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  g_type_ensure (APP_TYPE_UNIT_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, APP_RESOURCE "ui/join-card.ui");
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, box);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, flush);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, lapped);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, stitched);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, gap);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, kind_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, over_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, swap);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, width_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, width);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, ease_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, ease);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, ease_percent);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, percent);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, from_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, ease_from);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, to_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, ease_to);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, tolerance);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, straps_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, straps);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, strap_width_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, strap_width);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, strap_overlap_words);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, strap_overlap);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, strap_panel);
  gtk_widget_class_bind_template_child (widget_class, AppJoinCard, remove);
}

static void
app_join_card_init (AppJoinCard *self)
{
  self->places = g_array_new (FALSE, FALSE, sizeof (guint));
  gtk_widget_init_template (GTK_WIDGET (self));
  GtkWidget *const kinds[] = { self->flush, self->lapped, self->stitched, self->gap };
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    g_signal_connect (kinds[i], "toggled", G_CALLBACK (on_kind), self);
  GtkWidget *const fields[]
    = { self->width, self->ease, self->tolerance, self->strap_width, self->strap_overlap };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (fields[i]), true);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->width), 0.0, MOST_WIDTH_MM);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->ease), -MOST_EASE_MM, MOST_EASE_MM);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->tolerance), 0.0, MOST_WIDTH_MM);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->strap_width), 1.0, MOST_WIDTH_MM);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->strap_overlap), 0.0, MOST_STRAP_MM);
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->strap_width), _ ("Width of a strap"));
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->strap_overlap), _ ("A strap is longer than the gap by"));
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->ease), _ ("Ease"));
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->tolerance), _ ("Tolerance"));
  g_signal_connect (self->percent, "toggled", G_CALLBACK (on_percent), self);
  g_signal_connect (self->ease_percent, "value-changed", G_CALLBACK (on_ease_percent), self);
  g_signal_connect (self->ease_from, "notify::selected", G_CALLBACK (on_ease_place), self);
  g_signal_connect (self->ease_to, "notify::selected", G_CALLBACK (on_ease_place), self);
  g_signal_connect_swapped (self->swap, "clicked", G_CALLBACK (on_swap), self);
  g_signal_connect_swapped (self->strap_panel, "clicked", G_CALLBACK (on_strap_panel), self);
  g_signal_connect_swapped (self->remove, "clicked", G_CALLBACK (on_remove), self);
  g_signal_connect_object (self->width, "committed", G_CALLBACK (on_width), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (self->ease, "committed", G_CALLBACK (on_ease), self, G_CONNECT_SWAPPED);
  g_signal_connect (self->straps, "value-changed", G_CALLBACK (on_straps), self);
  g_signal_connect_object (self->strap_width, "committed", G_CALLBACK (on_strap_width), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->strap_overlap, "committed", G_CALLBACK (on_strap_overlap), self,
                           G_CONNECT_SWAPPED);
  g_signal_connect_object (self->tolerance, "committed", G_CALLBACK (on_tolerance), self, G_CONNECT_SWAPPED);
}

GtkWidget *
app_join_card_new (void)
{
  return g_object_new (APP_TYPE_JOIN_CARD, NULL);
}
