/* Places, trials and captions of the tools that cut into panels. */
#include "app/relief.h"

#include "model/repair.h"

#include <glib/gi18n.h>

#define ACCURACY_MM 1e-4
#define CROSSING_MM 1e-3
/* More crossings of one straight step with one piece there cannot be. */
#define MOST_CROSSINGS 9

/* ---- places ---- */

static bool
spot_on (AppCanvas *canvas, const AppOutline *outline, size_t piece, double t, AppSpot *spot)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), outline->panel_id);
  if (panel == NULL || piece >= outline->path.count)
    return false;
  for (guint e = 0; e < panel->edges->len && e < outline->edge_count; e++)
  {
    size_t first, count;
    app_outline_edge (outline, panel, e, &first, &count);
    if (piece < first || piece >= first + count)
      continue;
    *spot = (AppSpot) { .panel_id = panel->id,
                        .side = outline->side,
                        .twin = outline->twin,
                        .place = { model_panel_edge (panel, e)->id, (guint)(piece - first), t },
                        .at = geom_path_point (&outline->path, (GeomPlace) { piece, t }) };
    return true;
  }
  return false;
}

static void
look_for_marks (AppCanvas *canvas, const AppOutline *outline, GeomPoint at, double *best_mm, AppSpot *spot)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), outline->panel_id);
  for (guint k = 0; panel != NULL && k < panel->marks->len; k++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, k);
    int e = model_panel_find_edge (panel, mark->edge_id);
    GeomPath path;
    geom_path_init (&path);
    if (e >= 0 && app_outline_edge_path (outline, panel, mark->edge_id, &path) && path.count > 0)
    {
      GeomPlace place = geom_path_place_at (&path, mark->at_mm, ACCURACY_MM);
      GeomPoint there = geom_path_point (&path, place);
      size_t first, count;
      app_outline_edge (outline, panel, (guint)e, &first, &count);
      if (geom_distance (there, at) <= *best_mm
          && spot_on (canvas, outline, first + place.piece, place.t, spot))
        *best_mm = geom_distance (there, at);
    }
    geom_path_clear (&path);
  }
}

bool
app_spot_at (AppCanvas *canvas, GeomPoint at, double catch_mm, guint panel_id, AppSpot *spot)
{
  *spot = (AppSpot) { 0 };
  if (canvas->session == NULL)
    return false;
  AppPick pick = app_pick_at (canvas->index, at, catch_mm, APP_PICK_ALL_POINTS, panel_id);
  double best = catch_mm;
  if (pick.kind != APP_PICK_NONE)
  {
    const AppOutline *outline = app_pick_index_outline (canvas->index, pick.panel_id, pick.side);
    GeomPathNearest near = { .distance_mm = INFINITY };
    if (outline != NULL && outline->path.count > 0)
      near = geom_path_nearest (&outline->path, pick.at);
    if (near.distance_mm < CROSSING_MM && spot_on (canvas, outline, near.place.piece, near.place.t, spot))
      best = pick.distance_mm;
  }
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if ((panel_id == 0 || panel_id == outline->panel_id) && geom_box_distance (outline->box, at) <= best)
      look_for_marks (canvas, outline, at, &best, spot);
  }
  if (spot->panel_id != 0)
    return true;
  pick = app_pick_at (canvas->index, at, catch_mm, APP_PICK_EDGES, panel_id);
  if (pick.kind != APP_PICK_EDGE)
    return false;
  const AppOutline *outline = app_pick_index_outline (canvas->index, pick.panel_id, pick.side);
  *spot = (AppSpot) { pick.panel_id,
                      pick.side,
                      outline != NULL && outline->twin,
                      { pick.edge_id, pick.node_index, pick.t },
                      pick.at };
  return outline != NULL;
}

