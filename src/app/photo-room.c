/* The side asks from the top down; each answer below something that is changed is forgotten. */
#include "app/photo-private.h"

#include "app/label.h"
#include "app/settings.h"

#include <glib/gi18n.h>
#include <string.h>

/* A preview line may leave its curve by so much, mm. */
#define PREVIEW_MM 0.1
#define FRAME_STEPS 12

G_DEFINE_FINAL_TYPE (AppPhotoRoom, app_photo_room, GTK_TYPE_WIDGET)

enum
{
  TAKEN,
  LEFT,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

/* ---- words ---- */

/* Beside the questions when it is about an answer, on the table when there is no picture. */
static void
complain (AppPhotoRoom *self, const char *words)
{
  const bool there = self->picture != NULL;
  app_label_set (self->trouble, words != NULL ? words : "");
  gtk_widget_set_visible (self->trouble, words != NULL && there);
  app_label_set (self->empty_words, words != NULL ? words : "");
  gtk_widget_set_visible (self->empty_words, words != NULL && !there);
}

const char *
app_photo_room_trouble (AppPhotoRoom *self)
{
  GtkWidget *const labels[] = { self->trouble, self->empty_words };
  for (guint i = 0; i < G_N_ELEMENTS (labels); i++)
    if (gtk_widget_get_visible (labels[i]))
      return gtk_label_get_text (GTK_LABEL (labels[i]));
  return NULL;
}

/* "not long enough" becomes a sentence of its own.  The file's place before it is left out: its name stands
 * above. */
static void
complain_of (AppPhotoRoom *self, const GError *error)
{
  const char *why = error->message;
  if (self->reading != NULL && g_str_has_prefix (why, self->reading)
      && g_str_has_prefix (why + strlen (self->reading), ": "))
    why += strlen (self->reading) + 2;
  g_autofree char *first = g_utf8_substring (why, 0, 1);
  g_autofree char *upper = g_utf8_strup (first, -1);
  g_autofree char *words
    = g_strconcat (upper, why + strlen (first), g_str_has_suffix (why, ".") ? "" : ".", NULL);
  complain (self, words);
}

/* ---- what was found ---- */

static void
forget_found (AppPhotoRoom *self)
{
  g_clear_pointer (&self->result, trace_result_free);
  g_array_set_size (self->wanted, 0);
  app_photo_view_clear_outlines (APP_PHOTO_VIEW (self->view));
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->list)) != NULL)
    gtk_box_remove (GTK_BOX (self->list), child);
}

static guint
wanted_count (AppPhotoRoom *self)
{
  guint count = 0;
  for (guint i = 0; i < self->wanted->len; i++)
    count += g_array_index (self->wanted, gboolean, i) ? 1 : 0;
  return count;
}

/* One button finds and then takes, and is never put out of service between: a hand that rests on it may press
 * again without a move, which another button in its place, or one that was insensitive, would not feel. */
static void
show_deed (AppPhotoRoom *self)
{
  const bool busy = self->cancel != NULL, found = self->result != NULL;
  const guint count = wanted_count (self);
  g_autofree char *words = found
                             ? g_strdup_printf (ngettext ("_Take %u panel", "_Take %u panels", count), count)
                             : g_strdup (_ ("_Find the outlines"));
  gtk_button_set_label (GTK_BUTTON (self->deed), words);
  gtk_widget_set_sensitive (self->deed, !found || count > 0);
  app_set_class (self->deed, "pw-off", busy);
  gtk_accessible_update_state (GTK_ACCESSIBLE (self->deed), GTK_ACCESSIBLE_STATE_DISABLED, busy, -1);
}

static void
on_tick (GtkCheckButton *tick, AppPhotoRoom *self)
{
  const guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (tick), "index"));
  if (index >= self->wanted->len)
    return;
  g_array_index (self->wanted, gboolean, index) = gtk_check_button_get_active (tick);
  app_photo_view_want_outline (APP_PHOTO_VIEW (self->view), index, gtk_check_button_get_active (tick));
  show_deed (self);
}

