// Finds a place from a photo of the ground: points of the lines are marked in it. The photo stays in this tab; the server reads only its file's head.
import { byId, h, render, say } from "./dom.js";
import { ground, redraw, screen } from "./state.js";
import { fail, post } from "./talk.js";
import { button, choice, field, words } from "./fields.js";
import { PICTURE_FILES, base64Of } from "./file.js";
import { addSeat } from "./edits.js";
import { inside } from "./shapes.js";
import { inHeight, inUnit } from "./units.js";
import { px, view } from "./view.js";

const HEAD_BYTES = 2e6, MOST_PHOTO_BYTES = 8e6; // a JPEG says its size and focal length in its first part; other forms anywhere
const LEAST = 6, LEAST_KNOWN = 4, CLOSER = 4, STEP = { fine: 0.001, usual: 0.01, coarse: 0.05 }; // steps: shares of the width shown

// screen.photo: {href, width, height, focal, isFromFile, marks: [{name, at: [u, v]}], naming, cross: [u, v], zoom, found, fault, isAsking}

async function takePhoto(file) {
  if (file.type !== "image/jpeg" && file.size > MOST_PHOTO_BYTES) return fail(`\u201c${file.name}\u201d is larger than 8 MB. Save it as JPEG.`);
  const base64 = await base64Of(file.type === "image/jpeg" ? file.slice(0, HEAD_BYTES) : file);
  const { status, body } = await post("/photo", { base64 });
  if (status !== 200) return fail(body.words);
  putAway();
  const [width, height] = body.size_px;
  screen.photo = {
    href: URL.createObjectURL(file), width, height, focal: body.equivalent_mm, isFromFile: body.equivalent_mm !== null,
    marks: [], naming: "", cross: [width / 2, height / 2], zoom: 1, found: null, fault: "", isAsking: false,
  };
  screen.note = "";
  screen.touched = screen.armed = null;
  screen.focus = "photo-point";
  say("The photo is open. Choose a point of the lines, then mark it in the photo.");
  return redraw();
}

function putAway() {
  if (screen.photo) URL.revokeObjectURL(screen.photo.href);
  screen.photo = null;
  screen.faults.delete("photo-focal");
  redraw();
}

const isOpen = () => Boolean(screen.photo && ground() && screen.question === 1);
const least = () => (screen.photo.focal === null ? LEAST : LEAST_KNOWN);

// What was found no longer holds once a mark or the focal length is another.
function changed() {
  screen.photo.found = null;
  screen.photo.fault = "";
  redraw();
}

// ---- the photo with its marks and the cross

export function drawPhoto() {
  const svg = byId("photo"), photo = screen.photo, isShown = isOpen();
  byId("stage").classList.toggle("with-photo", isShown);
  svg.toggleAttribute("hidden", !isShown);
  if (!isShown) { render(svg); return; }
  const wide = photo.width / photo.zoom, tall = photo.height / photo.zoom;
  const low = [[photo.cross[0], wide, photo.width], [photo.cross[1], tall, photo.height]].map(([at, size, most]) => Math.min(most - size, Math.max(0, at - size / 2)));
  svg.setAttribute("viewBox", `${low[0]} ${low[1]} ${wide} ${tall}`);
  svg.setAttribute("aria-label", `Your photo. Arrow keys move the cross, with Shift farther, with Alt less far. Enter marks ${photo.naming || "the point that you chose"}.`);
  const scale = 1 / (svg.getScreenCTM()?.a || 1), at = ([u, v]) => `translate(${px(u)} ${px(v)}) scale(${scale})`;
  render(svg, h("image", { key: "photo image", href: photo.href, width: photo.width, height: photo.height, preserveAspectRatio: "none" }),
    photo.marks.map((mark, i) => h("g", { key: `photo mark ${i}`, transform: at(mark.at), class: mark.name === photo.naming ? "photo-mark now" : "photo-mark" },
      h("path", { class: "under-cross", d: "M-9 0h18M0 -9v18" }), h("path", { class: "cross", d: "M-9 0h18M0 -9v18" }), h("text", { class: "mark-number", x: 8, y: -7 }, i + 1))),
    h("g", { key: "photo cross", transform: at(photo.cross) }, h("path", { class: "under-cross", d: CROSS }), h("path", { class: "cross", d: CROSS })));
}
const CROSS = "M-24 0h18M6 0h18M0 -24v18M0 6v18";

