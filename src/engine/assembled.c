#include "engine/assembled.h"

#include "engine/run.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <string.h>

enum
{
  TURN_STEPS = 16, /* of one piece: no tangent turns by half a turn between two of them */
  SHARES = 48      /* a seam is looked at so often along its length */
};

#define DEG (180.0 / G_PI)
/* A seam that bends to and fro by less is one stretch. */
#define TO_AND_FRO_RAD (1.0 / DEG)
/* Below this nothing domes: rounding of the arithmetic, not of the hand. */
#define NOTHING_RAD 1e-9
/* A mark so near a corner, in parts of its edge, lies on it. */
#define ON_CORNER 1e-9
#define LENGTH_MM 1e-4
/* In words a stretch that leaves so little out is the whole seam. */
#define NEARLY 0.05

double
engine_angle_defect (const double *angles_rad, guint count, bool rim)
{
  double sum = 0.0;
  for (guint i = 0; i < count; i++)
    sum += angles_rad[i];
  return (rim ? G_PI : 2.0 * G_PI) - sum;
}

/* ---- which corners meet ---- */

/* A corner of a panel on one side, or a mark at which a run ends. */
typedef struct Corner
{
  guint panel_id;
  ModelSide side;
  guint group;      /* index of the first corner of the group */
  double angle_rad; /* inside the panel */
  GeomPoint at;
  int joined;  /* how many of its two edges meet a partner */
  bool inside; /* a run passes: it turns with its seam */
} Corner;

typedef struct Corners
{
  EngineReview *review;
  GArray *all;       /* Corner */
  GHashTable *index; /* id of the node or mark and side -> place in ALL, plus 1 */
} Corners;

static gpointer
key_of (guint id, ModelSide side)
{
  return GSIZE_TO_POINTER ((gsize)id * 4 + side);
}

static Corner *
corner_at (const Corners *c, guint i)
{
  return &g_array_index (c->all, Corner, i);
}

static guint
root_of (Corners *c, guint i)
{
  guint hops = 0;
  while (corner_at (c, i)->group != i && hops++ <= c->all->len)
    i = corner_at (c, i)->group;
  return i;
}

static void
unite (Corners *c, guint a, guint b)
{
  guint x = root_of (c, a), y = root_of (c, b);
  if (x != y)
    corner_at (c, MAX (x, y))->group = MIN (x, y);
}

static GeomPoint
way_out (const GeomCubic *piece)
{
  for (int i = 1; i < 4; i++)
    if (!geom_same_point (piece->p[i], piece->p[0]))
      return geom_unit (geom_sub (piece->p[i], piece->p[0]));
  return geom_point (0.0, 0.0);
}

static GeomPoint
way_in (const GeomCubic *piece)
{
  for (int i = 2; i >= 0; i--)
    if (!geom_same_point (piece->p[i], piece->p[3]))
      return geom_unit (geom_sub (piece->p[3], piece->p[i]));
  return geom_point (0.0, 0.0);
}

static double
turn_between (GeomPoint from, GeomPoint to)
{
  return atan2 (geom_cross (from, to), geom_dot (from, to));
}

static guint
add_corner (Corners *c, guint id, Corner corner)
{
  corner.group = c->all->len;
  g_array_append_val (c->all, corner);
  g_hash_table_insert (c->index, key_of (id, corner.side), GUINT_TO_POINTER (c->all->len));
  return corner.group;
}

/* The first corners of a panel's edges on one side. */
static void
add_corners (Corners *c, const ModelPanel *panel, ModelSide side)
{
  bool drawn = side == engine_panel_drawn_side (panel) || !engine_panel_is_mirrored (panel);
  g_autofree size_t *first = g_new (size_t, panel->edges->len + 1);
  GeomPath shape;
  geom_path_init (&shape);
  if (drawn)
    model_panel_path (panel, &shape, first);
  else
    model_panel_twin_path (panel, &shape, first);
  for (guint e = 0; e < panel->edges->len && first[e] < shape.count; e++)
  {
    size_t k = first[e], before = (k + shape.count - 1) % shape.count;
    double turn = turn_between (way_in (&shape.piece[before]), way_out (&shape.piece[k]));
    Corner corner = { .panel_id = panel->id,
                      .side = side,
                      .angle_rad = G_PI - (drawn ? turn : -turn),
                      .at = shape.piece[k].p[0] };
    add_corner (c, model_edge_node (model_panel_edge (panel, e), 0)->id, corner);
  }
  geom_path_clear (&shape);
}

