/* The room lays out its own children, since what GTK 4.8 has cannot fold by width: below 1180 px the measures
 * become a strip and open over the paper.
 *
 *      measures | corner  rule        | findings
 *               | rule    canvas      | joins
 *               |         card, status|
 *      ---------------- tool rail ---------------
 *
 * Both sides can be dragged between 200 and 420 px; a width chosen so is kept until the window is too narrow
 * for it.
 */
#include "app/panels-room.h"

#include "app/body-figure.h"
#include "app/dart.h"
#include "app/hints.h"
#include "app/label.h"
#include "app/ruler.h"
#include "app/settings.h"
#include "app/tool.h"
#include "model/repair.h"
#include "model/shape.h"

#include <glib/gi18n.h>
#include <math.h>

#define STRIP_PX 48
#define OPEN_OVER_PX 260
#define GRIP_PX 6
#define SIDE_LEAST_PX 200
#define SIDE_MOST_PX 420
#define PAPER_LEAST_PX 360
#define RAIL_PX 66
#define RAIL_LOW_PX 62
#define TOOLS_GAP_PX 6
#define LOW_PX 760
#define NARROW_PX 1180
#define CARD_MARGIN_PX 16
#define FIGURE_PX 250
#define HINT_UP_PX 44 /* above the status line */
#define WIDE_PX 1920

struct _AppPanelsRoom
{
  GtkWidget parent;
  AppSession *session;
  GtkWidget *measures, *strip, *strip_symbol, *paper, *joins, *rail, *left_grip, *right_grip;
  GtkWidget *canvas, *overlay, *card_revealer, *card, *foot, *status, *pin[3], *aside;
  GtkWidget *rail_left, *rail_right, *tools, *mirror, *mirror_icon, *mirror_words, *mirror_state, *percent,
    *of_true, *units;
  GtkWidget *tool_buttons[APP_TOOL_COUNT], *unit_buttons[3];
  bool measures_open; /* over the paper, while folded */
  bool folded, low, wide, showing, follow_queued;
  int drag_from;
};

G_DEFINE_FINAL_TYPE (AppPanelsRoom, app_panels_room, GTK_TYPE_WIDGET)

static guint tool_changed;

void
app_panels_room_widths (int width, int *left, int *right)
{
  if (width < NARROW_PX)
  {
    *left = 0;
    *right = 268;
  }
  else if (width < 1360)
  {
    *left = 220;
    *right = 288;
  }
  else if (width < WIDE_PX)
  {
    *left = 244;
    *right = 312;
  }
  else
  {
    *left = 280;
    *right = 376;
  }
}

static void
present_widths (AppPanelsRoom *self, int width, int *left, int *right)
{
  app_panels_room_widths (width, left, right);
  /* Larger text wants wider columns, as far as the paper keeps the greater part. */
  double grow
    = MIN (app_theme_text_scale (), 1.0 + 0.35 * MAX (width - *left - *right, 0) / MAX (*left + *right, 1));
  *left = MIN ((int)(*left * grow), SIDE_MOST_PX);
  *right = MIN ((int)(*right * grow), SIDE_MOST_PX);
  int wanted = app_settings_number ("right-width", 0);
  if (wanted > 0)
    *right = CLAMP (wanted, SIDE_LEAST_PX, SIDE_MOST_PX);
  wanted = app_settings_number ("left-width", 0);
  if (wanted > 0 && *left > 0)
    *left = CLAMP (wanted, SIDE_LEAST_PX, SIDE_MOST_PX);
  int room = width - PAPER_LEAST_PX - (*left > 0 ? *left : STRIP_PX);
  *right = CLAMP (*right, SIDE_LEAST_PX, MAX (SIDE_LEAST_PX, room));
}

/* ---- layout ---- */

static void
place (GtkWidget *child, int x, int y, int width, int height)
{
  GtkAllocation at = { x, y, MAX (width, 0), MAX (height, 0) };
  gtk_widget_size_allocate (child, &at, -1);
}

static int
least_height (GtkWidget *child, int width)
{
  int least;
  gtk_widget_measure (child, GTK_ORIENTATION_VERTICAL, width, &least, NULL, NULL, NULL);
  return least;
}

