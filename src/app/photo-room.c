/* The side asks from the top down; each answer below something that is changed is forgotten. */
#include "app/photo-room.h"

#include "app/label.h"
#include "app/settings.h"
#include "app/unit-entry.h"
#include "engine/review.h"
#include "engine/traced.h"
#include "model/shape.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <math.h>

#define SIDE_PX 336
/* What is put beside a drawing keeps this far from it. */
#define BESIDE_MM 40.0
#define LEAST_DPI 20.0
#define MOST_DPI 4800.0
#define USUAL_DPI 300.0
/* A preview line may leave its curve by so much, mm. */
#define PREVIEW_MM 0.1
#define FRAME_STEPS 12

typedef struct Sheet
{
  const char *name;
  double longer_mm, shorter_mm;
} Sheet;

/* ISO 216, ANSI/ASME Y14.1, ISO/IEC 7810 ID-1. */
static const Sheet sheets[] = {
  { N_ ("A4"), 297.0, 210.0 },      { N_ ("A3"), 420.0, 297.0 },        { N_ ("A2"), 594.0, 420.0 },
  { N_ ("A5"), 210.0, 148.0 },      { N_ ("Letter"), 279.4, 215.9 },    { N_ ("Legal"), 355.6, 215.9 },
  { N_ ("Tabloid"), 431.8, 279.4 }, { N_ ("Bank card"), 85.60, 53.98 },
};
#define CARD (G_N_ELEMENTS (sheets) - 1)

static const double tolerances_mm[] = { 0.1, 0.2, 0.5, 1.0 };
#define USUAL_TOLERANCE 1

struct _AppPhotoRoom
{
  GtkWidget parent;
  GtkWidget *root, *view, *name, *busy, *busy_words, *trouble, *ask, *hint, *ways[APP_PHOTO_FLAT], *mat_words,
    *sheet, *width, *height, *dpi, *distance, *extent_box, *extent[2], *buttons, *find, *place, *found_box,
    *found_words, *list, *tolerance[G_N_ELEMENTS (tolerances_mm)], *under, *take, *back, *cancel_button,
    *flat_words, *scroll;
  AppPicture *picture;
  AppPhotoWay way;
  bool whole, showing;
  GCancellable *cancel;
  /* a picture of the document that is traced again */
  bool placed;
  GeomAffine placed_map;
  double placed_mm_per_px;
  /* what was found, and how */
  TraceResult *result;
  TraceView view_found;
  GArray *wanted; /* gboolean */
  guint ticks;
  /* what will be put */
  TraceFlat *flat;
  bool takes_pieces;
};

G_DEFINE_FINAL_TYPE (AppPhotoRoom, app_photo_room, GTK_TYPE_WIDGET)

