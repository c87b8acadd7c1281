/* The value of lens positions with every outfit for every target in one pass: quality.py's numpy code, compiled.

   Each function names the Python function whose formula it repeats; the docstring there explains it and gives its
   source. numpy stays the reference: tests/optimizer/value/test_engines.py holds the two within 1e-5.

   Work goes in tiles of TILE targets, whose columns stay in the fastest cache while all positions look at them. Loops
   over a tile are plain, so that the compiler turns them into vector instructions; exp, log and arc functions are
   polynomials because a call of the library would stop it. Single precision throughout, as in numpy. */

#include "crowd_kernel.h"

#define MOST_KINDS 32        /* supports, operators in one call */
#define NOWHERE_M 1e-9f      /* line_of_sight.NOWHERE_M */
#define NO_JUMP_M2 1e-9f     /* held.NO_JUMP_M2 */
#define SUBJECT_HALF_M 0.35f /* held.SUBJECT_HALF_M */

/* Rows of `modes` and `operators`, one float for each target, for each mode and operator */
enum { SLOPE, OFFSET, FULL, LOG_FULL, FIT_ACROSS, FIT_UP, N_MODE };
enum { JUMP_TURN, JUMP_REST, N_OPERATOR };

/* Columns of `kinds`, `outfits`, `suns` */
enum { MODE, SUPPORT, OPERATOR, N_KIND };
enum { PER_SHORT, PER_LONG, LOG_SHORT, LOG_LONG, HALF_WIDTH, N_OUTFIT };
enum { SUN_X, SUN_Y, SUN_Z, SUN_LOSS, N_SUN };

typedef struct {
    const double *lens_m;   /* (p, 3) */
    const double *target_m; /* (3, t) */
    const float *columns, *modes, *operators, *supports, *outfits, *suns, *constants;
    const float *shaded_lens, *shaded_target; /* (s, p), (s, t): 1 where a stand keeps that sun off */
    const float *sight;                       /* (p, t) or NULL: what fixed things leave */
    const int32_t *kinds;
    Py_ssize_t n_lens, n_target, n_outfit, n_support, n_operator, n_sun;
} Scene;

/* Some targets that are looked at together, from their first column on; no heads round them are lower than the lowest */
typedef struct {
    const double *x, *y, *z;
    const float *col;
    Py_ssize_t width;
    int n, are_over; /* whether any point is over the heads round it */
    float lowest_head;
} Tile;

static Tile tile_of(const Scene *s, Py_ssize_t first) {
    const Py_ssize_t width = s->n_target, left = width - first;
    const double *target = s->target_m + first;
    Tile tile = {target, target + width, target + 2 * width, s->columns + first, width, left < TILE ? (int)left : TILE, 0, 1e9f};
    for (int i = 0; i < tile.n; i++) {
        tile.are_over |= tile.col[OVER * width + i] > 0.0f;
        tile.lowest_head = least(tile.lowest_head, tile.col[BODY * width + i]);
    }
    return tile;
}

/* line_of_sight.lines_of_sight, facing.toward_lens, blockage.clear_share */
INLINE void look(Looks *looks, const double *lens, const Tile *tile, const float *c) {
    const double *x = tile->x, *y = tile->y, *z = tile->z;
    const float *col = tile->col;
    const Py_ssize_t width = tile->width;
    const int n = tile->n;
    const float lens_z = (float)lens[2];
    float near[TILE], weight[TILE], stop[TILE];
    for (int i = 0; i < n; i++) {
        float dx = (float)(x[i] - lens[0]), dy = (float)(y[i] - lens[1]), dz = (float)(z[i] - lens[2]);
        float square = dx * dx + dy * dy, run = sqrtf(square), inverse = 1.0f / most(run, NOWHERE_M);
        looks->run[i] = run;
        looks->away[i] = sqrtf(square + dz * dz);
        looks->rise[i] = lens_z - (float)z[i];
        looks->along_x[i] = dx * inverse;
        looks->along_y[i] = dy * inverse;
        looks->toward[i] = looks->along_x[i] * col[FACE_X * width + i] + looks->along_y[i] * col[FACE_Y * width + i];
        near[i] = looks->toward[i] * col[NEAR_LEAN * width + i] + col[NEAR * width + i];
        looks->clear[i] = col[OVER * width + i];
        weight[i] = 1.0f - col[OVER * width + i];
    }
    if (lens_z < tile->lowest_head) /* every ray is low all the way: one stands for all */
        add_free(looks->clear, looks->run, near, weight, col, width, n, c);
    else
        for (int k = 0; k < N_NODES; k++) { /* blockage.low_stretch_m */
            const float *point = col + (POINT + k) * width, *body = col + BODY * width, node = c[WEIGHT + k];
            for (int i = 0; i < n; i++) {
                float under = body[i] - point[i], share = most(under, 0.0f) / most(lens_z - point[i], NOWHERE_M);
                stop[i] = looks->run[i] * (lens_z < body[i] ? 1.0f : share);
                weight[i] = under >= 0.0f ? node : 0.0f;
            }
            add_free(looks->clear, stop, near, weight, col, width, n, c);
        }
    if (tile->are_over) add_leaping(looks, col, width, n, lens_z, near, c);
    for (int i = 0; i < n; i++) looks->clear[i] = least(looks->clear[i], 1.0f);
}

