#include "engine/flat.h"

#include "engine/words.h"

#include <glib/gi18n.h>

enum
{
  TURN_STEPS = 16, /* of one piece: no tangent turns by half a turn between two of them */
  SOLVE_STEPS = 60 /* bisection of an angle below pi: no double is finer */
};

/* Two ends of a tape nearer than this have no dome between them. */
#define LEAST_MM 1e-6
/* Below this share of a degree nothing domes. */
#define FLAT_RAD (0.05 * G_PI / 180.0)

/* ---- one dome ---- */

static bool
is_dome (double base_radius_mm, double height_mm)
{
  return base_radius_mm > LEAST_MM && height_mm > LEAST_MM && isfinite (base_radius_mm)
         && isfinite (height_mm);
}

/* The cap that a wedge of this angle would lay flat: one measure of strain for pointed and rounded domes. */
static double
strain_of_angle (double half_opening_rad)
{
  if (!(half_opening_rad > 0.0))
    return 0.0;
  double sine = sin (half_opening_rad);
  double p = sine > 0.0 ? half_opening_rad / sine : INFINITY;
  return isfinite (p) ? (p - 1.0) / (p + 1.0) : 1.0;
}

EngineDome
engine_dome_cone (double base_radius_mm, double height_mm)
{
  EngineDome dome = { .base_radius_mm = base_radius_mm, .height_mm = height_mm };
  if (!is_dome (base_radius_mm, height_mm))
    return (EngineDome) { 0 };
  dome.slant_mm = hypot (base_radius_mm, height_mm);
  dome.short_mm = 2.0 * (dome.slant_mm - base_radius_mm);
  double part = base_radius_mm / dome.slant_mm;
  dome.wedge_rad = 2.0 * G_PI * (1.0 - part);
  /* A cap with as much curvature: 1 - cos a = 1 - part. */
  dome.least_strain = strain_of_angle (acos (part));
  return dome;
}

EngineDome
engine_dome_cap (double base_radius_mm, double height_mm)
{
  EngineDome dome = { .base_radius_mm = base_radius_mm, .height_mm = height_mm };
  if (!is_dome (base_radius_mm, height_mm))
    return (EngineDome) { 0 };
  double radius = (height_mm * height_mm + base_radius_mm * base_radius_mm) / (2.0 * height_mm);
  double opening = atan2 (base_radius_mm, radius - height_mm);
  dome.slant_mm = radius * opening;
  dome.short_mm = 2.0 * (dome.slant_mm - base_radius_mm);
  dome.wedge_rad = 2.0 * G_PI * (1.0 - cos (opening));
  dome.least_strain = strain_of_angle (opening);
  return dome;
}

EngineDome
engine_dome_taped (double flat_mm, double wrap_mm, bool cone)
{
  if (!(flat_mm > LEAST_MM) || !(wrap_mm - flat_mm > LEAST_MM) || !isfinite (wrap_mm))
    return (EngineDome) { 0 };
  double r = flat_mm / 2.0, s = wrap_mm / 2.0;
  if (cone)
    return engine_dome_cone (r, sqrt ((s - r) * (s + r)));
  /* sin a / a = flat / wrap, falling from 1 to 0. */
  double low = 0.0, high = G_PI;
  for (int i = 0; i < SOLVE_STEPS; i++)
  {
    double middle = (low + high) / 2.0;
    if (middle <= 0.0 || sin (middle) / middle > flat_mm / wrap_mm)
      low = middle;
    else
      high = middle;
  }
  double opening = (low + high) / 2.0;
  return engine_dome_cap (r, s / opening * (1.0 - cos (opening)));
}

double
engine_angle_defect (const double *angles_rad, guint count, bool rim)
{
  double sum = 0.0;
  for (guint i = 0; i < count; i++)
    sum += angles_rad[i];
  return (rim ? G_PI : 2.0 * G_PI) - sum;
}

/* ---- materials ---- */

bool
engine_material_forms (const ModelMaterial *material)
{
  return material && (material->kind == MODEL_MATERIAL_LEATHER || material->kind == MODEL_MATERIAL_FOAM);
}

double
engine_strain_limit (const ModelMaterial *material, bool formed)
{
  double said = material ? material->stretch_percent / 100.0 : 0.0, usual = 0.01;
  switch (material ? material->kind : MODEL_MATERIAL_OTHER)
  {
  case MODEL_MATERIAL_LEATHER:
    usual = formed ? 0.12 : 0.02;
    break;
  case MODEL_MATERIAL_FOAM:
    usual = formed ? 0.15 : 0.03;
    break;
  case MODEL_MATERIAL_CLOTH:
    usual = 0.04;
    break;
  case MODEL_MATERIAL_OTHER:
    break;
  }
  return said > 0.0 && !formed ? said : MAX (said, usual);
}