// The points on the ground: those marked with their numbers, and the one that is to be marked.
export function photoPoints() {
  if (!isOpen()) return null;
  const { marks, naming } = screen.photo;
  return ground().landmarks.filter(point => point.name === naming || marks.some(mark => mark.name === point.name)).map(point => {
    const [x, y] = view.toScreen(point.at), number = marks.findIndex(mark => mark.name === point.name) + 1;
    return h("g", { key: `point ${point.name}`, "aria-hidden": "true" },
      h("circle", { class: point.name === naming ? "dot" : "mark", cx: px(x), cy: px(y), r: 6 }),
      number ? h("text", { class: "mark-number", x: px(x + 9), y: px(y - 6) }, number) : null);
  });
}

function setMark() {
  const photo = screen.photo, at = photo.cross.map(v => Math.round(v * 10) / 10);
  if (!photo.naming) { say("First choose which point this is."); screen.focus = "photo-point"; return redraw(); }
  const old = photo.marks.find(mark => mark.name === photo.naming);
  if (old) old.at = at; else photo.marks.push({ name: photo.naming, at });
  say(`${photo.naming} ${old ? "moved" : "marked"}. ${countWords()}`);
  return changed();
}

// A point that is marked already is moved from where it is; for another the whole photo is shown.
function choosePoint(name) {
  const photo = screen.photo, old = photo.marks.find(mark => mark.name === name);
  photo.naming = name;
  if (old) photo.cross = old.at; else photo.zoom = 1;
  redraw();
}

function onTap(event) {
  const svg = byId("photo"), photo = screen.photo, at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  if (at.x < 0 || at.y < 0 || at.x > photo.width || at.y > photo.height) return;
  photo.cross = [at.x, at.y];
  setMark();
}

const PHOTO_WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
function photoKey(event) {
  const photo = screen.photo, way = PHOTO_WAYS[event.key];
  if (event.ctrlKey || event.metaKey || !photo) return;
  if (way) {
    event.preventDefault();
    const step = photo.width / photo.zoom * (event.altKey ? STEP.fine : event.shiftKey ? STEP.coarse : STEP.usual), most = [photo.width, photo.height];
    photo.cross = photo.cross.map((v, i) => Math.min(most[i], Math.max(0, v + step * way[i])));
    say(`${Math.round(100 * photo.cross[0] / photo.width)} % from the left, ${Math.round(100 * photo.cross[1] / photo.height)} % from the top.`, 500);
    redraw();
  } else if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    if (photo.naming) screen.focus = "photo-point";
    setMark();
  }
}

export function startPhoto() {
  byId("photo").addEventListener("click", onTap);
  byId("photo").addEventListener("keydown", photoKey);
}

// ---- the form beside it

const countWords = () => `${screen.photo.marks.length} of at least ${least()} points marked.`;

export function photoPanel() {
  const photo = screen.photo;
  return h("div", { class: "drop", key: "photo panel", role: "group", "aria-labelledby": "photo-title" },
    h("h3", { id: "photo-title" }, "Find a place from a photograph"),
    photo ? form(photo) : [h("p", { class: "help", key: "photo help" }, "Where is that seat, and how high? Take a photo from it that shows the lines, and mark some points."),
      field("Choose a photo", "photo-file", h("input", { id: "photo-file", key: "photo-file", type: "file", class: "wide", accept: PICTURE_FILES, onchange: event => { if (event.target.files[0]) takePhoto(event.target.files[0]); } }))]);
}