static int
find_corner (const Corners *c, guint id, ModelSide side)
{
  return GPOINTER_TO_INT (g_hash_table_lookup (c->index, key_of (id, side))) - 1;
}

/* A single panel has one side whichever is asked for. */
static ModelSide
side_on (const ModelPanel *panel, ModelSide side)
{
  ModelSide drawn = engine_panel_drawn_side (panel);
  return !engine_panel_is_mirrored (panel) || side == MODEL_SIDE_CENTRE ? drawn : side;
}

static int
edge_corner (const Corners *c, const ModelPanel *panel, ModelSide side, guint edge_index)
{
  const ModelEdge *edge = model_panel_edge (panel, edge_index % panel->edges->len);
  return find_corner (c, model_edge_node (edge, 0)->id, side_on (panel, side));
}

/* Halfway along an edge: the corner that the run's end makes there. */
static int
mark_corner (
  Corners *c, const ModelRun *run, const ModelPanel *panel, ModelSide side, guint mark_id, bool at_end)
{
  const ModelMark *mark = model_panel_find_mark (panel, mark_id);
  int edge = mark != NULL ? model_panel_find_edge (panel, mark->edge_id) : -1;
  double share;
  if (edge < 0
      || !engine_mark_share (panel, mark_id,
                             engine_review_seam_piece (c->review, panel->id,
                                                       panel->halves == MODEL_HALVES_PAIR
                                                         ? engine_panel_drawn_side (panel)
                                                         : MODEL_SIDE_CENTRE),
                             &share))
    return -1;
  if (share <= ON_CORNER || share >= 1.0 - ON_CORNER)
    return edge_corner (c, panel, side, (guint)edge + (share > 0.5 ? 1 : 0));
  ModelSide on = side_on (panel, side);
  int found = find_corner (c, mark_id, on);
  Corner corner = { .panel_id = panel->id, .side = on, .angle_rad = G_PI };
  if (found >= 0 || !engine_review_run_point (c->review, run, side, at_end, &corner.at))
    return found;
  return (int)add_corner (c, mark_id, corner);
}

/* The corner at the start or end of a run, -1 if there is none. */
static int
run_corner (Corners *c, const ModelRun *run, ModelSide side, bool at_end)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (c->review), run->panel_id);
  if (!panel || run->edges->len == 0)
    return -1;
  bool drawn_end = at_end != run->reversed;
  guint mark_id = drawn_end ? run->to_mark_id : run->from_mark_id;
  if (mark_id != 0)
    return mark_corner (c, run, panel, side, mark_id, at_end);
  int index
    = model_panel_find_edge (panel, g_array_index (run->edges, guint, drawn_end ? run->edges->len - 1 : 0));
  return index < 0 ? -1 : edge_corner (c, panel, side, (guint)index + (drawn_end ? 1 : 0));
}

/* The corners a run passes: between two of its edges, and both of a dart's mouth that it closes up. */
static void
pass (Corners *c, const ModelRun *run, ModelSide side)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (c->review), run->panel_id);
  for (guint i = 1; panel && i < run->edges->len; i++)
  {
    int before = model_panel_find_edge (panel, g_array_index (run->edges, guint, i - 1)),
        after = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    int mouth[2] = { before < 0 ? -1 : edge_corner (c, panel, side, (guint)before + 1),
                     after < 0 ? -1 : edge_corner (c, panel, side, (guint)after) };
    for (int k = 0; k < 2; k++)
      if (mouth[k] >= 0)
        corner_at (c, (guint)mouth[k])->inside = true;
  }
}

