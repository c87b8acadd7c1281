// The answer: where to stand, what one gets, what one misses, what asking is worth, settings and times.
import { byId, h, render, say } from "./dom.js";
import { ground, isStale, periods, periodNow, redraw, said, screen, server } from "./state.js";
import { change } from "./talk.js";
import { button, pick } from "./fields.js";
import { cameraNow, HUES, kit, periodOf, stayOf, triedOf, walkOf } from "./plan.js";
import { disc } from "./bag.js";
import { backToBest, fixHere } from "./cameras.js";
import { about, capital, held, lensWords, listed } from "./words.js";
import { inHeight } from "./units.js";
import { back, saveCopy } from "./file.js";
import { go } from "./questions.js";

export function drawAnswer() {
  const box = byId("answer"), isOld = Boolean(ground()) && isStale();
  box.classList.toggle("old", isOld);
  box.setAttribute("aria-busy", isOld);
  render(box, content(isOld));
}

function content(isOld) {
  if (server.grounds && !server.match) return [heading("One ground at a time"), h("p", {}, "Open a ground to plan on it. The others stay as they are.")];
  if (!server.match) return heading("Opening\u2026");
  if (!ground()) return server.match.faults.length ? faults() : nothing();
  if (server.failed) return failed(server.failed);
  if (server.none) return impossible(server.none, isOld);
  if (!server.answer) return [heading("Looking for the best spot\u2026"), busy()];
  return planned(isOld);
}

const heading = text => h("h2", { key: "heading", tabindex: -1 }, text);
const busy = () => (server.isStopped ? h("p", { class: "help", key: "now" }, "This is the answer to an earlier change.") : h("div", { class: "now", key: "now" }, h("div", { class: "busy", "aria-hidden": "true" }), h("span", { class: "help" }, "Looking again\u2026")));

const nothing = () => [heading("Nothing to plan yet"), h("p", {}, "Pick a sport. You'll see its ground and a first plan at once, made with the places people usually stand and two common zooms. Then answer what you know. Every question can wait.")];

const faults = () => [heading("The file needs a look"), h("p", {}, "There's no plan until these are fixed. The page leaves such lines as they are."),
  h("ul", { class: "faults" }, server.match.faults.map((fault, i) => h("li", { key: i }, fault.line ? h("b", {}, `${server.match.file.name} line ${fault.line}: `) : null, fault.words)))];

const failed = found => [heading("This went wrong on our side"), h("p", {}, "Your match is safe. Undo the last change, or save a copy."), found.report ? h("p", { class: "help" }, "What went wrong is in ", h("code", {}, found.report), ".") : null,
  h("div", { class: "acts" }, button("Undo the last change", back, { disabled: !server.match.undo }), button("Save a copy as a file", saveCopy))];

function impossible(found, isOld) {
  const fixes = found.remedies.length ? [h("p", { class: "fade" }, "To fix this, do one of these:"), remedies(found)]
    : h("div", { class: "acts", key: "remedies" }, button("Undo the last change", back, { disabled: !server.match.undo }));
  return [heading("That can't be done"), isOld ? busy() : null, h("p", { class: "fade" }, held(found.words)), fixes];
}
const remedies = found => h("div", { class: "remedies", key: "remedies" }, found.remedies.map((remedy, i) => button(held(remedy.words), () => {
  if (!remedy.edits) return back();
  screen.focus = "question";
  return change(remedy.what || remedy.words, remedy.edits);
}, { key: `remedy ${i}` })));

function planned(isOld) {
  const tried = kit().some((_, i) => triedOf(i)), advice = server.advice, answer = server.answer;
  return [
    heading(answer.proven ? "Stand here" : "Best so far"),
    periods().length > 1 ? pick("Which part of the match", periodNow(), periods().map(period => [period.key, period.name]), key => { screen.period = key; screen.look = null; redraw(); }, { key: "period", look: periods().length > 3 ? "four" : "" }) : null,
    isOld ? busy() : null,
    h("div", { class: "fade", key: "answer" },
      kit().map((_, i) => cameraWords(i)),
      tried ? null : meter(),
      tried ? null : h("p", { class: "get" }, held(answer.words.get), " ", held(answer.words.proof || ""), " ", doubt(advice)),
      answer.proven ? null : h("div", { class: "acts" }, button("Keep looking", keepLooking)),
      goodAndWeak(), asking(), settings(), times(), cautions()),
  ];
}

