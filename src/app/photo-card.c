#include "app/photo-card.h"

#include "app/label.h"
#include "model/unit.h"

#include <glib/gi18n.h>

struct _AppPhotoCard
{
  GtkWidget parent;
  AppSession *session;
  GtkWidget *box, *title, *size, *fade, *turn, *locked, *hidden, *trace, *remove;
  bool showing;
};

G_DEFINE_FINAL_TYPE (AppPhotoCard, app_photo_card, GTK_TYPE_WIDGET)

static const ModelPhoto *
chosen (AppPhotoCard *self)
{
  if (self->session == NULL)
    return NULL;
  const guint id = app_session_selection (self->session)->photo_id;
  return id != 0 ? model_document_photo (app_session_document (self->session), id) : NULL;
}

static void
show (AppPhotoCard *self)
{
  const ModelPhoto *photo = chosen (self);
  gtk_widget_set_visible (GTK_WIDGET (self), photo != NULL);
  if (photo == NULL)
    return;
  const ModelUnit unit = app_session_document (self->session)->head->unit;
  g_autofree char *wide = model_unit_text (photo->width_px * photo->mm_per_px, unit, 0);
  g_autofree char *high = model_unit_text (photo->height_px * photo->mm_per_px, unit, 0);
  /* Translators: width and height of a photo, each with its unit. */
  g_autofree char *size = g_strdup_printf (_ ("%s by %s"), wide, high);
  self->showing = true;
  app_label_set (self->title, photo->name[0] != '\0' ? photo->name : _ ("Photo"));
  app_label_set (self->size, size);
  gtk_range_set_value (GTK_RANGE (self->fade), photo->fade * 100.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->turn), photo->turn_deg);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->locked), photo->locked);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->hidden), photo->hidden);
  gtk_widget_set_sensitive (self->turn, !photo->locked);
  self->showing = false;
}

/* MERGE: what is pulled in many small steps becomes one. */
static void
put (AppPhotoCard *self, ModelPhoto *photo, const char *label, const char *merge)
{
  ModelHistory *history = app_session_history (self->session);
  if (merge != NULL)
    model_history_begin_merging (history, label, merge);
  else
    model_history_begin (history, label);
  model_history_put_photo (history, photo);
  model_history_end (history);
}

static void
on_fade (AppPhotoCard *self)
{
  const ModelPhoto *was = chosen (self);
  if (self->showing || was == NULL)
    return;
  ModelPhoto *photo = model_photo_copy (was);
  photo->fade = gtk_range_get_value (GTK_RANGE (self->fade)) / 100.0;
  put (self, photo, _ ("Fade photo"), "fade photo");
}

/* About its middle, as a picture on a table is turned. */
static void
on_turn (AppPhotoCard *self)
{
  const ModelPhoto *was = chosen (self);
  if (self->showing || was == NULL || was->locked)
    return;
  ModelPhoto *photo = model_photo_copy (was);
  const GeomPoint half
    = { 0.5 * photo->width_px * photo->mm_per_px, 0.5 * photo->height_px * photo->mm_per_px };
  const GeomPoint none = { 0.0, 0.0 };
  const double to_deg = gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->turn)), rad = G_PI / 180.0;
  const GeomPoint middle
    = geom_add (photo->at, geom_affine_apply (geom_affine_turn (none, photo->turn_deg * rad), half));
  photo->at = geom_sub (middle, geom_affine_apply (geom_affine_turn (none, to_deg * rad), half));
  photo->turn_deg = to_deg;
  put (self, photo, _ ("Turn photo"), "turn photo");
}

static void
on_locks (AppPhotoCard *self)
{
  const ModelPhoto *was = chosen (self);
  if (self->showing || was == NULL)
    return;
  ModelPhoto *photo = model_photo_copy (was);
  photo->locked = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->locked));
  photo->hidden = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->hidden));
  put (self, photo,
       photo->locked != was->locked ? (photo->locked ? _ ("Lock photo") : _ ("Unlock photo"))
                                    : (photo->hidden ? _ ("Hide photo") : _ ("Show photo")),
       NULL);
}

static void
on_remove (AppPhotoCard *self)
{
  const ModelPhoto *photo = chosen (self);
  if (photo == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  const guint id = photo->id;
  model_history_begin (history, _ ("Remove photo"));
  model_history_remove (history, MODEL_PART_PHOTO, id);
  model_history_end (history);
}

static void
on_touched (AppSession *session, guint kind, guint id, guint touch, AppPhotoCard *self)
{
  if (kind == MODEL_PART_PHOTO)
    show (self);
}

void
app_photo_card_set_session (AppPhotoCard *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  if (self->box == NULL) /* on the way out */
    return;
  if (session != NULL)
  {
    g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
    g_signal_connect_swapped (session, "settled", G_CALLBACK (show), self);
    g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (show), self);
  }
  show (self);
}

