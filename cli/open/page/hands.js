// Pointer and taps on the ground. A press that moves less than a few pixels is a tap; Escape and a second finger leave all as it was.
import { byId, say } from "./dom.js";
import { ground, screen, redraw } from "./state.js";
import { stepOf, view } from "./view.js";
import { addShape, hold, reshape, settle, touch } from "./edits.js";
import { areaBounds, boxPoints, cornerMoved, middleOf, nearestEdge, shifted, tidy, turned } from "./shapes.js";
import { pointsOf, questionOf, thingOf, touched } from "./things.js";
import { tryCamera } from "./cameras.js";
import { movePoint, pointAt, tapPicture } from "./picture.js";
import { go } from "./questions.js";

const TAP_PX = 5, SAME_PX = 9, WHEEL = 0.0022, MOST_ZOOM = 8, HANDS = new Map();
let down = null, pinch = null;

// On the steps: counted from the line beyond it, and from the middle within.
function snap(point, event) {
  const step = event?.altKey ? stepOf().fine : stepOf().usual, bounds = areaBounds();
  return point.map((v, i) => {
    const [low, high] = [bounds[i], bounds[i + 2]], from = v < low ? low : v > high ? high : (low + high) / 2;
    return tidy(from + Math.round((v - from) / step) * step);
  });
}

function placeOf(event) {
  const box = byId("ground").getBoundingClientRect();
  return view.toGround([(event.clientX - box.left) * view.width / box.width, (event.clientY - box.top) * view.height / box.height]);
}

function targetOf(event) {
  const mark = event.target.closest("[data-handle],[data-camera],[data-thing],[data-side]");
  if (!mark) return { kind: "bare" };
  const { handle, camera, thing, side } = mark.dataset;
  if (handle !== undefined) return { kind: "handle", handle };
  if (camera !== undefined) return { kind: "camera", camera: Number(camera) };
  if (thing !== undefined) return { kind: "thing", thing };
  return { kind: "side", side };
}

function onDown(event) {
  if (event.button) return;
  HANDS.set(event.pointerId, [event.clientX, event.clientY]);
  if (HANDS.size === 2) { leave(); startPinch(); return; }
  const target = targetOf(event), at = placeOf(event);
  down = { id: event.pointerId, at, px: [event.clientX, event.clientY], target, isTouch: event.pointerType === "touch", isMoving: false };
  const grabsBare = target.kind === "bare" || target.kind === "side" ? event.pointerType !== "touch" : true;
  if (grabsBare) try { byId("ground").setPointerCapture(event.pointerId); } catch { /* the pointer is gone already */ }
}

function onMove(event) {
  if (HANDS.has(event.pointerId)) HANDS.set(event.pointerId, [event.clientX, event.clientY]);
  if (pinch) return movePinch();
  if (!down || event.pointerId !== down.id) return undefined;
  if (!down.isMoving && Math.hypot(event.clientX - down.px[0], event.clientY - down.px[1]) < TAP_PX) return undefined;
  if (!down.isMoving && !begin()) return undefined;
  return down.move(placeOf(event), event);
}

// A press has become a drag: settle what it moves, and what Escape puts back.
function begin() {
  const { target, at } = down, thing = target.kind === "thing" ? thingOf(target.thing) : touched();
  down.isMoving = screen.isDragging = true;
  screen.armed = null;
  if (target.kind === "camera") {
    down.move = to => tryCamera(target.camera, to);
    down.end = () => {};
  } else if (target.kind === "handle" && target.handle.startsWith("mark")) {
    const index = Number(target.handle.slice(5)), off = minus(pointAt(index), at);
    down.move = to => movePoint(index, plus(to, off));
    down.end = () => {};
  } else if (thing && !thing.isFaint && (target.kind === "thing" || target.kind === "handle")) {
    if (target.kind === "thing" && screen.touched !== thing.id) { screen.touched = thing.id; screen.ring = ringUnder(thing, at); screen.question = questionOf(thing); }
    beginThing(thing, target.kind === "thing" ? "move" : target.handle);
  } else if ((target.kind === "bare" || thing?.isFaint) && !down.isTouch && [1, 2].includes(screen.question)) {
    down.move = to => { screen.sketch = boxPoints([...at, ...to]); redraw(); };
    down.end = (to, event) => {
      screen.sketch = null;
      const a = snap(at, event), b = snap(to, event);
      addShape(boxAround(a, b));
    };
  } else {
    down = null;
    screen.isDragging = false;
    return false;
  }
  return true;
}
// Which piece of a thing the hand is on.
function ringUnder(thing, at) {
  const away = thing.rings.map(ring => { const [x, y] = middleOf(ring); return Math.hypot(x - at[0], y - at[1]); });
  return away.indexOf(Math.min(...away));
}
const minus = (a, b) => [a[0] - b[0], a[1] - b[1]];
const plus = (a, b) => [a[0] + b[0], a[1] + b[1]];

