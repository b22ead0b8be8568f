/* A document as text.
 *
 * json-glib's own printer puts every coordinate on a line of its own; here a node is one line, so that a
 * person can read the file and a line-by-line comparison of two revisions shows which nodes moved.  Members
 * come in a fixed order, those that were not understood last, in the order they came in.
 */
#include "model/format.h"

#include <float.h>
#include <string.h>

typedef struct Writer
{
  GString *out;
  bool fresh;  /* nothing yet in the innermost object or list */
  bool broken; /* the next thing begins a line */
  int depth;
} Writer;

/* ---- punctuation ---- */

static void
next (Writer *w)
{
  if (!w->fresh)
    g_string_append_c (w->out, ',');
  if (w->broken)
  {
    g_string_append_c (w->out, '\n');
    for (int i = 0; i < w->depth; i++)
      g_string_append_len (w->out, "  ", 2);
  }
  else if (!w->fresh)
    g_string_append_c (w->out, ' ');
  w->fresh = false;
  w->broken = false;
}

static void
member (Writer *w, const char *name)
{
  next (w);
  g_string_append_c (w->out, '"');
  g_string_append (w->out, name);
  g_string_append_len (w->out, "\": ", 3);
}

static void
open_with (Writer *w, char bracket)
{
  g_string_append_c (w->out, bracket);
  w->fresh = true;
  w->depth++;
}

/* ON_LINE: the bracket begins a line of its own; an empty list stays on its line. */
static void
close_with (Writer *w, char bracket, bool on_line)
{
  w->depth--;
  w->broken = on_line && !w->fresh;
  w->fresh = true;
  next (w);
  g_string_append_c (w->out, bracket);
}

static void
line (Writer *w)
{
  w->broken = true;
}

/* ---- values ---- */

#ifdef __SIZEOF_INT128__
/* Plain decimals, which is nearly all there is in a document: 1e-4 <= |v| < 1e15.  Twenty times as quick as
 * printing and reading back.
 *
 * The fraction is an integer over a power of two, so its digits can be had exactly.  They go on until what is
 * left is within half a step of the double on either side; then the digits read back as this double and no
 * other, and none was too many. Source: G. L. Steele and J. L. White, How to Print Floating-Point Numbers
 * Accurately, PLDI 1990, algorithm (FP)3. */
static bool
put_plain (GString *out, double v)
{
  unsigned __int128 rest, half_step = 1, one;
  char text[64];
  int exponent, bits, at;
  guint64 digits, whole;
  double size = fabs (v);

  if (!(size >= 1e-4 && size < 1e15))
    return false;
  /* size = digits / 2^-exponent, the fraction doubled so that half a step is a whole number. */
  digits = (guint64)ldexp (frexp (size, &exponent), DBL_MANT_DIG);
  exponent -= DBL_MANT_DIG;
  if (exponent >= 0)
    return false;
  bits = 1 - exponent;
  one = (unsigned __int128)1 << bits;
  rest = ((unsigned __int128)digits << 1) & (one - 1);
  whole = -exponent < 64 ? digits >> -exponent : 0;
  at = g_snprintf (text, sizeof text, "%s%" G_GUINT64_FORMAT ".", v < 0.0 ? "-" : "", whole);
  for (;;)
  {
    int digit;

    rest *= 10;
    half_step *= 10;
    digit = (int)(rest >> bits);
    rest &= one - 1;
    if (rest < half_step || rest > one - half_step || at == sizeof text - 2)
    {
      bool up = rest > one / 2 || (rest == one / 2 && digit % 2 == 1);

      /* Never ten: a nine to be rounded up would have ended the digits before it. */
      text[at++] = (char)('0' + digit + (up ? 1 : 0));
      break;
    }
    text[at++] = (char)('0' + digit);
  }
  g_string_append_len (out, text, at);
  return true;
}
#else
static bool
put_plain (GString *out, double v)
{
  return false;
}
#endif

/* The shortest decimal that reads back as the same double.  What is not a number has no place in a file and
 * cannot be read back; the history lets none in. */
