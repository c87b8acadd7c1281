// Words that the page itself needs while something moves. All settled words come from the server.
import { ground } from "./state.js";

// The nearest fraction that people use, as `cli/words/shares.py` says it; a test compares the two.
const FRACTIONS = [[1 / 10, "a tenth"], [1 / 8, "an eighth"], [1 / 6, "a sixth"], [1 / 5, "a fifth"], [1 / 4, "a quarter"], [1 / 3, "a third"], [2 / 5, "two-fifths"],
  [1 / 2, "half"], [3 / 5, "three-fifths"], [2 / 3, "two-thirds"], [3 / 4, "three-quarters"], [4 / 5, "four-fifths"], [9 / 10, "nine-tenths"]];

export function about(share) {
  if (share >= 0.95) return "nearly all";
  if (share < 0.07) return "hardly any";
  return `about ${FRACTIONS.reduce((a, b) => (Math.abs(b[0] - share) < Math.abs(a[0] - share) ? b : a))[1]}`;
}
export const capital = text => text.charAt(0).toUpperCase() + text.slice(1);
// Names in a row: "A", "A and B", "A, B and C".
export const listed = names => (names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`);
export const count = (n, one, many = `${one}s`) => `${n}\u00a0${n === 1 ? one : many}`;

// A lens as people say it: "70-200 mm f/2.8".
export function lensWords(lens) {
  const found = lens.match(/^(\d+(?:\.\d+)?(?:-\d+(?:\.\d+)?)?)(?: ?mm)?(?:[ ]*(?:f\/?|\/)[ ]*(\d+(?:\.\d+)?))?$/i);
  return found ? `${found[1]}\u00a0mm${found[2] ? ` f/${found[2]}` : ""}` : lens;
}

// A lens as people type it, in the form of the match file; null if it can't be read.
export function readLens(text) {
  const found = text.trim().match(/^(\d{1,4}(?:\.\d)?)(?:\s*[-\u2013]\s*(\d{1,4}(?:\.\d)?))?\s*(?:mm)?\s*(?:f\s*\/?\s*|\/\s*|\s)(\d+(?:[.,]\d+)?)$/i);
  if (!found) return null;
  const [, low, high, stop] = found;
  return `${low}${high ? `-${high}` : ""}/${stop.replace(",", ".")}`;
}

// "52.61, 1.38" as two numbers, or words that say what is wrong with it.
export function readPlace(text) {
  const found = text.trim().replace(/[()]/g, "").match(/^(-?\d+(?:\.\d+)?)\s*\u00b0?\s*([NS])?[,;\s]+(-?\d+(?:\.\d+)?)\s*\u00b0?\s*([EW])?$/i);
  if (!found) return { words: "Write latitude and longitude like this: 52.61, 1.38" };
  const [, a, ns, b, ew] = found;
  const latitude = a * (/s/i.test(ns || "") ? -1 : 1), longitude = b * (/w/i.test(ew || "") ? -1 : 1);
  if (Math.abs(latitude) > 90) return { words: `${a} can't be a latitude. Write latitude first: 52.61, 1.38` };
  if (Math.abs(longitude) > 180) return { words: `${b} can't be a longitude. Write latitude first: 52.61, 1.38` };
  return { latitude, longitude };
}

const DIRECTIONS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
export const direction = deg => DIRECTIONS[Math.round(deg / 45) % 8];

// Letters without accents and case, so that any way of typing finds a name.
export const plain = text => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

// Names that run from right to left are isolated, so that a number beside one stays where it was said.
const RTL = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]/, ISOLATE = ["\u2068", "\u2069"];
function isolated(text) {
  const g = ground(), names = g ? [...Object.values(g.sides), ...g.places].map(one => one.name).filter(name => RTL.test(name)) : [];
  return [...new Set(names)].reduce((whole, name) => whole.replaceAll(name, ISOLATE.join(name)), text);
}

// A number never breaks from its unit.
export const held = text => isolated(text).replace(/(\d) (?=(?:m|mm|ft|yd|%|s|min|km|kg)(?:\W|$))/g, "$1\u00a0");
