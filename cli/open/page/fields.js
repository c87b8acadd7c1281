// Fields that the questions are made of: choices, numbers, lists, each with its words for what is wrong.
import { h } from "./dom.js";
import { screen, redraw } from "./state.js";

// A choice of a few: real radio buttons, so arrows and taps work as everywhere. A group is one key.
export function pick(label, current, options, choose, { key = label, look = "" } = {}) {
  return h("div", { class: `pick ${look}`, role: "radiogroup", "aria-label": label, key: `pick ${key}` },
    options.map(([value, words]) => h("label", { key: `${key} ${value}` },
      h("input", {
        type: "radio", name: `pick ${key}`, value: String(value), key: `${key}=${value}`, checked: String(value) === String(current),
        onchange: event => { if (event.target.checked) choose(value); },
      }), h("span", {}, words))));
}

export const field = (label, id, ...inner) => h("div", { class: "field", key: `field ${id}` }, h("label", { for: id }, label), withFault(id, inner));
export const group = (label, id, ...inner) => h("div", { class: "field", key: `group ${id}`, role: "group", "aria-labelledby": `${id}-label` },
  h("span", { class: "label", id: `${id}-label` }, label), withFault(id, inner));

// A field says what is wrong right after it, once.
function withFault(id, inner) {
  const list = inner.flat(Infinity), isSaid = list.some(item => item?.attributes?.key === `fault ${id}`);
  return isSaid ? list : [...list, faultOf(id)];
}

// What is wrong with a field, and the smallest fix as a button where there is one.
export function faultOf(id) {
  const fault = screen.faults.get(id);
  if (!fault || !fault.words) return null;
  return h("p", { class: "fault", id: `${id}-fault`, role: "alert", key: `fault ${id}` }, fault.words, " ",
    fault.fix ? h("button", { class: "bare", key: `fix ${id}`, onclick: () => { screen.faults.delete(id); fault.fix.act(); redraw(); } }, fault.fix.words) : null);
}

const describedBy = id => (screen.faults.get(id)?.words ? `${id}-fault` : null);
const typedOr = (id, value) => screen.faults.get(id)?.typed ?? value;

// A field for words. `take` gets what was typed and may refuse it by returning words; it keeps what was typed then.
export function words(id, value, take, more = {}) {
  return [h("input", {
    id, key: id, class: "wide", dir: "auto", autocomplete: "off", value: typedOr(id, value ?? ""), "aria-describedby": describedBy(id),
    "aria-invalid": describedBy(id) ? "true" : null, ...more,
    onchange: event => settled(id, event.target.value, take),
  }), faultOf(id)];
}

// A field for a number. `low` and `high` are in the unit shown.
export function number(id, value, take, { step = 0.5, low = null, high = null, label = null, max = null } = {}) {
  return [h("input", {
    id, key: id, type: "number", inputmode: "decimal", step: "any", "data-step": step, min: low, max: high ?? max, value: typedOr(id, value ?? ""), "aria-label": label, "aria-describedby": describedBy(id),
    "aria-invalid": describedBy(id) ? "true" : null,
    onkeydown: event => byStep(event, step),
    onchange: event => settled(id, event.target.value, text => takeNumber(text, take, low, high)),
  }), faultOf(id)];
}

// Arrows go by steps that suit the field, whatever was typed before.
function byStep(event, step) {
  const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
  if (!way || event.altKey || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  const by = event.shiftKey ? 10 * step : step, now = Number(event.target.value) || 0;
  event.target.value = String(+(Math.round(now / step) * step + way * by).toFixed(3));
  event.target.dispatchEvent(new Event("change", { bubbles: true }));
}

function takeNumber(text, take, low, high) {
  const value = Number(text.replace(",", "."));
  if (text.trim() === "" || !Number.isFinite(value)) return "Type a number.";
  if (low !== null && value < low) return `At least ${low}.`;
  if (high !== null && value > high) return `At most ${high}.`;
  return take(value);
}

function settled(id, typed, take) {
  const fault = { typed };
  screen.faults.set(id, fault);
  const refused = take(typed);
  if (typeof refused === "string") screen.faults.set(id, { typed, words: refused });
  else if (refused && refused.words) screen.faults.set(id, { typed, ...refused });
  else if (refused && refused.then) refused.then(done => { if ((done === undefined || done.ok) && screen.faults.get(id) === fault) screen.faults.delete(id); redraw(); });
  else screen.faults.delete(id);
  redraw();
}

export function choice(id, current, options, choose, more = {}) {
  return [h("select", { id, key: id, class: "wide", value: String(current ?? ""), "aria-describedby": describedBy(id), onchange: event => choose(event.target.value), ...more },
    options.map(([value, text]) => h("option", { key: `${id} ${value}`, value: String(value), selected: String(value) === String(current ?? "") }, text))), faultOf(id)];
}

export const button = (text, act, more = {}) => h("button", { type: "button", key: more.key || text, onclick: act, ...more }, text);