static void
meet (Corners *c, const ModelJoin *join, const EngineJoinPlace *place)
{
  int ends[2][2];
  for (int end = 0; end < 2; end++)
  {
    ends[0][end] = run_corner (c, &join->a, place->side_a, end);
    ends[1][end] = run_corner (c, &join->b, place->side_b, end);
    if (ends[0][end] >= 0 && ends[1][end] >= 0)
      unite (c, (guint)ends[0][end], (guint)ends[1][end]);
  }
  for (int run = 0; run < 2; run++)
    for (int end = 0; end < 2; end++)
      if (ends[run][end] >= 0)
        corner_at (c, (guint)ends[run][end])->joined++;
  pass (c, &join->a, place->side_a);
  pass (c, &join->b, place->side_b);
}

/* Over the fold both halves are one piece. */
static void
meet_fold (Corners *c, const ModelPanel *panel)
{
  int fold = model_panel_fold_edge (panel);
  if (fold < 0 || !engine_panel_is_mirrored (panel))
    return;
  for (guint end = 0; end < 2; end++)
  {
    int left = edge_corner (c, panel, MODEL_SIDE_LEFT, (guint)fold + end),
        right = edge_corner (c, panel, MODEL_SIDE_RIGHT, (guint)fold + end);
    if (left < 0 || right < 0)
      continue;
    unite (c, (guint)left, (guint)right);
    corner_at (c, (guint)left)->joined++;
    corner_at (c, (guint)right)->joined++;
  }
}

static void
add_spot (EngineFlatMap *out, guint panel_id, ModelSide side, GeomPoint at)
{
  EngineFlatSpot spot = { panel_id, side, at };
  g_array_append_val (out->spots, spot);
}

/* Members of a group lie behind one another in a list by root, so that all groups take one walk. */
static void
list_points (Corners *c, EngineFlatMap *out)
{
  guint count = c->all->len;
  g_autofree guint *next = g_new (guint, count + 1);
  g_autofree guint *last = g_new (guint, count + 1);
  for (guint i = 0; i < count; i++)
  {
    next[i] = count;
    last[i] = i;
    guint root = root_of (c, i);
    if (root != i)
    {
      next[last[root]] = i;
      last[root] = i;
    }
  }
  g_autoptr (GArray) angles = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint i = 0; i < count; i++)
  {
    if (root_of (c, i) != i || corner_at (c, i)->joined == 0)
      continue;
    bool closed = true, inside = false;
    g_array_set_size (angles, 0);
    for (guint k = i; k < count; k = next[k])
    {
      g_array_append_val (angles, corner_at (c, k)->angle_rad);
      closed = closed && corner_at (c, k)->joined >= 2;
      inside = inside || corner_at (c, k)->inside;
    }
    if (inside)
      continue;
    EngineFlatPlace place = { .kind = closed ? ENGINE_FLAT_POINT : ENGINE_FLAT_RIM,
                              .first = out->spots->len,
                              .count = angles->len };
    place.angle_rad = engine_angle_defect ((const double *)(gconstpointer)angles->data, angles->len, !closed);
    for (guint k = i; k < count; k = next[k])
      add_spot (out, corner_at (c, k)->panel_id, corner_at (c, k)->side, corner_at (c, k)->at);
    g_array_append_val (out->places, place);
  }
}

/* ---- seams ---- */

/* One run of a seam: what it has turned, as the outline of its own panel, after each share of its length. */
typedef struct Turned
{
  GeomPath path;
  double turn_rad[SHARES + 1];
} Turned;

/* Of the dart whose mouth lies between the K-th edge of the run and the next: what both its corners turn when
 * it is closed. */
static double
mouth_turn (Corners *c, const ModelRun *run, const ModelPanel *panel, ModelSide side, guint k)
{
  int before = model_panel_find_edge (panel, g_array_index (run->edges, guint, k)),
      after = model_panel_find_edge (panel, g_array_index (run->edges, guint, k + 1));
  int one = before < 0 ? -1 : edge_corner (c, panel, side, (guint)before + 1),
      two = after < 0 ? -1 : edge_corner (c, panel, side, (guint)after);
  if (one < 0 || two < 0)
    return 0.0;
  return G_PI - corner_at (c, (guint)one)->angle_rad - corner_at (c, (guint)two)->angle_rad;
}

