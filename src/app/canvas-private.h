/* What the canvas's own files and the tools share: the state of the view, the kept render nodes, the way in
 * for input.
 *
 * Three coordinate systems meet here: paper (mm, y up), shifted px (paper times scale, y down, the paper's
 * origin at 0, 0: kept nodes live there, so that a pan only moves them) and widget px.
 */
#ifndef APP_CANVAS_PRIVATE_H
#define APP_CANVAS_PRIVATE_H

#include "app/canvas.h"
#include "app/pick.h"
#include "app/snap.h"
#include "app/tool.h"

#include "engine/girth.h"
#include "model/unit.h"
#include "output/draw.h"

/* A length shown on the canvas that can be clicked to type another. */
typedef struct AppFlag
{
  graphene_rect_t rect; /* widget px */
  guint panel_id, edge_id;
  ModelSide side;
} AppFlag;

typedef struct AppErasing AppErasing;

/* A guide or level line in the hand. */
typedef struct AppLineDrag
{
  bool on, open, held; /* HELD: locked, or across panels: it is only chosen */
  guint line_id;
  GeomPoint grab; /* from the pointer to the line */
  double pressed_x, pressed_y;
} AppLineDrag;

/* The view on its way to a place. */
typedef struct AppGlide
{
  guint tick;
  gint64 began_us;
  double from_scale, from_x, from_y; /* the middle of the view, mm */
  double to_scale, to_x, to_y;
} AppGlide;

/* What can be done to the chosen edge or points by exact figures: canvas-deeds.c. */
typedef enum AppDeed
{
  APP_DEED_ROUND,
  APP_DEED_CHAMFER,
  APP_DEED_SPLIT,
  APP_DEED_MERGE,
  APP_DEED_STRAIGHTEN,
  APP_DEED_LEVEL,
  APP_DEED_PLUMB,
  APP_DEED_FAIR,
  APP_DEED_MOVE_OUT,
  APP_DEED_EXTEND,
  APP_DEED_ANGLE,
  APP_DEED_RADIUS,
  APP_DEED_TURN,
  APP_DEED_SCALE,
  APP_DEED_COUNT
} AppDeed;

struct _AppCanvas
{
  GtkWidget parent_instance;

  AppSession *session;
  GtkRevealer *cover; /* weak */
  gulong handlers[6];
  AppPickIndex *index;
  GPtrArray *items; /* AppCanvasItem, in document order */

  double scale, ox, oy; /* px per mm; where the paper's origin lies */
  bool placed;          /* a view was chosen; until then the first size fits all */
  bool fitted;          /* and nobody has moved since: a window of another size fits all again */
  int seen_width, seen_height;
  AppGlide glide;
  guint kinetic;
  double kinetic_vx, kinetic_vy;
  gint64 kinetic_us;
  double pinch_scale;

  bool grid, slate, snap, comb, doming;
  bool beckons;
  GeomPoint beckon; /* a place that the tour speaks of */
  ModelUnit unit;

  AppToolKind kind;
  AppTool *tool;
  char *status;
  bool live_status; /* STATUS came from the tool and not from its hint */

  /* input */
  bool pressed, panning, space, space_used, pointer_in, touch;
  double pointer_x, pointer_y, pan_ox, pan_oy;
  double press_x, press_y;
  gint64 press_us;
  guint press_button;
  int presses;
  double menu_x, menu_y;
  AppPick menu_pick;
  GtkGesture *drag;
  GtkWidget *popover; /* menu or small card; one at a time */
  GtkWidget *menu;
  bool dart_closed;                   /* the chosen dart is shown closed */
  double deed_figure[APP_DEED_COUNT]; /* the last ones typed; 0: none yet */
  AppErasing *erasing;                /* while a pen's rubber is down */

  /* hover */
  AppPick hover;
  guint hover_timer;
  bool hover_flag;

  /* lines */
  AppLineDrag line_drag;
  ModelLineKind line_kind; /* what the tool for lines across panels draws */

