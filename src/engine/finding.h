/* What a check says, and what would settle it. */
#ifndef ENGINE_FINDING_H
#define ENGINE_FINDING_H

#include "model/document.h"

typedef struct EngineReview EngineReview;
typedef struct EngineCheck EngineCheck;
typedef struct EngineLineReading EngineLineReading;

/* A change that would settle a finding: the parts as they would be afterwards. */
typedef struct EngineRemedy
{
  char *text;    /* starts with a verb, has its number: "Slide the hem end of the side by 6.2 mm" */
  char *detail;  /* a few words more, or NULL */
  GArray *parts; /* ModelPart, owned: put into the history in one group, labelled TEXT */
} EngineRemedy;

EngineRemedy *engine_remedy_new (char *text_taken, char *detail_taken);
EngineRemedy *engine_remedy_copy (const EngineRemedy *remedy);
/* Takes BODY. */
void engine_remedy_add (EngineRemedy *remedy, ModelPartKind kind, gpointer body);
void engine_remedy_free (EngineRemedy *remedy);

/* Places are ids (0: none).  Figures that do not apply are NAN. */
typedef struct EngineFinding
{
  const EngineCheck *check;
  bool holds;
  ModelSide side;
  bool has_side;
  guint panel_id, edge_id, other_panel_id, join_id, measure_id, line_id, other_line_id;
  guint mark_id; /* of a pair of marks: the one on a */
  bool has_at;
  GeomPoint at; /* on the canvas */
  double expected, actual, difference, tolerance;
  const char *unit; /* "mm", "deg", "count" */
  int what;         /* the check's own: which of its sentences applies */
} EngineFinding;

/* One sentence: who, how much, where. */
char *engine_finding_text (EngineReview *review, const EngineFinding *finding);
/* The line below it: which join, which kind, where along; may be empty. */
char *engine_finding_detail (EngineReview *review, const EngineFinding *finding);
/* The `where` of --json: names of panel, edge, join, mark, line or measure; NULL-ended. */
char **engine_finding_where (EngineReview *review, const EngineFinding *finding);
/* EngineRemedy, owned by the array; may be empty.  Worked out on demand. */
GPtrArray *engine_finding_remedies (EngineReview *review, const EngineFinding *finding);
/* A sentence where a finding that does not hold has no remedy: what is in the way (why-none.c). */
char *engine_finding_why_none (EngineReview *review, const EngineFinding *finding);
/* How bad: |difference| over tolerance; a count or a yes/no that fails is 10; 0 if it holds. */
double engine_finding_weight (const EngineFinding *finding);

#endif
