// The compass rose round the ground: turned by pointer, taps, keys, two buttons or a number.
import { byId, h } from "./dom.js";
import { ground, said, redraw } from "./state.js";
import { change, put } from "./talk.js";
import { button, number } from "./fields.js";
import { turnNow } from "./view.js";
import { direction } from "./words.js";

const R = 74, C = 92, DEG = 180 / Math.PI;
let turnedTo = null; // bearing under the hand, until it is sent

const bearing = () => turnedTo ?? said("venue").bearing_deg ?? ground().bearing_deg ?? 0;
const whole = deg => ((Math.round(deg) % 360) + 360) % 360;

// Where +x points on the screen, in degrees clockwise from up.
function screenWay() {
  const { right, up } = turnNow();
  return Math.atan2(right[0], up[0]) * DEG;
}
const northWay = () => screenWay() - bearing();

export function rose() {
  const g = ground(), north = northWay(), at = (deg, r) => [C + r * Math.sin(deg / DEG), C - r * Math.cos(deg / DEG)].map(v => v.toFixed(1));
  const isAcross = Math.abs(turnNow().right[0]) === 1, [long, wide] = isAcross ? [g.length_m, g.width_m] : [g.width_m, g.length_m], scale = 88 / Math.max(long, wide);
  const ticks = Array.from({ length: 72 }, (_, i) => `M${at(north + 5 * i, R + 6).join(" ")}L${at(north + 5 * i, R + 6 - (i % 18 ? 3 : 9)).join(" ")}`).join("");
  const [nx, ny] = at(north, R), plusX = g.sides["+x"].name;
  return h("div", { class: "rose" },
    h("svg", {
      id: "rose", key: "rose", class: "grab", width: 184, height: 184, viewBox: "0 0 184 184", role: "slider", tabindex: 0, "aria-labelledby": "rose-label", "aria-valuemin": 0, "aria-valuemax": 359,
      "aria-valuenow": whole(bearing()), "aria-valuetext": `The ${plusX} lies ${direction(whole(bearing()))}, ${whole(bearing())} degrees`,
      onpointerdown: press, onpointermove: turn, onpointerup: letGo, onpointercancel: () => { turnedTo = null; redraw(); }, onkeydown: key,
    },
    h("circle", { class: "rose-plate", cx: C, cy: C, r: R + 8 }),
    h("rect", { class: "rose-turf", x: C - long * scale / 2, y: C - wide * scale / 2, width: long * scale, height: wide * scale }),
    h("path", { class: "rose-ticks", d: ticks }),
    h("circle", { class: "rose-north", cx: nx, cy: ny, r: 13 }), h("text", { class: "rose-letter", x: nx, y: Number(ny) + 5, "text-anchor": "middle" }, "N")),
    h("div", { class: "rose-side" }, h("label", { for: "bearing" }, "The ", h("bdi", {}, plusX), " lies at"),
      h("span", { class: "v" }, number("bearing", whole(bearing()), value => sendBearing(value), { step: 1 }), "\u00b0"),
      h("span", { class: "acts" }, button("\u22125", () => sendBearing(bearing() - 5), { key: "rose back", "aria-label": "Turn 5 degrees back" }), button("+5", () => sendBearing(bearing() + 5), { key: "rose on", "aria-label": "Turn 5 degrees on" }))));
}

function sendBearing(deg, more = false) {
  return change("where north is", [put("venue", "bearing_deg", whole(deg))], { more, field: "bearing" }).then(done => { turnedTo = null; redraw(); return done; });
}

function press(event) {
  if (event.button) return;
  byId("rose").setPointerCapture(event.pointerId);
  follow(event);
}
function turn(event) {
  if (byId("rose").hasPointerCapture(event.pointerId)) follow(event);
}
function follow(event) {
  const box = byId("rose").getBoundingClientRect();
  const north = Math.atan2(event.clientX - box.left - box.width / 2, -(event.clientY - box.top - box.height / 2)) * DEG;
  turnedTo = whole(screenWay() - north);
  redraw();
}
const letGo = () => { if (turnedTo !== null) sendBearing(turnedTo); };

let roseTimer = 0, lastKey = -1e9;
function key(event) {
  const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageUp: 15, PageDown: -15 }[event.key];
  if (!by) return;
  event.preventDefault();
  turnedTo = whole(bearing() + by * (event.shiftKey ? 10 : 1));
  redraw();
  clearTimeout(roseTimer);
  roseTimer = setTimeout(() => { const more = performance.now() - lastKey < 1000; lastKey = performance.now(); sendBearing(turnedTo, more); }, 250);
}
