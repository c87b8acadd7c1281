// Question 4: cameras, what they record in, their lenses, what holds them.
import { h, say } from "./dom.js";
import { ground, screen, server, redraw } from "./state.js";
import { change } from "./talk.js";
import { button, choice, faultOf, field, pick } from "./fields.js";
import { HUES, kit } from "./plan.js";
import { cameraValue, namedCameras, putCamera } from "./cameras.js";
import { capital, lensWords, readLens } from "./words.js";

const HELD = [["tripod", "Tripod"], ["monopod", "Monopod"], ["handheld", "Hand"], ["gimbal", "Gimbal"]];
const LETTERS = "ABCDEFGHJK", MOST_OPEN = 2; // more cameras than that are folded away, but for the newest

export function bagPanel() {
  const list = kit(), most = Math.min(server.catalogue.most_cameras, HUES.length), letter = freeLetter();
  return [
    list.some(camera => camera.assumed) ? h("p", { class: "help", key: "assumed" }, "Nobody has said what's in the bag yet, so this is planned with a usual kit. Change what isn't yours.") : null,
    list.map((camera, i) => cameraForm(camera, i, list.length)),
    list.length < most ? h("div", { class: "acts", key: "more" }, button(`Add camera ${letter}`, () => addCamera(), { key: "add camera" })) : null,
  ];
}

const freeLetter = () => [...LETTERS].find(letter => !kit().some(camera => camera.name === letter));

export const disc = i => h("span", { class: `disc fill-${HUES[i]} on-${HUES[i]}`, "aria-hidden": "true" }, kit()[i]?.name);

function cameraForm(camera, i, n) {
  const id = name => `${name} ${camera.name}`, modes = server.catalogue.modes, isOther = !modes.some(mode => mode.key === camera.mode);
  const options = [...modes.map(mode => [mode.key, mode.name]), ...(isOther ? [[camera.mode || "own", camera.mode_words || "its own"]] : [])];
  const title = h("h3", {}, disc(i), `Camera ${camera.name}`), key = `camera ${camera.name}`;
  const inner = h("div", { class: "inner", key: "fields" }, field("Records in", id("mode"), choice(id("mode"), isOther ? camera.mode || "own" : camera.mode, options, value => putCamera(i, "mode", value, `camera ${camera.name}, records in`, id("mode")))),
    field("Lenses", id("lens"),
      h("ul", { class: "acts", "aria-label": `Lenses of camera ${camera.name}` }, camera.lenses.map((lens, j) => h("li", { class: "tag", key: `${lens.as} ${j}` }, h("bdi", {}, lensWords(lens.as)),
        button("\u00d7", () => dropLens(i, j), { key: `less ${camera.name} ${j}`, "aria-label": `Take ${lensWords(lens.as)} out of the bag of camera ${camera.name}` })))),
      h("div", { class: "acts" }, lensInput(i, id("lens")), button("Add", () => addLens(i), { key: `add ${id("lens")}`, "aria-label": `Add this lens to camera ${camera.name}` })), suggestions()),
    h("div", { class: "field", key: "held" }, h("span", { class: "label", "aria-hidden": "true" }, "Held on"),
      pick(`Camera ${camera.name} held on`, camera.support, supports(camera), value => putCamera(i, "support", value, `camera ${camera.name}, held on`), { key: `held ${camera.name}`, look: supports(camera).length > 3 ? "four" : "" })),
    ground().can_walk && !camera.fixed ? h("div", { class: "field", key: "walks" }, h("span", { class: "label", "aria-hidden": "true" }, "While play goes on, you"),
      pick(`Camera ${camera.name}, while play goes on`, camera.walks ? "walks" : "stays", [["stays", "stay put"], ["walks", "walk with it"]],
        value => putCamera(i, "roam", value === "walks" ? true : null, `camera ${camera.name}, ${value === "walks" ? "walks with play" : "stays put"}`, id("walks")), { key: `walks ${camera.name}` }), faultOf(id("walks"))) : null,
    camera.fixed ? h("p", { key: "fixed" }, "It stands where you fixed it. ", button("Let it move", () => putCamera(i, "at_m", null, `let camera ${camera.name} move`), { class: "bare", key: `unfix ${camera.name}` })) : null,
    n > 1 ? h("div", { class: "acts", key: "out" }, button(`Take camera ${camera.name} out`, () => dropCamera(i), { key: `out ${camera.name}` })) : null);
  if (n <= MOST_OPEN) return h("div", { class: "camera", role: "group", "aria-label": `Camera ${camera.name}`, key }, title, inner);
  const lenses = camera.lenses.map(lens => lens.as.split("/")[0]).join(", ");
  return h("details", { class: "camera", open: screen.opened === camera.name, key },
    h("summary", { key: `open ${camera.name}` }, title, h("span", { class: "said" }, lenses)), inner);
}

