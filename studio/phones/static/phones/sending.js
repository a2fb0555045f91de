// Sends what is kept, in its order, when there is a network and somebody is signed in. Sending twice does no harm.
import { keepLists, kept, remember, self, settle } from "./keeping.js";
import { applied } from "./showing.js";

const AT_ONCE = 50;
const LARGEST = 3_000_000;
const PATIENCE_MS = 30_000;

let running = null;

// What came of it: {state, left}. The state is "sent", "offline", "sign-in", "server", "waiting" or "not-taken".
export function send() {
  running ??= alone(sendAll).finally(() => { running = null; });
  return running;
}

// One page of this phone sends at a time, where the browser can see to that.
function alone(act) {
  return navigator.locks ? navigator.locks.request("fullstop-phone-send", act) : act();
}

async function sendAll() {
  const who = await ask("/api/phones/who");
  if (who.trouble) return outcome(who.trouble);
  if (!who.body.person) return outcome("sign-in");
  await remember({ person: who.body.person, name: who.body.name });
  for (;;) {
    const phone = await self();
    const all = await kept();
    const batch = next(all);
    if (!batch.length) break;
    const reply = await ask("/api/phones/operations", {
      device: phone.id,
      name: deviceName(),
      now: new Date().toISOString(),
      lowest_kept: all[0].number,
      unsent: all.length - batch.length,
      operations: batch.map((act) => act.document),
    });
    if (reply.trouble) return outcome(reply.trouble);
    await settle(reply.body.answers, applied);
    if (reply.body.answers.some((answer) => !answer.kept)) return outcome("not-taken");
    if (reply.body.answers.every((answer) => answer.state === "waiting")) return outcome("waiting");
  }
  await remember({ sent_at: new Date().toISOString() });
  return outcome("sent");
}

// The lists of the coming shoots, as the server has them now.
export async function fetchLists() {
  const shoots = await ask("/api/phones/lists");
  if (shoots.trouble) return shoots.trouble;
  const fresh = [];
  for (const { shoot } of shoots.body) {
    const list = await ask(`/api/phones/lists/${shoot}`);
    if (list.trouble) return list.trouble;
    fresh.push(list.body);
  }
  await keepLists(fresh);
  return "";
}

async function outcome(state) {
  return { state, left: (await kept()).length };
}

function next(acts) {
  const batch = [];
  let size = 0;
  for (const act of acts) {
    size += JSON.stringify(act.document).length;
    if (batch.length && (batch.length === AT_ONCE || size > LARGEST)) break;
    batch.push(act);
  }
  return batch;
}

async function ask(address, body) {
  let answer;
  try {
    answer = await fetch(address, {
      method: body ? "POST" : "GET",
      headers: { Accept: "application/json", ...(body && { "Content-Type": "application/json", "X-CSRFToken": token() }) },
      body: body && JSON.stringify(body),
      cache: "no-store",
      credentials: "same-origin",
      signal: AbortSignal.timeout?.(PATIENCE_MS),
    });
  } catch {
    return { trouble: "offline" };
  }
  if (answer.status === 401 || answer.status === 403) return { trouble: "sign-in" };
  if (!answer.ok) return { trouble: "server" };
  try {
    return { body: await answer.json() };
  } catch {
    return { trouble: "server" };  // something between here and the server answered in its place
  }
}

function token() {
  return /(?:^|; )csrftoken=([^;]+)/.exec(document.cookie)?.[1] ?? "";
}

function deviceName() {
  const system = /Android|iPhone|iPad|Windows|Mac|Linux/.exec(navigator.userAgent)?.[0] ?? "Phone";
  const browser = /Firefox|Edg|Chrome|Safari/.exec(navigator.userAgent)?.[0] ?? "";
  return [system, browser.replace("Edg", "Edge")].filter(Boolean).join(", ");
}
