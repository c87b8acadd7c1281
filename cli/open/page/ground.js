// The picture of the ground, from bottom to top. What a person says is grey; only the answer has a hue.
import { byId, h, render } from "./dom.js";
import { ground, periodNow, screen, server } from "./state.js";
import { layOut, pathOf, px, sideAt, view, isBig } from "./view.js";
import { isShown, things } from "./things.js";
import { areaBounds, boundsOf } from "./shapes.js";
import { bestCamera, cameraNow, DASHES, HUES, kit, ringsNow, triedOf, walkOf } from "./plan.js";
import { handleMarks, outlineMark, sketchMarks, thingMarks } from "./marks.js";
import { pictureMark, pictureMarks } from "./picture.js";
import { photoPoints } from "./photo.js";
import { metres, unit } from "./units.js";

export function drawGround() {
  const svg = byId("ground"), stage = byId("stage");
  stage.hidden = !ground();
  if (!ground()) { render(svg); return; }
  const list = things();
  layOut(Math.max(280, stage.clientWidth || 600), list);
  svg.setAttribute("viewBox", `0 0 ${view.width} ${view.height}`);
  svg.setAttribute("height", view.height);
  render(svg,
    definitions(),
    h("rect", { class: "bare", width: view.width, height: view.height }),
    pictureMark(), area(), rings(), kit().map((_, i) => pan(i)),
    [...list].filter(isShown).sort(bySize).map(thing => thingMarks(thing)), outlineMark(), kit().map((_, i) => walkMark(i)), spare(),
    kit().map((camera, i) => cameraMark(camera, i)), lookMark(), handleMarks(), sketchMarks(), pictureMarks(), photoPoints(), labels());
}

const TICK = 0.07; // of the width of the ground: how far a zone's edge reaches in

// Small things lie over large ones, and what is not there under everything: the hand finds the smallest.
function bySize(a, b) {
  const size = thing => { const [x0, y0, x1, y1] = boundsOf(thing.rings.flat()); return (thing.isFaint ? 1e9 : 0) + (x1 - x0) * (y1 - y0) / thing.rings.length; };
  return size(b) - size(a);
}

