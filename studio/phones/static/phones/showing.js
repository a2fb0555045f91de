// How a list looks with what this phone has noted on top of what the server knew.

// The list after an act. What is not on it changes nothing.
export function applied(list, act) {
  if (act.act?.startsWith("count-")) {
    const counted = list.counted.map((line) => (line.line === act.line
      ? { ...line, [act.act === "count-out" ? "out" : "back"]: act.quantity } : line));
    return { ...list, counted };
  }
  const lines = list.lines.map((line) => (named(line, act.mark ?? act.tag) ? { ...line, state: after(line.state, act.act) } : line));
  return { ...list, lines };
}

export function named(line, mark) {
  return line.tag === mark || line.code === mark;
}

function after(state, act) {
  switch (act) {
    case "out": return state === "wanted" ? "out" : state;
    case "undo": return state === "out" ? "wanted" : state === "wanted" ? state : "out";
    case "missing": case "damaged": return "reported";
    default: return state === "out" ? act : state;
  }
}

// The list as it stands here, each line with `unsent`: whether its state is on this phone only.
export function asItStands(list, acts) {
  const mine = acts.filter((act) => act.document.shoot === list.shoot);
  const now = mine.reduce((seen, act) => applied(seen, act.document), list);
  const marks = new Set(mine.map((act) => act.document.mark ?? act.document.tag));
  const counts = new Set(mine.map((act) => act.document.line).filter(Boolean));
  return {
    ...now,
    lines: now.lines.map((line) => ({ ...line, unsent: marks.has(line.tag) || marks.has(line.code) })),
    counted: now.counted.map((line) => ({ ...line, unsent: counts.has(line.line) })),
  };
}

export function progress(list) {
  const left = list.lines.filter((line) => line.state !== "wanted").length;
  const stillOut = list.lines.filter((line) => line.state === "out").length;
  const wanted = list.lines.filter((line) => line.wanted || line.state !== "wanted").length;
  return { left, wanted, stillOut };
}

const WORDS = { wanted: "to pack", out: "packed", in: "is back", used: "used up", reported: "reported" };

export function stateWords(line, way) {
  if (line.state === "out" && way === "in") return "still out";
  if (line.state === "wanted" && way === "in") return "did not leave";
  return WORDS[line.state];
}

// The lines by case, loose things last, as on the printed list.
export function byCase(lines) {
  const groups = new Map();
  for (const line of lines) groups.set(line.case, [...(groups.get(line.case) ?? []), line]);
  return [...groups].sort(([one], [other]) => (one === "") - (other === "") || one.localeCompare(other));
}