enum
{
  TAKEN,
  LEFT,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

/* ---- words ---- */

static void
complain (AppPhotoRoom *self, const char *words)
{
  app_label_set (self->trouble, words != NULL ? words : "");
  gtk_widget_set_visible (self->trouble, words != NULL);
}

const char *
app_photo_room_trouble (AppPhotoRoom *self)
{
  return gtk_widget_get_visible (self->trouble) ? gtk_label_get_text (GTK_LABEL (self->trouble)) : NULL;
}

/* "not long enough" becomes a sentence of its own. */
static void
complain_of (AppPhotoRoom *self, const GError *error)
{
  g_autofree char *first = g_utf8_substring (error->message, 0, 1);
  g_autofree char *upper = g_utf8_strup (first, -1);
  const bool names_file = self->picture == NULL;
  g_autofree char *words = names_file ? g_strdup (error->message)
                                      : g_strconcat (upper, error->message + strlen (first),
                                                     g_str_has_suffix (error->message, ".") ? "" : ".", NULL);
  complain (self, words);
}

/* ---- what is known ---- */

static double
entry_mm (GtkWidget *entry)
{
  return app_unit_entry_mm (APP_UNIT_ENTRY (entry));
}

/* The known rectangle as it lies in the picture. */
static void
known_size (AppPhotoRoom *self, double *width, double *height)
{
  if (self->way == APP_PHOTO_RECTANGLE)
  {
    *width = entry_mm (self->width);
    *height = entry_mm (self->height);
    return;
  }
  const guint index = MIN (gtk_drop_down_get_selected (GTK_DROP_DOWN (self->sheet)), CARD);
  const GeomPoint *p = app_photo_view_points (APP_PHOTO_VIEW (self->view));
  const double across = geom_distance (p[0], p[1]) + geom_distance (p[2], p[3]);
  const double down = geom_distance (p[1], p[2]) + geom_distance (p[3], p[0]);
  *width = across >= down ? sheets[index].longer_mm : sheets[index].shorter_mm;
  *height = across >= down ? sheets[index].shorter_mm : sheets[index].longer_mm;
}

static double
flat_mm_per_px (AppPhotoRoom *self, GError **error)
{
  if (self->way == APP_PHOTO_FLAT)
    return self->placed_mm_per_px;
  if (self->way == APP_PHOTO_SCAN)
    return 25.4 / gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->dpi));
  const GeomPoint *p = app_photo_view_points (APP_PHOTO_VIEW (self->view));
  const double px = geom_distance (p[0], p[1]), mm = entry_mm (self->distance);
  if (px >= 2.0 && mm > 0.0)
    return mm / px;
  g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_CORNERS,
                       mm > 0.0 ? _ ("both points lie in one place")
                                : _ ("how far apart the two points are is not said yet"));
  return 0.0;
}

/* How the camera saw the plane, and the part of it that is wanted.  LOOK: to search, else to lay flat. */
static bool
find_view (AppPhotoRoom *self, bool look, TraceView *view, GeomBox *box, GError **error)
{
  const TracePhoto *photo = self->picture->photo;
  GeomBox known = { 0.0, 0.0, 0.0, 0.0 };
  switch (self->way)
  {
  case APP_PHOTO_MAT:
    *view = self->picture->mat.view;
    known = (GeomBox) { 0.0, 0.0, self->picture->mat.mat.width_mm, self->picture->mat.mat.height_mm };
    *box = look ? trace_mat_look (&self->picture->mat.mat) : known;
    break;
  case APP_PHOTO_SHEET:
  case APP_PHOTO_RECTANGLE:
  {
    double width, height;
    known_size (self, &width, &height);
    if (!isfinite (width) || !isfinite (height))
    {
      g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_CORNERS,
                           _ ("the rectangle’s width and height are not said yet"));
      return false;
    }
    if (!trace_view_from_corners (app_photo_view_points (APP_PHOTO_VIEW (self->view)), width, height,
                                  photo->width, photo->height, view, error))
      return false;
    *box = known = (GeomBox) { 0.0, 0.0, width, height };
    break;
  }
  case APP_PHOTO_SCAN:
  case APP_PHOTO_DISTANCE:
  case APP_PHOTO_FLAT:
  {
    const double mm = flat_mm_per_px (self, error);
    if (!(mm > 0.0) || !trace_view_flat (photo->width, photo->height, mm, view))
      return false;
    *box = (GeomBox) { 0.0, 0.0, photo->width * mm, photo->height * mm };
    if (MAX (box->x1, box->y1) <= TRACE_MOST_SHEET_MM)
      return true;
    g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_SIZE,
                         _ ("the picture would be more than three metres long"));
    return false;
  }
  }
  if (self->whole)
    *box = trace_flat_whole (view, photo->width, photo->height, known);
  return true;
}

static int
points_of (AppPhotoWay way)
{
  switch (way)
  {
  case APP_PHOTO_SHEET:
  case APP_PHOTO_RECTANGLE:
    return 4;
  case APP_PHOTO_DISTANCE:
    return 2;
  case APP_PHOTO_MAT:
  case APP_PHOTO_SCAN:
  case APP_PHOTO_FLAT:
    break;
  }
  return 0;
}

