// A picture of the ground under the lines: the person's own file, kept in this tab, never sent anywhere.
import { byId, h, say } from "./dom.js";
import { screen, redraw, ground } from "./state.js";
import { px, view, turnNow } from "./view.js";
import { areaBounds, tidy } from "./shapes.js";
import { fail } from "./talk.js";
import { metres, shown, unit } from "./units.js";

const LEAST_APART_PX = 12, MOST_PIXELS = 60e6;

// screen.picture: {href, width, height, name, digest, at: [x, y] middle on the ground, scale: m a pixel, turn_deg, marks: [[x, y] on the picture, in pixels]}

export async function takePicture(file) {
  if (!ground()) return fail("Pick a sport first: the picture goes under its lines.");
  let image;
  const href = URL.createObjectURL(file);
  try {
    image = await createImageBitmap(file);
  } catch {
    URL.revokeObjectURL(href);
    return fail(`\u201c${file.name}\u201d isn't a picture that this page can read. Use PNG, JPEG or WebP.`);
  }
  const { width, height } = image;
  image.close();
  if (!width || !height || width * height > MOST_PIXELS) { URL.revokeObjectURL(href); return fail("This picture is too large. Make it smaller than 60 megapixels."); }
  const digest = await digestOf(file), kept = keptFit(digest), area = areaBounds();
  if (screen.picture) URL.revokeObjectURL(screen.picture.href);
  screen.picture = {
    href, width, height, name: file.name, digest, marks: [], turn_deg: 0,
    at: [(area[0] + area[2]) / 2, (area[1] + area[3]) / 2], scale: 1.15 * Math.max((area[2] - area[0]) / width, (area[3] - area[1]) / height), ...kept,
  };
  screen.note = "";
  screen.armed = kept ? null : { do: "mark" };
  say(kept ? "The picture lies where you left it." : "Tap two points on the picture that you know the distance between.");
  redraw();
}

async function digestOf(file) {
  const found = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
  return [...new Uint8Array(found)].slice(0, 12).map(v => v.toString(16).padStart(2, "0")).join("");
}

function keptFit(digest) {
  try { return JSON.parse(sessionStorage.getItem(`picture ${digest}`)); } catch { return null; }
}
function keepFit() {
  const { digest, at, scale, turn_deg, marks } = screen.picture;
  try { sessionStorage.setItem(`picture ${digest}`, JSON.stringify({ at, scale, turn_deg, marks })); } catch { /* a full store only means that the fit isn't kept */ }
}

function dropPicture() {
  URL.revokeObjectURL(screen.picture.href);
  try { sessionStorage.removeItem(`picture ${screen.picture.digest}`); } catch { /* nothing was kept */ }
  screen.picture = null;
  if (screen.armed?.do === "mark") screen.armed = null;
  say("The picture is taken away.");
  redraw();
}

// ---- where it lies. Right and up are those of the screen; turning is clockwise there.

function axes(picture) {
  const { right, up } = turnNow(), c = Math.cos(picture.turn_deg * Math.PI / 180), s = Math.sin(picture.turn_deg * Math.PI / 180);
  const across = [0, 1].map(i => c * right[i] - s * up[i]), down = [0, 1].map(i => -s * right[i] - c * up[i]);
  return { across, down };
}
function toGround(picture, [u, v]) {
  const { across, down } = axes(picture), du = (u - picture.width / 2) * picture.scale, dv = (v - picture.height / 2) * picture.scale;
  return [0, 1].map(i => picture.at[i] + du * across[i] + dv * down[i]);
}
function toPicture(picture, p) {
  const { across, down } = axes(picture), d = [p[0] - picture.at[0], p[1] - picture.at[1]];
  return [picture.width / 2 + (d[0] * across[0] + d[1] * across[1]) / picture.scale, picture.height / 2 + (d[0] * down[0] + d[1] * down[1]) / picture.scale];
}

export function pictureMark() {
  const picture = screen.picture;
  if (!picture) return null;
  const [x, y] = view.toScreen(picture.at), s = picture.scale * view.scale;
  return h("image", {
    key: "picture", class: "under", href: picture.href, width: picture.width, height: picture.height, "aria-hidden": "true", preserveAspectRatio: "none",
    transform: `translate(${px(x)} ${px(y)}) rotate(${picture.turn_deg}) scale(${s}) translate(${-picture.width / 2} ${-picture.height / 2})`,
  });
}

const markAt = index => toGround(screen.picture, screen.picture.marks[index]);

