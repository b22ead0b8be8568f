/* What each panel says about itself, and its grain arrow: placed once for all its sheets, where there is most
 * room, and drawn on the sheet they fall on.  The other sheets carry the panel's name and say where the label
 * is. */
#include "output/sheet-parts.h"

#include "engine/words.h"

#include <glib/gi18n.h>

#define ROWS_MAX 10
#define STEP_MM 5.0
#define PAD_MM 3.6
#define ROW_MM 5.3
#define NAME_ROW_MM 7.6
#define TURNS 2

typedef struct Label
{
  char *name, *row[ROWS_MAX];
  int rows;
} Label;

typedef struct Spot
{
  bool found;
  guint tile;        /* index in the plan */
  OutputPlate plate; /* mm of that tile's paper */
  int variant;       /* 0 all rows in a frame, 1 three rows, 2 the name, 3 the name small */
} Spot;

static void
label_clear (Label *label)
{
  g_free (label->name);
  for (int i = 0; i < label->rows; i++)
    g_free (label->row[i]);
}

static void
add_row (Label *label, char *taken)
{
  if (taken == NULL || *taken == '\0' || label->rows == ROWS_MAX)
    g_free (taken);
  else
    label->row[label->rows++] = taken;
}

static char *
figure (double v)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  return g_strdup (g_ascii_formatd (text, sizeof text, "%.3g", v));
}

static void
label_fill (Label *label, const OutputSheet *sheet, const EnginePlacedPiece *placed)
{
  const EnginePiece *piece = placed->piece;
  const ModelPanel *panel = model_document_panel (sheet->doc, piece->panel_id);
  *label = (Label) { .rows = 0 };
  if (panel == NULL)
  {
    label->name = g_strdup ("");
    return;
  }
  label->name = g_strdup (panel->name);
  add_row (label, engine_words_quantity (panel));
  const char *side = engine_words_side (piece->side);
  if (*side != '\0')
    /* Translators: on the printed panel; %s is "wearer's left" or "wearer's right". */
    add_row (label, panel->halves == MODEL_HALVES_PAIR ? g_strdup_printf (_ ("this one: %s"), side)
                                                       : g_strdup (side));
  add_row (label, engine_words_material (sheet->doc, panel));
  const ModelMaterial *material = model_document_material (sheet->doc, panel->material_id);
  if (material != NULL && material->kind == MODEL_MATERIAL_LEATHER)
    add_row (label, g_strdup (_ ("face of the leather up")));
  if (material != NULL && material->knife_mm > 0.0)
  {
    g_autofree char *knife = engine_words_length (sheet->doc, material->knife_mm);
    add_row (label, g_strdup_printf (_ ("knife adds %s, taken off"), knife));
  }
  if (panel->has_grain)
  {
    g_autofree char *degrees = figure (panel->grain_tolerance_deg);
    add_row (label, g_strdup_printf (_ ("grain as the arrow, within %s°"), degrees));
  }
  if (panel->note != NULL && *panel->note != '\0')
  {
    g_autofree char *note = g_strdup (panel->note);
    add_row (label, g_strdup (g_strstrip (g_strdelimit (note, "\n\r\t", ' '))));
  }
  g_autofree char *revision = output_sheet_revision (sheet->doc);
  if (*revision != '\0')
    add_row (label, g_strdup (revision));
  if (*sheet->doc->head->wearer != '\0')
    add_row (label, g_strdup (sheet->doc->head->wearer));
}

static int
rows_of (const Label *label, int variant)
{
  return variant == 0 ? label->rows : variant == 1 ? MIN (label->rows, 3) : 0;
}

static void
label_size (const OutputSheet *sheet, const Label *label, int variant, double *width, double *height)
{
  const double name = variant == 3 ? 3.4 : sheet->ink->text_name, pad = variant == 0 ? PAD_MM : 0.6;
  double w = output_text_size (sheet->cr, name, OUTPUT_TEXT_BOLD, 0.0, label->name).width;
  const int rows = rows_of (label, variant);
  for (int i = 0; i < rows; i++)
    w = MAX (
      w,
      MIN (output_text_size (sheet->cr, sheet->ink->text_body, OUTPUT_TEXT_PLAIN, 0.0, label->row[i]).width,
           75.0));
  *width = w + 2.0 * pad;
  *height = (variant == 3 ? 4.0 : NAME_ROW_MM - 1.2) + rows * ROW_MM + 2.0 * pad;
}