// A rectangle between two corners, of at least two steps each way.
export function boxAround(a, b) {
  const least = 2 * stepOf().usual, low = [0, 1].map(i => Math.min(a[i], b[i])), high = [0, 1].map(i => Math.max(a[i], b[i], low[i] + least));
  return boxPoints([...low, ...high]);
}

function beginThing(thing, handle) {
  const start = pointsOf(thing), kind = handle.split(" ")[0], index = Number(handle.split(" ")[1]);
  const what = kind === "move" ? "move" : kind === "turn" ? "turn" : "stretch";
  down.held = thing.id;
  if (kind === "move") {
    const off = minus(middleOf(start), down.at);
    down.move = (to, event) => hold(thing, movedTo(start, plus(to, off), event));
  } else if (kind === "turn") {
    const middle = middleOf(start), angle = p => Math.atan2(p[1] - middle[1], p[0] - middle[0]) * 180 / Math.PI, from = angle(down.at);
    down.move = (to, event) => hold(thing, turned(start, tidy(angle(to) - from, event.altKey ? 1 : 5)));
  } else if (kind === "edge") {
    const points = [...start.slice(0, index + 1), middleOf([start[index], start[(index + 1) % start.length]]), ...start.slice(index + 1)];
    down.move = (to, event) => hold(thing, points.map((p, i) => (i === index + 1 ? snap(to, event) : p)));
  } else {
    const off = minus(start[index], down.at);
    down.move = (to, event) => hold(thing, cornerMoved(start, index, snap(plus(to, off), event)));
  }
  down.end = () => settle(thing.id, what);
}

// Moved so that its first corner stays on the steps.
function movedTo(points, middle, event) {
  const by = minus(middle, middleOf(points)), first = points[0], to = snap(plus(first, by), event);
  return shifted(points, minus(to, first));
}

function onUp(event) {
  HANDS.delete(event.pointerId);
  if (pinch) { if (HANDS.size < 2) pinch = null; return; }
  if (!down || event.pointerId !== down.id) return;
  const press = down;
  down = null;
  screen.isDragging = false;
  if (press.isMoving) press.end(placeOf(event), event); else tap(press);
  redraw();
}

// Leave a started move: everything as it was.
export function leave() {
  if (down?.held) screen.shapes.delete(down.held);
  const wasMoving = Boolean(down?.isMoving);
  down = null;
  screen.isDragging = false;
  screen.sketch = null;
  redraw();
  return wasMoving;
}

// ---- taps: tap it, then tap where it goes

// The same thing tapped again at the same place is left; a little way off it is where it goes.
const isSame = (armed, own, px) => own && armed.do === own.do && armed.index === own.index && armed.camera === own.camera
  && (!armed.px || Math.hypot(px[0] - armed.px[0], px[1] - armed.px[1]) < SAME_PX);

function tap({ target, at, px, isTouch }) {
  const armed = screen.armed;
  if (armed?.do === "mark" && !(armed.index !== undefined && isSame(armed, armedBy(target), px))) return tapPicture(at);
  if (armed?.do === "add") return tapCorner(snap(at));
  const own = armedBy(target);
  if (armed && own && isSame(armed, own, px)) { screen.armed = null; return redraw(); }
  if (armed) return putArmed(armed, at);
  if (own) {
    screen.armed = { ...own, px };
    if (own.do === "camera") screen.camera = own.camera;
    return redraw();
  }
  if (target.kind === "thing") {
    touch(screen.touched === target.thing ? null : target.thing, "", ringUnder(thingOf(target.thing), at));
    if (!isTouch) byId("ground").querySelector(`[data-thing="${CSS.escape(target.thing)}"]`)?.focus({ preventScroll: true });
    return undefined;
  }
  if (target.kind === "side") { go(0); screen.focus = `side name ${target.side}`; return redraw(); }
  return lookAt(at);
}

