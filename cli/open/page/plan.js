// The newest answer of the server, looked up: where each camera stands in a period, what each ring has captured.
import { server, screen, periodNow } from "./state.js";

// As on paper: a hue, a dash and, in the rings, a bar for each camera; the last four have the same hues darker or lighter.
export const HUES = [..."abcdefgh"];
export const DASHES = [null, "9 5", "11 4 2 4", "2 4", "18 4", "5 3", "11 3 2 3 2 3", "2 7"];
export const kit = () => (server.match && server.match.kit) || [];
export const triedKey = camera => `${periodNow()} ${kit()[camera]?.name}`;
export const triedOf = camera => screen.tried.get(triedKey(camera));

export const stayOf = (camera, period = periodNow()) =>
  server.answer?.cameras[camera]?.stays.find(stay => stay.periods.includes(period));

// How a camera walks with play in a period; null where it stands.
export const walkOf = (camera, period = periodNow()) =>
  server.answer?.walks.find(walk => walk.camera === camera)?.scenes.find(scene => scene.periods.includes(period)) || null;

// A camera as it stands on screen: where the plan has it, or where it is tried.
export function cameraNow(camera) {
  const stay = stayOf(camera);
  if (!stay) return null;
  const tried = triedOf(camera);
  if (!tried) return { ...stay, isTried: false };
  return { ...stay, at: tried.at, lens: tried.lens || stay.lens, lens_mm: tried.focal_mm || stay.lens_mm, where: tried.words, name: null, pan_deg: null, isTried: true };
}

export const periodOf = () => server.answer?.periods.find(period => period.key === periodNow());

const unpacked = new Map();
function bytes(text) {
  if (!unpacked.has(text)) {
    if (unpacked.size > 60) unpacked.clear();
    unpacked.set(text, Uint8Array.from(atob(text), letter => letter.charCodeAt(0)));
  }
  return unpacked.get(text);
}

// Rings of the period on screen: where, how much happens there, how much of it is captured and by which camera.
export function ringsNow() {
  const rings = server.answer?.rings;
  const stretch = rings?.stretches.find(part => part.periods.includes(periodNow()));
  if (!stretch) return null;
  const captured = stretch.captured.map((text, camera) => bytes(triedOf(camera)?.captured || text));
  return { step_m: rings.step_m, xy: stretch.xy, amount: bytes(stretch.amount), moment: bytes(stretch.moment), captured };
}

export function bestCamera(rings, cell) {
  let best = 0;
  for (let camera = 1; camera < rings.captured.length; camera++) {
    if (rings.captured[camera][cell] > rings.captured[best][cell]) best = camera;
  }
  return best;
}

export function nearestCell(rings, [x, y]) {
  let best = -1, least = Infinity;
  for (let i = 0; i < rings.amount.length; i++) {
    if (!rings.amount[i]) continue;
    const away = (rings.xy[2 * i] - x) ** 2 + (rings.xy[2 * i + 1] - y) ** 2;
    if (away < least) { least = away; best = i; }
  }
  return best;
}

// The ring that one looks at when nobody said where: the one of which a camera gets most.
export function busiestCell(rings, camera) {
  let best = -1, most = -1;
  for (let i = 0; i < rings.amount.length; i++) {
    const own = bestCamera(rings, i) === camera ? 1 : 1e-3, worth = own * rings.amount[i] * rings.captured[camera][i];
    if (worth > most) { most = worth; best = i; }
  }
  return best;
}
export const ringAt = (rings, cell) => [rings.xy[2 * cell], rings.xy[2 * cell + 1]];
