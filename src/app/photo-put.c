/* What was taken from a photo is put beside what is drawn already. */
#include "app/photo-private.h"

#include "engine/review.h"
#include "engine/traced.h"
#include "model/shape.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/* What is put beside a drawing keeps this far from it. */
#define BESIDE_MM 40.0

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