/* sun_light.light_share for one sun: what it takes off the light */
INLINE void take_light(float *light, const Looks *looks, const float *sun, float lens, const float *target, int n,
                       const float *c) {
    for (int i = 0; i < n; i++) {
        float away = 1.0f / most(looks->away[i], NOWHERE_M);
        float flat = looks->along_x[i] * sun[SUN_X] + looks->along_y[i] * sun[SUN_Y];
        float cosine = within(flat * (looks->run[i] * away) - looks->rise[i] * away * sun[SUN_Z], -1.0f, 1.0f);
        float acute = arccos_of(fabsf(cosine)), angle = cosine < 0.0f ? PI - acute : acute;
        float loss = sun[SUN_LOSS] * smooth_step((c[SUN_SIDE] - angle) * (1.0f / (c[SUN_SIDE] - c[SUN_NEAR])));
        light[i] -= loss * (1.0f - lens * target[i]);
    }
}

/* size.look_down_share, the angle by a half angle: tan(a / 2) = rise / (away + run) */
INLINE void keep_look_down(float *share, const Looks *looks, int n, const float *c) {
    for (int i = 0; i < n; i++) {
        float angle = (2.0f * 180.0f / PI) * arctan_of(looks->rise[i] / most(looks->away[i] + looks->run[i], NOWHERE_M));
        float left = 1.0f - smooth_step((angle - c[MOST_DEG]) * (1.0f / c[LOST_DEG]));
        if (c[WISH_DEG] > 0.0f) left *= c[FLAT] + (1.0f - c[FLAT]) * smooth_step(angle / c[WISH_DEG]);
        share[i] *= left;
    }
}

/* follow.pan_tilt_squares; `held` comes in with nothing and goes out with follow.follow_share of each support */
INLINE void follow(float held[][TILE], const Scene *s, const Looks *looks, const float *col, int n) {
    const Py_ssize_t width = s->n_target;
    float pan[TILE], tilt[TILE];
    for (int i = 0; i < n; i++) {
        float toward = looks->toward[i], run = most(looks->run[i], NOWHERE_M), away = most(looks->away[i], NOWHERE_M);
        float along = toward * toward * col[TURN_PULL * width + i] + col[TURN_REST * width + i];
        float rise = looks->rise[i] / (away * away);
        pan[i] = most(col[TURN_ALL * width + i] - along, 0.0f) / (run * run);
        tilt[i] = along * (rise * rise);
    }
    for (Py_ssize_t k = 0; k < s->n_support; k++) {
        const float per_pan = s->supports[2 * k], per_tilt = s->supports[2 * k + 1];
        for (int i = 0; i < n; i++) {
            float turn = pan[i] * per_pan, nod = tilt[i] * per_tilt;
            held[k][i] = 1.0f / ((turn * turn + 1.0f) * (nod * nod + 1.0f));
        }
    }
}

/* held.jump_weight */
INLINE void jump(float *weight, const Looks *looks, const float *row, Py_ssize_t width, int n) {
    for (int i = 0; i < n; i++) {
        float across = looks->along_x[i] * looks->along_x[i];
        weight[i] = 1.0f / most(across * row[JUMP_TURN * width + i] + row[JUMP_REST * width + i], NO_JUMP_M2);
    }
}

