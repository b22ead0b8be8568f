/* Fields of the chosen panels or edge.  A change is made to a copy and put into the history; with several
 * panels chosen it is made to each, in one step.  The card never keeps a value of its own. */
#include "app/panel-card.h"

#include "app/dart-card.h"
#include "app/dome-card.h"
#include "app/label.h"
#include "app/tape-list.h"
#include "app/unit-entry.h"
#include "engine/tolerance.h"
#include "engine/words.h"
#include "model/repair.h"
#include "model/shape.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define MOST_ALLOWANCE_MM 200.0
#define MOST_THICKNESS_MM 50.0
#define MOST_KNIFE_MM 10.0
/* Between a panel and its twin on the paper, when it becomes one of a pair. */
#define TWIN_GAP_MM 20.0
#define MM2_PER_CM2 100.0

struct _AppPanelCard
{
  GtkWidget parent;
  AppSession *session;
  guint refresh_id;
  bool showing;
  GtkWidget *box, *edge_box, *panel_box;
  GtkWidget *edge_title, *edge_where, *edge_name, *edge_length, *edge_allowance, *edge_fold, *edge_locked;
  GtkWidget *panel_title, *panel_size, *panel_name, *material, *thickness_words, *thickness, *knife_words,
    *knife, *quantity;
  GtkWidget *single, *fold, *pair, *right, *centre, *left, *grain, *grain_deg, *grain_words, *grain_tolerance,
    *note, *locked, *hidden, *tapes, *dome, *dart, *darts;
};

G_DEFINE_FINAL_TYPE (AppPanelCard, app_panel_card, GTK_TYPE_WIDGET)

/* ---- what is chosen ---- */

static const ModelPanel *
chosen_panel (AppPanelCard *self)
{
  if (self->session == NULL)
    return NULL;
  const AppSelection *s = app_session_selection (self->session);
  return s->panels->len > 0 && !s->has_finding
           ? model_document_panel (app_session_document (self->session), g_array_index (s->panels, guint, 0))
           : NULL;
}

static guint
chosen_edge (AppPanelCard *self)
{
  const AppSelection *s = app_session_selection (self->session);
  return s->edges->len > 0 ? g_array_index (s->edges, guint, s->edges->len - 1) : 0;
}

/* ---- changing ---- */

typedef void (*ChangePanel) (AppPanelCard *self, ModelPanel *panel);

static void
change (AppPanelCard *self, const char *label, ChangePanel how)
{
  if (self->showing || chosen_panel (self) == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  /* Putting a panel may prune the selection, so its ids are copied first. */
  g_autoptr (GArray) ids = g_array_copy (app_session_selection (self->session)->panels);
  model_history_begin (history, label);
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelPanel *old
      = model_document_panel (app_session_document (self->session), g_array_index (ids, guint, i));
    if (old == NULL)
      continue;
    ModelPanel *panel = model_panel_copy (old);
    how (self, panel);
    model_repair_put_panel (history, panel);
  }
  model_history_end (history);
}

static void
set_text (char **where, GtkWidget *entry)
{
  g_free (*where);
  *where = g_strdup (gtk_editable_get_text (GTK_EDITABLE (entry)));
}

static void
take_panel_name (AppPanelCard *self, ModelPanel *panel)
{
  set_text (&panel->name, self->panel_name);
}

static void
on_panel_name (AppPanelCard *self)
{
  const ModelPanel *panel = chosen_panel (self);
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->panel_name));
  if (panel == NULL || text[0] == '\0' || strcmp (text, panel->name) == 0
      || app_session_selection (self->session)->panels->len > 1)
    return;
  change (self, _ ("Rename a panel"), take_panel_name);
}

static void
take_note (AppPanelCard *self, ModelPanel *panel)
{
  set_text (&panel->note, self->note);
  if (panel->note[0] == '\0')
    g_clear_pointer (&panel->note, g_free);
}

static void
on_note (AppPanelCard *self)
{
  const ModelPanel *panel = chosen_panel (self);
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->note));
  if (panel != NULL && g_strcmp0 (text, panel->note != NULL ? panel->note : "") != 0)
    change (self, _ ("Change a note"), take_note);
}