GtkWidget *
app_photo_card_field (AppPhotoCard *self, const char *name)
{
  const struct
  {
    const char *name;
    GtkWidget *widget;
  } fields[] = { { "fade", self->fade },     { "turn", self->turn },   { "locked", self->locked },
                 { "hidden", self->hidden }, { "trace", self->trace }, { "remove", self->remove } };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    if (strcmp (fields[i].name, name) == 0)
      return fields[i].widget;
  return NULL;
}

/* ---- building ---- */

static GtkWidget *
check_new (AppPhotoCard *self, const char *label, const char *tip)
{
  GtkWidget *check = gtk_check_button_new_with_label (label);
  gtk_widget_set_tooltip_text (check, tip);
  g_signal_connect_swapped (check, "toggled", G_CALLBACK (on_locks), self);
  return check;
}

static void
name_for_readers (GtkWidget *widget, const char *name)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

static void
app_photo_card_dispose (GObject *object)
{
  AppPhotoCard *self = APP_PHOTO_CARD (object);
  GtkWidget *box = g_steal_pointer (&self->box);
  app_photo_card_set_session (self, NULL);
  g_clear_pointer (&box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_photo_card_parent_class)->dispose (object);
}

static void
app_photo_card_class_init (AppPhotoCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_photo_card_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_photo_card_init (AppPhotoCard *self)
{
  GtkBox *box = GTK_BOX (self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8));
  app_add_classes (self->box, "pw-card");
  gtk_widget_set_margin_start (self->box, 12);
  gtk_widget_set_margin_end (self->box, 12);
  gtk_widget_set_margin_bottom (self->box, 8);
  self->title = app_label_new (NULL, "pw-heading");
  self->size = app_label_new (NULL, "pw-small pw-dim pw-number");
  self->fade = gtk_scale_new_with_range (GTK_ORIENTATION_HORIZONTAL, 5.0, 100.0, 5.0);
  gtk_scale_set_draw_value (GTK_SCALE (self->fade), FALSE);
  gtk_widget_set_hexpand (self->fade, TRUE);
  gtk_widget_set_size_request (self->fade, 110, -1);
  name_for_readers (self->fade, _ ("Strength of the photo in percent"));
  g_signal_connect_swapped (self->fade, "value-changed", G_CALLBACK (on_fade), self);
  self->turn = gtk_spin_button_new_with_range (-180.0, 180.0, 0.1);
  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (self->turn), 1);
  gtk_spin_button_set_wrap (GTK_SPIN_BUTTON (self->turn), TRUE);
  name_for_readers (self->turn, _ ("Turned by degrees"));
  g_signal_connect_swapped (self->turn, "value-changed", G_CALLBACK (on_turn), self);
  GtkWidget *checks = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 16);
  self->locked = check_new (self, _ ("Locked"), _ ("Locked. It cannot be moved or turned by accident."));
  self->hidden = check_new (self, _ ("Hidden"), _ ("Hidden. The paper’s menu shows it again."));
  gtk_box_append (GTK_BOX (checks), self->locked);
  gtk_box_append (GTK_BOX (checks), self->hidden);
  GtkWidget *deeds = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->trace = app_button_new (_ ("_Trace again"), "pw-plain pw-low", "win.trace-photo");
  gtk_widget_set_tooltip_text (self->trace, _ ("Trace again. Finds the outlines in this photo."));
  self->remove = app_button_new (_ ("Re_move"), "pw-flat pw-low", NULL);
  g_signal_connect_swapped (self->remove, "clicked", G_CALLBACK (on_remove), self);
  gtk_box_append (GTK_BOX (deeds), self->trace);
  gtk_box_append (GTK_BOX (deeds), self->remove);
  gtk_box_append (box, self->title);
  gtk_box_append (box, self->size);
  gtk_box_append (box, app_field_new (_ ("Strength"), self->fade));
  gtk_box_append (box, app_field_new (_ ("Turned (°)"), self->turn));
  gtk_box_append (box, checks);
  gtk_box_append (box, deeds);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_photo_card_new (void)
{
  return g_object_new (APP_TYPE_PHOTO_CARD, NULL);
}