/* size.reach_in_use_m_mm, size_share, framing.framed_share, held.held_share: the value with one outfit */
INLINE void value(float *out, const float *rest, const float *weight, const float *log_away, const Looks *looks,
                  const float *mode, const float *jump_share, const float *lens, Py_ssize_t width, int n) {
    for (int i = 0; i < n; i++) {
        float away = looks->away[i];
        float reach = most(least(away * lens[PER_SHORT], mode[FULL * width + i]), away * lens[PER_LONG]);
        float log_reach = most(least(log_away[i] - lens[LOG_SHORT], mode[LOG_FULL * width + i]), log_away[i] - lens[LOG_LONG]);
        float size = smooth_step(log_reach * mode[SLOPE * width + i] + mode[OFFSET * width + i]);
        size *= least(reach * mode[FIT_ACROSS * width + i], 1.0f) * least(reach * mode[FIT_UP * width + i], 1.0f);
        float room = most(reach * lens[HALF_WIDTH] - SUBJECT_HALF_M, 0.0f), late = room * room * weight[i] + 1.0f;
        out[i] = size * rest[i] * (1.0f - jump_share[i] / (late * late));
    }
}

/* quality._fill for one tile of targets and some positions, and what stands in the way */
FOR_EACH_PROCESSOR
static void fill_tile(const Scene *s, float *out, Py_ssize_t row, Py_ssize_t n_rows, Py_ssize_t first) {
    const Tile tile = tile_of(s, first);
    const Py_ssize_t width = tile.width;
    const float *col = tile.col, *c = s->constants;
    const int n = tile.n;
    Looks looks;
    float common[TILE], log_away[TILE], light[TILE], held[MOST_KINDS][TILE], jumps[MOST_KINDS][TILE];
    for (Py_ssize_t p = 0; p < s->n_lens; p++) {
        look(&looks, s->lens_m + 3 * p, &tile, c);
        for (int i = 0; i < n; i++) {
            float backs = 0.5f - looks.toward[i] * col[FACE_PULL * width + i]; /* facing.facing_share, the rest */
            common[i] = looks.clear[i] * (1.0f - c[FACES] * col[FACES_MATTER * width + i] * backs);
            log_away[i] = log_of(most(looks.away[i], NOWHERE_M));
            light[i] = 1.0f;
        }
        for (Py_ssize_t k = 0; k < s->n_sun; k++)
            take_light(light, &looks, s->suns + N_SUN * k, s->shaded_lens[k * s->n_lens + p],
                       s->shaded_target + k * width + first, n, c);
        if (c[WISH_DEG] > 0.0f || c[MOST_DEG] < 90.0f) keep_look_down(common, &looks, n, c);
        if (s->sight)
            for (int i = 0; i < n; i++) common[i] *= s->sight[p * width + first + i];
        follow(held, s, &looks, col, n);
        for (Py_ssize_t k = 0; k < s->n_support; k++)
            for (int i = 0; i < n; i++) held[k][i] *= common[i] * light[i];
        for (Py_ssize_t k = 0; k < s->n_operator; k++)
            jump(jumps[k], &looks, s->operators + k * N_OPERATOR * width + first, width, n);
        for (Py_ssize_t k = 0; k < s->n_outfit; k++) {
            const int32_t *kind = s->kinds + N_KIND * k;
            value(out + (k * n_rows + row + p) * width + first, held[kind[SUPPORT]], jumps[kind[OPERATOR]], log_away,
                  &looks, s->modes + kind[MODE] * N_MODE * width + first, col + JUMP_SHARE * width,
                  s->outfits + N_OUTFIT * k, width, n);
        }
    }
}

/* people.people_shares for one tile of targets and some positions */
FOR_EACH_PROCESSOR
static void people_tile(const Scene *s, float *clear, float *faces, Py_ssize_t first) {
    const Tile tile = tile_of(s, first);
    const Py_ssize_t width = tile.width;
    const float *col = tile.col;
    Looks looks;
    for (Py_ssize_t p = 0; p < s->n_lens; p++) {
        look(&looks, s->lens_m + 3 * p, &tile, s->constants);
        for (int i = 0; i < tile.n; i++) {
            clear[p * width + first + i] = looks.clear[i];
            faces[p * width + first + i] = looks.toward[i] * col[FACE_PULL * width + i] + 0.5f;
        }
    }
}

/* Arguments of fill */
enum { OUT, LENS, TARGET, COLUMNS, CONSTANTS, MODES, OPERATORS, SUPPORTS, OUTFITS, KINDS, SUNS, SHADED_LENS,
       SHADED_TARGET, SIGHT, N_BUFFERS };

