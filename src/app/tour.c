/* Nothing here is told by a button that a step was done: each step of undo, each selection, preview and room
 * is looked at while the tour is on, for all steps at once, so the order is the maker's.
 *
 * The outcome is one bit a step, kept in the settings: a tour that was left goes on another day. */
#include "app/tour.h"

#include "app/canvas-private.h"
#include "app/label.h"
#include "app/settings.h"
#include "app/window-private.h"

#include <glib/gi18n.h>

#define RING_CLASS "pw-tour-ring"
/* Less than any hand moves a handle by, more than rounding. */
#define SAME_MM 1e-6

struct _AppTour
{
  GtkWidget parent;
  AppWindow *window; /* owns this */
  AppSession *session;
  GtkWidget *box, *count, *symbol, *title, *words, *back, *skip, *leave, *target;
  AppTourStep step;
  guint done; /* a bit for each step */
  bool undone, measured;
  char *finding, *first_remedy, *remedy; /* what is open, what it offered first, what was previewed last */
  GPtrArray *panels;                     /* ModelPanel, as they were at the last step of undo */
  guint position;
  char *redo_label;
};

G_DEFINE_FINAL_TYPE (AppTour, app_tour, GTK_TYPE_WIDGET)

typedef struct StepWords
{
  const char *title, *words;
} StepWords;

static const StepWords step_words[APP_TOUR_COUNT] = {
  { N_ ("Open the first place that does not agree"),
    N_ ("At the right stands what would go wrong at the cutting table, worst first. Click the first row, or "
        "press Ctrl+Page Down.") },
  { N_ ("Compare two remedies"),
    N_ ("Open “Side longer than Front” in the list: it has several remedies. Choose another one, or press "
        "Down: the paper shows it, nothing is changed yet.") },
  { N_ ("Take a remedy"), N_ ("“Take it” or Enter makes the change; the place leaves the list.") },
  { N_ ("Undo it, and do it again"),
    N_ ("Ctrl+Z undoes, Ctrl+Shift+Z does it again, as many steps as you like. So spoil it freely.") },
  { N_ ("Pull a curve"),
    N_ ("Double-click the ringed edge, then drag the edge itself. By keys: Shape is F6; choose a point and "
        "press an arrow. Both tapes of its join follow.") },
  { N_ ("Type a length"),
    N_ ("Choose an edge and press Enter, or click the figure beside it. Sums do: 182 + 3/8 in.") },
  { N_ ("Change a measure"),
    N_ ("At the left, type another figure for the wearer or the form. What depends on it is looked at again "
        "at once.") },
  { N_ ("Look at the sheets"),
    N_ ("Sheets, or Alt+3: every page at true size, to be printed or saved as PDF. Check the square with a "
        "ruler before you cut.") },
};

/* ---- where it points ---- */

static void
point_at (AppTour *self, GtkWidget *target)
{
  if (self->target == target)
    return;
  if (self->target != NULL)
    app_set_class (self->target, RING_CLASS, false);
  g_set_weak_pointer (&self->target, target);
  if (target != NULL)
    app_set_class (target, RING_CLASS, true);
}

static AppPanelsRoom *
panels_room (AppTour *self)
{
  return APP_PANELS_ROOM (self->window->panels);
}

/* The middle of the chosen edge, else of the one that is bent most. */
static bool
edge_to_show (AppTour *self, GeomPoint *at)
{
  AppCanvas *canvas = app_panels_room_canvas (panels_room (self));
  const ModelDocument *doc = app_session_document (self->session);
  const AppSelection *s = app_session_selection (self->session);
  double most = 0.0;
  GeomPath path;
  geom_path_init (&path);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    const AppOutline *outline = app_pick_index_outline (canvas->index, panel->id, panel->side);
    for (guint e = 0; outline != NULL && !panel->locked && !panel->hidden && e < panel->edges->len; e++)
    {
      const ModelEdge *edge = model_panel_edge (panel, e);
      bool chosen = app_selection_has_panel (s, panel->id) && app_selection_has_edge (s, edge->id);
      geom_path_clear (&path);
      geom_path_init (&path);
      if (edge->fold || edge->locked || !app_outline_edge_path (outline, panel, edge->id, &path))
        continue;
      const double length = geom_path_length (&path, 0.1);
      const GeomPoint from = geom_path_point (&path, geom_path_place_at (&path, 0.0, 0.1)),
                      to = geom_path_point (&path, geom_path_place_at (&path, length, 0.1));
      const double bow = chosen ? G_MAXDOUBLE : length - geom_distance (from, to);
      if (bow <= most)
        continue;
      most = bow;
      *at = geom_path_point (&path, geom_path_place_at (&path, length / 2.0, 0.1));
    }
  }
  geom_path_clear (&path);
  return most > 0.0;
}