static void
take_quantity (AppPanelCard *self, ModelPanel *panel)
{
  panel->quantity = gtk_spin_button_get_value_as_int (GTK_SPIN_BUTTON (self->quantity));
}

static void
take_grain (AppPanelCard *self, ModelPanel *panel)
{
  panel->has_grain = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->grain));
  panel->grain_deg = gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->grain_deg));
  panel->grain_tolerance_deg = gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->grain_tolerance));
}

static void
take_locks (AppPanelCard *self, ModelPanel *panel)
{
  panel->locked = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->locked));
  panel->hidden = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->hidden));
}

static void
on_quantity (AppPanelCard *self)
{
  change (self, _ ("Change how many"), take_quantity);
}

static void
on_grain (AppPanelCard *self)
{
  change (self, _ ("Change the grain"), take_grain);
}

static void
on_locks (AppPanelCard *self)
{
  change (self, _ ("Lock or hide"), take_locks);
}

static void
clear_folds (ModelPanel *panel)
{
  for (guint i = 0; i < panel->edges->len; i++)
    model_panel_edge (panel, i)->fold = false;
}

static GeomBox
panel_box (const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  GeomBox box = geom_path_box (&path);
  geom_path_clear (&path);
  return box;
}

/* A mirrored panel has a side, and seen from outside the wearer's left lies at the right of the front. */
static void
make_pair (ModelPanel *panel)
{
  GeomBox box = panel_box (panel);
  clear_folds (panel);
  panel->halves = MODEL_HALVES_PAIR;
  if (panel->side == MODEL_SIDE_CENTRE)
    panel->side = MODEL_SIDE_LEFT;
  panel->mirror_x_mm = panel->side == MODEL_SIDE_LEFT ? box.x0 - TWIN_GAP_MM / 2 : box.x1 + TWIN_GAP_MM / 2;
}

static void
take_halves (AppPanelCard *self, ModelPanel *panel)
{
  if (gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->pair)))
  {
    if (panel->halves != MODEL_HALVES_PAIR)
      make_pair (panel);
  }
  else if (gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->fold)))
  {
    guint edge = chosen_edge (self);
    int index = model_panel_fold_edge (panel);
    if (edge == 0 && index >= 0)
      edge = model_panel_edge (panel, (guint)index)->id;
    if (edge != 0 && model_shape_make_fold (panel, edge) && panel->side == MODEL_SIDE_CENTRE)
      panel->side = MODEL_SIDE_LEFT;
  }
  else
  {
    clear_folds (panel);
    panel->halves = MODEL_HALVES_SINGLE;
  }
}

static void
on_halves (GtkToggleButton *button, AppPanelCard *self)
{
  if (gtk_toggle_button_get_active (button))
    change (self, _ ("Change single, fold or pair"), take_halves);
}

static void
take_side (AppPanelCard *self, ModelPanel *panel)
{
  bool left = gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->left));
  bool right = gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->right));
  if (panel->halves == MODEL_HALVES_SINGLE || left || right)
    panel->side = left ? MODEL_SIDE_LEFT : right ? MODEL_SIDE_RIGHT : MODEL_SIDE_CENTRE;
}

static void
on_side (GtkToggleButton *button, AppPanelCard *self)
{
  if (gtk_toggle_button_get_active (button))
    change (self, _ ("Change the side"), take_side);
}

/* ---- material ---- */

typedef struct MaterialStart
{
  ModelMaterialKind kind;
  const char *name; /* untranslated */
  double thickness_mm, neutral;
} MaterialStart;

/* Thicknesses as sold, from memory: common practice, no source.  The neutral layer of leather and foam lies
 * about the middle. */
static const MaterialStart starts[] = {
  { MODEL_MATERIAL_LEATHER, N_ ("New leather"), 3.5, 0.5 },
  { MODEL_MATERIAL_FOAM, N_ ("New foam"), 5.0, 0.5 },
  { MODEL_MATERIAL_CLOTH, N_ ("New cloth"), 1.0, 0.5 },
};

static const char *
kind_name (ModelMaterialKind kind)
{
  switch (kind)
  {
  case MODEL_MATERIAL_LEATHER:
    return _ ("leather");
  case MODEL_MATERIAL_FOAM:
    return _ ("foam");
  case MODEL_MATERIAL_CLOTH:
    return _ ("cloth");
  case MODEL_MATERIAL_OTHER:
    return _ ("material");
  }
  return "";
}

