/* How far other people leave a target in sight: the Boolean model of geometry/sightlines/blockage.py, compiled.

   The rays of a whole tile go through the formula of a straight strip; the few that end on an arc of the region are
   found in groups and get the exact area. */

#ifndef STANDMARK_CROWD_KERNEL_H
#define STANDMARK_CROWD_KERNEL_H

#include "single_maths.h"

#define TILE 128  /* targets at once */
#define FEW 16    /* rays that are looked at together for an end on an arc */
#define N_NODES 5 /* blockage.NODES */

/* Rows of `columns`, one float for each target */
enum { FACE_X, FACE_Y, FACE_PULL, FACES_MATTER, TURN_PULL, TURN_REST, TURN_ALL, JUMP_SHARE,
       NEAR, NEAR_LEAN, FAR, REACH, WHOLE, BODY, OVER, POINT, N_COLUMNS = POINT + N_NODES };

/* Entries of `constants` */
enum { R, OWN, ENDS, BESIDE, FACES, WISH_DEG, MOST_DEG, LOST_DEG, FLAT, SUN_NEAR, SUN_SIDE,
       WEIGHT, N_CONSTANTS = WEIGHT + N_NODES };

/* What one position sees of one tile */
typedef struct {
    float run[TILE], away[TILE], rise[TILE], along_x[TILE], along_y[TILE], toward[TILE], clear[TILE];
} Looks;

/* blockage._segment for y <= r, the radius of a body: integral of sqrt(r^2 - u^2) for u from 0 to y */
INLINE float body_segment(float r, float y) {
    float share = least(y / r, 1.0f);
    return 0.5f * (y * sqrtf(most(r * r - y * y, 0.0f)) + r * r * (0.5f * PI - arccos_of(share)));
}

/* blockage._segment for y at most half the radius, less s y: its power series, so that large radii lose no digits */
INLINE float wide_segment_less(float radius, float y, float s) {
    float q = y / radius;
    q *= q;
    float sum = q * (1.0f / 6 + q * (1.0f / 40 + q * (1.0f / 112 + q * (5.0f / 1152 + q * (7.0f / 2816)))));
    return y * ((radius - s) - radius * sum);
}

/* blockage._far_arc_crossing, factored so that nothing cancels: offset up to which s + sqrt(r^2 - y^2) >= sqrt(radius^2 - y^2) */
INLINE float arc_crossing(float s, float radius, float r) {
    float off = s - radius, sagitta = (r - off) * (r + off) / (2.0f * most(s, 1e-12f));
    float y = sqrtf(most(sagitta * (2.0f * radius - sagitta), 0.0f));
    y = off <= -r ? 0.0f : least(y, r);
    return s * s >= radius * radius - r * r ? r : y;
}

/* blockage._area_from_subject_m2, and in *beyond what lies farther than the reach */
INLINE float bent_area(float stop, float reach, const float *c, float *beyond) {
    const float r = c[R], e = 2.0f * c[R];
    float y = arc_crossing(stop, e, r);
    float near_end = 2.0f * (c[OWN] - wide_segment_less(e, y, stop) - stop * r - PI * r * r / 4 + body_segment(r, y));
    float strip = 2.0f * r * stop + c[ENDS] + (stop < c[BESIDE] ? near_end : 0.0f);
    y = arc_crossing(stop, reach, r);
    float inside = strip + 2.0f * (wide_segment_less(reach, y, stop) - body_segment(r, y));
    strip = stop > 0.0f ? most(strip, 0.0f) : 0.0f;
    inside = stop > 0.0f ? most(inside, 0.0f) : 0.0f;
    *beyond = strip - inside;
    return inside;
}

/* blockage._free for stretches that begin at the subject: adds weight x probability that nobody stands there to clear */
INLINE void add_free(float *clear, const float *stop, const float *near, const float *weight, const float *col,
                     Py_ssize_t width, int n, const float *c) {
    const float *far = col + FAR * width, *reach = col + REACH * width, *whole = col + WHOLE * width;
    const float r = c[R];
    float people[TILE];
    int32_t bent[TILE];
    for (int i = 0; i < n; i++) {
        float strip = 2.0f * r * stop[i] + c[ENDS], inside = least(strip, whole[i]);
        people[i] = near[i] * inside + far[i] * (strip - inside);
        bent[i] = (stop[i] < c[BESIDE]) | ((stop[i] > reach[i] - r) & (stop[i] * stop[i] < reach[i] * reach[i] - r * r));
    }
    for (int first = 0; first < n; first += FEW) {
        int last = first + FEW < n ? first + FEW : n;
        int32_t any = 0;
        for (int i = first; i < last; i++) any |= bent[i];
        if (!any) continue;
        for (int i = first; i < last; i++) {
            float beyond, inside = bent_area(stop[i], reach[i], c, &beyond);
            float exact = near[i] * inside + far[i] * beyond;
            people[i] = bent[i] ? exact : people[i];
        }
    }
    for (int i = 0; i < n; i++) clear[i] += weight[i] * exp_below(-people[i]);
}

/* blockage._segment, in double precision for any y <= radius */
static double segment(double radius, double y) {
    return 0.5 * (y * sqrt(fmax(radius * radius - y * y, 0.0)) + radius * radius * asin(fmin(y / radius, 1.0)));
}

/* blockage._far_arc_crossing (toward = 1) and _near_arc_crossing (toward = -1) */
static double crossing(double s, double radius, double r, int toward) {
    double square = radius * radius, meet = (s * s + square - r * r) / (2.0 * fmax(s, 1e-12));
    if (toward * (s * s - (square - r * r)) >= 0.0) return r;
    return sqrt(fmax(square - meet * meet, 0.0));
}

/* blockage.swept_area_m2: a stretch that may begin anywhere, for the points of a leaping subject over all heads */
static double swept_area(double start, double stop, double reach, double r) {
    double e = 2.0 * r;
    if (stop <= start) return 0.0;
    double y_end = fmin(crossing(stop, e, r, 1), crossing(start, reach, r, -1));
    double y_outer = fmin(crossing(stop, reach, r, 1), y_end), y_inner = fmin(crossing(start, e, r, -1), y_end);
    double cap = segment(r, y_end);
    double far = segment(reach, y_outer) + stop * (y_end - y_outer) + cap - segment(r, y_outer);
    double near = segment(e, y_inner) + start * (y_end - y_inner) - cap + segment(r, y_inner);
    return fmax(2.0 * (far - near), 0.0);
}

/* blockage.clear_share, the points over all heads seen by a lens among the heads */
static void add_leaping(Looks *looks, const float *col, Py_ssize_t width, int n, float lens_z, const float *near,
                        const float *c) {
    for (int i = 0; i < n; i++) {
        float body = col[BODY * width + i], reach = col[REACH * width + i], far = col[FAR * width + i];
        if (col[OVER * width + i] == 0.0f || lens_z >= body) continue;
        for (int k = 0; k < N_NODES; k++) {
            float point = col[(POINT + k) * width + i];
            if (point <= body) continue;
            double stop = looks->run[i], start = stop * within((body - point) / (lens_z - point), 0.0f, 1.0f);
            double inside = swept_area(start, stop, reach, c[R]), all = swept_area(start, stop, stop + 2.0, c[R]);
            looks->clear[i] += c[WEIGHT + k] * (float)(exp(-(near[i] * inside + far * (all - inside))) - 1.0);
        }
    }
}

#endif
