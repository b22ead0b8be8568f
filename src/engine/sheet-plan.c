#include "engine/sheet-plan.h"

#include "engine/sheet-pack.h"
#include "engine/strap.h"
#include "engine/tolerance.h"

#include <glib/gi18n.h>
#include <string.h>

G_DEFINE_QUARK (engine - sheet - error - quark, engine_sheet_error)

/* What the smallest usable paper must hold: a test square of 100 mm with its figures, and the margins. */
#define SMALLEST_MM 130.0
/* Smaller either way, a piece cannot hold its label. */
#define LABEL_W_MM 45.0
#define LABEL_H_MM 14.0
/* As in sheet-pack.c: so little over a border is not printed for. */
#define TOUCH_MM 1e-3
#define FLAT_MM 1e-3

enum
{
  MOST_COLUMNS = 8, /* tried; more only where a piece needs more */
  LOOK_CLOSELY_AT = 6
};

/* ---- paper ---- */

static const struct
{
  const char *name;
  EnginePaper paper;
} papers[] = {
  { "a4", { 210.0, 297.0 } },
  { "a3", { 297.0, 420.0 } },
  { "letter", { 215.9, 279.4 } },
  { "tabloid", { 279.4, 431.8 } },
};

bool
engine_paper_parse (const char *text, EnginePaper *paper)
{
  if (!text)
    return false;
  for (guint i = 0; i < G_N_ELEMENTS (papers); i++)
    if (g_ascii_strcasecmp (text, papers[i].name) == 0)
    {
      *paper = papers[i].paper;
      return true;
    }
  if (!g_ascii_isdigit (*text))
    return false;
  char *end;
  double width = g_ascii_strtod (text, &end);
  if ((*end != 'x' && *end != 'X') || !g_ascii_isdigit (end[1]))
    return false;
  double height = g_ascii_strtod (end + 1, &end);
  if (*end || !(width >= SMALLEST_MM && height >= SMALLEST_MM) || width > ENGINE_SHEET_MAX_MM
      || height > ENGINE_SHEET_MAX_MM)
    return false;
  *paper = (EnginePaper) { width, height };
  return true;
}

static EngineTiling
tiling_of (EnginePaper paper, double overlap_mm)
{
  double w = paper.width_mm - 2.0 * ENGINE_SHEET_MARGIN_MM,
         h = paper.height_mm - 2.0 * ENGINE_SHEET_MARGIN_MM;
  return (EngineTiling) { w, h, w - overlap_mm, h - overlap_mm };
}

bool
engine_overlap_is_usable (EnginePaper paper, double overlap_mm)
{
  EngineTiling tiling = tiling_of (paper, 0.0);
  return overlap_mm >= 0.0 && overlap_mm <= fmin (tiling.field_w, tiling.field_h) / 2.0;
}

static bool
size_fits (const EngineTiling *tiling, double w, double h)
{
  return (w - tiling->field_w - TOUCH_MM) / tiling->step_x <= ENGINE_SHEET_MAX_COLUMNS - 1
         && (h - tiling->field_h - TOUCH_MM) / tiling->step_y <= ENGINE_SHEET_MAX_ROWS - 1;
}

bool
engine_box_fits_sheets (EnginePaper paper, double overlap_mm, GeomBox box)
{
  EngineTiling tiling = tiling_of (paper, overlap_mm);
  double w = box.x1 - box.x0, h = box.y1 - box.y0;
  if (!(w <= ENGINE_SHEET_PIECE_MM && h <= ENGINE_SHEET_PIECE_MM))
    return false;
  return size_fits (&tiling, w, h) || size_fits (&tiling, h, w);
}

char *
engine_tile_name (const EngineTile *tile)
{
  char letters[8];
  int at = sizeof letters, row = tile->row;
  letters[--at] = '\0';
  for (; row >= 0 && at > 0; row = row / 26 - 1)
    letters[--at] = (char)('A' + row % 26);
  return g_strdup_printf ("%s%d", letters + at, tile->column + 1);
}

/* ---- what is printed of each panel ---- */