static void
put_number (GString *out, double v)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];

  if (!isfinite (v))
    v = 0.0;
  if (fabs (v) < 1e15 && v - trunc (v) == 0.0)
  {
    /* By way of an integer: quick, and -0 loses its sign. */
    g_snprintf (text, sizeof text, "%" G_GINT64_FORMAT, (gint64)v);
    g_string_append (out, text);
    return;
  }
  if (put_plain (out, v))
    return;
  for (int digits = 15; digits <= 17; digits++)
  {
    char form[8];

    g_snprintf (form, sizeof form, "%%.%dg", digits);
    g_ascii_formatd (text, sizeof text, form, v);
    if (digits == 17 || g_ascii_strtod (text, NULL) - v == 0.0)
      break;
  }
  g_string_append (out, text);
}

static void
put_text (GString *out, const char *text)
{
  g_autofree char *mended = NULL;

  if (!g_utf8_validate (text, -1, NULL))
    text = mended = g_utf8_make_valid (text, -1);
  g_string_append_c (out, '"');
  for (const char *p = text; *p != '\0'; p++)
  {
    if (*p == '"' || *p == '\\')
    {
      g_string_append_c (out, '\\');
      g_string_append_c (out, *p);
    }
    else if (*p == '\n')
      g_string_append_len (out, "\\n", 2);
    else if (*p == '\t')
      g_string_append_len (out, "\\t", 2);
    else if ((guchar)*p < 0x20)
      g_string_append_printf (out, "\\u%04x", (guint)*p);
    else
      g_string_append_c (out, *p);
  }
  g_string_append_c (out, '"');
}

static void
put_id (GString *out, guint id)
{
  char text[16];

  g_snprintf (text, sizeof text, "%u", id);
  g_string_append (out, text);
}

static void
id_member (Writer *w, const char *name, guint id)
{
  member (w, name);
  put_id (w->out, id);
}

static void
number_member (Writer *w, const char *name, double v)
{
  member (w, name);
  put_number (w->out, v);
}

static void
text_member (Writer *w, const char *name, const char *text)
{
  member (w, name);
  put_text (w->out, text);
}

static void
text_member_unless_empty (Writer *w, const char *name, const char *text)
{
  if (text != NULL && text[0] != '\0')
    text_member (w, name, text);
}

static void
bool_member (Writer *w, const char *name, bool value)
{
  member (w, name);
  g_string_append (w->out, value ? "true" : "false");
}

static void
bool_member_if (Writer *w, const char *name, bool value)
{
  if (value)
    bool_member (w, name, true);
}

static void
point_member (Writer *w, const char *name, GeomPoint p)
{
  member (w, name);
  g_string_append_c (w->out, '[');
  put_number (w->out, p.x);
  g_string_append_len (w->out, ", ", 2);
  put_number (w->out, p.y);
  g_string_append_c (w->out, ']');
}

/* ---- members that were not understood ---- */

static void put_json (Writer *w, JsonNode *node);

static void
extra_members (Writer *w, JsonObject *extra)
{
  JsonObjectIter iter;
  const char *name;
  JsonNode *node;

  if (extra == NULL)
    return;
  json_object_iter_init_ordered (&iter, extra);
  while (json_object_iter_next_ordered (&iter, &name, &node))
  {
    next (w);
    put_text (w->out, name);
    g_string_append_len (w->out, ": ", 2);
    put_json (w, node);
  }
}

static void
extra_members_of (Writer *w, GHashTable *table, guint id)
{
  if (table != NULL)
    extra_members (w, g_hash_table_lookup (table, GUINT_TO_POINTER (id)));
}

static void
put_json_value (Writer *w, JsonNode *node)
{
  GType type = json_node_get_value_type (node);

  if (type == G_TYPE_STRING)
    put_text (w->out, json_node_get_string (node));
  else if (type == G_TYPE_BOOLEAN)
    g_string_append (w->out, json_node_get_boolean (node) ? "true" : "false");
  else if (type == G_TYPE_INT64)
    g_string_append_printf (w->out, "%" G_GINT64_FORMAT, json_node_get_int (node));
  else
    put_number (w->out, json_node_get_double (node));
}

