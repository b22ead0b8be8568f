/* What the reader, the writer and the history must agree on: words of the file, defaults it leaves out,
 * limits it keeps.
 *
 * Private to the room.  data/panelwright.schema.json says the same for others.
 */
#ifndef MODEL_FORMAT_H
#define MODEL_FORMAT_H

#include "model/file.h"

/* ---- words, in the order of their enums, NULL at the end ---- */

extern const char *const model_side_words[];
extern const char *const model_halves_words[];
extern const char *const model_node_words[];
extern const char *const model_material_words[];
extern const char *const model_group_words[];
extern const char *const model_join_words[];
extern const char *const model_tape_words[];
extern const char *const model_line_words[];
extern const char *const model_fit_words[];
extern const char *const model_unit_words[];

/* ---- defaults ---- */

#define MODEL_DEFAULT_PAPER "a4"
#define MODEL_DEFAULT_OVERLAP_MM 10.0
#define MODEL_DEFAULT_THICKNESS_MM 3.0
#define MODEL_DEFAULT_NEUTRAL 0.5
#define MODEL_DEFAULT_GRAIN_DEG 90.0
#define MODEL_DEFAULT_GRAIN_TOLERANCE_DEG 10.0
#define MODEL_DEFAULT_TOLERANCE_MM 1.0
/* Common practice, no source: an overlap that takes one row of rivets, an edge that takes one row of
 * stitches, a gap that a strap bridges. */
#define MODEL_DEFAULT_LAP_MM 15.0
#define MODEL_DEFAULT_ALLOWANCE_MM 10.0
#define MODEL_DEFAULT_GAP_MM 20.0
/* Common practice, no source: a strap as wide as common buckles, and its two ends riveted or buckled. */
#define MODEL_DEFAULT_STRAP_WIDTH_MM 20.0
#define MODEL_DEFAULT_STRAP_OVERLAP_MM 120.0
#define MODEL_DEFAULT_FADE 0.45

/* ---- limits; those that outsiders must know are in model/file.h ---- */

/* Leaves room for as many ids again before the counter wraps. */
#define MODEL_MAX_ID 2000000000u
/* Thickness, allowance, lap, gap, tolerance: a metre is beyond sense and well within arithmetic. */
#define MODEL_MAX_WIDTH_MM 1000.0
/* A place on an edge may lie beyond its end, but not where sums lose the micrometre. */
#define MODEL_MAX_ALONG_MM 1e9
#define MODEL_MAX_QUANTITY 1000
#define MODEL_MAX_STRAPS 100
#define MODEL_MAX_PHOTO_PX 65535
#define MODEL_MAX_MM_PER_PX 1000.0
#define MODEL_MIN_MM_PER_PX 1e-4
#define MODEL_MAX_EASE_PERCENT 100.0
#define MODEL_MIN_STRETCH_PERCENT (-99.0)
#define MODEL_MAX_STRETCH_PERCENT 1000.0
#define MODEL_MAX_ANGLE_DEG 3600.0
/* A fold edge is straight when its handles lie on its chord this well: far below what a knife can follow. */
#define MODEL_FOLD_STRAIGHT_MM 1e-6

/* A fold edge of a panel is sound: the only one, one straight piece.  True for panels not cut on the fold. */
bool model_panel_fold_is_sound (const ModelPanel *panel);

/* "a4", "a3", "letter", "tabloid" or two lengths in mm: "420x600". */
bool model_paper_is_known (const char *paper);

#endif