static void
label_draw (const OutputSheet *sheet, const Label *label, int variant, const OutputPlate *plate)
{
  cairo_t *cr = sheet->cr;
  const double w = plate->half_length, h = plate->half_height, pad = variant == 0 ? PAD_MM : 0.6;
  cairo_save (cr);
  cairo_translate (cr, plate->middle.x, plate->middle.y);
  cairo_rotate (cr, atan2 (plate->along.y, plate->along.x));
  if (variant == 0)
  {
    cairo_rectangle (cr, -w, -h, 2.0 * w, 2.0 * h);
    output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 0.25);
    cairo_stroke (cr);
  }
  const double name = variant == 3 ? 3.4 : sheet->ink->text_name, room = 2.0 * (w - pad);
  double y = -h + pad + 0.80 * name;
  output_sheet_text_fit (sheet, -w + pad, y, name, true, room + 0.1, label->name);
  y += NAME_ROW_MM - 1.4;
  const int rows = rows_of (label, variant);
  for (int i = 0; i < rows; i++, y += ROW_MM)
    output_sheet_text_fit (sheet, -w + pad, y, sheet->ink->text_body, false, room + 0.1, label->row[i]);
  cairo_restore (cr);
}

/* ---- where ---- */

/* One panel on one tile: its lines, and the room there. */
typedef struct Room
{
  const EnginePlacedPiece *placed;
  const EngineTile *tile;
  GeomBox window; /* free of glue zones, and within the panel's box */
  OutputObstacles obstacles;
} Room;

static GeomBox
moved (GeomBox box, GeomAffine by)
{
  return (GeomBox) { box.x0 + by.x0, box.y0 + by.y0, box.x1 + by.x0, box.y1 + by.y0 };
}

static GeomBox
label_window (const OutputSheet *sheet, const EngineTile *tile)
{
  return geom_box_grown (output_sheet_window (sheet->plan, tile), -4.5);
}

/* ON_PLAN: the panel's box. */
static bool
room_init (Room *room,
           const OutputSheet *sheet,
           const EnginePlacedPiece *placed,
           GeomBox on_plan,
           const EngineTile *tile)
{
  const GeomAffine to_paper = output_sheet_to_paper (tile);
  const GeomBox box = moved (on_plan, to_paper),
                field = { 0.0, 0.0, sheet->plan->paper.width_mm, sheet->plan->paper.height_mm };
  if (!geom_box_overlaps (box, field))
    return false;
  room->placed = placed;
  room->tile = tile;
  room->window = label_window (sheet, tile);
  if (!geom_box_overlaps (box, room->window))
    return false;
  output_obstacles_init (&room->obstacles, to_paper);
  output_obstacles_add_piece (&room->obstacles, placed,
                              model_document_panel (sheet->doc, placed->piece->panel_id),
                              geom_box_grown (room->window, 12.0));
  room->window.x0 = MAX (room->window.x0, box.x0);
  room->window.y0 = MAX (room->window.y0, box.y0);
  room->window.x1 = MIN (room->window.x1, box.x1);
  room->window.y1 = MIN (room->window.y1, box.y1);
  return true;
}

static bool
room_holds (const Room *room, const OutputPlate *plate, double clear_mm)
{
  GeomPoint corner[4];
  output_plate_corners (plate, corner);
  for (int i = 0; i < 4; i++)
    if (!geom_box_contains (room->window, corner[i]))
      return false;
  if (!output_obstacles_is_free (&room->obstacles, plate, clear_mm))
    return false;
  const GeomAffine m = room->obstacles.to_paper;
  return geom_path_contains (&room->placed->seam,
                             geom_point (plate->middle.x - m.x0, plate->middle.y - m.y0));
}