static guint
put_new_material (AppPanelCard *self, const MaterialStart *start)
{
  ModelMaterial *material = model_material_new ();
  g_free (material->name);
  material->name = g_strdup (kind_name (start->kind));
  material->kind = start->kind;
  material->thickness_mm = start->thickness_mm;
  material->neutral = start->neutral;
  return model_history_put_material (app_session_history (self->session), material);
}

/* Items: none, the document's materials, then the new ones. */
static void
on_material (AppPanelCard *self)
{
  const ModelPanel *panel = chosen_panel (self);
  if (self->showing || panel == NULL)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  guint at = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->material));
  guint known = doc->materials->len;
  if (at == GTK_INVALID_LIST_POSITION || at > known + G_N_ELEMENTS (starts))
    return;
  ModelHistory *history = app_session_history (self->session);
  g_autoptr (GArray) ids = g_array_copy (app_session_selection (self->session)->panels);
  model_history_begin (history, _ ("Change the material"));
  guint id = 0;
  if (at > known)
    id = put_new_material (self, &starts[at - known - 1]);
  else if (at > 0)
    id = ((ModelMaterial *)g_ptr_array_index (doc->materials, at - 1))->id;
  for (guint i = 0; i < ids->len; i++)
  {
    ModelPanel *copy = model_panel_copy (model_document_panel (doc, g_array_index (ids, guint, i)));
    copy->material_id = id;
    model_repair_put_panel (history, copy);
  }
  model_history_end (history);
}

static void
change_material (AppPanelCard *self, double mm, bool knife)
{
  const ModelPanel *panel = chosen_panel (self);
  const ModelMaterial *old
    = panel != NULL ? model_document_material (app_session_document (self->session), panel->material_id)
                    : NULL;
  if (old == NULL)
    return;
  ModelMaterial *material = model_material_copy (old);
  *(knife ? &material->knife_mm : &material->thickness_mm) = mm;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, knife ? _ ("Change what the knife adds") : _ ("Change the thickness"));
  model_history_put_material (history, material);
  model_history_end (history);
}

static void
on_thickness (AppPanelCard *self, double mm)
{
  change_material (self, mm, false);
}

static void
on_knife (AppPanelCard *self, double mm)
{
  change_material (self, mm, true);
}

/* ---- edge ---- */

static ModelEdge *
edge_of (AppPanelCard *self, ModelPanel *panel)
{
  int index = model_panel_find_edge (panel, chosen_edge (self));
  return index >= 0 ? model_panel_edge (panel, (guint)index) : NULL;
}

static void
take_edge_name (AppPanelCard *self, ModelPanel *panel)
{
  ModelEdge *edge = edge_of (self, panel);
  if (edge != NULL)
    set_text (&edge->name, self->edge_name);
}

static void
on_edge_name (AppPanelCard *self)
{
  const ModelPanel *panel = chosen_panel (self);
  int index = panel != NULL ? model_panel_find_edge (panel, chosen_edge (self)) : -1;
  if (index >= 0
      && strcmp (model_panel_edge (panel, (guint)index)->name,
                 gtk_editable_get_text (GTK_EDITABLE (self->edge_name)))
           != 0)
    change (self, _ ("Rename an edge"), take_edge_name);
}

static void
take_edge_length (AppPanelCard *self, ModelPanel *panel)
{
  model_shape_set_edge_length (panel, app_session_selection (self->session)->side, chosen_edge (self),
                               app_unit_entry_mm (APP_UNIT_ENTRY (self->edge_length)), false);
}

static void
on_edge_length (AppPanelCard *self, double mm)
{
  change (self, _ ("Change the length of an edge"), take_edge_length);
}

static void
take_edge_allowance (AppPanelCard *self, ModelPanel *panel)
{
  ModelEdge *edge = edge_of (self, panel);
  if (edge == NULL)
    return;
  double mm = app_unit_entry_mm (APP_UNIT_ENTRY (self->edge_allowance));
  edge->has_allowance = !isnan (mm);
  edge->allowance_mm = edge->has_allowance ? mm : 0.0;
}