static GtkWidget *
target_in_panels (AppTour *self, GeomPoint *at, bool *on_paper)
{
  AppPanelsRoom *room = panels_room (self);
  bool open = app_finding_card_is_open (app_panels_room_card (room));
  switch (self->step)
  {
  case APP_TOUR_PLACE:
    return app_joins_pane_findings (app_panels_room_joins (room));
  case APP_TOUR_REMEDY:
    /* One remedy alone leaves nothing to compare. */
    open = open && app_finding_card_remedy_count (app_panels_room_card (room)) > 1;
    return open ? GTK_WIDGET (app_panels_room_card (room))
                : app_joins_pane_findings (app_panels_room_joins (room));
  case APP_TOUR_TAKE:
    return open ? GTK_WIDGET (app_panels_room_card (room))
                : app_joins_pane_findings (app_panels_room_joins (room));
  case APP_TOUR_UNDO:
    return self->undone ? self->window->redo_button : self->window->undo_button;
  case APP_TOUR_BEND:
  case APP_TOUR_LENGTH:
    *on_paper = edge_to_show (self, at);
    return NULL;
  case APP_TOUR_MEASURE:
    return app_panels_room_measures_shown (room);
  case APP_TOUR_SHEETS:
    return self->window->sheets_tab;
  case APP_TOUR_COUNT:
    break;
  }
  return NULL;
}

static void
aim (AppTour *self)
{
  GeomPoint at;
  bool on_paper = false;
  GtkWidget *target = NULL;
  if (self->session != NULL && app_tour_is_shown (self) && self->step < APP_TOUR_COUNT)
  {
    bool here = gtk_stack_get_visible_child (GTK_STACK (self->window->stack)) == self->window->panels;
    if (here || self->step == APP_TOUR_UNDO || self->step == APP_TOUR_SHEETS)
      target = target_in_panels (self, &at, &on_paper);
    else
      target = self->window->panels_tab;
  }
  point_at (self, target);
  app_canvas_set_beckon (app_panels_room_canvas (panels_room (self)), on_paper ? &at : NULL);
}

/* ---- what it says ---- */