static void
put_json (Writer *w, JsonNode *node)
{
  JsonArray *array;

  switch (json_node_get_node_type (node))
  {
  case JSON_NODE_OBJECT:
    open_with (w, '{');
    extra_members (w, json_node_get_object (node));
    close_with (w, '}', false);
    break;
  case JSON_NODE_ARRAY:
    array = json_node_get_array (node);
    open_with (w, '[');
    for (guint i = 0; i < json_array_get_length (array); i++)
    {
      next (w);
      put_json (w, json_array_get_element (array, i));
    }
    close_with (w, ']', false);
    break;
  case JSON_NODE_VALUE:
    put_json_value (w, node);
    break;
  case JSON_NODE_NULL:
    g_string_append (w->out, "null");
    break;
  }
}

/* ---- the parts ---- */

static void
put_head (Writer *w, const ModelHead *head)
{
  open_with (w, '{');
  line (w);
  text_member (w, "title", head->title);
  line (w);
  text_member (w, "wearer", head->wearer);
  line (w);
  text_member (w, "note", head->note);
  line (w);
  text_member (w, "revision", head->revision);
  text_member (w, "revision_date", head->revision_date);
  line (w);
  text_member (w, "unit", model_unit_words[head->unit]);
  line (w);
  text_member (w, "paper", head->paper);
  number_member (w, "overlap_mm", head->overlap_mm);
  line (w);
  bool_member (w, "edge_names", head->edge_names);
  bool_member (w, "seam_lines", head->seam_lines);
  bool_member (w, "open_folds", head->open_folds);
  bool_member (w, "sheet_grid", head->sheet_grid);
  line (w);
  extra_members (w, head->extra);
  close_with (w, '}', true);
}

static void
put_material (Writer *w, const ModelMaterial *material)
{
  open_with (w, '{');
  id_member (w, "id", material->id);
  text_member (w, "name", material->name);
  text_member (w, "kind", model_material_words[material->kind]);
  number_member (w, "thickness_mm", material->thickness_mm);
  number_member (w, "knife_mm", material->knife_mm);
  number_member (w, "neutral", material->neutral);
  number_member (w, "stretch_percent", material->stretch_percent);
  extra_members (w, material->extra);
  close_with (w, '}', false);
}

static void
put_measure (Writer *w, const ModelMeasure *measure)
{
  open_with (w, '{');
  id_member (w, "id", measure->id);
  text_member_unless_empty (w, "key", measure->key);
  text_member (w, "name", measure->name);
  text_member (w, "group", model_group_words[measure->group]);
  if (measure->has_wearer)
    number_member (w, "wearer_mm", measure->wearer_mm);
  if (measure->has_form)
    number_member (w, "form_mm", measure->form_mm);
  if (measure->has_tolerance)
    number_member (w, "tolerance_mm", measure->tolerance_mm);
  text_member_unless_empty (w, "date", measure->date);
  extra_members (w, measure->extra);
  close_with (w, '}', false);
}

/* IS_FIRST: the first node of an edge is a corner whatever it says. */
static void
put_node (Writer *w, const ModelPanel *panel, const ModelNode *node, bool is_first)
{
  next (w);
  open_with (w, '{');
  id_member (w, "id", node->id);
  if (node->kind != MODEL_NODE_CORNER && !is_first)
    text_member (w, "kind", model_node_words[node->kind]);
  point_member (w, "at", node->at);
  if (!geom_same_point (node->in, node->at))
    point_member (w, "in", node->in);
  if (!geom_same_point (node->out, node->at))
    point_member (w, "out", node->out);
  bool_member_if (w, "locked", node->locked);
  extra_members_of (w, panel->inner_extra, node->id);
  close_with (w, '}', false);
}

static void
put_edge (Writer *w, const ModelPanel *panel, const ModelEdge *edge)
{
  next (w);
  open_with (w, '{');
  id_member (w, "id", edge->id);
  text_member_unless_empty (w, "name", edge->name);
  bool_member_if (w, "fold", edge->fold);
  bool_member_if (w, "locked", edge->locked);
  if (edge->has_allowance)
    number_member (w, "allowance_mm", edge->allowance_mm);
  member (w, "nodes");
  /* The edge's own bracket does not indent: its nodes stand right below it. */
  w->depth--;
  open_with (w, '[');
  for (guint i = 0; i < edge->nodes->len; i++)
  {
    line (w);
    put_node (w, panel, model_edge_node (edge, i), i == 0);
  }
  close_with (w, ']', true);
  w->depth++;
  extra_members (w, edge->extra);
  close_with (w, '}', false);
}