static bool
halves_agree (const EnginePiece *piece)
{
  guint n = piece->edges->len;
  for (guint i = 0; i < n; i++)
  {
    const EnginePieceEdge *a = &g_array_index (piece->edges, EnginePieceEdge, i);
    const EnginePieceEdge *b = &g_array_index (piece->edges, EnginePieceEdge, n - 1 - i);
    if (fabs (a->allowance_mm - b->allowance_mm) > ENGINE_TOL_ALLOWANCE_MM)
      return false;
  }
  return true;
}

/* Where the piece, from outside the line AB to inside, meets it. */
static double
t_on_line (const GeomCubic *c, GeomPoint a, GeomPoint unit)
{
  double lo = 0.0, hi = 1.0, at_lo = geom_cross (unit, geom_sub (c->p[0], a));
  /* After 52 halvings a double has no finer t. */
  for (int i = 0; i < 52; i++)
  {
    double mid = 0.5 * (lo + hi), at_mid = geom_cross (unit, geom_sub (geom_cubic_at (c, mid), a));
    if ((at_mid < 0.0) == (at_lo < 0.0))
      lo = mid;
    else
      hi = mid;
  }
  return 0.5 * (lo + hi);
}

/* The part of a closed path on the side of the line A + UNIT where KEEP lies, closed along the line.  False,
 * OUT empty, unless the path crosses the line exactly twice. */
static bool
keep_half (const GeomPath *whole, GeomPoint a, GeomPoint unit, GeomPoint keep, GeomPath *out)
{
  double sign = geom_cross (unit, geom_sub (keep, a)) >= 0.0 ? 1.0 : -1.0;
  GeomPlace in = { 0, 0.0 }, leave = { 0, 0.0 };
  int ins = 0, leaves = 0;
  size_t n = whole->count;
  /* The last node clearly on one side, going round; nodes on the line belong to the stretch before. */
  int was = 0;
  for (size_t k = 0; k < n; k++)
  {
    double d = sign * geom_cross (unit, geom_sub (whole->piece[k].p[0], a));
    if (fabs (d) > TOUCH_MM)
      was = d > 0.0 ? 1 : -1;
  }
  for (size_t k = 0; k < n && was; k++)
  {
    const GeomCubic *c = &whole->piece[k];
    double d0 = sign * geom_cross (unit, geom_sub (c->p[0], a)),
           d1 = sign * geom_cross (unit, geom_sub (c->p[3], a));
    int is = fabs (d1) > TOUCH_MM ? (d1 > 0.0 ? 1 : -1) : 0;
    if (!is || is == was)
      continue;
    GeomPlace place = { k, fabs (d0) > TOUCH_MM ? t_on_line (c, a, unit) : 0.0 };
    if (is > 0)
    {
      in = place;
      ins++;
    }
    else
    {
      leave = place;
      leaves++;
    }
    was = is;
  }
  if (ins != 1 || leaves != 1)
    return false;
  geom_path_part (whole, in, leave, out);
  if (out->count == 0)
    return false;
  geom_path_append_line (out, out->piece[out->count - 1].p[3], out->piece[0].p[0]);
  out->closed = true;
  return true;
}

/* The drawn half of an opened fold, closed along the fold.  False where half would not show all. */
static bool
take_half (const ModelPanel *panel, EnginePlacedPiece *placed)
{
  const EnginePiece *piece = placed->piece;
  int fold = model_panel_fold_edge (panel);
  if (fold < 0 || piece->corrected || piece->clockwise || !halves_agree (piece))
    return false;
  GeomPoint a = model_edge_node (model_panel_edge (panel, (guint)fold), 0)->at;
  GeomPoint b
    = model_panel_next_node (panel, (guint)fold, model_panel_edge (panel, (guint)fold)->nodes->len - 1)->at;
  GeomPoint unit = geom_unit (geom_sub (b, a));
  /* The drawn half lies left of its fold edge: the outline runs counter-clockwise. */
  GeomPoint keep = geom_add (a, geom_left_of (unit));
  if (!keep_half (&piece->cut, a, unit, keep, &placed->cut))
    return false;
  for (guint i = 0; i < piece->edges->len; i++)
    if (!g_array_index (piece->edges, EnginePieceEdge, i).mirrored)
      engine_piece_edge_path (piece, i, &placed->seam);
  if (placed->seam.count == 0)
    return false;
  geom_path_append_line (&placed->seam, placed->seam.piece[placed->seam.count - 1].p[3],
                         placed->seam.piece[0].p[0]);
  placed->seam.closed = true;
  return true;
}

