// Plane shapes of places and things: their points, and how the match file writes them.
import { ground } from "./state.js";
import { unit } from "./units.js";

export const LEAST_M = 0.1; // no side of a place is shorter

export const tidy = (value, step = unit() === "m" ? 0.01 : 0.001) => Math.round(Math.round(value / step) * step * 1000) / 1000 + 0;
export const tidyPoints = (points, step) => points.map(p => p.map(v => tidy(v, step)));

export function boundsOf(points) {
  const xs = points.map(p => p[0]), ys = points.map(p => p[1]);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
export function middleOf(points) {
  const [x0, y0, x1, y1] = boundsOf(points);
  return [(x0 + x1) / 2, (y0 + y1) / 2];
}
export const boxPoints = ([x0, y0, x1, y1]) => [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
export const shifted = (points, [dx, dy]) => points.map(([x, y]) => [x + dx, y + dy]);

// The bounds of a rectangle whose sides lie along the axes; null for any other shape.
export function boxOf(points) {
  if (points.length !== 4) return null;
  const bounds = boundsOf(points), near = (a, b) => Math.abs(a - b) < 1e-6;
  const isCorner = ([x, y]) => (near(x, bounds[0]) || near(x, bounds[2])) && (near(y, bounds[1]) || near(y, bounds[3]));
  const isSide = (a, b) => near(a[0], b[0]) !== near(a[1], b[1]);
  return points.every(isCorner) && points.every((p, i) => isSide(p, points[(i + 1) % 4])) ? bounds : null;
}

export const areaBounds = () => boundsOf(ground().drawing.outline);

// The side of the playing area by which points lie, with how far out they begin and end and how far along.
export function besideOf(points) {
  const area = areaBounds(), mid = [(area[0] + area[2]) / 2, (area[1] + area[3]) / 2], half = [(area[2] - area[0]) / 2, (area[3] - area[1]) / 2];
  const at = middleOf(points), away = [Math.abs(at[0] - mid[0]) - half[0], Math.abs(at[1] - mid[1]) - half[1]];
  const axis = away[0] >= away[1] ? 0 : 1, sign = at[axis] >= mid[axis] ? 1 : -1, bounds = boundsOf(points);
  const out = [bounds[axis], bounds[axis + 2]].map(v => sign * (v - mid[axis]) - half[axis]).sort((a, b) => a - b);
  const along = [bounds[1 - axis], bounds[3 - axis]].map(v => v - mid[1 - axis]);
  return { side: (sign > 0 ? "+" : "-") + "xy"[axis], axis, sign, mid, half, out, along };
}

// The rectangle along a side that begins and ends so far out, and so far along.
export function stripPoints(beside, out, along) {
  const { axis, sign, mid, half } = beside, bounds = [0, 0, 0, 0];
  const far = out.map(v => mid[axis] + sign * (half[axis] + v)).sort((a, b) => a - b);
  const wide = along.map(v => mid[1 - axis] + v).sort((a, b) => a - b);
  [bounds[axis], bounds[axis + 2]] = far;
  [bounds[1 - axis], bounds[3 - axis]] = wide;
  return boxPoints(bounds);
}

// What the match file says of a shape: {side, span_m, offset_m}, {polygon} or {line}. A strip stays one while it can.
export function formOf(points, { isLine = false, asStrip = false } = {}) {
  const tidied = tidyPoints(points);
  if (isLine) return { line: tidied };
  const box = boxOf(tidied);
  if (asStrip && box) {
    const beside = besideOf(boxPoints(box)), out = beside.out.map(v => tidy(v));
    if (out[0] >= 0) return { side: beside.side, span_m: beside.along.map(v => tidy(v)), offset_m: out };
  }
  return { polygon: tidied };
}
const FORM_KEYS = ["polygon", "polygons", "line", "side", "span_m", "offset_m", "around", "mirror"];

// Edits that give an entry of the file another form, and take the old one away.
export function formEdits(mark, entry, form) {
  const edits = [];
  for (const key of FORM_KEYS) {
    if (key in form) {
      if (JSON.stringify(form[key]) !== JSON.stringify(entry[key])) edits.push({ do: "put", part: mark, field: key, value: form[key] });
    } else if (key in entry) edits.push({ do: "put", part: mark, field: key, value: null });
  }
  return edits;
}

// Turned about the middle, anticlockwise on the ground.
export function turned(points, deg) {
  const [mx, my] = middleOf(points), c = Math.cos(deg * Math.PI / 180), s = Math.sin(deg * Math.PI / 180);
  return points.map(([x, y]) => [mx + c * (x - mx) - s * (y - my), my + s * (x - mx) + c * (y - my)]);
}

// The same on the other side: an end for an end, a side for a side.
export function across(points) {
  const beside = besideOf(points), { axis, mid } = beside;
  return points.map(p => p.map((v, i) => (i === axis ? 2 * mid[i] - v : v))).reverse();
}

export function inside([x, y], points) {
  let isIn = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const [ax, ay] = points[i], [bx, by] = points[j];
    if ((ay > y) !== (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax) isIn = !isIn;
  }
  return isIn;
}

// The edge nearest to a point: the index after which a new corner goes.
export function nearestEdge(at, points, isLine) {
  let best = 0, least = Infinity;
  const count = isLine ? points.length - 1 : points.length;
  for (let i = 0; i < count; i++) {
    const [ax, ay] = points[i], [bx, by] = points[(i + 1) % points.length], long = (bx - ax) ** 2 + (by - ay) ** 2 || 1;
    const t = Math.min(1, Math.max(0, ((at[0] - ax) * (bx - ax) + (at[1] - ay) * (by - ay)) / long));
    const away = Math.hypot(at[0] - ax - t * (bx - ax), at[1] - ay - t * (by - ay));
    if (away < least) { least = away; best = i; }
  }
  return best;
}

// Move one corner. A rectangle along the axes stays one: only that corner's two sides move.
export function cornerMoved(points, index, [x, y]) {
  const box = boxOf(points);
  if (!box) return points.map((p, i) => (i === index ? [x, y] : p));
  const [px, py] = points[index], isLow = [px === box[0], py === box[1]], next = [...box];
  if (isLow[0]) next[0] = Math.min(x, box[2] - LEAST_M); else next[2] = Math.max(x, box[0] + LEAST_M);
  if (isLow[1]) next[1] = Math.min(y, box[3] - LEAST_M); else next[3] = Math.max(y, box[1] + LEAST_M);
  return points.map(p => [p[0] === box[0] ? next[0] : next[2], p[1] === box[1] ? next[1] : next[3]]);
}