static PyObject *fill(PyObject *module, PyObject *args) {
    Py_buffer b[N_BUFFERS];
    if (!get_buffers(b, args, N_BUFFERS, 1)) return NULL;
    Py_ssize_t row = PyTuple_Size(args) > N_BUFFERS ? PyLong_AsSsize_t(PyTuple_GetItem(args, N_BUFFERS)) : 0;
    Scene s = {b[LENS].buf, b[TARGET].buf, b[COLUMNS].buf, b[MODES].buf, b[OPERATORS].buf, b[SUPPORTS].buf,
               b[OUTFITS].buf, b[SUNS].buf, b[CONSTANTS].buf, b[SHADED_LENS].buf, b[SHADED_TARGET].buf, b[SIGHT].buf,
               b[KINDS].buf, b[LENS].len / 24, b[TARGET].len / 24, b[KINDS].len / (4 * N_KIND), b[SUPPORTS].len / 8,
               0, b[SUNS].len / (4 * N_SUN)};
    Py_ssize_t t = s.n_target, per = s.n_outfit * t * 4, n_rows = per ? b[OUT].len / per : 0;
    Py_ssize_t n_mode = t ? b[MODES].len / (4 * N_MODE * t) : 0;
    s.n_operator = t ? b[OPERATORS].len / (4 * N_OPERATOR * t) : 0;
    int is_right = !PyErr_Occurred() && has(&b[COLUMNS], N_COLUMNS * t, 4) && has(&b[CONSTANTS], N_CONSTANTS, 4) && row >= 0 &&
                   row + s.n_lens <= n_rows && s.n_support <= MOST_KINDS && s.n_operator <= MOST_KINDS &&
                   has(&b[OUTFITS], s.n_outfit * N_OUTFIT, 4) && has(&b[SHADED_LENS], s.n_sun * s.n_lens, 4) &&
                   has(&b[SHADED_TARGET], s.n_sun * t, 4) && (!s.sight || has(&b[SIGHT], s.n_lens * t, 4));
    for (Py_ssize_t k = 0; is_right && k < s.n_outfit; k++) {
        const int32_t *kind = s.kinds + N_KIND * k;
        is_right = kind[MODE] >= 0 && kind[MODE] < n_mode && kind[SUPPORT] >= 0 && kind[SUPPORT] < s.n_support &&
                   kind[OPERATOR] >= 0 && kind[OPERATOR] < s.n_operator;
    }
    if (is_right) {
        Py_BEGIN_ALLOW_THREADS
        for (Py_ssize_t first = 0; first < t; first += TILE) fill_tile(&s, b[OUT].buf, row, n_rows, first);
        Py_END_ALLOW_THREADS
    }
    return finish(b, N_BUFFERS, is_right, s.n_lens);
}

static PyObject *people(PyObject *module, PyObject *args) {
    enum { CLEAR, FACES, FROM, TO, ROWS, NUMBERS, N };
    Py_buffer b[N];
    if (!get_buffers(b, args, N, 2)) return NULL;
    Scene s = {.lens_m = b[FROM].buf, .target_m = b[TO].buf, .columns = b[ROWS].buf, .constants = b[NUMBERS].buf,
               .n_lens = b[FROM].len / 24, .n_target = b[TO].len / 24};
    Py_ssize_t t = s.n_target;
    int is_right = has(&b[CLEAR], s.n_lens * t, 4) && has(&b[FACES], s.n_lens * t, 4) &&
                   has(&b[ROWS], N_COLUMNS * t, 4) && has(&b[NUMBERS], N_CONSTANTS, 4);
    if (is_right) {
        Py_BEGIN_ALLOW_THREADS
        for (Py_ssize_t first = 0; first < t; first += TILE) people_tile(&s, b[CLEAR].buf, b[FACES].buf, first);
        Py_END_ALLOW_THREADS
    }
    return finish(b, N, is_right, s.n_lens);
}

static PyMethodDef methods[] = {
    {"fill", fill, METH_VARARGS, "Write the value of some positions with every outfit for every target."},
    {"people", people, METH_VARARGS, "Write the shares clear of people and showing faces."},
    {NULL, NULL, 0, NULL},
};
static PyModuleDef_Slot slots[] = {{0, NULL}};
static struct PyModuleDef definition = {
    PyModuleDef_HEAD_INIT, "value_kernel", "The value model, compiled.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit_value_kernel(void) { return PyModuleDef_Init(&definition); }