EngineRelief
engine_dome_relief (const EngineDome *dome, const ModelMaterial *material)
{
  if (dome->least_strain <= engine_strain_limit (material, false))
    return ENGINE_RELIEF_NONE;
  if (engine_material_forms (material) && dome->least_strain <= engine_strain_limit (material, true))
    return ENGINE_RELIEF_FORM;
  return dome->wedge_rad * 180.0 / G_PI <= ENGINE_WIDEST_DART_DEG ? ENGINE_RELIEF_DART : ENGINE_RELIEF_SEAM;
}

char *
engine_dome_words (const ModelDocument *doc, const EngineDome *dome, const ModelMaterial *material)
{
  g_autofree char *missing = engine_words_length (doc, dome->short_mm);
  double degrees = dome->wedge_rad * 180.0 / G_PI, gives = dome->least_strain * 100.0,
         takes = engine_strain_limit (material, false) * 100.0,
         formed = engine_strain_limit (material, true) * 100.0;
  switch (engine_dome_relief (dome, material))
  {
  case ENGINE_RELIEF_NONE:
    /* Translators: a length; two parts in a hundred. */
    return g_strdup_printf (
      _ ("It will lie down. A flat panel is %1$s short over the dome; the material gives "
         "%2$.1f %% for it and takes %3$.1f %%."),
      missing, gives, takes);
  case ENGINE_RELIEF_FORM:
    return g_strdup_printf (
      _ ("Form it. A flat panel is %1$s short over the dome: %2$.1f %%, more than the "
         "%3$.1f %% it takes as it is, less than the %4$.1f %% it takes when formed. Or "
         "take out a dart of %5$.1f°."),
      missing, gives, takes, formed, degrees);
  case ENGINE_RELIEF_DART:
    return g_strdup_printf (
      _ ("It will not lie flat. A flat panel is %1$s short over the dome; a dart of %2$.1f° "
         "to its top takes it out. Without one the material must give %3$.1f %% and takes "
         "%4$.1f %%."),
      missing, degrees, gives, takes);
  case ENGINE_RELIEF_SEAM:
    return g_strdup_printf (
      _ ("It will not lie flat. A flat panel is %1$s short over the dome; %2$.1f° must come "
         "out, too much for one dart. Cut it apart with a seam through the fullest part, or "
         "share it out over several darts."),
      missing, degrees);
  }
  return g_strdup ("");
}

/* ---- assembled: which corners meet ---- */

/* A corner of a panel on one side, and the group of corners it lies in. */
typedef struct Corner
{
  guint panel_id, node_id;
  ModelSide side;
  guint group;      /* index of the first corner of the group */
  double angle_rad; /* inside the panel */
  GeomPoint at;
  int joined; /* how many of its two edges meet a partner */
} Corner;

typedef struct Corners
{
  EngineReview *review;
  GArray *all; /* Corner */
} Corners;

static guint
root_of (Corners *c, guint i)
{
  guint hops = 0;
  while (g_array_index (c->all, Corner, i).group != i && hops++ <= c->all->len)
    i = g_array_index (c->all, Corner, i).group;
  return i;
}

static void
unite (Corners *c, guint a, guint b)
{
  guint x = root_of (c, a), y = root_of (c, b);
  if (x != y)
    g_array_index (c->all, Corner, MAX (x, y)).group = MIN (x, y);
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
                      .node_id = model_edge_node (model_panel_edge (panel, e), 0)->id,
                      .side = side,
                      .group = c->all->len,
                      .angle_rad = G_PI - (drawn ? turn : -turn),
                      .at = shape.piece[k].p[0] };
    g_array_append_val (c->all, corner);
  }
  geom_path_clear (&shape);
}

static int
find_corner (const Corners *c, guint panel_id, ModelSide side, guint node_id)
{
  for (guint i = 0; i < c->all->len; i++)
  {
    const Corner *corner = &g_array_index (c->all, Corner, i);
    if (corner->panel_id == panel_id && corner->node_id == node_id && corner->side == side)
      return (int)i;
  }
  return -1;
}

/* A single panel has one side whichever is asked for. */
static ModelSide
side_on (const ModelPanel *panel, ModelSide side)
{
  ModelSide drawn = engine_panel_drawn_side (panel);
  return !engine_panel_is_mirrored (panel) || side == MODEL_SIDE_CENTRE ? drawn : side;
}

/* The corner at the start or end of a run, -1 if it does not end at one. */
static int
run_corner (Corners *c, const ModelRun *run, ModelSide side, bool at_end)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (c->review), run->panel_id);
  if (!panel || run->edges->len == 0)
    return -1;
  bool drawn_end = at_end != run->reversed;
  if (drawn_end ? run->to_mark_id : run->from_mark_id)
    return -1;
  int index
    = model_panel_find_edge (panel, g_array_index (run->edges, guint, drawn_end ? run->edges->len - 1 : 0));
  if (index < 0)
    return -1;
  guint at = drawn_end ? ((guint)index + 1) % panel->edges->len : (guint)index;
  return find_corner (c, panel->id, side_on (panel, side),
                      model_edge_node (model_panel_edge (panel, at), 0)->id);
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
        g_array_index (c->all, Corner, ends[run][end]).joined++;
}

