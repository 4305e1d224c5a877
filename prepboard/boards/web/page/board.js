"use strict";
// Draws the lines that the board's process sends, and sends keys and taps. It keeps no figures of its own.
const lines = document.getElementById("lines"), keys = document.getElementById("keys"), pad = document.getElementById("pad");
const said = document.getElementById("said"), late = document.getElementById("late"), typed = document.getElementById("typed");
const words = late.dataset; // what the page says by itself, in its reader's language
const page = sessionStorage.page || (sessionStorage.page = crypto.getRandomValues(new Uint32Array(4)).join("-"));
const SIGNS = { "─": "rule", "━": "rule", "┄": "rule", "┃": "heavy", "│": "bar", "▏": "bar", "█": "full" };

// --- cells: as large as the line height asks, as wide as the font is -------------------------------------
const cell = { width: 8, height: 20 };
let columns = 80, rows = 24;
let device = { line: 0, letters: 0, sleeps: true }, scrolled = false; // as it was added; the screen is not asked before
const NARROWEST = 44; // cells that a board needs across
const LOW = 14; // lines that a board needs to be of use
const fingers = matchMedia("(pointer: coarse)").matches;
function measure() {
  const room = { width: lines.clientWidth, height: lines.clientHeight };
  // Fingers need rows of 44 px: up to a tablet held upright the board folds its rows onto two lines of 22 and more;
  // wider rows stand on one line, which is as high. Where few of those have room the lines are scrolled.
  const folds = room.width <= 480 || (fingers && room.width <= 900 && room.height > 480);
  const across = room.width <= 480 ? NARROWEST : folds ? 58 : fingers && room.width >= 1000 ? 102 : 84; // at 100 lists stand side by side
  const size = Math.max(12, Math.min(26, room.width / across / 0.602), Math.min(device.letters, room.width / NARROWEST / 0.602));
  lines.style.fontSize = size + "px";
  const ruler = document.createElement("span");
  ruler.textContent = "0".repeat(100);
  ruler.style.cssText = "position:absolute;visibility:hidden";
  lines.append(ruler);
  cell.width = ruler.getBoundingClientRect().width / 100;
  ruler.remove();
  columns = Math.max(20, Math.min(240, Math.floor(room.width / cell.width)));
  const least = Math.max(Math.ceil(size * 1.3), fingers ? (folds ? 22 : 44) : 0, device.line);
  const fit = Math.floor(room.height / least);
  scrolled = fingers && fit < LOW;
  rows = scrolled ? LOW : Math.max(10, Math.min(100, fit));
  cell.height = scrolled ? least : Math.floor(room.height / rows);
  lines.classList.toggle("scrolled", scrolled);
  lines.style.setProperty("--cell", cell.width + "px");
  lines.style.setProperty("--line", cell.height + "px");
}

// --- styles: one rule for each, in a sheet of our own ----------------------------------------------------
const sheet = new CSSStyleSheet();
document.adoptedStyleSheets = [sheet];
function learn(styles) {
  for (const [number, [flags, ink, paper]] of Object.entries(styles)) {
    const has = (flag) => flags.includes(flag);
    let [front, back] = has("r") ? [paper || "var(--paper)", ink || "var(--ink)"] : [ink, paper];
    let rule = "";
    if (front) rule += `color:${front};`;
    if (back) rule += `background-color:${back};`;
    if (has("b")) rule += "font-weight:700;";
    if (has("d")) rule += "opacity:.7;";
    if (has("i")) rule += "font-style:italic;";
    if (has("u") || has("s")) rule += `text-decoration:${has("u") ? "underline" : "line-through"};`;
    sheet.insertRule(`#lines .s${Number(number)}{${rule}}`, sheet.cssRules.length);
  }
}
function forget() { while (sheet.cssRules.length) sheet.deleteRule(0); }