function armedBy(target) {
  if (target.kind === "camera") return { do: "camera", camera: target.camera };
  if (target.kind !== "handle") return null;
  const [kind, index] = target.handle.split(" ");
  if (kind === "mark") return { do: "mark", index: Number(index) };
  if (kind === "corner") return { do: "corner", index: Number(index) };
  if (kind === "edge") return { do: "new corner", index: Number(index) };
  return { do: kind };
}

export function tapCorner(at) {
  if (!screen.first) {
    screen.first = at;
    say("First corner set. Now the opposite corner.");
    return redraw();
  }
  const points = boxAround(screen.first, at);
  screen.first = screen.armed = screen.cross = null;
  return addShape(points);
}

// The second tap: where what was tapped first should go.
function putArmed(armed, at) {
  const thing = touched();
  screen.armed = null;
  if (armed.do === "camera") return tryCamera(armed.camera, at);
  if (!thing) return redraw();
  const points = pointsOf(thing), to = snap(at);
  if (armed.do === "move") return reshape(thing, movedTo(points, to), "move");
  if (armed.do === "corner") return reshape(thing, cornerMoved(points, armed.index, to), "stretch");
  if (armed.do === "turn") {
    const middle = middleOf(points), way = Math.atan2(at[1] - middle[1], at[0] - middle[0]) * 180 / Math.PI;
    return reshape(thing, turned(points, tidy(way - longWay(points), 5)), "turn");
  }
  const index = armed.index ?? nearestEdge(at, points, thing.isLine);
  return reshape(thing, [...points.slice(0, index + 1), to, ...points.slice(index + 1)], "stretch");
}

// Which way the longest side of a shape runs.
function longWay(points) {
  let best = 0, least = 0;
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length], long = Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (long > least) { least = long; best = Math.atan2(q[1] - p[1], q[0] - p[0]) * 180 / Math.PI; }
  });
  return best;
}

export function lookAt(at) {
  const [x0, y0, x1, y1] = areaBounds();
  screen.touched = null;
  screen.look = [Math.min(x1, Math.max(x0, at[0])), Math.min(y1, Math.max(y0, at[1]))];
  say("Looking there.");
  redraw();
}

// ---- closer: wheel with Ctrl, two fingers

function onWheel(event) {
  if (!event.ctrlKey || !ground()) return;
  event.preventDefault();
  zoomTo(screen.zoom * Math.exp(-event.deltaY * WHEEL), placeOf(event));
}

function zoomTo(zoom, about = null) {
  const next = Math.min(MOST_ZOOM, Math.max(1, zoom)), box = byId("ground").getBoundingClientRect();
  if (about && next > 1) {
    const centre = view.toGround([view.width / 2, view.height / 2]), share = screen.zoom / next;
    screen.centre = centre.map((v, i) => about[i] + (v - about[i]) * share);
  }
  screen.zoom = box.width && next > 1.02 ? next : 1;
  redraw();
}

function startPinch() {
  const [a, b] = [...HANDS.values()];
  pinch = { apart: Math.hypot(a[0] - b[0], a[1] - b[1]), zoom: screen.zoom };
}
function movePinch() {
  const [a, b] = [...HANDS.values()];
  zoomTo(pinch.zoom * Math.hypot(a[0] - b[0], a[1] - b[1]) / pinch.apart, placeOf({ clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 }));
}

export function startHands() {
  const svg = byId("ground");
  svg.addEventListener("pointerdown", onDown);
  svg.addEventListener("pointermove", onMove);
  svg.addEventListener("pointerup", onUp);
  svg.addEventListener("pointercancel", event => { HANDS.delete(event.pointerId); pinch = null; leave(); });
  svg.addEventListener("wheel", onWheel, { passive: false });
}
