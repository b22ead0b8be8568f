/* The names of panels that are too small to bear them, beside them with a leader; and how long each edge of
 * the chosen panel is.  No two of these texts overlap, nor do they cover a name that stands on its panel.
 *
 *       ┌─────────┐
 *       │ panel ·─┼────  Front lame
 *       └─────────┘
 */
#include "app/canvas-private.h"
#include "app/theme.h"

#include <string.h>

#define NAME_PX 12.0
#define LENGTH_PX 12.0
#define PAD_PX 3.0
#define HEIGHT_PX 16.0
#define LENGTH_ACCURACY_MM 1e-3
/* From the piece to its name: nearest first. */
static const double gaps[] = { 8.0, 26.0, 46.0, 70.0, 100.0, 140.0, 190.0, 260.0, 350.0 };
/* Eight ways from the piece, the readable ones first. */
static const GeomPoint ways[]
  = { { 0, 1 }, { 0, -1 }, { 1, 0 }, { -1, 0 }, { 1, 1 }, { -1, 1 }, { 1, -1 }, { -1, -1 } };
/* Where along an edge its length stands, and how far outside. */
static const double shares[] = { 0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85 };
static const double outs[] = { 16.0, 30.0, 46.0, -16.0, 66.0, -34.0, 90.0 };

/* What one panel's name needs to know, kept while the piece, the zoom and the name stay. */
typedef struct KeptName
{
  guint64 key;
  bool inside;
  OutputTextPlace place; /* inside */
} KeptName;

/* A text as it was drawn last.  What has not changed since rests: so many of those that follow each other are
 * one node, for the renderer looks at every node in every frame. */
typedef struct KeptText
{
  AppTextBox box;
  guint64 key;
  bool rests;
} KeptText;

#define GROUP 16

/* A node that is handed over again costs nothing. */
typedef struct KeptGroup
{
  guint64 key;
  GskRenderNode *node; /* NULL: none rests */
} KeptGroup;

struct AppNames
{
  GHashTable *kept;   /* panel id -> KeptName */
  GHashTable *texts;  /* panel and edge -> KeptText */
  GArray *groups;     /* KeptGroup */
  GArray *layout;     /* AppTextBox of the names, as last laid out */
  GPtrArray *nodes;   /* GskRenderNode: what is to be painted */
  double scale;       /* of that */
  guint shown, named; /* panels then, and those without room for their name */
  bool stale, dirty;
};

static GHashTable *
texts_new (void)
{
  return g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, g_free);
}

static void
group_clear (gpointer data)
{
  g_clear_pointer (&((KeptGroup *)data)->node, gsk_render_node_unref);
}

AppNames *
app_canvas_names_new (void)
{
  AppNames *names = g_new0 (AppNames, 1);
  names->kept = g_hash_table_new_full (g_direct_hash, g_direct_equal, NULL, g_free);
  names->texts = texts_new ();
  names->groups = g_array_new (FALSE, TRUE, sizeof (KeptGroup));
  g_array_set_clear_func (names->groups, group_clear);
  names->nodes = g_ptr_array_new_with_free_func ((GDestroyNotify)gsk_render_node_unref);
  names->layout = g_array_new (FALSE, TRUE, sizeof (AppTextBox));
  return names;
}

void
app_canvas_names_clear (AppNames *names)
{
  g_hash_table_remove_all (names->kept);
  g_hash_table_remove_all (names->texts);
  g_array_set_size (names->groups, 0);
  g_array_set_size (names->layout, 0);
  g_ptr_array_set_size (names->nodes, 0);
  names->scale = 0.0;
}

void
app_canvas_names_free (AppNames *names)
{
  g_hash_table_unref (names->kept);
  g_hash_table_unref (names->texts);
  g_array_unref (names->groups);
  g_array_unref (names->layout);
  g_ptr_array_unref (names->nodes);
  g_free (names);
}

#define FNV_START 1469598103934665603ull

/* Numbers by their bits: the key of a panel is made anew in every frame in which something moves. */
static guint64
mixed (guint64 h, const double *data, size_t count)
{
  for (size_t i = 0; i < count; i++)
  {
    guint64 bits;
    memcpy (&bits, &data[i], sizeof bits);
    h = (h ^ bits) * 1099511628211ull;
    h ^= h >> 31;
  }
  return h;
}

static guint64
key_of (const ModelPanel *panel, const EnginePiece *piece, double scale, double text)
{
  const double own[]
    = { g_str_hash (panel->name), scale,          text, panel->material_id, panel->grain_deg, panel->halves,
        panel->own_sides,         panel->quantity };
  guint64 h = mixed (FNV_START, own, G_N_ELEMENTS (own));
  for (size_t i = 0; i < piece->seam.count; i++)
    h = mixed (h, &piece->seam.piece[i].p[0].x, 8);
  return h;
}

