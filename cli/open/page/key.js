// What the marks on the ground mean: only those that are on it.
import { byId, h, render } from "./dom.js";
import { ground, server } from "./state.js";
import { isPlace, things } from "./things.js";

const MARKS = {
  station: [h("circle", { class: "fill-a", cx: 9, cy: 9, r: 7.5 }), h("text", { class: "station-number on-a", x: 9, y: 13, "text-anchor": "middle" }, "1")],
  ring: [h("circle", { class: "ring", cx: 9, cy: 9, r: 7.5 }), h("circle", { class: "fill-a", cx: 9, cy: 9, r: 5.5 })],
  yes: [h("rect", { class: "place yes", x: 1.5, y: 5, width: 15, height: 8 })],
  ask: [h("rect", { class: "place ask", x: 1.5, y: 5, width: 15, height: 8 })],
  no: [h("rect", { class: "place no", x: 1.5, y: 5, width: 15, height: 8 })],
  block: [h("rect", { class: "block", x: 1, y: 5, width: 16, height: 8 })],
  clear: [h("path", { class: "clear-line strong-line", d: "M1 13l8-8m-3 9l8-8m-2 9l5-5" })],
};

export function drawKey() {
  if (!ground()) return render(byId("key"));
  const list = things(), has = answer => list.some(thing => isPlace(thing) && thing.answer === answer);
  const shown = [
    server.answer?.walks.length && ["station", "while the ball is in zone 1, stand at 1"], server.answer && ["ring", "ring: happens; fill: you get it"], has("yes") && ["yes", "you may"], has("ask") && ["ask", "ask"], has("no") && ["no", "nobody"],
    list.some(thing => !isPlace(thing) && !thing.isFaint) && ["block", "in the way"], ground().drawing.keep_clear.length > 0 && ["clear", "keep clear"],
  ].filter(Boolean);
  return render(byId("key"), shown.map(([mark, words]) => h("li", { key: mark }, h("svg", { viewBox: "0 0 18 18", width: 17, height: 17, "aria-hidden": "true" }, MARKS[mark]), words)));
}