/* Over the fold both halves are one piece. */
static void
meet_fold (Corners *c, const ModelPanel *panel)
{
  int fold = model_panel_fold_edge (panel);
  if (fold < 0 || !engine_panel_is_mirrored (panel))
    return;
  for (int end = 0; end < 2; end++)
  {
    guint edge = ((guint)fold + (guint)end) % panel->edges->len;
    guint node = model_edge_node (model_panel_edge (panel, edge), 0)->id;
    int left = find_corner (c, panel->id, MODEL_SIDE_LEFT, node),
        right = find_corner (c, panel->id, MODEL_SIDE_RIGHT, node);
    if (left < 0 || right < 0)
      continue;
    unite (c, (guint)left, (guint)right);
    g_array_index (c->all, Corner, left).joined++;
    g_array_index (c->all, Corner, right).joined++;
  }
}

static void
list_points (Corners *c, GArray *out)
{
  for (guint i = 0; i < c->all->len; i++)
  {
    const Corner *first = &g_array_index (c->all, Corner, i);
    if (root_of (c, i) != i || first->joined == 0)
      continue;
    guint count = 0;
    bool closed = true;
    g_autoptr (GArray) angles = g_array_new (FALSE, FALSE, sizeof (double));
    for (guint k = i; k < c->all->len; k++)
    {
      const Corner *corner = &g_array_index (c->all, Corner, k);
      if (root_of (c, k) != i)
        continue;
      g_array_append_val (angles, corner->angle_rad);
      closed = closed && corner->joined >= 2;
      count++;
    }
    EngineFlatPlace place = { .kind = closed ? ENGINE_FLAT_POINT : ENGINE_FLAT_RIM,
                              .panel_id = first->panel_id,
                              .side = first->side,
                              .at = first->at,
                              .corners = count };
    place.angle_rad = engine_angle_defect ((const double *)(gconstpointer)angles->data, angles->len, !closed);
    g_array_append_val (out, place);
  }
}

/* What an open path turns to the left from its start to its end. */
static double
turning (const GeomPath *path)
{
  double sum = 0.0;
  GeomPoint way = { 0.0, 0.0 };
  for (size_t k = 0; k < path->count; k++)
    for (int i = 0; i <= TURN_STEPS; i++)
    {
      GeomPoint next = i == 0 ? way_out (&path->piece[k])
                       : i == TURN_STEPS
                         ? way_in (&path->piece[k])
                         : geom_path_tangent (path, (GeomPlace) { k, (double)i / TURN_STEPS });
      if (geom_norm (next) > 0.0)
      {
        sum += turn_between (way, next);
        way = next;
      }
    }
  return sum;
}

/* What a run turns as the outline of its own panel, which lies to its left. */
static bool
run_turning (EngineReview *review, const ModelRun *run, ModelSide side, double *turn, GeomPoint *middle)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), run->panel_id);
  GeomPath path;
  geom_path_init (&path);
  bool there = panel && engine_review_run_path (review, run, side, &path) && path.count > 0;
  if (there)
  {
    /* Pieces are counter-clockwise; a run of the mirrored side goes the other way round its piece. */
    bool mirrored
      = engine_panel_is_mirrored (panel) && side_on (panel, side) != engine_panel_drawn_side (panel);
    double sign = mirrored != run->reversed ? -1.0 : 1.0;
    *turn = sign * turning (&path);
    *middle = geom_path_point (&path, geom_path_place_at (&path, geom_path_length (&path, 1e-3) / 2.0, 1e-3));
  }
  geom_path_clear (&path);
  return there;
}

static void
list_seam (EngineReview *review, const ModelJoin *join, const EngineJoinPlace *at, GArray *out)
{
  EngineFlatPlace place = { .kind = ENGINE_FLAT_SEAM,
                            .panel_id = join->a.panel_id,
                            .join_id = join->id,
                            .side = at->side_a,
                            .corners = 2 };
  double a, b;
  GeomPoint other;
  if (!run_turning (review, &join->a, at->side_a, &a, &place.at)
      || !run_turning (review, &join->b, at->side_b, &b, &other))
    return;
  place.angle_rad = a + b;
  if (fabs (place.angle_rad) >= FLAT_RAD)
    g_array_append_val (out, place);
}

GArray *
engine_flat_places (EngineReview *review)
{
  const ModelDocument *doc = engine_review_document (review);
  Corners corners = { review, g_array_new (FALSE, FALSE, sizeof (Corner)) };
  GArray *out = g_array_new (FALSE, FALSE, sizeof (EngineFlatPlace));
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
      int n = join->kind == MODEL_JOIN_GAP ? 0 : engine_join_places (doc, join, places);
      for (int k = 0; k < n; k++)
      {
        if (pass == 0)
          meet (&corners, join, &places[k]);
        else
          list_seam (review, join, &places[k], out);
      }
    }
    if (pass == 0)
      list_points (&corners, out);
  }
  g_array_unref (corners.all);
  return out;
}