  /* painting */
  OutputInk ink;
  double ink_scale;
  bool ink_slate;
  guint ink_serial;
  GHashTable *kept;       /* what -> KeptPiece */
  struct AppNames *names; /* canvas-names.c */
  GHashTable *photos;     /* photo id -> what is shown of it; private to canvas-photo.c */
  GskRenderNode *ground_node;
  double ground_key[7];
  GPtrArray *lit; /* GskRenderNode, shifted px */
  double lit_scale;
  bool lit_dirty;
  GArray *flags;        /* AppFlag, in shifted px */
  bool previews;        /* a preview was there before */
  double preview_shown; /* 0..1 of the preview line */
  guint preview_tick;
  gint64 preview_us;
  struct EngineFlatMap *flat_map; /* canvas-doming.c, as last drawn; NULL: none */
  struct AppBeneath *beneath;     /* canvas-beneath.c; NULL: nothing */
  struct AppStill *still;         /* canvas-still.c; NULL: nothing */
  guint nodes_built;              /* since the start: tests and the benchmark look at it */
};

/* ---- canvas.c: the one way in ---- */

typedef enum AppPhase
{
  APP_PHASE_PRESS,
  APP_PHASE_MOTION,
  APP_PHASE_RELEASE,
  APP_PHASE_HOVER,
  APP_PHASE_LEAVE,
  APP_PHASE_CANCEL
} AppPhase;

/* A plain mouse at X, Y. */
AppInput app_canvas_input (AppCanvas *self, double x, double y);
/* Mouse, pen, touch and tests all arrive here. */
void app_canvas_feed (AppCanvas *self, AppPhase phase, const AppInput *in);
bool app_canvas_key (AppCanvas *self, guint keyval, GdkModifierType state);
/* TEXT NULL: back to the tool's hint. */
void app_canvas_say (AppCanvas *self, const char *text);
/* Says it to a screen reader too, by the description of the panel that has the focus. */
void app_canvas_tell (AppCanvas *self, const char *text);
/* Says why PANEL does not follow the hand, and how to let it go; EDGE_ID 0: the panel.  False: it is free. */
bool app_canvas_say_locked (AppCanvas *self, const ModelPanel *panel, guint edge_id);
/* What follows the pointer changed. */
void app_canvas_redraw (AppCanvas *self);
/* How near counts, in mm, for the pointer in hand. */
double app_canvas_catch_mm (AppCanvas *self, const AppInput *in);
ModelDocument *app_canvas_document (AppCanvas *self); /* NULL on empty paper */
ModelHistory *app_canvas_history (AppCanvas *self);
const AppSelection *app_canvas_selection (AppCanvas *self);
/* A length in the canvas's unit, without and with the unit. */
char *app_canvas_figure (AppCanvas *self, double mm);
char *app_canvas_length (AppCanvas *self, double mm);

/* ---- canvas-view.c ---- */

void app_canvas_view_init (AppCanvas *self);
void app_canvas_view_stop (AppCanvas *self);
void app_canvas_pan_by (AppCanvas *self, double dx, double dy);
void app_canvas_view_first_size (AppCanvas *self);
GeomBox app_canvas_drawing_box (AppCanvas *self);
bool app_canvas_scroll (AppCanvas *self, double dx, double dy, bool pixels, GdkModifierType state);
void app_canvas_fling (AppCanvas *self, double vx, double vy);
bool app_canvas_animates (AppCanvas *self);

/* ---- canvas-paint.c ---- */

void app_canvas_paint (AppCanvas *self, GtkSnapshot *snapshot);
GHashTable *app_canvas_kept_new (void);
void app_canvas_paint_forget (AppCanvas *self);
/* The panel's nodes are drawn anew; 0: all of them. */
void app_canvas_paint_touch (AppCanvas *self, guint panel_id);
/* The distance of the grid's fine lines at this zoom. */
double app_canvas_grid_step (AppCanvas *self);
OutputView app_canvas_shifted_view (AppCanvas *self);
OutputView app_canvas_widget_view (AppCanvas *self);
const OutputInk *app_canvas_ink (AppCanvas *self);
/* The paper's own colour and its grid, in shifted px. */
void app_canvas_draw_ground (AppCanvas *self, cairo_t *cr, const graphene_rect_t *seen);
/* In shifted px, one node a piece. */
void app_canvas_paint_pieces (AppCanvas *self, GtkSnapshot *snapshot, graphene_rect_t seen);
/* True if the other side is drawn as a real piece. */
bool app_canvas_is_opened (const ModelPanel *panel);
/* A cairo context that records; _node ends it and gives a node with just the bounds of what was drawn (NULL:
 * nothing). */
cairo_t *app_canvas_record (void);
GskRenderNode *app_canvas_recorded (cairo_t *cr);

