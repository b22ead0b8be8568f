/* All that is shown is read back from the document; a figure that is typed is a plan (app/plan.h) with its
 * ghost on the paper until Enter, Escape gives the old one back. */
#include "app/dart-card.h"

#include "app/dart.h"
#include "app/label.h"
#include "app/number-entry.h"
#include "app/plan.h"
#include "app/unit-entry.h"
#include "engine/join-words.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define LEAST_MM 0.1
#define MOST_MM 1000.0
#define MOST_DEG 170.0
#define FIELD_CHARS 14
#define VALUE_CHARS 24
/* Shown with one decimal: less is nothing. */
#define SHOWN 0.05

struct _AppDartCard
{
  GtkWidget parent;
  AppSession *session; /* borrowed */
  guint panel_id, leg;
  double mm, deg;            /* as it is */
  bool showing;              /* not the maker's typing */
  const EngineRemedy *ghost; /* as the session shows it */
  GtkWidget *box, *where, *edge, *intake, *angle, *depth, *legs, *cap, *legend, *trouble, *move, *divide,
    *seam, *closed, *remove, *own;
};

G_DEFINE_FINAL_TYPE (AppDartCard, app_dart_card, GTK_TYPE_WIDGET)

static guint leg_toggled;

static const ModelPanel *
shown_panel (AppDartCard *self)
{
  return self->session != NULL && self->leg != 0
           ? model_document_panel (app_session_document (self->session), self->panel_id)
           : NULL;
}

/* ---- typing ---- */

static void
drop_ghost (AppDartCard *self)
{
  if (self->ghost != NULL && self->session != NULL && app_session_previewed (self->session) == self->ghost)
    app_session_preview (self->session, NULL);
  self->ghost = NULL;
  gtk_widget_set_visible (self->legend, FALSE);
}

static void
say_trouble (AppDartCard *self, const char *words)
{
  app_label_set (self->trouble, words);
  gtk_widget_set_visible (self->trouble, words != NULL);
}

/* MM or DEG 0. */
static AppPlan
plan_of (AppDartCard *self, double mm, double deg)
{
  return (
    AppPlan) { .kind = APP_PLAN_INTAKE, .panel_id = self->panel_id, .leg = self->leg, .mm = mm, .deg = deg };
}

static bool
is_as_it_is (AppDartCard *self, double mm, double deg)
{
  return deg > 0.0 ? fabs (deg - self->deg) < SHOWN : fabs (mm - self->mm) < SHOWN;
}

static void
show_ghost (AppDartCard *self, double mm, double deg)
{
  g_autoptr (GError) error = NULL;
  drop_ghost (self);
  say_trouble (self, NULL);
  if (shown_panel (self) == NULL || !(mm > 0.0 || deg > 0.0) || is_as_it_is (self, mm, deg))
    return;
  AppPlan plan = plan_of (self, mm, deg);
  EngineRemedy *ghost = app_plan_ghost (app_session_document (self->session), &plan, &error);
  if (ghost != NULL)
    app_session_preview (self->session, ghost);
  self->ghost = ghost;
  gtk_widget_set_visible (self->legend, ghost != NULL);
  if (error != NULL)
    say_trouble (self, error->message);
}

static void show (AppDartCard *self);

static void
take (AppDartCard *self, double mm, double deg)
{
  g_autoptr (GError) error = NULL;
  drop_ghost (self);
  if (shown_panel (self) == NULL)
    return;
  AppPlan plan = plan_of (self, mm, deg);
  bool done = app_plan_run (app_session_history (self->session), &plan, &error);
  show (self);
  say_trouble (self, done || error == NULL ? NULL : error->message);
}

static void
on_intake_typed (GtkEditable *field, AppDartCard *self)
{
  double mm = 0.0;
  if (self->showing || shown_panel (self) == NULL)
    return;
  if (!model_unit_parse (gtk_editable_get_text (field), app_session_document (self->session)->head->unit, &mm,
                         NULL))
    mm = 0.0;
  show_ghost (self, mm >= LEAST_MM && mm <= MOST_MM ? mm : 0.0, 0.0);
}

