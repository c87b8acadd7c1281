// The corners of a shape as a list, each with two numbers: "12 m toward the mill end, 37 m toward the road side".
import { h, say } from "./dom.js";
import { ground, redraw, screen } from "./state.js";
import { button, choice, number } from "./fields.js";
import { reshape } from "./edits.js";
import { areaBounds, middleOf, nearestEdge } from "./shapes.js";
import { pointsOf } from "./things.js";
import { metres, shown, unit } from "./units.js";

export function cornersForm(thing) {
  const points = pointsOf(thing), least = thing.isLine ? 2 : 3, area = areaBounds(), middle = middleOf([[area[0], area[1]], [area[2], area[3]]]);
  const put = (index, axis, value) => reshape(thing, points.map((p, i) => (i === index ? p.map((v, k) => (k === axis ? value : v)) : p)), "stretch");
  const one = (index, axis) => {
    const off = points[index][axis] - middle[axis], id = `corner ${index} ${axis} ${thing.id}`, sides = axis === 0 ? ["+x", "-x"] : ["+y", "-y"], way = off >= 0 ? 1 : -1;
    return h("span", { class: "v", key: id }, number(id, shown(Math.abs(off)), v => put(index, axis, middle[axis] + way * metres(v)), { low: 0, label: `Corner ${index + 1}, ${unit()} toward` }), `${unit()} to`,
      choice(`${id} way`, way > 0 ? sides[0] : sides[1], sides.map(side => [side, ground().sides[side].name]),
        side => put(index, axis, middle[axis] + (side[0] === "+" ? 1 : -1) * Math.abs(off)), { "aria-label": `Corner ${index + 1}, toward which side` }));
  };
  return h("ol", { class: "corners", key: "corners" }, points.map((_, i) => h("li", { key: `corner ${i}` }, h("b", {}, i + 1), h("span", { class: "two-rows" }, one(i, 0), one(i, 1)),
    button("\u00d7", () => { reshape(thing, points.filter((p, k) => k !== i), "stretch"); say("Corner taken away."); }, { key: `less ${i}`, disabled: points.length <= least, "aria-label": `Take corner ${i + 1} away` }))),
  h("li", { key: "more" }, button("Add a corner here", () => {
    const edge = nearestEdge(longest(points), points, thing.isLine), mid = middleOf([points[edge], points[(edge + 1) % points.length]]);
    reshape(thing, [...points.slice(0, edge + 1), mid, ...points.slice(edge + 1)], "stretch");
    screen.focus = `corner ${edge + 1} 0 ${thing.id}`;
    redraw();
  }, { key: "corner here" })));
}

// The middle of the longest edge: where a new corner is most likely wanted.
function longest(points) {
  let best = points[0], least = -1;
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length], long = Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (long > least) { least = long; best = middleOf([p, q]); }
  });
  return best;
}