// --- lines -----------------------------------------------------------------------------------------------
function draw(number, runs) {
  while (lines.children.length <= number) {
    const line = document.createElement("div");
    line.setAttribute("role", "listitem");
    lines.append(line);
  }
  const line = lines.children[number];
  line.replaceChildren(...runs.map(([text, style, wide]) => {
    const part = document.createElement(wide ? "i" : "span");
    part.className = "s" + style + (wide === 2 ? " two" : "") + (SIGNS[text] ? " " + SIGNS[text] : "");
    part.textContent = SIGNS[text] ? " " : text;
    return part;
  }));
  const only = runs.map(([text]) => text).join("").trim();
  line.setAttribute("aria-hidden", String(!/[\p{L}\p{N}]/u.test(only)));
}
let first = "", size = "";
function show(message) {
  if (message.styles) learn(message.styles);
  if (message.size) while (lines.children.length > message.size[1]) lines.lastChild.remove();
  for (const [number, runs] of Object.entries(message.lines || {})) draw(Number(number), runs);
  if (message.keys) buttons(message.keys);
  if (message.pads) signs(message.pads);
  if (message.said) said.textContent = message.said;
  if (message.rings !== undefined) ring(message.rings);
  if (message.lines && Object.keys(message.lines).length) document.body.dataset.painted = "yes"; // and "opening" goes
}

// --- buttons ---------------------------------------------------------------------------------------------
function button(key, label, name) {
  const one = document.createElement("button");
  one.type = "button";
  if (name) { const bold = document.createElement("b"); bold.textContent = name; one.append(bold); }
  one.append(label);
  one.addEventListener("pointerdown", (event) => { event.preventDefault(); woken(); send({ do: "key", key }); });
  one.addEventListener("click", (event) => { if (event.detail === 0) send({ do: "key", key }); }); // a screen reader's press
  return one;
}
function buttons(list) {
  keys.replaceChildren(...list.map(([key, sign, label]) => button(key, label, sign)));
  for (const [key, sign] of [["up", "↑"], ["down", "↓"]]) if (!list.some(([one]) => one === key)) keys.append(button(key, sign));
  const keyboard = document.createElement("button");
  keyboard.type = "button";
  keyboard.textContent = words.keyboard;
  keyboard.addEventListener("click", () => typed.focus());
  keys.append(keyboard);
  remeasure();
}
// What a question offers to tap: digits, initials. Single letters only where there is room: else the keyboard is there.
function signs(pads) {
  const wide = innerWidth >= 600;
  const shown = pads.filter(([, list]) => wide || list.length < 20);
  pad.hidden = !shown.length;
  pad.replaceChildren(...shown.flatMap(([at, list]) => list.map((sign) => {
    const one = document.createElement("button");
    one.type = "button";
    one.textContent = sign;
    one.addEventListener("pointerdown", (event) => { event.preventDefault(); woken(); send({ do: "sign", pad: at, sign }); });
    one.addEventListener("click", (event) => { if (event.detail === 0) send({ do: "sign", pad: at, sign }); });
    return one;
  })));
  remeasure();
}

// --- keys, taps, scrolling -------------------------------------------------------------------------------
const NAMES = { Enter: "enter", Escape: "escape", Backspace: "backspace", Delete: "delete", Tab: "tab", ArrowUp: "up", ArrowDown: "down", ArrowLeft: "left", ArrowRight: "right", PageUp: "pageup", PageDown: "pagedown", Home: "home", End: "end" };
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const key = NAMES[event.key] || ([...event.key].length === 1 ? event.key : "");
  if (!key || (event.target === typed && !NAMES[event.key])) return;
  event.preventDefault();
  woken();
  send({ do: "key", key: event.shiftKey && key === "tab" ? "shift+tab" : key });
});
typed.addEventListener("input", () => { for (const sign of typed.value) send({ do: "key", key: sign }); typed.value = ""; });
let held = null;
const where = (event) => {
  const box = lines.getBoundingClientRect();
  return { x: Math.floor((event.clientX - box.left) / cell.width), y: Math.floor((event.clientY - box.top + lines.scrollTop) / cell.height) };
};
lines.addEventListener("pointerdown", (event) => { if (!scrolled) event.preventDefault(); woken(); held = { ...where(event), at: event.clientY, moved: false }; });
lines.addEventListener("pointermove", (event) => {
  if (!held || scrolled) return; // a page that is scrolled is moved by the browser, which then takes the tap back
  const by = Math.trunc((held.at - event.clientY) / cell.height);
  if (by) { held.moved = true; held.at -= by * cell.height; send({ do: "scroll", x: held.x, y: held.y, by }); }
});
lines.addEventListener("pointerup", () => { if (held && !held.moved) send({ do: "tap", x: held.x, y: held.y }); held = null; });
lines.addEventListener("pointercancel", () => { held = null; });
lines.addEventListener("wheel", (event) => { const at = where(event); send({ do: "scroll", ...at, by: event.deltaY > 0 ? 3 : -3 }); }, { passive: true });
document.addEventListener("contextmenu", (event) => event.preventDefault());