static void
show_step (AppTour *self)
{
  bool over = self->step >= APP_TOUR_COUNT, done = !over && app_tour_is_done (self, self->step);
  const char *title = over ? _ ("That was the whole way") : _ (step_words[self->step].title);
  const char *words
    = over ? _ ("From a draft to sheets that can be cut. The example is a copy: go on with it, or "
                "start a piece of your own.")
           : _ (step_words[self->step].words);
  g_autofree char *count
    = over ? g_strdup ("")
           /* Translators: the step of the tour, and how many there are. */
           : g_strdup_printf (_ ("Tour, %d of %d"), (int)self->step + 1, (int)APP_TOUR_COUNT);
  app_label_set (self->count, count);
  app_label_set (self->title, title);
  app_label_set (self->words, words);
  gtk_widget_set_visible (self->count, !over);
  gtk_widget_set_visible (self->symbol, over || done);
  gtk_widget_set_sensitive (self->back, self->step > 0);
  gtk_widget_set_visible (self->skip, !over);
  gtk_button_set_label (GTK_BUTTON (self->skip), done ? _ ("_Next") : _ ("_Skip"));
  gtk_button_set_label (GTK_BUTTON (self->leave), over ? _ ("_Close") : _ ("_Leave the tour"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, title,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, words, -1);
  if (app_tour_is_shown (self) && self->session != NULL)
  {
    g_autofree char *spoken = g_strdup_printf ("%s. %s", title, words);
    app_canvas_items_tell (app_panels_room_canvas (panels_room (self)), spoken);
  }
  aim (self);
}

static AppTourStep
first_open (AppTour *self, AppTourStep from)
{
  for (int i = 0; i < APP_TOUR_COUNT; i++)
  {
    AppTourStep step = (AppTourStep)(((int)from + i) % APP_TOUR_COUNT);
    if (!app_tour_is_done (self, step))
      return step;
  }
  return APP_TOUR_COUNT;
}

static void
note_done (AppTour *self, AppTourStep step)
{
  if (!app_tour_is_shown (self) || app_tour_is_done (self, step))
    return;
  self->done |= 1U << step;
  app_settings_set_number ("tour-steps", (int)self->done);
  if (self->step == step)
    self->step = first_open (self, step);
  if (self->step == APP_TOUR_COUNT && app_settings () != NULL)
    g_settings_set_boolean (app_settings (), "tour-finished", TRUE);
  show_step (self);
}

/* ---- how a step is noticed ---- */

static bool
same_handles (const ModelNode *a, const ModelNode *b, bool arriving, bool leaving)
{
  return (!arriving || geom_distance (a->in, b->in) < SAME_MM)
         && (!leaving || geom_distance (a->out, b->out) < SAME_MM);
}

/* Another curve between the same corners. */
static bool
edge_is_bent (const ModelPanel *was, const ModelPanel *now, guint e)
{
  const ModelEdge *now_edge = model_panel_edge (now, e);
  int at = model_panel_find_edge (was, now_edge->id);
  if (at < 0)
    return false;
  const ModelEdge *was_edge = model_panel_edge (was, (guint)at);
  const ModelEdge *now_next = model_panel_edge (now, (e + 1) % now->edges->len),
                  *was_next = model_panel_edge (was, ((guint)at + 1) % was->edges->len);
  const ModelNode *a0 = &g_array_index (was_edge->nodes, ModelNode, 0),
                  *b0 = &g_array_index (now_edge->nodes, ModelNode, 0),
                  *a1 = &g_array_index (was_next->nodes, ModelNode, 0),
                  *b1 = &g_array_index (now_next->nodes, ModelNode, 0);
  if (a0->id != b0->id || a1->id != b1->id || geom_distance (a0->at, b0->at) > SAME_MM
      || geom_distance (a1->at, b1->at) > SAME_MM)
    return false;
  if (was_edge->nodes->len != now_edge->nodes->len)
    return true;
  bool same = same_handles (a0, b0, false, true) && same_handles (a1, b1, true, false);
  for (guint i = 1; same && i < now_edge->nodes->len; i++)
  {
    const ModelNode *a = &g_array_index (was_edge->nodes, ModelNode, i),
                    *b = &g_array_index (now_edge->nodes, ModelNode, i);
    same = geom_distance (a->at, b->at) < SAME_MM && same_handles (a, b, true, true);
  }
  return !same;
}

static bool
some_edge_is_bent (AppTour *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  for (guint i = 0; i < self->panels->len; i++)
  {
    const ModelPanel *was = g_ptr_array_index (self->panels, i), *now = model_document_panel (doc, was->id);
    for (guint e = 0; now != NULL && e < now->edges->len; e++)
      if (edge_is_bent (was, now, e))
        return true;
  }
  return false;
}

static void
keep_state (AppTour *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  ModelHistory *history = app_session_history (self->session);
  g_ptr_array_set_size (self->panels, 0);
  for (guint i = 0; i < doc->panels->len; i++)
    g_ptr_array_add (self->panels, model_panel_copy (g_ptr_array_index (doc->panels, i)));
  self->position = model_history_position (history);
  g_free (self->redo_label);
  self->redo_label = g_strdup (model_history_redo_label (history));
  self->measured = false;
}

static void
note_step (AppTour *self, const char *label)
{
  if (g_strcmp0 (label, self->remedy) == 0)
  {
    note_done (self, APP_TOUR_TAKE);
    return;
  }
  /* Both ways in to a typed length: the flag on the paper, the panel's card. */
  if (g_strcmp0 (label, _ ("Change edge length")) == 0
      || g_strcmp0 (label, _ ("Change the length of an edge")) == 0)
    note_done (self, APP_TOUR_LENGTH);
  /* On the other side a bend is kept as corrections: there the step's own name tells. */
  else if (some_edge_is_bent (self) || g_strcmp0 (label, _ ("Bend edge")) == 0)
    note_done (self, APP_TOUR_BEND);
  if (self->measured)
    note_done (self, APP_TOUR_MEASURE);
}

static void
on_settled (AppTour *self)
{
  ModelHistory *history = app_session_history (self->session);
  guint position = model_history_position (history);
  const char *label = model_history_undo_label (history);
  if (position < self->position)
  {
    self->undone = true;
    aim (self);
  }
  else if (position > self->position && self->redo_label != NULL && g_strcmp0 (label, self->redo_label) == 0)
  {
    if (self->undone)
      note_done (self, APP_TOUR_UNDO);
  }
  else if (position > 0)
    note_step (self, label);
  keep_state (self);
  aim (self);
}

static void
on_touched (AppSession *session, guint kind, guint id, guint touch, AppTour *self)
{
  self->measured |= kind == MODEL_PART_MEASURE && touch == MODEL_TOUCH_CHANGED;
}

static void
on_selection (AppTour *self)
{
  const AppSelection *s = app_session_selection (self->session);
  if (s->has_finding)
    note_done (self, APP_TOUR_PLACE);
  aim (self);
}

static void
on_preview (AppTour *self)
{
  const EngineRemedy *remedy = app_session_previewed (self->session);
  const AppSelection *s = app_session_selection (self->session);
  if (remedy == NULL || !s->has_finding)
    return;
  char *finding = engine_finding_text (app_session_review (self->session), &s->finding);
  bool same = g_strcmp0 (finding, self->finding) == 0;
  g_free (self->finding);
  self->finding = finding;
  g_free (self->remedy);
  self->remedy = g_strdup (remedy->text);
  if (!same)
  {
    g_free (self->first_remedy);
    self->first_remedy = g_strdup (remedy->text);
  }
  else if (g_strcmp0 (self->first_remedy, remedy->text) != 0)
    note_done (self, APP_TOUR_REMEDY);
  aim (self);
}

static void
on_room (AppTour *self)
{
  if (self->session == NULL)
    return;
  if (gtk_stack_get_visible_child (GTK_STACK (self->window->stack)) == self->window->sheets)
    note_done (self, APP_TOUR_SHEETS);
  aim (self);
}

/* ---- asked from outside ---- */

void
app_tour_set_session (AppTour *self, AppSession *session)
{
  if (session == self->session)
    return;
  if (self->session != NULL)
  {
    g_signal_handlers_disconnect_by_data (self->session, self);
    point_at (self, NULL);
    app_canvas_set_beckon (app_panels_room_canvas (panels_room (self)), NULL);
  }
  g_set_object (&self->session, session);
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
  self->undone = false;
  g_clear_pointer (&self->finding, g_free);
  g_clear_pointer (&self->first_remedy, g_free);
  g_clear_pointer (&self->remedy, g_free);
  g_ptr_array_set_size (self->panels, 0);
  if (session == NULL)
    return;
  keep_state (self);
  g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
  g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
  g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (on_selection), self);
  g_signal_connect_swapped (session, "preview-changed", G_CALLBACK (on_preview), self);
}

