// The six questions in the order in which one asks them; going to one, and what is said of each in the line.
import { byId, h, render, say } from "./dom.js";
import { NARROW, screen, server, ground, redraw } from "./state.js";
import { button } from "./fields.js";
import { sportPanel } from "./sport.js";
import { standPanel, wayPanel } from "./places.js";
import { bagPanel } from "./bag.js";
import { whenPanel } from "./when.js";
import { rulesPanel } from "./rules.js";
import { groundsPanel } from "./folder.js";

export const QUESTIONS = [
  { words: "What sport?", short: "Sport", panel: sportPanel },
  { words: "Where may you stand?", short: "Stand", panel: standPanel },
  { words: "What's in the way?", short: "In way", panel: wayPanel },
  { words: "What's in your bag?", short: "Bag", panel: bagPanel },
  { words: "When and where?", short: "When", panel: whenPanel },
  { words: "What's it for, whose rules?", heading: "What's it for and whose rules?", short: "Rules", panel: rulesPanel },
];

export function go(question) {
  if (question && !ground()) return;
  screen.question = question;
  screen.touched = screen.armed = screen.first = screen.cross = null;
  screen.isChoosingSport = screen.corners = false;
  if (NARROW.matches) scrollTo({ top: 0 });
  screen.focus = "question";
  say(`Question ${question + 1} of 6. ${QUESTIONS[question].words}`);
  redraw();
}

export function drawLine() {
  const nav = byId("questions");
  nav.hidden = Boolean(server.grounds && !server.match);
  const said = server.match?.line || [];
  render(byId("line"), QUESTIONS.map((question, i) => {
    const answer = ground() ? said[i] || "Not said yet" : i ? "can wait" : "Start here";
    return h("li", { key: i }, h("button", {
      key: `go ${i}`, "aria-current": screen.question === i ? "step" : null, disabled: i > 0 && !ground(), onclick: () => go(i),
      "aria-label": NARROW.matches ? `${i + 1} ${question.short}. ${question.words} ${answer}` : null,
    }, h("small", {}, h("span", { class: "n" }, i + 1), " ", h("span", { class: "q" }, question.words), h("span", { class: "w" }, question.short)),
    h("b", {}, h("bdi", {}, answer))));
  }));
}

export function drawQuestion() {
  const isList = Boolean(server.grounds && !server.match), question = QUESTIONS[screen.question];
  render(byId("q"), isList ? "Which ground?" : question.heading || question.words);
  byId("ask").classList.toggle("wide", isList || !ground());
  const isMissing = !server.catalogue && !isList && ![1, 2].includes(screen.question);
  if (isMissing || (!server.match && !server.grounds)) { render(byId("ask-body"), h("p", { class: "help" }, "Opening\u2026")); return; }
  render(byId("ask-body"), isList ? groundsPanel() : question.panel(), isList || !ground() ? null : next());
}

function next() {
  const i = screen.question + 1;
  if (i < QUESTIONS.length) {
    const words = QUESTIONS[i].words;
    return h("div", { class: "next", key: "next" }, button(`Next: ${words.charAt(0).toLowerCase()}${words.slice(1)}`, () => go(i), { class: "go", key: "go next" }));
  }
  return h("div", { class: "next", key: "next" }, button("Save the plan and the sheets", () => document.dispatchEvent(new CustomEvent("save")), { class: "go", key: "go save" }));
}

const HINTS = {
  add: () => (screen.first ? "Now tap the opposite corner." : `Tap where the ${screen.question === 2 ? "thing" : "place"} starts.`),
  move: name => `Tap where ${name} should go.`, corner: () => "Tap where this corner should go.", "new corner": () => "Tap where the new corner should be.",
  turn: name => `Tap where the long side of ${name} should point.`, camera: () => "Tap where this camera should stand.",
  mark: () => (screen.armed.index === undefined ? "Tap a point of the picture." : "Tap where this point should lie."),
};

export function drawHint(touchedName) {
  const hint = byId("hint"), armed = screen.armed, words = screen.cross ? "Arrow keys move the cross, Enter sets a corner." : armed ? HINTS[armed.do](touchedName || "it") : "";
  const isCloser = screen.zoom > 1;
  hint.hidden = !words && !isCloser;
  render(hint, words ? h("b", {}, words) : h("span", {}),
    words ? button("Never mind", () => { screen.armed = screen.first = screen.cross = null; say("Left as it was."); redraw(); }, { key: "never mind" }) : null,
    isCloser && !words ? button("Whole ground", () => { screen.zoom = 1; redraw(); }, { key: "whole" }) : null);
}
