// After the match: count what happened and what was got; the counts stay on this phone and leave as a file.
(() => {
  const byId = id => document.getElementById(id);
  const log = JSON.parse(byId("data").textContent).log;
  const WHY = ["too far", "someone in the way", "too late", "faced away", "light", "not my job"];
  const store = `standmark log ${log.digest}`;
  const counts = kept();
  const chosen = { camera: 0, period: 0, end: 0 };

  function kept() {
    try {
      const found = JSON.parse(localStorage.getItem(store));
      return found && typeof found === "object" ? found : {};
    } catch {
      return {};
    }
  }

  function keep() {
    try {
      localStorage.setItem(store, JSON.stringify(counts));
      byId("log-said").textContent = "Kept on this phone.";
    } catch {
      byId("log-said").textContent = "This browser keeps nothing: save the file before you close the page.";
    }
  }

  const keyOf = (moment, camera, period, end) => [camera, period, end, moment].join(" ");
  const own = moment => keyOf(moment, chosen.camera, chosen.period, log.moments[moment].sided ? chosen.end : 2);

  function change(moment, part, step) {
    const key = own(moment);
    const count = counts[key] || { happened: 0, got: 0, why: "" };
    count[part] = Math.min(Math.max(count[part] + step, 0), 9999);
    if (part === "got") count.happened = Math.max(count.happened, count.got);
    else count.got = Math.min(count.got, count.happened);
    counts[key] = count;
    keep();
    show();
  }

  function button(text, name, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = text;
    made.setAttribute("aria-label", name);
    made.addEventListener("click", act);
    return made;
  }

  function counter(moment, part, words) {
    const name = log.moments[moment].name;
    const line = document.createElement("p");
    line.className = "counter";
    const value = document.createElement("output");
    value.dataset.moment = moment;
    value.dataset.part = part;
    const label = document.createElement("span");
    label.textContent = words;
    line.append(
      label,
      button("\u2212", `${name}, ${words}: one fewer`, () => change(moment, part, -1)),
      value,
      button("+", `${name}, ${words}: one more`, () => change(moment, part, 1)),
    );
    return line;
  }

  function reason(moment) {
    const label = document.createElement("label");
    label.append("Why not? ");
    const select = document.createElement("select");
    select.dataset.why = moment;
    select.setAttribute("aria-label", `${log.moments[moment].name}: why not`);
    for (const words of ["", ...WHY]) select.append(new Option(words || "no reason", words));
    select.addEventListener("change", () => {
      const key = own(moment);
      counts[key] = { ...(counts[key] || { happened: 0, got: 0 }), why: select.value };
      keep();
    });
    label.append(select);
    return label;
  }

  function show() {
    for (const value of document.querySelectorAll("#log-rows output")) {
      const count = counts[own(Number(value.dataset.moment))];
      value.textContent = count ? count[value.dataset.part] : 0;
    }
    for (const select of document.querySelectorAll("#log-rows select")) {
      const count = counts[own(Number(select.dataset.why))];
      select.value = (count && count.why) || "";
    }
  }

  // a text that a spreadsheet would take for a formula is written so that it is none
  function cell(value) {
    let text = String(value);
    if (/^\s*-/.test(text)) text = text.replace("-", "\u2212");
    else if (/^\s*[=+@\uff1d\uff0b\uff20]/.test(text)) text = `'${text}`;
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  }

  function table() {
    const rows = [["moment", "end", "period", "happened", "got", "why", "camera"]];
    log.cameras.forEach((camera, c) => log.periods.forEach((period, p) => log.moments.forEach((moment, m) => {
      for (const end of moment.sided ? [0, 1] : [2]) {
        const count = counts[keyOf(m, c, p, end)];
        if (count && (count.happened || count.got)) {
          rows.push([moment.name, log.ends[end] || "", period, count.happened, count.got,
            count.happened > count.got ? count.why : "", camera]);
        }
      }
    })));
    return `# plan ${log.digest}\r\n${rows.map(row => row.map(cell).join(",")).join("\r\n")}\r\n`;
  }

  byId("log-save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([table()], { type: "text/csv" }));
    link.download = "log.csv";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    byId("log-said").textContent = "Saved as log.csv. Next: standmark log plan.json log.csv";
  });

  for (const part of ["camera", "period", "end"]) {
    for (const input of document.querySelectorAll(`input[name="log-${part}"]`)) {
      input.addEventListener("change", () => { chosen[part] = Number(input.value); show(); });
    }
  }

  log.moments.forEach((moment, index) => {
    const row = document.createElement("li");
    const name = document.createElement("b");
    name.textContent = moment.name;
    row.append(name, counter(index, "happened", "it happened"), counter(index, "got", "I got it"), reason(index));
    byId("log-rows").append(row);
  });
  show();
})();
