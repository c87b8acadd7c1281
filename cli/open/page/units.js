// Lengths as the match writes them: metres, feet or yards.
import { ground, said } from "./state.js";

export const PER_M = { m: 1, ft: 1 / 0.3048, yd: 1 / 0.9144 };

export const unit = () => (ground() && PER_M[ground().unit] ? ground().unit : "m");
export const shown = (value_m, digits = 2) => String(+(value_m * PER_M[unit()]).toFixed(digits));
export const metres = shownValue => Math.round(shownValue / PER_M[unit()] * 1000) / 1000;

// A length with its unit, held together: "24 m".
export const inUnit = (value_m, isFine = false) => `${shown(value_m, isFine && unit() === "m" ? 1 : unit() === "m" && value_m % 1 ? 1 : 0)}\u00a0${unit()}`;

// Heights: where a ground is measured in yards they are feet.
export const heightUnit = () => (unit() === "yd" ? "ft" : unit());
export const shownHeight = value_m => String(+(value_m * PER_M[heightUnit()]).toFixed(heightUnit() === "m" ? 2 : 1));
export const heightMetres = shownValue => Math.round(shownValue / PER_M[heightUnit()] * 1000) / 1000;
export const inHeight = value_m => `${+(value_m * PER_M[heightUnit()]).toFixed(heightUnit() === "m" ? 1 : 0)}\u00a0${heightUnit()}`;

// The unit in which the file says how big the ground is; before it does, that of the sport.
export function sizeUnit() {
  const venue = said("venue");
  for (const name of ["length", "width"]) {
    if (venue[`${name}_m`] !== undefined) return "m";
    if (venue[`${name}_ft`] !== undefined) return "ft";
    const written = /(m|ft|yd)$/.exec(venue[name] || "");
    if (written) return written[1];
  }
  return unit();
}
export const shownSize = (value_m, digits = 2) => String(+(value_m * PER_M[sizeUnit()]).toFixed(digits));

// How a size of the ground is written: metres and feet as numbers, yards in words.
export function sizeEdits(name, value, as = sizeUnit()) {
  const keep = { m: `${name}_m`, ft: `${name}_ft`, yd: name }[as], written = as === "yd" ? `${value} yd` : value;
  const fields = [`${name}_m`, `${name}_ft`, name].filter(field => field === keep || said("venue")[field] !== undefined);
  return fields.map(field => ({ do: "put", part: "venue", field, value: field === keep ? written : null }));
}
export const sizesIn = as => ["length", "width"].flatMap(name => sizeEdits(name, +(ground()[`${name}_m`] * PER_M[as]).toFixed(2), as));