/* ---- canvas-still.c: ground, photos and pieces as one picture, while the paper moves ---- */

typedef struct AppStill AppStill;
/* The paper moves, or ZOOMS: it does so until this was not called for a moment. */
void app_canvas_still_moves (AppCanvas *self, bool zooms);
/* False, and nothing painted: the paper rests, or a picture is not worth it.  In shifted px. */
bool app_canvas_still_paint (AppCanvas *self, GtkSnapshot *snapshot, const graphene_rect_t *seen);
/* Photos have changed; of the ground and of the pieces the picture finds out by itself. */
void app_canvas_still_forget (AppCanvas *self);
/* And the paper rests. */
void app_canvas_still_clear (AppCanvas *self);

/* ---- canvas-photo.c ---- */

GHashTable *app_canvas_photos_new (void);
/* From a photo's own mm, (0, 0) its lower left corner, onto the paper. */
GeomAffine app_canvas_photo_map (const ModelPhoto *photo);
GeomBox app_canvas_photo_box (const ModelPhoto *photo);
/* The topmost photo there; 0: none. */
guint app_canvas_photo_at (AppCanvas *self, GeomPoint at);
/* True if a photo is shown under BOX. */
bool app_canvas_photo_under (AppCanvas *self, GeomBox box);
/* In shifted px. */
void app_canvas_paint_photos (AppCanvas *self, GtkSnapshot *snapshot, graphene_rect_t seen);
/* In widget px. */
void app_canvas_paint_photo_chosen (AppCanvas *self, GtkSnapshot *snapshot);
/* False if no photo is chosen. */
bool app_canvas_nudge_photo (AppCanvas *self, double dx_mm, double dy_mm);
void app_canvas_remove_photo (AppCanvas *self);
bool app_canvas_has_hidden_photo (AppCanvas *self);
void app_canvas_show_photos (AppCanvas *self);

/* ---- canvas-beneath.c: panels of an earlier revision or of another document ---- */

typedef struct AppBeneath AppBeneath;
void app_canvas_beneath_paint (AppCanvas *self, GtkSnapshot *snapshot);
/* The document changed. */
void app_canvas_beneath_touch (AppCanvas *self);
void app_canvas_beneath_clear (AppCanvas *self);

/* ---- canvas-glass.c: where two runs differ, and that place larger ---- */

#define APP_FINDING_RING_PX 15.0

/* The stretch in which two runs differ most, from one match mark (or start) to the next (or end), and the
 * overhang at its end. */
typedef struct AppDiffering
{
  GeomPath a, b; /* the runs */
  double from_a, to_a, from_b, to_b;
  double over_mm; /* b longer than a in that stretch; negative: a */
  guint panel_a, panel_b;
  ModelSide side_a, side_b;
} AppDiffering;

/* False if FINDING is not about lengths of a join that is shown.  OUT is to be cleared in any case. */
bool app_differing_find (AppCanvas *self, const EngineFinding *finding, AppDiffering *out);
void app_differing_clear (AppDiffering *differing);
/* The overhanging stretch of the longer run.  OUT initialised. */
void app_differing_part (const AppDiffering *differing, GeomPath *out);
/* True if that side of the panel is drawn as a piece and not only traced. */
bool app_canvas_side_is_shown (const ModelPanel *panel, ModelSide side);
bool app_canvas_reading_is_shown (AppCanvas *self, const ModelJoin *join, const EngineJoinReading *reading);
/* Nothing where there is no small difference to show or no room. */
void app_canvas_draw_glass (AppCanvas *self, cairo_t *cr);

/* ---- canvas-lit.c: what is selected, found and previewed ---- */

void app_canvas_lit_build (AppCanvas *self);
/* A card with a figure, its middle at X, Y; TONE underlines it (-1: no line).  Returns its box. */
graphene_rect_t
app_canvas_draw_flag (cairo_t *cr, const OutputInk *ink, double x, double y, const char *text, int tone);
typedef enum AppPoint
{
  APP_POINT_CORNER,
  APP_POINT_NODE,
  APP_POINT_HANDLE
} AppPoint;
void app_canvas_draw_point (
  cairo_t *cr, const OutputInk *ink, AppPoint what, double x, double y, OutputTone tone, bool filled);
void app_canvas_rounded (cairo_t *cr, double x, double y, double width, double height, double radius);
void
app_canvas_draw_card (cairo_t *cr, const OutputInk *ink, double x, double y, double width, double height);