/* The places where the run jumps over something, in its own direction: what is turned there. */
static GArray *
list_mouths (Corners *c, const ModelRun *run, const ModelPanel *panel, ModelSide side)
{
  GArray *mouths = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint i = 0; i + 1 < run->edges->len; i++)
  {
    guint k = run->reversed ? run->edges->len - 2 - i : i;
    int before = model_panel_find_edge (panel, g_array_index (run->edges, guint, k));
    if (before < 0
        || model_panel_edge (panel, ((guint)before + 1) % panel->edges->len)->id
             == g_array_index (run->edges, guint, k + 1))
      continue;
    double turn = mouth_turn (c, run, panel, side, k);
    g_array_append_val (mouths, turn);
  }
  return mouths;
}

/* All but what lies exactly at a share's end: bends there belong to the share before. */
static void
add_turn (Turned *out, double share, double turn)
{
  int slot = (int)CLAMP (ceil (share * SHARES - 1e-6), 1.0, (double)SHARES);
  out->turn_rad[slot] += turn;
}

/* By chords between the looks: a share need not be finer than the looks are. */
static double
chords (const GeomCubic *piece)
{
  double sum = 0.0;
  GeomPoint was = piece->p[0];
  for (int i = 1; i <= TURN_STEPS; i++)
  {
    GeomPoint now = geom_cubic_at (piece, (double)i / TURN_STEPS);
    sum += geom_distance (was, now);
    was = now;
  }
  return sum;
}

/* PATH lies as drawn: its panel is to the left of SIGN times its direction. */
static void
sum_turns (Turned *out, const GArray *mouths, double sign)
{
  const GeomPath *path = &out->path;
  double length = 0.0, along = 0.0;
  guint mouth = 0;
  GeomPoint way = { 0.0, 0.0 };
  memset (out->turn_rad, 0, sizeof out->turn_rad);
  for (size_t k = 0; k < path->count; k++)
    length += chords (&path->piece[k]);
  if (!(length > 0.0))
    return;
  for (size_t k = 0; k < path->count; k++)
  {
    const GeomCubic *piece = &path->piece[k];
    if (k > 0 && geom_distance (path->piece[k - 1].p[3], piece->p[0]) > LENGTH_MM)
    {
      add_turn (out, along / length, mouth < mouths->len ? g_array_index (mouths, double, mouth) : 0.0);
      mouth++;
      way = way_out (piece);
    }
    GeomPoint at = piece->p[0];
    for (int i = 0; i <= TURN_STEPS; i++)
    {
      double t = (double)i / TURN_STEPS, step = 0.0;
      GeomPoint next = i == 0            ? way_out (piece)
                       : i == TURN_STEPS ? way_in (piece)
                                         : geom_cubic_tangent (piece, t);
      if (i > 0)
      {
        GeomPoint now = geom_cubic_at (piece, t);
        step = geom_distance (at, now);
        at = now;
      }
      /* What was turned since the last look lies halfway between them. */
      if (geom_norm (next) > 0.0)
      {
        if (geom_norm (way) > 0.0)
          add_turn (out, (along + step / 2.0) / length, sign * turn_between (way, next));
        way = next;
      }
      along += step;
    }
  }
  for (int i = 1; i <= SHARES; i++)
    out->turn_rad[i] += out->turn_rad[i - 1];
}

static bool
run_turns (Corners *c, const ModelRun *run, ModelSide side, Turned *out)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (c->review), run->panel_id);
  if (!panel || !engine_review_run_path (c->review, run, side, &out->path) || out->path.count == 0)
    return false;
  /* Pieces are counter-clockwise; a run of the mirrored side goes the other way round its piece. */
  bool mirrored
    = engine_panel_is_mirrored (panel) && side_on (panel, side) != engine_panel_drawn_side (panel);
  g_autoptr (GArray) mouths = list_mouths (c, run, panel, side);
  sum_turns (out, mouths, mirrored != run->reversed ? -1.0 : 1.0);
  return true;
}

static double
middle_of (double a, double b, double c)
{
  return MAX (MIN (a, b), MIN (MAX (a, b), c));
}

