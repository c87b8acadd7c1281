// What a person does to places and things, as changes of the match file, each with the name that Undo shows.
import { say } from "./dom.js";
import { ground, screen, server, said, entryOf, redraw } from "./state.js";
import { change, fail, put } from "./talk.js";
import { across, besideOf, boxPoints, formEdits, formOf, tidy, tidyPoints } from "./shapes.js";
import { isPlace, questionOf, ringOf, stripOf, thingOf, thingWords, things, pointsOf } from "./things.js";

const LIST_OF = { place: "allowed", forbidden: "forbidden", obstacle: "obstacle", furniture: "furniture" };
const THING_TOP_M = 2.4, SEAT_M = 1; // a seat is a square of this side

// ---- what came with the sport becomes the match's own before it is moved

// The match goes on with its usual places but one.
function withoutUsual(key) {
  const kept = things().filter(t => t.kind === "place" && t.isUsual && !t.isUnused && t.key !== key).map(t => t.key);
  return put("venue", "usual_places", kept);
}

function own(thing, points) {
  if (thing.kind === "furniture") return furnitureEdits(thing, points);
  const form = formOf(points, { isLine: thing.isLine, asStrip: true });
  const { name, key } = thing, add = { do: "add", part: "allowed", value: { name, what: key, ...form, lens_height_m: thing.lens_height_m } };
  return [add, ...(thing.isUsual ? [withoutUsual(key)] : []), ...(said("answers")[key] ? [put("answers", key, null)] : []),
    ...(thing.answer === "yes" ? [] : [put("answers", name, thing.answer)])];
}

// What the sport has there stands elsewhere: all its pieces keep their places but the one that was moved.
function furnitureEdits(thing, points) {
  const pieces = thing.rings.map((ring, i) => tidyPoints(i === ringOf(thing) ? points : ring));
  const form = pieces.length > 1 ? { polygons: pieces } : formOf(pieces[0]);
  if (thing.mark) return formEdits(thing.mark, entryOf(thing.mark), form);
  return [{ do: "add", part: "furniture", value: { what: thing.key, ...form } }];
}

// ---- shapes

// Show new points at once; `settle` sends them.
export function hold(thing, points) {
  screen.shapes.set(thing.id, { points: tidyPoints(points), ring: ringOf(thing) });
  redraw();
}

export async function settle(id, what, { more = false } = {}) {
  const now = screen.shapes.get(id), thing = thingOf(id);
  if (!now || !thing) return;
  const { points } = now;
  const entry = entryOf(thing.mark), isOwnShape = thing.isOwn && entry;
  const edits = isOwnShape ? formEdits(thing.mark, entry, formOf(points, { isLine: thing.isLine, asStrip: stripOf(thing) })) : own(thing, points);
  if (!edits.length) { screen.shapes.delete(id); redraw(); return; }
  const done = await change(`${what} ${thing.name}`, edits, { more });
  if (!done.ok && done.faults.some(fault => /edges (cross|touch) at/.test(fault.words))) fail(`The edges of \u201c${thing.name}\u201d would cross, so it stays as it was.`);
  if (!done.ok || done.change === undefined) { screen.shapes.delete(id); redraw(); return; }
  if (!isOwnShape && isPlace(thing) && done.marks && done.marks.length) {
    if (screen.touched === id) [screen.touched] = done.marks;
    screen.shapes.delete(id);
  } else release(id, now, done.change);
}

// Points that the server has by now are no longer kept here.
const owed = new Map();
function release(id, now, number) {
  owed.set(id, { now, number });
  releaseAll();
}
export function releaseAll() {
  for (const [id, { now, number }] of owed) {
    if (!server.match || server.match.change < number) continue;
    if (screen.shapes.get(id) === now) screen.shapes.delete(id);
    owed.delete(id);
  }
  redraw();
}

export function reshape(thing, points, what, options) {
  hold(thing, points);
  return settle(thing.id, what, options);
}

function freeName(wanted) {
  const taken = new Set(things().map(t => t.name));
  if (!taken.has(wanted)) return wanted;
  for (let i = 2; ; i++) if (!taken.has(`${wanted} ${i}`)) return `${wanted} ${i}`;
}

// ---- adding, copying, taking away

export async function addShape(points) {
  const isThing = screen.question === 2, side = ground().sides[besideOf(points).side].name, list = things();
  const count = list.filter(t => isPlace(t) !== isThing && t.isOwn).length + 1;
  const name = freeName(`${isThing ? "thing" : "place"} ${count}, ${side}`);
  const value = isThing ? { name, ...formOf(points), top_m: THING_TOP_M } : { name, ...formOf(points, { asStrip: true }) };
  const part = isThing ? "obstacle" : "allowed";
  const done = await change(isThing ? "add a thing" : "add a place", [{ do: "add", part, value }]);
  if (done.ok && done.marks) {
    touch(done.marks[0], `${name} added. ${isThing ? "How high is it?" : "May you stand here?"}`);
  }
  return done;
}

// A place just large enough for one person, with the lens at one height.
export async function addSeat([x, y, z]) {
  const half = SEAT_M / 2, points = boxPoints([x - half, y - half, x + half, y + half]), up = tidy(z, 0.1);
  const name = freeName(`seat, ${ground().sides[besideOf(points).side].name}`);
  const value = { name, ...formOf(points, { asStrip: true }), lens_height_m: [up, up] };
  const done = await change("add a seat", [{ do: "add", part: "allowed", value }]);
  if (done.ok && done.marks) {
    touch(done.marks[0], `${name} added. May you stand here?`);
    screen.focus = `row ${done.marks[0]}`;
  }
  return done;
}