typedef struct Preview
{
  const TraceView *view;
  GArray *px;
} Preview;

static void
emit_preview (GeomPoint at, void *user)
{
  Preview *preview = user;
  const GeomPoint px = trace_view_to_picture (preview->view, at);
  g_array_append_val (preview->px, px);
}

static void
add_found (AppPhotoRoom *self, guint index)
{
  const TracePiece *piece = g_ptr_array_index (self->result->pieces, index);
  const gboolean wanted = TRUE;
  g_array_append_val (self->wanted, wanted);
  Preview preview = { &self->view_found, g_array_new (FALSE, FALSE, sizeof (GeomPoint)) };
  geom_path_flatten (&piece->outline.path, PREVIEW_MM, emit_preview, &preview);
  g_autofree char *number = g_strdup_printf ("%u", index + 1);
  app_photo_view_add_outline (APP_PHOTO_VIEW (self->view), (const GeomPoint *)(void *)preview.px->data,
                              preview.px->len, self->result->pieces->len > 1 ? number : NULL);
  g_array_unref (preview.px);

  const ModelUnit unit = app_settings_unit ();
  g_autofree char *round = model_unit_text (geom_path_length (&piece->outline.path, 1e-3), unit, 1);
  const guint edges = (guint)piece->outline.edge_count;
  /* Translators: an outline found in a photo: its number of edges, the length all round. */
  g_autofree char *words
    = g_strdup_printf (ngettext ("%u edge, %s round", "%u edges, %s round", edges), edges, round);
  g_autofree char *name = g_strdup_printf (_ ("Piece %u"), index + 1);
  g_autofree char *holes
    = piece->holes > 0 ? g_strdup_printf (
        ngettext ("%d hole, not traced", "%d holes, not traced", (gulong)piece->holes), piece->holes)
                       : NULL;
  GtkWidget *tick = gtk_check_button_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_margin_start (box, 6);
  gtk_box_append (GTK_BOX (box), app_label_new (name, "pw-strong"));
  gtk_box_append (GTK_BOX (box), app_label_new (words, "pw-small pw-dim pw-number"));
  if (holes != NULL)
    gtk_box_append (GTK_BOX (box), app_label_new (holes, "pw-small pw-dim"));
  gtk_check_button_set_child (GTK_CHECK_BUTTON (tick), box);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (tick), TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (tick), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  g_object_set_data (G_OBJECT (tick), "index", GUINT_TO_POINTER (index));
  g_signal_connect (tick, "toggled", G_CALLBACK (on_tick), self);
  gtk_box_append (GTK_BOX (self->list), tick);
}

static void
show_found (AppPhotoRoom *self)
{
  const guint count = self->result != NULL ? self->result->pieces->len : 0;
  for (guint i = 0; i < count; i++)
    add_found (self, i);
  GString *words = g_string_new (NULL);
  g_string_append_printf (words, ngettext ("%u outline was found.", "%u outlines were found.", count), count);
  const int cut_off = self->result != NULL ? self->result->cut_off : 0;
  if (cut_off > 0)
  {
    g_string_append_c (words, ' ');
    g_string_append_printf (words,
                            ngettext ("%d thing reaches over the rim and was left out.",
                                      "%d things reach over the rim and were left out.", (gulong)cut_off),
                            cut_off);
  }
  app_label_set (self->found_words, words->str);
  g_string_free (words, TRUE);
  show_deed (self);
}

/* ---- state ---- */

static void
show_frame (AppPhotoRoom *self)
{
  GeomPoint px[4 * FRAME_STEPS];
  TraceView view;
  GeomBox box;
  if (self->picture == NULL || self->way != APP_PHOTO_MAT
      || !app_photo_room_find_view (self, true, &view, &box, NULL))
  {
    app_photo_view_set_frame (APP_PHOTO_VIEW (self->view), NULL, 0);
    return;
  }
  const GeomPoint corner[5]
    = { { box.x0, box.y0 }, { box.x1, box.y0 }, { box.x1, box.y1 }, { box.x0, box.y1 }, { box.x0, box.y0 } };
  for (guint i = 0; i < G_N_ELEMENTS (px); i++)
  {
    const double t = (double)(i % FRAME_STEPS) / FRAME_STEPS;
    const GeomPoint a = corner[i / FRAME_STEPS], b = corner[i / FRAME_STEPS + 1];
    px[i] = trace_view_to_picture (&view, geom_add (a, geom_scale (geom_sub (b, a), t)));
  }
  app_photo_view_set_frame (APP_PHOTO_VIEW (self->view), px, self->whole ? 0 : G_N_ELEMENTS (px));
}

