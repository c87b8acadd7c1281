/* What rows and sets of rows add above a level: kernel.py's numpy code, compiled.

   numpy stays the reference in the tests. Products are single precision; LANES sums of RUN / LANES products each are
   added in double precision, which keeps every result within kernel.ROUNDING. Loops over the lanes are plain, so that
   the compiler turns them into vector instructions. */

#include "../../geometry/compiled.h"

#define RUN 64 /* kernel.RUN */
#define LANES 16

/* Add weight * (the better of two rows - level, where that is more) of RUN targets to the lanes */
INLINE void add_run(double *total, const float *one, const float *other, const float *level, const float *weight) {
    float sum[LANES] = {0};
    for (int k = 0; k < RUN; k += LANES)
        for (int i = 0; i < LANES; i++) {
            float best = one[k + i] > other[k + i] ? one[k + i] : other[k + i], above = best - level[k + i];
            sum[i] += weight[k + i] * (above > 0.0f ? above : 0.0f);
        }
    for (int i = 0; i < LANES; i++) total[i] += (double)sum[i];
}

/* The same for the last targets, fewer than RUN */
INLINE double rest_of(const float *one, const float *other, const float *level, const float *weight, Py_ssize_t n) {
    double total = 0.0;
    for (Py_ssize_t i = 0; i < n; i++) {
        float best = one[i] > other[i] ? one[i] : other[i];
        if (best > level[i]) total += (double)(weight[i] * (best - level[i]));
    }
    return total;
}

INLINE double sum_of(const double *total) {
    double sum = 0.0;
    for (int i = 0; i < LANES; i++) sum += total[i];
    return sum;
}

INLINE double gain_of(const float *one, const float *other, const float *level, const float *weight, Py_ssize_t n) {
    const Py_ssize_t in_runs = n - n % RUN;
    double total[LANES] = {0};
    for (Py_ssize_t t = 0; t < in_runs; t += RUN) add_run(total, one + t, other + t, level + t, weight + t);
    return sum_of(total) + rest_of(one + in_runs, other + in_runs, level + in_runs, weight + in_runs, n - in_runs);
}

/* kernel.gains_of_sets, and with one member each kernel.gains_within; `best` has room for the best of all members but the last */
FOR_EACH_PROCESSOR
static void add_sets(double *out, const float *quality, const float *level, const float *weight, const Py_ssize_t *sets,
                     Py_ssize_t n_sets, Py_ssize_t n_members, Py_ssize_t n_targets, float *best) {
    for (Py_ssize_t s = 0; s < n_sets; s++) {
        const Py_ssize_t *members = sets + s * n_members;
        const float *one = quality + members[0] * n_targets, *last = quality + members[n_members - 1] * n_targets;
        if (n_members > 2) {
            memcpy(best, one, n_targets * sizeof *best);
            for (Py_ssize_t m = 1; m < n_members - 1; m++) {
                const float *own = quality + members[m] * n_targets;
                for (Py_ssize_t t = 0; t < n_targets; t++) best[t] = own[t] > best[t] ? own[t] : best[t];
            }
            one = best;
        }
        out[s] = gain_of(one, last, level, weight, n_targets);
    }
}

static int are_rows(const Py_ssize_t *rows, Py_ssize_t n, Py_ssize_t n_rows) {
    for (Py_ssize_t k = 0; k < n; k++)
        if (rows[k] < 0 || rows[k] >= n_rows) return 0;
    return 1;
}

static PyObject *gains(PyObject *module, PyObject *args) {
    enum { OUT, QUALITY, LEVEL, WEIGHT, SETS, N };
    Py_buffer b[N];
    if (!get_buffers(b, args, N, 1)) return NULL;
    const Py_ssize_t n = b[OUT].len / 8, n_targets = b[WEIGHT].len / 4, n_listed = b[SETS].len / sizeof(Py_ssize_t);
    const Py_ssize_t n_rows = n_targets ? b[QUALITY].len / (4 * n_targets) : 0, n_members = n ? n_listed / n : 0;
    int is_right = has(&b[LEVEL], n_targets, 4) && has(&b[QUALITY], n_rows * n_targets, 4) && n_members > 0 &&
                   n_listed == n * n_members && are_rows(b[SETS].buf, n_listed, n_rows);
    float *best = PyMem_Malloc(n_targets * sizeof *best + 1);
    if (!best) PyErr_NoMemory();
    if (is_right && best) {
        Py_BEGIN_ALLOW_THREADS
        add_sets(b[OUT].buf, b[QUALITY].buf, b[LEVEL].buf, b[WEIGHT].buf, b[SETS].buf, n, n_members, n_targets, best);
        Py_END_ALLOW_THREADS
    }
    PyMem_Free(best);
    return finish(b, N, is_right && best, n);
}

