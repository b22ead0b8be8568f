/* Nothing is changed before it is taken; each figure that is committed makes the preview anew. */
#include "app/meet-card.h"

#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/meet.h"
#include "engine/remedy.h"

#include <glib/gi18n.h>

#define MOST_MM 300.0
#define PROSE_CHARS 30
#define FIELD_CHARS 7

struct _AppMeetCard
{
  GtkWidget parent;
  AppSession *session;
  guint join_id;
  bool previewing; /* what is previewed is this card's */
  GtkWidget *box, *title, *ends[2], *sides[2], *field[2][2], *legend, *take; /* field: [right][end] */
};

G_DEFINE_FINAL_TYPE (AppMeetCard, app_meet_card, GTK_TYPE_WIDGET)

static const ModelJoin *
shown_join (AppMeetCard *self)
{
  return self->session != NULL && self->join_id != 0
           ? model_document_join (app_session_document (self->session), self->join_id)
           : NULL;
}

/* What was typed; an empty field on the right is as on the left, on the left it is nothing. */
static ModelReworkMissing
missing (AppMeetCard *self, bool right)
{
  double mm[2];
  for (int end = 0; end < 2; end++)
  {
    double own = app_unit_entry_mm (APP_UNIT_ENTRY (self->field[right][end])),
           left = app_unit_entry_mm (APP_UNIT_ENTRY (self->field[0][end]));
    mm[end] = right && isfinite (own) ? own : isfinite (left) ? left : 0.0;
  }
  return (ModelReworkMissing) { mm[0], mm[1] };
}

static EngineRemedy *
offer (AppMeetCard *self, GError **error)
{
  const ModelReworkMissing left = missing (self, false), right = missing (self, true);
  const bool any = fabs (left.begin_mm) > 0.0 || fabs (left.end_mm) > 0.0 || fabs (right.begin_mm) > 0.0
                   || fabs (right.end_mm) > 0.0;
  return shown_join (self) != NULL && any
           ? engine_meet_offer (app_session_review (self->session), self->join_id, left, right, error)
           : NULL;
}

static void
refresh (AppMeetCard *self)
{
  g_autoptr (GError) error = NULL;
  EngineRemedy *remedy = offer (self, &error);
  g_autofree char *legend
    = remedy != NULL ? g_strdup_printf (
        "%s %s", _ ("Each panel reaches half of it further: shown as a preview."), remedy->detail)
      : error != NULL ? g_strdup (error->message)
                      : g_strdup (_ ("How far the two edges are apart there; less than nothing where they "
                                     "overlap."));
  app_label_set (self->legend, legend);
  gtk_widget_set_sensitive (self->take, remedy != NULL);
  if (remedy != NULL || self->previewing)
    app_session_preview (self->session, remedy);
  self->previewing = app_session_previewed (self->session) != NULL;
}

static void
clear_fields (AppMeetCard *self)
{
  for (int right = 0; right < 2; right++)
    for (int end = 0; end < 2; end++)
      app_unit_entry_set_mm (APP_UNIT_ENTRY (self->field[right][end]), NAN);
}

static void
on_figure (AppMeetCard *self)
{
  if (shown_join (self) != NULL)
    refresh (self);
}

void
app_meet_card_take (AppMeetCard *self)
{
  EngineRemedy *remedy = offer (self, NULL);
  if (remedy == NULL)
    return;
  app_session_preview (self->session, NULL);
  app_session_take_remedy (self->session, remedy);
  engine_remedy_free (remedy);
  clear_fields (self);
  refresh (self);
}