static void
put_correction (Writer *w, const ModelPanel *panel, const ModelCorrection *more)
{
  next (w);
  open_with (w, '{');
  id_member (w, "node", more->node_id);
  point_member (w, "at", more->at);
  if (!geom_same_point (more->in, more->at))
    point_member (w, "in", more->in);
  if (!geom_same_point (more->out, more->at))
    point_member (w, "out", more->out);
  extra_members_of (w, panel->correction_extra, more->node_id);
  close_with (w, '}', false);
}

static void
put_mark (Writer *w, const ModelPanel *panel, const ModelMark *mark)
{
  next (w);
  open_with (w, '{');
  id_member (w, "id", mark->id);
  id_member (w, "edge", mark->edge_id);
  number_member (w, "at_mm", mark->at_mm);
  if (mark->wedges != 1)
    number_member (w, "wedges", mark->wedges);
  extra_members_of (w, panel->inner_extra, mark->id);
  close_with (w, '}', false);
}

static void
put_tape_end (Writer *w, const char *mark_name, const char *point_name, guint mark_id, GeomPoint at)
{
  if (mark_id != 0)
    id_member (w, mark_name, mark_id);
  else
    point_member (w, point_name, at);
}

static void
put_tape (Writer *w, const ModelPanel *panel, const ModelTape *tape)
{
  next (w);
  open_with (w, '{');
  id_member (w, "id", tape->id);
  if (tape->kind != MODEL_TAPE_STRAIGHT)
    text_member (w, "kind", model_tape_words[tape->kind]);
  put_tape_end (w, "a", "a_at", tape->a_mark_id, tape->a);
  put_tape_end (w, "b", "b_at", tape->b_mark_id, tape->b);
  if (tape->kind == MODEL_TAPE_ANGLE)
    put_tape_end (w, "c", "c_at", tape->c_mark_id, tape->c);
  if (tape->has_wrap)
    number_member (w, "wrap_mm", tape->wrap_mm);
  bool_member_if (w, "on_sheets", tape->on_sheets);
  extra_members_of (w, panel->inner_extra, tape->id);
  close_with (w, '}', false);
}

static void
put_panel_facts (Writer *w, const ModelPanel *panel)
{
  line (w);
  id_member (w, "id", panel->id);
  text_member (w, "name", panel->name);
  if (panel->material_id != 0)
    id_member (w, "material", panel->material_id);
  if (panel->halves != MODEL_HALVES_SINGLE)
    text_member (w, "halves", model_halves_words[panel->halves]);
  if (panel->side != MODEL_SIDE_CENTRE)
    text_member (w, "side", model_side_words[panel->side]);
  bool_member_if (w, "own_sides", panel->own_sides);
  if (panel->halves == MODEL_HALVES_PAIR || fabs (panel->mirror_x_mm) > 0.0)
    number_member (w, "mirror_x_mm", panel->mirror_x_mm);
  if (panel->quantity != 1)
    number_member (w, "quantity", panel->quantity);
  if (panel->has_grain)
    number_member (w, "grain_deg", panel->grain_deg);
  if (panel->has_grain || fabs (panel->grain_tolerance_deg - MODEL_DEFAULT_GRAIN_TOLERANCE_DEG) > 0.0)
    number_member (w, "grain_tolerance_deg", panel->grain_tolerance_deg);
  bool_member_if (w, "locked", panel->locked);
  bool_member_if (w, "hidden", panel->hidden);
  if (panel->note != NULL && panel->note[0] != '\0')
  {
    line (w);
    text_member (w, "note", panel->note);
  }
}