static int
least_width (GtkWidget *child)
{
  int least;
  gtk_widget_measure (child, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
  return least;
}

/* Style and text that depend on the size; only when it crosses a mark. */
static void
follow_size (AppPanelsRoom *self)
{
  app_set_class (GTK_WIDGET (self), "pw-narrow", self->folded);
  app_set_class (self->measures, "pw-side-left", !self->folded);
  app_set_class (self->measures, "pw-side-over", self->folded);
  app_measures_pane_set_low (APP_MEASURES_PANE (self->measures), self->low);
  gtk_widget_set_visible (self->mirror_words, !self->folded);
}

static gboolean
follow_size_later (gpointer user)
{
  AppPanelsRoom *self = user;
  self->follow_queued = false;
  follow_size (self);
  return G_SOURCE_REMOVE;
}

static void
note_size (AppPanelsRoom *self, int width, int height)
{
  bool folded = width < NARROW_PX, low = height < LOW_PX - 48, wide = width >= WIDE_PX;
  if (folded == self->folded && low == self->low && wide == self->wide)
    return;
  self->folded = folded;
  self->low = low;
  self->wide = wide;
  if (!self->follow_queued)
  {
    self->follow_queued = true;
    g_idle_add_full (GDK_PRIORITY_REDRAW - 10, follow_size_later, g_object_ref (self), g_object_unref);
  }
}

static void
app_panels_room_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppPanelsRoom *self = APP_PANELS_ROOM (widget);
  note_size (self, width, height);
  int left, right;
  present_widths (self, width, &left, &right);
  bool folded = left == 0;
  int rail = MAX (self->low ? RAIL_LOW_PX : RAIL_PX, least_height (self->rail, width));
  int above = height - rail;
  int left_px = folded ? STRIP_PX : MAX (left, least_width (self->measures));
  int right_px = MAX (right, least_width (self->joins));
  int middle = width - left_px - right_px;

  gtk_widget_set_child_visible (self->strip, folded);
  gtk_widget_set_child_visible (self->measures, !folded || self->measures_open);
  gtk_widget_set_child_visible (self->left_grip, !folded);
  if (folded)
    place (self->strip, 6, 10, STRIP_PX - 12, MIN (150, above - 20));
  if (!folded)
    place (self->measures, 0, 0, left_px, above);
  else if (self->measures_open)
    place (self->measures, STRIP_PX, 0, MAX (OPEN_OVER_PX, least_width (self->measures)), above);
  place (self->paper, left_px, 0, middle, above);
  place (self->joins, left_px + middle, 0, right_px, above);
  if (!folded)
    place (self->left_grip, left_px - GRIP_PX / 2, 0, GRIP_PX, above);
  place (self->right_grip, left_px + middle - GRIP_PX / 2, 0, GRIP_PX, above);
  place (self->rail, 0, above, width, rail);
}

static void
app_panels_room_measure (GtkWidget *widget,
                         GtkOrientation orientation,
                         int for_size,
                         int *minimum,
                         int *natural,
                         int *minimum_baseline,
                         int *natural_baseline)
{
  AppPanelsRoom *self = APP_PANELS_ROOM (widget);
  if (orientation == GTK_ORIENTATION_VERTICAL)
  {
    *minimum = 480;
    *natural = 850;
    return;
  }
  *minimum = MAX (STRIP_PX + PAPER_LEAST_PX + least_width (self->joins), least_width (self->rail));
  *natural = MAX (*minimum, 1440);
}

/* ---- sides ---- */

static void
on_grip_begin (GtkGestureDrag *drag, double x, double y, AppPanelsRoom *self)
{
  GtkWidget *grip = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (drag));
  self->drag_from
    = grip == self->left_grip ? gtk_widget_get_width (self->measures) : gtk_widget_get_width (self->joins);
}

static void
on_grip_update (GtkGestureDrag *drag, double dx, double dy, AppPanelsRoom *self)
{
  GtkWidget *grip = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (drag));
  double start_x, start_y, x, y;
  gtk_gesture_drag_get_start_point (drag, &start_x, &start_y);
  /* The grip moves with the hand: count from the room, not from the grip. */
  gtk_widget_translate_coordinates (grip, GTK_WIDGET (self), start_x + dx, start_y + dy, &x, &y);
  bool left = grip == self->left_grip;
  int wanted = left ? (int)x : gtk_widget_get_width (GTK_WIDGET (self)) - (int)x;
  app_settings_set_number (left ? "left-width" : "right-width", CLAMP (wanted, SIDE_LEAST_PX, SIDE_MOST_PX));
  gtk_widget_queue_allocate (GTK_WIDGET (self));
}

static GtkWidget *
grip_new (AppPanelsRoom *self)
{
  GtkWidget *grip = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (grip, "pw-grip");
  gtk_widget_set_cursor_from_name (grip, "col-resize");
  GtkGesture *drag = gtk_gesture_drag_new ();
  g_signal_connect (drag, "drag-begin", G_CALLBACK (on_grip_begin), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (on_grip_update), self);
  gtk_widget_add_controller (grip, GTK_EVENT_CONTROLLER (drag));
  return grip;
}