static bool
overlaps (const GeomBox *a, const GeomBox *b)
{
  return a->x0 < b->x1 && b->x0 < a->x1 && a->y0 < b->y1 && b->y0 < a->y1;
}

static bool
hits_label (const GArray *labels, const GeomBox *box)
{
  for (guint i = 0; i < labels->len; i++)
    if (overlaps (&g_array_index (labels, AppTextBox, i).box, box))
      return true;
  return false;
}

static bool
hits_box (const GArray *boxes, const GeomBox *box)
{
  for (guint i = 0; i < boxes->len; i++)
    if (overlaps (&g_array_index (boxes, GeomBox, i), box))
      return true;
  return false;
}

static GeomBox
box_of_text (const OutputTextPlace *text)
{
  double c = fabs (cos (text->angle_rad)), s = fabs (sin (text->angle_rad)),
         w = (text->width * c + text->height * s) / 2.0, h = (text->width * s + text->height * c) / 2.0;
  return (GeomBox) { text->middle.x - w, text->middle.y - h, text->middle.x + w, text->middle.y + h };
}

static GeomBox
on_screen (const OutputView *view, GeomBox box)
{
  GeomBox out = geom_box_with_point (geom_box_empty (),
                                     geom_affine_apply (view->to_device, geom_point (box.x0, box.y0)));
  return geom_box_with_point (out, geom_affine_apply (view->to_device, geom_point (box.x1, box.y1)));
}

/* The middle of a text of that size beside PIECE. */
static GeomPoint
beside (const GeomBox *piece, GeomPoint way, double gap, double width, double height)
{
  return geom_point (
    (piece->x0 + piece->x1) / 2.0 + way.x * ((piece->x1 - piece->x0) / 2.0 + gap + width / 2.0),
    (piece->y0 + piece->y1) / 2.0 + way.y * ((piece->y1 - piece->y0) / 2.0 + gap + height / 2.0));
}

/* The place that covers neither panel nor text, else one that covers no text. */
static bool
find_beside (
  const GArray *pieces, const GArray *labels, const GeomBox *piece, double width, AppTextBox *label)
{
  double w = width + 2.0 * PAD_PX, h = HEIGHT_PX;
  for (int pass = 0; pass < 2; pass++)
    for (size_t g = 0; g < G_N_ELEMENTS (gaps); g++)
      for (size_t k = 0; k < G_N_ELEMENTS (ways); k++)
      {
        GeomPoint at = beside (piece, ways[k], gaps[g], w, h);
        GeomBox box = { at.x - w / 2.0, at.y - h / 2.0, at.x + w / 2.0, at.y + h / 2.0 };
        if (hits_label (labels, &box) || (pass == 0 && hits_box (pieces, &box)))
          continue;
        label->box = box;
        return true;
      }
  return false;
}

static const KeptName *
name_of (AppCanvas *self,
         cairo_t *cr,
         const OutputView *view,
         const ModelPanel *panel,
         const EnginePiece *piece,
         bool half,
         bool *anew)
{
  const OutputInk *ink = app_canvas_ink (self);
  KeptName *kept = g_hash_table_lookup (self->names->kept, GUINT_TO_POINTER (panel->id));
  guint64 key = key_of (panel, piece, self->scale, ink->text_name);
  if (kept != NULL && kept->key == key)
    return kept;
  *anew = true;
  kept = g_new0 (KeptName, 1);
  kept->key = key;
  kept->inside
    = output_name_place (cr, view, ink, app_session_review (self->session), piece, half, &kept->place);
  g_hash_table_insert (self->names->kept, GUINT_TO_POINTER (panel->id), kept);
  return kept;
}

/* A panel whose name has no room on it. */
typedef struct Nameless
{
  const ModelPanel *panel;
  const EnginePiece *piece;
  GeomBox box;
  bool placed, anew; /* ANEW: it is not as it was at the last layout */
} Nameless;

