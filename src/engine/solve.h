/* The least change of some panels with which given lengths and directions come out right.
 *
 * What may move is freed, a node or a handle at a time; what must hold is wanted, one equation at a time, as
 * a sum of lengths of runs (or of directions at ends of edges) that must reach a target.  Of all changes that
 * meet the equations the one with the smallest weighted sum of squares is found, by Newton steps on the
 * equations with their exact derivatives, damped.
 *
 * The two sides of a mirrored panel move alike; only on panels with own sides one of them may be moved by
 * itself, and the correction takes up the difference.  Nodes on a fold slide along it and belong to both
 * sides.  What is locked is not freed.
 *
 * A run that ends at a mark counts as far as the mark, which goes along with its edge as it does afterwards.
 */
#ifndef ENGINE_SOLVE_H
#define ENGINE_SOLVE_H

#include "model/document.h"

typedef struct EngineSolve EngineSolve;

/* Which of a panel's sides a freed node moves on. */
typedef enum EngineMove
{
  ENGINE_MOVE_ALIKE, /* both, mirrored */
  ENGINE_MOVE_DRAWN, /* panels with own sides: the drawn one alone */
  ENGINE_MOVE_OTHER  /* and the other one alone */
} EngineMove;

typedef enum EngineGrip
{
  ENGINE_GRIP_NODE, /* the node with both its handles */
  ENGINE_GRIP_IN,   /* a handle, whichever way */
  ENGINE_GRIP_OUT,
  ENGINE_GRIP_IN_ALONG, /* a handle, along its own direction: the tangent stays */
  ENGINE_GRIP_OUT_ALONG,
  ENGINE_GRIP_MARK /* by engine_solve_loosen_mark alone */
} EngineGrip;

/* Borrows DOC. */
EngineSolve *engine_solve_new (const ModelDocument *doc);
void engine_solve_free (EngineSolve *solve);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (EngineSolve, engine_solve_free)

/* The solver's own copy of a panel, as it is so far; NULL if there is none such.  Before anything of the
 * panel is freed or wanted, nodes may still be changed in it. */
ModelPanel *engine_solve_panel (EngineSolve *solve, guint panel_id);
/* At most so many points may be freed, instead of the few that a remedy needs. */
void engine_solve_allow (EngineSolve *solve, guint unknowns);
/* Frees GRIP of a node; WEIGHT > 0: moving it by 1 mm counts so much.  False, and nothing freed, when it is
 * not there, locked, free already, or a handle that has no length. */
bool engine_solve_loosen (
  EngineSolve *solve, guint panel_id, guint node_id, EngineGrip grip, EngineMove move, double weight);
/* Frees a mark, along its edge: where a run ends at it, the part that the run covers can grow and shrink.
 * False, and nothing freed, when it is not there, free already, or its edge or panel is locked. */
bool engine_solve_loosen_mark (EngineSolve *solve, guint panel_id, guint mark_id, double weight);

/* Opens an equation: the sum of what is added next must be TARGET. */
void engine_solve_want (EngineSolve *solve, double target);
/* The same, and the target is what the sum is at the start. */
void engine_solve_want_as_is (EngineSolve *solve);
/* Gives the open equation another target. */
void engine_solve_set_target (EngineSolve *solve, double target);
/* FACTOR times the length of a run on SIDE, mm.  False if it is not there. */
bool engine_solve_add_run (EngineSolve *solve, const ModelRun *run, ModelSide side, double factor);
/* FACTOR times the angle in which an edge's direction as drawn lies at its start or end, turned into mm by
 * ENGINE_SOLVE_ARM_MM.  Angles count to whole turns. */
bool engine_solve_add_direction (
  EngineSolve *solve, guint panel_id, ModelSide side, guint edge_id, bool at_end, double factor);
#define ENGINE_SOLVE_ARM_MM 100.0
/* WAY times (the dot product) the place at T of the piece after a node, on SIDE: in that side's coordinates
 * where it has its own shape, else as drawn. */
bool engine_solve_add_place (EngineSolve *solve,
                             guint panel_id,
                             ModelSide side,
                             guint edge_id,
                             guint node_index,
                             double t,
                             GeomPoint way);

/* Solves.  False when the equations cannot be met, or not without moving something farther than MOST_MM, or a
 * handle would shrink to nothing; the panels are then as they were.  Marks stay at their length from the end
 * of their edge that was not freed; where both were, or neither, they keep their share. */
bool engine_solve_run (EngineSolve *solve, double most_mm);
/* The farthest any freed point of the panel moved. */
double engine_solve_moved_mm (const EngineSolve *solve, guint panel_id);
/* The panels that changed, in the order in which they were first spoken of: ModelPanel, owned by the array.
 */
GPtrArray *engine_solve_take_panels (EngineSolve *solve);

#endif
