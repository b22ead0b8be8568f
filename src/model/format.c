/* The words of the file, and what makes a fold or a paper acceptable. */
#include "model/format.h"

#include <string.h>

const char *const model_side_words[] = { "centre", "left", "right", NULL };
const char *const model_halves_words[] = { "single", "fold", "pair", NULL };
const char *const model_node_words[] = { "corner", "smooth", "even", NULL };
const char *const model_material_words[] = { "leather", "foam", "cloth", "other", NULL };
const char *const model_group_words[] = { "round", "across", "along", NULL };
const char *const model_join_words[] = { "flush", "lapped", "stitched", "gap", NULL };
const char *const model_tape_words[] = { "straight", "along", "angle", NULL };
const char *const model_line_words[] = { "guide", "level", "girth", "reach", "neck", NULL };
const char *const model_fit_words[]
  = { "too_short", "too_long", "gaps_by", "pokes_out", "too_wide", "too_narrow", "other", NULL };
const char *const model_unit_words[] = { "mm", "cm", "in", NULL };

bool
model_panel_fold_is_sound (const ModelPanel *panel)
{
  const ModelNode *from = NULL, *to = NULL;
  GeomCubic piece;

  if (panel->halves != MODEL_HALVES_FOLD)
    return true;
  for (guint i = 0; i < panel->edges->len; i++)
  {
    const ModelEdge *edge = model_panel_edge (panel, i);

    if (!edge->fold)
      continue;
    if (from != NULL || edge->nodes->len != 1)
      return false;
    from = model_edge_node (edge, 0);
    to = model_panel_next_node (panel, i, 0);
  }
  if (from == NULL)
    return false;
  if (geom_same_point (from->out, from->at) && geom_same_point (to->in, to->at))
    return true;
  piece = (GeomCubic) { { from->at, from->out, to->in, to->at } };
  return geom_cubic_is_straight (&piece, MODEL_FOLD_STRAIGHT_MM);
}

bool
model_paper_is_known (const char *paper)
{
  static const char *const known[] = { "a4", "a3", "letter", "tabloid", NULL };
  char *end;
  double width_mm, height_mm;

  if (g_strv_contains (known, paper))
    return true;
  if (!g_ascii_isdigit (paper[0]))
    return false;
  width_mm = g_ascii_strtod (paper, &end);
  if (*end != 'x' || !g_ascii_isdigit (end[1]))
    return false;
  height_mm = g_ascii_strtod (end + 1, &end);
  return *end == '\0' && width_mm > 0.0 && width_mm <= MODEL_FILE_MAX_MM && height_mm > 0.0
         && height_mm <= MODEL_FILE_MAX_MM;
}