static const char *
hint_of (AppPhotoWay way)
{
  switch (way)
  {
  case APP_PHOTO_MAT:
    return _ ("The marks say where it lies and how the lens bends.");
  case APP_PHOTO_SHEET:
    return _ (
      "Put the four rings on the sheet’s corners: drag them, or click one corner after the other from "
      "the top left one on. A ring falls into a corner nearby; arrow keys move it from there.");
  case APP_PHOTO_RECTANGLE:
    return _ ("Put the four rings on the rectangle’s corners, from the top left one on. Width is along the "
              "upper side.");
  case APP_PHOTO_SCAN:
    return _ ("A scanner’s file mostly knows how fine it was scanned. A camera’s does not.");
  case APP_PHOTO_DISTANCE:
    return _ ("Put both rings on the ends of a known length. Only right where the picture was taken flat.");
  case APP_PHOTO_FLAT:
    break;
  }
  return "";
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

static void
show_take (AppPhotoRoom *self)
{
  const guint count = wanted_count (self);
  g_autofree char *words = g_strdup_printf (ngettext ("_Take %u panel", "_Take %u panels", count), count);
  gtk_button_set_label (GTK_BUTTON (self->take), words);
  gtk_widget_set_sensitive (self->take, count > 0);
}

static void
on_tick (GtkCheckButton *tick, AppPhotoRoom *self)
{
  const guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (tick), "index"));
  if (index >= self->wanted->len)
    return;
  g_array_index (self->wanted, gboolean, index) = gtk_check_button_get_active (tick);
  app_photo_view_want_outline (APP_PHOTO_VIEW (self->view), index, gtk_check_button_get_active (tick));
  show_take (self);
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
  show_take (self);
}

/* ---- state ---- */

static void
show_frame (AppPhotoRoom *self)
{
  GeomPoint px[4 * FRAME_STEPS];
  TraceView view;
  GeomBox box;
  if (self->picture == NULL || self->way != APP_PHOTO_MAT || !find_view (self, true, &view, &box, NULL))
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
show_state (AppPhotoRoom *self)
{
  const bool busy = self->cancel != NULL, there = self->picture != NULL, found = self->result != NULL;
  gtk_widget_set_visible (self->busy, busy);
  gtk_widget_set_visible (self->ask, there && self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->flat_words, there && self->way == APP_PHOTO_FLAT);
  gtk_widget_set_sensitive (self->ask, !busy);
  gtk_widget_set_visible (self->buttons, there);
  gtk_widget_set_sensitive (self->buttons, !busy);
  gtk_widget_set_visible (self->find, !found);
  gtk_widget_set_visible (self->place, !found && self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->found_box, found && !busy);
  gtk_widget_set_visible (self->take, found);
  gtk_widget_set_visible (self->under, self->way != APP_PHOTO_FLAT);
  gtk_widget_set_visible (self->extent_box, self->way <= APP_PHOTO_RECTANGLE);
  gtk_widget_set_visible (self->hint, !found);
  app_label_set (self->hint, hint_of (self->way));
  self->showing = true;
  if (self->way < APP_PHOTO_FLAT)
    gtk_check_button_set_active (GTK_CHECK_BUTTON (self->ways[self->way]), TRUE);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->extent[self->whole]), TRUE);
  self->showing = false;
  show_frame (self);
}

static void
changed (AppPhotoRoom *self)
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
  complain (self, NULL);
  app_label_set (self->name, "");
}

static void
set_way (AppPhotoRoom *self, AppPhotoWay way)
{
  if (way == APP_PHOTO_MAT && self->picture != NULL && !self->picture->has_mat)
    way = APP_PHOTO_SHEET;
  self->way = way;
  app_photo_view_set_point_count (APP_PHOTO_VIEW (self->view), points_of (way));
  changed (self);
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
                             picture->photo->dpi > 0.0 ? picture->photo->dpi : USUAL_DPI);
  app_photo_view_set_picture (APP_PHOTO_VIEW (self->view), self->picture);
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
    return;
  }
  self->picture = g_steal_pointer (&picture);
  show_picture (self);
  set_way (self, self->placed                  ? APP_PHOTO_FLAT
                 : self->picture->has_mat      ? APP_PHOTO_MAT
                 : self->way == APP_PHOTO_FLAT ? APP_PHOTO_SHEET
                                               : self->way);
  gtk_widget_grab_focus (self->picture->has_mat || self->placed ? self->find : self->view);
}