void
app_panels_room_show_measures (AppPanelsRoom *self, bool show)
{
  self->measures_open = show;
  app_set_class (self->strip, "pw-open", show);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
}

static void
on_strip (AppPanelsRoom *self)
{
  app_panels_room_show_measures (self, !self->measures_open);
}

/* "Measures", read from below: the strip is as narrow as a finger. */
static GtkWidget *
strip_new (AppPanelsRoom *self)
{
  GtkWidget *button = gtk_button_new ();
  app_add_classes (button, "pw-strip");
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  gtk_box_append (GTK_BOX (box), gtk_image_new_from_icon_name ("panelwright-tape-symbolic"));
  self->strip_symbol = gtk_image_new_from_icon_name ("panelwright-not-agreeing-symbolic");
  gtk_image_set_pixel_size (GTK_IMAGE (self->strip_symbol), 12);
  gtk_widget_add_css_class (self->strip_symbol, "pw-madder");
  gtk_box_append (GTK_BOX (box), self->strip_symbol);
  gtk_box_append (GTK_BOX (box), app_upright_label_new (_ ("Measures")));
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Measures"), -1);
  gtk_widget_set_tooltip_text (button, _ ("Measures. Opens them over the paper."));
  g_signal_connect_swapped (button, "clicked", G_CALLBACK (on_strip), self);
  return button;
}

/* ---- tools ---- */

static void
show_tool (AppPanelsRoom *self)
{
  AppToolKind tool = app_canvas_tool (APP_CANVAS (self->canvas));
  g_signal_emit (self, tool_changed, 0);
  self->showing = true;
  for (int i = 0; i < APP_TOOL_COUNT; i++)
    if (self->tool_buttons[i] != NULL)
      gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->tool_buttons[i]), i == (int)tool);
  self->showing = false;
}

static void
on_tool (GtkToggleButton *button, AppPanelsRoom *self)
{
  if (self->showing)
    return;
  for (int i = 0; i < APP_TOOL_COUNT; i++)
    if (self->tool_buttons[i] == GTK_WIDGET (button))
      app_canvas_set_tool (APP_CANVAS (self->canvas), (AppToolKind)i);
  show_tool (self); /* a second click on the chosen tool leaves it chosen */
  gtk_widget_grab_focus (self->canvas);
}

static GtkWidget *
tool_button_new (AppPanelsRoom *self, const AppToolClass *klass)
{
  GtkWidget *button = gtk_toggle_button_new ();
  app_add_classes (button, "pw-tool");
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  gtk_box_append (GTK_BOX (box), gtk_image_new_from_icon_name (klass->icon));
  GtkWidget *name = gtk_label_new (_ (klass->name));
  gtk_box_append (GTK_BOX (box), name);
  GtkWidget *underline = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (underline, "pw-underline");
  gtk_box_append (GTK_BOX (box), underline);
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _ (klass->name),
                                  -1);
  g_autofree char *tip = NULL;
  if (klass->accel != NULL)
    tip = g_strdup_printf ("%s. %s %s", _ (klass->name), klass->hint != NULL ? _ (klass->hint) : "",
                           klass->accel);
  else
    tip = g_strdup_printf ("%s. %s", _ (klass->name), klass->hint != NULL ? _ (klass->hint) : "");
  gtk_widget_set_tooltip_text (button, tip);
  g_signal_connect (button, "toggled", G_CALLBACK (on_tool), self);
  return button;
}

/* ---- left and right alike ---- */

static bool
is_mirrored (const ModelPanel *panel)
{
  return panel->halves != MODEL_HALVES_SINGLE;
}

/* The chosen mirrored panels, or else all of them: ids. */
static GArray *
mirrored_panels (AppPanelsRoom *self)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));
  const ModelDocument *doc = app_session_document (self->session);
  const AppSelection *s = app_session_selection (self->session);
  for (guint i = 0; i < s->panels->len; i++)
  {
    guint id = g_array_index (s->panels, guint, i);
    const ModelPanel *panel = model_document_panel (doc, id);
    if (panel != NULL && is_mirrored (panel))
      g_array_append_val (ids, id);
  }
  for (guint i = 0; s->panels->len == 0 && i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    if (is_mirrored (panel))
      g_array_append_val (ids, panel->id);
  }
  return ids;
}

