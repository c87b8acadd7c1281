// Question 1: which sport, which game, how big, what the sides are called, where the benches are, a file of the ground.
import { h, named, say } from "./dom.js";
import { ground, ownSports, screen, server, said, sportNow, entries, redraw } from "./state.js";
import { change, put } from "./talk.js";
import { button, choice, field, group, number, pick, words } from "./fields.js";
import { sideAt } from "./view.js";
import { plain, capital } from "./words.js";
import { shown, shownSize, sizeEdits, sizesIn, sizeUnit, unit } from "./units.js";
import { chooseFile, foundWords, MAP_FILES, MATCH_FILES, PICTURE_FILES, useFound } from "./file.js";
import { pictureForm, takePicture } from "./picture.js";

const MINI = { width: 48, height: 38, perM: 0.25 };

export function sportPanel() {
  return !ground() || screen.isChoosingSport ? choosing() : described();
}

// ---- choosing

const byName = (a, b) => a.name.localeCompare(b.name);
const everySport = () => [...ownSports(), ...[...server.catalogue.sports].sort(byName)].map(sport => ({ sport, by: "" }));
const hits = () => {
  const typed = plain(screen.find.trim()), all = everySport();
  if (!typed) return all;
  const found = all.map(({ sport }) => {
    const own = plain(sport.name), by = sport.names.find(name => plain(name).includes(typed)), isOwn = own.includes(typed) || sport.key.includes(typed);
    const rank = own.startsWith(typed) || sport.names.some(name => plain(name) === typed) ? 0 : own.includes(typed) ? 1 : 2;
    return isOwn || by ? { sport, by: own.includes(typed) ? "" : by || "", rank } : null;
  }).filter(Boolean);
  return found.sort((a, b) => a.rank - b.rank);
};

function choosing() {
  const found = hits(), list = found.length ? found : everySport();
  return [
    ground() ? null : h("p", { class: "help" }, "You'll see the ground to scale and a first plan straight away."),
    field("Any name people use for it", "find", h("input", {
      id: "find", key: "find", class: "wide", type: "search", autocomplete: "off", dir: "auto", placeholder: "soccer, camogie, sevens\u2026", value: screen.find,
      oninput: event => { screen.find = event.target.value; redraw(); },
      onkeydown: event => { if (event.key === "Enter" && hits().length) take(hits()[0].sport); },
    })),
    found.length ? null : h("p", { key: "none" }, "No sport of that name. Try a shorter word, or pick the nearest one: you can change the size of its ground."),
    h("ul", { class: "list sports", key: "sports" }, list.map(({ sport, by }) => h("li", { key: sport.file || sport.key },
      h("button", { class: "row", key: `sport ${sport.file || sport.key}`, onclick: () => take(sport) },
        h("span", {}, sport.name, by || sport.file ? h("span", { class: "said" }, ` (${by || sport.file})`) : null), mini(sport.drawing))))),
    h("details", { key: "own" }, h("summary", {}, "Your sport isn't here?"), h("p", { class: "help" }, "Pick the nearest one and change the size of its ground. Lines, moments and usual places of your own go into a file (docs/sport-file.md): put it beside ", h("code", {}, named(server.match.file.name)), " or in a folder ", h("code", {}, "sports"), " there, and it stands on top of this list.")),
    ground() ? button("Keep this sport", () => { screen.isChoosingSport = false; redraw(); })
      : h("div", { class: "drop", key: "before" }, h("b", {}, "Been here before?"), h("span", {}, "Drop a match file on this page, or ", button("choose one", () => chooseFile(MATCH_FILES), { class: "bare" }))),
  ];
}

// The playing area of a sport, all to one scale.
export function mini(drawing, perM = MINI.perM) {
  const [x0, , x1] = drawing.bounds && outlineBounds(drawing), [, y0, , y1] = outlineBounds(drawing);
  const d = "M" + drawing.outline.map(([x, y]) => `${(MINI.width - 2 + (x - x1) * perM).toFixed(1)} ${(MINI.height / 2 - (y - (y0 + y1) / 2) * perM).toFixed(1)}`).join("L") + "Z";
  return h("svg", { class: "mini", width: MINI.width, height: MINI.height, viewBox: `0 0 ${MINI.width} ${MINI.height}`, "aria-hidden": "true" }, h("path", { class: "mini-turf", d, "data-from": x0.toFixed(0) }));
}
const outlineBounds = drawing => [Math.min(...drawing.outline.map(p => p[0])), Math.min(...drawing.outline.map(p => p[1])), Math.max(...drawing.outline.map(p => p[0])), Math.max(...drawing.outline.map(p => p[1]))];

// Another sport leaves the places and things of the old one's ground; kit, time and names of the sides stay.
async function take(sport) {
  const edits = sport.file ? [put("match", "sport_file", sport.file)] : [put("match", "sport", sport.key)];
  for (const kind of ["allowed", "forbidden", "obstacle", "furniture"]) for (const entry of entries(kind)) edits.push({ do: "drop", part: entry.mark });
  const done = await change(`sport: ${sport.name}`, edits);
  if (!done.ok) return;
  Object.assign(screen, { find: "", isChoosingSport: false, look: null, zoom: 1, focus: "question" });
  screen.tried.clear();
  say(`${sport.name}. The ground is drawn to scale.`);
  redraw();
}

// ---- the ground of the sport

