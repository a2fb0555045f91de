// The packing page of a phone: noting first, sending when it can, and never a word of "saved" before the server said so.
import { offerCamera } from "../packing/camera.js";
import { answers, kept, lists, note, seen, self } from "./keeping.js";
import { markIn, wasMisread } from "./marks.js";
import { fetchLists, send } from "./sending.js";
import { asItStands, byCase, named, progress, stateWords } from "./showing.js";

const AGAIN_MS = 20_000;
const PHOTO_EDGE = 1600;
const $ = (id) => document.getElementById(id);

let shoot = Number(location.hash.slice(1)) || null;
let way = "out";
let told = { state: "unknown" };
let reported = null;

start();

async function start() {
  wire();
  await show();
  keepThePage();
  await sync({ lists: true });
  setInterval(async () => { if ((await kept()).length) sync({}); }, AGAIN_MS);
}

// --- noting ---------------------------------------------------------------------------------------------------------

async function scanned(text) {
  const mark = markIn(text);
  if (!mark) return;
  if (wasMisread(mark)) return say(`There is no short code ${mark}: one character is wrong. Read it again. Nothing was noted.`, true);
  const list = await current();
  const line = list?.lines.find((one) => named(one, mark));
  if (line) return noted(way, line);
  await keep({ act: way, mark, listed: false });
  say(`${mark} is not on this list. Put it aside. It is noted, and the server says whose it is when it is reached.`, true);
}

async function noted(act, line, more = {}) {
  if (act === "out" && line.unfit) return say(`${line.tag} is not to leave: ${line.unfit.toLowerCase()}. Take another one. Nothing was noted.`, true);
  if (act === "out" && line.state === "out") return say(`${line.tag} is packed already.`);
  if (act === "out" && line.state !== "wanted") return say(`${line.tag} ${stateWords(line, "out")} already; undo that first if it leaves again.`, true);
  if (act === "in" && line.state === "wanted") return say(`${line.tag} was never noted as packed here. If it did leave, pack it first.`, true);
  if (act === "in" && line.state !== "out") return say(`${line.tag} ${stateWords(line, "in")} already.`);
  await keep({ act, mark: line.tag, listed: true, ...more });
  say(`${line.tag}: ${act === "undo" ? "undone" : stateWords({ ...line, state: { out: "out", in: "in", used: "used" }[act] ?? "reported" }, "out")}, noted on this phone.`);
}

async function keep(act) {
  try {
    await note({ shoot, ...act });
  } catch {
    say("This phone could not keep it: its memory for this page is full or closed. Nothing was noted. Use the list with a network, or paper.", true);
    throw new Error("not kept");
  }
  told = { state: "unknown" };
  await show();
  sync({});
}

// --- sending --------------------------------------------------------------------------------------------------------

async function sync(wanted) {
  $("sync").dataset.state = "sending";
  told = await send();
  if (told.state === "sent" && wanted.lists) {
    const trouble = await fetchLists();
    if (trouble) told = { ...told, state: trouble };
  }
  await show();
}

// --- showing --------------------------------------------------------------------------------------------------------

async function current() {
  const list = (await lists()).find((one) => one.shoot === shoot);
  return list && asItStands(list, await kept());
}

async function show() {
  const [phone, acts, all, said] = await Promise.all([self(), kept(), lists(), answers()]);
  $("who").textContent = phone.name || "This phone";
  $("phone-name").textContent = `Phone ${phone.id.slice(0, 4).toUpperCase()}`;
  showSync(phone, acts);
  showAnswers(said);
  const list = all.find((one) => one.shoot === shoot);
  $("choose").hidden = Boolean(list);
  $("list").hidden = !list;
  if (list) showList(asItStands(list, acts));
  else showShoots(all, acts);
}

function showSync(phone, acts) {
  const [words, more] = syncWords(phone, acts);
  $("sync").dataset.state = acts.length ? "unsent" : told.state;
  $("sync-words").textContent = words;
  $("sync-more").textContent = more;
  $("send").hidden = !acts.length || told.state === "sign-in";
  $("sign-in").hidden = told.state !== "sign-in";
}

function syncWords(phone, acts) {
  const many = `${acts.length} not sent`;
  const stuck = acts.find((act) => act.state === "not-taken");
  if (acts.length) {
    const here = `On this phone only: ${many}`;
    if (told.state === "offline") return [here, "No network. They go when there is one; until then only this phone knows."];
    if (told.state === "sign-in") return [here, "The sign-in on this phone has ended. Sign in, and they go; nothing is lost meanwhile."];
    if (told.state === "server") return [here, "The server does not answer as it should. This phone tries again by itself."];
    if (stuck) return [here, `Number ${stuck.number}: ${stuck.sentence}`];
    if (acts.every((act) => act.state === "waiting")) return [here, "The server waits for an earlier act of this phone."];
    return [here, "Being sent…"];
  }
  if (told.state === "sign-in") return ["Nothing unsent", "Nobody is signed in on this phone. Sign in to fetch the lists."];
  if (told.state === "offline") return ["Nothing unsent", `No network. ${sentAt(phone)}`];
  if (told.state === "server") return ["Nothing unsent", `The server does not answer as it should. ${sentAt(phone)}`];
  if (told.state === "sent") return ["The server has everything", sentAt(phone)];
  return ["Nothing unsent", ""];
}