static void
show_mirror (AppPanelsRoom *self)
{
  if (self->session == NULL)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  g_autoptr (GArray) ids = mirrored_panels (self);
  guint own = 0;
  for (guint i = 0; i < ids->len; i++)
    own += model_document_panel (doc, g_array_index (ids, guint, i))->own_sides;
  bool alike = ids->len == 0 || own < ids->len;
  self->showing = true;
  gtk_switch_set_active (GTK_SWITCH (self->mirror), alike);
  gtk_switch_set_state (GTK_SWITCH (self->mirror), alike);
  self->showing = false;
  gtk_widget_set_sensitive (self->mirror, ids->len > 0);
  gtk_image_set_from_icon_name (GTK_IMAGE (self->mirror_icon),
                                alike ? "panelwright-mirror-on-symbolic" : "panelwright-mirror-off-symbolic");
  g_autofree char *state = NULL;
  if (ids->len == 0)
    state = g_strdup (app_session_selection (self->session)->panels->len > 0 ? _ ("this panel has no twin")
                                                                             : _ ("no panel has a twin yet"));
  else if (!alike)
    state = g_strdup (_ ("off, each side is its own"));
  else if (own > 0)
    state = g_strdup_printf (ngettext ("on, except %u panel", "on, except %u panels", own), own);
  else
    state = g_strdup (_ ("on"));
  app_label_set (self->mirror_state, state);
}

static gboolean
on_mirror (GtkSwitch *button, gboolean alike, AppPanelsRoom *self)
{
  if (self->showing || self->session == NULL)
    return FALSE;
  ModelHistory *history = app_session_history (self->session);
  g_autoptr (GArray) ids = mirrored_panels (self);
  model_history_begin (history, alike ? _ ("Left and right alike") : _ ("Sides of their own"));
  for (guint i = 0; i < ids->len; i++)
  {
    ModelPanel *panel = model_panel_copy (
      model_document_panel (app_session_document (self->session), g_array_index (ids, guint, i)));
    model_shape_set_own_sides (panel, !alike);
    model_repair_put_panel (history, panel);
  }
  model_history_end (history);
  show_mirror (self);
  return TRUE;
}

void
app_panels_room_toggle_mirror (AppPanelsRoom *self)
{
  if (gtk_widget_is_sensitive (self->mirror))
    on_mirror (GTK_SWITCH (self->mirror), !gtk_switch_get_active (GTK_SWITCH (self->mirror)), self);
}

/* ---- scale and unit ---- */

static void
show_view (AppPanelsRoom *self)
{
  double percent = app_canvas_percent (APP_CANVAS (self->canvas));
  g_autofree char *words = g_strdup_printf (percent < 9.95 ? "%.1f\u2009%%" : "%.0f\u2009%%", percent);
  app_label_set (self->percent, words);
}

static void
on_unit (GtkToggleButton *button, AppPanelsRoom *self)
{
  if (self->showing || self->session == NULL || !gtk_toggle_button_get_active (button))
    return;
  ModelUnit unit = MODEL_UNIT_MM;
  for (int i = MODEL_UNIT_MM; i <= MODEL_UNIT_INCH; i++)
    if (self->unit_buttons[i] == GTK_WIDGET (button))
      unit = (ModelUnit)i;
  ModelHead *head = model_head_copy (app_session_document (self->session)->head);
  head->unit = unit;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Read in another unit"));
  model_history_put_head (history, head);
  model_history_end (history);
  app_settings_set_unit (unit);
}

static void
show_unit (AppPanelsRoom *self)
{
  ModelUnit unit = self->session != NULL ? app_session_document (self->session)->head->unit : MODEL_UNIT_MM;
  self->showing = true;
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->unit_buttons[unit]), TRUE);
  self->showing = false;
  app_canvas_set_unit (APP_CANVAS (self->canvas), unit);
}

/* ---- card and status ---- */

static void
show_status (AppPanelsRoom *self)
{
  const char *words = app_canvas_status (APP_CANVAS (self->canvas));
  bool shown = words != NULL && words[0] != '\0' && !app_finding_card_is_open (APP_FINDING_CARD (self->card));
  app_label_set (self->status, words != NULL ? words : "");
  gtk_widget_set_visible (self->status, shown);
  guint offers = shown ? app_canvas_tape_offers (APP_CANVAS (self->canvas)) : 0;
  for (guint i = 0; i < G_N_ELEMENTS (self->pin); i++)
    gtk_widget_set_visible (self->pin[i], (offers & 1u << i) != 0);
}

static void
on_pin (GtkButton *button, AppPanelsRoom *self)
{
  guint kind = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "kind"));
  app_canvas_pin_measured (APP_CANVAS (self->canvas), (ModelTapeKind)kind);
  show_status (self);
}

