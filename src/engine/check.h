/* The small interface of a check: one file each (engine/check-*.c), one row in the table of check-table.c. */
#ifndef ENGINE_CHECK_H
#define ENGINE_CHECK_H

#include "engine/finding.h"
#include "engine/review.h"

/* What a check is run on; it is run again when that, or what that refers to, was touched. */
typedef enum EngineSubject
{
  ENGINE_SUBJECT_DOCUMENT, /* id 0; after any touch */
  ENGINE_SUBJECT_PANEL, /* after a touch of the panel, of its counterpart, of a join on it, of its material,
                           or of the head */
  ENGINE_SUBJECT_JOIN,  /* after a touch of the join or of either panel */
  ENGINE_SUBJECT_MEASURE,
  ENGINE_SUBJECT_LINE /* after a touch of any line, or of a panel, join, material or measure of one */
} EngineSubject;

struct EngineCheck
{
  const char *name; /* as in the contract: "join-length" */
  EngineSubject subject;
  /* Appends EngineFindings (by value) for the subject ID to OUT: at least one whenever the check applies. */
  void (*run) (EngineReview *review, guint id, GArray *out);
  char *(*text) (EngineReview *review, const EngineFinding *finding);
  char *(*detail) (EngineReview *review, const EngineFinding *finding);                  /* may be NULL */
  void (*remedies) (EngineReview *review, const EngineFinding *finding, GPtrArray *out); /* may be NULL */
};

/* NULL-ended, in the order of `check --json`. */
const EngineCheck *const *engine_checks (void);
const EngineCheck *engine_check_named (const char *name);
/* A finding of CHECK with all places 0 and all figures NAN. */
EngineFinding engine_finding_blank (const EngineCheck *check);

extern const EngineCheck engine_check_join_length;
extern const EngineCheck engine_check_join_drift;
extern const EngineCheck engine_check_join_truth;
extern const EngineCheck engine_check_lap_side;
extern const EngineCheck engine_check_outline;
extern const EngineCheck engine_check_form_against_wearer;
extern const EngineCheck engine_check_twin;
extern const EngineCheck engine_check_sheet_fit;
extern const EngineCheck engine_check_girth;
extern const EngineCheck engine_check_reach;
extern const EngineCheck engine_check_neck;
extern const EngineCheck engine_check_layer;

#endif
