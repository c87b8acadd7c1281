"use strict";
(() => {
  const SVG = "http://www.w3.org/2000/svg";
  const NEAR_M = 0.05, GOLDEN = Math.PI * (3 - Math.sqrt(5)), ARM_M = 0.9, ASIDE_M = 0.8;
  const SHARES = [0.1, 0.3, 0.5, 0.7, 0.9], LOSSES = [0.2, 0.1, 0.06, 0.03, 0.01];
  const INNER = 0.9, REACH = 0.95, HAS_FROM = 0.1, BODY_MM = 3, FINGER_MM = 6;
  const byId = id => document.getElementById(id);
  const data = JSON.parse(byId("data").textContent);
  const bytes = text => Uint8Array.from(atob(text), c => c.charCodeAt(0));
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/", STEPS = 63;
  const stepOf = new Map([...LETTERS].map((letter, step) => [letter, step]));
  const steps = text => Uint8Array.from(text, letter => stepOf.get(letter));
  const floats = text => new Float32Array(bytes(text).buffer);
  const clamp = (v, low, high) => Math.min(Math.max(v, low), high);
  const fixed = v => (Math.round(clamp(v, -1e5, 1e5) * 100) / 100).toString();
  const percent = share => `${Math.round(100 * share)}\u00a0%`;

  function metres(value) {
    if (data.units === "imperial") return `${Math.round(value / 0.3048)} ft`;
    return Math.abs(value) < 10 ? `${Math.round(value * 2) / 2} m` : `${Math.round(value)} m`;
  }

  function make(name, attributes, parent) {
    const element = document.createElementNS(SVG, name);
    for (const key in attributes) element.setAttribute(key, attributes[key]);
    if (parent) parent.append(element);
    return element;
  }

  // ---- tables, unpacked once

  const stretches = data.stretches.map(part => ({
    ...part,
    weight: floats(part.targets.weight),
    kind: bytes(part.targets.moment),
    quality: steps(part.targets.quality),
    seen: steps(part.targets.seen),
    worth: floats(part.cells.worth),
    top: bytes(part.cells.moment),
    here: bytes(part.cells.quality),
    seenHere: bytes(part.cells.seen),
    seenAll: part.seen,
    step: part.cells.step,
    cells: part.cells.at,
  }));
  const state = { stretch: 0, camera: 0, places: [...stretches[0].planned], cell: 0, map: "moments", moving: false };
  const now = () => stretches[state.stretch];
  const rowOf = camera => now().choice[camera][state.places[camera]];
  const placeAt = place => [now().places[2 * place], now().places[2 * place + 1]];
  const cellAt = cell => [(now().cells[2 * cell] + 0.5) * now().step, (now().cells[2 * cell + 1] + 0.5) * now().step];
  const at = (table, camera, cell) => table[rowOf(camera) * now().worth.length + cell] / 255;
  const value = (camera, cell) => at(now().here, camera, cell), share = (camera, cell) => at(now().seenHere, camera, cell);

  // Mean over everything that happens, and over each kind of moment, of the best that some rows of a table get.
  function taken(table, rows) {
    const part = now(), n = part.weight.length, kinds = new Float64Array(data.moments.length);
    const weights = new Float64Array(data.moments.length);
    let sum = 0;
    for (let t = 0; t < n; t++) {
      let best = 0;
      for (const row of rows) best = Math.max(best, table[row * n + t]);
      sum += part.weight[t] * best;
      kinds[part.kind[t]] += part.weight[t] * best;
      weights[part.kind[t]] += part.weight[t];
    }
    return { all: sum / STEPS, kinds: kinds.map((v, i) => weights[i] ? v / STEPS / weights[i] : 0) };
  }
  const rows = () => data.cameras.map((_, camera) => rowOf(camera));
  const plannedRows = () => data.cameras.map((_, camera) => now().choice[camera][now().planned[camera]]);

  function owner(cell) {
    let best = 0;
    for (let camera = 1; camera < data.cameras.length; camera++) {
      if (value(camera, cell) > value(best, cell) + 1e-9) best = camera;
    }
    return best;
  }

  // ---- the ground

  const plan = byId("plan"), ground = data.ground;
  const onPage = (x, y) => [ground.x + x * ground.mmPerM, ground.y - y * ground.mmPerM];
  function onGround(event) {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(plan.getScreenCTM().inverse());
    return [(at.x - ground.x) / ground.mmPerM, (ground.y - at.y) / ground.mmPerM];
  }
  const circle = (x, y, r) => `M${fixed(x - r)} ${fixed(y)}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`;
  const nearest = (count, at, [x, y], allowed) => {
    let best = -1, least = Infinity;
    for (let i = 0; i < count; i++) {
      if (allowed && !allowed(i)) continue;
      const [px, py] = at(i), away = Math.hypot(px - x, py - y);
      if (away < least) { least = away; best = i; }
    }
    return best;
  };
  const mayStand = camera => place => now().choice[camera][place] >= 0;

  function squares(chosen) {
    const side = fixed(now().step * Math.abs(ground.mmPerM)), turned = ground.mmPerM < 0;
    let path = "";
    for (let cell = 0; cell < now().worth.length; cell++) {
      if (!chosen(cell)) continue;
      const [cx, cy] = [now().cells[2 * cell], now().cells[2 * cell + 1]];
      const [x, y] = onPage((cx + turned) * now().step, (cy + !turned) * now().step);
      path += `M${fixed(x)} ${fixed(y)}h${side}v${side}h-${side}z`;
    }
    return path;
  }

  function drawMap() {
    const layer = byId("map");
    layer.replaceChildren();
    const show = state.map;
    if (show === "moments") {
      let path = "";
      for (let i = 0; i < now().dots.length; i += 2) path += circle(...onPage(now().dots[i], now().dots[i + 1]), 0.45);
      make("path", { class: "dot", d: path }, layer);
    } else if (show === "best") {
      const best = cell => Math.max(...data.cameras.map((_, camera) => share(camera, cell)));
      for (let band = 0; band <= SHARES.length; band++) {
        const d = squares(cell => SHARES.filter(edge => best(cell) >= edge).length === band);
        if (d) make("path", { class: `tone-${band}`, d }, layer);
      }
    } else {
      data.cameras.forEach((_, camera) => {
        const d = squares(cell => owner(cell) === camera && share(camera, cell) >= HAS_FROM);
        if (d) make("path", { class: "owned", fill: `url(#hatch-of-${camera})`, d }, layer);
      });
    }
  }

  function drawValues() {
    const layer = byId("values"), part = now();
    layer.replaceChildren();
    const others = rows();
    const values = part.choice[state.camera].map(row => {
      if (row < 0) return -1;
      others[state.camera] = row;
      return taken(part.quality, others).all;
    });
    const best = Math.max(...values);
    values.forEach((value, place) => {
      if (value < 0) return;
      const band = LOSSES.filter(edge => best - value < edge).length;
      make("path", { class: `value-${band}`, d: circle(...onPage(...placeAt(place)), 0.9) }, layer);
    });
  }

  function sector(camera) {
    const part = now(), [x, y] = placeAt(state.places[camera]), work = [];
    let total = 0, sine = 0, cosine = 0;
    for (let cell = 0; cell < part.worth.length; cell++) {
      if (owner(cell) !== camera) continue;
      const [cx, cy] = cellAt(cell), amount = part.worth[cell] * value(camera, cell);
      const turn = Math.atan2(cy - y, cx - x);
      work.push({ turn, away: Math.hypot(cx - x, cy - y), amount });
      total += amount; sine += amount * Math.sin(turn); cosine += amount * Math.cos(turn);
    }
    if (!total) return "";
    const mean = Math.atan2(sine, cosine);
    for (const w of work) w.off = ((w.turn - mean + 3 * Math.PI) % (2 * Math.PI)) - Math.PI;
    const at = (key, part_) => {
      let sum = 0;
      const sorted = [...work].sort((a, b) => a[key] - b[key]);
      for (const w of sorted) { sum += w.amount; if (sum >= part_ * total) return w[key]; }
      return sorted[sorted.length - 1][key];
    };
    const low = mean + at("off", (1 - INNER) / 2), high = mean + at("off", (1 + INNER) / 2), reach = at("away", REACH);
    const points = [[x, y]];
    for (let i = 0; i <= 24; i++) {
      const turn = low + (high - low) * i / 24;
      points.push([x + reach * Math.cos(turn), y + reach * Math.sin(turn)]);
    }
    return "M" + points.map(([px, py]) => onPage(px, py).map(fixed).join(" ")).join("L") + "Z";
  }

  const handles = data.cameras.map((name, camera) => {
    const wedge = make("path", { class: `sector-${camera}` }, byId("sectors"));
    const edge = make("path", { class: `ray-${camera}`, fill: "none" }, byId("sectors"));
    const group = make("g", { class: "handle", tabindex: "0", role: "slider", "aria-label": `Camera ${name}, place`,
      "aria-orientation": "horizontal", "aria-valuemin": "1" }, byId("live"));
    make("circle", { class: "finger", r: FINGER_MM }, group);
    make("circle", { class: `camera-${camera}`, r: BODY_MM }, group);
    const letter = make("text", { class: "on-camera", y: 1.5, "font-size": 4.2, "text-anchor": "middle" }, group);
    letter.textContent = [...name][0];
    group.addEventListener("pointerdown", event => {
      group.setPointerCapture(event.pointerId);
      group.focus({ preventScroll: true });
      pick(camera);
      event.preventDefault();
    });
    group.addEventListener("pointermove", event => {
      if (group.hasPointerCapture(event.pointerId)) {
        const next = nearest(now().places.length / 2, placeAt, onGround(event), mayStand(camera));
        group.dragged = group.dragged || next !== state.places[camera];
        move(camera, next);
      }
    });
    group.addEventListener("click", event => {
      event.stopPropagation();
      if (!group.dragged) { state.moving = camera !== state.camera || !state.moving; pick(camera); update(); }
      group.dragged = false;
    });
    group.addEventListener("focus", () => pick(camera));
    group.addEventListener("keydown", event => {
      const next = event.key === "Home" ? now().planned[camera]
        : step(event.key, state.places[camera], now().places.length / 2, placeAt, mayStand(camera));
      if (next === undefined) return;
      event.preventDefault();
      move(camera, next);
    });
    return { wedge, edge, group };
  });

  // Nearest place in the direction of an arrow key.
  function step(key, from, count, at, allowed) {
    const turn = Math.sign(ground.mmPerM);
    const way = Array.isArray(key) ? key
      : { ArrowRight: [turn, 0], ArrowLeft: [-turn, 0], ArrowUp: [0, turn], ArrowDown: [0, -turn] }[key];
    if (!way) return undefined;
    const [x, y] = at(from);
    let best = from, least = Infinity;
    for (let i = 0; i < count; i++) {
      if (i === from || (allowed && !allowed(i))) continue;
      const [px, py] = at(i), away = Math.hypot(px - x, py - y);
      const along = ((px - x) * way[0] + (py - y) * way[1]) / away;
      if (along > 0.5 && away / along < least) { least = away / along; best = i; }
    }
    return best;
  }

  const cross = make("g", { class: "cross", tabindex: "0", role: "slider", "aria-label": "Place to look at",
    "aria-valuemin": "1" }, byId("live"));
  make("circle", { class: "finger", r: 4 }, cross);
  make("path", { class: "cross-line", fill: "none", d: "M-3 0h2M1 0h2M0 -3v2M0 1v2M-2 0a2 2 0 1 0 4 0a2 2 0 1 0 -4 0" }, cross);
  cross.addEventListener("keydown", event => {
    const next = step(event.key, state.cell, now().worth.length, cellAt);
    if (next === undefined) return;
    event.preventDefault();
    look(next);
  });

  // ---- the frame

  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

  function viewFrom(lens, at, focal, outfit) {
    const away = at.map((v, i) => v - lens[i]);
    const pan = Math.atan2(away[1], away[0]), tilt = Math.atan2(away[2], Math.hypot(away[0], away[1]));
    const [sp, cp, st, ct] = [Math.sin(pan), Math.cos(pan), Math.sin(tilt), Math.cos(tilt)];
    const width = 160, height = width * outfit.px[1] / outfit.px[0];
    return {
      lens, tilt, width, height,
      axes: [[sp, -cp, 0], [st * cp, st * sp, -ct], [ct * cp, ct * sp, st]],
      perTan: [focal * width / outfit.mm[0], focal * height / outfit.mm[1]],
    };
  }
  const seen = (view, p) => {
    const away = [p[0] - view.lens[0], p[1] - view.lens[1], p[2] - view.lens[2]];
    return view.axes.map(axis => dot(axis, away));
  };
  const toPage = (view, s) =>
    [view.width / 2 + view.perTan[0] * s[0] / s[2], view.height / 2 + view.perTan[1] * s[1] / s[2]];
  const atNear = (a, b) => {
    const part = (NEAR_M - a[2]) / (b[2] - a[2]);
    return a.map((v, i) => v + part * (b[i] - v));
  };

  function outline(view, points, isLine) {
    const s = points.map(p => seen(view, p));
    if (s.every(p => p[2] >= NEAR_M)) {
      return "M" + s.map(p => toPage(view, p).map(fixed).join(" ")).join("L") + (isLine ? "" : "Z");
    }
    const runs = [[]];
    for (let i = 0; i < s.length; i++) {
      const before = s[i ? i - 1 : s.length - 1];
      if ((i || !isLine) && (before[2] >= NEAR_M) !== (s[i][2] >= NEAR_M)) runs[runs.length - 1].push(atNear(before, s[i]));
      if (s[i][2] >= NEAR_M) runs[runs.length - 1].push(s[i]);
      else if (isLine && runs[runs.length - 1].length) runs.push([]);
    }
    return runs.filter(run => run.length > 1)
      .map(run => "M" + run.map(p => toPage(view, p).map(fixed).join(" ")).join("L") + (isLine ? "" : "Z")).join("");
  }

  const triples = flat => {
    const points = [];
    for (let i = 0; i < flat.length; i += 3) points.push([flat[i], flat[i + 1], flat[i + 2]]);
    return points;
  };
  const lying = data.scene.lying.map(([style, isLine, flat]) => ({ style, isLine, points: triples(flat) }));
  const standing = data.scene.standing.map(([style, isLine, flat]) => ({ style, isLine, points: triples(flat) }));

  function people(moment, at, lens) {
    const places = [], onGround_ = moment.isPlay ? 2 * data.players : 0;
    const wanted = Math.round(moment.crowd * Math.PI * moment.radius ** 2);
    const near = Math.min(wanted, moment.isPlay ? Math.max(onGround_ - 1, 0) : 40);
    for (let i = 0; i < near; i++) {
      const away = Math.max(moment.radius * Math.sqrt((i + 0.5) / Math.max(near, 1)), ARM_M), turn = i * GOLDEN + 1;
      places.push([at[0] + away * Math.cos(turn), at[1] + away * Math.sin(turn)]);
    }
    const rest = Math.max(onGround_ - 1 - near, 0), spread = [];
    if (rest === 1) spread.push([2 * data.middle[0] - at[0], 2 * data.middle[1] - at[1]]);
    for (let i = 0; i < data.rest.length; i += 2) spread.push([data.rest[i], data.rest[i + 1]]);
    const apart = spread.filter(p => Math.hypot(p[0] - at[0], p[1] - at[1]) > moment.radius).slice(0, rest);
    return [at, ...[...places, ...apart].map(p => stepAside(p, at, lens))];
  }

  function stepAside(p, at, lens) {
    const run = Math.hypot(at[0] - lens[0], at[1] - lens[1]);
    if (!run) return p;
    const ahead = [(at[0] - lens[0]) / run, (at[1] - lens[1]) / run], left = [-ahead[1], ahead[0]];
    const away = [p[0] - lens[0], p[1] - lens[1]];
    const along = away[0] * ahead[0] + away[1] * ahead[1], off = away[0] * left[0] + away[1] * left[1];
    if (along <= 0 || along >= run || Math.abs(off) >= ASIDE_M) return p;
    const move_ = (off < 0 ? -ASIDE_M : ASIDE_M) - off;
    return [p[0] + move_ * left[0], p[1] + move_ * left[1]];
  }

  function drawFrame() {
    const svg = byId("frame"), part = now(), row = part.rows[rowOf(state.camera)], outfit = part.outfits[row.outfit];
    const moment = data.moments[part.top[state.cell]], at = cellAt(state.cell), middle = [...at, moment.middle];
    const distance = Math.hypot(...middle.map((v, i) => v - row.xyz[i]));
    const focal = clamp(distance / outfit.reach[state.camera][part.top[state.cell]], ...outfit.focal), view = viewFrom(row.xyz, middle, focal, outfit);
    const { width, height } = view;
    svg.setAttribute("viewBox", `0 0 ${width} ${fixed(height)}`);
    svg.replaceChildren();
    make("path", { class: data.scene.behind, d: `M0 0H${width}V${fixed(height)}H0Z` }, svg);
    const level = clamp(height / 2 + view.perTan[1] * Math.tan(view.tilt), 0, height);
    make("path", { class: "land", d: `M0 ${fixed(level)}H${width}V${fixed(height)}H0Z` }, svg);
    for (const piece of lying) paint(svg, view, piece);
    const right = view.axes[0], across = Math.hypot(right[0], right[1]);
    const figures = people(moment, at, row.xyz).map((p, i) => {
      const points = [];
      for (let k = 0; k < data.figure.length; k += 2) {
        const [out, up] = [data.figure[k] * moment.subject / across, data.figure[k + 1] * moment.subject];
        points.push([p[0] + out * right[0], p[1] + out * right[1], up]);
      }
      return { style: i ? `side-${i % 2}` : "subject", isLine: 0, points };
    });
    const pieces = [...standing, ...figures].map(piece => ({
      ...piece, depth: piece.points.reduce((sum, p) => sum + seen(view, p)[2], 0) / piece.points.length }));
    pieces.sort((a, b) => b.depth - a.depth).forEach(piece => paint(svg, view, piece));
    make("path", { class: "action-safe", fill: "none",
      d: `M${width * 0.035} ${fixed(height * 0.035)}H${width * 0.965}V${fixed(height * 0.965)}H${width * 0.035}Z` }, svg);
    const tall = moment.subject * focal / distance / outfit.mm[1];
    const shares = data.cameras.map((name, camera) => (camera ? `${name} ` : `camera ${name} gets `) + percent(share(camera, state.cell)) + (camera ? "" : " of them"));
    const said = `${moment.name}, ${metres(distance)} from camera ${data.cameras[state.camera]}, ${outfit.lens} at ` +
      `${Math.round(focal)} mm: a person fills ${Math.round(100 * tall)}\u00a0% of the frame height.`;
    byId("frame-words").textContent = said;
    byId("has-words").textContent = `${moment.name} here: ${shares.join(", ")}.`;
    svg.setAttribute("aria-label", `What camera ${data.cameras[state.camera]} sees: ${said}`);
  }

  function paint(svg, view, piece) {
    const d = outline(view, piece.points, piece.isLine);
    if (d) make("path", piece.isLine ? { class: piece.style, fill: "none", d } : { class: piece.style, d }, svg);
  }

  // ---- what is chosen, and what follows

  function pick(camera) {
    if (camera === state.camera) return;
    state.camera = camera;
    update();
  }
  function move(camera, place) {
    if (place < 0 || (camera === state.camera && place === state.places[camera])) return;
    state.camera = camera;
    state.places[camera] = place;
    update();
  }
  function look(cell) {
    state.cell = cell;
    state.camera = owner(cell);
    update();
  }

  function changes(found, before) {
    const moved = data.moments.map((moment, i) => ({ name: moment.name, by: found.kinds[i] - before.kinds[i], i }))
      .filter(m => Math.abs(m.by) >= 0.02).sort((a, b) => Math.abs(b.by) - Math.abs(a.by)).slice(0, 4);
    return moved.map(m => `${m.name} ${percent(before.kinds[m.i])} to ${percent(found.kinds[m.i])}`).join(", ");
  }

  function update() {
    const part = now(), found = taken(part.seen, rows()), before = taken(part.seen, plannedRows());
    const seen_ = part.seenAll + found.all - before.all;
    const gain = 100 * (taken(part.quality, rows()).all - taken(part.quality, plannedRows()).all);
    const isPlan = state.places.every((place, camera) => place === part.planned[camera]);
    const by = Math.abs(gain) < 0.05 ? "worth the same" : `worth ${Math.abs(gain).toFixed(1)}\u00a0% ${gain < 0 ? "less" : "more"}`;
    byId("coverage").textContent = isPlan ? `As planned: you get ${percent(seen_)} of the match.`
      : `Here you get ${percent(seen_)} of the match, as planned ${percent(part.seenAll)}: ${by}.`;
    byId("ground").classList.toggle("moving", state.moving);
    byId("moving").setAttribute("aria-pressed", state.moving);
    byId("moving").textContent = state.moving ? "Done moving" : `Move camera ${data.cameras[state.camera]}`;
    byId("steps").hidden = byId("how-to-move").hidden = !state.moving;
    byId("changes").textContent = isPlan ? "" : changes(found, before);
    byId("reset").disabled = isPlan;
    data.cameras.forEach((name, camera) => {
      const { wedge, edge, group } = handles[camera], d = sector(camera), row = part.rows[rowOf(camera)];
      wedge.setAttribute("d", d);
      edge.setAttribute("d", d);
      group.setAttribute("transform", `translate(${onPage(...placeAt(state.places[camera])).map(fixed).join(" ")})`);
      group.setAttribute("aria-valuemax", part.places.length / 2);
      group.setAttribute("aria-valuenow", state.places[camera] + 1);
      group.setAttribute("aria-valuetext", `${row.words}; ${part.outfits[row.outfit].lens}`);
      group.classList.toggle("chosen", camera === state.camera);
    });
    const chosen = part.rows[rowOf(state.camera)];
    byId("stand").textContent = isPlan ? "" : `Camera ${data.cameras[state.camera]}: ${chosen.words}; ${part.outfits[chosen.outfit].lens} mm.`;
    cross.setAttribute("transform", `translate(${onPage(...cellAt(state.cell)).map(fixed).join(" ")})`);
    cross.setAttribute("aria-valuemax", part.worth.length);
    cross.setAttribute("aria-valuenow", state.cell + 1);
    document.querySelectorAll("[data-stretch]").forEach(element => {
      element.classList.toggle("off", Number(element.dataset.stretch) !== state.stretch ||
        (element.dataset.camera !== undefined && Number(element.dataset.camera) !== state.camera));
    });
    document.querySelectorAll("[data-camera-only]").forEach(part =>
      part.classList.toggle("off", Number(part.dataset.cameraOnly) !== state.camera));
    for (const input of document.querySelectorAll("input[name=camera]")) input.checked = Number(input.value) === state.camera;
    for (const key of document.querySelectorAll("[data-map]")) key.classList.toggle("off", key.dataset.map !== state.map);
    drawMap();
    drawValues();
    drawFrame();
    cross.setAttribute("aria-valuetext", `${byId("has-words").textContent} ${byId("frame-words").textContent}`);
  }

  function start(stretch) {
    state.stretch = stretch;
    state.places = [...now().planned];
    state.camera = 0;
    const worth = cell => now().worth[cell] * value(0, cell) * (owner(cell) === 0 ? 1 : 1e-6);
    state.cell = 0;
    for (let cell = 1; cell < now().worth.length; cell++) if (worth(cell) > worth(state.cell)) state.cell = cell;
  }

  plan.addEventListener("click", event => {
    const at = onGround(event);
    if (!state.moving) { look(nearest(now().worth.length, cellAt, at)); return; }
    move(state.camera, nearest(now().places.length / 2, placeAt, at, mayStand(state.camera)));
  });
  byId("moving").addEventListener("click", () => { state.moving = !state.moving; update(); });

  // Ways of a person who stands at a camera and faces the ground.
  function wayOf(name) {
    const [x, y] = placeAt(state.places[state.camera]);
    const away = Math.hypot(data.middle[0] - x, data.middle[1] - y) || 1;
    const [ax, ay] = inward(x, y, away);
    return { forward: [ax, ay], back: [-ax, -ay], left: [-ay, ax], right: [ay, -ax] }[name];
  }
  function inward(x, y, away) {
    const [low_x, low_y, high_x, high_y] = data.outline;
    const dx = Math.max(low_x - x, 0, x - high_x) * (x < low_x ? 1 : -1);
    const dy = Math.max(low_y - y, 0, y - high_y) * (y < low_y ? 1 : -1);
    const off = Math.hypot(dx, dy);
    return off > 0.1 ? [dx / off, dy / off] : [(data.middle[0] - x) / away, (data.middle[1] - y) / away];
  }
  for (const button of document.querySelectorAll("[data-step]")) {
    button.addEventListener("click", () => {
      move(state.camera, step(wayOf(button.dataset.step), state.places[state.camera], now().places.length / 2, placeAt,
        mayStand(state.camera)));
    });
  }
  byId("reset").addEventListener("click", () => { state.places = [...now().planned]; update(); });
  const listen = (name, act) => document.querySelectorAll(`input[name=${name}]`).forEach(input =>
    input.addEventListener("change", () => { act(input.value); update(); }));
  listen("stretch", value => start(Number(value)));
  listen("camera", value => { state.camera = Number(value); });
  listen("map", value => { state.map = value; });
  // ---- contacts: kept on this phone, under the name of the match

  const store = (act, ...rest) => { try { return localStorage[act](...rest); } catch { return null; } };
  const keyOf = input => `${document.title}: ${input.dataset.contact}`;
  for (const input of document.querySelectorAll("[data-contact]")) {
    input.value = store("getItem", keyOf(input)) || input.value;
    input.addEventListener("input", () => store("setItem", keyOf(input), input.value));
  }

  // ---- the next time on top, and the part that is read below

  const times = [...document.querySelectorAll("time[datetime]")].map(e => ({
    at: new Date(e.dateTime), time: e.textContent, what: e.nextElementSibling.textContent }));
  function clock() {
    const next = times.find(t => t.at > Date.now()) || times[0];
    if (!next) return;
    const minutes = Math.round((next.at - Date.now()) / 60000);
    byId("next-time").textContent = next.time;
    byId("next-what").textContent = next.what;
    byId("next-in").textContent = minutes > 0 && minutes < 600 ? `in ${minutes} min` : "";
  }
  clock();
  setInterval(clock, 15000);
  const jumps = [...document.querySelectorAll(".jump a")];
  function here() {
    const passed = jumps.filter(a => document.querySelector(a.getAttribute("href")).getBoundingClientRect().top < 200);
    const current = passed[passed.length - 1] || jumps[0];
    for (const a of jumps) a.toggleAttribute("aria-current", a === current);
  }
  addEventListener("scroll", here, { passive: true });
  here();
  addEventListener("beforeprint", () => document.querySelectorAll("details").forEach(part => { part.open = true; }));
  document.documentElement.classList.add("live");
  start(0);
  update();
})();