export async function copyAcross(thing) {
  const points = across(pointsOf(thing)), name = freeName(`${thing.name}, across`);
  const entry = entryOf(thing.mark) || {}, kept = { ...entry };
  for (const key of ["mark", "name", "polygon", "line", "side", "span_m", "offset_m", "polygons", "around", "what", "there", "mirror"]) delete kept[key];
  const form = formOf(points, { isLine: thing.isLine, asStrip: isPlace(thing) && (stripOf(thing) || !thing.isOwn) });
  let part = LIST_OF[thing.kind], value = { name, ...form, ...kept };
  if (thing.kind === "furniture") {
    part = "obstacle";
    value = { name, ...form, top_m: thing.top_m };
  } else if (!thing.isOwn && thing.lens_height_m) value.lens_height_m = thing.lens_height_m;
  const answer = thing.kind === "place" && thing.answer !== "yes" ? [put("answers", name, thing.answer)] : [];
  const done = await change(`copy ${thing.name} across`, [{ do: "add", part, value }, ...answer]);
  if (done.ok && done.marks) touch(done.marks[0], `${name} added.`);
}

export async function remove(thing) {
  const list = things().filter(t => questionOf(t) === questionOf(thing)), at = list.findIndex(t => t.id === thing.id);
  const next = list[at + 1] || list[at - 1];
  const edits = [];
  if (thing.isOwn) {
    edits.push({ do: "drop", part: thing.mark });
    if (said("answers")[thing.name]) edits.push(put("answers", thing.name, null));
  } else if (thing.kind === "furniture") edits.push(...thereEdits(thing, false));
  else if (thing.isUsual) edits.push(withoutUsual(thing.key), ...(said("answers")[thing.key] ? [put("answers", thing.key, null)] : []));
  else edits.push(put("answers", thing.key, "no"));
  const done = await change(`remove ${thing.name}`, edits);
  if (!done.ok) return;
  screen.touched = null;
  screen.armed = null;
  screen.focus = next ? `row ${next.id}` : "add";
  say(`${thing.name} removed. Undo brings it back.`);
}

function thereEdits(thing, isThere) {
  const drop = thing.mark ? [{ do: "drop", part: thing.mark }] : [];
  if (isThere === thing.isUsual) return drop;
  return [...drop, { do: "add", part: "furniture", value: { what: thing.key, there: isThere } }];
}
export const setThere = (thing, isThere) => change(`${thing.name}: ${isThere ? "here" : "not here"}`, thereEdits(thing, isThere));

// ---- answers and fields

// A strip that was drawn here and never was a place becomes a strip where nobody may stand; all else keeps its answer.
export async function giveAnswer(thing, value) {
  const what = `answer for ${thing.name}`, entry = entryOf(thing.mark) || {}, { mark, ...form } = entry;
  if (thing.kind === "forbidden") {
    if (value === "no") return;
    const { reason, ...rest } = form;
    const edits = [{ do: "drop", part: mark }, { do: "add", part: "allowed", value: rest }];
    if (value === "ask") edits.push(put("answers", thing.name, "ask"));
    retouch(await change(what, edits));
    return;
  }
  if (value === "no" && thing.isOwn && !entry.lens_height_m && !entry.max_cameras && !entry.periods) {
    const edits = [{ do: "drop", part: mark }, { do: "add", part: "forbidden", value: form }];
    if (said("answers")[thing.name]) edits.push(put("answers", thing.name, null));
    retouch(await change(what, edits));
    return;
  }
  const given = said("answers"), key = thing.isOwn ? thing.name : thing.key;
  const other = thing.key in given && thing.isOwn ? thing.key : key;
  await change(what, [put("answers", other, value === thing.usualAnswer && !thing.isUsual ? null : value)]);
}

function retouch(done) {
  if (done.ok && done.marks && done.marks.length) { screen.touched = done.marks[0]; redraw(); }
}

export function rename(thing, name) {
  const key = `name ${thing.id}`, clean = name.trim();
  if (!clean || clean === thing.name) { screen.faults.delete(key); return redraw(); }
  if (things().some(t => t.name === clean)) {
    screen.faults.set(key, { typed: name, words: `There's already a place called \u201c${clean}\u201d.` });
    return redraw();
  }
  const given = said("answers")[thing.name];
  const answers = given ? [put("answers", thing.name, null), put("answers", clean, given)] : [];
  return change(`rename ${thing.name}`, [put(thing.mark, "name", clean), ...answers], { field: key });
}

// Put one field of a thing; the sport's own things get an entry of their own first.
export function setField(thing, field, value, what, key) {
  if (thing.mark) return change(`${thing.name}, ${what}`, [put(thing.mark, field, value)], { field: key });
  if (thing.kind === "furniture") {
    return change(`${thing.name}, ${what}`, [{ do: "add", part: "furniture", value: { what: thing.key, [field]: value } }], { field: key });
  }
  const edits = own({ ...thing, [field]: value }, pointsOf(thing));
  return change(`${thing.name}, ${what}`, edits, { field: key }).then(retouchOk);
}
const retouchOk = done => { retouch(done); return done; };

export function touch(id, words = "", ring = 0) {
  screen.touched = id;
  screen.ring = ring;
  screen.armed = screen.first = screen.cross = null;
  screen.corners = false;
  const thing = thingOf(id);
  if (thing) screen.question = questionOf(thing);
  if (words || thing) say(words || thingWords(thing));
  redraw();
}
