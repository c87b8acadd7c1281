/* What all kernels share: compiling for newer processors, and reading arrays through the buffer protocol. */

#ifndef STANDMARK_COMPILED_H
#define STANDMARK_COMPILED_H

#define PY_SSIZE_T_CLEAN
#define Py_LIMITED_API 0x030B0000 /* 3.11, the first with buffers in the stable interface */
#include <Python.h>
#include <math.h>
#include <stdint.h>
#include <string.h>

/* gcc with glibc compiles these functions for newer processors as well and picks when the program starts */
#if defined(__x86_64__) && defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__)
#define FOR_EACH_PROCESSOR __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#define INLINE static inline __attribute__((always_inline))
#else
#define FOR_EACH_PROCESSOR
#define INLINE static inline
#endif

static void release(Py_buffer *buffers, int n) {
    for (int k = 0; k < n; k++)
        if (buffers[k].obj) PyBuffer_Release(&buffers[k]);
}

/* Get contiguous buffers of the arguments; None leaves one empty. The first n_out are written to. */
static int get_buffers(Py_buffer *buffers, PyObject *args, int n, int n_out) {
    memset(buffers, 0, n * sizeof *buffers);
    if (PyTuple_Size(args) < n) {
        PyErr_SetString(PyExc_TypeError, "too few arguments");
        return 0;
    }
    for (int k = 0; k < n; k++) {
        PyObject *arg = PyTuple_GetItem(args, k);
        if (arg == Py_None) continue;
        if (PyObject_GetBuffer(arg, &buffers[k], k < n_out ? PyBUF_CONTIG : PyBUF_CONTIG_RO) < 0) {
            release(buffers, n);
            return 0;
        }
    }
    return 1;
}

/* Say whether a buffer holds n numbers of some size */
static int has(const Py_buffer *buffer, Py_ssize_t n, Py_ssize_t size) { return buffer->len == n * size; }

/* Release all buffers and give a number, or an error where they did not fit together */
static PyObject *finish(Py_buffer *buffers, int n, int is_right, Py_ssize_t answer) {
    release(buffers, n);
    if (is_right) return PyLong_FromSsize_t(answer);
    if (!PyErr_Occurred()) PyErr_SetString(PyExc_ValueError, "arrays of sizes or types that do not fit together");
    return NULL;
}

#endif
