/* What lies under the pointer.
 *
 * The nearest thing within the catch wins; of two equally near, corner before node before handle before edge
 * before panel.  Handles are caught only on edges that are selected, since only there they are drawn; corners
 * and nodes everywhere while shaping, since a hand goes for them whether they are drawn or not.
 */
#ifndef APP_PICK_H
#define APP_PICK_H

#include "app/session.h"

#include "model/shape.h"

/* In the order in which ties go. */
typedef enum AppPickKind
{
  APP_PICK_CORNER,
  APP_PICK_NODE,
  APP_PICK_HANDLE,
  APP_PICK_EDGE,
  APP_PICK_PANEL,
  APP_PICK_NONE
} AppPickKind;

typedef struct AppPick
{
  AppPickKind kind;
  guint panel_id, edge_id, node_id;
  ModelSide side; /* which side of the panel lies there */
  ModelHandle handle;
  guint node_index; /* EDGE: the piece after this node of the edge */
  double t;         /* EDGE: place on that piece, as drawn */
  GeomPoint at;     /* the caught place, paper */
  double distance_mm;
} AppPick;

typedef enum AppPickFlags
{
  APP_PICK_POINTS = 1 << 0,     /* corners, nodes and handles of selected edges */
  APP_PICK_ALL_POINTS = 1 << 1, /* corners and nodes of every edge: for snapping */
  APP_PICK_EDGES = 1 << 2,
  APP_PICK_PANELS = 1 << 3
} AppPickFlags;

/* Panels as paths, kept until they are touched. */
typedef struct AppPickIndex AppPickIndex;

/* One side of one panel as it lies on the paper. */
typedef struct AppOutline
{
  guint panel_id;
  ModelSide side;
  bool twin; /* not the drawn side: pieces in the drawn order, so clockwise */
  GeomPath path;
  size_t *first; /* first piece of each edge */
  guint edge_count;
  GeomBox box;
} AppOutline;

AppPickIndex *app_pick_index_new (AppSession *session);
void app_pick_index_free (AppPickIndex *index);
/* 0: all. */
void app_pick_index_touch (AppPickIndex *index, guint panel_id);
/* All sides that can be grabbed, in document order; hidden panels left out.  AppOutline, borrowed until the
 * next touch. */
GPtrArray *app_pick_index_outlines (AppPickIndex *index);
/* NULL: no such panel, or that side is only a tracing of the other. */
const AppOutline *app_pick_index_outline (AppPickIndex *index, guint panel_id, ModelSide side);
/* Pieces of one edge: first and count. */
void app_outline_edge (
  const AppOutline *outline, const ModelPanel *panel, guint edge_index, size_t *first, size_t *count);
/* The edge as a path of its own.  OUT initialised; false if there is no such edge. */
bool app_outline_edge_path (const AppOutline *outline, const ModelPanel *panel, guint edge_id, GeomPath *out);

/* PANEL_ID 0: any panel. */
AppPick app_pick_at (AppPickIndex *index, GeomPoint at, double catch_mm, guint flags, guint panel_id);
AppPick app_pick_none (void);
bool app_pick_same (const AppPick *a, const AppPick *b);

#endif