static void
on_edge_allowance (AppPanelCard *self, double mm)
{
  change (self, _ ("Change an allowance"), take_edge_allowance);
}

static void
take_edge_locked (AppPanelCard *self, ModelPanel *panel)
{
  ModelEdge *edge = edge_of (self, panel);
  if (edge != NULL)
    edge->locked = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->edge_locked));
}

static void
on_edge_locked (AppPanelCard *self)
{
  change (self, _ ("Lock an edge"), take_edge_locked);
}

static void
take_edge_fold (AppPanelCard *self, ModelPanel *panel)
{
  if (!gtk_check_button_get_active (GTK_CHECK_BUTTON (self->edge_fold)))
  {
    clear_folds (panel);
    panel->halves = MODEL_HALVES_SINGLE;
  }
  else if (model_shape_make_fold (panel, chosen_edge (self)) && panel->side == MODEL_SIDE_CENTRE)
    panel->side = MODEL_SIDE_LEFT;
}

static void
on_edge_fold (AppPanelCard *self)
{
  change (self, _ ("Put an edge on the fold"), take_edge_fold);
}

static void
on_whole_panel (AppPanelCard *self)
{
  const ModelPanel *panel = chosen_panel (self);
  if (panel != NULL)
    app_session_select_panel (self->session, panel->id, app_session_selection (self->session)->side, false);
}

/* ---- showing ---- */

static void
show_text (GtkWidget *entry, const char *text)
{
  GtkEditable *delegate = gtk_editable_get_delegate (GTK_EDITABLE (entry));
  if (!gtk_widget_has_focus (GTK_WIDGET (delegate))
      && strcmp (gtk_editable_get_text (GTK_EDITABLE (entry)), text) != 0)
    gtk_editable_set_text (GTK_EDITABLE (entry), text);
}

static void
show_edge (AppPanelCard *self, const ModelPanel *panel)
{
  int index = model_panel_find_edge (panel, chosen_edge (self));
  if (index < 0)
    return;
  const ModelEdge *edge = model_panel_edge (panel, (guint)index);
  const ModelDocument *doc = app_session_document (self->session);
  EngineReview *review = app_session_review (self->session);
  ModelSide side = app_session_selection (self->session)->side;
  const EnginePiece *piece = engine_review_piece (review, panel->id, side);
  if (piece == NULL)
    piece = engine_review_piece (review, panel->id, MODEL_SIDE_CENTRE);
  int at = piece != NULL ? engine_piece_find_edge (piece, edge->id, side) : -1;
  double length = NAN;
  if (at >= 0)
    length = g_array_index (piece->edges, EnginePieceEdge, at).length_mm;
  else
  {
    GeomPath path, part;
    geom_path_init (&path);
    geom_path_init (&part);
    g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
    model_panel_path (panel, &path, first);
    size_t end = (guint)index + 1 < panel->edges->len ? first[index + 1] : path.count;
    for (size_t i = first[index]; i < end; i++)
      geom_path_append (&part, &path.piece[i]);
    length = geom_path_length (&part, ENGINE_TOL_LENGTH_MM);
    geom_path_clear (&part);
    geom_path_clear (&path);
  }

  g_autofree char *numbered
    = edge->name[0] != '\0' ? g_strdup (edge->name) : g_strdup_printf (_ ("edge %d"), index + 1);
  app_label_set (self->edge_title, numbered);
  g_autofree char *where = g_strdup_printf (_ ("of %s"), panel->name);
  if (g_strcmp0 (gtk_button_get_label (GTK_BUTTON (self->edge_where)), where) != 0)
    gtk_button_set_label (GTK_BUTTON (self->edge_where), where);
  show_text (self->edge_name, edge->name);
  ModelUnit unit = doc->head->unit;
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->edge_length), unit);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->edge_allowance), unit);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->edge_length), length);
  gtk_widget_set_sensitive (self->edge_length, !edge->locked && !edge->fold);
  g_autofree char *hint = model_unit_text (engine_allowance_mm (doc, panel, edge, side), unit, 1);
  g_autofree char *from_joins = g_strdup_printf (_ ("%s by joins"), hint);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (self->edge_allowance), from_joins);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->edge_allowance),
                         edge->has_allowance ? edge->allowance_mm : NAN);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->edge_fold), edge->fold);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->edge_locked), edge->locked);
}