static void
add_stretch (EngineFlatMap *out,
             const EngineFlatPlace *like,
             Turned runs[2],
             const ModelJoin *join,
             int from,
             int to,
             double angle)
{
  EngineFlatPlace place = *like;
  if (fabs (angle) <= NOTHING_RAD)
    return;
  place.angle_rad = angle;
  place.from = (double)from / SHARES;
  place.to = (double)to / SHARES;
  place.first = out->spots->len;
  place.count = 2;
  for (int i = 0; i < 2; i++)
  {
    const GeomPath *path = &runs[i].path;
    double middle = geom_path_length (path, LENGTH_MM) * (place.from + place.to) / 2.0;
    add_spot (out, i ? join->b.panel_id : join->a.panel_id, i ? place.side_b : place.side_a,
              geom_path_point (path, geom_path_place_at (path, middle, LENGTH_MM)));
  }
  g_array_append_val (out->places, place);
}

/* Stretches in which the sum rises, or falls, all along but for less than TO_AND_FRO. */
static void
list_stretches (EngineFlatMap *out, const EngineFlatPlace *like, Turned runs[2], const ModelJoin *join)
{
  double sum[SHARES + 1], even[SHARES + 1];
  for (int i = 0; i <= SHARES; i++)
    sum[i] = runs[0].turn_rad[i] + runs[1].turn_rad[i];
  /* A corner on both runs that falls on either side of a share's end is one corner. */
  even[0] = sum[0];
  even[SHARES] = sum[SHARES];
  for (int i = 1; i < SHARES; i++)
    even[i] = middle_of (sum[i - 1], sum[i], sum[i + 1]);
  int start = 0, peak = 0;
  double rising = 0.0; /* not known yet */
  for (int i = 1; i <= SHARES; i++)
  {
    double from_peak = even[i] - even[peak];
    if (fabs (rising) <= 0.0)
    {
      peak = fabs (even[i] - even[0]) > fabs (even[peak] - even[0]) ? i : peak;
      if (fabs (even[i] - even[0]) > TO_AND_FRO_RAD)
        rising = even[i] > even[0] ? 1.0 : -1.0;
    }
    else if (rising * from_peak >= 0.0)
      peak = i;
    else if (fabs (from_peak) > TO_AND_FRO_RAD)
    {
      add_stretch (out, like, runs, join, start, peak, even[peak] - even[start]);
      start = peak;
      peak = i;
      rising = -rising;
    }
  }
  add_stretch (out, like, runs, join, start, SHARES, even[SHARES] - even[start]);
}

static void
list_seam (Corners *c, const ModelJoin *join, const EngineJoinPlace *at, EngineFlatMap *out)
{
  EngineFlatPlace place
    = { .kind = ENGINE_FLAT_SEAM, .join_id = join->id, .side_a = at->side_a, .side_b = at->side_b };
  Turned runs[2];
  geom_path_init (&runs[0].path);
  geom_path_init (&runs[1].path);
  if (run_turns (c, &join->a, at->side_a, &runs[0]) && run_turns (c, &join->b, at->side_b, &runs[1]))
    list_stretches (out, &place, runs, join);
  geom_path_clear (&runs[0].path);
  geom_path_clear (&runs[1].path);
}

/* ---- the map ---- */

EngineFlatMap *
engine_flat_map_new (EngineReview *review)
{
  const ModelDocument *doc = engine_review_document (review);
  EngineFlatMap *out = g_new0 (EngineFlatMap, 1);
  out->places = g_array_new (FALSE, FALSE, sizeof (EngineFlatPlace));
  out->spots = g_array_new (FALSE, FALSE, sizeof (EngineFlatSpot));
  Corners corners = { review, g_array_new (FALSE, FALSE, sizeof (Corner)), g_hash_table_new (NULL, NULL) };
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    add_corners (&corners, panel, engine_panel_drawn_side (panel));
    if (engine_panel_is_mirrored (panel))
      add_corners (&corners, panel, model_side_other (engine_panel_drawn_side (panel)));
  }
  for (guint i = 0; i < doc->panels->len; i++)
    meet_fold (&corners, g_ptr_array_index (doc->panels, i));
  for (int pass = 0; pass < 2; pass++)
  {
    for (guint i = 0; i < doc->joins->len; i++)
    {
      const ModelJoin *join = g_ptr_array_index (doc->joins, i);
      EngineJoinPlace places[2];
      int n = engine_join_places (doc, join, places);
      for (int k = 0; k < n; k++)
      {
        if (pass == 0)
          meet (&corners, join, &places[k]);
        else
          list_seam (&corners, join, &places[k], out);
      }
    }
    if (pass == 0)
      list_points (&corners, out);
  }
  g_array_unref (corners.all);
  g_hash_table_unref (corners.index);
  return out;
}

