/* Visible shares of subjects past walls, nets and raised things: sightline.py's numpy code, compiled.

   wall.py explains the tests of a ray against a wall; they are repeated here in double precision, so that nothing is in
   doubt but rays through a corner (and blocks that are seen through or have free space under them). Such pairs are
   flagged, and ray.traced_share follows them ray by ray. tests/geometry/sightlines/test_sightline.py holds the two
   together.

   Subjects are in compact tiles, tiles in groups; of all walls a lens looks only at those whose shadow may reach the
   disc of a group, then of a tile. A wall that covers a whole disc is counted once for it. */

#include "../compiled.h"
#include <stdlib.h>

#define TILE 16           /* subjects to a tile */
#define GROUP 8           /* tiles to a group */
#define CONTACT_M 1e-9    /* wall.CONTACT_M */
#define SLACK_M 1e-6      /* more than all rounding */
#define NEVER (-1e300)

/* Rows of `walls` */
typedef struct { double start_x, start_y, stop_x, stop_y, base, top, through, is_traced; } Wall;

/* Rows of `tiles` and `groups`: a disc round all their rays, and the lowest and highest cell of their subjects */
typedef struct { double x, y, reach, lowest, highest; } Disc;

/* What a lens sees of a wall that lies with the lens on its left: unit vectors along it and to its ends, the distance
   to its line, and how its shadow rises for each metre farther away */
typedef struct {
    double along_x, along_y, left_x, left_y, right_x, right_y, away, top_rise, base_rise;
    const Wall *wall;
} Seen;

typedef struct {
    const double *lens_m;   /* (p, 3) */
    const Wall *walls;
    const Disc *tiles, *groups;
    const double *lines_m;  /* (n_tiles, n_lines, 2, TILE) */
    const double *cells_m;  /* (n_tiles, n_up, TILE), middles of the cells over the height */
    const int32_t *subject; /* (n_tiles, TILE) */
    Py_ssize_t n_lens, n_wall, n_tile, n_group, n_line, n_up, n_subject;
} Scene;

/* Work space of one call: what a lens sees of all walls, and of those that may reach a group; of a tile, the height
   under which opaque walls on the ground hide each upright line, (n_lines, TILE), and the light that all other walls
   leave of all rays, (n_up, n_lines, TILE) */
typedef struct {
    Seen *seen, *near;
    double *hidden, *light;
} Work;

INLINE double least(double a, double b) { return a < b ? a : b; }
INLINE double most(double a, double b) { return a > b ? a : b; }

/* wall.see_walls, half_space.half_spaces; gives the number of walls that are not edge-on */
static int see_walls(const Scene *s, const double *lens, Seen *seen) {
    int n = 0;
    for (const Wall *wall = s->walls; wall < s->walls + s->n_wall; wall++) {
        double x = wall->stop_x - wall->start_x, y = wall->stop_y - wall->start_y, length = sqrt(x * x + y * y);
        double start_x = wall->start_x - lens[0], start_y = wall->start_y - lens[1];
        double stop_x = wall->stop_x - lens[0], stop_y = wall->stop_y - lens[1];
        x /= length, y /= length;
        double off = y * start_x - x * start_y, away = fabs(off), side = off > 0.0 ? 1.0 : -1.0;
        if (away <= CONTACT_M) continue;
        double per_start = 1.0 / sqrt(start_x * start_x + start_y * start_y);
        double per_stop = 1.0 / sqrt(stop_x * stop_x + stop_y * stop_y);
        start_x *= per_start, start_y *= per_start, stop_x *= per_stop, stop_y *= per_stop;
        Seen from_left = {x, y, stop_x, stop_y, start_x, start_y, away}, from_right = {-x, -y, start_x, start_y, stop_x, stop_y, away};
        seen[n] = side > 0.0 ? from_left : from_right;
        seen[n].top_rise = (wall->top - lens[2]) / away;
        seen[n].base_rise = (wall->base - lens[2]) / away;
        seen[n++].wall = wall;
    }
    return n;
}

/* wall.crosses: how far a point, seen from the lens, is inside the sector of a wall and beyond its line */
INLINE double inside_of(const Seen *w, double px, double py) {
    return least(w->right_x * py - w->right_y * px, w->left_y * px - w->left_x * py);
}
INLINE double beyond_of(const Seen *w, double px, double py) { return w->along_y * px - w->along_x * py - w->away; }

enum { CLEAR, PART, WHOLE };