static void
put_panel (Writer *w, const ModelPanel *panel)
{
  open_with (w, '{');
  put_panel_facts (w, panel);
  line (w);
  member (w, "edges");
  open_with (w, '[');
  for (guint i = 0; i < panel->edges->len; i++)
  {
    line (w);
    put_edge (w, panel, model_panel_edge (panel, i));
  }
  close_with (w, ']', true);
  if (panel->marks->len > 0)
  {
    line (w);
    member (w, "marks");
    open_with (w, '[');
    for (guint i = 0; i < panel->marks->len; i++)
    {
      line (w);
      put_mark (w, panel, &g_array_index (panel->marks, ModelMark, i));
    }
    close_with (w, ']', true);
  }
  if (panel->corrections->len > 0)
  {
    line (w);
    member (w, "corrections");
    open_with (w, '[');
    for (guint i = 0; i < panel->corrections->len; i++)
    {
      line (w);
      put_correction (w, panel, &g_array_index (panel->corrections, ModelCorrection, i));
    }
    close_with (w, ']', true);
  }
  if (panel->tapes->len > 0)
  {
    line (w);
    member (w, "tapes");
    open_with (w, '[');
    for (guint i = 0; i < panel->tapes->len; i++)
    {
      line (w);
      put_tape (w, panel, &g_array_index (panel->tapes, ModelTape, i));
    }
    close_with (w, ']', true);
  }
  line (w);
  extra_members (w, panel->extra);
  close_with (w, '}', true);
}

static void
run_member (Writer *w, const char *name, const ModelRun *run)
{
  member (w, name);
  open_with (w, '{');
  id_member (w, "panel", run->panel_id);
  member (w, "edges");
  open_with (w, '[');
  for (guint i = 0; i < run->edges->len; i++)
  {
    next (w);
    put_id (w->out, g_array_index (run->edges, guint, i));
  }
  close_with (w, ']', false);
  if (run->from_mark_id != 0)
    id_member (w, "from_mark", run->from_mark_id);
  if (run->to_mark_id != 0)
    id_member (w, "to_mark", run->to_mark_id);
  bool_member_if (w, "reversed", run->reversed);
  bool_member_if (w, "twin", run->twin);
  extra_members (w, run->extra);
  close_with (w, '}', false);
}

static void
put_join (Writer *w, const ModelJoin *join)
{
  open_with (w, '{');
  id_member (w, "id", join->id);
  text_member (w, "letter", join->letter);
  text_member_unless_empty (w, "name", join->name);
  text_member (w, "kind", model_join_words[join->kind]);
  if (join->only != MODEL_SIDE_CENTRE)
    text_member (w, "only", model_side_words[join->only]);
  bool_member_if (w, "b_over", join->b_over);
  /* The width that the kind uses is always said, for people; the others only when the maker has set them. */
  if (join->kind == MODEL_JOIN_LAPPED || fabs (join->lap_mm - MODEL_DEFAULT_LAP_MM) > 0.0)
    number_member (w, "lap_mm", join->lap_mm);
  if (join->kind == MODEL_JOIN_STITCHED || fabs (join->allowance_mm - MODEL_DEFAULT_ALLOWANCE_MM) > 0.0)
    number_member (w, "allowance_mm", join->allowance_mm);
  if (join->kind == MODEL_JOIN_GAP || fabs (join->gap_mm - MODEL_DEFAULT_GAP_MM) > 0.0)
    number_member (w, "gap_mm", join->gap_mm);
  if (fabs (join->ease_mm) > 0.0)
    number_member (w, "ease_mm", join->ease_mm);
  if (join->ease_in_percent)
    number_member (w, "ease_percent", join->ease_percent);
  if (join->ease_from_id != 0)
    id_member (w, "ease_from", join->ease_from_id);
  if (join->ease_to_id != 0)
    id_member (w, "ease_to", join->ease_to_id);
  if (join->straps != 0)
    number_member (w, "straps", join->straps);
  if (fabs (join->strap_width_mm - MODEL_DEFAULT_STRAP_WIDTH_MM) > 0.0)
    number_member (w, "strap_width_mm", join->strap_width_mm);
  if (fabs (join->strap_overlap_mm - MODEL_DEFAULT_STRAP_OVERLAP_MM) > 0.0)
    number_member (w, "strap_overlap_mm", join->strap_overlap_mm);
  if (fabs (join->tolerance_mm - MODEL_DEFAULT_TOLERANCE_MM) > 0.0)
    number_member (w, "tolerance_mm", join->tolerance_mm);
  line (w);
  run_member (w, "a", &join->a);
  line (w);
  run_member (w, "b", &join->b);
  if (join->matches->len > 0)
  {
    line (w);
    member (w, "matches");
    open_with (w, '[');
    for (guint i = 0; i < join->matches->len; i++)
    {
      const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);

      next (w);
      open_with (w, '{');
      id_member (w, "a", match->a_mark_id);
      id_member (w, "b", match->b_mark_id);
      extra_members_of (w, join->match_extra, match->a_mark_id);
      close_with (w, '}', false);
    }
    close_with (w, ']', false);
  }
  extra_members (w, join->extra);
  close_with (w, '}', false);
}

