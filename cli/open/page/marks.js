// Places and things on the ground, the handles of the one touched, and shapes that are being drawn.
import { h } from "./dom.js";
import { screen } from "./state.js";
import { pathOf, px, view } from "./view.js";
import { boundsOf, boxOf, middleOf } from "./shapes.js";
import { isOffer, isPlace, isShaped, pointsOf, questionOf, thingWords, touched } from "./things.js";

const HANDLE = { square: 5.5, round: 10.5 };
const frameLeast = () => (view.small ? 46 : 34);

export function thingMarks(thing) {
  const paths = thing.rings.map(ring => pathOf(ring, !thing.isLine)).join("");
  const look = isPlace(thing) ? `place ${thing.answer}${thing.isUsual ? " usual" : ""}${thing.removed ? " removed" : ""}${isOffer(thing) ? " offer" : ""}`
    : `block${thing.isFaint ? " faint" : ""}${thing.see_through > 0.5 ? " veil" : ""}`;
  const [x, y] = view.toScreen(middleOf(pointsOf(thing)));
  return h("g", {
    key: thing.id, class: "grab", "data-thing": thing.id, tabindex: screen.question === questionOf(thing) ? 0 : -1, role: "button", "aria-label": thingWords(thing),
  },
  h("path", { class: `${look}${thing.isLine ? " line" : ""}`, d: paths, "stroke-width": isPlace(thing) ? null : thin(thing) }),
  thing.answer === "ask" && isPlace(thing) ? h("text", { class: isOffer(thing) ? "question offer" : "question", x: px(x), y: px(y + 5), "text-anchor": "middle" }, "?") : null,
  h("path", { class: "hit-line", d: paths }));
}

// What is thinner than a line on the screen is drawn as one.
function thin(thing) {
  const [x0, y0, x1, y1] = boundsOf(pointsOf(thing));
  return view.scale * Math.min(x1 - x0, y1 - y0) < 3 ? 2.5 : 0;
}

export function outlineMark() {
  const thing = touched();
  if (!thing) return null;
  return h("path", { key: "outline", class: "outline", d: thing.rings.map(ring => pathOf(ring, !thing.isLine)).join("") });
}

// The frame round the thing touched: never smaller than its handles need.
function frameOf(points) {
  const [x0, y0, x1, y1] = boundsOf(points.map(view.toScreen)), least = frameLeast();
  const gx = Math.max(3, (least - (x1 - x0)) / 2), gy = Math.max(3, (least - (y1 - y0)) / 2);
  return [x0 - gx, y0 - gy, x1 + gx, y1 + gy];
}

export function handleMarks() {
  const thing = touched();
  if (!thing || (!thing.isOwn && thing.rings.length > 1 && thing.kind !== "furniture")) return null;
  const points = pointsOf(thing), frame = frameOf(points), box = !thing.isLine && boxOf(points);
  const marks = [];
  if (isShaped(thing) || thing.isOwn) {
    const spread = box ? points.map(point => pushed(point, points, frame)) : spreadOut(points.map(view.toScreen), thing.isLine);
    spread.forEach((at, i) => marks.push(cornerMark(thing, i, at)));
    marks.push(...edgeMarks(thing, points, frame, box));
  }
  marks.push(...moveMarks(thing, frame));
  const [x0, y0, x1, y1] = frame.map(px);
  return h("g", { key: "handles" }, h("path", { class: "frame", d: `M${x0} ${y0}H${x1}V${y1}H${x0}Z` }), marks);
}

// A corner of a rectangle stands at the frame's corner that is nearest to it.
function pushed(point, points, frame) {
  const [x, y] = view.toScreen(point), [mx, my] = view.toScreen(middleOf(points));
  return [x < mx ? frame[0] : frame[2], y < my ? frame[1] : frame[3]];
}

// Corners that stand too near to each other to be touched apart are drawn a little farther out.
function spreadOut(corners, isLine) {
  const room = view.small ? 44 : 26, n = corners.length, [x0, y0, x1, y1] = boundsOf(corners), middle = [(x0 + x1) / 2, (y0 + y1) / 2];
  return corners.map((p, i) => {
    const near = [corners[(i + n - 1) % n], corners[(i + 1) % n]].filter((q, k) => !(isLine && (k ? i === n - 1 : i === 0)));
    const tight = near.find(q => Math.hypot(p[0] - q[0], p[1] - q[1]) < room);
    if (!tight) return p;
    const away = [p[0] - tight[0], p[1] - tight[1]], long = Math.hypot(...away) || 1, by = (room - long) / 2;
    const out = [p[0] - middle[0], p[1] - middle[1]], far = Math.hypot(...out) || 1;
    return [0, 1].map(k => p[k] + by * away[k] / long + 6 * out[k] / far);
  });
}