void
app_photo_room_open (AppPhotoRoom *self, GFile *file)
{
  app_photo_room_forget (self);
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
  begin (self, _ ("Reading the picture…"));
  app_picture_read (photo->image, photo->name, G_OBJECT (self), self->cancel, on_loaded, NULL);
}

/* ---- finding and placing ---- */

static double
tolerance_mm (AppPhotoRoom *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (tolerances_mm); i++)
    if (gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->tolerance[i])))
      return tolerances_mm[i];
  return tolerances_mm[USUAL_TOLERANCE];
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
  if (found == NULL)
    complain_of (self, error);
  else
    show_found (self);
  show_state (self);
  if (found != NULL)
    gtk_widget_grab_focus (self->take);
}

static void
find (AppPhotoRoom *self)
{
  GeomBox box;
  g_autoptr (GError) error = NULL;
  if (self->picture == NULL || self->cancel != NULL)
    return;
  forget_found (self);
  if (!find_view (self, true, &self->view_found, &box, &error))
  {
    complain_of (self, error);
    show_state (self);
    return;
  }
  begin (self, _ ("Looking for the pieces…"));
  app_picture_find (self->picture, &self->view_found, box, tolerance_mm (self), G_OBJECT (self), self->cancel,
                    on_found, NULL);
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
  if (!find_view (self, false, &view, &box, &error))
  {
    complain_of (self, error);
    return;
  }
  begin (self, _ ("Laying the picture flat…"));
  app_picture_flatten (self->picture, &view, box, G_OBJECT (self), self->cancel, on_flat, NULL);
}

static void
on_place (AppPhotoRoom *self)
{
  if (self->picture == NULL || self->cancel != NULL)
    return;
  self->takes_pieces = false;
  flatten (self);
}

static void
on_take (AppPhotoRoom *self)
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

static void
on_cancel (AppPhotoRoom *self)
{
  stop (self);
  if (self->picture == NULL)
    g_signal_emit (self, signals[LEFT], 0);
  else
    show_state (self);
}

static void
on_back (AppPhotoRoom *self)
{
  g_signal_emit (self, signals[LEFT], 0);
}

/* ---- into the document ---- */

/* What is drawn already, and its pictures. */
static GeomBox
drawn_box (AppSession *session)
{
  GeomBox box = geom_box_empty ();
  const GPtrArray *pieces = engine_review_pieces (app_session_review (session));
  for (guint i = 0; i < pieces->len; i++)
    box = geom_box_union (box, ((const EnginePiece *)g_ptr_array_index (pieces, i))->box);
  const ModelDocument *doc = app_session_document (session);
  for (guint i = 0; i < doc->photos->len; i++)
  {
    const ModelPhoto *photo = g_ptr_array_index (doc->photos, i);
    const double w = photo->width_px * photo->mm_per_px, h = photo->height_px * photo->mm_per_px;
    const GeomAffine turn = geom_affine_turn (photo->at, photo->turn_deg * G_PI / 180.0);
    for (int k = 0; k < 4; k++)
      box = geom_box_with_point (
        box, geom_affine_apply (turn, geom_point (photo->at.x + (k % 2) * w, photo->at.y + (k / 2) * h)));
  }
  return box;
}

static GeomBox
new_box (AppPhotoRoom *self)
{
  GeomBox box = geom_box_empty ();
  for (guint i = 0; self->takes_pieces && self->result != NULL && i < self->result->pieces->len; i++)
    if (g_array_index (self->wanted, gboolean, i))
      box = geom_box_union (
        box, geom_path_box (&((TracePiece *)g_ptr_array_index (self->result->pieces, i))->outline.path));
  const TraceFlat *flat = self->flat;
  if (flat != NULL)
    box = geom_box_union (box, (GeomBox) { flat->at.x, flat->at.y, flat->at.x + flat->width * flat->mm_per_px,
                                           flat->at.y + flat->height * flat->mm_per_px });
  return box;
}