static void
put_line (Writer *w, const ModelLine *l)
{
  open_with (w, '{');
  id_member (w, "id", l->id);
  text_member (w, "name", l->name);
  text_member (w, "kind", model_line_words[l->kind]);
  if (l->kind == MODEL_LINE_GUIDE || l->kind == MODEL_LINE_LEVEL)
  {
    point_member (w, "at", l->at);
    if (fabs (l->direction_deg) > 0.0)
      number_member (w, "direction_deg", l->direction_deg);
  }
  if (l->spans->len > 0)
  {
    member (w, "spans");
    open_with (w, '[');
    for (guint i = 0; i < l->spans->len; i++)
    {
      const ModelSpan *span = &g_array_index (l->spans, ModelSpan, i);

      next (w);
      open_with (w, '{');
      id_member (w, "panel", span->panel_id);
      id_member (w, "a", span->a_mark_id);
      id_member (w, "b", span->b_mark_id);
      close_with (w, '}', false);
    }
    close_with (w, ']', false);
  }
  bool_member_if (w, "one_side", l->one_side);
  if (l->measure_id != 0)
    id_member (w, "measure", l->measure_id);
  if (fabs (l->between_mm) > 0.0)
    number_member (w, "between_mm", l->between_mm);
  if (l->has_tolerance)
    number_member (w, "tolerance_mm", l->tolerance_mm);
  bool_member_if (w, "locked", l->locked);
  bool_member_if (w, "hidden", l->hidden);
  extra_members (w, l->extra);
  close_with (w, '}', false);
}

static void
put_photo (Writer *w, const ModelPhoto *photo)
{
  gsize length = 0;
  const guint8 *data = photo->image != NULL ? g_bytes_get_data (photo->image, &length) : NULL;
  g_autofree char *text = g_base64_encode (data, length);

  open_with (w, '{');
  id_member (w, "id", photo->id);
  text_member (w, "name", photo->name);
  number_member (w, "width_px", photo->width_px);
  number_member (w, "height_px", photo->height_px);
  point_member (w, "at", photo->at);
  if (fabs (photo->turn_deg) > 0.0)
    number_member (w, "turn_deg", photo->turn_deg);
  number_member (w, "mm_per_px", photo->mm_per_px);
  if (fabs (photo->fade - MODEL_DEFAULT_FADE) > 0.0)
    number_member (w, "fade", photo->fade);
  bool_member_if (w, "locked", photo->locked);
  bool_member_if (w, "hidden", photo->hidden);
  line (w);
  text_member (w, "image", text);
  extra_members (w, photo->extra);
  close_with (w, '}', false);
}

static void
put_fit_note (Writer *w, const ModelFitNote *note)
{
  open_with (w, '{');
  id_member (w, "id", note->id);
  text_member_unless_empty (w, "date", note->date);
  text_member_unless_empty (w, "revision", note->revision);
  if (note->panel_id != 0)
    id_member (w, "panel", note->panel_id);
  if (note->edge_id != 0)
    id_member (w, "edge", note->edge_id);
  if (note->side != MODEL_SIDE_CENTRE)
    text_member (w, "side", model_side_words[note->side]);
  text_member (w, "seen", model_fit_words[note->seen]);
  if (note->has_amount)
    number_member (w, "amount_mm", note->amount_mm);
  text_member_unless_empty (w, "text", note->text);
  text_member_unless_empty (w, "done", note->done);
  extra_members (w, note->extra);
  close_with (w, '}', false);
}