static void
show_empty (AppPhotoRoom *self, bool busy)
{
  g_autofree char *base = self->reading != NULL ? g_path_get_basename (self->reading) : g_strdup ("");
  /* Translators: %s is the name of a picture's file. */
  g_autofree char *words = g_strdup_printf (busy ? _ ("Reading “%s”…") : _ ("“%s” cannot be used"), base);
  app_label_set (self->empty_title, words);
  gtk_widget_set_visible (self->empty, self->reading != NULL && self->picture == NULL);
  gtk_widget_set_visible (self->empty_cancel, busy);
  gtk_widget_set_visible (self->empty_other, !busy);
}

static gboolean
on_progress (GtkWidget *bar, GdkFrameClock *clock, gpointer user)
{
  AppPhotoRoom *self = user;
  if (self->picture != NULL)
    gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (bar), app_picture_progress (self->picture));
  return G_SOURCE_CONTINUE;
}

/* Only finding takes long enough to say how far it is. */
static void
show_progress (AppPhotoRoom *self, bool shown)
{
  gtk_widget_set_visible (self->bar, shown);
  if (shown && self->ticking == 0)
  {
    gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (self->bar), 0.0);
    self->ticking = gtk_widget_add_tick_callback (self->bar, on_progress, self, NULL);
  }
  else if (!shown && self->ticking != 0)
  {
    gtk_widget_remove_tick_callback (self->bar, self->ticking);
    self->ticking = 0;
  }
}

static void
show_state (AppPhotoRoom *self)
{
  const bool busy = self->cancel != NULL, there = self->picture != NULL, found = self->result != NULL;
  show_empty (self, busy);
  gtk_widget_set_visible (self->busy, busy && there);
  if (!busy)
    show_progress (self, false);
  gtk_widget_set_visible (self->ask, there && self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->flat_words, there && self->way == APP_PHOTO_FLAT);
  gtk_widget_set_sensitive (self->ask, !busy);
  gtk_widget_set_visible (self->buttons, there);
  gtk_widget_set_sensitive (self->place, !busy);
  gtk_widget_set_sensitive (self->under, !busy);
  show_deed (self);
  gtk_widget_set_visible (self->place, self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->found_box, found && !busy);
  gtk_widget_set_visible (self->under, found && self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->extent_box, self->way <= APP_PHOTO_RECTANGLE);
  gtk_widget_set_visible (self->hint, !found);
  gtk_button_set_label (GTK_BUTTON (self->extent[0]),
                        self->way == APP_PHOTO_RECTANGLE ? _ ("The rectangle") : _ ("The sheet"));
  app_label_set (self->hint, app_photo_room_hint (self));
  self->showing = true;
  if (self->way < APP_PHOTO_FLAT)
    gtk_check_button_set_active (GTK_CHECK_BUTTON (self->ways[self->way]), TRUE);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->extent[self->whole]), TRUE);
  self->showing = false;
  show_frame (self);
}

void
app_photo_room_changed (AppPhotoRoom *self)
{
  complain (self, NULL);
  forget_found (self);
  show_state (self);
}

static void
begin (AppPhotoRoom *self, const char *words)
{
  complain (self, NULL);
  self->cancel = g_cancellable_new ();
  app_label_set (self->busy_words, words);
  show_state (self);
}

/* True if RESULT is still waited for: an answer to something that was let go must not be shown. */
static bool
ends (AppPhotoRoom *self, GAsyncResult *result)
{
  if (self->cancel == NULL || g_task_get_cancellable (G_TASK (result)) != self->cancel)
    return false;
  g_clear_object (&self->cancel);
  return true;
}