/* The first (or last) crossing of the step from A to B with the outline. */
static bool
cross_step (AppCanvas *canvas,
            const AppOutline *outline,
            GeomPoint a,
            GeomPoint b,
            bool last,
            const GeomPoint *avoid,
            double apart_mm,
            double *at,
            AppSpot *spot)
{
  GeomCubic step = geom_cubic_line (a, b);
  GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), a), b);
  bool found = false;
  for (size_t i = 0; i < outline->path.count; i++)
  {
    GeomCrossing crossings[MOST_CROSSINGS];
    const GeomCubic *piece = &outline->path.piece[i];
    GeomBox hull = geom_box_empty ();
    for (int k = 0; k < 4; k++)
      hull = geom_box_with_point (hull, piece->p[k]);
    if (hull.x0 > box.x1 || hull.x1 < box.x0 || hull.y0 > box.y1 || hull.y1 < box.y0)
      continue;
    int count = geom_cubic_crossings (&step, piece, CROSSING_MM, crossings, MOST_CROSSINGS);
    for (int k = 0; k < count; k++)
      if ((avoid == NULL || geom_distance (crossings[k].point, *avoid) > apart_mm)
          && (!found || (last ? crossings[k].t > *at : crossings[k].t < *at))
          && spot_on (canvas, outline, i, crossings[k].u, spot))
      {
        *at = crossings[k].t;
        found = true;
      }
  }
  return found;
}

bool
app_spot_crossed (AppCanvas *canvas,
                  const GArray *points,
                  guint panel_id,
                  bool last,
                  const GeomPoint *avoid,
                  double apart_mm,
                  AppSpot *spot,
                  guint *index)
{
  if (canvas->session == NULL)
    return false;
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  for (guint n = 1; n < points->len; n++)
  {
    guint i = last ? points->len - n : n;
    GeomPoint a = g_array_index (points, GeomPoint, i - 1), b = g_array_index (points, GeomPoint, i);
    double best = 0.0;
    bool found = false;
    for (guint k = 0; k < outlines->len; k++)
    {
      const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, k);
      AppSpot one;
      double at = 0.0;
      if ((panel_id != 0 && outline->panel_id != panel_id)
          || !cross_step (canvas, outline, a, b, last, avoid, apart_mm, &at, &one))
        continue;
      if (found && (last ? at < best : at > best))
        continue;
      best = at;
      *spot = one;
      found = true;
    }
    if (found)
    {
      *index = i - 1;
      return true;
    }
  }
  return false;
}

GeomAffine
app_spot_map (AppCanvas *canvas, guint panel_id, bool twin)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), panel_id);
  return twin && panel != NULL ? model_panel_mirror (panel) : geom_affine_move (0.0, 0.0);
}

void
app_panel_side_path (const ModelPanel *panel, bool twin, GeomPath *out)
{
  if (twin)
    model_panel_twin_path (panel, out, NULL);
  else
    model_panel_path (panel, out, NULL);
}

bool
app_panel_side_edge (const ModelPanel *panel, bool twin, guint edge_id, GeomPath *out)
{
  int e = model_panel_find_edge (panel, edge_id);
  if (e < 0)
    return false;
  GeomPath whole;
  geom_path_init (&whole);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len + 1);
  if (twin)
    model_panel_twin_path (panel, &whole, first);
  else
    model_panel_path (panel, &whole, first);
  size_t end = (guint)e + 1 < panel->edges->len ? first[e + 1] : whole.count;
  for (size_t i = first[e]; i < end; i++)
    geom_path_append (out, &whole.piece[i]);
  geom_path_clear (&whole);
  return out->count > 0;
}

ModelHistory *
app_trial_new (AppCanvas *canvas)
{
  return model_history_new (model_document_copy (app_canvas_document (canvas)));
}

/* ---- openings ---- */

bool
app_parse_opening (const char *text, ModelUnit unit, double *mm, double *deg)
{
  *mm = *deg = 0.0;
  g_autofree char *plain = g_strstrip (g_strdup (text));
  bool angle = g_str_has_suffix (plain, "°") || g_str_has_suffix (plain, "deg");
  if (!angle)
    return model_unit_parse (plain, unit, mm, NULL);
  g_strdelimit (plain, ",", '.');
  /* A true minus is what the program itself writes. */
  const char *start = g_str_has_prefix (plain, "−") ? plain + strlen ("−") : plain;
  char *end = NULL;
  *deg = g_ascii_strtod (start, &end);
  if (end == start || !isfinite (*deg))
    return false;
  if (start != plain)
    *deg = -*deg;
  return fabs (*deg) <= 360.0;
}