// --- the bell: after the first tap, as browsers ask ------------------------------------------------------
let sound = null, rung = null;
function woken() { if (!sound && window.AudioContext) sound = new AudioContext(); rang = ""; awake(); }
function ring(times) {
  if (rung !== null && times > rung && sound) {
    const tone = sound.createOscillator(), level = sound.createGain();
    tone.frequency.value = 880; level.gain.value = .2;
    tone.connect(level).connect(sound.destination);
    tone.start(); tone.stop(sound.currentTime + .25);
  }
  rung = times;
}
let lock = null;
async function awake() { if (!lock && !device.sleeps && navigator.wakeLock) { try { lock = await navigator.wakeLock.request("screen"); lock.addEventListener("release", () => { lock = null; }); } catch { lock = null; } } }

// --- the line to the kitchen's machine -------------------------------------------------------------------
let socket = null, heard = 0, begun = 0, ping = 0, since = null, waits = 250, toldUntil = 0, unsent = "", rang = "", out = "", drawn = false;
let quiet = [0, 0]; // from when to when nothing was heard: what was pressed then was pressed on an old picture
const clock = () => new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23" });
function silent() {
  if (since === null) since = clock();
  late.textContent = out || `${words.notLive.replace("{time}", since)} ${unsent}`.trim();
  late.hidden = false;
}
function tell(text) {
  late.textContent = said.textContent = text;
  late.hidden = false;
  toldUntil = performance.now() + 4000;
}
function send(message) {
  const now = performance.now(), at = window.event && window.event.timeStamp ? Math.min(now, window.event.timeStamp) : now;
  const open = socket && socket.readyState === WebSocket.OPEN;
  if (message.do === "size" && !open) return; // said when the line is there
  if (!open || now - heard > 2000 || (!drawn && message.do !== "size")) { unsent = said.textContent = words.unsent; silent(); return; }
  if (at > quiet[0] && at < quiet[1] && message.do !== "size") { tell(words.unsent); return; }
  socket.send(JSON.stringify({ ...message, ping, age: Math.round(now - heard), at: Math.round(at) }));
}
function join() {
  measure();
  drawn = false; // what stands here is old until it is drawn anew, though somebody answers
  socket = new WebSocket((location.protocol === "https:" ? "wss://" : "ws://") + location.host + "/live");
  socket.onopen = () => { heard = performance.now(); socket.send(JSON.stringify({ do: "join", page, width: columns, height: rows })); };
  socket.onmessage = (event) => {
    const message = JSON.parse(event.data), now = performance.now();
    if (now - heard > 1500) quiet = [heard + 1000, now];
    heard = now;
    if (message.ping) { ping = message.ping; socket.send(JSON.stringify({ do: "pong", ping, at: Math.round(performance.now()) })); }
    if (message.fresh) welcome(message);
    if (message.told) { tell(message.told); return; }
    if (message.out && message.again) { socket.onclose = null; socket.close(); setTimeout(join, 2000); return; }
    if (message.out) { out = message.out; silent(); socket.onclose = null; socket.close(); return; }
    show(message);
    drawn ||= Boolean(message.lines && Object.keys(message.lines).length);
    if (!drawn) return;
    if (unsent) tell(unsent); // for a moment yet, now that somebody looks again
    since = null; unsent = ""; waits = 250;
    if (now > toldUntil) { late.hidden = !rang; if (late.textContent !== rang) late.textContent = rang; }
  };
  begun = performance.now();
  socket.onclose = again;
}
function welcome(message) {
  device = message;
  if (message.rang) rang = words.rang; // and stays until somebody is there
  forget();
  lines.replaceChildren(); // the buttons stay until others come: else there would be another size for a moment
  remeasure();
}
function again() { silent(); setTimeout(join, waits); waits = Math.min(2000, waits * 2); }
// A line on which nothing comes is given up, also one that is still being opened or closed: nobody says that it is dead.
function giveUp() {
  socket.onopen = socket.onmessage = socket.onclose = null;
  socket.close();
  again();
}
setInterval(() => {
  const now = performance.now();
  if (now - heard > 2500) { silent(); if (socket.onclose && now - Math.max(heard, begun) > 5000) giveUp(); }
}, 500);
let settling = 0;
function remeasure() {
  clearTimeout(settling);
  settling = setTimeout(() => { const was = columns + "x" + rows; measure(); if (was !== columns + "x" + rows) send({ do: "size", width: columns, height: rows }); }, 150);
}
addEventListener("resize", remeasure);
join();