static bool
same_words (GListModel *model, const GPtrArray *words)
{
  if (model == NULL || g_list_model_get_n_items (model) != words->len)
    return false;
  for (guint i = 0; i < words->len; i++)
  {
    g_autoptr (GtkStringObject) item = g_list_model_get_item (model, i);
    if (strcmp (gtk_string_object_get_string (item), g_ptr_array_index (words, i)) != 0)
      return false;
  }
  return true;
}

static void
show_material (AppPanelCard *self, const ModelPanel *panel)
{
  const ModelDocument *doc = app_session_document (self->session);
  g_autoptr (GPtrArray) words = g_ptr_array_new_with_free_func (g_free);
  g_ptr_array_add (words, g_strdup (_ ("none said")));
  guint chosen = 0;
  for (guint i = 0; i < doc->materials->len; i++)
  {
    const ModelMaterial *m = g_ptr_array_index (doc->materials, i);
    g_ptr_array_add (words, g_strdup (m->name));
    if (m->id == panel->material_id)
      chosen = i + 1;
  }
  for (guint i = 0; i < G_N_ELEMENTS (starts); i++)
    g_ptr_array_add (words, g_strdup (_ (starts[i].name)));
  if (!same_words (gtk_drop_down_get_model (GTK_DROP_DOWN (self->material)), words))
  {
    g_autoptr (GtkStringList) list = gtk_string_list_new (NULL);
    for (guint i = 0; i < words->len; i++)
      gtk_string_list_append (list, g_ptr_array_index (words, i));
    gtk_drop_down_set_model (GTK_DROP_DOWN (self->material), G_LIST_MODEL (list));
  }
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->material), chosen);
  const ModelMaterial *material = model_document_material (doc, panel->material_id);
  GtkWidget *const only_with_material[]
    = { self->thickness_words, self->thickness, self->knife_words, self->knife };
  for (guint i = 0; i < G_N_ELEMENTS (only_with_material); i++)
    gtk_widget_set_visible (only_with_material[i], material != NULL);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->thickness), doc->head->unit);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->knife), doc->head->unit);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->thickness), material != NULL ? material->thickness_mm : NAN);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->knife), material != NULL ? material->knife_mm : NAN);
}

static void
show_size (AppPanelCard *self, const ModelPanel *panel)
{
  EngineReview *review = app_session_review (self->session);
  ModelSide sides[2];
  const EnginePiece *piece
    = engine_panel_sides (panel, sides) > 0 ? engine_review_piece (review, panel->id, sides[0]) : NULL;
  if (piece == NULL)
  {
    app_label_set (self->panel_size, "");
    return;
  }
  ModelUnit unit = app_session_document (self->session)->head->unit;
  GeomBox box = geom_path_box (&piece->seam);
  g_autofree char *width = model_unit_figure (box.x1 - box.x0, unit, 0);
  g_autofree char *height = model_unit_text (box.y1 - box.y0, unit, 0);
  g_autofree char *size = g_strdup_printf ("%s × %s", width, height);
  app_label_set (self->panel_size, size);
  g_autofree char *area
    = g_strdup_printf (_ ("Finished size; %.0f cm² to cut."), piece->cut_area_mm2 / MM2_PER_CM2);
  gtk_widget_set_tooltip_text (self->panel_size, area);
}