static void put_state (Writer *w, const ModelDocument *state);

static void
put_revision (Writer *w, const ModelRevision *revision)
{
  open_with (w, '{');
  id_member (w, "id", revision->id);
  text_member (w, "name", revision->name);
  text_member_unless_empty (w, "date", revision->date);
  text_member_unless_empty (w, "note", revision->note);
  if (revision->state != NULL)
  {
    line (w);
    member (w, "state");
    put_state (w, revision->state);
  }
  extra_members (w, revision->extra);
  close_with (w, '}', false);
}

static void
put_part (Writer *w, ModelPart part)
{
  switch (part.kind)
  {
  case MODEL_PART_HEAD:
    put_head (w, part.body);
    break;
  case MODEL_PART_MATERIAL:
    put_material (w, part.body);
    break;
  case MODEL_PART_MEASURE:
    put_measure (w, part.body);
    break;
  case MODEL_PART_PANEL:
    put_panel (w, part.body);
    break;
  case MODEL_PART_JOIN:
    put_join (w, part.body);
    break;
  case MODEL_PART_LINE:
    put_line (w, part.body);
    break;
  case MODEL_PART_PHOTO:
    put_photo (w, part.body);
    break;
  case MODEL_PART_FIT_NOTE:
    put_fit_note (w, part.body);
    break;
  case MODEL_PART_REVISION:
    put_revision (w, part.body);
    break;
  }
}

static void
list_member (Writer *w, const char *name, const ModelDocument *doc, ModelPartKind kind)
{
  GPtrArray *list = model_document_list (doc, kind);

  line (w);
  member (w, name);
  open_with (w, '[');
  for (guint i = 0; i < list->len; i++)
  {
    line (w);
    next (w);
    put_part (w, (ModelPart) { kind, g_ptr_array_index (list, i) });
  }
  close_with (w, ']', true);
}

/* Lists that came later are left out while they are empty. */
static void
list_member_unless_empty (Writer *w, const char *name, const ModelDocument *doc, ModelPartKind kind)
{
  if (model_document_list (doc, kind)->len > 0)
    list_member (w, name, doc, kind);
}

/* The members that a document and a revision's state have in common. */
static void
put_parts (Writer *w, const ModelDocument *doc)
{
  line (w);
  id_member (w, "next_id", doc->next_id);
  line (w);
  member (w, "head");
  put_head (w, doc->head);
  list_member (w, "materials", doc, MODEL_PART_MATERIAL);
  list_member (w, "measures", doc, MODEL_PART_MEASURE);
  list_member (w, "panels", doc, MODEL_PART_PANEL);
  list_member (w, "joins", doc, MODEL_PART_JOIN);
  list_member_unless_empty (w, "lines", doc, MODEL_PART_LINE);
  list_member_unless_empty (w, "photos", doc, MODEL_PART_PHOTO);
  list_member_unless_empty (w, "fit_notes", doc, MODEL_PART_FIT_NOTE);
  list_member_unless_empty (w, "revisions", doc, MODEL_PART_REVISION);
  line (w);
  extra_members (w, doc->extra);
}

static void
put_state (Writer *w, const ModelDocument *state)
{
  open_with (w, '{');
  put_parts (w, state);
  close_with (w, '}', true);
}

char *
model_part_to_data (ModelPart part, gsize *length)
{
  Writer w = { .out = g_string_new (NULL), .fresh = true };

  put_part (&w, part);
  if (length != NULL)
    *length = w.out->len;
  return g_string_free (w.out, FALSE);
}

char *
model_document_to_data (const ModelDocument *doc, gsize *length)
{
  Writer w = { .out = g_string_new (NULL), .fresh = true };

  open_with (&w, '{');
  line (&w);
  text_member (&w, "format", MODEL_FILE_FORMAT);
  line (&w);
  number_member (&w, "version", MODEL_FILE_VERSION);
  put_parts (&w, doc);
  close_with (&w, '}', true);
  g_string_append_c (w.out, '\n');
  if (length != NULL)
    *length = w.out->len;
  return g_string_free (w.out, FALSE);
}
