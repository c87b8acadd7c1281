// Questions 2 and 3: where one may stand, and what is in the way. A list of all things, and the fields of the one touched.
import { byId, h, named } from "./dom.js";
import { NARROW, ground, screen, redraw } from "./state.js";
import { button, number, pick, words, choice } from "./fields.js";
import { copyAcross, giveAnswer, remove, rename, reshape, setField, setThere, touch } from "./edits.js";
import { answerWords, isOffer, isPlace, isShaped, pointsOf, things } from "./things.js";
import { besideOf, boxOf, middleOf, stripPoints, turned } from "./shapes.js";
import { cornersForm } from "./corners.js";
import { held } from "./words.js";
import { heightMetres, heightUnit, inHeight, metres, shown, shownHeight, unit } from "./units.js";
import { startCross } from "./keys.js";
import { photoPanel } from "./photo.js";

export function standPanel() {
  const list = things().filter(isPlace);
  const offers = list.filter(isOffer), unused = list.filter(thing => thing.isUnused);
  return [
    h("p", { class: "help", key: "help" }, `Tap a place and say yes or no.${NARROW.matches ? "" : " Drag across bare ground to add one."}`),
    listOf(list.filter(thing => !isOffer(thing) && !thing.isUnused), answerWords), addButtons("Add a place"),
    more("Raised places to ask for", offers, "offers"), more("Usual places not used", unused, "unused"), photoPanel(),
  ];
}

export function wayPanel() {
  const list = things().filter(thing => !isPlace(thing));
  const here = list.filter(thing => !thing.isFaint), gone = list.filter(thing => thing.isFaint);
  return [
    h("p", { class: "help", key: "help" }, "Dugouts, boards, hedges, vans: anything taller than the grass between you and the play."),
    here.length ? listOf(here, thing => `${inHeight(thing.top_m)} high`) : h("p", { key: "nothing" }, "Nothing is in the way so far."),
    addButtons("Add a thing"),
    gone.length ? h("div", { class: "field", key: "gone" }, h("span", { class: "label" }, "At some grounds, not at this one"), listOf(gone, () => "not here", "gone")) : null,
  ];
}

// Places that are only offered: folded away until somebody looks for them or touches one.
function more(title, list, key) {
  if (!list.length) return null;
  const isOpen = list.some(thing => thing.id === screen.touched);
  return h("details", { key, open: isOpen || null }, h("summary", {}, `${title} (${list.length})`), listOf(list, answerWords, `${key} list`));
}

const listOf = (list, said, key = "things") => h("ul", { class: "list", key }, list.map(thing => h("li", { key: `item ${thing.id}` },
  h("button", { class: "row", key: `row ${thing.id}`, "aria-expanded": screen.touched === thing.id ? "true" : "false", onclick: () => touch(screen.touched === thing.id ? null : thing.id) },
    named(thing.name), h("span", { class: thing.answer === "yes" ? "said yes" : "said" }, said(thing))),
  screen.touched === thing.id ? slip(thing) : null)));

// On a small screen the ground may be out of sight when the next tap goes there.
function showGround() {
  if (NARROW.matches) requestAnimationFrame(() => byId("q").scrollIntoView());
}

function addButtons(text) {
  const isArmed = screen.armed?.do === "add";
  return h("div", { class: "acts", key: "adding" }, button(isArmed ? (screen.first ? "Tap the opposite corner\u2026" : "Tap the first corner\u2026") : text, event => {
    screen.touched = screen.first = screen.cross = null;
    screen.armed = isArmed ? null : { do: "add" };
    if (screen.armed && event.detail === 0) startCross();
    redraw();
    if (screen.armed) showGround();
  }, { key: "add" }));
}

// ---- the thing touched

