// A folder of grounds: the list of them with what each falls short of; one is opened at a time.
import { h, named, say } from "./dom.js";
import { screen, server, redraw } from "./state.js";
import { post } from "./talk.js";
import { mini } from "./sport.js";
import { capital, held } from "./words.js";

export function groundsPanel() {
  const list = server.grounds || [];
  if (!list.length) return h("p", {}, "This folder holds no match files.");
  return h("ul", { class: "list grounds", key: "grounds" }, list.map(ground => h("li", { key: ground.id }, h("button", { class: "row ground", key: `ground ${ground.id}`, onclick: () => openGround(ground.id) },
    h("span", {}, h("b", {}, named(ground.name || ground.id)), h("span", { class: "words" }, ground.fault || ground.words || ground.sport || ""),
      (ground.short || []).map(({ name, lacks }) => h("span", { class: "short", key: name }, h("b", {}, capital(name)), " falls short: ", held(lacks.join("; ")), ".")),
      ground.is_looked_at ? (ground.fault || ground.short.length ? null : h("span", { class: "help" }, "Meets the standard.")) : h("span", { class: "help" }, "Looking\u2026")),
    ground.drawing ? mini(ground.drawing) : null))));
}

export async function openGround(id, drop = false) {
  const { status, body } = await post("/open", { ground: id, ...(drop ? { drop: true } : {}) });
  if (status === 422) {
    screen.leaving = { id };
    screen.note = body.faults?.map(fault => fault.words).join(" ") || "";
    say(screen.note);
  } else if (status === 200) {
    Object.assign(screen, { question: 0, touched: null, armed: null, note: "", leaving: null, focus: "question" });
    screen.tried.clear();
    if (id === null) server.match = null;
    Object.assign(server, { answer: null, advice: null, none: null, failed: null, saved: null, disk: null, change: body.change ?? -1 });
  }
  redraw();
}