/* ---- canvas-item.c ---- */

#define APP_TYPE_CANVAS_ITEM (app_canvas_item_get_type ())
G_DECLARE_FINAL_TYPE (AppCanvasItem, app_canvas_item, APP, CANVAS_ITEM, GtkWidget)

void app_canvas_items_sync (AppCanvas *self);
void app_canvas_items_allocate (AppCanvas *self);
void app_canvas_items_selection (AppCanvas *self);
void app_canvas_items_clear (AppCanvas *self);
/* 0: none has the focus. */
guint app_canvas_focused_panel (AppCanvas *self);
void app_canvas_focus_panel (AppCanvas *self, guint panel_id);
/* Says TEXT where the keyboard's focus is: on the panel's child, else on the canvas.  NULL: what it is by
 * itself. */
void app_canvas_items_tell (AppCanvas *self, const char *text);

/* ---- canvas-commands.c ---- */

/* The one edge with its length, the one point with its place; NULL where anything else is chosen. */
char *app_canvas_selection_words (AppCanvas *self);

void app_canvas_commands_class (GtkWidgetClass *klass);
void app_canvas_delete_selection (AppCanvas *self);
void app_canvas_nudge (AppCanvas *self, double dx_mm, double dy_mm);
void app_canvas_turn (AppCanvas *self, double degrees);
/* To the next (STEP 1) or the one before (-1) edge or node of the panel in hand. */
void app_canvas_walk (AppCanvas *self, int step);
/* With one edge (Shape: one point) in hand: on to the next.  False past the last: the walk goes on outside.
 */
bool app_canvas_walk_on (AppCanvas *self, int step);
/* From a panel to its first edge (Shape: point); false if that is not what is selected. */
bool app_canvas_step_in (AppCanvas *self);
/* From edges or points to their panel, from a panel to nothing. */
void app_canvas_step_out (AppCanvas *self);
void app_canvas_set_node_kind (AppCanvas *self, ModelNodeKind kind);
GeomBox app_canvas_selected_box (AppCanvas *self);
void app_canvas_commands_refresh (AppCanvas *self);

/* ---- canvas-clipboard.c ---- */

void app_canvas_copy (AppCanvas *self);
void app_canvas_paste (AppCanvas *self);
void app_canvas_paste_document (AppCanvas *self, const ModelDocument *pasted);
char *app_canvas_excerpt (AppCanvas *self, gsize *length);
/* Copies of the panels with the joins among them, as one step, chosen: a little beside where they were, or in
 * the MIDDLE of the view. */
void app_canvas_put_panels (AppCanvas *self, const ModelDocument *pasted, bool middle, const char *label);

/* ---- canvas-arrange.c ---- */

void app_canvas_arrange_class (GtkWidgetClass *klass);
void app_canvas_arrange_refresh (AppCanvas *self);
/* The rows of the menu "Arrange"; yours. */
GMenuModel *app_canvas_arrange_menu (void);

/* ---- canvas-menu.c ---- */

/* What a row of a menu does.  ARG is the row's, or what the row was given (APP_CANVAS_ARGUMENT: an id). */
typedef struct AppCanvasAction
{
  const char *name;
  void (*run) (AppCanvas *self, guint arg);
  guint arg;
} AppCanvasAction;

#define APP_CANVAS_ARGUMENT G_MAXUINT

/* ROWS must stay.  Without a document they do nothing. */
void app_canvas_add_actions (AppCanvas *self, const char *group, const AppCanvasAction *rows, guint count);
/* Takes SECTION; an empty one is left out. */
void app_menu_add_section (GMenu *menu, GMenu *section);
/* Where a small question about AT stands, in widget px: inside the view. */
void app_canvas_entry_place (AppCanvas *self, GeomPoint at, double *x, double *y);
/* The same where the menu was opened, else in the middle. */
void app_canvas_menu_place (AppCanvas *self, double *x, double *y);
void app_canvas_menu_init (AppCanvas *self);
/* At X, Y in widget px. */
void app_canvas_menu_open (AppCanvas *self, double x, double y);

/* ---- canvas-edit.c ---- */