static void
on_intake (AppDartCard *self, double mm)
{
  take (self, mm, 0.0);
}

/* 0: it cannot be read, or no dart has it. */
static double
typed_deg (AppDartCard *self)
{
  double deg;
  return app_angle_parse (gtk_editable_get_text (GTK_EDITABLE (self->angle)), &deg) && deg > 0.0
             && deg <= MOST_DEG
           ? deg
           : 0.0;
}

static void
on_angle_typed (AppDartCard *self)
{
  gtk_widget_remove_css_class (self->angle, "error");
  if (!self->showing)
    show_ghost (self, 0.0, typed_deg (self));
}

static void
show_angle (AppDartCard *self)
{
  g_autofree char *text = g_strdup_printf ("%.1f°", self->deg);
  bool was = self->showing;
  self->showing = true;
  if (strcmp (gtk_editable_get_text (GTK_EDITABLE (self->angle)), text) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->angle), text);
  gtk_widget_remove_css_class (self->angle, "error");
  self->showing = was;
}

static void
on_angle (AppDartCard *self)
{
  double deg = typed_deg (self);
  if (shown_panel (self) == NULL)
    return;
  if (!(deg > 0.0))
    gtk_widget_add_css_class (self->angle, "error");
  else if (is_as_it_is (self, 0.0, deg))
  {
    drop_ghost (self);
    show_angle (self);
  }
  else
    take (self, 0.0, deg);
}

static void
on_angle_left (AppDartCard *self)
{
  if (typed_deg (self) > 0.0)
    on_angle (self);
  else
    show_angle (self);
}

static gboolean
on_angle_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppDartCard *self)
{
  g_autofree char *text = g_strdup_printf ("%.1f°", self->deg);
  if (keyval != GDK_KEY_Escape || g_str_equal (gtk_editable_get_text (GTK_EDITABLE (self->angle)), text))
    return GDK_EVENT_PROPAGATE;
  drop_ghost (self);
  say_trouble (self, NULL);
  show_angle (self);
  return GDK_EVENT_STOP;
}

static void
on_where (AppDartCard *self)
{
  if (shown_panel (self) != NULL)
    app_session_select_panel (self->session, self->panel_id, app_session_selection (self->session)->side,
                              false);
}

static void
on_own (AppDartCard *self)
{
  g_signal_emit (self, leg_toggled, 0);
}

/* ---- showing ---- */

/* The join of the legs as it is on the side in hand; AT_MOUTH_END: its runs end at the mouth. */
static bool
read_join (AppDartCard *self, const guint legs[2], EngineJoinReading *out, bool *at_mouth_end)
{
  const ModelDocument *doc = app_session_document (self->session);
  ModelSide side = app_session_selection (self->session)->side;
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (join->a.panel_id != self->panel_id || join->b.panel_id != self->panel_id || join->a.edges->len != 1
        || join->b.edges->len != 1)
      continue;
    guint a = g_array_index (join->a.edges, guint, 0), b = g_array_index (join->b.edges, guint, 0);
    EngineJoinReading readings[2];
    if (!((a == legs[0] && b == legs[1]) || (a == legs[1] && b == legs[0])))
      continue;
    int count = engine_review_join_readings (app_session_review (self->session), join->id, readings);
    if (count == 0)
      return false;
    *out = readings[count > 1 && readings[1].side == side ? 1 : 0];
    /* As drawn, the first leg comes from the mouth and the second goes back to it. */
    *at_mouth_end = (a == legs[0]) == join->a.reversed;
    return true;
  }
  return false;
}