function keepLooking() {
  document.dispatchEvent(new CustomEvent("look"));
  screen.focus = "heading";
  say("Looking again.");
}

function cameraWords(i) {
  const now = cameraNow(i);
  if (!now || !HUES[i]) return null;
  const tried = triedOf(i);
  const walk = tried ? null : walkOf(i);
  return h("div", { class: "stand", key: `camera ${i}` }, disc(i), h("div", {},
    walk ? [cardWords(walk), h("p", { key: "else" }, "If you'd rather stand still:")] : null,
    h("p", { class: walk ? "" : "where" }, h("bdi", {}, held(`${capital(now.where)}.`))),
    h("p", {}, `${lensWords(now.lens)}, lens ${inHeight(now.at[2])} up.`),
    tried ? triedWords(i, tried) : now.walk ? h("p", { class: "help" }, held(capital(now.walk))) : null));
}

// The rule by which a camera walks with play, and its cautions.
const cardWords = walk => h("div", { class: "walk", key: "walk" }, h("p", { class: "where" }, `${walk.title}.`), h("p", {}, `${lensWords(walk.kit)}.`),
  h("ul", { class: "card" }, walk.lines.map(([number, when, where], k) => h("li", { key: k }, number ? h("span", { class: "station" }, number) : null, h("span", {}, `${held(when)}: ${held(where)}.`)))),
  walk.notes.map((note, k) => h("p", { class: "help", key: `note ${k}` }, held(note))));

// A camera that was moved by hand: what it gets there beside what the best spot gets.
function triedWords(i, tried) {
  const buttons = h("div", { class: "acts" }, button("Back to the best spot", () => backToBest(i), { key: `back ${i}` }), button("Fix it here", () => fixHere(i), { key: `fix ${i}` }));
  if (tried.worth === null) return [h("p", {}, "Asking what it gets here\u2026"), buttons];
  const more = Math.round(100 * (tried.best - tried.worth));
  return [bar([[i, tried.seen]], tried.best_seen, `Here ${about(tried.seen)}, best spot ${about(tried.best_seen)}`),
    h("p", {}, "Your spot gets ", h("b", {}, about(tried.seen)), "; the best spot (the black mark) ", about(tried.seen) === about(tried.best_seen) ? "" : `gets ${about(tried.best_seen)} and `, more <= 0 ? "is worth the same." : `is worth ${more}\u00a0% more.`), buttons];
}

// How far the figure itself may be out, where the server can say so in words.
const doubt = advice => (advice?.doubt?.words ? h("span", { class: "help" }, held(advice.doubt.words)) : null);

// The whole match as a bar, split by camera.
function meter() {
  const period = periodOf();
  if (!period) return null;
  const shares = kit().map((_, i) => [i, stayOf(i)?.share ?? 0]), sum = shares.reduce((a, [, share]) => a + share, 0);
  const parts = sum > 0 ? shares.map(([i, share]) => [i, period.seen * share / sum]) : [[0, period.seen]];
  return bar(parts, null, `You'll get ${about(period.seen)}`);
}

function bar(parts, mark, words) {
  let from = 0;
  const pieces = parts.filter(([i]) => HUES[i]).map(([i, share]) => {
    const piece = h("rect", { class: `fill-${HUES[i]}`, x: 300 * from, y: 0, width: 300 * share, height: 14 });
    from += share;
    return piece;
  });
  let edge = 0;
  const letters = parts.length < 2 ? null : parts.map(([i, share]) => {
    const at = edge + share / 2;
    edge += share;
    return share > 0.05 ? h("text", { class: `bar-letter on-${HUES[i]}`, x: 300 * at, y: 11, "text-anchor": "middle" }, kit()[i].name) : null;
  });
  return h("svg", { class: "meter", viewBox: "0 -3 300 20", preserveAspectRatio: "none", role: "img", "aria-label": words }, h("rect", { class: "meter-box", x: 0.75, y: 0, width: 298.5, height: 14 }), pieces, letters,
    mark === null ? null : h("path", { class: "meter-mark", d: `M${300 * mark} -3V17` }));
}

