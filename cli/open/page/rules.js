// Question 6: what the film is for, whose match it is, the rules of a competition, what mustn't be missed.
import { h } from "./dom.js";
import { said, server, ground, sportNow } from "./state.js";
import { change, put } from "./talk.js";
import { choice, field, number, pick } from "./fields.js";
import { isPlace, things } from "./things.js";
import { count } from "./words.js";

export function rulesPanel() {
  const match = said("match"), rules = said("rules"), catalogue = server.catalogue, sport = ground().sport;
  const competitions = catalogue.competitions.filter(one => one.sports.includes(sport)), out = things().filter(thing => isPlace(thing) && thing.removed).length;
  return [
    labelled("What's the film for?", pick("What's the film for?", match.deliverable || "highlights", catalogue.deliverables.map(one => [one.key, one.name]), value => change("what it's for", [put("match", "deliverable", value)]), { look: "four" })),
    labelled("Whose match is it?", pick("Whose match is it?", match.cover || "both", [["ours", "We film one side"], ["both", "Both alike"]], value => change("whose match", [put("match", "cover", value)]))),
    field("Whose rules apply?", "competition", choice("competition", match.rules || "", [["", "None, or I don't know"], ...competitions.map(one => [one.key, one.name])],
      value => change("rules", [put("match", "rules", value || null)], { field: "competition" })),
    match.rules ? h("p", { class: "help" }, out ? `${count(out, "place")} ${out === 1 ? "is" : "are"} left out. ` : "", "Your competition's own word goes first: ask.") : null),
    labelled("May a camera move between the parts of the match?", pick("May a camera move between the parts of the match?", rules.moves || "free", [["free", "Yes"], ["never", "No"]], value => change("moving", [put("rules", "moves", value)]), { key: "moves" })),
    missed(sportNow()?.moments || []),
  ];
}
const labelled = (words, inner) => h("div", { class: "field", key: words }, h("span", { class: "label", "aria-hidden": "true" }, words), inner);

// One moment that must be captured to a share; a file that asks for more keeps them, each with its own line.
function missed(moments) {
  const asked = Object.entries(said("must_cover")), free = moments.filter(moment => !asked.some(([key]) => key === moment.key));
  const name = key => (moments.find(moment => moment.key === key) || { name: key }).name;
  return field("What mustn't be missed?", "must",
    asked.map(([key, share]) => h("div", { class: "acts", key: `must ${key}` }, h("label", { for: `share ${key}` }, `${name(key)}: at least`),
      h("span", { class: "v" }, number(`share ${key}`, Math.round(share * 100), value => change("what mustn't be missed", [put("must_cover", key, value / 100)], { field: `share ${key}` }), { step: 5, low: 1, high: 100 }), "%"),
      h("button", { key: `drop ${key}`, "aria-label": `${name(key)} may be missed`, onclick: () => change("what mustn't be missed", [put("must_cover", key, null)]) }, "\u00d7"))),
    choice("must", "", [["", asked.length ? "Something else\u2026" : "Nothing special"], ...free.map(moment => [moment.key, moment.name])],
      key => key && change("what mustn't be missed", [put("must_cover", key, 0.5)], { field: "must" })));
}