static void
place_names (AppCanvas *self, cairo_t *cr, const OutputView *view, GArray *labels)
{
  AppNames *names = self->names;
  g_autoptr (GArray) pieces = g_array_new (FALSE, FALSE, sizeof (GeomBox));
  guint changed = 0, shown = 0;
  /* Beside it stands the flag of its edge, and its card tells its name. */
  const AppSelection *s = app_session_selection (self->session);
  const guint flagged
    = s->panels->len > 0 && s->edges->len + s->nodes->len > 0 ? g_array_index (s->panels, guint, 0) : 0;
  const ModelDocument *doc = app_canvas_document (self);
  EngineReview *review = app_session_review (self->session);
  g_autoptr (GArray) nameless = g_array_new (FALSE, FALSE, sizeof (Nameless));
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
    ModelSide side = panel->halves == MODEL_HALVES_PAIR ? panel->side : MODEL_SIDE_CENTRE;
    const EnginePiece *piece = panel->hidden ? NULL : engine_review_piece (review, panel->id, side);
    if (piece == NULL || geom_box_is_empty (piece->box))
      continue;
    Nameless one = { panel, piece, on_screen (view, piece->box), false, false };
    g_array_append_val (pieces, one.box);
    if (*panel->name == '\0')
      continue;
    bool half = panel->halves == MODEL_HALVES_FOLD && !app_canvas_is_opened (panel);
    const KeptName *name = name_of (self, cr, view, panel, piece, half, &one.anew);
    changed += one.anew;
    shown++;
    if (name->inside)
    {
      const AppTextBox label = { .panel_id = panel->id, .inside = true, .box = box_of_text (&name->place) };
      g_array_append_val (labels, label);
    }
    else if (panel->id != flagged
             && MAX (one.box.x1 - one.box.x0, one.box.y1 - one.box.y0) >= APP_NAMED_FROM_PX)
      g_array_append_val (nameless, one);
  }
  /* While something is in the hand the others' names stay where they are, and what changes has none beside
   * it: its flag says enough.  Let go, all are laid out again. */
  const bool in_hand = self->pressed && (changed > 0 || names->stale);
  const bool keep
    = names->scale == self->scale
      && (in_hand
          || (changed == 0 && !names->stale && names->shown == shown && names->named == nameless->len));
  for (guint i = 0; keep && i < names->layout->len; i++)
  {
    const AppTextBox *was = &g_array_index (names->layout, AppTextBox, i);
    for (guint k = 0; k < nameless->len; k++)
    {
      Nameless *one = &g_array_index (nameless, Nameless, k);
      if (one->panel->id != was->panel_id || one->anew)
        continue;
      g_array_append_val (labels, *was);
      one->placed = true;
      break;
    }
  }
  for (guint i = 0; i < nameless->len; i++)
  {
    const Nameless *one = &g_array_index (nameless, Nameless, i);
    AppTextBox label = { .panel_id = one->panel->id };
    if (one->placed || (keep && in_hand))
      continue;
    double width, height;
    output_measure_text (cr, NAME_PX * app_canvas_ink (self)->text_name / 13.0, true, one->panel->name,
                         &width, &height);
    if (!find_beside (pieces, labels, &one->box, width, &label))
      continue;
    label.from = geom_affine_apply (view->to_device, output_label_place (&one->piece->seam, NULL));
    g_array_append_val (labels, label);
  }
  g_array_set_size (names->layout, 0);
  for (guint i = 0; i < labels->len; i++)
    if (!g_array_index (labels, AppTextBox, i).inside)
      g_array_append_val (names->layout, g_array_index (labels, AppTextBox, i));
  names->scale = self->scale;
  names->shown = shown;
  names->named = nameless->len;
  names->stale = in_hand;
}

/* ---- lengths of the chosen panel ---- */

static void
place_length (AppCanvas *self,
              cairo_t *cr,
              const OutputView *view,
              const AppOutline *outline,
              const ModelEdge *edge,
              GArray *labels)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), outline->panel_id);
  GeomPath path;
  geom_path_init (&path);
  double width, height, length = 0.0;
  if (app_outline_edge_path (outline, panel, edge->id, &path))
    length = geom_path_length (&path, LENGTH_ACCURACY_MM);
  g_autofree char *figure = app_canvas_figure (self, length);
  output_measure_text (cr, LENGTH_PX, false, figure, &width, &height);
  double w = width + 2.0 * PAD_PX, h = HEIGHT_PX;
  bool done = !(length > 0.0);
  for (size_t o = 0; !done && o < G_N_ELEMENTS (outs); o++)
    for (size_t s = 0; !done && s < G_N_ELEMENTS (shares); s++)
    {
      GeomPlace place = geom_path_place_at (&path, shares[s] * length, LENGTH_ACCURACY_MM);
      GeomPoint on = geom_path_point (&path, place),
                normal = geom_unit (geom_right_of (geom_path_tangent (&path, place))),
                from = geom_affine_apply (view->to_device, on);
      double out = (outline->twin ? -1.0 : 1.0) * outs[o];
      /* A text is wider than high: farther off an upright edge. */
      double reach = fabs (outs[o]) - 16.0 + (fabs (normal.x) * w + fabs (normal.y) * h) / 2.0 + 6.0;
      GeomPoint at
        = geom_point (from.x + copysign (reach, out) * normal.x, from.y - copysign (reach, out) * normal.y);
      GeomBox box = { at.x - w / 2.0, at.y - h / 2.0, at.x + w / 2.0, at.y + h / 2.0 };
      if (hits_label (labels, &box))
        continue;
      const AppTextBox label = {
        .panel_id = panel->id, .edge_id = edge->id, .box = box, .from = from, .near_by = fabs (outs[o]) < 20.0
      };
      g_array_append_val (labels, label);
      done = true;
    }
  geom_path_clear (&path);
}