static void
show_legs (AppDartCard *self, const EngineJoinReading *reading)
{
  const ModelDocument *doc = app_session_document (self->session);
  g_autofree char *a = engine_words_length (doc, reading->length_a_mm),
                  *b = engine_words_length (doc, reading->length_b_mm), *words = NULL;
  double apart = fabs (reading->length_a_mm - reading->length_b_mm);
  if (apart < SHOWN)
    /* Translators: both legs of a dart are so long. */
    words = g_strdup_printf (_ ("%s each"), a);
  else if (reading->holds)
    /* Translators: the lengths of a dart's legs, which differ by no more than is allowed. */
    words = g_strdup_printf (_ ("%s and %s, near enough"), a, b);
  else
  {
    g_autofree char *by = engine_words_length (doc, fabs (reading->difference_mm));
    /* Translators: the lengths of a dart's legs, and their difference. */
    words = g_strdup_printf (_ ("%s and %s, do not agree: %s apart"), a, b, by);
  }
  app_label_set (self->legs, words);
  app_set_class (self->legs, "pw-madder", !reading->holds);
  app_set_class (self->legs, "pw-strong", !reading->holds);
}

static void
show_cap (AppDartCard *self, const EngineJoinReading *reading, bool at_mouth_end)
{
  double deg = 0.0;
  /* It is closed from the apex on. */
  double step = fabs (reading->length_a_mm - reading->length_b_mm);
  if (!engine_join_kink_deg (app_session_review (self->session), reading, at_mouth_end, &deg))
  {
    app_label_set (self->cap, "–");
    return;
  }
  g_autofree char *angle = g_strdup_printf ("%.1f°", fabs (deg)),
                  *length = engine_words_length (app_session_document (self->session), step), *words = NULL;
  bool bends = fabs (deg) >= SHOWN, steps = step >= SHOWN;
  if (!bends)
    words = steps ? g_strdup_printf (_ ("a step of %s"), length) : g_strdup (_ ("runs on smoothly"));
  else if (steps)
    words = g_strdup_printf (deg < 0.0 ? _ ("a peak of %s, a step of %s") : _ ("a dent of %s, a step of %s"),
                             angle, length);
  else
    words = g_strdup_printf (deg < 0.0 ? _ ("a peak of %s") : _ ("a dent of %s"), angle);
  app_label_set (self->cap, words);
}

/* Made when it is asked for: a card that follows a drag must not make it for nothing. */
static void
make_menu (GtkMenuButton *button, gpointer user)
{
  AppDartCard *self = user;
  g_autoptr (GMenu) move = g_menu_new ();
  g_autoptr (GMenu) divide = g_menu_new ();
  g_autoptr (GMenu) seam = g_menu_new ();
  if (shown_panel (self) == NULL)
    return;
  app_dart_targets (app_session_document (self->session), self->panel_id, self->leg, move, divide, seam);
  gtk_menu_button_set_menu_model (button, G_MENU_MODEL (GTK_WIDGET (button) == self->move     ? move
                                                        : GTK_WIDGET (button) == self->divide ? divide
                                                                                              : seam));
}

static bool
has_another (AppDartCard *self, const ModelPanel *panel, const guint legs[2])
{
  const ModelDocument *doc = app_session_document (self->session);
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint id = model_panel_edge (panel, e)->id;
    if (id != legs[0] && id != legs[1] && model_rework_dart_is_joined (doc, panel->id, id))
      return true;
  }
  return false;
}

static void
show_edge (AppDartCard *self, const ModelPanel *panel)
{
  g_autofree char *stands = app_dart_words (panel, self->leg);
  /* Translators: the panel something lies on. */
  g_autofree char *where = g_strdup_printf (_ ("of %s"), panel->name);
  app_label_set (self->edge, stands);
  if (g_strcmp0 (gtk_button_get_label (GTK_BUTTON (self->where)), where) != 0)
    gtk_button_set_label (GTK_BUTTON (self->where), where);
}