/* sightline._pairs_in_reach: whether a wall's shadow misses a disc, may touch it, or covers all of it */
INLINE int reaches(const Seen *w, const Disc *disc, const double *lens) {
    double px = disc->x - lens[0], py = disc->y - lens[1], beyond = beyond_of(w, px, py);
    double depth = least(inside_of(w, px, py), beyond);
    if (depth < -disc->reach) return CLEAR;
    const Wall *wall = w->wall;
    double near = most(beyond - disc->reach, 0.0), far = beyond + disc->reach;
    double highest = wall->top + SLACK_M + w->top_rise * (w->top_rise > 0.0 ? far : near);
    if (highest < disc->lowest) return CLEAR;
    double lowest = wall->base - SLACK_M + w->base_rise * (w->base_rise > 0.0 ? near : far);
    if (lowest > disc->highest && wall->is_traced == 0.0) return CLEAR; /* a block may be left through its floor */
    double lowest_top = wall->top - SLACK_M + w->top_rise * (w->top_rise > 0.0 ? near : far);
    int covers = depth > disc->reach && lowest_top > disc->highest && wall->base < 0.0 && wall->is_traced == 0.0;
    return covers ? WHOLE : PART;
}

/* wall.crosses: between which heights a wall crosses the rays of a tile to one upright line */
INLINE void cross(double *high, double *low, double *unsure, const Seen *seen, const double *x, const double *y,
                  const double *lens) {
    const Seen w = *seen;
    const double lens_x = lens[0], lens_y = lens[1], lens_z = lens[2];
    for (int j = 0; j < TILE; j++) {
        double px = x[j] - lens_x, py = y[j] - lens_y;
        double inside = inside_of(&w, px, py), beyond = beyond_of(&w, px, py), ratio = beyond + w.away;
        double corner = beyond > 0.5 * CONTACT_M ? fabs(inside) : 1.0;
        unsure[j] = corner <= 2.0 * CONTACT_M ? 1.0 : unsure[j];
        high[j] = least(inside, beyond) > CONTACT_M ? lens_z + ratio * w.top_rise - CONTACT_M : NEVER;
        low[j] = lens_z + ratio * w.base_rise + CONTACT_M;
    }
    if (w.wall->is_traced != 0.0)
        for (int j = 0; j < TILE; j++) unsure[j] = high[j] > NEVER ? 1.0 : unsure[j];
}

/* ray._wall_hits and _dim: what a wall leaves of the light of the rays of a tile to one upright line */
INLINE void dim(const Scene *s, double *light, double through, const double *high, const double *low,
                const double *cell_m) {
    for (Py_ssize_t u = 0; u < s->n_up; u++) {
        double *ray = light + u * s->n_line * TILE;
        const double *z = cell_m + u * TILE;
        for (int j = 0; j < TILE; j++) {
            double under = z[j] < high[j] ? through : 1.0;
            ray[j] *= z[j] > low[j] ? under : 1.0;
        }
    }
}

/* sightline._group_share: what all walls near leave of a tile; gives how many pairs are in doubt */
INLINE Py_ssize_t look_at(const Scene *s, Py_ssize_t tile, const double *lens, const Work *work, int n_near,
                          float *share, char *doubt) {
    const Py_ssize_t n_ray = s->n_up * s->n_line;
    const Disc *disc = s->tiles + tile;
    const double *line = s->lines_m + 2 * TILE * s->n_line * tile, *cell = s->cells_m + TILE * s->n_up * tile;
    double *hidden = work->hidden, *light = work->light;
    double left = 1.0 / (double)n_ray, sum[TILE], unsure[TILE], high[TILE], low[TILE];
    Py_ssize_t n_doubt = 0;
    int is_cut = 0;
    for (int f = 0; f < n_near && left > 0.0; f++) {
        const Seen *seen = work->near + f;
        const Wall *wall = seen->wall;
        int how = reaches(seen, disc, lens);
        if (how == WHOLE) left *= wall->through;
        if (how != PART) continue;
        if (!is_cut) {
            for (Py_ssize_t k = 0; k < n_ray * TILE; k++) light[k] = 1.0;
            for (Py_ssize_t k = 0; k < s->n_line * TILE; k++) hidden[k] = NEVER;
            for (int j = 0; j < TILE; j++) unsure[j] = 0.0;
            is_cut = 1;
        }
        /* no ray passes under it: of several such walls only the highest shadow counts */
        int is_full = wall->through == 0.0 && wall->base < least(disc->lowest, lens[2]) - SLACK_M;
        for (Py_ssize_t k = 0; k < s->n_line; k++) {
            const double *x = line + 2 * TILE * k;
            cross(high, low, unsure, seen, x, x + TILE, lens);
            if (is_full)
                for (int j = 0; j < TILE; j++) hidden[TILE * k + j] = most(hidden[TILE * k + j], high[j]);
            else
                dim(s, light + TILE * k, wall->through, high, low, cell);
        }
    }
    for (int j = 0; j < TILE; j++) sum[j] = is_cut ? 0.0 : (double)n_ray;
    for (Py_ssize_t u = 0; is_cut && u < s->n_up; u++)
        for (Py_ssize_t k = 0; k < s->n_line; k++) {
            const double *z = cell + TILE * u, *under = hidden + TILE * k, *ray = light + TILE * (s->n_line * u + k);
            for (int j = 0; j < TILE; j++) sum[j] += ray[j] * (z[j] < under[j] ? 0.0 : 1.0);
        }
    for (int j = 0; j < TILE; j++) {
        int32_t subject = s->subject[TILE * tile + j];
        share[subject] = (float)(left * sum[j]);
        if (is_cut && left > 0.0 && unsure[j] > 0.0) doubt[subject] = 1, n_doubt++;
    }
    return n_doubt;
}