export function pictureMarks() {
  if (!screen.picture || screen.question !== 0) return null;
  return screen.picture.marks.map((_, i) => {
    const [x, y] = view.toScreen(markAt(i)), isArmed = screen.armed?.do === "mark" && screen.armed.index === i;
    return h("g", { key: `mark ${i}`, class: "grab", "data-handle": `mark ${i}`, tabindex: 0, role: "button", "aria-label": `Point ${i + 1} of the picture. Arrow keys move the picture so that this point goes with them; the other stays.` },
      h("circle", { class: "hit", cx: px(x), cy: px(y), r: view.small ? 22 : 14 }),
      h("circle", { class: isArmed ? "mark armed" : "mark", cx: px(x), cy: px(y), r: 7 }),
      h("text", { class: "mark-number", x: px(x + 11), y: px(y + 5) }, i + 1));
  });
}

// ---- what a person does with it

// A tap while points are being set.
export function tapPicture(at) {
  const picture = screen.picture, index = screen.armed.index;
  if (index !== undefined) { movePoint(index, at); screen.armed = null; return redraw(); }
  const point = toPicture(picture, at);
  if (picture.marks.length === 1 && tooNear(point, picture.marks[0])) return say("These two points are too near to each other. Tap one that is farther away.");
  picture.marks.push(point);
  screen.armed = picture.marks.length < 2 ? { do: "mark" } : null;
  say(picture.marks.length < 2 ? "Point 1 set. Now the other one." : "Point 2 set. How far apart are 1 and 2?");
  if (picture.marks.length === 2) screen.focus = "known";
  keepFit();
  redraw();
}
const tooNear = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]) * screen.picture.scale * view.scale < LEAST_APART_PX;

// Two points lie on the picture: give them their true distance; the first stays where it is.
function setApart(known_m) {
  const picture = screen.picture;
  if (!(known_m > 0.5)) return fail("Type the distance between 1 and 2, more than half a metre.");
  const now = apart(), keep = markAt(0);
  picture.scale *= known_m / now;
  const moved = markAt(0);
  picture.at = picture.at.map((v, i) => v + keep[i] - moved[i]);
  say("The picture is to scale now. Move its points onto the lines: drag them, or use the arrow keys.");
  keepFit();
  redraw();
}
export const apart = () => { const [a, b] = [markAt(0), markAt(1)]; return Math.hypot(a[0] - b[0], a[1] - b[1]); };

// Put one point of the picture somewhere on the ground. The first moves the picture; the second turns it about the first.
export function movePoint(index, to) {
  const picture = screen.picture, from = markAt(index);
  if (index === 0 || picture.marks.length < 2) picture.at = picture.at.map((v, i) => v + to[i] - from[i]);
  else {
    const hinge = markAt(0), { right, up } = turnNow(), angle = p => {
      const d = [p[0] - hinge[0], p[1] - hinge[1]];
      return Math.atan2(-(d[0] * up[0] + d[1] * up[1]), d[0] * right[0] + d[1] * right[1]) * 180 / Math.PI;
    };
    picture.turn_deg = tidy((picture.turn_deg + angle(to) - angle(from) + 540) % 360 - 180, 0.01);
    const moved = markAt(0);
    picture.at = picture.at.map((v, i) => v + hinge[i] - moved[i]);
  }
  keepFit();
  redraw();
}
export const pointAt = index => markAt(index);

export function pictureForm() {
  const picture = screen.picture, left = 2 - picture.marks.length;
  return h("div", { key: "picture form", class: "field" },
    left > 0 ? h("p", {}, h("b", {}, "Tap two points on the picture"), ` that you know the distance between. ${left} to go.`)
      : [h("div", { class: "nums" }, h("label", { for: "known" }, "How far apart are 1 and 2?"),
        h("span", { class: "v" }, h("input", {
          id: "known", key: "known", type: "number", step: 0.5, min: 0.5, value: shown(apart()),
          onchange: event => setApart(metres(+event.target.value)),
        }), unit())),
      h("p", { class: "help" }, "Then drag 1 onto its place on the lines, and 2 until the rest fits.")],
    h("span", { class: "acts" },
      h("button", { key: "two others", onclick: () => { picture.marks = []; screen.armed = { do: "mark" }; redraw(); } }, "Tap two others"),
      h("button", { key: "no picture", onclick: () => { dropPicture(); byId("q").focus(); } }, "Take the picture away")));
}
