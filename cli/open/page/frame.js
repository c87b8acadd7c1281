// What the lens sees from where a camera stands: the ground, what is in the way, and people, in greys.
import { byId, h, render } from "./dom.js";
import { screen, server, ground } from "./state.js";
import { busiestCell, cameraNow, DASHES, HUES, kit, nearestCell, ringAt, ringsNow } from "./plan.js";
import { about } from "./words.js";
import { inUnit } from "./units.js";

const NEAR_M = 0.05, GOLDEN = Math.PI * (3 - Math.sqrt(5)), ARM_M = 0.9, ASIDE_M = 0.8, WIDTH = 640, FAR = 1e5;
const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
const fixed = value => (Math.round(clamp(value, -FAR, FAR) * 10) / 10).toString();

// ---- projection: the same as of the sheet

function viewFrom(lens, at, focal_mm, camera) {
  const away = at.map((v, i) => v - lens[i]), pan = Math.atan2(away[1], away[0]), tilt = Math.atan2(away[2], Math.hypot(away[0], away[1]));
  const [sp, cp, st, ct] = [Math.sin(pan), Math.cos(pan), Math.sin(tilt), Math.cos(tilt)];
  const height = WIDTH * camera.px[1] / camera.px[0];
  return {
    lens, tilt, width: WIDTH, height, axes: [[sp, -cp, 0], [st * cp, st * sp, -ct], [ct * cp, ct * sp, st]],
    perTan: [focal_mm * WIDTH / camera.mm[0], focal_mm * height / camera.mm[1]],
  };
}
const dot3 = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
function seen(view, p) {
  const away = [p[0] - view.lens[0], p[1] - view.lens[1], p[2] - view.lens[2]];
  return view.axes.map(axis => dot3(axis, away));
}
const onPicture = (view, s) => [view.width / 2 + view.perTan[0] * s[0] / s[2], view.height / 2 + view.perTan[1] * s[1] / s[2]];
function atNear(a, b) {
  const part = (NEAR_M - a[2]) / (b[2] - a[2]);
  return a.map((v, i) => v + part * (b[i] - v));
}

// A path on the picture; what lies behind the lens is cut off.
function outline(view, points, isLine) {
  const s = points.map(p => seen(view, p)), end = isLine ? "" : "Z";
  const path = run => "M" + run.map(p => onPicture(view, p).map(fixed).join(" ")).join("L") + end;
  if (s.every(p => p[2] >= NEAR_M)) return path(s);
  const runs = [[]];
  for (let i = 0; i < s.length; i++) {
    const before = s[i ? i - 1 : s.length - 1], run = () => runs[runs.length - 1];
    if ((i || !isLine) && (before[2] >= NEAR_M) !== (s[i][2] >= NEAR_M)) run().push(atNear(before, s[i]));
    if (s[i][2] >= NEAR_M) run().push(s[i]);
    else if (isLine && run().length) runs.push([]);
  }
  return runs.filter(run => run.length > 1).map(path).join("");
}

// ---- people: one where the lens looks, others round, none right in front

function people(frame, moment, at, lens) {
  const places = [], inPlay = moment.isPlay ? 2 * frame.players : 0, wanted = Math.round(moment.crowd * Math.PI * moment.radius ** 2);
  const near = Math.min(wanted, moment.isPlay ? Math.max(inPlay - 1, 0) : 40);
  for (let i = 0; i < near; i++) {
    const away = Math.max(moment.radius * Math.sqrt((i + 0.5) / near), ARM_M), turn = i * GOLDEN + 1;
    places.push([at[0] + away * Math.cos(turn), at[1] + away * Math.sin(turn)]);
  }
  const rest = Math.max(inPlay - 1 - near, 0), spread = [];
  if (rest === 1) spread.push([2 * frame.middle[0] - at[0], 2 * frame.middle[1] - at[1]]);
  for (let i = 0; i < frame.rest.length; i += 2) spread.push([frame.rest[i], frame.rest[i + 1]]);
  const apart = spread.filter(p => Math.hypot(p[0] - at[0], p[1] - at[1]) > moment.radius).slice(0, rest);
  return [at, ...[...places, ...apart].map(p => stepAside(p, at, lens))];
}