function slip(thing) {
  const place = isPlace(thing), id = `${thing.id}`;
  return h("div", { class: "slip", role: "group", "aria-label": thing.name, key: `slip ${id}` },
    place ? h("div", { class: "field", key: "may" }, h("span", { class: "label", "aria-hidden": "true" }, "May you stand here?"),
      pick("May you stand here?", answerWords(thing) === "usually fine" || thing.isUnused ? "" : thing.answer, [["yes", "Yes"], ["no", "No"], ["ask", "I'll ask"]], value => giveAnswer(thing, value), { key: `may ${id}` })) : null,
    thing.removed ? h("p", { class: "help", key: "removed" }, `Left out: ${thing.removed}.`) : null,
    thing.onto && thing.answer !== "no" ? h("p", { class: "fault", key: "onto" }, `It ${held(thing.onto)}. `, movedOut(thing)) : null,
    h("div", { class: "nums", key: "nums" }, thing.isOwn ? nameField(thing) : null, isShaped(thing) || thing.isOwn ? sizeFields(thing) : null, place ? heightFields(thing) : thingFields(thing)),
    screen.corners && thing.isOwn ? cornersForm(thing) : null,
    acts(thing));
}

// The smallest way out for a rectangle that reaches over the line.
function movedOut(thing) {
  const points = pointsOf(thing), beside = besideOf(points), [near, far] = beside.out;
  return boxOf(points) ? button("Move it out to the line", () => reshape(thing, stripPoints(beside, [0, far - near], beside.along), "move"), { class: "bare", key: "move out" }) : null;
}

const row = (id, label, ...inner) => [h("label", { for: id, key: `${id} label` }, label), h("span", { class: "v", key: `${id} field` }, inner)];

function nameField(thing) {
  const id = `name ${thing.id}`;
  return [h("label", { for: id, key: "name label" }, "Called"), h("span", { class: "v", key: "name field" }, words(id, thing.name, text => rename(thing, text) || undefined, { maxlength: 60 }))];
}

const FARTHEST_M = 200; // how far out, and how large, a place or thing may be
// "Size 24 by 2 m. From the line 5 m. Middle is 18 m from the goal toward the dugout side."
function sizeFields(thing) {
  const points = pointsOf(thing), box = !thing.isLine && boxOf(points), beside = besideOf(points), g = ground();
  if (!box || beside.out[1] <= 0) return h("p", { class: "help wide-row", key: "many" }, `${points.length} corners. Move them on the ground${thing.isOwn ? ", or open the list" : ""}.`);
  const long = beside.along[1] - beside.along[0], deep = beside.out[1] - beside.out[0], mid = (beside.along[0] + beside.along[1]) / 2;
  const set = (out, along, what) => reshape(thing, stripPoints(beside, out, along), what);
  const toward = beside.axis === 0 ? ["+y", "-y"] : ["+x", "-x"], from = beside.axis === 0 ? (ground().drawing.targets.length ? targetWords() : "the middle") : "halfway";
  const way = mid >= 0 ? 1 : -1, moved = to => [to - long / 2, to + long / 2];
  const id = name => `${name} ${thing.id}`, most = Math.round(Number(shown(FARTHEST_M)));
  return [
    row(id("long"), "Size", number(id("long"), shown(long), v => set(beside.out, [mid - metres(v) / 2, mid + metres(v) / 2], "stretch"), { low: 0.1, high: most, label: `Length in ${unit()}` }), "by",
      number(id("deep"), shown(deep), v => set([beside.out[0], beside.out[0] + metres(v)], beside.along, "stretch"), { low: 0.1, high: most, label: `Depth in ${unit()}` }), unit()),
    row(id("gap"), "From the line", number(id("gap"), shown(beside.out[0]), v => set([metres(v), metres(v) + deep], beside.along, "move"), { low: -most, high: most }), unit()),
    row(id("mid"), "Middle is", number(id("mid"), shown(Math.abs(mid)), v => set(beside.out, moved(way * metres(v)), "move"), { low: 0, high: most }), `${unit()} from ${from}`),
    row(id("toward"), "toward the", choice(id("toward"), way > 0 ? toward[0] : toward[1], toward.map(side => [side, g.sides[side].name]),
      side => set(beside.out, moved((side[0] === "+" ? 1 : -1) * Math.abs(mid)), "move"))),
  ];
}
const targetWords = () => `the ${ground().drawing.targets[0].name.replace(/ \(.*\)$/, "").replace(/s$/, "")}`;

