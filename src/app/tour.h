/* The guided tour: eight steps of a real use on the example that is a first draft.
 *
 * A strip below the header, so it lies over nothing; what a step speaks of carries a dashed ring.  A step is
 * done when the document, the session or the room say so, whatever hand or key did it, in any order.
 */
#ifndef APP_TOUR_H
#define APP_TOUR_H

#include "app/window.h"

#define APP_TYPE_TOUR (app_tour_get_type ())
G_DECLARE_FINAL_TYPE (AppTour, app_tour, APP, TOUR, GtkWidget)

/* The document a tour is made on; from the shipped examples. */
#define APP_TOUR_EXAMPLE "caravan-guard-first-draft.panelwright"

typedef enum AppTourStep
{
  APP_TOUR_PLACE,   /* a place that does not agree is opened */
  APP_TOUR_REMEDY,  /* another of its remedies is previewed */
  APP_TOUR_TAKE,    /* a remedy is taken */
  APP_TOUR_UNDO,    /* a step is undone and done again */
  APP_TOUR_BEND,    /* an edge has another curve between the same corners */
  APP_TOUR_LENGTH,  /* an edge has a typed length */
  APP_TOUR_MEASURE, /* a measure is changed by hand */
  APP_TOUR_SHEETS,  /* the sheets are looked at */
  APP_TOUR_COUNT    /* all is done */
} AppTourStep;

/* WINDOW is not held. */
GtkWidget *app_tour_new (AppWindow *window);
/* The session the tour is made on; NULL, or another than the window's: none. */
void app_tour_set_session (AppTour *self, AppSession *session);
AppSession *app_tour_session (AppTour *self);
/* Shows the first step that is not done; all done: begins anew. */
void app_tour_begin (AppTour *self);
/* Goes out of the way; app_tour_begin takes it up where it was. */
void app_tour_leave (AppTour *self);
/* The step shown next (1: skips), or the one before (-1). */
void app_tour_turn (AppTour *self, int by);
bool app_tour_is_shown (AppTour *self);
AppTourStep app_tour_step (AppTour *self);
bool app_tour_is_done (AppTour *self, AppTourStep step);
/* What carries the ring; NULL: nothing, or a place on the paper. */
GtkWidget *app_tour_target (AppTour *self);

#endif