void
app_meet_card_show (AppMeetCard *self, AppSession *session, guint join_id)
{
  if (self->session == session && self->join_id == join_id)
    return;
  if (self->previewing && self->session != NULL)
    app_session_preview (self->session, NULL);
  self->previewing = false;
  g_set_object (&self->session, session);
  self->join_id = join_id;
  const ModelJoin *join = shown_join (self);
  gtk_widget_set_visible (GTK_WIDGET (self), join != NULL);
  clear_fields (self);
  if (join == NULL)
    return;
  const ModelDocument *doc = app_session_document (session);
  const bool sides = engine_meet_has_sides (doc, join);
  for (int end = 0; end < 2; end++)
  {
    g_autofree char *name = engine_words_meet_end (doc, join, end == 1);
    /* Translators: the edge beside which two ends do not meet. */
    g_autofree char *words = g_strdup_printf (_ ("by %s"), name);
    app_label_set (self->ends[end], words);
    for (int right = 0; right < 2; right++)
    {
      g_autofree char *spoken
        = g_strdup_printf ("%s, %s", right ? _ ("Wearer’s right") : _ ("Wearer’s left"), words);
      app_unit_entry_set_unit (APP_UNIT_ENTRY (self->field[right][end]), doc->head->unit);
      app_unit_entry_set_name (APP_UNIT_ENTRY (self->field[right][end]), spoken);
      gtk_widget_set_visible (self->field[1][end], sides);
    }
  }
  gtk_widget_set_visible (self->sides[0], sides);
  gtk_widget_set_visible (self->sides[1], sides);
  app_label_set (self->legend,
                 _ ("How far the two edges are apart there; less than nothing where they overlap."));
  gtk_widget_set_sensitive (self->take, FALSE);
}

GtkWidget *
app_meet_card_field (AppMeetCard *self, bool left, bool at_end)
{
  return self->field[left ? 0 : 1][at_end];
}

const char *
app_meet_card_says (AppMeetCard *self)
{
  return gtk_label_get_text (GTK_LABEL (self->legend));
}

static void
app_meet_card_dispose (GObject *object)
{
  AppMeetCard *self = APP_MEET_CARD (object);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_meet_card_parent_class)->dispose (object);
}

static void
app_meet_card_class_init (AppMeetCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_meet_card_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
build_field (AppMeetCard *self, GtkGrid *grid, int right, int end)
{
  GtkWidget *field = app_unit_entry_new ();
  app_unit_entry_set_range (APP_UNIT_ENTRY (field), -MOST_MM, MOST_MM);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (field), right ? _ ("as left") : "0");
  app_unit_entry_set_width (APP_UNIT_ENTRY (field), FIELD_CHARS);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (field), NAN);
  g_signal_connect_object (field, "committed", G_CALLBACK (on_figure), self, G_CONNECT_SWAPPED);
  gtk_grid_attach (grid, field, 1 + end, 1 + right, 1, 1);
  self->field[right][end] = field;
}

static void
app_meet_card_init (AppMeetCard *self)
{
  const char *const words[2] = { _ ("left"), _ ("right") };
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  self->title = app_label_new (_ ("Ends do not meet"), "pw-strong");
  GtkWidget *grid = gtk_grid_new ();
  gtk_grid_set_column_spacing (GTK_GRID (grid), 8);
  gtk_grid_set_row_spacing (GTK_GRID (grid), 6);
  for (int i = 0; i < 2; i++)
  {
    self->ends[i] = app_label_new (NULL, "pw-small pw-dim");
    gtk_label_set_ellipsize (GTK_LABEL (self->ends[i]), PANGO_ELLIPSIZE_END);
    gtk_grid_attach (GTK_GRID (grid), self->ends[i], 1 + i, 0, 1, 1);
    self->sides[i] = app_label_new (words[i], NULL);
    gtk_grid_attach (GTK_GRID (grid), self->sides[i], 0, 1 + i, 1, 1);
  }
  for (int right = 0; right < 2; right++)
    for (int end = 0; end < 2; end++)
      build_field (self, GTK_GRID (grid), right, end);
  self->legend = app_prose_new (NULL, "pw-small pw-dim pw-number");
  gtk_label_set_max_width_chars (GTK_LABEL (self->legend), PROSE_CHARS);
  self->take = app_button_new (_ ("Make them meet"), "pw-stamp", NULL);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (app_meet_card_take), self);
  gtk_box_append (GTK_BOX (self->box), self->title);
  gtk_box_append (GTK_BOX (self->box), grid);
  gtk_box_append (GTK_BOX (self->box), self->legend);
  gtk_box_append (GTK_BOX (self->box), self->take);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_meet_card_new (void)
{
  return g_object_new (APP_TYPE_MEET_CARD, NULL);
}