/* Beside what the tape reads: what of it can be kept. */
static void
add_pins (AppPanelsRoom *self)
{
  static const struct
  {
    ModelTapeKind kind;
    const char *label, *tip;
  } pins[]
    = { { MODEL_TAPE_STRAIGHT, N_ ("Pin it"), N_ ("Keeps the straight length on the panel (P).") },
        { MODEL_TAPE_ALONG, N_ ("Pin along the edge"), N_ ("Keeps the length along the edge (Shift+P).") },
        { MODEL_TAPE_ANGLE, N_ ("Pin the angle"), N_ ("Keeps the angle on the panel (P).") } };
  for (guint i = 0; i < G_N_ELEMENTS (pins); i++)
  {
    self->pin[pins[i].kind] = app_button_new (_ (pins[i].label), "pw-small", NULL);
    GtkWidget *button = self->pin[pins[i].kind];
    gtk_widget_set_tooltip_text (button, _ (pins[i].tip));
    gtk_widget_set_visible (button, FALSE);
    g_object_set_data (G_OBJECT (button), "kind", GUINT_TO_POINTER (pins[i].kind));
    g_signal_connect (button, "clicked", G_CALLBACK (on_pin), self);
    gtk_box_append (GTK_BOX (self->foot), button);
  }
}

/* "3 of 7", as the list beside it counts. */
static void
number_card (AppPanelsRoom *self)
{
  guint at, count;
  if (self->session == NULL)
    return;
  app_joins_pane_place (APP_JOINS_PANE (self->joins), &at, &count);
  app_finding_card_number (APP_FINDING_CARD (self->card), at, count);
}

/* The card lies at the foot, and moves to the head only when it would cover the place it speaks of. */
static void
place_card (AppPanelsRoom *self)
{
  if (self->session == NULL || !app_finding_card_is_open (APP_FINDING_CARD (self->card)))
    return;
  const EngineFinding *finding = &app_session_selection (self->session)->finding;
  GtkAlign align = GTK_ALIGN_END;
  if (finding->has_at)
  {
    double x, y;
    app_canvas_to_widget (APP_CANVAS (self->canvas), finding->at, &x, &y);
    int height = gtk_widget_get_height (self->canvas);
    int card = MAX (least_height (self->card, -1), gtk_widget_get_height (self->card));
    if (y > height - card - 2 * CARD_MARGIN_PX && y > height / 2.0)
      align = GTK_ALIGN_START;
  }
  if (gtk_widget_get_valign (self->card_revealer) != align)
  {
    gtk_widget_set_valign (self->card_revealer, align);
    gtk_widget_queue_draw (self->canvas);
  }
}

static GeomBox
finding_box (AppPanelsRoom *self, const EngineFinding *finding)
{
  GeomBox box = geom_box_empty ();
  if (finding->has_at)
    box = geom_box_grown (geom_box_with_point (box, finding->at), 40.0);
  return box;
}

static void
on_card_shown (AppFindingCard *card, gboolean shown, AppPanelsRoom *self)
{
  gtk_revealer_set_reveal_child (GTK_REVEALER (self->card_revealer), shown);
  gtk_widget_set_can_target (self->card_revealer, shown);
  gtk_widget_queue_draw (self->canvas);
  if (shown)
  {
    const EngineFinding *finding = &app_session_selection (self->session)->finding;
    GeomBox box = finding_box (self, finding);
    if (!geom_box_is_empty (box))
      app_canvas_show_box (APP_CANVAS (self->canvas), box);
    place_card (self);
    number_card (self);
  }
  show_status (self);
}

/* The card's keys come from the whole room, but a field being typed into keeps its own. */
static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppPanelsRoom *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus (root) : NULL;
  if (focus != NULL && GTK_IS_EDITABLE (focus))
    return GDK_EVENT_PROPAGATE;
  if (keyval == GDK_KEY_Escape && self->folded && self->measures_open)
  {
    app_panels_room_show_measures (self, false);
    return GDK_EVENT_STOP;
  }
  if ((state & gtk_accelerator_get_default_mod_mask ()) != 0)
    return GDK_EVENT_PROPAGATE;
  /* Enter on a button presses the button. */
  if ((keyval == GDK_KEY_Return || keyval == GDK_KEY_KP_Enter) && GTK_IS_BUTTON (focus))
    return GDK_EVENT_PROPAGATE;
  return app_finding_card_key (APP_FINDING_CARD (self->card), keyval);
}

/* ---- following the session ---- */

static void
on_settled (AppPanelsRoom *self)
{
  show_mirror (self);
  show_unit (self);
  gtk_widget_set_visible (self->strip_symbol,
                          app_measures_pane_open_count (APP_MEASURES_PANE (self->measures)) > 0);
}