function cornerMark(thing, index, [x, y]) {
  const isArmed = screen.armed?.do === "corner" && screen.armed.index === index;
  return h("g", { key: `corner ${index}`, class: "grab", "data-handle": `corner ${index}`, tabindex: 0, role: "button", "aria-label": `Corner ${index + 1} of ${thing.name}. Arrow keys move it.` },
    h("circle", { class: "hit", cx: px(x), cy: px(y), r: view.small ? 22 : 13 }),
    h("rect", { class: isArmed ? "handle armed" : "handle", x: px(x - HANDLE.square), y: px(y - HANDLE.square), width: 2 * HANDLE.square, height: 2 * HANDLE.square }));
}

// The middle of an edge, where dragging makes a new corner: only where there is room between the corners.
function edgeMarks(thing, points, frame, box) {
  const marks = [], count = thing.isLine ? points.length - 1 : points.length, room = view.small ? 110 : 70;
  for (let i = 0; i < count; i++) {
    const ends = [points[i], points[(i + 1) % points.length]].map(p => (box ? pushed(p, points, frame) : view.toScreen(p)));
    if (Math.hypot(ends[0][0] - ends[1][0], ends[0][1] - ends[1][1]) < room) continue;
    const [x, y] = [0, 1].map(k => (ends[0][k] + ends[1][k]) / 2);
    marks.push(h("g", { key: `edge ${i}`, class: "grab", "data-handle": `edge ${i}`, "aria-hidden": "true" },
      h("circle", { class: "hit", cx: px(x), cy: px(y), r: view.small ? 20 : 12 }), h("circle", { class: "handle small", cx: px(x), cy: px(y), r: 3.5 })));
  }
  return marks;
}

// Handles beside the frame: to move it, and to turn it.
function moveMarks(thing, [x0, y0, x1, y1]) {
  const isTall = y1 - y0 > x1 - x0, gap = view.small ? 27 : 23, mid = [(x0 + x1) / 2, (y0 + y1) / 2];
  const ends = isTall ? [[mid[0], y0 - gap], [mid[0], y1 + gap]] : [[x1 + gap, mid[1]], [x0 - gap, mid[1]]];
  const isOut = ([x, y]) => x < 12 || y < 12 || x > view.width - 12 || y > view.height - 12;
  if (isOut(ends[0]) && !isOut(ends[1])) ends.reverse();
  const held = ends.map(([x, y]) => [Math.min(view.width - 12, Math.max(12, x)), Math.min(view.height - 12, Math.max(12, y))]);
  const isArmed = screen.armed?.do === "move", [mx, my] = held[0], [tx, ty] = held[1], r = view.small ? 22 : 15;
  const marks = [h("g", { key: "move", class: "grab", "data-handle": "move", tabindex: 0, role: "button", "aria-label": `Move ${thing.name}. Arrow keys move it.` },
    h("circle", { class: "hit", cx: px(mx), cy: px(my), r }),
    h("circle", { class: isArmed ? "handle armed" : "handle", cx: px(mx), cy: px(my), r: HANDLE.round }),
    h("path", { class: isArmed ? "sign on" : "sign", d: `M${px(mx - 5.5)} ${px(my)}h11M${px(mx)} ${px(my - 5.5)}v11` }))];
  if (isShaped(thing) || thing.isOwn) {
    marks.push(h("g", { key: "turn", class: "grab", "data-handle": "turn", tabindex: 0, role: "button", "aria-label": `Turn ${thing.name}. Arrow keys turn it.` },
      h("circle", { class: "hit", cx: px(tx), cy: px(ty), r }),
      h("circle", { class: "handle", cx: px(tx), cy: px(ty), r: HANDLE.round - 2 }),
      h("path", { class: "sign", d: `M${px(tx - 4)} ${px(ty + 2.5)}a4.6 4.6 0 1 1 8 0m0 0l-3.6 -.6m3.6 .6l.8 -3.6` })));
  }
  return marks;
}

// A rectangle that is being drawn, its first corner, and the cross of the keyboard.
export function sketchMarks() {
  const marks = [];
  if (screen.sketch) marks.push(h("path", { class: "sketch", d: pathOf(screen.sketch, true) }));
  if (screen.first) {
    const [x, y] = view.toScreen(screen.first).map(px);
    marks.push(h("circle", { class: "dot", cx: x, cy: y, r: 6 }));
  }
  if (screen.cross) {
    const [x, y] = view.toScreen(screen.cross);
    marks.push(h("circle", { class: "cross", cx: px(x), cy: px(y), r: 13 }), h("path", { class: "cross", d: `M${px(x - 20)} ${px(y)}h40M${px(x)} ${px(y - 20)}v40` }));
  }
  return h("g", { key: "sketch", "aria-hidden": "true" }, marks);
}