void app_canvas_edit_init (AppCanvas *self);
/* The first chosen panel, the last chosen edge; NULL: none. */
const ModelPanel *app_canvas_chosen_panel (AppCanvas *self);
const ModelEdge *app_canvas_chosen_edge (AppCanvas *self);
void app_canvas_ask_edge_length (AppCanvas *self, guint panel_id, ModelSide side, guint edge_id);
void app_canvas_ask_node_place (AppCanvas *self, guint panel_id, ModelSide side, guint node_id);
void app_canvas_ask_edge_name (AppCanvas *self);

/* ---- canvas-deeds.c ---- */

void app_canvas_deeds_init (AppCanvas *self);
/* Whether it makes sense for what is chosen. */
bool app_canvas_deed_applies (AppCanvas *self, AppDeed deed);
/* Does it, or opens the entry for its figure. */
void app_canvas_deed (AppCanvas *self, AppDeed deed);
/* The deed's letter; Shift: at the other end.  True if it was one. */
bool app_canvas_deed_key (AppCanvas *self, guint keyval, GdkModifierType state);
/* A section with those that apply. */
void app_canvas_deed_rows (AppCanvas *self, GMenu *menu);

/* ---- canvas-names.c: names beside small panels, lengths round the chosen one ---- */

/* A panel at least so wide or high on the screen has its name, on it or beside it. */
#define APP_NAMED_FROM_PX 36.0

/* A text on the paper, in the units of the view's device. */
typedef struct AppTextBox
{
  guint panel_id, edge_id; /* EDGE_ID 0: the panel's name */
  bool inside;             /* it stands on its panel, which draws it */
  bool near_by;            /* so near its edge that it needs no leader */
  GeomBox box;
  GeomPoint from; /* its leader begins there */
} AppTextBox;

typedef struct AppNames AppNames;
AppNames *app_canvas_names_new (void);
void app_canvas_names_clear (AppNames *names);
void app_canvas_names_free (AppNames *names);
/* All texts, AppTextBox; yours. */
GArray *app_canvas_text_boxes (AppCanvas *self, cairo_t *cr, const OutputView *view);
/* Something changed: they are laid out again when they are painted next. */
void app_canvas_names_touch (AppCanvas *self);
/* In shifted px, over the pieces. */
void app_canvas_names_paint (AppCanvas *self, GtkSnapshot *snapshot);

/* ---- canvas-comb.c ---- */

void app_canvas_draw_comb (AppCanvas *self, cairo_t *cr, const OutputView *view, const OutputInk *ink);

/* ---- eraser.c: the pen's other end takes out the nodes it passes ---- */

/* True if the tool in hand leaves the rubber to this. */
bool app_eraser_begin (AppCanvas *self, const AppInput *in);
void app_eraser_move (AppCanvas *self, const AppInput *in);
/* One step of undo; KEEP false: everything is as it was. */
void app_eraser_end (AppCanvas *self, bool keep);
void app_eraser_draw (AppCanvas *self, cairo_t *cr);

/* ---- canvas-lines.c ---- */

/* Unit vector along a guide or level line. */
GeomPoint app_line_direction (const ModelLine *line);
/* What is selected; NULL if it is no line. */
const ModelLine *app_canvas_chosen_line (AppCanvas *self);
/* Offers guides and level lines as snap targets: the near point of one, or where two cross.  False, and TO
 * as it was: none is near, or snapping is off. */
bool app_canvas_snap_to_lines (AppCanvas *self, GeomPoint *to);
/* The nearest line that is shown, of any kind; 0: none. */
guint app_canvas_line_at (AppCanvas *self, GeomPoint at, double catch_mm);
/* "Waist, 320.0 mm up". */
char *app_canvas_line_words (AppCanvas *self, const ModelLine *line);
/* A mark that has wedges, or ends a run, a tape, a line or a match. */
bool app_mark_is_used (const ModelDocument *doc, const ModelPanel *panel, guint mark_id);
void app_canvas_remove_line (AppCanvas *self, guint line_id);
/* True if a line is in hand, whether it moved or not. */
bool app_canvas_nudge_line (AppCanvas *self, double dx_mm, double dy_mm);
/* The next line is selected and told. */
void app_canvas_walk_lines (AppCanvas *self);
guint app_canvas_add_line (
  AppCanvas *self, ModelLineKind kind, const char *name, GeomPoint at, double direction_deg);