function form(photo) {
  const number = name => photo.marks.findIndex(mark => mark.name === name) + 1;
  const options = ground().landmarks.map(({ name }) => [name, number(name) ? `${number(name)}: ${name}` : name]);
  return [
    field("Which point of the lines?", "photo-point", choice("photo-point", photo.naming, [["", "Choose a point"], ...options], choosePoint)),
    h("p", { class: "help", key: "photo how" }, "Tap it in the photo. Mark some points near and some far."),
    h("div", { class: "acts", key: "photo keys" }, button("Use the arrow keys", () => { screen.focus = "photo"; redraw(); }, { key: "photo by keys" })),
    photo.marks.length ? h("ul", { class: "corners", key: "photo marks" }, photo.marks.map((mark, i) => h("li", { key: `marked ${mark.name}` }, h("b", {}, i + 1), h("span", { class: "two-rows" }, mark.name),
      button("\u00d7", () => { photo.marks.splice(i, 1); say(`${mark.name} taken away.`); screen.focus = "photo-point"; changed(); }, { key: `unmark ${mark.name}`, "aria-label": `Take the mark of ${mark.name} away` })))) : null,
    field("Focal length as on a full frame, mm", "photo-focal", words("photo-focal", photo.focal === null ? "" : String(photo.focal), takeFocal, { inputmode: "decimal" })),
    h("p", { class: "help", key: "photo focal help" }, photo.isFromFile ? "From the photo. Empty it if the photo was cropped or zoomed." : "Leave it empty if you don't know it."),
    h("p", { key: "photo count" }, countWords()),
    h("div", { class: "acts", key: "photo acts" }, button("Find the place", find, { key: "find place", disabled: photo.isAsking }),
      button(photo.zoom > 1 ? "Whole photo" : "Closer", () => { photo.zoom = photo.zoom > 1 ? 1 : CLOSER; redraw(); }, { key: "photo closer" }),
      button("Put the photo away", () => { putAway(); screen.focus = "photo-file"; say("The photo is put away."); }, { key: "photo away" })),
    photo.fault ? h("p", { class: "fault", role: "alert", key: "photo fault" }, photo.fault) : null,
    photo.found && photo.foundOn === groundNow() ? foundSlip(photo.found) : null,
  ];
}

function takeFocal(text) {
  const value = Number(text.replace(",", ".")), isEmpty = text.trim() === "";
  if (!isEmpty && !(value >= 4 && value <= 3000)) return "Type a number from 4 to 3000, or nothing.";
  screen.photo.focal = isEmpty ? null : value;
  return changed();
}

async function find() {
  const photo = screen.photo, on = groundNow(), said = () => photo.marks.map(({ name, at }) => [name, ...at]), marks = said();
  changed();
  photo.isAsking = true;
  const asked = JSON.stringify([marks, photo.focal]);
  const { status, body } = await post("/spot", { size_px: [photo.width, photo.height], equivalent_mm: photo.focal, marks });
  photo.isAsking = false;
  if (asked !== JSON.stringify([said(), photo.focal])) return redraw();
  if (status === 200) {
    photo.found = body;
    photo.foundOn = on;
    say(answerLines(body).join(" "));
  } else photo.fault = body.words || "The place can't be found.";
  return redraw();
}

const groundNow = () => JSON.stringify(ground().landmarks);
const isOnPlay = found => inside(found.at_m, ground().drawing.outline);
const within = (error_m, inWords) => inWords(Math.max(0.1, error_m));

function answerLines(found) {
  const [x, y, z] = found.se_m, lines = [
    `Taken from ${found.where}.`,
    `The lens was ${inHeight(found.at_m[2])} up, give or take ${within(z, inHeight)}. The place is good to ${within(Math.hypot(x, y), v => inUnit(v, true))}. Both are standard errors.`,
    `The marks are off by ${Math.round(found.miss_px)} pixels typically. Focal length as on a full frame: ${Math.round(found.equivalent_mm)} mm.`,
  ];
  if (found.doubtful) lines.push(`\u201c${found.doubtful}\u201d doesn't fit the others. Is it that point?`);
  if (found.is_guess) lines.push("This is no better than a guess. Mark more points, some nearer and some farther away.");
  else if (isOnPlay(found)) lines.push("That's on the playing area, so it can't be a place to stand.");
  return lines;
}

function foundSlip(found) {
  return h("div", { class: "field", key: "photo found" }, answerLines(found).map((line, i) => h("p", { key: `found ${i}` }, line)),
    found.is_guess || isOnPlay(found) ? null : h("span", { class: "acts" }, button("Add this place", async () => { if ((await addSeat(found.at_m)).ok) putAway(); }, { class: "go", key: "add seat" })));
}