static void
placed_free (gpointer data)
{
  EnginePlacedPiece *placed = data;
  geom_path_clear (&placed->seam);
  geom_path_clear (&placed->cut);
  g_free (placed);
}

static GPtrArray *
choose_pieces (EngineReview *review)
{
  const ModelDocument *doc = engine_review_document (review);
  const GPtrArray *pieces = engine_review_pieces (review);
  GPtrArray *chosen = g_ptr_array_new_with_free_func (placed_free);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
    if (panel->hidden || piece->copied || piece->cut.count == 0)
      continue;
    EnginePlacedPiece *placed = g_new0 (EnginePlacedPiece, 1);
    placed->piece = piece;
    placed->label = geom_box_empty ();
    geom_path_init (&placed->seam);
    geom_path_init (&placed->cut);
    bool folded
      = panel->halves == MODEL_HALVES_FOLD && engine_panel_is_mirrored (panel) && !doc->head->open_folds;
    placed->half = folded && take_half (panel, placed);
    if (!placed->half)
    {
      geom_path_reset (&placed->seam);
      geom_path_reset (&placed->cut);
      geom_path_append_path (&placed->seam, &piece->seam);
      geom_path_append_path (&placed->cut, &piece->cut);
      placed->seam.closed = placed->cut.closed = true;
    }
    g_ptr_array_add (chosen, placed);
  }
  return chosen;
}

/* ---- which tiles a plan needs ----
 *
 * Along each direction the strip falls into zones: what tile 0 alone has, what 0 and 1 share, what 1 alone
 * has, and so on.  A tile is needed when something lies where no other tile reaches; what lies in shared
 * zones alone goes on the first tile that is printed anyhow, else on the earlier one.
 */

typedef struct Zones
{
  const EngineTiling *tiling;
  int columns, rows;  /* tiles */
  GByteArray *marked; /* (2 rows - 1) times (2 columns - 1) */
} Zones;

static double
zone_start (int zone, double field, double step)
{
  double tile = zone / 2 * step;
  if (zone % 2)
    return tile + step; /* shared: where the next tile begins */
  return zone == 0 ? -G_MAXDOUBLE : tile + (field - step);
}

static double
zone_end (int zone, double field, double step, int count)
{
  return zone < 2 * count - 2 ? zone_start (zone + 1, field, step) : G_MAXDOUBLE;
}

static int
zone_of (double at, double field, double step, int count)
{
  double tile = at > 0.0 ? floor (at / step) : 0.0;
  if (tile > count - 1)
    tile = count - 1;
  int zone = tile > 0.0 && at < tile * step + (field - step) ? 2 * (int)tile - 1 : 2 * (int)tile;
  return MIN (zone, 2 * count - 2);
}

static void
mark_stretch (Zones *zones, GeomPoint p, GeomPoint q)
{
  const EngineTiling *t = zones->tiling;
  int row0 = zone_of (fmin (p.y, q.y) + TOUCH_MM, t->field_h, t->step_y, zones->rows);
  int row1 = zone_of (fmax (p.y, q.y) - TOUCH_MM, t->field_h, t->step_y, zones->rows);
  for (int row = MIN (row0, row1); row <= row1; row++)
  {
    /* The part of the stretch within this row of zones. */
    double y0 = zone_start (row, t->field_h, t->step_y);
    double y1 = zone_end (row, t->field_h, t->step_y, zones->rows);
    double dy = q.y - p.y, a = 0.0, b = 1.0;
    if (fabs (dy) > 0.0)
    {
      double s0 = (y0 - p.y) / dy, s1 = (y1 - p.y) / dy;
      a = CLAMP (fmin (s0, s1), 0.0, 1.0);
      b = CLAMP (fmax (s0, s1), 0.0, 1.0);
    }
    double xa = p.x + a * (q.x - p.x), xb = p.x + b * (q.x - p.x);
    int c0 = zone_of (fmin (xa, xb) + TOUCH_MM, t->field_w, t->step_x, zones->columns);
    int c1 = zone_of (fmax (xa, xb) - TOUCH_MM, t->field_w, t->step_x, zones->columns);
    for (int c = MIN (c0, c1); c <= c1; c++)
      zones->marked->data[row * (2 * zones->columns - 1) + c] = 1;
  }
}