function stepAside(p, at, lens) {
  const run = Math.hypot(at[0] - lens[0], at[1] - lens[1]);
  if (!run) return p;
  const ahead = [(at[0] - lens[0]) / run, (at[1] - lens[1]) / run], left = [-ahead[1], ahead[0]], away = [p[0] - lens[0], p[1] - lens[1]];
  const along = away[0] * ahead[0] + away[1] * ahead[1], off = away[0] * left[0] + away[1] * left[1];
  if (along <= 0 || along >= run || Math.abs(off) >= ASIDE_M) return p;
  const by = (off < 0 ? -ASIDE_M : ASIDE_M) - off;
  return [p[0] + by * left[0], p[1] + by * left[1]];
}

// ---- the picture

const unfolded = new WeakMap();
function pieces(list) {
  if (!unfolded.has(list)) {
    unfolded.set(list, list.map(([style, isLine, flat]) => {
      const points = [];
      for (let i = 0; i < flat.length; i += 3) points.push([flat[i], flat[i + 1], flat[i + 2]]);
      return { style, isLine, points };
    }));
  }
  return unfolded.get(list);
}

// Where the lens looks, and what happens there most.
function lookedAt(camera) {
  const rings = ringsNow();
  if (!rings) return null;
  const cell = screen.look ? nearestCell(rings, screen.look) : busiestCell(rings, camera);
  return { at: screen.look || ringAt(rings, cell), kind: rings.moment[cell] };
}

export function drawFrame() {
  const box = byId("frame-box"), svg = byId("frame");
  const camera = screen.camera < kit().length ? screen.camera : 0, now = ground() && cameraNow(camera), frame = server.answer?.frame;
  const look = now && frame && now.mm ? lookedAt(camera) : null;
  box.hidden = !look;
  if (!look) return;
  const { at, kind } = look, moment = frame.moments[kind], middle = [...at, moment.middle], lens = now.at;
  const distance_m = Math.hypot(...middle.map((v, i) => v - lens[i]));
  const focal_mm = clamp(distance_m / now.reach[kind], ...now.lens_mm), view = viewFrom(lens, middle, focal_mm, now), { width, height } = view;
  const level = clamp(height / 2 + view.perTan[1] * Math.tan(view.tilt), 0, height), right = view.axes[0], wide = Math.hypot(right[0], right[1]);
  const figures = people(frame, moment, at, lens).map((p, i) => {
    const points = [];
    for (let k = 0; k < frame.figure.length; k += 2) {
      const out = frame.figure[k] * moment.subject / wide, up = frame.figure[k + 1] * moment.subject;
      points.push([p[0] + out * right[0], p[1] + out * right[1], up]);
    }
    return { style: i ? `side-${i % 2}` : "subject", isLine: 0, points };
  });
  const standing = [...pieces(frame.scene.standing), ...figures]
    .map(piece => ({ ...piece, depth: piece.points.reduce((sum, p) => sum + seen(view, p)[2], 0) / piece.points.length }))
    .sort((a, b) => b.depth - a.depth);
  const paint = piece => {
    const d = outline(view, piece.points, piece.isLine);
    return d && h("path", { class: piece.isLine ? `${piece.style} wire` : piece.style, d });
  };
  const share = moment.subject * focal_mm / distance_m / now.mm[1], name = kit()[camera].name;
  const words = `${moment.name}: ${Math.round(focal_mm)}\u00a0mm, ${inUnit(Math.round(distance_m))} away. A player standing there fills ${share > 1 ? "more than all" : about(share)} of the picture's height.`;
  svg.setAttribute("viewBox", `0 0 ${width} ${fixed(height)}`);
  svg.setAttribute("aria-label", `What camera ${name} sees. ${words}`);
  render(svg,
    h("path", { class: frame.scene.behind, d: `M0 0H${width}V${fixed(height)}H0Z` }),
    h("path", { class: "land", d: `M0 ${fixed(level)}H${width}V${fixed(height)}H0Z` }),
    pieces(frame.scene.lying).map(paint), standing.map(paint),
    h("path", { class: `edge line-${HUES[camera]}`, "stroke-dasharray": DASHES[camera], d: `M1.5 1.5H${width - 1.5}V${fixed(height - 1.5)}H1.5Z` }),
    h("circle", { class: `fill-${HUES[camera]}`, cx: 24, cy: 24, r: 13 }),
    h("text", { class: `letter on-${HUES[camera]}`, x: 24, y: 29.5, "text-anchor": "middle" }, name));
  render(byId("frame-words"), words);
}