/* sightline._block_share for one lens; gives how many pairs are in doubt */
FOR_EACH_PROCESSOR
static Py_ssize_t look(const Scene *s, const double *lens, const Work *work, float *share, char *doubt) {
    const int n_seen = see_walls(s, lens, work->seen);
    Py_ssize_t n_doubt = 0;
    for (Py_ssize_t g = 0; g < s->n_group; g++) {
        int n_near = 0;
        for (int f = 0; f < n_seen; f++)
            if (reaches(work->seen + f, s->groups + g, lens)) work->near[n_near++] = work->seen[f];
        Py_ssize_t last = GROUP * (g + 1) < s->n_tile ? GROUP * (g + 1) : s->n_tile;
        for (Py_ssize_t t = GROUP * g; t < last; t++)
            n_doubt += look_at(s, t, lens, work, n_near, share, doubt);
    }
    return n_doubt;
}

enum { SHARE, DOUBT, LENS, WALLS, TILES, GROUPS, LINES, CELLS, SUBJECT, N_BUFFERS };

static PyObject *visible_share(PyObject *module, PyObject *args) {
    Py_buffer b[N_BUFFERS];
    if (!get_buffers(b, args, N_BUFFERS, 2)) return NULL;
    Scene s = {b[LENS].buf, b[WALLS].buf, b[TILES].buf, b[GROUPS].buf, b[LINES].buf, b[CELLS].buf, b[SUBJECT].buf,
               b[LENS].len / 24, b[WALLS].len / sizeof(Wall), b[TILES].len / sizeof(Disc), b[GROUPS].len / sizeof(Disc),
               0, 0, 0};
    if (s.n_tile) s.n_line = b[LINES].len / (16 * TILE * s.n_tile), s.n_up = b[CELLS].len / (8 * TILE * s.n_tile);
    if (s.n_lens) s.n_subject = b[SHARE].len / (4 * s.n_lens);
    int is_right = has(&b[SHARE], s.n_lens * s.n_subject, 4) && has(&b[DOUBT], s.n_lens * s.n_subject, 1) &&
                   has(&b[LINES], s.n_tile * s.n_line * 2 * TILE, 8) && has(&b[SUBJECT], s.n_tile * TILE, 4) &&
                   has(&b[CELLS], s.n_tile * s.n_up * TILE, 8) && s.n_group == (s.n_tile + GROUP - 1) / GROUP;
    for (Py_ssize_t k = 0; is_right && k < s.n_tile * TILE; k++)
        is_right = s.subject[k] >= 0 && s.subject[k] < s.n_subject;
    Work work = {malloc((s.n_wall + 1) * sizeof(Seen)), malloc((s.n_wall + 1) * sizeof(Seen)),
                 malloc((s.n_line * TILE + 1) * sizeof(double)),
                 malloc((s.n_up * s.n_line * TILE + 1) * sizeof(double))};
    Py_ssize_t n_doubt = 0;
    if (!work.seen || !work.near || !work.hidden || !work.light) {
        PyErr_NoMemory();
        is_right = 0;
    }
    if (is_right) {
        Py_BEGIN_ALLOW_THREADS
        for (Py_ssize_t p = 0; p < s.n_lens; p++)
            n_doubt += look(&s, s.lens_m + 3 * p, &work, (float *)b[SHARE].buf + p * s.n_subject,
                            (char *)b[DOUBT].buf + p * s.n_subject);
        Py_END_ALLOW_THREADS
    }
    free(work.seen), free(work.near), free(work.hidden), free(work.light);
    return finish(b, N_BUFFERS, is_right, n_doubt);
}

static PyMethodDef methods[] = {
    {"visible_share", visible_share, METH_VARARGS, "Write visible shares, flag pairs in doubt, give their number."},
    {NULL, NULL, 0, NULL},
};
static PyModuleDef_Slot slots[] = {{0, NULL}};
static struct PyModuleDef definition = {
    PyModuleDef_HEAD_INIT, "sight_kernel", "Sightlines, compiled.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit_sight_kernel(void) { return PyModuleDef_Init(&definition); }