/* True: it was for a line, the tool does not get it. */
bool app_canvas_lines_feed (AppCanvas *self, AppPhase phase, const AppInput *in);
/* A new guide comes out of a rule and follows the pointer until its release. */
void app_canvas_pull_line (AppCanvas *self, bool upright, double x, double y);
/* Those ON_PAPER, else those across panels. */
void app_canvas_paint_lines (AppCanvas *self, GtkSnapshot *snapshot, bool on_paper, int width, int height);

/* ---- canvas-line-menu.c ---- */

void app_canvas_lines_init (AppCanvas *self);
void app_canvas_line_rows (AppCanvas *self, GMenu *menu, const ModelLine *line);
void app_canvas_new_line_rows (AppCanvas *self, GMenu *menu);
void app_canvas_ask_line_place (AppCanvas *self);
void app_canvas_ask_line_name (AppCanvas *self);

/* ---- tool-tape.c ---- */

/* Bits of ModelTapeKind: as what the tape in hand can be pinned; 0: nothing is measured. */
guint app_tape_tool_offers (AppCanvas *canvas);
bool app_tape_tool_pin (AppCanvas *canvas, ModelTapeKind kind);

/* ---- canvas-tapes.c: tapes pinned to panels ---- */

/* Where a tape begins, ends or turns. */
typedef struct AppTapeEnd
{
  GeomPoint at; /* paper */
  bool on_edge;
  guint panel_id; /* on an edge */
  ModelSide side;
  GeomPlace place; /* on that side's outline */
} AppTapeEnd;

/* Pins a tape with these two ends (an angle: three, the corner second) to the panel they lie on, chooses it
 * and asks what it reads over the wrap.  False, and said why, if they do not lie on one panel. */
bool app_canvas_pin_tape (AppCanvas *self, ModelTapeKind kind, const AppTapeEnd ends[3]);
/* The chosen edge as a tape along it. */
void app_canvas_pin_edge (AppCanvas *self);
/* What is selected and its panel; NULL: no tape. */
const ModelTape *app_canvas_chosen_tape (AppCanvas *self, const ModelPanel **panel);
/* MM NAN: not taped over the wrap any more. */
void app_canvas_set_tape_wrap (AppCanvas *self, guint panel_id, guint tape_id, double mm);
void app_canvas_remove_tape (AppCanvas *self, guint panel_id, guint tape_id);
/* "Straight, 120.0 mm; over the wrap 126.2 mm, 6.2 mm more". */
char *app_tape_words (const ModelDocument *doc, const ModelPanel *panel, const ModelTape *tape, bool twin);
/* The tape there is chosen; false: none. */
bool app_canvas_choose_tape_at (AppCanvas *self, const AppInput *in);
void app_canvas_paint_tapes (AppCanvas *self, GtkSnapshot *snapshot);
void app_canvas_tapes_init (AppCanvas *self);
void app_canvas_tape_rows (AppCanvas *self, GMenu *menu, const ModelTape *tape);

/* ---- canvas-doming.c ---- */

void app_canvas_draw_doming (AppCanvas *self, cairo_t *cr, const OutputView *view, const OutputInk *ink);
/* The amount of the mark near the pointer, in widget px: follows it. */
void app_canvas_draw_doming_amount (AppCanvas *self, cairo_t *cr);

/* ---- canvas-pointer.c ---- */

void app_canvas_pointer_shape (AppCanvas *self);

/* ---- tool-shape.c: the drag that Choose and Shape have in common ---- */

typedef struct AppShapeDrag
{
  bool on, moved, open;
  AppPick pick;
  ModelPanel *before;
  GArray *node_ids;
  GeomPoint grab_offset;
  AppSnap snap; /* what has caught it */
} AppShapeDrag;

void app_shape_drag_begin (AppShapeDrag *drag, AppCanvas *canvas, const AppPick *pick, GeomPoint at);
void app_shape_drag_move (AppShapeDrag *drag, AppCanvas *canvas, const AppInput *in);
void app_shape_drag_end (AppShapeDrag *drag, AppCanvas *canvas);
void app_shape_drag_cancel (AppShapeDrag *drag, AppCanvas *canvas);
void app_shape_drag_draw (AppShapeDrag *drag, AppCanvas *canvas, cairo_t *cr);
void app_shape_drag_clear (AppShapeDrag *drag);
/* The joins at an edge, told as they stand: "Join C: 362.5 mm and 368.7 mm, 6.2 mm too long".  NULL if there
 * is none. */
char *app_shape_join_words (AppCanvas *canvas, guint panel_id, guint edge_id, guint *join_id);

#endif
