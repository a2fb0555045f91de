// Scan after scan without waiting: the field is empty and ready at once, and what was scanned is sent in its order.
// A scanner types far faster than the list answers, so the field is never replaced; only what stands around it is.
import { offerCamera } from "./camera.js";

(() => {
  const form = document.querySelector("form[data-scan]");
  if (!form) return;
  const field = form.querySelector("[name=tag]");
  const PARTS = ["packing-head", "packing-said", "packing-cases", "packing-foot"];
  let sent = Promise.resolve();
  let waiting = 0;
  let refused = [];

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const mark = field.value.trim();
    field.value = "";
    field.focus({ preventScroll: true });
    if (mark) scanned(mark);
  });

  function scanned(mark) {
    if (!waiting) refused = [];
    waiting += 1;
    sent = sent.then(() => send(mark)).finally(() => { waiting -= 1; });
  }

  async function send(mark) {
    const body = new FormData(form);
    body.set("tag", mark);
    let shown = false;
    try {
      const answer = await fetch(form.action, { method: "POST", body, headers: { "HX-Request": "true" } });
      shown = show(new DOMParser().parseFromString(await answer.text(), "text/html"));
    } catch {
      shown = false;
    }
    if (!shown) say(`${mark} did not reach the list. Look at the connection, or reload the page and sign in; then scan it again.`);
    const said = document.getElementById("packing-said");
    const alert = said.querySelector("[role=alert]");
    if (alert) navigator.vibrate?.([90, 60, 90]);
    // What was refused in a row of quick scans stays in sight while the others of that row are answered.
    said.append(...refused.map((node) => node.cloneNode(true)));
    if (alert) refused.push(alert);
  }

  function show(page) {
    if (!page.getElementById("packing-cases")) return false;
    for (const id of PARTS) {
      const old = document.getElementById(id);
      const fresh = page.getElementById(id);
      if (!old || !fresh) continue;
      old.replaceChildren(...fresh.childNodes);
      window.htmx?.process(old);
    }
    document.dispatchEvent(new Event("packing:shown"));
    return true;
  }

  function say(sentence) {
    const alert = document.createElement("p");
    alert.className = "problems";
    alert.setAttribute("role", "alert");
    alert.textContent = sentence;
    document.getElementById("packing-said").replaceChildren(alert);
  }

  offerCamera(document.querySelector("[data-camera]"), scanned, say);
})();