static void
show_panel (AppPanelCard *self, const ModelPanel *panel)
{
  guint count = app_session_selection (self->session)->panels->len;
  g_autofree char *many = g_strdup_printf (ngettext ("%u panel", "%u panels", count), count);
  app_label_set (self->panel_title, count > 1 ? many : panel->name);
  gtk_widget_set_sensitive (self->panel_name, count == 1);
  show_text (self->panel_name, panel->name);
  show_text (self->note, panel->note != NULL ? panel->note : "");
  show_material (self, panel);
  app_tape_list_show (APP_TAPE_LIST (self->tapes), self->session, panel);
  app_dart_list_show (APP_DART_LIST (self->darts), self->session, panel);
  app_dome_card_show (APP_DOME_CARD (self->dome), app_session_review (self->session), panel,
                      app_session_selection (self->session)->side);
  show_size (self, panel);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->quantity), panel->quantity);

  GtkWidget *halves = self->single;
  switch (panel->halves)
  {
  case MODEL_HALVES_SINGLE:
    break;
  case MODEL_HALVES_FOLD:
    halves = self->fold;
    break;
  case MODEL_HALVES_PAIR:
    halves = self->pair;
    break;
  }
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (halves), TRUE);
  gtk_widget_set_sensitive (self->fold,
                            panel->halves == MODEL_HALVES_FOLD || model_panel_fold_edge (panel) >= 0);
  GtkWidget *side = panel->side == MODEL_SIDE_LEFT    ? self->left
                    : panel->side == MODEL_SIDE_RIGHT ? self->right
                                                      : self->centre;
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (side), TRUE);
  gtk_widget_set_visible (self->centre, panel->halves == MODEL_HALVES_SINGLE);

  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->grain), panel->has_grain);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->grain_deg), panel->grain_deg);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->grain_tolerance), panel->grain_tolerance_deg);
  gtk_widget_set_sensitive (self->grain_deg, panel->has_grain);
  gtk_widget_set_visible (self->grain_words, panel->has_grain);
  gtk_widget_set_visible (self->grain_tolerance, panel->has_grain);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->locked), panel->locked);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->hidden), panel->hidden);
}

static gboolean
refresh (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppPanelCard *self = APP_PANEL_CARD (widget);
  self->refresh_id = 0;
  const ModelPanel *panel = chosen_panel (self);
  if (panel == NULL)
    return G_SOURCE_REMOVE;
  bool edge = chosen_edge (self) != 0, dart = app_dart_card_show (APP_DART_CARD (self->dart), self->session);
  bool show_the_edge = edge && (!dart || app_dart_card_shows_leg (APP_DART_CARD (self->dart)));
  gtk_widget_set_visible (self->edge_box, show_the_edge);
  gtk_widget_set_visible (self->panel_box, !edge && !dart);
  self->showing = true;
  if (show_the_edge)
    show_edge (self, panel);
  else if (!dart)
    show_panel (self, panel);
  self->showing = false;
  return G_SOURCE_REMOVE;
}

/* Visible at once, filled in the next frame: a hidden widget has no frames. */
static void
queue (AppPanelCard *self)
{
  bool shown = chosen_panel (self) != NULL;
  gtk_widget_set_visible (GTK_WIDGET (self), shown);
  if (shown)
    app_queue_refresh (GTK_WIDGET (self), &self->refresh_id, refresh);
}

static void
on_touched (AppSession *session, int kind, guint id, int touch, AppPanelCard *self)
{
  queue (self);
}

void
app_panel_card_set_session (AppPanelCard *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  app_dome_card_forget (APP_DOME_CARD (self->dome));
  app_dart_card_forget (APP_DART_CARD (self->dart));
  app_tape_list_forget (APP_TAPE_LIST (self->tapes));
  g_set_object (&self->session, session);
  if (session != NULL)
  {
    g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
    g_signal_connect_swapped (session, "settled", G_CALLBACK (queue), self);
    g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (queue), self);
  }
  queue (self);
}

GtkWidget *
app_panel_card_field (AppPanelCard *self, const char *name)
{
  g_autofree char *id = g_strdelimit (g_strdup (name), "-", '_');
  GObject *found = gtk_widget_get_template_child (GTK_WIDGET (self), APP_TYPE_PANEL_CARD, id);
  return found != NULL ? GTK_WIDGET (found) : NULL;
}

static void
app_panel_card_dispose (GObject *object)
{
  AppPanelCard *self = APP_PANEL_CARD (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_panel_card_parent_class)->dispose (object);
}

static void
app_panel_card_class_init (AppPanelCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_panel_card_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  g_type_ensure (APP_TYPE_UNIT_ENTRY);
  g_type_ensure (APP_TYPE_DOME_CARD);
  g_type_ensure (APP_TYPE_DART_CARD);
  g_type_ensure (APP_TYPE_DART_LIST);
  g_type_ensure (APP_TYPE_TAPE_LIST);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, APP_RESOURCE "ui/panel-card.ui");
