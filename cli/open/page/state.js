// What the page knows: what the server said last, and what is on screen. The page values nothing itself.

export const NARROW = matchMedia("(max-width: 47.5em)");

// From the server.
export const server = {
  catalogue: null, match: null, answer: null, advice: null, none: null, failed: null, looking: false,
  disk: null, saved: null, pages: 1, grounds: null, isStopped: false, goodbye: "", change: -1, text: "",
};

// On screen.
export const screen = {
  question: 0,
  touched: null,   // id of the thing whose fields are open
  armed: null,     // what the next tap does: {do: "add" | "move" | "corner" | "new corner" | "camera" | "mark", ...}
  first: null,     // first corner of a shape that is being added by taps
  cross: null,     // the cross that arrow keys move
  sketch: null,    // a rectangle that is being drawn: [[x, y], [x, y]]
  ring: 0,         // which piece of the thing touched, where it has several
  shapes: new Map(), // id of a thing -> {points, ring} that it has on screen until the server has them
  isDragging: false,
  period: null, camera: 0, look: null,
  opened: null,    // camera whose fields are open where there are many
  tried: new Map(), // "period camera" -> {at, worth, best, captured, lens, words} of a camera tried elsewhere
  corners: false,  // the list of corners is open
  zoom: 1, centre: null,
  find: "", isChoosingSport: false,
  faults: new Map(), // key of a field -> {typed, words}
  picture: null,
  photo: null,     // in which points of the lines are marked, to find where it was taken
  found: null,     // what a file that was brought along holds
  note: "",        // a line over everything: what could not be done
  isSaving: false,
  focus: null, focusTries: 0, // key of what gets the focus once it is drawn
  leaving: null,   // ground that somebody wants to open though changes are not saved
  knowsPages: false,
};

const drawers = [];
let isDue = false;
export const whenDrawn = drawer => drawers.push(drawer);

// Draw everything again before the next picture of the screen.
export function redraw() {
  if (isDue) return;
  isDue = true;
  requestAnimationFrame(() => { isDue = false; for (const drawer of drawers) drawer(); });
}

export const ground = () => (server.match ? server.match.ground : null);
export const said = part => (server.match && server.match.said[part]) || {};
export const entries = kind => (server.match && server.match.said[kind]) || [];
export const entryOf = mark => (mark ? entries(mark.split(":")[0]).find(entry => entry.mark === mark) : undefined);
// The sport of the match: one that comes with the program, or one of the person's own files.
export const ownSports = () => server.match?.own_sports || [];
export function sportNow() {
  const file = said("match").sport_file;
  if (!server.catalogue || !ground()) return null;
  return file ? ownSports().find(s => s.file === file) : server.catalogue.sports.find(s => s.key === ground().sport);
}
export const hasSport = () => Boolean(ground());
export const isStale = () => server.looking || (server.answer !== null && server.answer.change !== server.change);

export const periods = () => (server.match && server.match.periods) || [];
export function periodNow() {
  const all = periods();
  return (all.find(p => p.key === screen.period) || all[0] || { key: "" }).key;
}