void
app_panels_room_set_session (AppPanelsRoom *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  app_canvas_set_session (APP_CANVAS (self->canvas), session);
  app_measures_pane_set_session (APP_MEASURES_PANE (self->measures), session);
  app_joins_pane_set_session (APP_JOINS_PANE (self->joins), session);
  app_finding_card_set_session (APP_FINDING_CARD (self->card), session);
  app_aside_set_session (APP_ASIDE (self->aside), session);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  if (session == NULL)
    return;
  g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
  g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (show_mirror), self);
  on_settled (self);
  show_view (self);
  show_status (self);
}

AppCanvas *
app_panels_room_canvas (AppPanelsRoom *self)
{
  return APP_CANVAS (self->canvas);
}

AppMeasuresPane *
app_panels_room_measures (AppPanelsRoom *self)
{
  return APP_MEASURES_PANE (self->measures);
}

GtkWidget *
app_panels_room_measures_shown (AppPanelsRoom *self)
{
  return self->folded && !self->measures_open ? self->strip : self->measures;
}

AppJoinsPane *
app_panels_room_joins (AppPanelsRoom *self)
{
  return APP_JOINS_PANE (self->joins);
}

AppFindingCard *
app_panels_room_card (AppPanelsRoom *self)
{
  return APP_FINDING_CARD (self->card);
}

AppAside *
app_panels_room_aside (AppPanelsRoom *self)
{
  return APP_ASIDE (self->aside);
}

/* ---- building ---- */

static GtkWidget *
paper_new (AppPanelsRoom *self)
{
  self->canvas = app_canvas_new ();
  gtk_widget_set_hexpand (self->canvas, TRUE);
  gtk_widget_set_vexpand (self->canvas, TRUE);
  g_signal_connect_swapped (self->canvas, "tool-changed", G_CALLBACK (show_tool), self);
  g_signal_connect_swapped (self->canvas, "view-changed", G_CALLBACK (show_view), self);
  g_signal_connect_swapped (self->canvas, "view-changed", G_CALLBACK (place_card), self);
  g_signal_connect_swapped (self->canvas, "status-changed", G_CALLBACK (show_status), self);

  self->overlay = gtk_overlay_new ();
  gtk_overlay_set_child (GTK_OVERLAY (self->overlay), self->canvas);
  self->status = app_label_new (NULL, "pw-status pw-small pw-number");
  gtk_widget_set_can_target (self->status, FALSE);
  gtk_widget_set_visible (self->status, FALSE);
  self->foot = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_halign (self->foot, GTK_ALIGN_START);
  gtk_widget_set_valign (self->foot, GTK_ALIGN_END);
  gtk_widget_set_margin_start (self->foot, 12);
  gtk_widget_set_margin_bottom (self->foot, 12);
  gtk_box_append (GTK_BOX (self->foot), self->status);
  add_pins (self);
  gtk_overlay_add_overlay (GTK_OVERLAY (self->overlay), self->foot);

  GtkWidget *hints = app_hints_new (APP_CANVAS (self->canvas));
  gtk_widget_set_halign (hints, GTK_ALIGN_START);
  gtk_widget_set_valign (hints, GTK_ALIGN_END);
  gtk_widget_set_margin_start (hints, 12);
  gtk_widget_set_margin_end (hints, 12);
  gtk_widget_set_margin_bottom (hints, HINT_UP_PX);
  gtk_overlay_add_overlay (GTK_OVERLAY (self->overlay), hints);

  self->card = app_finding_card_new ();
  gtk_widget_set_margin_top (self->card, CARD_MARGIN_PX);
  gtk_widget_set_margin_bottom (self->card, CARD_MARGIN_PX);
  g_signal_connect (self->card, "shown", G_CALLBACK (on_card_shown), self);
  gtk_widget_set_margin_start (self->card, CARD_MARGIN_PX);
  gtk_widget_set_margin_end (self->card, CARD_MARGIN_PX);
  self->card_revealer = gtk_revealer_new ();
  gtk_revealer_set_transition_type (GTK_REVEALER (self->card_revealer),
                                    GTK_REVEALER_TRANSITION_TYPE_CROSSFADE);
  gtk_revealer_set_transition_duration (GTK_REVEALER (self->card_revealer), 140);
  gtk_revealer_set_child (GTK_REVEALER (self->card_revealer), self->card);
  gtk_widget_set_halign (self->card_revealer, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (self->card_revealer, GTK_ALIGN_END);
  gtk_widget_set_can_target (self->card_revealer, FALSE);
  gtk_overlay_add_overlay (GTK_OVERLAY (self->overlay), self->card_revealer);
  app_canvas_set_cover (APP_CANVAS (self->canvas), GTK_REVEALER (self->card_revealer));

  GtkWidget *grid = gtk_grid_new ();
  app_add_classes (grid, "pw-paper");
  gtk_grid_attach (GTK_GRID (grid), app_ruler_corner_new (APP_CANVAS (self->canvas)), 0, 0, 1, 1);
  gtk_grid_attach (GTK_GRID (grid), app_ruler_new (APP_CANVAS (self->canvas), GTK_ORIENTATION_HORIZONTAL), 1,
                   0, 1, 1);
  gtk_grid_attach (GTK_GRID (grid), app_ruler_new (APP_CANVAS (self->canvas), GTK_ORIENTATION_VERTICAL), 0, 1,
                   1, 1);
  gtk_grid_attach (GTK_GRID (grid), self->overlay, 1, 1, 1, 1);
  self->aside = app_aside_new (APP_CANVAS (self->canvas));
  gtk_grid_attach (GTK_GRID (grid), self->aside, 2, 0, 1, 2);
  return grid;
}

static void
build_mirror (AppPanelsRoom *self)
{
  self->mirror_icon = gtk_image_new_from_icon_name ("panelwright-mirror-on-symbolic");
  gtk_image_set_pixel_size (GTK_IMAGE (self->mirror_icon), 20);
  self->mirror_words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_valign (self->mirror_words, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (self->mirror_words), app_label_new (_ ("Left and right alike"), "pw-strong"));
  self->mirror_state = app_label_new (NULL, "pw-small pw-dim");
  gtk_box_append (GTK_BOX (self->mirror_words), self->mirror_state);
  self->mirror = gtk_switch_new ();
  gtk_widget_set_valign (self->mirror, GTK_ALIGN_CENTER);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->mirror), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Left and right alike"), -1);
  gtk_widget_set_tooltip_text (
    self->mirror, _ ("Left and right alike. Off: the chosen panel, or every pair, gets sides of its own; "
                     "corrections are kept either way. Ctrl+M"));
  g_signal_connect (self->mirror, "state-set", G_CALLBACK (on_mirror), self);
  self->rail_left = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  gtk_widget_set_margin_start (self->rail_left, 16);
  gtk_box_append (GTK_BOX (self->rail_left), self->mirror_icon);
  gtk_box_append (GTK_BOX (self->rail_left), self->mirror_words);
  gtk_box_append (GTK_BOX (self->rail_left), self->mirror);
}

