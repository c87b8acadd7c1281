// The file: undo, redo, save, what to do when it was changed on disk, files that are brought along.
import { say } from "./dom.js";
import { screen, server, redraw, hasSport } from "./state.js";
import { ask, change, fail, isChanging, post, PAGE } from "./talk.js";
import { takePicture } from "./picture.js";
import { inUnit } from "./units.js";

const READABLE = "match files, GeoJSON, KML, KMZ, GPX, map files (.osm) and pictures";
const MAPS = /\.(geojson|json|kml|kmz|gpx|osm|xml)$/i, PICTURES = /\.(png|jpe?g|webp)$/i;
const MOST_BYTES = 8e6;

async function step(address, words) {
  screen.armed = screen.first = screen.cross = null;
  screen.shapes.clear();
  screen.faults.clear();
  const done = await ask(address);
  if (done.ok) say(`${words}: ${done.did}.`);
  redraw();
}
export const back = () => (server.match?.undo ? step("/undo", "Undone") : say("Nothing to undo."));
export const again = () => (server.match?.redo ? step("/redo", "Done again") : say("Nothing to redo."));

export async function save(address = "/save", body = {}) {
  if (server.isStopped) { say("Not saved. standmark has stopped on your computer."); return redraw(); }
  if (screen.isSaving || (address === "/save" && !hasSport())) return undefined;
  screen.isSaving = true;
  screen.note = "";
  redraw();
  while (isChanging()) await new Promise(done => setTimeout(done, 20));
  const { status, body: answer } = await post(address, { base: server.change, ...body });
  screen.isSaving = false;
  if (status === 200) {
    if (answer.saved) { server.saved = answer; server.disk = null; }
    if (answer.change !== undefined) server.change = Math.max(server.change, answer.change);
    say(answer.saved ? `Saved. ${answer.file} and ${answer.files.length} files in the folder ${answer.out}.` : "Taken from disk.");
  } else if (status === 409 && answer.disk) server.disk = answer.disk;
  else if (status) {
    screen.note = (answer.faults || []).map(fault => fault.words).join(" ") || answer.words || "It could not be saved.";
    say(screen.note);
  }
  return redraw();
}
export const resolve = keep => save("/resolve", { keep, page: PAGE });

export function saveCopy() {
  const link = document.createElement("a"), name = server.match?.file.name || "match.toml";
  link.href = URL.createObjectURL(new Blob([server.text], { type: "application/toml" }));
  link.download = name.replace(/(\.toml)?$/, "-copy.toml");
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  say("Copy saved as a file.");
}

// ---- files dropped or chosen

export async function bring(file) {
  screen.note = "";
  if (PICTURES.test(file.name)) return takePicture(file);
  if (!MAPS.test(file.name) && !/\.toml$/i.test(file.name)) {
    const ending = file.name.includes(".") ? `.${file.name.split(".").pop()} files` : "this file";
    return fail(`This page can't read ${ending}. It reads ${READABLE}.`);
  }
  if (file.size > MOST_BYTES) return fail(`\u201c${file.name}\u201d is larger than 8 MB.`);
  const done = await ask("/import", { name: file.name, base64: await base64Of(file) }, `open ${file.name}`);
  if (done.ok && done.found) {
    screen.found = { file: file.name, licence: done.licence, list: done.found };
    say(done.found.length === 1 ? foundWords(done.found[0]) : `${done.found.length} grounds found in ${file.name}.`);
  } else if (done.ok) {
    screen.touched = null;
    say(`${file.name} is open.`);
  }
  return redraw();
}

export const base64Of = file => new Promise((done, refuse) => {
  const reader = new FileReader();
  reader.onload = () => done(reader.result.slice(reader.result.indexOf(",") + 1));
  reader.onerror = refuse;
  reader.readAsDataURL(file);
});

export function chooseFile(accept, take = bring) {
  const input = document.createElement("input");
  input.type = "file";
  input.accept = accept;
  input.onchange = () => { if (input.files[0]) take(input.files[0]); };
  input.click();
}
export const MATCH_FILES = ".toml", MAP_FILES = ".geojson,.json,.kml,.kmz,.gpx,.osm,.xml,.toml", PICTURE_FILES = "image/png,image/jpeg,image/webp";

export const foundWords = found => found.words || `Found a ground of ${inUnit(found.length_m, true)} by ${inUnit(found.width_m, true)}, good to ${found.off_m}\u00a0m. `
  + `Its length lies at ${Math.round(found.bearing_deg)} degrees.`;

export async function useFound(found, keepSize) {
  const isSize = edit => edit.part === "venue" && /^(length|width)/.test(edit.field || "");
  const done = await change(`ground from ${screen.found.file}`, found.edits.filter(edit => !(keepSize && isSize(edit))));
  if (done.ok) { screen.found = null; say("The ground is in place."); }
  redraw();
}

export function startFiles() {
  addEventListener("dragover", event => event.preventDefault());
  addEventListener("drop", event => {
    event.preventDefault();
    const file = event.dataTransfer?.files[0];
    if (file) bring(file);
  });
  addEventListener("beforeunload", event => { if (server.isStopped && server.match?.file.unsaved) event.preventDefault(); });
}