void
engine_flat_map_free (EngineFlatMap *map)
{
  if (map == NULL)
    return;
  g_array_unref (map->places);
  g_array_unref (map->spots);
  g_free (map);
}

bool
engine_flat_place_shows (const EngineFlatPlace *place)
{
  return place->kind != ENGINE_FLAT_RIM && fabs (place->angle_rad) * DEG >= ENGINE_FLAT_DEG;
}

bool
engine_flat_place_touches (const EngineFlatMap *map, const EngineFlatPlace *place, guint panel_id)
{
  for (guint i = 0; i < place->count; i++)
    if (g_array_index (map->spots, EngineFlatSpot, place->first + i).panel_id == panel_id)
      return true;
  return false;
}

static char *
panels_of (const ModelDocument *doc, const EngineFlatMap *map, const EngineFlatPlace *place)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new ();
  for (guint i = 0; i < place->count; i++)
  {
    const ModelPanel *panel
      = model_document_panel (doc, g_array_index (map->spots, EngineFlatSpot, place->first + i).panel_id);
    if (panel != NULL && !g_ptr_array_find (names, panel->name, NULL))
      g_ptr_array_add (names, panel->name);
  }
  g_ptr_array_add (names, NULL);
  return g_strjoinv (", ", (char **)names->pdata);
}

char *
engine_flat_place_words (const ModelDocument *doc, const EngineFlatMap *map, const EngineFlatPlace *place)
{
  double degrees = fabs (place->angle_rad) * DEG;
  bool domes = place->angle_rad > 0.0;
  if (place->kind == ENGINE_FLAT_SEAM)
  {
    const ModelJoin *join = model_document_join (doc, place->join_id);
    const char *letter = join != NULL ? join->letter : "";
    if (place->from <= NEARLY && place->to >= 1.0 - NEARLY)
      return g_strdup_printf (domes ? _ ("Join %1$s domes by %2$.1f°.")
                                    : _ ("Join %1$s opens like a saddle by %2$.1f°."),
                              letter, degrees);
    /* Translators: letter of a join, from and to in percent of its length, an angle. */
    return g_strdup_printf (domes ? _ ("Join %1$s domes by %4$.1f° from %2$.0f to %3$.0f %% of its length.")
                                  : _ ("Join %1$s opens like a saddle by %4$.1f° from %2$.0f to %3$.0f %% of "
                                       "its length."),
                            letter, place->from * 100.0, place->to * 100.0, degrees);
  }
  g_autofree char *names = panels_of (doc, map, place);
  if (place->kind == ENGINE_FLAT_RIM)
    return g_strdup_printf (_ ("The rim turns by %1$.1f° where these meet: %2$s."), place->angle_rad * DEG,
                            names);
  if (place->count == 1)
    return g_strdup_printf (domes ? _ ("The tip of a dart in %1$s domes by %2$.1f°.")
                                  : _ ("A tip in %1$s opens like a saddle by %2$.1f°."),
                            names, degrees);
  return g_strdup_printf (
    domes ? ngettext ("Where %1$u corner meets (%2$s) it domes by %3$.1f°.",
                      "Where %1$u corners meet (%2$s) it domes by %3$.1f°.", place->count)
          : ngettext ("Where %1$u corner meets (%2$s) it opens like a saddle by %3$.1f°.",
                      "Where %1$u corners meet (%2$s) it opens like a saddle by %3$.1f°.", place->count),
    place->count, names, degrees);
}