static void
build_scale (AppPanelsRoom *self)
{
  self->rail_right = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_margin_end (self->rail_right, 12);
  GtkWidget *smaller = app_icon_button_new ("list-remove-symbolic", "pw-square", _ ("Smaller"),
                                            _ ("Smaller. Ctrl+−"), "win.zoom-out");
  GtkWidget *larger = app_icon_button_new ("list-add-symbolic", "pw-square", _ ("Larger"),
                                           _ ("Larger. Ctrl++"), "win.zoom-in");
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  self->percent = gtk_label_new (NULL);
  app_add_classes (self->percent, "pw-strong pw-number");
  self->of_true = gtk_label_new (_ ("of true size"));
  app_add_classes (self->of_true, "pw-small pw-dim");
  gtk_box_append (GTK_BOX (words), self->percent);
  gtk_box_append (GTK_BOX (words), self->of_true);
  GtkWidget *fit = gtk_button_new ();
  app_add_classes (fit, "pw-flat pw-low");
  gtk_button_set_child (GTK_BUTTON (fit), words);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (fit), "win.zoom-fit");
  gtk_widget_set_tooltip_text (fit, _ ("All in view. Ctrl+0"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (fit), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("All in view"), -1);
  gtk_widget_set_size_request (fit, 84, -1);
  gtk_widget_set_valign (fit, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (smaller, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (larger, GTK_ALIGN_CENTER);

  static const char *const names[] = { N_ ("mm"), N_ ("cm"), N_ ("inch") };
  static const char *const spoken[] = { N_ ("Millimetres"), N_ ("Centimetres"), N_ ("Inches") };
  self->units = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (self->units, "pw-segments");
  gtk_widget_set_valign (self->units, GTK_ALIGN_CENTER);
  for (int i = 0; i < 3; i++)
  {
    GtkWidget *button = gtk_toggle_button_new_with_label (_ (names[i]));
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (button), GTK_TOGGLE_BUTTON (self->unit_buttons[0]));
    gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _ (spoken[i]),
                                    -1);
    gtk_widget_set_tooltip_text (button, _ (spoken[i]));
    g_signal_connect (button, "toggled", G_CALLBACK (on_unit), self);
    gtk_box_append (GTK_BOX (self->units), button);
    self->unit_buttons[i] = button;
  }
  gtk_box_append (GTK_BOX (self->rail_right), smaller);
  gtk_box_append (GTK_BOX (self->rail_right), fit);
  gtk_box_append (GTK_BOX (self->rail_right), larger);
  gtk_box_append (GTK_BOX (self->rail_right), self->units);
}