function heightFields(thing) {
  if (thing.answer === "no" || !thing.lens_height_m) return null;
  const [low, high] = thing.lens_height_m, id = name => `${name} ${thing.id}`;
  const shownNow = name => heightMetres(Number(byId(id(name)).value)); // what stands in the other field, sent or not
  const set = (a, b) => setField(thing, "lens_height_m", [a, b], "lens height", id("low"));
  return row(id("low"), "Lens height", number(id("low"), shownHeight(low), v => set(heightMetres(v), Math.max(heightMetres(v), shownNow("high"))), { step: 0.1, low: 0, label: `Lens height, lowest, in ${heightUnit()}` }), "to",
    number(id("high"), shownHeight(high), v => set(Math.min(heightMetres(v), shownNow("low")), heightMetres(v)), { step: 0.1, low: 0, label: `Lens height, highest, in ${heightUnit()}` }), heightUnit());
}

const HIGHEST_M = 200;
const SEEN_THROUGH = [[0, "not at all"], [0.4, "some (a hedge)"], [0.85, "mostly (a net)"]];
function thingFields(thing) {
  if (thing.isFaint) return null;
  const id = name => `${name} ${thing.id}`, through = thing.see_through || 0;
  const near = SEEN_THROUGH.map(([value]) => value).reduce((a, b) => (Math.abs(b - through) < Math.abs(a - through) ? b : a));
  return [
    row(id("top"), "How high", number(id("top"), shownHeight(thing.top_m), v => setField(thing, "top_m", heightMetres(v), "height", id("top")), { step: 0.1, low: 0.1, high: Math.round(Number(shownHeight(HIGHEST_M))) }), heightUnit()),
    row(id("through"), "See through", choice(id("through"), near, SEEN_THROUGH, value => setField(thing, "see_through", Number(value) || null, "see-through", id("through")))),
  ];
}

function acts(thing) {
  if (thing.isFaint) return h("div", { class: "acts", key: "acts" }, button("It is here", () => setThere(thing, true)));
  const isMoving = screen.armed?.do === "move", canTurn = isShaped(thing) || thing.isOwn;
  const arm = what => () => {
    screen.armed = screen.armed?.do === what ? null : { do: what };
    redraw();
    if (screen.armed) showGround();
  };
  return h("div", { class: "acts", key: "acts" },
    canTurn || thing.kind === "furniture" ? button(isMoving ? "Now tap the ground\u2026" : "Move it", arm("move"), { key: "move it" }) : null,
    canTurn ? [button("\u22125\u00b0", () => reshape(thing, turned(pointsOf(thing), -5), "turn"), { key: "turn back", "aria-label": "Turn 5 degrees clockwise" }),
      button("+5\u00b0", () => reshape(thing, turned(pointsOf(thing), 5), "turn"), { key: "turn on", "aria-label": "Turn 5 degrees anticlockwise" })] : null,
    thing.isOwn ? button("Corners", () => { screen.corners = !screen.corners; redraw(); }, { "aria-expanded": screen.corners ? "true" : "false" }) : null,
    canTurn ? button(screen.armed?.do === "new corner" ? "Now tap the ground\u2026" : "Add a corner", arm("new corner"), { key: "new corner" }) : null,
    button("Copy across", () => copyAcross(thing)),
    button(screen.zoom > 1 ? "Whole ground" : "Closer", () => { screen.centre = middleOf(pointsOf(thing)); screen.zoom = screen.zoom > 1 ? 1 : 2.4; redraw(); }, { key: "zoom" }),
    button(thing.kind === "furniture" ? "It isn't here" : "Remove", () => (thing.kind === "furniture" ? setThere(thing, false) : remove(thing)), { key: "remove" }));
}