/* descent.turned: how often each target is asked for less how often it is served, faded, and its weighted square */
FOR_EACH_PROCESSOR
static double turn(float *drift, const float *quality, const float *prices, const float *weight,
                   const Py_ssize_t *picked, Py_ssize_t n_picked, Py_ssize_t n_targets, float kept) {
    double total = 0.0;
    for (Py_ssize_t begin = 0; begin < n_targets; begin += RUN) {
        const Py_ssize_t n = n_targets - begin < RUN ? n_targets - begin : RUN;
        float *own = drift + begin, sum[LANES] = {0};
        for (Py_ssize_t i = 0; i < n; i++) own[i] = kept * own[i] + 1.0f;
        for (Py_ssize_t k = 0; k < n_picked; k++) {
            const float *row = quality + picked[k] * n_targets + begin;
            for (Py_ssize_t i = 0; i < n; i++) own[i] -= row[i] > prices[begin + i] ? 1.0f : 0.0f;
        }
        for (Py_ssize_t i = 0; i < n; i++) sum[i % LANES] += weight[begin + i] * (own[i] * own[i]);
        for (int i = 0; i < LANES; i++) total += (double)sum[i];
    }
    return total;
}

static PyObject *turned(PyObject *module, PyObject *args) {
    enum { SQUARE, DRIFT, QUALITY, PRICES, WEIGHT, PICKED, KEPT, N };
    Py_buffer b[N];
    if (!get_buffers(b, args, N, 2)) return NULL;
    const Py_ssize_t n_targets = b[WEIGHT].len / 4, n_picked = b[PICKED].len / sizeof(Py_ssize_t);
    const Py_ssize_t n_rows = n_targets ? b[QUALITY].len / (4 * n_targets) : 0;
    int is_right = has(&b[SQUARE], 1, 8) && has(&b[DRIFT], n_targets, 4) && has(&b[PRICES], n_targets, 4) &&
                   has(&b[QUALITY], n_rows * n_targets, 4) && has(&b[KEPT], 1, 4) &&
                   are_rows(b[PICKED].buf, n_picked, n_rows);
    if (is_right)
        *(double *)b[SQUARE].buf = turn(b[DRIFT].buf, b[QUALITY].buf, b[PRICES].buf, b[WEIGHT].buf, b[PICKED].buf,
                                        n_picked, n_targets, *(const float *)b[KEPT].buf);
    return finish(b, N, is_right, n_picked);
}

INLINE int32_t least_of(int32_t a, int32_t b) { return a < b ? a : b; }

/* Say whether two places see a question from opposite sides by more than `above`: most often what lies left and right
   of each tells; sides are 1, 2, or 0 for neither, so that the bits of two opposite ones make 3 */
INLINE int are_opposite(const int8_t *one, const int8_t *other, const int32_t *share, Py_ssize_t n, const int32_t *a,
                        const int32_t *b, int32_t whole, int32_t above) {
    if (least_of(a[0], b[1]) + least_of(a[1], b[0]) <= above) return 0;
    if (a[0] + b[1] - whole > above || a[1] + b[0] - whole > above) return 1;
    int32_t sum = 0;
    for (Py_ssize_t k = 0; k < n; k++) sum += share[k] & -(int32_t)((one[k] | other[k]) == 3);
    return sum > above;
}

/* sides.opposed: for each pair of places, of which one is from `start` on, the questions that they see from opposite
   sides; `sums` holds what of each question lies left and right of each place */
FOR_EACH_PROCESSOR
static void oppose(uint64_t *between, const int8_t *side, const int32_t *share, const Py_ssize_t *ends,
                   const int32_t *sums, const int32_t *whole, const Py_ssize_t *range, Py_ssize_t n, Py_ssize_t n_ends,
                   Py_ssize_t n_words) {
    for (Py_ssize_t p = range[0]; p < range[1]; p++)
        for (Py_ssize_t q = 0; q < p; q++) {
            const int8_t *one = side + p * ends[n_ends], *other = side + q * ends[n_ends];
            const int32_t *a = sums + 2 * p * n_ends, *b = sums + 2 * q * n_ends;
            uint64_t *here = between + (p * n + q) * n_words;
            for (Py_ssize_t e = 0; e < n_ends; e++) {
                const Py_ssize_t begin = ends[e], size = ends[e + 1] - begin;
                const int is_so = are_opposite(one + begin, other + begin, share + begin, size, a + 2 * e, b + 2 * e,
                                               whole[e], (int32_t)range[2]);
                here[e / 64] |= (uint64_t)is_so << e % 64;
            }
            memcpy(between + (q * n + p) * n_words, here, n_words * sizeof *here);
        }
}

static int are_ends(const Py_ssize_t *ends, Py_ssize_t n, Py_ssize_t n_columns) {
    for (Py_ssize_t k = 0; k < n; k++)
        if (ends[k] < 0 || ends[k] > ends[k + 1]) return 0;
    return ends[n] == n_columns;
}