/* The place of a plate of this size and direction nearest to TOWARDS (paper of this tile). */
static bool
room_search (const Room *room,
             double w,
             double h,
             GeomPoint along,
             GeomPoint towards,
             double clear_mm,
             OutputPlate *best,
             double *best_far)
{
  bool found = false;
  const double half_x = (fabs (along.x) * w + fabs (along.y) * h) / 2.0,
               half_y = (fabs (along.y) * w + fabs (along.x) * h) / 2.0;
  const GeomBox b = room->window;
  for (double y = b.y0 + half_y; y <= b.y1 - half_y; y += STEP_MM)
    for (double x = b.x0 + half_x; x <= b.x1 - half_x; x += STEP_MM)
    {
      const OutputPlate plate = { geom_point (x, y), along, w / 2.0, h / 2.0 };
      const double far = geom_distance (plate.middle, towards);
      if (far >= *best_far || !room_holds (room, &plate, clear_mm))
        continue;
      *best = plate;
      *best_far = far;
      found = true;
    }
  const OutputPlate there = { towards, along, w / 2.0, h / 2.0 };
  if (*best_far > 0.0 && room_holds (room, &there, clear_mm))
  {
    *best = there;
    *best_far = 0.0;
    found = true;
  }
  return found;
}

typedef struct Rooms
{
  Room *room;
  guint *tile, count;
} Rooms;

static void
rooms_init (Rooms *rooms, const OutputSheet *sheet, const EnginePlacedPiece *placed, GeomBox on_plan)
{
  const guint n = sheet->plan->tiles->len;
  rooms->room = g_new0 (Room, n);
  rooms->tile = g_new0 (guint, n);
  rooms->count = 0;
  for (guint i = 0; i < n; i++)
    if (room_init (&rooms->room[rooms->count], sheet, placed, on_plan,
                   &g_array_index (sheet->plan->tiles, EngineTile, i)))
      rooms->tile[rooms->count++] = i;
}

static void
rooms_clear (Rooms *rooms)
{
  for (guint i = 0; i < rooms->count; i++)
    output_obstacles_clear (&rooms->room[i].obstacles);
  g_free (rooms->room);
  g_free (rooms->tile);
}

static bool
rooms_search (
  const Rooms *rooms, double w, double h, GeomPoint along, GeomPoint on_plan, double clear_mm, Spot *spot)
{
  double far = INFINITY;
  spot->found = false;
  for (guint i = 0; i < rooms->count; i++)
  {
    const GeomPoint towards = geom_affine_apply (rooms->room[i].obstacles.to_paper, on_plan);
    if (room_search (&rooms->room[i], w, h, along, towards, clear_mm, &spot->plate, &far))
    {
      spot->found = true;
      spot->tile = rooms->tile[i];
    }
  }
  return spot->found;
}

/* The longest name and the most rows that fit; upright if it does not fit level. */
static Spot
place_label (const OutputSheet *sheet, const Rooms *rooms, const Label *label, GeomPoint on_plan)
{
  static const double clear[4][2] = { { 10.0, 6.0 }, { 8.0, 4.0 }, { 5.0, 2.0 }, { 2.0, 1.0 } };
  Spot spot = { .found = false };
  for (int variant = 0; variant < 4; variant++)
  {
    double w, h;
    label_size (sheet, label, variant, &w, &h);
    for (int c = 0; c < 2; c++)
      for (int turn = 0; turn < TURNS; turn++)
      {
        const GeomPoint along = turn == 0 ? geom_point (1.0, 0.0) : geom_point (0.0, -1.0);
        if (rooms_search (rooms, w, h, along, on_plan, clear[variant][c], &spot))
        {
          spot.variant = variant;
          return spot;
        }
      }
  }
  return spot;
}

