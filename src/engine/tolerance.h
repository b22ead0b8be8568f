/* The engine's tolerances, each with its reason. */
#ifndef ENGINE_TOLERANCE_H
#define ENGINE_TOLERANCE_H

#define ENGINE_TOL_LENGTH_MM 1e-7 /* arc length; the contract asks 1e-6 of an edge of many pieces */
#define ENGINE_TOL_SOLVE_MM 1e-9  /* what was solved for agrees so far: a hundredth of what is measured */
#define ENGINE_TOL_SOLVE_LENGTH_MM                                                                           \
  1e-11 /* arc length while solving: sums of many pieces keep the line above */
#define ENGINE_TOL_CUT_MM                                                                                    \
  0.008                         /* cut line against the true parallel; the contract asks 0.01 with corners   \
                                 */
#define ENGINE_TOL_LIMIT_MM 1.0 /* a limit to a width or an opening: as much as an edge may be off */
#define ENGINE_MITRE_LIMIT 4.0  /* a longer spike of leather is a nuisance; then a blunt end */
#define ENGINE_TOL_ALLOWANCE_MM 0.05 /* two allowances this near are the same: no knife does better */
#define ENGINE_TOL_CROSSING_MM 1e-3  /* two crossings nearer than this are one */
#define ENGINE_SLIVER_MM 0.5         /* an outline narrower than this tears or cannot be cut */
#define ENGINE_SLIVER_WAY_MM                                                                                 \
  10.0 /* within 5 mm of its tip a sharp corner is narrow by nature; beyond, it is a sliver */
#define ENGINE_NO_WIDTH_MM 1e-3 /* an outline narrower than a thousandth encloses nothing: rounding */
#define ENGINE_SHORT_EDGE_MM                                                                                 \
  0.1 /* no pencil draws and no knife follows a shorter edge: two corners that fell together */
#define ENGINE_ALIKE_MM 1.0 /* two sides drawn apart and meant to be alike may differ by a pencil line */

#endif
