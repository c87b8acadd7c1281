// Everything by keys: arrows on what has the focus, the cross for new shapes, undo, redo, save, Escape.
import { byId, say } from "./dom.js";
import { screen, redraw, ground } from "./state.js";
import { arrowStep, sideAt, turnNow } from "./view.js";
import { addShape, hold, remove, settle, touch } from "./edits.js";
import { areaBounds, cornerMoved, shifted, tidy, tidyPoints, turned } from "./shapes.js";
import { pointsOf, questionOf, roughWords, thingOf, thingWords, touched } from "./things.js";
import { nudgeCamera } from "./cameras.js";
import { boxAround, leave, tapCorner } from "./hands.js";
import { movePoint, pointAt } from "./picture.js";
import { again, back, save } from "./file.js";

const RUN_MS = 250, ONE_STEP_MS = 1000, TURN_DEG = { "[": 5, "]": -5 };
let runs = 0, run = null, last = { id: null, what: null, at: -1e9 };

const isTyping = target => target.matches("input:not([type=radio]):not([type=checkbox]),select,textarea");

function onKey(event) {
  const target = event.target, key = event.key.toLowerCase();
  if (event.ctrlKey || event.metaKey) {
    if (key === "s") { event.preventDefault(); save(); } else if (!isTyping(target) && key === "z") { event.preventDefault(); if (event.shiftKey) again(); else back(); } else if (!isTyping(target) && key === "y") { event.preventDefault(); again(); }
    return;
  }
  if (event.key === "Escape") { escape(target); return; }
  if (isTyping(target) || !ground()) return;
  if (screen.cross) { crossKey(event); return; }
  const mark = target.closest?.("#ground [data-thing],#ground [data-camera],#ground [data-handle]");
  if (mark) markKey(event, mark.dataset);
}

function escape(target) {
  if (leave() || screen.armed || screen.first || screen.cross) {
    screen.armed = screen.first = screen.cross = null;
    say("Left as it was.");
  } else if (screen.touched && !isTyping(target)) {
    screen.focus = `row ${screen.touched}`;
    screen.touched = null;
  }
  redraw();
}

// ---- a new shape by the cross

export function startCross() {
  const bottom = sideAt("bottom"), area = areaBounds(), middle = [(area[0] + area[2]) / 2, (area[1] + area[3]) / 2], { up } = turnNow();
  const half = bottom.endsWith("y") ? (area[3] - area[1]) / 2 : (area[2] - area[0]) / 2;
  screen.cross = middle.map((v, i) => tidy(v - up[i] * (half + 6), 0.5));
  say(`Arrow keys move the cross, Enter sets a corner. ${roughWords([screen.cross])}.`);
  redraw();
  requestAnimationFrame(() => byId("ground").focus());
}

function crossKey(event) {
  const step = arrowStep(event);
  if (step) {
    event.preventDefault();
    screen.cross = screen.cross.map((v, i) => tidy(v + step[i]));
    say(`${roughWords([screen.cross])}.`, 500);
    redraw();
  } else if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    const at = screen.cross, isSecond = Boolean(screen.first);
    if (isSecond) { const points = boxAround(screen.first, at); screen.first = screen.cross = screen.armed = null; addShape(points).then(() => { screen.focus = `row ${screen.touched}`; redraw(); }); } else tapCorner(at);
  }
}

// ---- what has the focus

function markKey(event, data) {
  const step = arrowStep(event);
  if (data.camera !== undefined) {
    if (step) { event.preventDefault(); nudgeCamera(Number(data.camera), step); } else if (event.key === "Enter" || event.key === " ") { event.preventDefault(); screen.camera = Number(data.camera); redraw(); }
    return;
  }
  if (data.handle?.startsWith("mark")) {
    const index = Number(data.handle.slice(5));
    if (step) { event.preventDefault(); movePoint(index, pointAt(index).map((v, i) => v + step[i])); }
    return;
  }
  const thing = data.thing !== undefined ? thingOf(data.thing) : touched();
  if (!thing) return;
  if (step) { event.preventDefault(); arrow(thing, data.handle || "move", step); } else if (TURN_DEG[event.key]) {
    event.preventDefault();
    nudge(thing, "turn", turned(pointsOf(thing), TURN_DEG[event.key]));
  } else if ((event.key === "Enter" || event.key === " ") && data.thing !== undefined) {
    event.preventDefault();
    touch(screen.touched === data.thing ? null : data.thing);
  } else if (event.key === "Delete" || event.key === "Backspace") { event.preventDefault(); remove(thing); }
}

function arrow(thing, handle, step) {
  const points = pointsOf(thing), [kind, index] = handle.split(" ");
  if (kind === "move") return nudge(thing, "move", shifted(points, step));
  if (kind === "turn") return nudge(thing, "turn", turned(points, (step[0] + step[1] > 0 ? 1 : -1) * 5));
  const corner = points[Number(index)];
  return nudge(thing, "stretch", cornerMoved(points, Number(index), corner.map((v, i) => tidy(v + step[i]))));
}

// A run of key presses is one change: sent when the keys rest.
function nudge(thing, what, points) {
  if (screen.touched !== thing.id) {
    screen.touched = thing.id;
    screen.ring = 0;
    screen.question = questionOf(thing);
  }
  if (run && (run.id !== thing.id || run.what !== what)) endRun();
  hold(thing, tidyPoints(points));
  clearTimeout(runs);
  run = { id: thing.id, what };
  runs = setTimeout(endRun, RUN_MS);
}

async function endRun() {
  clearTimeout(runs);
  if (!run) return;
  const { id, what } = run;
  run = null;
  const more = last.id === id && last.what === what && performance.now() - last.at < ONE_STEP_MS;
  last = { id, what, at: performance.now() };
  await settle(id, what, { more });
  const thing = touched();
  if (thing) say(`${thingWords(thing)}, ${thing.words || roughWords(pointsOf(thing))}.`, 500);
}

export function startKeys() {
  document.addEventListener("keydown", onKey);
}