/* Only of the one panel that is chosen as a whole, and not in the hand: an edge in hand has its flag. */
static const AppOutline *
measured (AppCanvas *self)
{
  const AppSelection *s = app_session_selection (self->session);
  if (self->names->stale || s->panels->len != 1 || s->edges->len > 0 || s->nodes->len > 0 || s->join_id != 0
      || s->has_finding)
    return NULL;
  guint id = g_array_index (s->panels, guint, 0);
  const AppOutline *outline = app_pick_index_outline (self->index, id, s->side);
  return outline != NULL ? outline : app_pick_index_outline (self->index, id, MODEL_SIDE_CENTRE);
}

GArray *
app_canvas_text_boxes (AppCanvas *self, cairo_t *cr, const OutputView *view)
{
  GArray *labels = g_array_new (FALSE, TRUE, sizeof (AppTextBox));
  place_names (self, cr, view, labels);
  const AppOutline *outline = measured (self);
  const ModelPanel *panel
    = outline != NULL ? model_document_panel (app_canvas_document (self), outline->panel_id) : NULL;
  for (guint e = 0; panel != NULL && e < panel->edges->len; e++)
    place_length (self, cr, view, outline, model_panel_edge (panel, e), labels);
  return labels;
}

static char *
length_of (AppCanvas *self, const AppTextBox *label)
{
  const AppOutline *outline = measured (self);
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), label->panel_id);
  GeomPath path;
  geom_path_init (&path);
  if (outline != NULL && panel != NULL)
    app_outline_edge_path (outline, panel, label->edge_id, &path);
  char *figure = app_canvas_figure (self, geom_path_length (&path, LENGTH_ACCURACY_MM));
  geom_path_clear (&path);
  return figure;
}

static void
draw_leader (cairo_t *cr, const OutputInk *ink, const AppTextBox *label)
{
  GeomPoint to = { CLAMP (label->from.x, label->box.x0, label->box.x1),
                   CLAMP (label->from.y, label->box.y0, label->box.y1) };
  cairo_move_to (cr, label->from.x, label->from.y);
  cairo_line_to (cr, to.x, to.y);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
  cairo_arc (cr, label->from.x, label->from.y, 2.0, 0.0, 2.0 * G_PI);
  cairo_fill (cr);
}

static void
draw_text_box (cairo_t *cr, const OutputInk *ink, const AppTextBox *label, const char *text)
{
  double x = (label->box.x0 + label->box.x1) / 2.0, y = (label->box.y0 + label->box.y1) / 2.0;
  if (!label->near_by)
    draw_leader (cr, ink, label);
  cairo_rectangle (cr, label->box.x0, label->box.y0, label->box.x1 - label->box.x0,
                   label->box.y1 - label->box.y0);
  output_set_tone (cr, ink, OUTPUT_TONE_CANVAS);
  cairo_fill (cr);
  output_draw_text (cr, ink, x, y, 0.0, label->edge_id != 0 ? LENGTH_PX : NAME_PX * ink->text_name / 13.0,
                    label->edge_id == 0, OUTPUT_TONE_INK, -1, text);
}

static bool
same_box (const AppTextBox *a, const AppTextBox *b)
{
  return memcmp (&a->box, &b->box, sizeof a->box) == 0 && memcmp (&a->from, &b->from, sizeof a->from) == 0
         && a->near_by == b->near_by;
}

static char *
text_of (AppCanvas *self, const AppTextBox *label)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), label->panel_id);
  return label->edge_id != 0 ? length_of (self, label) : g_strdup (panel->name);
}