function goodAndWeak() {
  const answer = server.answer, advice = server.advice?.cameras || [], many = answer.cameras.length > 1, rows = [];
  const each = (list, pick_) => list.map(one => [one.name, [pick_(one)].flat().filter(Boolean).join(" ")]).filter(([, text]) => text).map(([name, text]) => (many ? `${name}: ${text.replace(/\.$/, "")}.` : text)).join(" ");
  for (const [term, text] of [["Good for", each(answer.cameras, one => one.good)], ["Weak at", each(answer.cameras, one => one.weak)], ["Few faces", each(answer.cameras, one => one.faces)],
    ["If they say no", each(advice, one => one.refused)], ["Room to shift", each(advice, one => one.shift)]]) if (text) rows.push([term, text]);
  return rows.length ? h("dl", { key: "good" }, rows.flatMap(([term, text]) => [h("dt", { key: term }, term), h("dd", { key: `${term} text` }, held(text))])) : null;
}

function asking() {
  const first = (server.advice?.ask || []).filter(one => one.gain > 0.005).sort((a, b) => b.gain - a.gain)[0];
  if (!first) return null;
  const name = first.name || first.key;
  const say = (words, edits) => button(words, () => change(`answer for ${name}`, edits), { key: words });
  return h("div", { class: "turn", key: "asking" }, h("p", {}, h("b", {}, "Worth asking for: "), h("bdi", {}, held(first.words.replace(/^Ask for /, "")))),
    h("div", { class: "acts" }, say("They said yes", first.edits_yes), say("They said no", first.edits_no)));
}

const setUp = () => server.advice?.set_up || [];

// Cameras of which the same is said, together: [[names, the first of them], ...].
function alike(list, content) {
  const groups = new Map();
  for (const one of list) {
    const same = JSON.stringify(content(one));
    groups.set(same, [...(groups.get(same) || []), one]);
  }
  return [...groups.values()].map(group => [listed(group.map(one => one.name)), group[0]]);
}

function settings() {
  const list = alike(setUp().filter(one => one.dial), one => one.dial);
  if (!list.length) return null;
  return h("div", { class: "turn", key: "settings" }, list.map(([names, one], i) => [
    h("p", { key: `set ${i}` }, h("b", {}, list.length > 1 ? `Set ${names} ` : "Set "), held(one.dial.rows.slice(0, 5).map(([label, value]) => dialWords(label, value)).join(", ")), "."),
    h("details", { key: `more ${i}` }, h("summary", {}, list.length > 1 ? `More settings for ${names}` : "More settings"),
      h("ul", { class: "notes" }, [...one.dial.rows.slice(5).map(([label, value]) => `${label}: ${value}`), one.dial.focus_on, ...one.dial.notes, ...one.dial.warnings].filter(Boolean).map((text, k) => h("li", { key: k }, held(text)))))]));
}

const dialWords = (label, value) => (/^(ISO|ND)$/.test(label) ? `${label} ${value}` : label === "frame rate" && /^[\d.]+$/.test(value) ? `${value} a second` : value);

function times() {
  const lists = alike(setUp().filter(one => one.times.length), one => one.times);
  if (!lists.length) return said("match").start ? null : h("div", { class: "turn", key: "times" }, h("p", {}, button("Say when it starts", () => go(4), { class: "bare" }), " for call times and the sun."));
  return h("div", { class: "turn", key: "times" }, lists.map(([names, one], n) => [h("h3", { key: `be ${n}` }, lists.length > 1 ? `Be there: ${names}` : "Be there"),
    h("dl", { class: "times", key: `times ${n}` }, one.times.flatMap(([time, what], i) => [h("dt", { key: `time ${i}` }, time), h("dd", { key: `what ${i}` }, held(what))]))]));
}

// Cautions stay on the page of the person at risk, in full.
function cautions() {
  const list = [...new Set([server.answer.words.caution, ...setUp().flatMap(one => one.cautions)].filter(Boolean))];
  if (!list.length) return null;
  return h("div", { class: "turn", key: "cautions" }, h("h3", {}, "Take care"), h("ul", { class: "notes" }, list.map((text, i) => h("li", { key: i }, held(text)))));
}
