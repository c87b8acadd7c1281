// Places and things of the ground under one form, and the words for them.
import { ground, screen, said, entryOf } from "./state.js";
import { besideOf, boundsOf, boxOf } from "./shapes.js";
import { inHeight, inUnit } from "./units.js";

// All things: {id, kind, mark, key, ring, name, rings, isLine, answer, ...}. What is on screen only, goes first.
export function things() {
  const g = ground();
  if (!g) return [];
  const list = [];
  for (const p of g.places) {
    list.push({
      id: p.mark || `place:${p.key}`, kind: "place", isOwn: Boolean(p.mark), mark: p.mark, key: p.key, name: p.name, rings: p.rings,
      isLine: p.is_line, answer: p.answer, usualAnswer: p.usual_answer, isUsual: p.kind === "usual", isRaised: p.kind === "raised", isUnused: p.kind === "usual" && p.answer === "no" && !said("answers")[p.key] && !said("answers")[p.name],
      lens_height_m: p.lens_height_m, removed: p.removed, onto: p.onto, words: p.words,
    });
  }
  for (const f of g.forbidden) {
    list.push({ id: f.mark, kind: "forbidden", isOwn: true, mark: f.mark, name: f.name, rings: f.rings, isLine: f.is_line, answer: "no", words: f.words, removed: "" });
  }
  for (const o of g.obstacles) {
    list.push({ id: o.mark, kind: "obstacle", isOwn: true, mark: o.mark, name: o.name, rings: o.rings, isLine: o.is_line, base_m: o.base_m, top_m: o.top_m, see_through: o.see_through, words: o.words });
  }
  for (const f of g.furniture) {
    list.push({
      id: `furniture:${f.key}`, kind: "furniture", isOwn: false, mark: f.mark, key: f.key, name: f.name, rings: f.rings, top_m: f.top_m,
      see_through: f.see_through, isThere: f.there, isUsual: f.usual, isFaint: !f.there, words: f.words,
    });
  }
  return list.map(thing => (screen.shapes.has(thing.id) ? { ...thing, rings: withHeld(thing.rings, screen.shapes.get(thing.id)) } : thing));
}

const withHeld = (rings, { points, ring }) => rings.map((old, i) => (i === Math.min(ring, rings.length - 1) ? points : old));

export const thingOf = id => (id ? things().find(thing => thing.id === id) : undefined);
export const touched = () => thingOf(screen.touched);
// What is only offered is drawn while its question is open.
export const isShown = thing => screen.touched === thing.id || !(thing.isFaint || thing.isUnused) || (screen.question === questionOf(thing) && !thing.isUnused);
// A raised place that nobody has asked for yet.
export const isOffer = thing => Boolean(thing.isRaised) && thing.answer === "ask" && !said("answers")[thing.key];
export const isPlace = thing => thing.kind === "place" || thing.kind === "forbidden";
export const questionOf = thing => (isPlace(thing) ? 1 : 2);
export const ringOf = thing => (screen.touched === thing.id && screen.ring < thing.rings.length ? screen.ring : 0);
export const pointsOf = thing => thing.rings[ringOf(thing)];
export const stripOf = thing => { const entry = entryOf(thing.mark); return Boolean(entry && entry.side); };

// May its corners be moved. What came with the sport is first made the match's own (see `make_own.js`).
export const isShaped = thing => thing.rings.length === 1 && !(entryOf(thing.mark) || {}).around;

const ANSWERED = { yes: "you may", no: "nobody", ask: "ask" };
export function answerWords(thing) {
  if (thing.removed && thing.answer !== "no") return "left out by the rules";
  if (thing.isUnused) return "not used";
  if (thing.onto && thing.answer !== "no") return "too far in";
  if (thing.answer === "yes" && thing.isUsual && !said("answers")[thing.key]) return "usually fine";
  return ANSWERED[thing.answer];
}

export function sizeWords(thing) {
  if (thing.rings.length > 1) return `${thing.rings.length} of them`;
  const points = pointsOf(thing), [x0, y0, x1, y1] = boundsOf(points);
  if (!boxOf(points)) return `${points.length} corners`;
  return `${inUnit(Math.max(x1 - x0, y1 - y0))} by ${inUnit(Math.min(x1 - x0, y1 - y0), true)}`;
}

// What a person who listens hears of a thing.
export function thingWords(thing) {
  if (isPlace(thing)) {
    if (thing.isUnused) return `${thing.name}: a usual place that this match doesn't use`;
    const answer = { yes: "you may stand here", no: "nobody may stand here", ask: "you still have to ask" }[thing.answer];
    return `${thing.name}: ${answer}, ${sizeWords(thing)}${thing.removed ? ", left out by the competition's rules" : ""}${thing.onto ? `. It ${thing.onto}` : ""}`;
  }
  if (thing.isFaint) return `${thing.name}: not at this ground`;
  return `${thing.name}: in the way, ${sizeWords(thing)}, ${inHeight(thing.top_m)} high`;
}

// Where something is, in short: for what moves under the hand. The server finds the words of the answer.
export function roughWords(points) {
  const beside = besideOf(points), g = ground(), out = beside.out[0];
  const side = g.sides[beside.side].name;
  if (out < 0 && beside.out[1] <= 0) return "on the playing area";
  return out <= 0 ? `at the ${side}, on the line` : `${side}, ${inUnit(out, true)} from the line`;
}