static Spot
place_grain (const OutputSheet *sheet,
             Rooms *rooms,
             const Spot *label,
             const EnginePlacedPiece *placed,
             GeomPoint on_plan,
             double *length)
{
  static const double lengths[] = { 70.0, 50.0, 36.0, 24.0, 15.0 };
  const ModelPanel *panel = model_document_panel (sheet->doc, placed->piece->panel_id);
  const double rad = panel->grain_deg * G_PI / 180.0;
  const GeomPoint along
    = geom_unit (geom_affine_apply_vector (placed->to_plan, geom_point (cos (rad), sin (rad))));
  Spot spot = { .found = false };
  for (guint i = 0; i < rooms->count; i++)
    if (label->found && rooms->tile[i] == label->tile)
      g_array_append_val (rooms->room[i].obstacles.plates, label->plate);
  for (size_t k = 0; k < G_N_ELEMENTS (lengths) && !spot.found; k++)
  {
    *length = lengths[k];
    rooms_search (rooms, lengths[k] + 5.0, 8.0, along, on_plan, lengths[k] > 20.0 ? 6.0 : 2.0, &spot);
  }
  return spot;
}

/* On a sheet that holds neither: which panel this is. */
static void
draw_reminder (const OutputSheet *sheet,
               const Rooms *rooms,
               guint tile_index,
               const Label *label,
               const Spot *spot,
               GArray *plates)
{
  if (!spot->found || *label->name == '\0')
    return;
  g_autofree char *name = engine_tile_name (&g_array_index (sheet->plan->tiles, EngineTile, spot->tile));
  /* Translators: on a sheet that holds a part of a panel: panel, sheet with its label. */
  g_autofree char *text = g_strdup_printf (_ ("%s; label on %s"), label->name, name);
  const double size = sheet->ink->text_edge,
               w = output_text_size (sheet->cr, size, OUTPUT_TEXT_PLAIN, 0.0, text).width + 1.0;
  for (guint i = 0; i < rooms->count; i++)
  {
    if (rooms->tile[i] != tile_index)
      continue;
    const Room *room = &rooms->room[i];
    const GeomPoint middle
      = { (room->window.x0 + room->window.x1) / 2.0, (room->window.y0 + room->window.y1) / 2.0 };
    for (int turn = 0; turn < TURNS; turn++)
    {
      OutputPlate plate;
      double far = INFINITY;
      if (!room_search (room, w, size * 1.5, turn == 0 ? geom_point (1.0, 0.0) : geom_point (0.0, -1.0),
                        middle, 8.0, &plate, &far))
        continue;
      output_draw_text (sheet->cr, sheet->ink, plate.middle.x, plate.middle.y, turn == 0 ? 0.0 : -G_PI / 2.0,
                        size, false, OUTPUT_TONE_INK, -1, text);
      g_array_append_val (plates, plate);
      return;
    }
  }
}

static void
draw_one (const OutputSheet *sheet,
          guint tile_index,
          const EnginePlacedPiece *placed,
          GArray *plates,
          GPtrArray *outside)
{
  const ModelPanel *panel = model_document_panel (sheet->doc, placed->piece->panel_id);
  const GeomBox box = geom_path_box (&placed->cut);
  const EngineTile *this_tile = &g_array_index (sheet->plan->tiles, EngineTile, tile_index);
  /* Most panels are elsewhere: nothing is worked out for them. */
  if (!geom_box_overlaps (moved (box, output_sheet_to_paper (this_tile)), label_window (sheet, this_tile)))
    return;
  Rooms rooms;
  rooms_init (&rooms, sheet, placed, box);
  bool here = false;
  for (guint i = 0; i < rooms.count; i++)
    here = here || rooms.tile[i] == tile_index;
  if (here && panel != NULL)
  {
    Label label;
    label_fill (&label, sheet, placed);
    const GeomPoint on_plan = output_label_place (&placed->seam, NULL);
    const Spot spot = place_label (sheet, &rooms, &label, on_plan);
    if (spot.found && spot.tile == tile_index)
    {
      label_draw (sheet, &label, spot.variant, &spot.plate);
      g_array_append_val (plates, spot.plate);
    }
    if (!spot.found && rooms.tile[0] == tile_index)
      g_ptr_array_add (outside, (gpointer)placed);
    const bool told = spot.found && spot.tile == tile_index;
    if (panel->has_grain)
    {
      double length = 0.0;
      const Spot arrow = place_grain (sheet, &rooms, &spot, placed, on_plan, &length);
      if (arrow.found && arrow.tile == tile_index)
      {
        const OutputView view
          = { geom_affine_after (
                output_sheet_to_paper (&g_array_index (sheet->plan->tiles, EngineTile, tile_index)),
                placed->to_plan),
              1.0 };
        GeomAffine back;
        if (geom_affine_inverse (view.to_device, &back))
          output_draw_grain (sheet->cr, &view, sheet->ink, geom_affine_apply (back, arrow.plate.middle),
                             length, panel->grain_deg);
        g_array_append_val (plates, arrow.plate);
        for (guint i = 0; i < rooms.count; i++)
          if (rooms.tile[i] == tile_index)
            g_array_append_val (rooms.room[i].obstacles.plates, arrow.plate);
      }
    }
    if (!told)
      draw_reminder (sheet, &rooms, tile_index, &label, &spot, plates);
    label_clear (&label);
  }
  rooms_clear (&rooms);
}

