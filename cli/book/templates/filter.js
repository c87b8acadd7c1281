"use strict";
const box = document.getElementById("filter"), short = document.getElementById("short"), count = document.getElementById("count");
const plain = text => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const pins = new Map([...document.querySelectorAll(".pins a")].map(pin => [pin.getAttribute("href"), pin]));
const rows = [...document.querySelectorAll(".grounds tbody tr")].map(row => ({
  row, pin: pins.get(row.querySelector("a").getAttribute("href")), isShort: row.lastElementChild.textContent !== "",
  words: plain(row.textContent + " " + row.dataset.path),
}));
const show = () => {
  const wanted = plain(box.value).split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const { row, pin, isShort, words } of rows) {
    const keep = (isShort || !short.checked) && wanted.every(w => words.includes(w));
    row.hidden = !keep;
    pin?.classList.toggle("off", !keep);
    shown += keep;
  }
  count.textContent = wanted.length || short.checked ? `${shown} of ${rows.length}` : "";
};
box.closest(".filter").hidden = false;
for (const input of [box, short]) input.addEventListener("input", show);
show();