static PyObject *opposed(PyObject *module, PyObject *args) {
    enum { BETWEEN, SIDE, SHARE, ENDS, SUMS, WHOLE, RANGE, N };
    Py_buffer b[N];
    if (!get_buffers(b, args, N, 1)) return NULL;
    const Py_ssize_t n_columns = b[SHARE].len / 4, n_ends = b[WHOLE].len / 4, size = sizeof(Py_ssize_t);
    const Py_ssize_t n = n_columns ? b[SIDE].len / n_columns : 0, n_words = n ? b[BETWEEN].len / (8 * n * n) : 0;
    const Py_ssize_t *range = b[RANGE].buf;
    int is_right = has(&b[RANGE], 3, size) && has(&b[SIDE], n * n_columns, 1) && has(&b[SUMS], 2 * n * n_ends, 4) &&
                   has(&b[BETWEEN], n * n * n_words, 8) && n_ends <= 64 * n_words && has(&b[ENDS], n_ends + 1, size) &&
                   are_ends(b[ENDS].buf, n_ends, n_columns) && 0 <= range[0] && range[1] <= n;
    if (is_right) {
        Py_BEGIN_ALLOW_THREADS
        oppose(b[BETWEEN].buf, b[SIDE].buf, b[SHARE].buf, b[ENDS].buf, b[SUMS].buf, b[WHOLE].buf, range, n, n_ends, n_words);
        Py_END_ALLOW_THREADS
    }
    return finish(b, N, is_right, n);
}

/* angle_score.AngleScore._levels: what pairs of rows get at each target, and part of what both get in two clearly
   different views; a row's looks are five runs of figures: the way to it in x, y, z, size and quality */
FOR_EACH_PROCESSOR
static void levels(float *out, const float *looks, const Py_ssize_t *pairs, const float *limits, Py_ssize_t n_pairs,
                   Py_ssize_t n) {
    const float least_cosine = limits[0], least_octaves = limits[1], part = limits[2];
    for (Py_ssize_t p = 0; p < n_pairs; p++) {
        const float *a = looks + 5 * n * pairs[2 * p], *b = looks + 5 * n * pairs[2 * p + 1];
        float *level = out + p * n;
        for (Py_ssize_t t = 0; t < n; t++) {
            const float cosine = a[t] * b[t] + a[n + t] * b[n + t] + a[2 * n + t] * b[2 * n + t];
            const float octaves = fabsf(a[3 * n + t] - b[3 * n + t]), one = a[4 * n + t], other = b[4 * n + t];
            const float less = one < other ? one : other, more = one < other ? other : one;
            level[t] = (cosine <= least_cosine || octaves >= least_octaves ? part * less : 0.0f) + more;
        }
    }
}

static PyObject *pair_levels(PyObject *module, PyObject *args) {
    enum { OUT, LOOKS, PAIRS, LIMITS, N };
    Py_buffer b[N];
    if (!get_buffers(b, args, N, 1)) return NULL;
    const Py_ssize_t n_pairs = b[PAIRS].len / (2 * (Py_ssize_t)sizeof(Py_ssize_t));
    const Py_ssize_t n = n_pairs ? b[OUT].len / (4 * n_pairs) : 0, n_rows = n ? b[LOOKS].len / (20 * n) : 0;
    int is_right = has(&b[OUT], n_pairs * n, 4) && has(&b[LOOKS], n_rows * 5 * n, 4) && has(&b[LIMITS], 3, 4) &&
                   has(&b[PAIRS], 2 * n_pairs, sizeof(Py_ssize_t)) && are_rows(b[PAIRS].buf, 2 * n_pairs, n_rows);
    if (is_right) {
        Py_BEGIN_ALLOW_THREADS
        levels(b[OUT].buf, b[LOOKS].buf, b[PAIRS].buf, b[LIMITS].buf, n_pairs, n);
        Py_END_ALLOW_THREADS
    }
    return finish(b, N, is_right, n_pairs);
}

static PyMethodDef methods[] = {
    {"pair_levels", pair_levels, METH_VARARGS, "Write what pairs of rows get, second angles in part."},
    {"opposed", opposed, METH_VARARGS, "Mark which questions pairs of places see from opposite sides."},
    {"gains", gains, METH_VARARGS, "Write what sets of rows add above a level."},
    {"turned", turned, METH_VARARGS, "Turn a direction of steps and write its weighted square."},
    {NULL, NULL, 0, NULL},
};
static PyModuleDef_Slot slots[] = {{0, NULL}};
static struct PyModuleDef definition = {
    PyModuleDef_HEAD_INIT, "search_kernel", "The sums of the search, compiled.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit_search_kernel(void) { return PyModuleDef_Init(&definition); }