static GeomAffine
way_onto_paper (AppPhotoRoom *self, AppSession *session)
{
  if (self->placed)
    return self->placed_map;
  const GeomBox there = drawn_box (session), box = new_box (self);
  if (geom_box_is_empty (there) || geom_box_is_empty (box))
    return geom_affine_identity ();
  return geom_affine_move (round (there.x1 + BESIDE_MM - box.x0), round (there.y0 - box.y0));
}

static guint
put_flat (AppPhotoRoom *self, ModelHistory *history, GeomAffine map)
{
  ModelPhoto *photo = model_photo_new ();
  g_free (photo->name);
  photo->name = app_photo_room_title (self);
  photo->image = g_bytes_ref (self->flat->jpeg);
  photo->width_px = self->flat->width;
  photo->height_px = self->flat->height;
  photo->mm_per_px = self->flat->mm_per_px;
  photo->at = geom_affine_apply (map, self->flat->at);
  return model_history_put_photo (history, photo);
}

static void
put_pieces (AppPhotoRoom *self, ModelHistory *history, GeomAffine map, GArray *ids)
{
  ModelDocument *doc = model_history_document (history);
  for (guint i = 0; i < self->result->pieces->len; i++)
  {
    if (!g_array_index (self->wanted, gboolean, i))
      continue;
    const TracePiece *piece = g_ptr_array_index (self->result->pieces, i);
    ModelPanel *panel = engine_traced_panel (doc, &piece->outline.path, piece->outline.edge,
                                             piece->outline.edge_count, piece->holes, i + 1);
    if (panel == NULL)
      continue;
    model_shape_map (panel, map);
    const guint id = model_history_put_panel (history, panel);
    g_array_append_val (ids, id);
  }
}

void
app_photo_room_put (AppPhotoRoom *self, AppSession *session)
{
  const bool pieces = self->takes_pieces && self->result != NULL;
  if (!pieces && self->flat == NULL)
    return;
  ModelHistory *history = app_session_history (session);
  const GeomAffine map = way_onto_paper (self, session);
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  guint photo_id = 0;
  model_history_begin (history, pieces ? _ ("Take panels from a photo") : _ ("Place a photo"));
  if (self->flat != NULL)
    photo_id = put_flat (self, history, map);
  if (pieces)
    put_pieces (self, history, map, ids);
  model_history_end (history);
  if (ids->len > 0)
    app_session_select_panels (session, (const guint *)(void *)ids->data, ids->len);
  else if (photo_id != 0)
    app_session_select_photo (session, photo_id);
}

char *
app_photo_room_title (AppPhotoRoom *self)
{
  if (self->picture == NULL)
    return g_strdup ("");
  g_autofree char *name = g_filename_display_name (self->picture->name);
  char *dot = strrchr (name, '.');
  if (dot != NULL && dot != name)
    *dot = '\0';
  return g_steal_pointer (&name);
}

/* ---- answers ---- */

static void
on_way (GtkCheckButton *button, AppPhotoRoom *self)
{
  if (self->showing || !gtk_check_button_get_active (button))
    return;
  for (int i = 0; i < APP_PHOTO_FLAT; i++)
    if (self->ways[i] == GTK_WIDGET (button))
      set_way (self, (AppPhotoWay)i);
}

static void
on_sheet (AppPhotoRoom *self)
{
  if (self->showing)
    return;
  /* What lies beside a card is wanted, not the card. */
  self->whole = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->sheet)) == CARD;
  set_way (self, APP_PHOTO_SHEET);
}

static void
on_size (AppUnitEntry *entry, double mm, AppPhotoRoom *self)
{
  set_way (self, APP_PHOTO_RECTANGLE);
}

static void
on_dpi (AppPhotoRoom *self)
{
  if (self->way == APP_PHOTO_SCAN)
    changed (self);
}

static void
on_distance (AppUnitEntry *entry, double mm, AppPhotoRoom *self)
{
  set_way (self, APP_PHOTO_DISTANCE);
}

static void
on_extent (GtkToggleButton *button, AppPhotoRoom *self)
{
  if (self->showing || !gtk_toggle_button_get_active (button))
    return;
  self->whole = GTK_WIDGET (button) == self->extent[1];
  changed (self);
}

