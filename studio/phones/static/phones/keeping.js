// What this phone remembers: who it is, the lists, and every act until the server has answered for it.
// An act is numbered and kept in one transaction; only when that is complete does anybody say that it is noted.
const NAME = "fullstop-phone";
const FORMAT = 3;
const ANSWERS_KEPT = 60;

let opened = null;

function open() {
  opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("self");
      asked.result.createObjectStore("operations", { keyPath: "number" });
      asked.result.createObjectStore("lists", { keyPath: "shoot" });
      asked.result.createObjectStore("answers", { keyPath: "id", autoIncrement: true });
    };
    asked.onsuccess = () => {
      asked.result.onversionchange = () => asked.result.close();
      asked.result.onclose = () => { opened = null; };
      done(asked.result);
    };
    asked.onerror = () => { opened = null; failed(asked.error); };
  });
  return opened;
}

// Runs `act` on the stores of one transaction and answers when the browser has it all on disk, or not at all.
async function within(names, mode, act) {
  const base = await open();
  return new Promise((done, failed) => {
    const transaction = base.transaction(names, mode, { durability: "strict" });
    let result;
    transaction.oncomplete = () => done(result);
    transaction.onabort = () => failed(transaction.error ?? new DOMException("not kept", "AbortError"));
    const stores = Object.fromEntries(names.map((name) => [name, transaction.objectStore(name)]));
    act(stores, (value) => { result = value; });
  });
}

function later(request, then) {
  request.onsuccess = () => then(request.result);
}

export function newKey() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

// Who this phone is: {id, next, person, name, sent_at}. Made at the first call.
export function self() {
  return within(["self"], "readwrite", ({ self }, give) => {
    later(self.get("phone"), (found) => {
      const phone = found ?? { id: newKey(), next: 1, person: null, name: "", sent_at: null };
      if (!found) self.put(phone, "phone");
      give(phone);
    });
  });
}

export function remember(changes) {
  return within(["self"], "readwrite", ({ self }, give) => {
    later(self.get("phone"), (found) => {
      const phone = { ...found, ...changes, id: found.id, next: found.next };
      self.put(phone, "phone");
      give(phone);
    });
  });
}

// Keeps an act under the next number of this phone; answers what was kept.
export async function note(act) {
  await self();
  return within(["self", "operations"], "readwrite", ({ self, operations }, give) => {
    later(self.get("phone"), (phone) => {
      const document = {
        format: FORMAT, key: newKey(), number: phone.next, at: new Date().toISOString(), person: phone.person, ...act,
      };
      const kept = { number: phone.next, document, state: "kept", sentence: "" };
      operations.add(kept);
      self.put({ ...phone, next: phone.next + 1 }, "phone");
      give(kept);
    });
  });
}

// Every act that the server has not decided, by its number.
export function kept() {
  return within(["operations"], "readonly", ({ operations }, give) => later(operations.getAll(), give));
}

export function lists() {
  return within(["lists"], "readonly", ({ lists }, give) => later(lists.getAll(), give));
}

// Puts fresh lists in the place of the old ones. A list for which acts are kept stays, whatever the server has.
export function keepLists(fresh) {
  return within(["lists", "operations"], "readwrite", ({ lists, operations }, give) => {
    later(operations.getAll(), (acts) => {
      const needed = new Set(acts.map((act) => act.document.shoot));
      const there = new Set(fresh.map((list) => list.shoot));
      later(lists.getAllKeys(), (shoots) => {
        for (const shoot of shoots) if (!there.has(shoot) && !needed.has(shoot)) lists.delete(shoot);
        for (const list of fresh) lists.put(list);
        give(fresh.length);
      });
    });
  });
}

export function answers() {
  return within(["answers"], "readonly", ({ answers }, give) => later(answers.getAll(), give));
}

export function seen(id) {
  return within(["answers"], "readwrite", ({ answers }) => { answers.delete(id); });
}

// What the server said: what it has decided leaves the phone, and the list shows it, in one transaction.
// What it does not keep stays here with its sentence. `apply` changes a list by an act that was done.
export function settle(replies, apply) {
  return within(["operations", "lists", "answers"], "readwrite", ({ operations, lists, answers }) => {
    for (const reply of replies.filter((one) => one.number !== null)) {
      later(operations.get(reply.number), (act) => {
        if (!act) return;
        if (!reply.kept || reply.state === "waiting") {
          operations.put({ ...act, state: reply.kept ? "waiting" : "not-taken", sentence: reply.sentence });
          return;
        }
        operations.delete(reply.number);
        if (reply.state === "done") {
          later(lists.get(act.document.shoot), (list) => { if (list) lists.put(apply(list, act.document)); });
          return;
        }
        answers.add({ at: Date.now(), mark: act.document.mark ?? act.document.tag ?? "", ...reply });
      });
    }
    later(answers.getAllKeys(), (ids) => {
      for (const id of ids.slice(0, Math.max(0, ids.length - ANSWERS_KEPT))) answers.delete(id);
    });
  });
}