/* A zone and its borders, drawn in a little: within, there is no doubt. */
typedef struct Zone
{
  int index; /* of the mark */
  GeomBox sure;
} Zone;

static Zone
zone_around (const Zones *zones, GeomPoint p)
{
  const EngineTiling *t = zones->tiling;
  int c = zone_of (p.x, t->field_w, t->step_x, zones->columns);
  int r = zone_of (p.y, t->field_h, t->step_y, zones->rows);
  GeomBox box = { zone_start (c, t->field_w, t->step_x), zone_start (r, t->field_h, t->step_y),
                  zone_end (c, t->field_w, t->step_x, zones->columns),
                  zone_end (r, t->field_h, t->step_y, zones->rows) };
  return (Zone) { r * (2 * zones->columns - 1) + c, geom_box_grown (box, -TOUCH_MM) };
}

static bool
is_sure (const Zone *zone, GeomPoint p)
{
  return p.x >= zone->sure.x0 && p.x <= zone->sure.x1 && p.y >= zone->sure.y0 && p.y <= zone->sure.y1;
}

static bool
polygon_contains (const GArray *polygon, double dx, double dy, GeomPoint p)
{
  bool inside = false;
  guint n = polygon->len;
  for (guint i = 0, j = n - 1; i < n; j = i++)
  {
    GeomPoint a = g_array_index (polygon, GeomPoint, i), b = g_array_index (polygon, GeomPoint, j);
    a = geom_point (a.x + dx, a.y + dy);
    b = geom_point (b.x + dx, b.y + dy);
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
      inside = !inside;
  }
  return inside;
}

/* Marks where the polygon, moved by DX, DY, lies: its outline, then the zones wholly inside. */
static void
mark_polygon (Zones *zones, const GArray *polygon, double dx, double dy)
{
  const EngineTiling *t = zones->tiling;
  guint n = polygon->len;
  if (n == 0)
    return;
  const GeomPoint *points = (const GeomPoint *)(gconstpointer)polygon->data;
  GeomPoint p = geom_point (points[n - 1].x + dx, points[n - 1].y + dy);
  GeomBox box = { p.x, p.y, p.x, p.y };
  Zone at = zone_around (zones, p);
  for (guint i = 0; i < n; i++)
  {
    GeomPoint q = geom_point (points[i].x + dx, points[i].y + dy);
    /* Nearly all chords lie in one zone, well away from its borders. */
    if (is_sure (&at, p) && is_sure (&at, q))
      zones->marked->data[at.index] = 1;
    else
    {
      mark_stretch (zones, p, q);
      at = zone_around (zones, q);
    }
    box.x0 = q.x < box.x0 ? q.x : box.x0;
    box.x1 = q.x > box.x1 ? q.x : box.x1;
    box.y0 = q.y < box.y0 ? q.y : box.y0;
    box.y1 = q.y > box.y1 ? q.y : box.y1;
    p = q;
  }
  int c0 = zone_of (box.x0, t->field_w, t->step_x, zones->columns),
      c1 = zone_of (box.x1, t->field_w, t->step_x, zones->columns);
  int r0 = zone_of (box.y0, t->field_h, t->step_y, zones->rows),
      r1 = zone_of (box.y1, t->field_h, t->step_y, zones->rows);
  for (int r = r0 + 1; r < r1; r++)
    for (int c = c0 + 1; c < c1; c++)
    {
      guint8 *mark = &zones->marked->data[r * (2 * zones->columns - 1) + c];
      GeomPoint middle
        = { 0.5 * (zone_start (c, t->field_w, t->step_x) + zone_start (c + 1, t->field_w, t->step_x)),
            0.5 * (zone_start (r, t->field_h, t->step_y) + zone_start (r + 1, t->field_h, t->step_y)) };
      if (!*mark && polygon_contains (polygon, dx, dy, middle))
        *mark = 1;
    }
}