static void
show (AppDartCard *self)
{
  const ModelPanel *panel = shown_panel (self);
  ModelReworkDart dart;
  guint legs[2];
  if (panel == NULL || !model_rework_read_dart (panel, self->leg, &dart)
      || !model_rework_find_dart (panel, self->leg, &legs[0], &legs[1], NULL))
    return;
  const ModelDocument *doc = app_session_document (self->session);
  bool typing = self->ghost != NULL;
  self->showing = true;
  self->mm = dart.intake_mm;
  self->deg = dart.intake_deg;
  show_edge (self, panel);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->intake), doc->head->unit);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->intake), dart.intake_mm);
  if (!typing)
    show_angle (self);
  double half = 0.5 * dart.intake_mm,
         leg = geom_distance (
           dart.apex,
           model_edge_node (model_panel_edge (panel, (guint)model_panel_find_edge (panel, legs[0])), 0)->at);
  g_autofree char *depth = engine_words_length (doc, sqrt (MAX (leg * leg - half * half, 0.0)));
  /* Translators: how far a dart's apex lies from the edge it stands on. */
  g_autofree char *from_edge = g_strdup_printf (_ ("%s from the edge"), depth);
  app_label_set (self->depth, from_edge);
  EngineJoinReading reading;
  bool at_mouth_end;
  if (read_join (self, legs, &reading, &at_mouth_end))
  {
    show_legs (self, &reading);
    show_cap (self, &reading, at_mouth_end);
  }
  gtk_widget_set_visible (self->seam, has_another (self, panel, legs));
  bool free = !panel->locked;
  GtkWidget *const change[]
    = { self->intake, self->angle, self->move, self->divide, self->seam, self->remove };
  for (guint i = 0; i < G_N_ELEMENTS (change); i++)
    gtk_widget_set_sensitive (change[i], free);
  gtk_widget_set_visible (self->own, app_session_selection (self->session)->nodes->len == 0);
  self->showing = false;
}

bool
app_dart_card_show (AppDartCard *self, AppSession *session)
{
  guint panel_id = 0, leg = 0;
  bool there = app_dart_of_selection (app_session_document (session), app_session_selection (session),
                                      &panel_id, &leg);
  if (self->session != session || self->panel_id != panel_id || self->leg != leg)
  {
    drop_ghost (self);
    say_trouble (self, NULL);
    self->session = session;
    self->panel_id = panel_id;
    self->leg = there ? leg : 0;
    if (!there)
      gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->own), FALSE);
  }
  gtk_widget_set_visible (GTK_WIDGET (self), there);
  if (there)
    show (self);
  return there;
}

void
app_dart_card_forget (AppDartCard *self)
{
  drop_ghost (self);
  self->session = NULL;
  self->leg = 0;
}

bool
app_dart_card_shows_leg (AppDartCard *self)
{
  return gtk_widget_get_visible (self->own) && gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->own));
}

GtkWidget *
app_dart_card_field (AppDartCard *self, const char *name)
{
  const struct
  {
    const char *name;
    GtkWidget *widget;
  } rows[] = { { "intake", self->intake }, { "angle", self->angle },    { "edge", self->edge },
               { "depth", self->depth },   { "legs", self->legs },      { "cap", self->cap },
               { "move", self->move },     { "divide", self->divide },  { "seam", self->seam },
               { "own", self->own },       { "trouble", self->trouble } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    if (g_str_equal (rows[i].name, name))
      return rows[i].widget;
  return NULL;
}

/* ---- building ---- */

static void
app_dart_card_dispose (GObject *object)
{
  AppDartCard *self = APP_DART_CARD (object);
  self->session = NULL;
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_dart_card_parent_class)->dispose (object);
}

static void
app_dart_card_class_init (AppDartCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_dart_card_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
  leg_toggled = g_signal_new ("leg-toggled", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                              NULL, G_TYPE_NONE, 0);
}