AppSession *
app_tour_session (AppTour *self)
{
  return self->session;
}

void
app_tour_begin (AppTour *self)
{
  g_return_if_fail (self->session != NULL);
  self->step = first_open (self, APP_TOUR_PLACE);
  if (self->step == APP_TOUR_COUNT)
  {
    self->done = 0;
    self->step = APP_TOUR_PLACE;
    app_settings_set_number ("tour-steps", 0);
  }
  gtk_widget_set_visible (GTK_WIDGET (self), TRUE);
  show_step (self);
}

void
app_tour_leave (AppTour *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus (root) : NULL;
  if (self->session != NULL && focus != NULL && gtk_widget_is_ancestor (focus, GTK_WIDGET (self)))
    gtk_widget_grab_focus (GTK_WIDGET (app_panels_room_canvas (panels_room (self))));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
  aim (self);
}

void
app_tour_turn (AppTour *self, int by)
{
  self->step = (AppTourStep)CLAMP ((int)self->step + by, 0, (int)APP_TOUR_COUNT);
  if (self->step == APP_TOUR_COUNT && first_open (self, APP_TOUR_PLACE) != APP_TOUR_COUNT)
  {
    /* The end was reached by skipping: it can be taken up again, and is not offered any more. */
    if (app_settings () != NULL)
      g_settings_set_boolean (app_settings (), "tour-finished", TRUE);
  }
  show_step (self);
}