/* The tiles needed: 1 for each, row by row; the caller's.  *COUNT: how many. */
static guint8 *
needed_tiles (const Zones *zones, guint *count)
{
  int zc = 2 * zones->columns - 1, zr = 2 * zones->rows - 1;
  guint8 *tile = g_new0 (guint8, (gsize)zones->columns * zones->rows);
  for (int r = 0; r < zr; r += 2)
    for (int c = 0; c < zc; c += 2)
      tile[r / 2 * zones->columns + c / 2] = zones->marked->data[r * zc + c];
  for (int r = 0; r < zr; r++)
    for (int c = 0; c < zc; c++)
    {
      if (!zones->marked->data[r * zc + c] || (r % 2 == 0 && c % 2 == 0))
        continue;
      bool there = false;
      for (int i = r / 2; i <= (r + 1) / 2; i++)
        for (int k = c / 2; k <= (c + 1) / 2; k++)
          there = there || tile[i * zones->columns + k];
      if (!there)
        tile[r / 2 * zones->columns + c / 2] = 1;
    }
  *count = 0;
  for (int i = 0; i < zones->columns * zones->rows; i++)
    *count += tile[i];
  return tile;
}

/* ---- one arrangement ---- */

typedef struct Shape
{
  GArray *flat[2]; /* GeomPoint, y down, its box at the origin: as drawn and turned by a quarter */
  EngineBoxSize size;
  GeomAffine to_flat[2];
  double label_w, label_h; /* room for the label below, 0 if it goes inside */
} Shape;

typedef struct Arrangement
{
  double lank; /* see lankness () */
  guint cuts;  /* see cuts_by_tiles () */
  guint columns;
  EnginePackOrder order;
  guint box_tiles, tiles;
  EngineBoxPlace *place;
} Arrangement;

