// Cameras tried elsewhere: dragged, tapped or moved by keys. What they get there is asked from the server.
import { byId, say } from "./dom.js";
import { screen, server, periodNow, redraw } from "./state.js";
import { change, put, worthOf } from "./talk.js";
import { cameraNow, kit, triedKey, triedOf } from "./plan.js";
import { isPlace, pointsOf, things } from "./things.js";
import { inside, tidy } from "./shapes.js";
import { about } from "./words.js";

const FAR_M = 400;
let pause = 0;

// Ask what a camera would get at a place; the answer says where it really stands: on ground where one may.
export function tryCamera(camera, at) {
  if (!server.answer || !kit()[camera]) return;
  const key = triedKey(camera), before = cameraNow(camera);
  screen.camera = camera;
  if (before && !triedOf(camera)) screen.tried.set(key, { at: [...at, before.at[2]], worth: null, best: null, seen: null, captured: null, words: before.where });
  else if (before) screen.tried.set(key, { ...triedOf(camera), at: [...at, before.at[2]] });
  worthOf({ period: periodNow(), camera: kit()[camera].name, at: at.map(v => tidy(v)) }, found => {
    if (!screen.tried.has(key)) return; // it went back to the best spot meanwhile
    screen.tried.set(key, found);
    redraw();
    clearTimeout(pause);
    pause = setTimeout(() => say(`Camera ${kit()[camera]?.name} ${found.words}: ${about(found.seen)}.`), 700);
  });
  redraw();
}

export function backToBest(camera) {
  for (const key of [...screen.tried.keys()]) if (key.endsWith(` ${kit()[camera].name}`)) screen.tried.delete(key);
  say("Back to the best spot.");
  redraw();
}

// Ask again for all that is tried once a new plan is there.
export function retryAll() {
  for (const [key, tried] of [...screen.tried]) {
    const name = key.slice(key.indexOf(" ") + 1), period = key.slice(0, key.indexOf(" "));
    if (!kit().some(camera => camera.name === name)) { screen.tried.delete(key); continue; }
    worthOf({ period, camera: name, at: tried.at.slice(0, 2) }, found => { if (screen.tried.has(key)) { screen.tried.set(key, found); redraw(); } });
  }
}

// One step of an arrow key: over ground where nobody may stand it jumps to the next where one may.
export function nudgeCamera(camera, [dx, dy]) {
  const now = cameraNow(camera);
  if (!now) return;
  const [x, y] = now.at, may = things().filter(t => isPlace(t) && t.answer === "yes" && !t.removed);
  const isOn = at => may.some(t => (t.isLine ? nearLine(at, t) : inside(at, pointsOf(t)) || t.rings.some(ring => inside(at, ring))));
  for (let n = 1; n * Math.hypot(dx, dy) < FAR_M; n += 0.5) {
    const at = [x + n * dx, y + n * dy];
    if (isOn(at)) return tryCamera(camera, at);
  }
  say("No more ground that way where you may stand.");
}
function nearLine(at, thing) {
  const points = pointsOf(thing);
  return points.some((a, i) => {
    const b = points[i + 1];
    if (!b) return false;
    const long = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 || 1, t = Math.min(1, Math.max(0, ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / long));
    return Math.hypot(at[0] - a[0] - t * (b[0] - a[0]), at[1] - a[1] - t * (b[1] - a[1])) < 0.3;
  });
}

// ---- kept in the file: a camera stands where somebody put it

// Edits that make the file name its cameras. A file that names none has the usual one.
export function namedCameras() {
  const list = server.match.said.camera;
  return list.length ? [] : kit().map(camera => ({ do: "add", part: "camera", value: cameraValue(camera) }));
}
export const cameraValue = camera => ({
  name: camera.name, mode: camera.mode, lenses: camera.lenses.map(lens => lens.as), ...(typeof camera.support === "string" ? { support: camera.support } : {}),
});

// Change the entry of a camera; the first change writes down the whole kit.
export function putCamera(index, field, value, what, key = null) {
  const camera = kit()[index];
  if (camera.mark) return change(what, [{ do: "put", part: camera.mark, field, value }], { field: key });
  const adds = kit().map((other, i) => {
    const entry = cameraValue(other);
    if (i === index) { if (value === null) delete entry[field]; else entry[field] = value; }
    return { do: "add", part: "camera", value: entry };
  });
  return change(what, adds, { field: key });
}

export async function fixHere(camera) {
  const tried = triedOf(camera), name = kit()[camera].name;
  const at = tried.at.map(v => tidy(v)), what = `fix camera ${name}`, { mark, walks } = kit()[camera];
  await (walks ? change(what, [put(mark, "roam", null), put(mark, "at_m", at)]) : putCamera(camera, "at_m", at, what));
  backToBest(camera);
  byId("answer").querySelector("h2")?.focus({ preventScroll: true });
  say(`Camera ${name} is fixed there.`);
}