static void
stop (AppPhotoRoom *self)
{
  if (self->cancel != NULL)
    g_cancellable_cancel (self->cancel);
  g_clear_object (&self->cancel);
}

/* ---- the picture ---- */

void
app_photo_room_forget (AppPhotoRoom *self)
{
  stop (self);
  forget_found (self);
  g_clear_pointer (&self->picture, app_picture_unref);
  g_clear_pointer (&self->flat, trace_flat_free);
  app_photo_view_set_picture (APP_PHOTO_VIEW (self->view), NULL);
  self->placed = self->whole = self->takes_pieces = false;
  g_clear_pointer (&self->reading, g_free);
  complain (self, NULL);
  app_label_set (self->name, "");
}

void
app_photo_room_set_way (AppPhotoRoom *self, AppPhotoWay way)
{
  if (way == APP_PHOTO_MAT && self->picture != NULL && !self->picture->has_mat)
    way = APP_PHOTO_SHEET;
  self->way = way;
  app_photo_view_set_point_count (APP_PHOTO_VIEW (self->view), app_photo_way_points (way));
  app_photo_room_changed (self);
}

static void
show_picture (AppPhotoRoom *self)
{
  const AppPicture *picture = self->picture;
  /* Translators: name of a picture, its width and height in pixels. */
  g_autofree char *words = g_strdup_printf (_ ("%s, %d × %d pixels"), picture->name, picture->photo->width,
                                            picture->photo->height);
  app_label_set (self->name, words);
  g_autofree char *mat = NULL;
  if (picture->has_mat)
    mat = g_strdup_printf (ngettext ("found, %d mark", "found, %d marks", (gulong)picture->mat.marks),
                           picture->mat.marks);
  app_label_set (self->mat_words, mat != NULL ? mat : _ ("not in this picture"));
  gtk_widget_set_sensitive (self->ways[APP_PHOTO_MAT], picture->has_mat);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->dpi),
                             picture->photo->dpi > 0.0 ? picture->photo->dpi : APP_PHOTO_USUAL_DPI);
  app_photo_view_set_picture (APP_PHOTO_VIEW (self->view), self->picture);
}

/* By what the picture itself shows; else as the last time. */
static AppPhotoWay
likely_way (AppPhotoRoom *self)
{
  if (self->placed)
    return APP_PHOTO_FLAT;
  if (self->picture->has_mat)
    return APP_PHOTO_MAT;
  if (self->picture->photo->scanned)
    return APP_PHOTO_SCAN;
  const bool last_fits = self->way == APP_PHOTO_RECTANGLE || self->way == APP_PHOTO_DISTANCE;
  return last_fits ? self->way : APP_PHOTO_SHEET;
}

