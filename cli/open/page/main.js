// Starts the page: what the server says goes into the state, and the state is drawn.
import { byId, say } from "./dom.js";
import { NARROW, redraw, screen, server, whenDrawn } from "./state.js";
import { listen, post, stopped } from "./talk.js";
import { drawGround } from "./ground.js";
import { drawFrame } from "./frame.js";
import { drawAnswer } from "./answer.js";
import { drawHint, drawLine, drawQuestion } from "./questions.js";
import { drawBar, drawStrip, drawTop, startTop } from "./top.js";
import { drawKey } from "./key.js";
import { drawLook } from "./look.js";
import { drawPhoto, startPhoto } from "./photo.js";
import { startHands } from "./hands.js";
import { startKeys } from "./keys.js";
import { startFiles } from "./file.js";
import { releaseAll } from "./edits.js";
import { retryAll } from "./cameras.js";
import { cameraNow, kit } from "./plan.js";
import { touched } from "./things.js";

const MOST_FOCUS_TRIES = 10; // redraws that may pass until what is wanted is there

// On a small screen the ground stands between the question and its answers; the order of the document follows.
function arrange() {
  const stage = byId("stage");
  if (NARROW.matches) byId("ask-body").before(stage); else byId("pictures").prepend(stage);
  redraw();
}

function draw() {
  const hasGround = Boolean(server.match?.ground);
  document.body.classList.toggle("empty", !hasGround);
  document.body.classList.toggle("folder", Boolean(server.grounds && !server.match));
  byId("pictures").hidden = !hasGround;
  drawTop();
  drawLine();
  drawStrip();
  drawQuestion();
  drawHint(touched()?.name);
  drawPhoto();
  drawGround();
  drawKey();
  drawFrame();
  drawLook();
  drawAnswer();
  drawBar();
  passFocus();
}

// Focus goes where the last thing done wanted it; a new question takes it from nobody who types by then.
function passFocus() {
  if (screen.focus === "question" && document.activeElement.matches("input:not([type=radio], #find), select")) screen.focus = null;
  if (!screen.focus) return;
  const wanted = screen.focus === "question" ? byId("q") : document.querySelector(`[data-key="${CSS.escape(screen.focus)}"]`);
  if (!wanted) {
    screen.focusTries += 1;
    if (screen.focusTries > MOST_FOCUS_TRIES) screen.focus = null;
    return;
  }
  screen.focus = null;
  screen.focusTries = 0;
  wanted.focus({ preventScroll: wanted === byId("q") });
  if (wanted.select && wanted.type !== "radio") wanted.select();
}

// ---- what the server says

function newMatch(match) {
  if (match.change < server.change && server.match && match.change < server.match.change) return;
  server.match = match;
  server.change = Math.max(server.change, match.change);
  server.text = match.text;
  if (!match.ground) {
    server.answer = server.advice = server.none = null;
    Object.assign(screen, { question: 0, touched: null, armed: null, first: null, cross: null, look: null });
  }
  if (!touched()) screen.touched = null;
  releaseAll();
}

const isNewest = data => data.change === undefined || data.change >= (server.answer?.change ?? -1);

const handlers = {
  match: newMatch,
  grounds: list => { server.grounds = list; if (server.match && server.match.file.folder && !server.match.ground) server.match = null; },
  looking: () => { server.looking = true; },
  answer: answer => {
    if (!isNewest(answer)) return;
    server.answer = answer;
    server.looking = false;
    server.failed = server.none = null;
    if (server.advice && server.advice.change !== answer.change) server.advice = null;
    retryAll();
    if (answer.change >= server.change && !document.hidden) sayPlan(answer);
  },
  advice: advice => { if (isNewest(advice)) server.advice = server.advice?.change === advice.change ? { ...server.advice, ...advice } : advice; },
  none: none => { server.none = none; server.looking = false; server.failed = server.answer = server.advice = null; say(none.words); },
  failed: failed => { server.failed = failed; server.looking = false; },
  disk: disk => { server.disk = disk; },
  saved: saved => { server.saved = saved; if (server.match) server.match.file = { ...server.match.file, saved: saved.saved, unsaved: false, name: saved.file }; },
  pages: pages => { server.pages = pages.n; if (pages.n < 2) screen.knowsPages = false; },
  bye: bye => stopped(bye.words),
};

function sayPlan(answer) {
  const stands = kit().map((camera, i) => { const now = cameraNow(i); return now ? `Camera ${camera.name}: ${now.where}.` : ""; });
  say(`New plan. ${stands.join(" ")} ${answer.words.get}`, 300);
}

async function start() {
  startTop();
  startHands();
  startKeys();
  startFiles();
  startPhoto();
  NARROW.addEventListener("change", arrange);
  addEventListener("resize", redraw);
  document.addEventListener("look", () => post("/look", {}));
  document.fonts?.ready.then(redraw);
  whenDrawn(draw);
  arrange();
  listen(handlers);
  try {
    server.catalogue = await (await fetch("/catalogue", { credentials: "same-origin" })).json();
  } catch { stopped(); }
  redraw();
}
start();