static void
add_field (GtkGrid *grid, int row, const char *caption, const char *tip, GtkWidget *widget)
{
  GtkWidget *label = app_label_new (caption, NULL);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_NONE);
  gtk_widget_set_tooltip_text (label, tip);
  gtk_widget_set_halign (widget, GTK_ALIGN_END);
  gtk_widget_set_hexpand (widget, TRUE);
  gtk_widget_set_valign (label, GTK_ALIGN_BASELINE);
  gtk_widget_set_valign (widget, GTK_ALIGN_BASELINE);
  gtk_grid_attach (grid, label, 0, row, 1, 1);
  gtk_grid_attach (grid, widget, 1, row, 1, 1);
}

/* In line with the figures in the fields. */
static GtkWidget *
value_new (void)
{
  GtkWidget *label = app_prose_new (NULL, "pw-number");
  gtk_label_set_max_width_chars (GTK_LABEL (label), VALUE_CHARS);
  gtk_label_set_xalign (GTK_LABEL (label), 1.0F);
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_RIGHT);
  return label;
}

static GtkWidget *
menu_new (AppDartCard *self, const char *label, const char *tip)
{
  GtkWidget *button = gtk_menu_button_new ();
  gtk_menu_button_set_label (GTK_MENU_BUTTON (button), label);
  app_add_classes (button, "pw-plain");
  gtk_widget_set_tooltip_text (button, tip);
  gtk_widget_set_hexpand (button, TRUE);
  gtk_menu_button_set_create_popup_func (GTK_MENU_BUTTON (button), make_menu, self, NULL);
  return button;
}

static void
build_fields (AppDartCard *self)
{
  GtkWidget *grid = gtk_grid_new ();
  gtk_grid_set_column_spacing (GTK_GRID (grid), 12);
  gtk_grid_set_row_spacing (GTK_GRID (grid), 6);
  self->edge = value_new ();
  self->intake = app_unit_entry_new ();
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (self->intake), true);
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->intake), _ ("What the dart takes in at the edge"));
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->intake), LEAST_MM, MOST_MM);
  app_unit_entry_set_width (APP_UNIT_ENTRY (self->intake), FIELD_CHARS);
  self->angle = gtk_entry_new ();
  gtk_entry_set_max_length (GTK_ENTRY (self->angle), 40);
  gtk_editable_set_width_chars (GTK_EDITABLE (self->angle), FIELD_CHARS);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->angle), FIELD_CHARS);
  gtk_entry_set_alignment (GTK_ENTRY (self->angle), 1.0F);
  gtk_widget_add_css_class (self->angle, "pw-number");
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->angle), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Angle of the dart at its apex, in degrees"), -1);
  self->depth = value_new ();
  self->legs = value_new ();
  self->cap = value_new ();
  add_field (GTK_GRID (grid), 0, _ ("Stands on"), _ ("The edge its mouth lies on."), self->edge);
  add_field (GTK_GRID (grid), 1, _ ("Takes in"), _ ("From leg to leg, straight across the mouth."),
             self->intake);
  add_field (GTK_GRID (grid), 2, _ ("Angle"), _ ("Between the legs, at the apex."), self->angle);
  add_field (GTK_GRID (grid), 3, _ ("Apex"), _ ("Straight from the middle of the mouth."), self->depth);
  add_field (GTK_GRID (grid), 4, _ ("Legs"), _ ("They are joined to each other and must be equally long."),
             self->legs);
  add_field (GTK_GRID (grid), 5, _ ("Closed edge"), _ ("What the edge does where the legs meet."), self->cap);
  gtk_box_append (GTK_BOX (self->box), grid);
}