function sentAt(phone) {
  return phone.sent_at ? `Last reached ${clock(phone.sent_at)}.` : "";
}

function clock(text) {
  return new Date(text).toLocaleString(undefined, { weekday: "short", hour: "2-digit", minute: "2-digit" });
}

function showShoots(all, acts) {
  const sorted = [...all].sort((one, other) => one.made_at.localeCompare(other.made_at));
  $("no-shoots").hidden = Boolean(all.length);
  $("shoots").replaceChildren(...sorted.map((list) => {
    const { left, wanted, stillOut } = progress(asItStands(list, acts));
    const button = element("button", { className: "phone-shoot", type: "button" });
    button.append(element("b", { textContent: list.title }), element("span", { className: "muted", textContent: `${list.when}, ${list.where}` }),
      element("span", { textContent: `${left} of ${wanted} packed${stillOut ? `, ${stillOut} still out` : ""}` }));
    button.addEventListener("click", () => choose(list.shoot));
    const item = document.createElement("li");
    item.append(button);
    return item;
  }));
}

function showList(list) {
  const { left, wanted, stillOut } = progress(list);
  $("list").dataset.way = way;
  $("list-title").textContent = list.title;
  $("list-when").textContent = `${list.when}, ${list.where}. As the server had it ${clock(list.made_at)}.`;
  $("list-count").replaceChildren(element("b", { textContent: way === "out" ? left : stillOut }), way === "out" ? ` of ${wanted} packed` : " still out");
  $("scan-button").textContent = way === "out" ? "Pack" : "Take back";
  for (const button of document.querySelectorAll("[data-way-to]")) {
    button.setAttribute("aria-pressed", String(button.dataset.wayTo === way));
    button.classList.toggle("quiet", button.dataset.wayTo !== way);
  }
  $("cases").replaceChildren(...byCase(list.lines).map(([name, lines]) => {
    const card = element("section", { className: "card packing-case", ariaLabel: name || "Loose" });
    const title = document.createElement("h2");
    title.append(name ? element("span", { className: "tag", textContent: name }) : "Loose");
    const items = element("ul", { className: "packing-lines", role: "list" });
    items.append(...lines.map(lineElement));
    card.append(title, items);
    return card;
  }));
  $("counted").hidden = !list.counted.length;
  if (!$("counted").contains(document.activeElement)) $("counted-lines").replaceChildren(...list.counted.map(countElement));
}

function lineElement(line) {
  const item = $("line-template").content.firstElementChild.cloneNode(true);
  item.dataset.state = line.state;
  item.dataset.unsent = String(line.unsent);
  const [tick, more] = item.querySelectorAll("button");
  tick.querySelector(".tag").textContent = line.tag;
  tick.querySelector(".packing-name").textContent = line.name;
  tick.querySelector(".muted").textContent = [line.why, line.shelf && line.state === "wanted" && `shelf ${line.shelf}`, line.unfit, !line.wanted && "no longer in the plan"].filter(Boolean).join(" · ");
  tick.querySelector(".packing-state").textContent = stateWords(line, way) + (line.unsent ? " · on this phone only" : "");
  const done = way === "out" ? line.state !== "wanted" : line.state !== "out";
  tick.setAttribute("aria-pressed", String(done && line.state !== "wanted"));
  tick.addEventListener("click", () => noted(done && line.state !== "wanted" ? "undo" : way, line));
  more.setAttribute("aria-label", `Something became of ${line.tag}`);
  more.addEventListener("click", () => openReport(line));
  return item;
}

function countElement(line) {
  const form = element("form", { className: "row phone-count" });
  const id = `count-${line.line}`;
  const field = element("div", { className: "field" });
  const total = way === "out" ? `${line.out} of ${line.wanted} packed` : `${line.accounted} of ${line.out} accounted for`;
  const input = element("input", { id, type: "text", inputMode: "decimal", required: true, maxLength: 20 });
  const label = element("label", { htmlFor: id, textContent: `${line.name}: ${way === "out" ? "packed" : "back"} in all` });
  field.append(label, input, element("span", { className: "help", textContent: `${total}${line.unsent ? " · on this phone only" : ""}` }));
  form.append(field, element("button", { className: "button", textContent: way === "out" ? "Count out" : "Count back" }));
  form.addEventListener("submit", (event) => { event.preventDefault(); count(line, input.value.trim()); });
  return form;
}

async function count(line, quantity) {
  const most = Number(way === "out" ? line.wanted : line.out);
  if (!/^\d+([.,]\d+)?$/.test(quantity)) return say(`Say how many of ${line.name} in figures.`, true);
  if (Number(quantity.replace(",", ".")) > most) {
    return say(`${quantity} of ${line.name}, but ${most} ${way === "out" ? "are promised" : "left"}: one of the two counts is wrong. Stop, and count again. Nothing was noted.`, true);
  }
  document.activeElement?.blur();
  await keep({ act: way === "out" ? "count-out" : "count-in", line: line.line, quantity: quantity.replace(",", ".") });
  say(`${quantity} of ${line.name} counted, noted on this phone.`);
}

