// Speaks with the server: changes one after the other, one stream of events, and what happens when it has stopped.
import { say } from "./dom.js";
import { server, screen, redraw } from "./state.js";

export const PAGE = `p${Math.random().toString(36).slice(2, 8)}`;
const TRY_AGAIN_MS = 1000, TRIES = 3;

export async function post(address, body) {
  let reply;
  try {
    reply = await fetch(address, {
      method: "POST", credentials: "same-origin", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
    });
  } catch {
    check();
    return { status: 0, body: { words: "standmark doesn't answer." } };
  }
  let answer = {};
  try { answer = await reply.json(); } catch { /* an empty body says enough by its status */ }
  return { status: reply.status, body: answer };
}

// ---- changes, in their order; each stands on the one before

const waiting = [];
let isSending = false;

// One field of a part of the file gets another value; null takes it away.
export const put = (part, field, value) => ({ do: "put", part, field, value });

// Ask for a change. Resolves to {ok, faults, marks}. `more` joins it to the step before if both are the same thing done.
export function change(what, edits, { more = false, field = null } = {}) {
  if (server.isStopped) {
    say("Not changed. standmark has stopped on your computer.");
    redraw();
    return Promise.resolve({ ok: false, faults: [] });
  }
  return new Promise(done => { waiting.push({ what, edits, more, field, fault: screen.faults.get(field), done }); send(); });
}
export const isChanging = () => isSending || waiting.length > 0;

async function send() {
  if (isSending || !waiting.length) return;
  isSending = true;
  const job = waiting.shift();
  try { job.done(await deliver(job)); } finally {
    isSending = false;
    redraw();
    send();
  }
}

async function deliver(job) {
  for (let attempt = 0; attempt < 3; attempt++) {
    const body = job.address ? { page: PAGE, base: server.change, ...job.body }
      : { page: PAGE, base: server.change, what: job.what, more: job.more, edits: job.edits };
    const { status, body: answer } = await post(job.address || "/change", body);
    if (status === 409 && !answer.disk) {
      server.change = Math.max(server.change, answer.change ?? server.change);
      continue;
    }
    if (status === 200) {
      taken(answer);
      if (job.field && screen.faults.get(job.field) === job.fault) screen.faults.delete(job.field);
      return { ok: true, faults: [], ...answer };
    }
    const faults = answer.faults || [{ part: null, words: answer.words || "This can't be done." }];
    refused(job, faults);
    return { ok: false, faults, ...answer };
  }
  refused(job, [{ part: null, words: "The match is being changed in another page. Try again." }]);
  return { ok: false, faults: [] };
}

function taken(answer) {
  server.change = Math.max(server.change, answer.change ?? server.change);
  if (answer.text !== undefined) server.text = answer.text;
  screen.note = "";
}

function refused(job, faults) {
  const words = faults.map(fault => fault.words).join(" ");
  if (job.field) screen.faults.set(job.field, { ...(screen.faults.get(job.field) || {}), words });
  else screen.note = words;
  say(words);
}

// What could not be done, in the strip over everything.
export function fail(words) {
  screen.note = words;
  say(words);
  redraw();
}

// Any other request that changes the match, in the same order as changes.
export function ask(address, body = {}, what = "") {
  if (server.isStopped) return change(what, []);
  return new Promise(done => { waiting.push({ address, body, what, field: null, done }); send(); });
}

// ---- the stream

let stream = null, failures = 0, eventHandlers = {}, retryTimer = 0;

export function listen(to) {
  eventHandlers = to;
  openStream();
}

function openStream() {
  clearTimeout(retryTimer);
  if (stream) stream.close();
  stream = new EventSource("/events");
  stream.onopen = () => {
    failures = 0;
    if (server.isStopped) { server.isStopped = false; server.goodbye = ""; say("standmark is back."); redraw(); }
  };
  stream.onerror = () => {
    stream.close();
    failures += 1;
    if (failures >= TRIES) stopped();
    else retryTimer = setTimeout(openStream, TRY_AGAIN_MS);
  };
  for (const name of Object.keys(eventHandlers)) {
    stream.addEventListener(name, event => { eventHandlers[name](JSON.parse(event.data)); redraw(); });
  }
}

function check() {
  if (!server.isStopped && failures === 0) { failures = 1; openStream(); }
}

export function stopped(words = "") {
  server.isStopped = true;
  server.goodbye = words;
  server.looking = false;
  redraw();
}

export function retry() {
  failures = TRIES - 1;
  openStream();
}

// ---- what a camera would get where it is held: one question on the way, the newest waits

let asked = null, isAsking = false, sequence = 0;

export function worthOf(question, answered) {
  asked = { question, answered };
  if (!isAsking) askNext();
}

async function askNext() {
  isAsking = true;
  while (asked) {
    const { question, answered } = asked;
    asked = null;
    const { status, body } = await post("/worth", { ...question, change: server.change, seq: ++sequence });
    if (status === 200 && body.seq === sequence) answered(body);
  }
  isAsking = false;
}