const supports = camera => HELD.filter(([key]) => server.catalogue.supports.includes(key)).concat(HELD.some(([key]) => key === camera.support) || typeof camera.support !== "string" ? [] : [[camera.support, capital(camera.support)]]);

const lensInput = (i, id) => h("input", {
  id, key: id, class: "grow", dir: "ltr", autocomplete: "off", placeholder: "70-200 f2.8", list: "usual-lenses", value: screen.faults.get(id)?.typed ?? "",
  "aria-describedby": screen.faults.get(id)?.words ? `${id}-fault` : null,
  onkeydown: event => { if (event.key === "Enter") { event.preventDefault(); addLens(i); } },
});
const suggestions = () => h("datalist", { id: "usual-lenses", key: "usual lenses" }, server.catalogue.lenses.map(lens => h("option", { value: lens.replace("/", " f") })));

function addLens(i) {
  const camera = kit()[i], id = `lens ${camera.name}`, input = document.getElementById(id), typed = input.value;
  if (!typed.trim()) return;
  const lens = readLens(typed);
  if (!lens) {
    screen.faults.set(id, { typed, words: `\u201c${typed.trim()}\u201d: write it like 70-200 f2.8.` });
    redraw();
    return;
  }
  screen.faults.set(id, { typed });
  putCamera(i, "lenses", [...lensesOf(i), lens], `lens ${lensWords(lens)}`, id).then(done => {
    if (!done.ok) return;
    screen.faults.delete(id);
    input.value = "";
    screen.focus = id;
    say(`${lensWords(lens)} is in the bag.`);
    redraw();
  });
}

// Lenses as the file has them: names and distances that a person wrote stay.
const lensesOf = i => {
  const camera = kit()[i], entry = server.match.said.camera.find(other => other.mark === camera.mark);
  return entry?.lenses || camera.lenses.map(lens => lens.as);
};

function dropLens(i, j) {
  const camera = kit()[i], id = `lens ${camera.name}`;
  if (camera.lenses.length < 2) {
    screen.faults.set(id, { typed: "", words: "A camera needs one lens. Add another first." });
    return redraw();
  }
  screen.focus = id;
  return putCamera(i, "lenses", lensesOf(i).filter((_, k) => k !== j), `take ${lensWords(camera.lenses[j].as)} out`, id);
}

async function addCamera() {
  const letter = freeLetter(), last = kit().at(-1), entry = server.match.said.camera.find(other => other.mark === last.mark);
  const kept = entry ? { mode: entry.mode, lenses: entry.lenses, support: entry.support } : cameraValue(last);
  const value = { ...kept, name: letter };
  for (const key of Object.keys(value)) if (value[key] === undefined) delete value[key];
  const done = await change(`add camera ${letter}`, [...namedCameras(), { do: "add", part: "camera", value }]);
  if (done.ok) { say(`Camera ${letter} added.`); screen.opened = letter; screen.focus = `mode ${letter}`; redraw(); }
}

async function dropCamera(i) {
  const camera = kit()[i];
  screen.tried.clear();
  screen.camera = 0;
  const done = await change(`take camera ${camera.name} out`, [...(camera.mark ? [{ do: "drop", part: camera.mark }] : [])]);
  if (done.ok) { say(`Camera ${camera.name} is out of the bag.`); screen.focus = "add camera"; redraw(); }
}
