/* What differs between an earlier state of a document and a later one: figure by figure, so that a maker can
 * mend the paper already cut, or go back to a part of it.
 *
 * Panels, edges, joins and measures are told apart by id.  Where a panel lies on the canvas is no difference:
 * the earlier shape is first laid, moved and turned but not turned over, so that most of its nodes fall on
 * their later places.
 */
#ifndef ENGINE_COMPARE_H
#define ENGINE_COMPARE_H

#include "model/document.h"

typedef enum EngineChangeKind
{
  ENGINE_CHANGE_PANEL_ADDED,
  ENGINE_CHANGE_PANEL_GONE,
  ENGINE_CHANGE_PANEL_CUT, /* halves, quantity or material */
  ENGINE_CHANGE_EDGE,      /* its length, or where it lies */
  ENGINE_CHANGE_EDGE_ADDED,
  ENGINE_CHANGE_EDGE_GONE,
  ENGINE_CHANGE_ALLOWANCE,
  ENGINE_CHANGE_JOIN_ADDED,
  ENGINE_CHANGE_JOIN_GONE,
  ENGINE_CHANGE_JOIN, /* its kind, width, which is over, or ease */
  ENGINE_CHANGE_MEASURE_ADDED,
  ENGINE_CHANGE_MEASURE_GONE,
  ENGINE_CHANGE_WEARER, /* a measure of the wearer; NAN: was or is not taken */
  ENGINE_CHANGE_FORM
} EngineChangeKind;

typedef struct EngineChange
{
  EngineChangeKind kind;
  guint panel_id, edge_id, join_id, measure_id; /* 0: none */
  ModelSide side;                               /* of an edge; CENTRE: both alike, or a single panel */
  double was_mm, now_mm; /* length, allowance, width or measure; NAN where there is none */
  double apart_mm;       /* EDGE: the greatest distance of the one from the other; else NAN */
  bool has_at;
  GeomPoint at; /* where that is, on the later panel */
} EngineChange;

/* The earlier place of SIDE of a panel laid on the later one; identity if they have no node in common. */
GeomAffine engine_compare_laid (const ModelPanel *was, const ModelPanel *now, ModelSide side);
/* The greatest distance of any point of either path from the other; *AT (may be NULL) on NOW.  INFINITY if
 * either is empty. */
double engine_compare_apart (const GeomPath *was, const GeomPath *now, GeomPoint *at);
/* EngineChange: panels in the order of NOW, those gone last; then joins, then measures. */
GArray *engine_compare (const ModelDocument *was, const ModelDocument *now);
/* The panel of any change that is about one, 0 else; of a join: of its first run. */
guint engine_change_panel (const ModelDocument *was, const ModelDocument *now, const EngineChange *change);

/* ---- in words (compare-words.c) ---- */

/* "Front: side, wearer’s right", "Join C: Front – Side", "Chest". */
char *engine_change_subject (const ModelDocument *was, const ModelDocument *now, const EngineChange *change);
/* "368.7 mm, was 362.5 mm. Lies up to 3.1 mm from where it was." */
char *engine_change_text (const ModelDocument *was, const ModelDocument *now, const EngineChange *change);
/* "4 differences", "No difference". */
char *engine_changes_count (guint count);
/* The whole list as lines for the clipboard or a letter. */
char *engine_changes_text (const ModelDocument *was,
                           const char *was_name,
                           const ModelDocument *now,
                           const GArray *changes);

#endif