function showAnswers(said) {
  $("answers").hidden = !said.length;
  $("answer-lines").replaceChildren(...said.reverse().map((one) => {
    const item = document.createElement("li");
    const gone = element("button", { className: "button quiet", type: "button", textContent: "Seen" });
    gone.addEventListener("click", async () => { await seen(one.id); show(); });
    const words = document.createElement("p");
    words.append(element("span", { className: "tag", textContent: one.unit || one.mark || "–" }), ` ${one.sentence}`);
    item.append(words, gone);
    return item;
  }));
}

function say(sentence, wrong = false) {
  const words = element("p", { className: wrong ? "problems" : "note", textContent: sentence });
  words.setAttribute("role", wrong ? "alert" : "status");
  $("said").replaceChildren(words);
  if (wrong) navigator.vibrate?.([90, 60, 90]);
}

function element(name, more) {
  return Object.assign(document.createElement(name), more);
}

// --- damage, loss, used up ------------------------------------------------------------------------------------------

function openReport(line) {
  reported = line;
  $("report-title").textContent = `What became of ${line.tag}?`;
  $("report-form").reset();
  $("report-problem").hidden = true;
  $("report").showModal();
}

async function sendReport() {
  const form = new FormData($("report-form"));
  const act = form.get("trouble");
  const words = String(form.get("note")).trim();
  if (act !== "used" && !words) return problem("Say in a few words what happened, so that whoever repairs or searches knows.");
  if (act !== "damaged" && reported.state !== "out") return problem(`${reported.tag} is not out, so it cannot be ${act === "used" ? "used up" : "missing"} from this shoot.`);
  const photo = act === "damaged" ? await small(form.get("photo")) : "";
  await keep({ act, mark: reported.tag, listed: true, note: words, ...(photo && { photo }) });
  $("report").close();
  say(`${reported.tag}: reported, noted on this phone.${act === "damaged" ? " Put it aside; it is out of use for everyone once this is sent." : ""}`);
}

function problem(sentence) {
  $("report-problem").textContent = sentence;
  $("report-problem").hidden = false;
}

// The picture small enough to keep and send, and without what a camera writes beside it, such as where it was taken.
async function small(file) {
  if (!file?.size) return "";
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, PHOTO_EDGE / Math.max(picture.width, picture.height));
    const canvas = element("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return canvas.toDataURL("image/jpeg", 0.8);
  } catch {
    return "";
  }
}

// --- wiring ---------------------------------------------------------------------------------------------------------

function choose(which) {
  shoot = which;
  history.replaceState(null, "", which ? `#${which}` : location.pathname);
  $("said").replaceChildren();
  show();
  if (which && !matchMedia("(pointer: coarse)").matches) $("scan").focus({ preventScroll: true });
}

function wire() {
  $("scan-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const text = $("scan").value;
    $("scan").value = "";
    $("scan").focus({ preventScroll: true });
    queue(() => scanned(text));
  });
  for (const button of document.querySelectorAll("[data-way-to]")) {
    button.addEventListener("click", () => { way = button.dataset.wayTo; $("said").replaceChildren(); show(); });
  }
  $("back").addEventListener("click", () => choose(null));
  $("send").addEventListener("click", () => sync({ lists: true }));
  $("fetch").addEventListener("click", () => sync({ lists: true }));
  $("report-close").addEventListener("click", () => $("report").close());
  $("report-form").addEventListener("submit", (event) => { event.preventDefault(); sendReport().catch(() => {}); });
  addEventListener("online", () => sync({ lists: true }));
  addEventListener("offline", () => { told = { ...told, state: "offline" }; show(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sync({}); });
  addEventListener("hashchange", () => choose(Number(location.hash.slice(1)) || null));
  offerCamera(document.querySelector("[data-camera]"), (text) => queue(() => scanned(text)), (sentence) => say(sentence, true))
    .then((offered) => { $("no-camera").hidden = offered; });
}

// Scans come faster than they are kept: each waits for the one before it.
let waiting = Promise.resolve();
function queue(act) {
  waiting = waiting.then(act).catch(() => {});
}

async function keepThePage() {
  const worries = [];
  if (navigator.serviceWorker) {
    try {
      await navigator.serviceWorker.register("/phone/worker.js", { scope: "/phone/" });
    } catch {
      worries.push("This browser would not keep the page: without a network it does not open again once it is closed.");
    }
  } else {
    worries.push("This address is not https, so the browser does not keep the page: leave it open, it does not open again without a network. What is noted stays all the same.");
  }
  const lasting = await navigator.storage?.persist?.().catch(() => false);
  $("short-memory").hidden = lasting !== false;
  $("keeps").hidden = !worries.length;
  $("keeps").replaceChildren(...worries.map((words) => element("p", { className: "muted", textContent: words })));
}