static void
add_point (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

static void
shape_init (Shape *shape, const GeomPath *cut)
{
  GeomBox box = geom_path_box (cut);
  double w = box.x1 - box.x0, h = box.y1 - box.y0;
  /* y down: the top of the box becomes 0. */
  shape->to_flat[0] = (GeomAffine) { 1.0, 0.0, 0.0, -1.0, -box.x0, box.y1 };
  /* And a quarter turn on paper: (x, y) to (h - y, x). */
  shape->to_flat[1] = geom_affine_after ((GeomAffine) { 0.0, -1.0, 1.0, 0.0, h, 0.0 }, shape->to_flat[0]);
  GeomPath path;
  geom_path_init (&path);
  geom_path_copy (&path, cut);
  geom_path_map (&path, shape->to_flat[0]);
  shape->flat[0] = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  geom_path_flatten (&path, FLAT_MM, add_point, shape->flat[0]);
  geom_path_clear (&path);
  shape->flat[1] = g_array_sized_new (FALSE, FALSE, sizeof (GeomPoint), shape->flat[0]->len);
  for (guint i = 0; i < shape->flat[0]->len; i++)
  {
    GeomPoint p = g_array_index (shape->flat[0], GeomPoint, i), turned = { h - p.y, p.x };
    g_array_append_val (shape->flat[1], turned);
  }
  bool small = fmin (w, h) < LABEL_H_MM || fmax (w, h) < LABEL_W_MM;
  shape->label_w = small ? LABEL_W_MM : 0.0;
  shape->label_h = small ? LABEL_H_MM : 0.0;
  shape->size = (EngineBoxSize) { w, h };
}

static void
shape_clear (Shape *shape)
{
  g_array_unref (shape->flat[0]);
  g_array_unref (shape->flat[1]);
}

/* What is laid: the piece and, where it is kept, the room of its label.  A small piece is never turned: its
 * label reads upright. */
static EngineBoxSize
footprint (const Shape *shape)
{
  return (EngineBoxSize) { fmax (shape->size.w, shape->label_w), shape->size.h + shape->label_h };
}

static void
mark_shape (Zones *zones, const Shape *shape, const EngineBoxPlace *place)
{
  mark_polygon (zones, shape->flat[place->turned], place->x, place->y);
  if (shape->label_h > 0.0)
  {
    GeomPoint a = { place->x, place->y + shape->size.h },
              b = { place->x + shape->label_w, a.y + shape->label_h };
    if (place->turned)
    {
      a = geom_point (place->x + shape->size.h, place->y);
      b = geom_point (a.x + shape->label_h, a.y + shape->label_w);
    }
    mark_stretch (zones, a, b);
    mark_stretch (zones, geom_point (a.x, b.y), geom_point (b.x, a.y));
  }
}

static void
mark_all (Zones *zones, const Arrangement *arrangement, const Shape *shapes, guint count)
{
  const EngineTiling *t = zones->tiling;
  double bottom = 0.0;
  for (guint i = 0; i < count; i++)
  {
    EngineBoxSize size = footprint (&shapes[i]);
    bottom = fmax (bottom, arrangement->place[i].y + (arrangement->place[i].turned ? size.w : size.h));
  }
  zones->columns = (int)arrangement->columns;
  zones->rows = (int)fmax (ceil ((bottom - t->field_h - TOUCH_MM) / t->step_y), 0.0) + 1;
  zones->marked = g_byte_array_new ();
  guint room = (guint)((2 * zones->columns - 1) * (2 * zones->rows - 1));
  g_byte_array_set_size (zones->marked, room);
  memset (zones->marked->data, 0, room);
  for (guint i = 0; i < count; i++)
    mark_shape (zones, &shapes[i], &arrangement->place[i]);
}

static guint
count_tiles (const EngineTiling *tiling, const Arrangement *arrangement, const Shape *shapes, guint count)
{
  Zones zones = { .tiling = tiling };
  mark_all (&zones, arrangement, shapes, count);
  guint tiles;
  g_free (needed_tiles (&zones, &tiles));
  g_byte_array_unref (zones.marked);
  return tiles;
}

static gint
fewer_boxes (gconstpointer a, gconstpointer b)
{
  const Arrangement *x = a, *y = b;
  if (x->box_tiles != y->box_tiles)
    return x->box_tiles < y->box_tiles ? -1 : 1;
  if (x->columns != y->columns)
    return x->columns < y->columns ? -1 : 1;
  return (int)x->order - (int)y->order;
}

static void
arrangement_clear (gpointer data)
{
  g_free (((Arrangement *)data)->place);
}

/* How far the whole is from square, 1 or more: a table is not a corridor. */
static double
lankness (const Arrangement *one, const EngineBoxSize *boxes, guint count)
{
  double right = 1.0, down = 1.0;
  for (guint i = 0; i < count; i++)
  {
    const EngineBoxPlace *place = &one->place[i];
    right = fmax (right, place->x + (place->turned ? boxes[i].h : boxes[i].w));
    down = fmax (down, place->y + (place->turned ? boxes[i].w : boxes[i].h));
  }
  return fmax (right / down, down / right);
}

/* How many parts the pieces come in: each must be glued. */
static guint
cuts_by_tiles (const EngineTiling *tiling, const Arrangement *one, const EngineBoxSize *boxes, guint count)
{
  guint cuts = 0;
  for (guint i = 0; i < count; i++)
  {
    const EngineBoxPlace *place = &one->place[i];
    double w = place->turned ? boxes[i].h : boxes[i].w, h = place->turned ? boxes[i].w : boxes[i].h;
    int left, right, top, bottom;
    engine_tiles_of_stretch (place->x, place->x + w, tiling->field_w, tiling->step_x, &left, &right);
    engine_tiles_of_stretch (place->y, place->y + h, tiling->field_h, tiling->step_y, &top, &bottom);
    cuts += (guint)((right - left + 1) * (bottom - top + 1));
  }
  return cuts;
}

/* Less paper, then less gluing, then a shape that lies on a table. */
static int
compare_arrangements (const Arrangement *a, const Arrangement *b)
{
  if (a->tiles != b->tiles)
    return a->tiles < b->tiles ? -1 : 1;
  if (a->cuts != b->cuts)
    return a->cuts < b->cuts ? -1 : 1;
  return (a->lank > b->lank) - (a->lank < b->lank);
}

/* Tries strips of several widths and orders; the best by boxes are compared by what is really on the tiles.
 */
static Arrangement
best_arrangement (const EngineTiling *tiling, const Shape *shapes, guint count)
{
  g_autofree EngineBoxSize *boxes = g_new (EngineBoxSize, count + 1);
  double needed = 0.0;
  for (guint i = 0; i < count; i++)
  {
    boxes[i] = footprint (&shapes[i]);
    needed = fmax (needed, fmin (boxes[i].w, boxes[i].h));
  }
  int unused, last;
  engine_tiles_of_stretch (0.0, needed, tiling->field_w, tiling->step_x, &unused, &last);
  guint least = (guint)last + 1;
  GArray *tried = g_array_new (FALSE, FALSE, sizeof (Arrangement));
  g_array_set_clear_func (tried, arrangement_clear);
  for (guint columns = least; columns <= MAX (MOST_COLUMNS, least + 1); columns++)
    for (guint order = 0; order < ENGINE_PACK_ORDERS; order++)
    {
      Arrangement one = { .columns = columns, .order = (EnginePackOrder)order };
      one.place = g_new0 (EngineBoxPlace, count + 1);
      one.box_tiles
        = engine_pack_boxes (tiling, columns, boxes, count, ENGINE_SHEET_GAP_MM, one.order, one.place);
      if (one.box_tiles == 0)
        g_free (one.place);
      else
        g_array_append_val (tried, one);
    }
  g_array_sort (tried, fewer_boxes);
  Arrangement *best = NULL;
  for (guint i = 0; i < tried->len && i < LOOK_CLOSELY_AT; i++)
  {
    Arrangement *one = &g_array_index (tried, Arrangement, i);
    one->tiles = count_tiles (tiling, one, shapes, count);
    one->cuts = cuts_by_tiles (tiling, one, boxes, count);
    one->lank = lankness (one, boxes, count);
    if (!best || compare_arrangements (one, best) < 0)
      best = one;
  }
  Arrangement answer = { 0 };
  if (best)
  {
    answer = *best;
    best->place = NULL;
  }
  g_array_unref (tried);
  return answer;
}

/* ---- the plan ---- */

static void
put_piece (EnginePlacedPiece *placed, const Shape *shape, const EngineBoxPlace *place)
{
  placed->to_plan = geom_affine_after (geom_affine_move (place->x, place->y), shape->to_flat[place->turned]);
  geom_path_map (&placed->seam, placed->to_plan);
  geom_path_map (&placed->cut, placed->to_plan);
  if (!(shape->label_h > 0.0))
    return;
  GeomPoint a = { place->x, place->y + shape->size.h };
  placed->label = (GeomBox) { a.x, a.y, a.x + shape->label_w, a.y + shape->label_h };
  if (place->turned)
    placed->label = (GeomBox) { place->x + shape->size.h, place->y, place->x + shape->size.h + shape->label_h,
                                place->y + shape->label_w };
}

static void
list_tiles (EngineSheetPlan *plan,
            const EngineTiling *tiling,
            const Arrangement *arrangement,
            const Shape *shapes)
{
  Zones zones = { .tiling = tiling };
  mark_all (&zones, arrangement, shapes, plan->placed->len);
  guint count;
  g_autofree guint8 *needed = needed_tiles (&zones, &count);
  for (int r = 0; r < zones.rows; r++)
    for (int c = 0; c < zones.columns; c++)
    {
      if (!needed[r * zones.columns + c])
        continue;
      EngineTile tile = { .row = r,
                          .column = c,
                          .x_mm = c * tiling->step_x,
                          .y_mm = r * tiling->step_y,
                          .number = (int)plan->tiles->len + 1 };
      g_array_append_val (plan->tiles, tile);
      plan->rows = MAX (plan->rows, r + 1);
      plan->columns = MAX (plan->columns, c + 1);
    }
  g_byte_array_unref (zones.marked);
}

static bool
check_sizes (const EngineSheetPlan *plan, const ModelDocument *doc, GError **error)
{
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, i);
    if (engine_box_fits_sheets (plan->paper, plan->overlap_mm, geom_path_box (&placed->cut)))
      continue;
    const ModelPanel *panel = model_document_panel (doc, placed->piece->panel_id);
    g_set_error (error, ENGINE_SHEET_ERROR, ENGINE_SHEET_ERROR_TOO_BIG,
                 _ ("%s is too large for sheets of paper; is a corner out of place?"), panel->name);
    return false;
  }
  return true;
}

