// The ground to scale, as seen from the benches: from metres to the screen and back.
import { ground, screen } from "./state.js";
import { boundsOf } from "./shapes.js";
import { PER_M, unit } from "./units.js";
import { isShown } from "./things.js";

const WAYS = { "+x": [1, 0], "-x": [-1, 0], "+y": [0, 1], "-y": [0, -1] };
const EDGE_PX = { across: 27, top: 29, bottom: 28 };

// The side that stands at a place of the screen: "top", "right", "bottom", "left".
export const sideAt = where => Object.keys(ground().sides).find(side => ground().sides[side].at === where);

// Which way right and up of the screen point on the ground.
export function turnNow() {
  const right = WAYS[sideAt("right")] || [1, 0];
  return { right, up: [-right[1], right[0]] };
}

export const isBig = () => Math.max(ground().length_m, ground().width_m) > 50;
// Steps of hands and keys [m]: round numbers of the unit that the ground is measured in.
const STEPS = { m: [0.1, 0.5, 5], yd: [0.1, 0.5, 5], ft: [0.5, 1, 10] };
export function stepOf() {
  const [fine, usual, coarse] = isBig() ? STEPS[unit()] : unit() === "m" ? [0.05, 0.25, 2] : [0.1, 0.5, 5];
  return { fine: fine / PER_M[unit()], usual: usual / PER_M[unit()], coarse: coarse / PER_M[unit()] };
}

export let view = null;

// Lay the ground out in a picture `width_px` wide. A thing that is being moved never makes the picture jump.
export function layOut(width_px, things) {
  const { right, up } = turnNow(), small = width_px < 500;
  const drawing = ground().drawing, [x0, y0, x1, y1] = drawing.bounds;
  let corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
  if (!(screen.isDragging && view)) {
    for (const thing of things) {
      if (!isShown(thing)) continue;
      for (const ring of thing.rings) corners = corners.concat(ring);
    }
  }
  const turned = corners.map(p => [along(p, right), along(p, up)]), margin = isBig() ? 1.5 : 0.4;
  const [a0, b0, a1, b1] = boundsOf(turned);
  const box = screen.isDragging && view ? view.box : [a0 - margin, b0 - margin, a1 + margin, b1 + margin];
  const wide = box[2] - box[0], tall = box[3] - box[1];
  const fit = Math.min((width_px - 2 * EDGE_PX.across) / wide, (small ? 420 : 372) / tall);
  const height = Math.round(tall * fit + EDGE_PX.top + EDGE_PX.bottom), scale = fit * screen.zoom;
  let left = width_px / 2 - fit * (box[0] + box[2]) / 2, base = EDGE_PX.top + box[3] * fit;
  if (screen.zoom > 1 && screen.centre) {
    left = width_px / 2 - scale * along(screen.centre, right);
    base = height / 2 + scale * along(screen.centre, up);
  }
  view = {
    width: width_px, height, scale, small, box, right, up,
    toScreen: p => [left + scale * along(p, right), base - scale * along(p, up)],
    toGround: ([px, py]) => {
      const a = (px - left) / scale, b = (base - py) / scale;
      return [a * right[0] + b * up[0], a * right[1] + b * up[1]];
    },
  };
  return view;
}

const along = (a, b) => a[0] * b[0] + a[1] * b[1];
export const px = value => (Math.round(value * 10) / 10).toString();

// A path on the screen through points of the ground.
export function pathOf(points, isClosed) {
  return points.length ? "M" + points.map(p => view.toScreen(p).map(px).join(" ")).join("L") + (isClosed ? "Z" : "") : "";
}

// The steps of arrow keys, in metres of the ground.
export function arrowStep(event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (!way) return null;
  const steps = stepOf(), step = event.altKey ? steps.fine : event.shiftKey ? steps.coarse : steps.usual;
  const { right, up } = turnNow();
  return [0, 1].map(i => step * (way[0] * right[i] + way[1] * up[i]));
}