function described() {
  const sport = sportNow() || { name: ground().sport_name }, g = ground();
  const presets = sport.presets || [];
  return [
    h("p", { key: "sport" }, h("b", {}, sport.name), " ", button("Another sport", () => { screen.isChoosingSport = true; screen.focus = "find"; redraw(); }, { class: "bare" })),
    said("match").sport_file ? h("p", { class: "help", key: "own file" }, "A sport of your own, from ", h("code", {}, named(said("match").sport_file)), ". Its lines, moments and usual places are in that file, which this page leaves as it is. Everything else you can say here.") : null,
    presets.length > 1 ? field("Which game?", "preset", choice("preset", said("match").preset || presets[0].key, presets.map(p => [p.key, capital((p.name || p.key).replaceAll("-", " "))]),
      value => change("which game", [{ do: "put", part: "match", field: "preset", value: value === presets[0].key ? null : value }]))) : null,
    group("How big is the ground?", "size", h("div", { class: "nums" }, sizeField("length", "Long", g.length_m, g.length_range_m), sizeField("width", "Wide", g.width_m, g.width_range_m)),
      h("p", { class: "help" }, usualSize(sport, g))),
    group("What do people call the sides?", "sides", sidesForm()),
    benches(g),
    h("div", { class: "drop", key: "bring" }, h("span", {}, h("b", {}, "Have a map, a walk or a picture of the ground?"), " Drop the file here. It stays on your computer."),
      h("span", { class: "acts" }, button("Choose a file", () => chooseFile(MAP_FILES)), screen.picture ? null : button("Lay a picture under it", () => chooseFile(PICTURE_FILES, takePicture))),
      screen.found ? foundForm() : null, screen.picture ? pictureForm() : null),
  ];
}

const UNITS = [["m", "metres"], ["yd", "yards"], ["ft", "feet"]];

function sizeField(name, label, value_m, range_m) {
  const id = `size-${name}`, inUnit = sizeUnit();
  return [h("label", { for: id, key: `${id} label` }, label), h("span", { class: "v", key: `${id} field` }, number(id, shownSize(value_m), value => {
    const longest = Number(shownSize(range_m[1])), act = other => change(`${name} of the ground`, sizeEdits(name, other), { field: id });
    if (inUnit === "m" && value > 4 * longest) return { words: `${value} ${inUnit} is longer than any ground of this sport.`, fix: { words: `Did you mean ${value / 10}?`, act: () => act(value / 10) } };
    if (inUnit === "m" && value > 1.5 * longest && value * 0.3048 > 0.7 * range_m[0]) {
      return { words: `${value} looks like feet.`, fix: { words: "Read it as feet", act: () => change(`${name} of the ground`, sizeEdits(name, value, "ft"), { field: id }) } };
    }
    return act(value);
  }, { low: 1 }), name === "width" ? choice("size-unit", inUnit, UNITS, unit => change(`sizes in ${UNITS.find(([key]) => key === unit)[1]}`, sizesIn(unit)), { "aria-label": "Size in" }) : inUnit)];
}

function usualSize(sport, g) {
  const usual = (sport.presets || []).find(p => p.key === g.preset) || {};
  const [length_m, width_m] = usual.size_m || sport.size_m || [g.length_m, g.width_m];
  const size = `Usual ${shownSize(length_m, 1)} \u00d7 ${shownSize(width_m, 1)}\u00a0${sizeUnit()}.`;
  const range = ([low, high]) => (low === high ? shownSize(low, 1) : `${shownSize(low, 1)} to ${shownSize(high, 1)}`);
  const isFree = g.length_range_m[0] !== g.length_range_m[1] || g.width_range_m[0] !== g.width_range_m[1];
  return isFree ? `${size} The rules allow ${range(g.length_range_m)} by ${range(g.width_range_m)}.` : size;
}

// Four fields stand as the sides do.
function sidesForm() {
  const one = where => {
    const side = sideAt(where), id = `side-name-${side}`, g = ground().sides[side];
    return h("div", { class: where === "top" || where === "bottom" ? "across" : "", key: where }, h("label", { for: id }, g.usual),
      words(id, said("side_names")[side] ?? "", text => {
        const name = text.trim();
        return change("name of a side", [{ do: "put", part: "side_names", field: side, value: name || null }], { field: id });
      }, { maxlength: 40, placeholder: g.usual, key: `side name ${side}` }));
  };
  return h("div", { class: "sides" }, one("top"), one("left"), one("right"), one("bottom"));
}

function benches(g) {
  const options = g.bench_choices || [];
  if (options.length < 2 || !options.some(one => one.is_now)) return null;
  return group("Which side are the benches?", "benches", pick("Which side are the benches?", g.benches, options.map(one => [one.side, named(g.sides[one.side].name)]),
    side => change("benches", options.find(one => one.side === side).edits), { key: "benches" }),
    h("p", { class: "help" }, "The ground is drawn as you'd see it from the benches."));
}

function foundForm() {
  const g = ground();
  return h("div", { class: "field", key: "found" }, screen.found.list.map((found, i) => h("div", { class: "field", key: `found ${i}` },
    h("p", {}, screen.found.list.length > 1 ? h("b", {}, named(found.name), ". ") : null, foundWords(found)),
    h("span", { class: "acts" }, button("Use it", () => useFound(found, false), { key: `use ${i}` }),
      button(`Use it, but keep ${shown(g.length_m, 1)} \u00d7 ${shown(g.width_m, 1)} ${unit()}`, () => useFound(found, true), { key: `keep size ${i}` })))),
  screen.found.licence ? h("p", { class: "help" }, screen.found.licence) : null,
  h("span", { class: "acts" }, button("Leave it", () => { screen.found = null; redraw(); })));
}
