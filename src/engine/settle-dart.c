/* What one run of a join has too much is taken out of it in a dart, whose mouth is as wide as that. */
#include "engine/remedy.h"
#include "engine/run.h"
#include "engine/settle.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include "model/rework.h"

#include <glib/gi18n.h>

/* Common practice, no source: a narrower dart is eased in instead; a dart is several times as deep as wide,
 * and ends well inside the piece. */
#define LEAST_MM 3.0
#define MOST_SHARE 0.25 /* of the run */
#define DEPTH_PER_WIDTH 6.0
#define LEAST_DEPTH_MM 40.0
#define MOST_DEPTH_MM 160.0
/* Not so deep where the piece is narrow. */
#define TRIES 3

typedef struct Dart
{
  guint panel_id;
  ModelReworkDart dart;
} Dart;

static bool
lay (ModelHistory *history, gconstpointer user, GError **error)
{
  const Dart *dart = user;
  return model_rework_add_dart (history, dart->panel_id, dart->dart, NULL, error);
}

/* The middle of the longest stretch that the run covers, as drawn, and the way into the panel from there. */
static bool
find_place (
  EngineReview *review, const ModelPanel *panel, const ModelRun *run, Dart *out, GeomPoint *at, GeomPoint *in)
{
  const EnginePiece *drawn = engine_review_seam_piece (
    review, panel->id,
    panel->halves == MODEL_HALVES_FOLD ? MODEL_SIDE_CENTRE : engine_panel_drawn_side (panel));
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len + 1);
  model_panel_path (panel, &path, first);
  first[panel->edges->len] = path.count;
  double best = 0.0;
  for (guint k = 0; k < run->edges->len; k++)
  {
    const guint id = g_array_index (run->edges, guint, k);
    const int e = model_panel_find_edge (panel, id);
    if (e < 0)
      continue;
    const EngineShare share = engine_run_share (panel, run, k, drawn);
    const double length = engine_drawn_length_mm (panel, (guint)e);
    if (!(length * (share.to - share.from) > best))
      continue;
    best = length * (share.to - share.from);
    const GeomPath edge
      = { .piece = path.piece + first[e], .count = first[e + 1] - first[e], .room = first[e + 1] - first[e] };
    const GeomPlace place
      = geom_path_place_at (&edge, 0.5 * length * (share.from + share.to), ENGINE_TOL_CROSSING_MM);
    out->dart.at = (ModelReworkPlace) { id, (guint)place.piece, place.t };
    *at = geom_path_point (&edge, place);
    /* Outlines go counter-clockwise: inside is at the left. */
    *in = geom_left_of (geom_unit (geom_cubic_tangent (&edge.piece[place.piece], place.t)));
  }
  geom_path_clear (&path);
  return best > 0.0;
}

void
engine_settle_dart (EngineReview *review,
                    const EngineFinding *finding,
                    const EngineJoinReading *reading,
                    GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, reading->join_id);
  const double by_mm = fabs (reading->difference_mm);
  const bool b_longer = reading->difference_mm > 0.0;
  if (!join || !isfinite (by_mm) || by_mm < LEAST_MM
      || by_mm > MOST_SHARE * (b_longer ? reading->length_b_mm : reading->length_a_mm))
    return;
  const ModelRun *run = b_longer ? &join->b : &join->a;
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  Dart dart = { .panel_id = run->panel_id, .dart = { .intake_mm = by_mm } };
  GeomPoint at = { 0 }, in = { 0 };
  if (!panel || !find_place (review, panel, run, &dart, &at, &in))
    return;
  double depth = CLAMP (DEPTH_PER_WIDTH * by_mm, LEAST_DEPTH_MM, MOST_DEPTH_MM);
  for (int turn = 0; turn < TRIES; turn++, depth /= 2.0)
  {
    g_autofree char *length = engine_words_length (doc, by_mm);
    g_autofree char *owner = engine_words_run_owner (doc, join, b_longer);
    dart.dart.apex = geom_along (at, depth, in);
    /* Translators: a length, then a panel or edge. */
    EngineRemedy *remedy = engine_remedy_of (
      doc, lay, &dart, g_strdup_printf (_ ("Take %1$s out of %2$s in a dart"), length, owner), NULL);
    if (remedy)
      remedy->detail = g_strdup (_ ("Where the body bulges: the piece gets a dome there."));
    if (engine_remedy_offer (review, finding, out, remedy))
      return;
  }
}
