/* Single precision functions that a compiler can turn into vector instructions: polynomials, no calls, no branches.

   tests/optimizer/value/test_engines.py holds what is made of them against numpy. */

#ifndef STANDMARK_SINGLE_MATHS_H
#define STANDMARK_SINGLE_MATHS_H

#include "../../geometry/compiled.h"

#define PI 3.14159265358979f

INLINE float least(float a, float b) { return a < b ? a : b; }
INLINE float most(float a, float b) { return a > b ? a : b; }
INLINE float within(float x, float low, float high) { return least(most(x, low), high); }
INLINE float bits_as_float(int32_t bits) { float x; memcpy(&x, &bits, sizeof x); return x; }
INLINE int32_t float_as_bits(float x) { int32_t bits; memcpy(&bits, &x, sizeof bits); return bits; }

/* exp for x <= 0: 2^n exp(rest), |rest| <= log(2) / 2, Taylor to the seventh power; adding and taking off `round` rounds */
INLINE float exp_below(float x) {
    const float round = 12582912.0f;
    x = most(x, -87.0f);
    float n = (x * 1.44269504f + round) - round;
    float rest = (x - n * 0.693359375f) + n * 2.12194440e-4f;
    float sum = 1.0f / 5040;
    sum = sum * rest + 1.0f / 720;
    sum = sum * rest + 1.0f / 120;
    sum = sum * rest + 1.0f / 24;
    sum = sum * rest + 1.0f / 6;
    sum = sum * rest + 0.5f;
    sum = sum * rest + 1.0f;
    sum = sum * rest + 1.0f;
    return sum * bits_as_float(((int32_t)n + 127) << 23);
}

/* log for x > 0: x = 2^n m with m in [sqrt(1/2), sqrt(2)), log m = 2 artanh((m - 1) / (m + 1)) */
INLINE float log_of(float x) {
    int32_t n = (float_as_bits(x) - 0x3f3504f3) >> 23;
    float m = bits_as_float(float_as_bits(x) - (n << 23));
    float s = (m - 1.0f) / (m + 1.0f), square = s * s;
    float sum = 2.0f / 9;
    sum = sum * square + 2.0f / 7;
    sum = sum * square + 2.0f / 5;
    sum = sum * square + 2.0f / 3;
    sum = sum * square + 2.0f;
    return (float)n * 0.693359375f + (s * sum - (float)n * 2.12194440e-4f);
}

/* arccos for 0 <= x <= 1, within 2e-8: Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 4.4.46 (from
   memory; the tests compare it with the library's) */
INLINE float arccos_of(float x) {
    float sum = -0.0012624911f;
    sum = sum * x + 0.0066700901f;
    sum = sum * x - 0.0170881256f;
    sum = sum * x + 0.0308918810f;
    sum = sum * x - 0.0501743046f;
    sum = sum * x + 0.0889789874f;
    sum = sum * x - 0.2145988016f;
    sum = sum * x + 1.5707963050f;
    return sqrtf(most(1.0f - x, 0.0f)) * sum;
}

/* arctan for |x| <= 1, within 2e-8: the same book, 4.4.49 */
INLINE float arctan_of(float x) {
    float square = x * x, sum = 0.0028662257f;
    sum = sum * square - 0.0161657367f;
    sum = sum * square + 0.0429096138f;
    sum = sum * square - 0.0752896400f;
    sum = sum * square + 0.1065626393f;
    sum = sum * square - 0.1420889944f;
    sum = sum * square + 0.1999355085f;
    sum = sum * square - 0.3333314528f;
    return x + x * (square * sum);
}

/* size.smooth_step */
INLINE float smooth_step(float grade) {
    grade = within(grade, 0.0f, 1.0f);
    return grade * grade * (3.0f - 2.0f * grade);
}

#endif
