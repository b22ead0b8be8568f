/* One panel in its frame, and how far its points go.  Private to engine/refit-field.c. */
#ifndef ENGINE_REFIT_BODY_H
#define ENGINE_REFIT_BODY_H

#include "model/document.h"

/* Labels of edges: 0 is neither. */
enum
{
  BODY_LEFT = -1,
  BODY_RIGHT = 1
};

/* A level on one side: how far the edge goes, along ACROSS (so the left side goes out by less than 0). */
typedef struct BodyKnot
{
  double up_mm, out_mm;
  bool line; /* a width line crosses there; else the amount runs out to nothing */
} BodyKnot;

/* What lies from FROM on towards TO is drawn out by BY; beyond TO all goes along. */
typedef struct BodyZone
{
  double from_mm, to_mm, by_mm;
} BodyZone;

typedef struct Body
{
  const ModelPanel *panel; /* as it was */
  ModelPanel *work;        /* edges as in PANEL, perhaps more nodes */
  GeomPoint across, up;    /* unit vectors */
  GeomPoint sum_across, sum_along;
  int *label;       /* of each edge */
  bool *kept;       /* keeps its shape */
  bool *open;       /* at a side, without a seam */
  int *dart;        /* 1: first leg, 2: second one, 0: none */
  GArray *knots[2]; /* BodyKnot, left and right, ascending */
  GArray *zones;    /* BodyZone */
} Body;

Body *engine_refit_body_new (const ModelPanel *panel);
void engine_refit_body_free (gpointer body);

/* Hears of the direction of a span; ALONG: it runs up the panel. */
void engine_refit_body_orient (Body *body, GeomPoint way, bool along);
void engine_refit_body_settle_frame (Body *body);
double engine_refit_body_across (const Body *body, GeomPoint p);
double engine_refit_body_up (const Body *body, GeomPoint p);

void engine_refit_body_find_darts (const ModelDocument *doc, Body *body);
/* Edges between two of one label get it too. */
void engine_refit_body_fill_labels (Body *body);
/* Sorts the knots, makes one of those nearer than NEAR_MM, and lets a side run out towards what keeps. */
void engine_refit_body_close_knots (Body *body, double near_mm);
/* Narrows a stretch to what lies between the lowest and the highest level in it, if there are two. */
void engine_refit_body_within_levels (const Body *body, double *low, double *high);
/* Where the marks of PANEL lie on its outline (GeomPlace, one a mark), to be kept while it is reshaped, and
 * put back afterwards: each mark stays at the same place of the same piece. */
GArray *engine_refit_hold_marks (const ModelPanel *panel);
void engine_refit_put_marks (ModelPanel *panel, const GArray *places);
/* Moves all nodes, handles and free ends of tapes of WORK.  False: nothing moves. */
bool engine_refit_body_move (Body *body);

#endif
