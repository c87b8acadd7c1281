// Builds elements from plain descriptions and changes the page in place, so that focus and typing survive a redraw.

const SVG = "http://www.w3.org/2000/svg";
const AS_PROPERTY = new Set(["checked", "disabled", "hidden", "selected", "indeterminate"]);

// Describe an element: h("button", {onclick: act}, "Save"). `key` keeps an element when its neighbours change.
export function h(tag, attributes, ...children) {
  return { tag, attributes: attributes || {}, children: children.flat(Infinity).filter(c => c !== null && c !== undefined && c !== false && c !== "") };
}

// A name that somebody typed: isolated, so that its direction cannot turn the words round it.
export const named = text => h("bdi", {}, text);

// Make the children of an element those described. What has the focus keeps it, or passes it on by its key.
export function render(parent, ...children) {
  const before = document.activeElement, key = before && before.dataset ? before.dataset.key : undefined;
  patch(parent, h("", {}, ...children).children, parent.namespaceURI);
  if (key && document.activeElement !== before) {
    const again = parent.querySelector(`[data-key="${CSS.escape(key)}"]`);
    if (again) again.focus({ preventScroll: true });
  }
}

function patch(parent, wanted, space) {
  const old = [...parent.childNodes], keyed = new Map(), rest = [];
  for (const node of old) {
    const key = node.made && node.made.key;
    if (key !== undefined) keyed.set(key, node); else rest.push(node);
  }
  const kept = new Set();
  let place = parent.firstChild;
  for (const item of wanted) {
    const isText = typeof item !== "object";
    let node = null;
    if (!isText && item.attributes.key !== undefined) {
      const found = keyed.get(item.attributes.key);
      if (found && found.localName === item.tag) node = found;
    } else {
      const at = rest.findIndex(other => fits(other, item, isText));
      if (at >= 0) [node] = rest.splice(at, 1);
    }
    if (!node) node = isText ? document.createTextNode("") : document.createElementNS(spaceOf(item, space), item.tag);
    kept.add(node);
    if (isText) {
      if (node.data !== String(item)) node.data = String(item);
    } else update(node, item);
    while (place && place !== node && !kept.has(place) && !isWanted(place, keyed, wanted)) place = drop(place);
    if (place === node) place = place.nextSibling;
    else parent.insertBefore(node, place);
  }
  for (const node of old) if (!kept.has(node)) node.remove();
}

function drop(node) {
  const next = node.nextSibling;
  node.remove();
  return next;
}

const isWanted = (node, keyed, wanted) => {
  const key = node.made && node.made.key;
  return key === undefined || wanted.some(item => typeof item === "object" && item.attributes.key === key);
};
const fits = (node, item, isText) => (isText ? node.nodeType === Node.TEXT_NODE : node.localName === item.tag);
const spaceOf = (item, space) => (item.tag === "svg" ? SVG : space);

function update(node, item) {
  const before = node.made || {}, now = item.attributes;
  for (const name in before) if (!(name in now)) setOn(node, name, null, before[name]);
  for (const name in now) if (name !== "value") setOn(node, name, now[name], before[name]);
  node.made = now;
  patch(node, item.children, node.namespaceURI);
  if ("value" in now) putValue(node, now.value, before.value);
}

function setOn(node, name, value, before) {
  if (name === "key") {
    if (value === null) delete node.dataset.key; else node.dataset.key = value;
  } else if (name.startsWith("on")) node[name] = value;
  else if (AS_PROPERTY.has(name)) {
    if (node[name] !== Boolean(value)) node[name] = Boolean(value);
  } else if (value === null || value === undefined || value === false) node.removeAttribute(name);
  else if (value !== before) node.setAttribute(name, value === true ? "" : value);
}

// A field that somebody is typing in keeps what was typed.
function putValue(node, value, before) {
  const text = value === null || value === undefined ? "" : String(value), old = before === null || before === undefined ? "" : String(before);
  const isFocused = node === document.activeElement && node.localName === "input", isTyping = isFocused && (text === old || node.value !== old);
  if (isTyping || node.value === text) return;
  node.value = text;
  if (isFocused) node.select();
}

export const byId = id => document.getElementById(id);

// Say something to people who listen to the page. Only settled things are said.
let saying = 0;
export function say(text, after_ms = 60) {
  clearTimeout(saying);
  byId("live").textContent = "";
  saying = setTimeout(() => { byId("live").textContent = text; }, after_ms);
}