/* Texts FROM to END that rest, or not, as one node; NULL: there are none. */
static GskRenderNode *
draw_texts (AppCanvas *self, const GPtrArray *texts, guint from, guint end, bool resting)
{
  GeomBox all = geom_box_empty ();
  for (guint i = from; i < end; i++)
  {
    const KeptText *text = g_ptr_array_index (texts, i);
    if (text->rests == resting)
      all = geom_box_with_point (geom_box_union (all, text->box.box), text->box.from);
  }
  if (geom_box_is_empty (all))
    return NULL;
  const graphene_rect_t bounds
    = GRAPHENE_RECT_INIT ((float)floor (all.x0) - 3.0f, (float)floor (all.y0) - 3.0f,
                          (float)ceil (all.x1 - all.x0) + 7.0f, (float)ceil (all.y1 - all.y0) + 7.0f);
  GskRenderNode *node = gsk_cairo_node_new (&bounds);
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);
  for (guint i = from; i < end; i++)
  {
    const KeptText *text = g_ptr_array_index (texts, i);
    g_autofree char *words = text->rests == resting ? text_of (self, &text->box) : NULL;
    if (words != NULL)
      draw_text_box (cr, app_canvas_ink (self), &text->box, words);
  }
  cairo_destroy (cr);
  return node;
}

static void
build_nodes (AppCanvas *self, const GPtrArray *texts)
{
  AppNames *names = self->names;
  g_ptr_array_set_size (names->nodes, 0);
  g_array_set_size (names->groups, (texts->len + GROUP - 1) / GROUP);
  for (guint g = 0; g < names->groups->len; g++)
  {
    KeptGroup *group = &g_array_index (names->groups, KeptGroup, g);
    const guint from = g * GROUP, end = MIN (from + GROUP, texts->len);
    guint64 key = FNV_START;
    for (guint i = from; i < end; i++)
    {
      const KeptText *text = g_ptr_array_index (texts, i);
      const double look[] = { text->box.panel_id,        text->box.edge_id,
                              text->box.box.x0,          text->box.box.y0,
                              text->box.box.x1,          text->box.from.x,
                              text->box.from.y,          text->box.near_by,
                              (double)(text->key >> 32), (double)(text->key & 0xffffffffu) };
      if (text->rests)
      {
        key = mixed (key, look, G_N_ELEMENTS (look));
        continue;
      }
      GskRenderNode *moving = draw_texts (self, texts, i, i + 1, false);
      if (moving != NULL)
        g_ptr_array_add (names->nodes, moving);
    }
    if (group->node == NULL || group->key != key)
    {
      g_clear_pointer (&group->node, gsk_render_node_unref);
      group->node = draw_texts (self, texts, from, end, true);
      group->key = key;
    }
    if (group->node != NULL)
      g_ptr_array_add (names->nodes, gsk_render_node_ref (group->node));
  }
}

static void
names_build (AppCanvas *self)
{
  OutputView view = app_canvas_shifted_view (self);
  const OutputInk *ink = app_canvas_ink (self);
  AppNames *names = self->names;
  cairo_t *measuring = app_canvas_record ();
  g_autoptr (GArray) labels = app_canvas_text_boxes (self, measuring, &view);
  g_autoptr (GPtrArray) order = g_ptr_array_new ();
  GHashTable *texts = texts_new ();
  for (guint i = 0; i < labels->len; i++)
  {
    const AppTextBox *label = &g_array_index (labels, AppTextBox, i);
    if (label->inside || model_document_panel (app_canvas_document (self), label->panel_id) == NULL)
      continue;
    g_autofree char *words = text_of (self, label);
    const double look[] = { g_str_hash (words), app_theme_serial (), self->slate, ink->text_name };
    gint64 id = (gint64)label->panel_id << 32 | label->edge_id;
    const KeptText *was = g_hash_table_lookup (names->texts, &id);
    KeptText *now = g_new0 (KeptText, 1);
    now->box = *label;
    now->key = mixed (FNV_START, look, G_N_ELEMENTS (look));
    now->rests = was != NULL && was->key == now->key && same_box (&was->box, label);
    g_hash_table_insert (texts, g_memdup2 (&id, sizeof id), now);
    g_ptr_array_add (order, now);
  }
  cairo_destroy (measuring);
  build_nodes (self, order);
  g_hash_table_unref (names->texts);
  names->texts = texts;
  names->dirty = false;
}

void
app_canvas_names_touch (AppCanvas *self)
{
  self->names->dirty = true;
}

void
app_canvas_names_paint (AppCanvas *self, GtkSnapshot *snapshot)
{
  /* What is in the hand has lost its name with its first move; the others stay till it is let go. */
  const bool waits = self->pressed && self->names->stale;
  if ((self->names->dirty && !waits) || self->names->scale != self->scale)
    names_build (self);
  for (guint i = 0; i < self->names->nodes->len; i++)
    gtk_snapshot_append_node (snapshot, (GskRenderNode *)g_ptr_array_index (self->names->nodes, i));
}