static void
on_loaded (GObject *source, GAsyncResult *result, gpointer user)
{
  AppPhotoRoom *self = APP_PHOTO_ROOM (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (AppPicture) picture = app_picture_finish (result, &error);
  if (!ends (self, result))
    return;
  if (picture == NULL)
  {
    complain_of (self, error);
    show_state (self);
    gtk_widget_grab_focus (self->empty_other);
    return;
  }
  self->picture = g_steal_pointer (&picture);
  show_picture (self);
  app_photo_room_set_way (self, likely_way (self));
  gtk_widget_grab_focus (app_photo_way_points (self->way) == 0 || self->picture->has_sheet || self->placed
                           ? self->deed
                           : self->view);
}

void
app_photo_room_open (AppPhotoRoom *self, GFile *file)
{
  app_photo_room_forget (self);
  self->reading = g_file_get_parse_name (file);
  begin (self, _ ("Reading the picture…"));
  app_picture_load (file, G_OBJECT (self), self->cancel, on_loaded, NULL);
}

void
app_photo_room_open_placed (AppPhotoRoom *self, const ModelPhoto *photo)
{
  app_photo_room_forget (self);
  self->placed = true;
  self->placed_mm_per_px = photo->mm_per_px;
  self->placed_map = geom_affine_after (geom_affine_turn (photo->at, photo->turn_deg * G_PI / 180.0),
                                        geom_affine_move (photo->at.x, photo->at.y));
  self->reading = g_strdup (photo->name);
  begin (self, _ ("Reading the picture…"));
  app_picture_read (photo->image, photo->name, G_OBJECT (self), self->cancel, on_loaded, NULL);
}

/* ---- finding and placing ---- */

/* As one reads: the numbers are looked for on the picture. */
static gint
left_first (gconstpointer a, gconstpointer b)
{
  const GeomBox one = geom_path_box (&(*(TracePiece *const *)a)->outline.path),
                two = geom_path_box (&(*(TracePiece *const *)b)->outline.path);
  const double left = one.x0 + one.x1, right = two.x0 + two.x1;
  return left < right ? -1 : left > right ? 1 : 0;
}

static void
on_found (GObject *source, GAsyncResult *result, gpointer user)
{
  AppPhotoRoom *self = APP_PHOTO_ROOM (source);
  g_autoptr (GError) error = NULL;
  TraceResult *found = app_picture_find_finish (result, &error);
  if (!ends (self, result))
  {
    g_clear_pointer (&found, trace_result_free);
    return;
  }
  self->result = found;
  if (found != NULL)
    g_ptr_array_sort (found->pieces, left_first);
  if (found == NULL)
    complain_of (self, error);
  else
    show_found (self);
  show_state (self);
  if (found != NULL)
    gtk_widget_grab_focus (self->deed);
}

void
app_photo_room_look (AppPhotoRoom *self)
{
  GeomBox box;
  g_autoptr (GError) error = NULL;
  if (self->picture == NULL || self->cancel != NULL)
    return;
  forget_found (self);
  if (!app_photo_room_find_view (self, true, &self->view_found, &box, &error))
  {
    complain_of (self, error);
    show_state (self);
    return;
  }
  begin (self, _ ("Looking for the pieces…"));
  show_progress (self, true);
  app_picture_find (self->picture, &self->view_found, box, app_photo_side_tolerance_mm (self),
                    G_OBJECT (self), self->cancel, on_found, NULL);
}

static void
on_flat (GObject *source, GAsyncResult *result, gpointer user)
{
  AppPhotoRoom *self = APP_PHOTO_ROOM (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (TraceFlat) flat = app_picture_flatten_finish (result, &error);
  if (!ends (self, result))
    return;
  if (flat == NULL)
  {
    complain_of (self, error);
    show_state (self);
    return;
  }
  g_clear_pointer (&self->flat, trace_flat_free);
  self->flat = g_steal_pointer (&flat);
  show_state (self);
  g_signal_emit (self, signals[TAKEN], 0);
}

static void
flatten (AppPhotoRoom *self)
{
  TraceView view;
  GeomBox box;
  g_autoptr (GError) error = NULL;
  if (!app_photo_room_find_view (self, false, &view, &box, &error))
  {
    complain_of (self, error);
    return;
  }
  begin (self, _ ("Laying the picture flat…"));
  app_picture_flatten (self->picture, &view, box, G_OBJECT (self), self->cancel, on_flat, NULL);
}

void
app_photo_room_place (AppPhotoRoom *self)
{
  if (self->picture == NULL || self->cancel != NULL)
    return;
  self->takes_pieces = false;
  flatten (self);
}

void
app_photo_room_take (AppPhotoRoom *self)
{
  if (self->picture == NULL || self->cancel != NULL || wanted_count (self) == 0)
    return;
  self->takes_pieces = true;
  g_clear_pointer (&self->flat, trace_flat_free);
  if (self->way != APP_PHOTO_FLAT && gtk_check_button_get_active (GTK_CHECK_BUTTON (self->under)))
    flatten (self);
  else
    g_signal_emit (self, signals[TAKEN], 0);
}

void
app_photo_room_deed (AppPhotoRoom *self)
{
  if (self->result != NULL)
    app_photo_room_take (self);
  else
    app_photo_room_look (self);
}

void
app_photo_room_cancel (AppPhotoRoom *self)
{
  stop (self);
  if (self->picture == NULL)
    g_signal_emit (self, signals[LEFT], 0);
  else
    show_state (self);
}

void
app_photo_room_leave (AppPhotoRoom *self)
{
  g_signal_emit (self, signals[LEFT], 0);
}

static void
on_points (AppPhotoRoom *self)
{
  if (self->result != NULL || app_photo_room_trouble (self) != NULL)
    app_photo_room_changed (self);
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppPhotoRoom *self)
{
  /* Rings and the view from wherever the focus is, but not out of a field. */
  if (keyval != GDK_KEY_Escape)
  {
    const bool asked
      = (keyval >= GDK_KEY_0 && keyval <= GDK_KEY_4) || keyval == GDK_KEY_plus || keyval == GDK_KEY_minus;
    if (!asked || !app_photo_view_key (APP_PHOTO_VIEW (self->view), keyval, state))
      return GDK_EVENT_PROPAGATE;
    gtk_widget_grab_focus (self->view);
    return GDK_EVENT_STOP;
  }
  if (self->cancel != NULL)
    app_photo_room_cancel (self);
  else if (self->result != NULL)
    app_photo_room_changed (self);
  else
    app_photo_room_leave (self);
  return GDK_EVENT_STOP;
}

/* ---- for tests ---- */

AppPhotoView *
app_photo_room_view (AppPhotoRoom *self)
{
  return APP_PHOTO_VIEW (self->view);
}

bool
app_photo_room_is_busy (AppPhotoRoom *self)
{
  return self->cancel != NULL;
}

AppPhotoWay
app_photo_room_way (AppPhotoRoom *self)
{
  return self->way;
}

guint
app_photo_room_found (AppPhotoRoom *self)
{
  return self->result != NULL ? self->result->pieces->len : 0;
}

/* ---- the widget ---- */

static void
app_photo_room_dispose (GObject *object)
{
  AppPhotoRoom *self = APP_PHOTO_ROOM (object);
  stop (self);
  g_clear_pointer (&self->reading, g_free);
  g_clear_pointer (&self->root, gtk_widget_unparent);
  g_clear_pointer (&self->picture, app_picture_unref);
  g_clear_pointer (&self->result, trace_result_free);
  g_clear_pointer (&self->flat, trace_flat_free);
  g_clear_pointer (&self->wanted, g_array_unref);
  G_OBJECT_CLASS (app_photo_room_parent_class)->dispose (object);
}

static void
app_photo_room_class_init (AppPhotoRoomClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_photo_room_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
  GType type = G_TYPE_FROM_CLASS (klass);
  signals[TAKEN] = g_signal_new ("taken", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[LEFT] = g_signal_new ("left", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
app_photo_room_init (AppPhotoRoom *self)
{
  self->way = APP_PHOTO_SHEET;
  self->wanted = g_array_new (FALSE, FALSE, sizeof (gboolean));
  self->root = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  self->view = app_photo_view_new ();
  gtk_widget_set_hexpand (self->view, TRUE);
  gtk_widget_set_vexpand (self->view, TRUE);
  app_photo_view_set_point_count (APP_PHOTO_VIEW (self->view), 4);
  g_signal_connect_swapped (self->view, "points-changed", G_CALLBACK (on_points), self);
  GtkWidget *table = gtk_overlay_new ();
  gtk_overlay_set_child (GTK_OVERLAY (table), self->view);
  gtk_overlay_add_overlay (GTK_OVERLAY (table), app_photo_empty_new (self));
  gtk_box_append (GTK_BOX (self->root), table);
  self->showing = true;
  gtk_box_append (GTK_BOX (self->root), app_photo_side_new (self));
  self->showing = false;
  gtk_widget_set_parent (self->root, GTK_WIDGET (self));
  GtkEventController *keys = gtk_event_controller_key_new ();
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);
  show_state (self);
}

GtkWidget *
app_photo_room_new (void)
{
  return g_object_new (APP_TYPE_PHOTO_ROOM, NULL);
}