static void
on_points (AppPhotoRoom *self)
{
  if (self->result != NULL || app_photo_room_trouble (self) != NULL)
    changed (self);
}

static void
on_tolerance (GtkToggleButton *button, AppPhotoRoom *self)
{
  if (!self->showing && gtk_toggle_button_get_active (button) && self->result != NULL)
    find (self);
}

/* ---- building ---- */

static GtkWidget *
column (int spacing)
{
  return gtk_box_new (GTK_ORIENTATION_VERTICAL, spacing);
}

static void
append (GtkWidget *box, GtkWidget *child)
{
  gtk_box_append (GTK_BOX (box), child);
}

static GtkWidget *
length_entry (AppPhotoRoom *self, const char *name, double mm, GCallback committed)
{
  GtkWidget *entry = app_unit_entry_new ();
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), 1.0, TRACE_MOST_SHEET_MM);
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), name);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 6);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (entry), mm);
  g_signal_connect (entry, "committed", committed, self);
  return entry;
}

/* One way: its name at the left, what it asks for at the right. */
static void
add_way (AppPhotoRoom *self, GtkWidget *into, AppPhotoWay way, const char *name, GtkWidget *asks)
{
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_size_request (line, -1, 36);
  GtkWidget *radio = self->ways[way] = gtk_check_button_new_with_label (name);
  if (way != APP_PHOTO_MAT)
    gtk_check_button_set_group (GTK_CHECK_BUTTON (radio), GTK_CHECK_BUTTON (self->ways[APP_PHOTO_MAT]));
  gtk_widget_set_hexpand (radio, TRUE);
  g_signal_connect (radio, "toggled", G_CALLBACK (on_way), self);
  gtk_widget_set_valign (asks, GTK_ALIGN_CENTER);
  append (line, radio);
  append (line, asks);
  append (into, line);
}

static GtkWidget *
build_sheets (AppPhotoRoom *self)
{
  const char *names[G_N_ELEMENTS (sheets) + 1] = { NULL };
  for (guint i = 0; i < G_N_ELEMENTS (sheets); i++)
    names[i] = _ (sheets[i].name);
  self->sheet = gtk_drop_down_new_from_strings (names);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->sheet), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Sheet"),
                                  -1);
  g_signal_connect_swapped (self->sheet, "notify::selected", G_CALLBACK (on_sheet), self);
  return self->sheet;
}

static GtkWidget *
build_rectangle (AppPhotoRoom *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  self->width = length_entry (self, _ ("Width of the rectangle"), 600.0, G_CALLBACK (on_size));
  self->height = length_entry (self, _ ("Height of the rectangle"), 450.0, G_CALLBACK (on_size));
  append (box, self->width);
  append (box, app_label_new ("×", "pw-dim"));
  append (box, self->height);
  return box;
}

static GtkWidget *
build_dpi (AppPhotoRoom *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  self->dpi = gtk_spin_button_new_with_range (LEAST_DPI, MOST_DPI, 1.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->dpi), USUAL_DPI);
  gtk_editable_set_width_chars (GTK_EDITABLE (self->dpi), 5);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->dpi), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Pixels an inch"), -1);
  g_signal_connect_swapped (self->dpi, "value-changed", G_CALLBACK (on_dpi), self);
  append (box, self->dpi);
  append (box, app_label_new (_ ("per inch"), "pw-dim"));
  return box;
}

static void
build_extent (AppPhotoRoom *self)
{
  static const char *const names[] = { N_ ("The rectangle"), N_ ("The whole picture") };
  self->extent_box = column (6);
  gtk_widget_set_margin_top (self->extent_box, 8);
  append (self->extent_box, app_label_new (_ ("What to use of it"), "pw-strong"));
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (line, "pw-segments");
  for (guint i = 0; i < 2; i++)
  {
    self->extent[i] = gtk_toggle_button_new_with_label (_ (names[i]));
    gtk_widget_set_hexpand (self->extent[i], TRUE);
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->extent[i]), GTK_TOGGLE_BUTTON (self->extent[0]));
    g_signal_connect (self->extent[i], "toggled", G_CALLBACK (on_extent), self);
    append (line, self->extent[i]);
  }
  gtk_widget_set_tooltip_text (self->extent[1],
                               _ ("The whole picture. For pieces that lie beside what is known."));
  append (self->extent_box, line);
}