static void
build_deeds (AppDartCard *self)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8),
            *foot = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_box_set_homogeneous (GTK_BOX (row), TRUE);
  self->move = menu_new (self, _ ("Move to"), _ ("To another edge, about its apex: the angle stays."));
  self->divide = menu_new (self, _ ("Divide with"), _ ("Half of the angle moves to another edge."));
  self->seam
    = menu_new (self, _ ("One seam with"), _ ("Cuts apart from apex to apex: two darts become one seam."));
  self->closed = gtk_check_button_new_with_label (_ ("Show closed"));
  gtk_widget_set_tooltip_text (self->closed,
                               _ ("As the panel lies with the dart closed; nothing is changed."));
  gtk_actionable_set_action_name (GTK_ACTIONABLE (self->closed), "dart.closed");
  gtk_widget_set_hexpand (self->closed, TRUE);
  self->remove = app_button_new (_ ("Re_move"), "pw-flat pw-low", "dart.remove");
  gtk_widget_set_tooltip_text (self->remove,
                               _ ("The edge is drawn over the mouth; the join of the legs goes."));
  gtk_box_append (GTK_BOX (row), self->move);
  gtk_box_append (GTK_BOX (row), self->divide);
  gtk_box_append (GTK_BOX (foot), self->closed);
  gtk_box_append (GTK_BOX (foot), self->remove);
  gtk_box_append (GTK_BOX (self->box), row);
  gtk_box_append (GTK_BOX (self->box), self->seam);
  gtk_box_append (GTK_BOX (self->box), foot);
}

static void
app_dart_card_init (AppDartCard *self)
{
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8),
            *title = app_label_new (_ ("Dart"), "pw-heading");
  gtk_widget_set_hexpand (title, TRUE);
  self->where = app_button_new ("", "pw-link", NULL);
  gtk_button_set_use_underline (GTK_BUTTON (self->where), FALSE);
  gtk_widget_set_tooltip_text (self->where, _ ("Choose the whole panel."));
  gtk_box_append (GTK_BOX (head), title);
  gtk_box_append (GTK_BOX (head), self->where);
  gtk_box_append (GTK_BOX (self->box), head);
  build_fields (self);
  self->legend = app_prose_new (_ ("shown as a preview; nothing is changed yet"), "pw-small pw-plum");
  self->trouble = app_prose_new (NULL, "pw-small pw-madder");
  gtk_widget_set_visible (self->legend, FALSE);
  gtk_widget_set_visible (self->trouble, FALSE);
  gtk_box_append (GTK_BOX (self->box), self->legend);
  gtk_box_append (GTK_BOX (self->box), self->trouble);
  build_deeds (self);
  self->own = gtk_toggle_button_new_with_label (_ ("This leg as an edge"));
  app_add_classes (self->own, "pw-link");
  gtk_widget_set_halign (self->own, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (self->own, _ ("Its name, length and allowance."));
  gtk_box_append (GTK_BOX (self->box), self->own);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);

  g_signal_connect_swapped (self->where, "clicked", G_CALLBACK (on_where), self);
  g_signal_connect_swapped (self->own, "toggled", G_CALLBACK (on_own), self);
  g_signal_connect_object (self->intake, "committed", G_CALLBACK (on_intake), self, G_CONNECT_SWAPPED);
  g_signal_connect (app_unit_entry_field (APP_UNIT_ENTRY (self->intake)), "changed",
                    G_CALLBACK (on_intake_typed), self);
  g_signal_connect_swapped (self->angle, "changed", G_CALLBACK (on_angle_typed), self);
  g_signal_connect_swapped (self->angle, "activate", G_CALLBACK (on_angle), self);
  GtkEventController *focus = gtk_event_controller_focus_new (), *keys = gtk_event_controller_key_new ();
  g_signal_connect_swapped (focus, "leave", G_CALLBACK (on_angle_left), self);
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_angle_key), self);
  gtk_widget_add_controller (self->angle, focus);
  gtk_widget_add_controller (self->angle, keys);
}

/* ---- the darts of a panel ---- */

struct _AppDartList
{
  GtkWidget parent;
  AppSession *session; /* borrowed */
  guint panel_id;
  GtkWidget *box, *rows_box;
  GArray *legs; /* guint, one a button */
  GPtrArray *buttons;
};