bool
app_tour_is_shown (AppTour *self)
{
  return gtk_widget_get_visible (GTK_WIDGET (self));
}

AppTourStep
app_tour_step (AppTour *self)
{
  return self->step;
}

bool
app_tour_is_done (AppTour *self, AppTourStep step)
{
  return step < APP_TOUR_COUNT && (self->done & (1U << step)) != 0;
}

GtkWidget *
app_tour_target (AppTour *self)
{
  return self->target;
}

/* ---- life ---- */

static void
on_back (AppTour *self)
{
  app_tour_turn (self, -1);
}

static void
on_skip (AppTour *self)
{
  app_tour_turn (self, 1);
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppTour *self)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  app_tour_leave (self);
  return GDK_EVENT_STOP;
}

static void
app_tour_dispose (GObject *object)
{
  AppTour *self = APP_TOUR (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_weak_pointer (&self->target);
  g_clear_pointer (&self->panels, g_ptr_array_unref);
  g_clear_pointer (&self->finding, g_free);
  g_clear_pointer (&self->first_remedy, g_free);
  g_clear_pointer (&self->remedy, g_free);
  g_clear_pointer (&self->redo_label, g_free);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_tour_parent_class)->dispose (object);
}

static void
app_tour_class_init (AppTourClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_tour_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_accessible_role (GTK_WIDGET_CLASS (klass), GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
app_tour_init (AppTour *self)
{
  self->panels = g_ptr_array_new_with_free_func ((GDestroyNotify)model_panel_free);
  self->done = (guint)app_settings_number ("tour-steps", 0) & ((1U << APP_TOUR_COUNT) - 1U);
  self->box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  app_add_classes (self->box, "pw-tour");
  GtkWidget *text = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2),
            *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->count = app_label_new (NULL, "pw-small pw-dim pw-number");
  self->symbol = gtk_image_new_from_icon_name ("panelwright-agreeing-symbolic");
  gtk_widget_add_css_class (self->symbol, "pw-moss");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->symbol), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Done"),
                                  -1);
  self->title = app_label_new (NULL, "pw-heading");
  gtk_box_append (GTK_BOX (head), self->title);
  gtk_box_append (GTK_BOX (head), self->symbol);
  gtk_box_append (GTK_BOX (head), self->count);
  self->words = app_prose_new (NULL, NULL);
  gtk_widget_set_hexpand (text, TRUE);
  gtk_widget_set_valign (text, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (text), head);
  gtk_box_append (GTK_BOX (text), self->words);
  self->back = app_button_new (_ ("_Back"), "pw-plain", NULL);
  self->skip = app_button_new (_ ("_Skip"), "pw-plain", NULL);
  self->leave = app_button_new (_ ("_Leave the tour"), "pw-flat", NULL);
  GtkWidget *const children[] = { text, self->back, self->skip, self->leave };
  for (guint i = 0; i < G_N_ELEMENTS (children); i++)
  {
    gtk_box_append (GTK_BOX (self->box), children[i]);
    gtk_widget_set_valign (children[i], GTK_ALIGN_CENTER);
  }
  g_signal_connect_swapped (self->back, "clicked", G_CALLBACK (on_back), self);
  g_signal_connect_swapped (self->skip, "clicked", G_CALLBACK (on_skip), self);
  g_signal_connect_swapped (self->leave, "clicked", G_CALLBACK (app_tour_leave), self);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  GtkEventController *keys = gtk_event_controller_key_new ();
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_tour_new (AppWindow *window)
{
  AppTour *self = g_object_new (APP_TYPE_TOUR, NULL);
  self->window = window;
  g_signal_connect_object (window->stack, "notify::visible-child", G_CALLBACK (on_room), self,
                           G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