static void
build_ask (AppPhotoRoom *self)
{
  self->ask = column (0);
  append (self->ask, app_label_new (_ ("What is known in it?"), "pw-heading"));
  self->mat_words = app_label_new (NULL, "pw-small pw-dim");
  add_way (self, self->ask, APP_PHOTO_MAT, _ ("The printed _mat"), self->mat_words);
  add_way (self, self->ask, APP_PHOTO_SHEET, _ ("A _sheet"), build_sheets (self));
  add_way (self, self->ask, APP_PHOTO_RECTANGLE, _ ("A _rectangle"), build_rectangle (self));
  add_way (self, self->ask, APP_PHOTO_SCAN, _ ("It is a s_can"), build_dpi (self));
  self->distance
    = length_entry (self, _ ("Distance between the two points"), 100.0, G_CALLBACK (on_distance));
  add_way (self, self->ask, APP_PHOTO_DISTANCE, _ ("A _length"), self->distance);
  for (int i = 0; i < APP_PHOTO_FLAT; i++)
    gtk_check_button_set_use_underline (GTK_CHECK_BUTTON (self->ways[i]), TRUE);
  self->hint = app_prose_new (NULL, "pw-small pw-dim");
  gtk_widget_set_margin_top (self->hint, 6);
  append (self->ask, self->hint);
  build_extent (self);
  append (self->ask, self->extent_box);
}

static GtkWidget *
stamp_new (const char *label, const char *classes, GCallback clicked, AppPhotoRoom *self)
{
  GtkWidget *button = app_button_new (label, classes, NULL);
  g_signal_connect_swapped (button, "clicked", clicked, self);
  return button;
}

static void
build_found (AppPhotoRoom *self)
{
  static const char *const names[] = { "0.1", "0.2", "0.5", "1" };
  self->found_box = column (8);
  self->found_words = app_prose_new (NULL, "pw-heading");
  append (self->found_box, self->found_words);
  self->list = column (8);
  append (self->found_box, self->list);
  append (self->found_box, app_label_new (_ ("Curves may leave the outline by (mm)"), "pw-small pw-dim"));
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (line, "pw-segments pw-number");
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    self->tolerance[i] = gtk_toggle_button_new_with_label (names[i]);
    gtk_widget_set_hexpand (self->tolerance[i], TRUE);
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->tolerance[i]),
                                   GTK_TOGGLE_BUTTON (self->tolerance[0]));
    append (line, self->tolerance[i]);
  }
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->tolerance[USUAL_TOLERANCE]), TRUE);
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    g_signal_connect (self->tolerance[i], "toggled", G_CALLBACK (on_tolerance), self);
  append (self->found_box, line);
  self->under = gtk_check_button_new_with_mnemonic (_ ("Lay the _photo under them"));
  append (self->found_box, self->under);
  self->take = stamp_new ("", "pw-stamp", G_CALLBACK (on_take), self);
  gtk_button_set_use_underline (GTK_BUTTON (self->take), TRUE);
}

