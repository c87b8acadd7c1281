// Question 5: start, place, how the ground lies, light, who attacks which end first.
import { h } from "./dom.js";
import { ground, redraw, said, screen, server } from "./state.js";
import { change, put } from "./talk.js";
import { button, choice, field, pick, words } from "./fields.js";
import { readPlace } from "./words.js";
import { rose } from "./rose.js";

let wanted = null; // a start that waits for its clock

export function whenPanel() {
  const match = said("match"), g = ground();
  return [
    field("Start, on the clock there", "start", h("input", {
      id: "start", key: "start", class: "wide", type: "datetime-local", value: (wanted || match.start || "").slice(0, 16),
      onchange: event => takeStart(event.target.value),
    }), past(match.start)),
    h("div", { class: "two", key: "where" },
      field("Place", "place", words("place", placeText(), takePlace, { placeholder: "52.61, 1.38", dir: "ltr" })),
      field("Clock of", "timezone", choice("timezone", match.timezone || "", [["", "Pick one"], ...zones(match.timezone)], takeClock))),
    h("div", { class: "field", key: "rose field" }, h("span", { class: "label", id: "rose-label" }, "Turn the rose until north is right"), rose()),
    g.sun ? h("p", { class: "help", key: "sun" }, g.sun.words) : null,
    h("div", { class: "field", key: "light" }, h("span", { class: "label", "aria-hidden": "true" }, "Light"), pick("Light", light(g), [["daylight", "Daylight"], ["lamps", "Floodlit"], ["indoor", "Indoors"]], takeLight)),
    attackField(match, g),
  ];
}

// A start that has passed is most often last year's: the same day in the next year that has not passed, as a button.
const DAY_MS = 864e5;
function past(start) {
  const isOver = text => Date.parse(text.slice(0, 16)) < Date.now() - DAY_MS;
  if (!start || !isOver(start)) return null;
  let year = new Date().getFullYear();
  if (isOver(year + start.slice(4))) year += 1;
  const day = new Date(Date.parse(start.slice(0, 10))).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });
  return h("p", { class: "fault", key: "past" }, `${day} has passed. `,
    button(`Did you mean ${year}?`, () => change("start", [put("match", "start", year + start.slice(4))], { field: "start" }), { class: "bare", key: "next year" }));
}

const placeText = () => {
  const { latitude, longitude } = said("venue");
  return latitude === undefined ? "" : `${latitude}, ${longitude}`;
};
const zones = now => [...new Set([...(now ? [now] : []), ...server.catalogue.timezones])].map(zone => [zone, zone.replaceAll("_", " ")]);

// A start needs a clock: the one of this computer until somebody says another.
function takeStart(value) {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone, zone = said("match").timezone || (server.catalogue.timezones.includes(here) ? here : "");
  if (value && !zone) {
    screen.faults.set("timezone", { words: "Pick the clock too: a start needs to know whose time it is." });
    wanted = value;
    return redraw();
  }
  const edits = [put("match", "start", value ? `${value}:00` : null)];
  if (value && !said("match").timezone && zone) edits.push(put("match", "timezone", zone));
  if (!value && said("match").timezone) edits.push(put("match", "timezone", null));
  wanted = null;
  return change("start", edits, { field: "start" });
}

function takeClock(zone) {
  const edits = [put("match", "timezone", zone || null)];
  if (wanted && zone) edits.unshift(put("match", "start", `${wanted}:00`));
  screen.faults.delete("timezone");
  wanted = null;
  return change(edits.length > 1 ? "start" : "clock", edits, { field: "timezone" });
}

function takePlace(text) {
  if (!text.trim()) return change("place", [put("venue", "latitude", null), put("venue", "longitude", null)], { field: "place" });
  const place = readPlace(text);
  if (place.words) return place.words;
  return change("place", [put("venue", "latitude", place.latitude), put("venue", "longitude", place.longitude)], { field: "place" });
}

const light = g => (g.is_indoor ? "indoor" : g.is_floodlit ? "lamps" : "daylight");
function takeLight(value) {
  const venue = said("venue"), edits = [put("venue", "setting", value === "indoor" ? "indoor" : venue.setting || ground().is_indoor ? "outdoor" : null), put("venue", "floodlit", value === "lamps" ? true : null)];
  change("light", edits.filter(edit => edit.value !== null || venue[edit.field] !== undefined));
}

function attackField(match, g) {
  const sides = ["+x", "-x"].sort((a, b) => (g.sides[a].at === "left" ? -1 : 0) - (g.sides[b].at === "left" ? -1 : 0));
  const label = match.cover === "ours" ? "Where do we attack first?" : "Where does side A attack first?";
  return h("div", { class: "field", key: "attack" }, h("span", { class: "label", "aria-hidden": "true" }, label),
    pick(label, match.first_attack || "+x", [...sides.map(side => [side, h("bdi", {}, g.sides[side].name)]), ["unknown", "toss"]],
      value => change("who attacks where", [put("match", "first_attack", value)]), { key: "attack" }));
}
