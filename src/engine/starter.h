/* Starters: documents from measures and a few numbers, without a window.
 *
 * A starter is a row of a table: what it is called, which numbers it wants, and a pure function that makes
 * the document.  Making takes well under 2 ms, so it may be done again at every change of a number.  What
 * comes out holds: every join agrees, and no outline meets itself.
 *
 * Girths are those of the body, tape on the skin.  Everything worn outside makes them longer: a layer of
 * thickness t outside a closed convex girth adds 2 pi t, and the leather itself 2 pi k t, k being where in
 * its thickness its length stays the same (Steiner's formula for parallel curves; the shape does not matter).
 */
#ifndef ENGINE_STARTER_H
#define ENGINE_STARTER_H

#include "model/document.h"

typedef enum EngineValueKind
{
  ENGINE_VALUE_LENGTH, /* mm */
  ENGINE_VALUE_COUNT,  /* a whole number */
  ENGINE_VALUE_SHARE,  /* a plain number */
  ENGINE_VALUE_CHOICE  /* the index of one of CHOICES */
} EngineValueKind;

/* The most words a choice has. */
#define ENGINE_STARTER_CHOICES 4
/* No starter asks for more numbers. */
#define ENGINE_STARTER_VALUES 32

typedef struct EngineStarterValue
{
  const char *key;  /* "wide_girth": command line; never translated */
  const char *name; /* untranslated; show _(name) */
  EngineValueKind kind;
  double start, min, max; /* start: what it is unless told; limits included */
  /* CHOICE: key and untranslated name of each; NULL after the last. */
  struct
  {
    const char *key, *name;
  } choices[ENGINE_STARTER_CHOICES];
  /* The body measure it is taken from (model/measure-book.h), NULL: none.  Where the starter's first value is
   * a choice, one entry for each of its words; else the first entry counts. */
  const char *measure[ENGINE_STARTER_CHOICES];
  /* The same value for each word of that first choice; 0: START. */
  double start_by_choice[ENGINE_STARTER_CHOICES];
} EngineStarterValue;

typedef struct EngineDraft EngineDraft;

typedef struct EngineStarter
{
  const char *key, *name, *summary; /* name and summary untranslated */
  const EngineStarterValue *values;
  guint value_count;
  /* Draws into DRAFT; false with ERROR where the numbers do not go together.  Called by engine_starter_make.
   */
  bool (*draw) (EngineDraft *draft, const double *values, GError **error);
} EngineStarter;

typedef enum EngineStarterError
{
  ENGINE_STARTER_ERROR_VALUE, /* one number is out of its limits */
  ENGINE_STARTER_ERROR_SHAPE  /* numbers that do not go together */
} EngineStarterError;
#define ENGINE_STARTER_ERROR (engine_starter_error_quark ())
GQuark engine_starter_error_quark (void);

/* In the order in which they are offered. */
const EngineStarter *const *engine_starters (guint *count);
/* NULL for an unknown key. */
const EngineStarter *engine_starter_named (const char *key);
/* The index of a value by its key or by the measure it is taken from with the present first choice; -1: none.
 */
int engine_starter_find (const EngineStarter *starter, const double *values, const char *name);
/* The measure key a value is taken from with the present first choice, or NULL. */
const char *engine_starter_measure (const EngineStarter *starter, const double *values, guint index);
/* What a value is unless told, with the present first choice. */
double engine_starter_start (const EngineStarter *starter, const double *values, guint index);
/* Fills all values, the first choice's first word taken; VALUES has value_count entries. */
void engine_starter_defaults (const EngineStarter *starter, double *values);
/* The same with another word of the first choice: 0, 1, ... */
void engine_starter_defaults_for (const EngineStarter *starter, int first_choice, double *values);
/* The same, but what is known of the wearer of DOC, within the limits of each value, is taken from there.
 */
void engine_starter_defaults_from (const EngineStarter *starter,
                                   int first_choice,
                                   const ModelDocument *doc,
                                   double *values);
/* The index of a word of a choice by its key; -1: none. */
int engine_starter_choice (const EngineStarterValue *value, const char *key);

/* A document of its own with the panels, their joins, the material, and the measures that were used.  NULL
 * with an ERROR worded for the maker.  Pure: the same values give the same document. */
ModelDocument *engine_starter_make (const EngineStarter *starter, const double *values, GError **error);

/* ---- the rows ---- */

extern const EngineStarter engine_starter_tube;
extern const EngineStarter engine_starter_collar;
extern const EngineStarter engine_starter_torso;
extern const EngineStarter engine_starter_strap;
extern const EngineStarter engine_starter_rectangle;

#endif
