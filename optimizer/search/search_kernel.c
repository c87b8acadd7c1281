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

static PyMethodDef methods[] = {
    {"gains", gains, METH_VARARGS, "Write what sets of rows add above a level."},
    {"turned", turned, METH_VARARGS, "Turn a direction of steps and write its weighted square."},
    {NULL, NULL, 0, NULL},
};
static PyModuleDef_Slot slots[] = {{0, NULL}};
static struct PyModuleDef definition = {
    PyModuleDef_HEAD_INIT, "search_kernel", "The sums of the search, compiled.", 0, methods, slots, NULL, NULL, NULL,
};

PyMODINIT_FUNC PyInit_search_kernel(void) { return PyModuleDef_Init(&definition); }