#define BIND(name) gtk_widget_class_bind_template_child (widget_class, AppPanelCard, name)
  BIND (box);
  BIND (edge_box);
  BIND (panel_box);
  BIND (edge_title);
  BIND (edge_where);
  BIND (edge_name);
  BIND (edge_length);
  BIND (edge_allowance);
  BIND (edge_fold);
  BIND (edge_locked);
  BIND (panel_title);
  BIND (panel_size);
  BIND (panel_name);
  BIND (material);
  BIND (thickness_words);
  BIND (thickness);
  BIND (knife_words);
  BIND (knife);
  BIND (quantity);
  BIND (single);
  BIND (fold);
  BIND (pair);
  BIND (right);
  BIND (centre);
  BIND (left);
  BIND (grain);
  BIND (grain_deg);
  BIND (grain_words);
  BIND (grain_tolerance);
  BIND (note);
  BIND (locked);
  BIND (hidden);
  BIND (tapes);
  BIND (dome);
  BIND (dart);
  BIND (darts);
#undef BIND
}

/* A text is taken with Enter and on leaving the field. */
static void
connect_text (AppPanelCard *self, GtkWidget *entry, GCallback taken)
{
  g_signal_connect_swapped (entry, "activate", taken, self);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect_swapped (focus, "leave", taken, self);
  gtk_widget_add_controller (entry, focus);
}

static void
connect_length (AppPanelCard *self,
                GtkWidget *entry,
                const char *name,
                double least_mm,
                double most_mm,
                GCallback committed)
{
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (entry), true);
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), name);
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), least_mm, most_mm);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 14);
  g_signal_connect_object (entry, "committed", committed, self, G_CONNECT_SWAPPED);
}

static void
app_panel_card_init (AppPanelCard *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
  connect_text (self, self->panel_name, G_CALLBACK (on_panel_name));
  connect_text (self, self->note, G_CALLBACK (on_note));
  connect_text (self, self->edge_name, G_CALLBACK (on_edge_name));
  connect_length (self, self->edge_length, _ ("Length of the edge"), 0.1, 1e5, G_CALLBACK (on_edge_length));
  connect_length (self, self->edge_allowance, _ ("Allowance"), 0.0, MOST_ALLOWANCE_MM,
                  G_CALLBACK (on_edge_allowance));
  connect_length (self, self->thickness, _ ("Thickness"), 0.1, MOST_THICKNESS_MM, G_CALLBACK (on_thickness));
  connect_length (self, self->knife, _ ("Knife adds"), 0.0, MOST_KNIFE_MM, G_CALLBACK (on_knife));
  g_signal_connect_swapped (self->dart, "leg-toggled", G_CALLBACK (queue), self);
  g_signal_connect_swapped (self->edge_where, "clicked", G_CALLBACK (on_whole_panel), self);
  g_signal_connect_swapped (self->edge_fold, "toggled", G_CALLBACK (on_edge_fold), self);
  g_signal_connect_swapped (self->edge_locked, "toggled", G_CALLBACK (on_edge_locked), self);
  g_signal_connect_swapped (self->material, "notify::selected", G_CALLBACK (on_material), self);
  g_signal_connect_swapped (self->quantity, "value-changed", G_CALLBACK (on_quantity), self);
  g_signal_connect_swapped (self->grain, "toggled", G_CALLBACK (on_grain), self);
  g_signal_connect_swapped (self->grain_deg, "value-changed", G_CALLBACK (on_grain), self);
  g_signal_connect_swapped (self->grain_tolerance, "value-changed", G_CALLBACK (on_grain), self);
  g_signal_connect_swapped (self->locked, "toggled", G_CALLBACK (on_locks), self);
  g_signal_connect_swapped (self->hidden, "toggled", G_CALLBACK (on_locks), self);
  GtkWidget *const halves[] = { self->single, self->fold, self->pair };
  GtkWidget *const sides[] = { self->left, self->centre, self->right };
  for (guint i = 0; i < G_N_ELEMENTS (halves); i++)
  {
    g_signal_connect (halves[i], "toggled", G_CALLBACK (on_halves), self);
    g_signal_connect (sides[i], "toggled", G_CALLBACK (on_side), self);
  }
}

GtkWidget *
app_panel_card_new (void)
{
  return g_object_new (APP_TYPE_PANEL_CARD, NULL);
}
