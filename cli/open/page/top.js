// The top of the page, the strip that speaks up only when there is something to say, and the bar of a small screen.
import { byId, h, named, render } from "./dom.js";
import { ground, isStale, redraw, said, screen, server } from "./state.js";
import { change, retry } from "./talk.js";
import { button } from "./fields.js";
import { again, back, resolve, save, saveCopy } from "./file.js";
import { cameraNow, HUES, kit, periodOf, triedOf } from "./plan.js";
import { QUESTIONS, go } from "./questions.js";
import { openGround } from "./folder.js";
import { about, capital } from "./words.js";

export function drawTop() {
  const match = server.match, title = byId("title");
  const isList = Boolean(server.grounds && !match);
  document.title = isList ? "Grounds: where to stand" : `${said("match").title || "A new match"}: where to stand`;
  title.hidden = isList;
  title.disabled = !match;
  if (document.activeElement !== title) title.value = said("match").title || "";
  render(byId("file"), match ? [h("code", {}, named(match.file.name)), " ", fileWords(match)] : isList ? h("b", {}, "Grounds") : "");
  for (const [id, words, what] of [["undo", "Undo", match?.undo], ["redo", "Redo", match?.redo]]) {
    const node = byId(id);
    node.disabled = !what || server.isStopped;
    node.title = what ? `${words}: ${what}` : `Nothing to ${words.toLowerCase()}`;
    node.setAttribute("aria-label", node.title);
  }
  byId("save").disabled = !ground() || screen.isSaving || server.isStopped;
}

function fileWords(match) {
  if (server.isStopped) return "not saved: standmark has stopped";
  if (screen.isSaving) return "saving\u2026";
  if (match.file.unsaved) return "not saved yet";
  return match.file.saved ? `saved ${match.file.saved}` : "as on disk";
}

export function startTop() {
  byId("title").addEventListener("change", event => {
    const title = event.target.value.trim().slice(0, 80);
    change("title", [{ do: "put", part: "match", field: "title", value: title || null }]);
  });
  byId("undo").addEventListener("click", back);
  byId("redo").addEventListener("click", again);
  byId("save").addEventListener("click", () => save());
  document.addEventListener("save", () => save());
}

// ---- the strip

export function drawStrip() {
  const box = byId("strip"), found = stripNow();
  box.hidden = !found;
  box.className = found ? found.look : "";
  const role = found?.isAlert ? "alert" : "status";
  if (box.getAttribute("role") !== role) box.setAttribute("role", role);
  render(box, found ? found.content : []);
}

function stripNow() {
  if (server.isStopped) return { look: "", isAlert: true, content: stoppedWords() };
  if (server.disk) return { look: "", isAlert: true, content: diskWords(server.disk) };
  if (screen.note) return { look: "", isAlert: true, content: [h("p", { key: "note" }, screen.note), screen.leaving ? leaving() : null, button("Close", () => { screen.note = ""; screen.leaving = null; redraw(); }, { class: "bare" })] };
  if (server.saved) return { look: "calm", content: savedWords(server.saved) };
  if (server.pages > 1 && !screen.knowsPages) return { look: "calm", content: [h("p", {}, "This match is open in another page too. Both show every change; Undo is shared."), button("Close", () => { screen.knowsPages = true; redraw(); }, { class: "bare" })] };
  if (server.match?.file.folder) return { look: "calm slim", content: [button("\u2190 All grounds of this folder", () => openGround(null), { class: "bare", key: "to list" })] };
  return null;
}

const leaving = () => button("Leave without saving", () => openGround(screen.leaving.id, true), { key: "leave" });

const stoppedWords = () => [
  h("p", { key: "stopped" }, h("b", {}, "standmark has stopped on your computer. Nothing is lost."), server.goodbye ? ` ${server.goodbye}` : "", " This page holds everything up to your last change. Save a copy, then start standmark again and drop the copy on its page: ", h("code", {}, `standmark open ${server.match?.file.name || "match.toml"}`)),
  button("Save a copy as a file", saveCopy, { class: "go" }), button("Try again", retry)];

function savedWords(saved) {
  const sheet = saved.files.find(name => name.endsWith("sheet.pdf")), page = saved.files.find(name => name.endsWith("sheet.html"));
  const link = (name, words) => (name ? h("a", { class: "as-button", href: `/files/${encodeURIComponent(name)}`, target: "_blank", rel: "noopener", key: name }, words) : null);
  return [h("p", { key: "saved" }, h("b", {}, `Saved at ${saved.saved}. `), h("code", {}, named(saved.file)), ` and ${saved.files.length} files in `, h("code", {}, named(`${saved.out}/`)), "."),
    link(sheet, "Open the sheet to print"), link(page, "Open the sheet for a phone"), button("Close", () => { server.saved = null; redraw(); }, { class: "bare" })];
}

function diskWords(disk) {
  const name = server.match?.file.name || "match.toml", free = name.replace(/(\.toml)?$/, "-2.toml");
  return [
    h("p", { key: "disk" }, h("b", {}, disk.gone ? `${name} is no longer on disk.` : `${name} was changed by something else at ${disk.when}.`), " Nothing has been overwritten.", disk.fault ? ` What is on disk can't be read: ${disk.fault}` : disk.differs.length ? " These differ:" : ""),
    button("Keep what's on this page", () => resolve("mine"), { class: "go", key: "mine" }), disk.gone || disk.fault ? null : button("Take what's on disk", () => resolve("disk"), { key: "disk" }),
    button(`Keep both: save mine as ${free}`, () => resolve("both"), { key: "both" }),
    disk.differs.length ? h("table", { key: "table" }, h("thead", {}, h("tr", {}, h("th", { scope: "col" }, "What"), h("th", { scope: "col" }, "On this page"), h("th", { scope: "col" }, "On disk"))),
      h("tbody", {}, disk.differs.map((line, i) => h("tr", { key: i }, line.map(text => h("td", {}, named(text || "not said"))))))) : null];
}

// ---- the bar of a small screen: the answer in short, and the next question

export function drawBar() {
  const now = ground() && server.answer && cameraNow(0), i = screen.question;
  render(byId("bar"),
    button(now ? [h("span", { class: `disc fill-${HUES[0]} on-${HUES[0]}`, "aria-hidden": "true" }, kit()[0].name), h("span", {}, h("b", {}, shortWords()), h("br"), h("bdi", {}, capital(now.name || now.where.split(/[,:]/)[0])))]
      : h("span", {}, !ground() ? "No plan yet. Pick a sport." : server.none || server.failed ? "No plan yet: see why" : "Looking for the best spot\u2026"), () => byId("answer").scrollIntoView(), { class: "sum", key: "sum" }),
    i < QUESTIONS.length - 1 ? button("Next", () => go(i + 1), { class: "go", disabled: !ground(), key: "bar next" }) : button("Save", () => save(), { class: "go", key: "bar next" }));
}
function shortWords() {
  if (server.failed) return "This went wrong: see why";
  if (isStale()) return server.isStopped ? "standmark has stopped" : "Looking again\u2026";
  const tried = triedOf(0);
  return capital(about(tried?.seen ?? periodOf()?.seen ?? server.answer.seen));
}