G_DEFINE_FINAL_TYPE (AppDartList, app_dart_list, GTK_TYPE_WIDGET)

static void
on_choose (GtkButton *button, AppDartList *self)
{
  guint index;
  if (self->session != NULL && g_ptr_array_find (self->buttons, button, &index))
    app_session_select_edge (self->session, self->panel_id, app_session_selection (self->session)->side,
                             g_array_index (self->legs, guint, index), false);
}

static char *
row_words (const ModelDocument *doc, const ModelPanel *panel, guint leg)
{
  ModelReworkDart dart;
  g_autofree char *edge = app_dart_words (panel, leg);
  if (!model_rework_read_dart (panel, leg, &dart))
    return g_strdup ("");
  g_autofree char *mm = engine_words_length (doc, dart.intake_mm);
  return g_strdup_printf ("%s, %s · %.1f°", edge, mm, dart.intake_deg);
}

void
app_dart_list_show (AppDartList *self, AppSession *session, const ModelPanel *panel)
{
  const ModelDocument *doc = app_session_document (session);
  self->session = session;
  self->panel_id = panel->id;
  g_array_set_size (self->legs, 0);
  /* The joins first: where there is none of a panel with itself there is no dart to look for. */
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint id = model_panel_edge (panel, e)->id, leg_1, leg_2;
    if (model_rework_dart_is_joined (doc, panel->id, id)
        && model_rework_find_dart (panel, id, &leg_1, &leg_2, NULL) && leg_1 == id)
      g_array_append_val (self->legs, id);
  }
  while (self->buttons->len < self->legs->len)
  {
    GtkWidget *button = app_button_new ("", "pw-link pw-number", NULL);
    gtk_button_set_use_underline (GTK_BUTTON (button), FALSE);
    gtk_label_set_ellipsize (GTK_LABEL (gtk_button_get_child (GTK_BUTTON (button))), PANGO_ELLIPSIZE_MIDDLE);
    gtk_widget_set_halign (button, GTK_ALIGN_START);
    gtk_widget_set_tooltip_text (button, _ ("Choose this dart."));
    g_signal_connect (button, "clicked", G_CALLBACK (on_choose), self);
    gtk_box_append (GTK_BOX (self->rows_box), button);
    g_ptr_array_add (self->buttons, button);
  }
  for (guint i = 0; i < self->buttons->len; i++)
  {
    GtkWidget *button = g_ptr_array_index (self->buttons, i);
    gtk_widget_set_visible (button, i < self->legs->len);
    if (i >= self->legs->len)
      continue;
    g_autofree char *words = row_words (doc, panel, g_array_index (self->legs, guint, i));
    if (g_strcmp0 (gtk_button_get_label (GTK_BUTTON (button)), words) != 0)
      gtk_button_set_label (GTK_BUTTON (button), words);
  }
  gtk_widget_set_visible (GTK_WIDGET (self),
                          self->legs->len > 0 && app_session_selection (session)->panels->len == 1);
}

GtkWidget *
app_dart_list_button (AppDartList *self, guint index)
{
  return index < self->legs->len ? g_ptr_array_index (self->buttons, index) : NULL;
}

static void
app_dart_list_dispose (GObject *object)
{
  AppDartList *self = APP_DART_LIST (object);
  self->session = NULL;
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->legs, g_array_unref);
  g_clear_pointer (&self->buttons, g_ptr_array_unref);
  G_OBJECT_CLASS (app_dart_list_parent_class)->dispose (object);
}

static void
app_dart_list_class_init (AppDartListClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_dart_list_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_dart_list_init (AppDartList *self)
{
  self->legs = g_array_new (FALSE, FALSE, sizeof (guint));
  self->buttons = g_ptr_array_new ();
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  self->rows_box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  gtk_box_append (GTK_BOX (self->box), app_label_new (_ ("Darts"), "pw-strong"));
  gtk_box_append (GTK_BOX (self->box), self->rows_box);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}