static GtkWidget *
rail_new (AppPanelsRoom *self)
{
  build_mirror (self);
  build_scale (self);
  self->tools = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 2);
  /* Long words under the last tool must not touch the scale's button. */
  gtk_widget_set_margin_start (self->tools, TOOLS_GAP_PX);
  gtk_widget_set_margin_end (self->tools, TOOLS_GAP_PX);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->tools), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Tools"),
                                  -1);
  for (int i = 0; i < APP_TOOL_COUNT; i++)
  {
    const AppToolClass *klass = app_tool_class ((AppToolKind)i);
    /* Join's button stands with the joins; lines across panels begin in the menu and in the body room. */
    if (klass == NULL || i == APP_TOOL_JOIN || i == APP_TOOL_GIRTH)
      continue;
    self->tool_buttons[i] = tool_button_new (self, klass);
    gtk_box_append (GTK_BOX (self->tools), self->tool_buttons[i]);
  }
  GtkWidget *rail = gtk_center_box_new ();
  app_add_classes (rail, "pw-rail");
  gtk_center_box_set_start_widget (GTK_CENTER_BOX (rail), self->rail_left);
  gtk_center_box_set_center_widget (GTK_CENTER_BOX (rail), self->tools);
  gtk_center_box_set_end_widget (GTK_CENTER_BOX (rail), self->rail_right);
  return rail;
}

/* ---- settings ---- */

static void
follow_settings (AppPanelsRoom *self)
{
  app_canvas_set_grid (APP_CANVAS (self->canvas), app_settings_flag ("grid", true));
  app_canvas_set_snap (APP_CANVAS (self->canvas), app_settings_flag ("snap", true));
  app_canvas_set_comb (APP_CANVAS (self->canvas), app_settings_flag ("comb", false));
}

static void
follow_theme (AppPanelsRoom *self)
{
  app_canvas_set_slate (APP_CANVAS (self->canvas), app_theme_is_slate ());
}

static void
app_panels_room_dispose (GObject *object)
{
  AppPanelsRoom *self = APP_PANELS_ROOM (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  GtkWidget **const children[] = { &self->paper,     &self->joins,      &self->rail,    &self->strip,
                                   &self->left_grip, &self->right_grip, &self->measures };
  for (guint i = 0; i < G_N_ELEMENTS (children); i++)
    g_clear_pointer (children[i], gtk_widget_unparent);
  G_OBJECT_CLASS (app_panels_room_parent_class)->dispose (object);
}

static void
app_panels_room_class_init (AppPanelsRoomClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_panels_room_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->measure = app_panels_room_measure;
  widget_class->size_allocate = app_panels_room_size_allocate;
  tool_changed = g_signal_new ("tool-changed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                               NULL, G_TYPE_NONE, 0);
}

static void
app_panels_room_init (AppPanelsRoom *self)
{
  self->paper = paper_new (self);
  self->joins = app_joins_pane_new ();
  app_add_classes (self->joins, "pw-side pw-side-right");
  app_dart_actions_share (APP_CANVAS (self->canvas), self->joins);
  self->rail = rail_new (self);
  self->strip = strip_new (self);
  self->measures = app_measures_pane_new ();
  app_add_classes (self->measures, "pw-side pw-side-left");
  GtkWidget *figure = app_body_figure_new (false);
  gtk_widget_set_size_request (figure, -1, FIGURE_PX);
  app_measures_pane_set_figure (APP_MEASURES_PANE (self->measures), figure);
  self->left_grip = grip_new (self);
  self->right_grip = grip_new (self);
  /* The last is drawn on top: the measures open over the paper. */
  GtkWidget *const children[] = { self->paper,     self->joins,      self->rail,    self->strip,
                                  self->left_grip, self->right_grip, self->measures };
  for (guint i = 0; i < G_N_ELEMENTS (children); i++)
    gtk_widget_set_parent (children[i], GTK_WIDGET (self));

  GtkEventController *keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);

  if (app_settings () != NULL)
    g_signal_connect_object (app_settings (), "changed", G_CALLBACK (follow_settings), self,
                             G_CONNECT_SWAPPED);
  g_signal_connect_object (gtk_settings_get_default (), "notify::gtk-application-prefer-dark-theme",
                           G_CALLBACK (follow_theme), self, G_CONNECT_SWAPPED);
  follow_settings (self);
  follow_theme (self);
  show_tool (self);
}

GtkWidget *
app_panels_room_new (void)
{
  return g_object_new (APP_TYPE_PANELS_ROOM, NULL);
}
