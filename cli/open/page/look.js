// Where the lens looks, by a choice in words and four arrows: for who doesn't tap the ground.
import { byId, h, render } from "./dom.js";
import { ground, redraw, screen } from "./state.js";
import { choice, button } from "./fields.js";
import { lookAt } from "./hands.js";
import { areaBounds, middleOf } from "./shapes.js";
import { kit } from "./plan.js";
import { turnNow, stepOf } from "./view.js";
import { capital } from "./words.js";

// Landmarks of the ground by name: what sides score at, marks, the middle.
function landmarks() {
  const { drawing, sides } = ground(), area = areaBounds(), middle = middleOf([[area[0], area[1]], [area[2], area[3]]]), found = new Map();
  const add = (name, at) => {
    const side = Math.abs(at[0] - middle[0]) > 1 ? (at[0] > middle[0] ? "+x" : "-x") : Math.abs(at[1] - middle[1]) > 1 ? (at[1] > middle[1] ? "+y" : "-y") : null;
    const plain = capital(name.replace(/ \([^)]*\)$/, "")), words = side ? `${plain}, ${sides[side].name}` : plain;
    if (!found.has(words) && found.size < 14) found.set(words, at);
  };
  for (const target of drawing.targets) add(target.name, middleOf(target.points.flat()));
  for (const spot of drawing.spots) add(spot.name, spot.at);
  add("the middle", middle);
  return found;
}

export function drawLook() {
  if (!ground() || byId("frame-box").hidden) return;
  const list = landmarks(), same = screen.look && [...list].find(([, at]) => Math.hypot(at[0] - screen.look[0], at[1] - screen.look[1]) < 0.01);
  const options = [["", "Where most happens"], ...(screen.look && !same ? [["own", "Where you tapped"]] : []), ...[...list.keys()].map(words => [words, words])];
  const { right, up } = turnNow(), step = stepOf().coarse, by = way => () => {
    const from = screen.look || [...list.values()].at(-1);
    lookAt(from.map((v, i) => v + step * way[i]));
  };
  const arrow = (sign, words, way) => button(sign, by(way), { key: `look ${words}`, "aria-label": `Look farther ${words}` });
  const cameras = kit(), now = screen.camera < cameras.length ? screen.camera : 0;
  render(byId("look"), cameras.length > 1 ? h("span", { class: "v", key: "from" }, h("label", { for: "look-from" }, "Through"),
    choice("look-from", now, cameras.map((camera, i) => [i, `camera ${camera.name}`]), i => { screen.camera = Number(i); redraw(); })) : null,
  h("label", { for: "look-at" }, "Look at"),
    choice("look-at", same ? same[0] : screen.look ? "own" : "", options, words => { if (list.has(words)) lookAt(list.get(words)); else { screen.look = null; redraw(); } }),
    h("span", { class: "v", key: "arrows" }, arrow("\u2190", "left", right.map(v => -v)), arrow("\u2191", "up", up), arrow("\u2193", "down", up.map(v => -v)), arrow("\u2192", "right", right)));
}