EngineSheetPlan *
engine_sheet_plan_new (EngineReview *review, const char *paper_text, double overlap_mm, GError **error)
{
  const ModelDocument *doc = engine_review_document (review);
  const char *name = paper_text ? paper_text : doc->head->paper;
  EnginePaper paper;
  if (isnan (overlap_mm))
    overlap_mm = doc->head->overlap_mm;
  if (!engine_paper_parse (name, &paper) || !engine_overlap_is_usable (paper, overlap_mm))
  {
    g_set_error (error, ENGINE_SHEET_ERROR, ENGINE_SHEET_ERROR_PAPER,
                 _ ("Paper “%1$s” with an overlap of %2$g mm cannot be used"), name, overlap_mm);
    return NULL;
  }
  EngineTiling tiling = tiling_of (paper, overlap_mm);
  g_autoptr (EngineSheetPlan) plan = g_new0 (EngineSheetPlan, 1);
  plan->paper = paper;
  plan->overlap_mm = overlap_mm;
  plan->field_width_mm = tiling.field_w;
  plan->field_height_mm = tiling.field_h;
  plan->tiles = g_array_new (FALSE, TRUE, sizeof (EngineTile));
  plan->placed = choose_pieces (review);
  plan->strapped = engine_strapped_joins (doc);
  if (!check_sizes (plan, doc, error))
    return NULL;

  guint count = plan->placed->len;
  g_autofree Shape *shapes = g_new0 (Shape, count + 1);
  for (guint i = 0; i < count; i++)
    shape_init (&shapes[i], &((EnginePlacedPiece *)g_ptr_array_index (plan->placed, i))->cut);
  Arrangement arrangement = best_arrangement (&tiling, shapes, count);
  if (arrangement.place)
  {
    list_tiles (plan, &tiling, &arrangement, shapes);
    for (guint i = 0; i < count; i++)
      put_piece (g_ptr_array_index (plan->placed, i), &shapes[i], &arrangement.place[i]);
  }
  for (guint i = 0; i < count; i++)
    shape_clear (&shapes[i]);
  bool numbered = plan->rows <= ENGINE_SHEET_MAX_ROWS && plan->columns <= ENGINE_SHEET_MAX_COLUMNS
                  && plan->tiles->len <= ENGINE_SHEET_MAX_TILES && (count == 0 || arrangement.place);
  g_free (arrangement.place);
  if (!numbered)
  {
    g_set_error (error, ENGINE_SHEET_ERROR, ENGINE_SHEET_ERROR_TOO_BIG,
                 _ ("All panels together need more sheets than can be numbered"));
    return NULL;
  }
  return g_steal_pointer (&plan);
}

void
engine_sheet_plan_free (EngineSheetPlan *plan)
{
  if (!plan)
    return;
  g_clear_pointer (&plan->placed, g_ptr_array_unref);
  g_clear_pointer (&plan->tiles, g_array_unref);
  g_clear_pointer (&plan->strapped, g_array_unref);
  g_free (plan);
}