void
output_sheet_labels (const OutputSheet *sheet, const EngineTile *tile, GArray *plates, GPtrArray *outside)
{
  guint index = 0;
  while (index < sheet->plan->tiles->len && &g_array_index (sheet->plan->tiles, EngineTile, index) != tile)
    index++;
  if (index == sheet->plan->tiles->len)
    return;
  for (guint i = 0; i < sheet->plan->placed->len; i++)
    draw_one (sheet, index, (const EnginePlacedPiece *)g_ptr_array_index (sheet->plan->placed, i), plates,
              outside);
}

/* Nearest to TOWARDS of the free places of a grid. */
static bool
find_near (
  const OutputObstacles *obstacles, GeomBox area, double w, double h, GeomPoint towards, OutputPlate *best)
{
  double nearest = INFINITY;
  for (double y = area.y0 + h / 2.0; y <= area.y1 - h / 2.0; y += STEP_MM / 2.0)
    for (double x = area.x0 + w / 2.0; x <= area.x1 - w / 2.0; x += STEP_MM / 2.0)
    {
      const OutputPlate plate = { geom_point (x, y), geom_point (1.0, 0.0), w / 2.0, h / 2.0 };
      const double far = geom_distance (plate.middle, towards);
      if (far >= nearest || !output_obstacles_is_free (obstacles, &plate, 2.5)
          || output_obstacles_ground (obstacles, plate.middle) != 0)
        continue;
      nearest = far;
      *best = plate;
    }
  return isfinite (nearest);
}

void
output_sheet_label_outside (const OutputSheet *sheet,
                            const EnginePlacedPiece *placed,
                            OutputObstacles *obstacles,
                            GeomBox area)
{
  Label label;
  label_fill (&label, sheet, placed);
  const GeomPoint on = geom_affine_apply (obstacles->to_paper, output_label_place (&placed->seam, NULL));
  for (int variant = 1; variant < 4; variant++)
  {
    double w, h;
    label_size (sheet, &label, variant, &w, &h);
    OutputPlate plate;
    if (!find_near (obstacles, area, w, h, on, &plate))
      continue;
    label_draw (sheet, &label, variant, &plate);
    g_array_append_val (obstacles->plates, plate);
    /* From the nearest place of the frame to the nearest of the panel. */
    const GeomPoint from = { CLAMP (on.x, plate.middle.x - w / 2.0, plate.middle.x + w / 2.0),
                             CLAMP (on.y, plate.middle.y - h / 2.0, plate.middle.y + h / 2.0) };
    const GeomAffine m = obstacles->to_paper;
    const GeomPoint near = geom_path_nearest (&placed->cut, geom_point (from.x - m.x0, from.y - m.y0)).point;
    const GeomPoint to = geom_affine_apply (m, near);
    cairo_t *cr = sheet->cr;
    output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 0.18);
    cairo_move_to (cr, from.x, from.y);
    cairo_line_to (cr, to.x, to.y);
    cairo_stroke (cr);
    cairo_arc (cr, to.x, to.y, 0.9, 0.0, 2.0 * G_PI);
    cairo_fill (cr);
    break;
  }
  label_clear (&label);
}