const definitions = () => h("defs", { key: "defs" },
  h("pattern", { id: "keep-clear", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, h("path", { class: "clear-line", d: "M0 0V7" })),
  h("pattern", { id: "nobody", width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, h("path", { class: "nobody-line", d: "M0 0V6M0 0H6" })));

function area() {
  const drawing = ground().drawing, clear = drawing.keep_clear.flatMap(place => place.rings);
  return h("g", { key: "area", "aria-hidden": "true" },
    h("path", { class: "keep-clear", d: clear.map(ring => pathOf(ring, true)).join("") }),
    h("path", { class: screen.picture ? "turf over-picture" : "turf", d: pathOf(drawing.outline, true) }),
    h("path", { class: "chalk", d: drawing.lines.map(line => pathOf(line.points, false)).join("") + pathOf(drawing.outline, true) }),
    h("path", { class: "spot", d: drawing.spots.map(spot => discPath(view.toScreen(spot.at), Math.max(1.2, 0.2 * view.scale))).join("") }),
    h("path", { class: "goal", d: drawing.targets.flatMap(target => target.points).map(line => pathOf(line, false)).join("") }));
}

const discPath = ([x, y], r) => `M${px(x - r)} ${px(y)}a${px(r)} ${px(r)} 0 1 0 ${px(2 * r)} 0a${px(r)} ${px(r)} 0 1 0 ${px(-2 * r)} 0z`;

// Bars in the rings of each camera: half their way across and down, as shares of the filled part.
const [ACROSS, DOWN, RISING, FALLING] = [[0.75, 0], [0, 0.75], [0.55, -0.55], [0.55, 0.55]];
const BARS = [[], [ACROSS], [DOWN], [ACROSS, DOWN], [RISING], [FALLING], [RISING, FALLING], [ACROSS, DOWN, RISING, FALLING]];

// Area of the ring: how much happens there. Filled share: how much of it is captured. Hue and bar: by whom.
function rings() {
  const found = ringsNow();
  if (!found) return null;
  const most = 0.5 * found.step_m * view.scale, outlines = [], fills = HUES.map(() => ""), bars = HUES.map(() => "");
  for (let i = 0; i < found.amount.length; i++) {
    const r = most * Math.sqrt(found.amount[i] / 255);
    if (r < 1.2) continue;
    const at = view.toScreen([found.xy[2 * i], found.xy[2 * i + 1]]), who = bestCamera(found, i);
    const inner = r * Math.sqrt(found.captured[who][i] / 255), [x, y] = at;
    outlines.push(discPath(at, r));
    if (inner > 0.4) fills[who] += discPath(at, inner);
    if (inner > 2.5) bars[who] += BARS[who].map(([dx, dy]) => `M${px(x - dx * inner)} ${px(y - dy * inner)}l${px(2 * dx * inner)} ${px(2 * dy * inner)}`).join("");
  }
  const isOld = server.looking || server.answer.change !== server.change;
  return h("g", { key: "rings", class: `rings${isOld ? " old" : ""}${screen.picture && screen.question === 0 ? " back" : ""}`, "aria-hidden": "true" },
    h("path", { class: "ring", d: outlines.join("") }),
    fills.map((d, i) => h("path", { class: `fill-${HUES[i]}`, d })), bars.map(d => h("path", { class: "bar-line", d })));
}

function pan(camera) {
  const now = cameraNow(camera);
  if (!now || !now.pan_deg) return null;
  const reach = 0.6 * Math.max(ground().length_m, ground().width_m), [x, y] = now.at;
  const ends = now.pan_deg.map(deg => [x + reach * Math.cos(deg * Math.PI / 180), y + reach * Math.sin(deg * Math.PI / 180)]);
  return h("path", { class: `pan line-${HUES[camera]}`, "stroke-dasharray": DASHES[camera], d: pathOf([ends[0], [x, y], ends[1]], false), "aria-hidden": "true" });
}

// A walk with play, as on paper: numbered stations, the ways between them, and the zones of the ball along one side.
function walkMark(camera) {
  const walk = triedOf(camera) ? null : walkOf(camera), hue = HUES[camera];
  if (!walk) return null;
  const [, low, , high] = areaBounds(), tick = low + TICK * (high - low);
  return h("g", { key: `walk ${camera}`, "aria-hidden": "true" },
    h("path", { class: `ways line-${hue}`, d: walk.ways.map(way => pathOf(way, false)).join("") }),
    h("path", { class: `pan line-${hue}`, d: walk.zones.flatMap(zone => zone.span).map(x => pathOf([[x, low], [x, tick]], false)).join("") }),
    walk.zones.map(({ number, span: [a, b] }) => {
      const [x, y] = view.toScreen([(a + b) / 2, (low + tick) / 2]);
      return h("text", { class: "side small strong", x: px(x), y: px(y + 4), "text-anchor": "middle" }, `ball: ${number}`);
    }),
    [...walk.stations].reverse().map(({ number, at }) => {
      const [x, y] = view.toScreen(at);
      return [h("circle", { class: `body fill-${hue}`, cx: px(x), cy: px(y), r: 9 }), h("text", { class: `station-number on-${hue}`, x: px(x), y: px(y + 4.5), "text-anchor": "middle" }, number)];
    }));
}

function spare() {
  if (screen.isDragging || !server.answer) return null; // advice may outlive its answer while another ground is opened
  return (server.advice?.cameras || []).map((camera, i) => {
    const spot = camera.spares?.[spareIndex(i)];
    if (!spot || !HUES[i]) return null;
    const [x, y] = view.toScreen(spot.at);
    return h("g", { key: `spare ${i}`, "aria-hidden": "true" },
      h("circle", { class: `spare line-${HUES[i]}`, cx: px(x), cy: px(y), r: 9.5 }),
      h("text", { class: "spare-letter", x: px(x), y: px(y + 4), "text-anchor": "middle" }, camera.name));
  });
}

// The stay of a camera that the period on screen belongs to.
const spareIndex = camera => Math.max(0, server.answer.cameras[camera]?.stays.findIndex(stay => stay.periods.includes(periodNow())) ?? 0);

function cameraMark(camera, i) {
  const now = cameraNow(i);
  if (!now) return null;
  const [x, y] = view.toScreen(now.at).map(px), isArmed = screen.armed?.do === "camera" && screen.armed.camera === i;
  return h("g", { key: `camera ${i}`, class: "grab", "data-camera": i, tabindex: 0, role: "button", "aria-label": `Camera ${camera.name}: ${now.where}. Arrow keys move it.` },
    h("circle", { class: "hit", cx: x, cy: y, r: view.small ? 22 : 17 }),
    h("circle", { class: `body fill-${HUES[i]}`, cx: x, cy: y, r: 14 }),
    isArmed || now.isTried ? h("circle", { class: isArmed ? "armed" : "armed tried", cx: x, cy: y, r: 18.5 }) : null,
    h("text", { class: `letter on-${HUES[i]}`, x, y: px(+y + 5.5), "text-anchor": "middle" }, camera.name));
}

function lookMark() {
  if (!screen.look) return null;
  const [x, y] = view.toScreen(screen.look), d = `M${px(x - 8)} ${px(y)}h16M${px(x)} ${px(y - 8)}v16`;
  return h("g", { key: "look", "aria-hidden": "true" }, h("path", { class: "look-under", d }), h("path", { class: "look", d }));
}

// ---- names of the sides, who attacks which end, scale and north

function labels() {
  if (screen.zoom > 1) return null;
  const g = ground(), { width, height } = view, name = where => g.sides[sideAt(where)].name;
  const benches = where => (["both", sideAt(where)].includes(g.benches) && !/bench|dugout/i.test(name(where)) ? " (benches)" : "");
  return h("g", { key: "labels" },
    sideName("bottom", width / 2, height - 8, fitted(name("bottom"), width - 190) + benches("bottom")), topName(name("top") + (g.benches === "both" ? benches("top") : "")),
    sideName("left", 15, height / 2, fitted(name("left"), height - 40), -90), sideName("right", width - 7, height / 2, fitted(name("right"), height - 90), -90),
    attackMark(), scaleMark(), northMark());
}

const LETTER_PX = 7.8;
const fitted = (words, room) => (words.length * LETTER_PX <= room ? words : `${words.slice(0, Math.max(4, Math.floor(room / LETTER_PX) - 1)).trim()}\u2026`);

// The name at the top makes room for the words beside the arrow.
function topName(words) {
  const { width } = view, side = server.answer ? attackSide() : null, isBeside = side === "left" || side === "right";
  const taken = isBeside ? 54 + LETTER_PX * attackWords().length : 0, half = LETTER_PX * words.length / 2;
  if (taken + half <= width / 2) return sideName("top", width / 2, 16, words);
  const room = width - taken - 8, middle = taken + room / 2;
  return sideName("top", side === "left" ? middle : width - middle, 16, fitted(words, room));
}

function sideName(where, x, y, words, turn = 0) {
  const half = Math.max(24, 4 * words.length), at = turn ? [x - 17, y - half, 24, 2 * half] : [x - half, y - 18, 2 * half, 26];
  return h("g", { key: `side ${where}`, class: "side-name", "data-side": sideAt(where) },
    h("rect", { class: "hit", x: at[0], y: at[1], width: at[2], height: at[3] }),
    h("text", { x, y, "text-anchor": "middle", transform: turn ? `rotate(${turn} ${x} ${y})` : null }, words));
}

// The end that the side we film attacks in the period on screen; null before anybody knows.
function attack() {
  const first = server.match.said.match.first_attack, list = server.match.periods || [], at = list.findIndex(p => p.key === (screen.period || list[0]?.key));
  const named = list[Math.max(0, at)]?.attack;
  if (named !== undefined) return named;
  if (first === "unknown") return null;
  return at > 0 ? null : first || "+x";
}
const attackSide = () => ground().sides[attack()]?.at;

const attackWords = () => (server.match.said.match.cover === "ours" ? "we attack this end" : "side A attacks this end");

function attackMark() {
  const where = server.answer ? attackSide() : null;
  if (where !== "left" && where !== "right") return null;
  const way = where === "right" ? 1 : -1, x = way > 0 ? view.width - 8 : 8;
  return h("g", { key: "attack" },
    h("path", { class: "arrow", d: `M${x - way * 30} 11h${way * 30}m${-way * 8} -6l${way * 8} 6l${-way * 8} 6` }),
    h("text", { class: "strong", x: x - way * 38, y: 16, "text-anchor": way > 0 ? "end" : "start" }, attackWords()));
}

function scaleMark() {
  const step = unit() === "ft" ? (isBig() ? 50 : 10) : isBig() ? 20 : 5, length_m = metres(step), bar = length_m * view.scale, y = view.height - 10;
  return h("g", { key: "scale" },
    h("path", { class: "arrow thin", d: `M8 ${y}h${px(bar)}m0 -4v8m${px(-bar)} 0v-8` }),
    h("text", { class: "small", x: px(14 + bar), y: y + 4 }, `${step}\u00a0${unit()}`));
}

function northMark() {
  const g = ground();
  if (g.latitude === null || g.bearing_deg === null || g.bearing_deg === undefined) return null;
  const turn = g.bearing_deg * Math.PI / 180, north = [Math.cos(turn), Math.sin(turn)];
  const nx = north[0] * view.right[0] + north[1] * view.right[1], ny = -(north[0] * view.up[0] + north[1] * view.up[1]);
  const cx = view.width - 20, cy = view.height - 17;
  return h("g", { key: "north", role: "img", "aria-label": "North arrow" },
    h("path", { class: "arrow", d: `M${px(cx - nx * 11)} ${px(cy - ny * 11)}L${px(cx + nx * 11)} ${px(cy + ny * 11)}` }),
    h("circle", { class: "dot", cx: px(cx + nx * 11), cy: px(cy + ny * 11), r: 3.2 }),
    h("text", { class: "small strong", x: px(cx + nx * 11 - 12), y: px(cy + ny * 11 + 4), "text-anchor": "middle" }, "N"));
}
