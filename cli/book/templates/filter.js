"use strict";
const box = document.getElementById("filter"), count = document.getElementById("count");
const rows = [...document.querySelectorAll(".grounds tbody tr")];
const plain = text => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const words = rows.map(row => plain(row.textContent));
box.closest(".filter").hidden = false;
box.addEventListener("input", () => {
  const wanted = plain(box.value).split(/\s+/).filter(Boolean);
  let shown = 0;
  rows.forEach((row, i) => { const keep = wanted.every(w => words[i].includes(w)); row.hidden = !keep; shown += keep; });
  count.textContent = wanted.length ? `${shown} of ${rows.length}` : "";
});