static GtkWidget *
build_side (AppPhotoRoom *self)
{
  GtkWidget *side = column (12);
  gtk_widget_set_margin_start (side, 16);
  gtk_widget_set_margin_end (side, 16);
  gtk_widget_set_margin_top (side, 12);
  gtk_widget_set_margin_bottom (side, 16);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *title = app_label_new (_ ("From a photo"), "pw-page-title");
  gtk_widget_set_hexpand (title, TRUE);
  append (head, title);
  self->back = stamp_new (_ ("_Back"), "pw-plain pw-low", G_CALLBACK (on_back), self);
  append (head, self->back);
  append (side, head);
  self->name = app_label_new (NULL, "pw-small pw-dim pw-number");
  append (side, self->name);

  self->trouble = app_prose_new (NULL, "pw-madder");
  gtk_widget_set_visible (self->trouble, FALSE);
  build_ask (self);
  append (side, self->ask);
  self->flat_words = app_prose_new (
    _ ("This picture lies flat and at true size already. What is found in it comes to lie on it."), "pw-dim");
  append (side, self->flat_words);
  append (side, self->trouble);

  self->busy = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->busy_words = app_label_new (NULL, "pw-strong");
  gtk_widget_set_hexpand (self->busy_words, TRUE);
  self->cancel_button = stamp_new (_ ("Ca_ncel"), "pw-plain pw-low", G_CALLBACK (on_cancel), self);
  append (self->busy, self->busy_words);
  append (self->busy, self->cancel_button);
  append (side, self->busy);

  self->buttons = column (8);
  self->find = stamp_new (_ ("_Find the outlines"), "pw-stamp", G_CALLBACK (find), self);
  self->place = stamp_new (_ ("_Place under the panels"), "pw-plain", G_CALLBACK (on_place), self);
  append (self->buttons, self->find);
  append (self->buttons, self->place);
  build_found (self);
  append (self->buttons, self->take);
  append (side, self->found_box);

  self->scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroll), side);
  gtk_widget_set_vexpand (self->scroll, TRUE);
  /* What is done next stays in view however much was found. */
  GtkWidget *whole = column (0);
  gtk_widget_set_margin_start (self->buttons, 16);
  gtk_widget_set_margin_end (self->buttons, 16);
  gtk_widget_set_margin_top (self->buttons, 8);
  gtk_widget_set_margin_bottom (self->buttons, 14);
  append (whole, self->scroll);
  append (whole, self->buttons);
  gtk_widget_set_size_request (whole, SIDE_PX, -1);
  gtk_widget_set_hexpand (whole, FALSE);
  app_add_classes (whole, "pw-side pw-side-right");
  return whole;
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppPhotoRoom *self)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  if (self->cancel != NULL)
    on_cancel (self);
  else if (self->result != NULL)
    changed (self);
  else
    on_back (self);
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

GtkWidget *
app_photo_room_field (AppPhotoRoom *self, const char *name)
{
  const struct
  {
    const char *name;
    GtkWidget *widget;
  } fields[] = {
    { "way-mat", self->ways[APP_PHOTO_MAT] },
    { "way-sheet", self->ways[APP_PHOTO_SHEET] },
    { "way-rectangle", self->ways[APP_PHOTO_RECTANGLE] },
    { "way-scan", self->ways[APP_PHOTO_SCAN] },
    { "way-distance", self->ways[APP_PHOTO_DISTANCE] },
    { "sheet", self->sheet },
    { "width", self->width },
    { "height", self->height },
    { "dpi", self->dpi },
    { "distance", self->distance },
    { "whole", self->extent[1] },
    { "find", self->find },
    { "place", self->place },
    { "take", self->take },
    { "under", self->under },
    { "back", self->back },
    { "cancel", self->cancel_button },
  };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    if (strcmp (fields[i].name, name) == 0)
      return fields[i].widget;
  guint64 index = 0;
  if (!g_str_has_prefix (name, "tick-") || !g_ascii_string_to_unsigned (name + 5, 10, 0, 1000, &index, NULL))
    return NULL;
  GtkWidget *child = gtk_widget_get_first_child (self->list);
  while (child != NULL && index-- > 0)
    child = gtk_widget_get_next_sibling (child);
  return child;
}

/* ---- the widget ---- */

void
app_photo_room_set_unit (AppPhotoRoom *self, ModelUnit unit)
{
  GtkWidget *const entries[] = { self->width, self->height, self->distance };
  for (guint i = 0; i < G_N_ELEMENTS (entries); i++)
    app_unit_entry_set_unit (APP_UNIT_ENTRY (entries[i]), unit);
}

static void
app_photo_room_dispose (GObject *object)
{
  AppPhotoRoom *self = APP_PHOTO_ROOM (object);
  stop (self);
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
  append (self->root, self->view);
  self->showing = true;
  append (self->root, build_side (self));
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