char *
app_opening_text (AppCanvas *canvas, double mm, double deg)
{
  if (fabs (deg) > 0.0)
  {
    char figure[G_ASCII_DTOSTR_BUF_SIZE];
    return g_strdup_printf ("%s°", g_ascii_formatd (figure, sizeof figure, "%.1f", deg));
  }
  return app_canvas_length (canvas, mm);
}

/* ---- drawing ---- */

void
app_draw_spot (AppCanvas *canvas, cairo_t *cr, const AppSpot *spot, bool set)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y;
  app_canvas_to_widget (canvas, spot->at, &x, &y);
  cairo_new_path (cr);
  cairo_arc (cr, x, y, 5.5, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, set ? OUTPUT_TONE_PLUM : OUTPUT_TONE_CARD);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, set ? OUTPUT_TONE_CARD : OUTPUT_TONE_PLUM);
  cairo_set_line_width (cr, 1.6);
  cairo_stroke (cr);
}

void
app_draw_caption (AppCanvas *canvas, cairo_t *cr, GeomPoint at, double dx, double dy, const char *text)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y;
  app_canvas_to_widget (canvas, at, &x, &y);
  app_canvas_draw_flag (cr, ink, x + dx, y + dy, text, OUTPUT_TONE_PLUM);
}

void
app_draw_outline (AppCanvas *canvas, cairo_t *cr, const GeomPath *path)
{
  OutputView view = app_canvas_widget_view (canvas);
  output_draw_preview (cr, &view, app_canvas_ink (canvas), path);
}

/* ---- begun elsewhere ---- */

/* A line of the panel's note: it is printed and stays with the panel. */
static void
note_forming (AppCanvas *canvas, const ModelPanel *panel, double deg)
{
  const ModelMaterial *material = model_document_material (app_canvas_document (canvas), panel->material_id);
  bool foam = material != NULL && material->kind == MODEL_MATERIAL_FOAM;
  g_autofree char *line = g_strdup_printf (foam ? _ ("Warm and form over the dome (%.0f° left in).")
                                                : _ ("Wet-form over the dome (%.0f° left in)."),
                                           fabs (deg));
  ModelPanel *copy = model_panel_copy (panel);
  if (copy->note != NULL && strstr (copy->note, line) != NULL)
  {
    model_panel_free (copy);
    return;
  }
  g_free (copy->note);
  copy->note = panel->note != NULL && *panel->note != '\0' ? g_strdup_printf ("%s %s", panel->note, line)
                                                           : g_strdup (line);
  model_history_begin (app_canvas_history (canvas), _ ("Note the forming"));
  model_repair_put_panel (app_canvas_history (canvas), copy);
  model_history_end (app_canvas_history (canvas));
  app_canvas_tell (canvas, foam ? _ ("Noted on the panel. Heated foam needs ventilation; keep the heat off "
                                     "bare hands.")
                                : _ ("Noted on the panel. Form it over the form, never over a person: it "
                                     "tightens as it dries."));
}

void
app_relief_begin (AppCanvas *canvas, AppReliefDeed deed, GeomPoint apex, double deg)
{
  const ModelPanel *panel = app_canvas_chosen_panel (canvas);
  const AppSelection *s = app_canvas_selection (canvas);
  if (panel == NULL)
    return;
  const AppOutline *outline = app_pick_index_outline (canvas->index, panel->id, s->side);
  ModelSide side = outline != NULL ? s->side : MODEL_SIDE_CENTRE;
  switch (deed)
  {
  case APP_RELIEF_DART:
  case APP_RELIEF_SPREAD:
    app_dart_begin (canvas, panel->id, side, apex, deg);
    break;
  case APP_RELIEF_SEAM:
    app_cut_begin (canvas, panel->id, side, apex);
    break;
  case APP_RELIEF_FORM:
    note_forming (canvas, panel, deg);
    break;
  }
}
