// What a typed or scanned text names, told as the server tells it (its gear/inventory/marks.py and short_code.py).
const SCHEME = "FULLSTOP";
const ALPHABET = "23456789CDFHJKMNPRTVWXY";
const LENGTH = 6;
const TAG_PAGE = /^\/gear\/([A-Z0-9][A-Z0-9-]{0,18}[A-Z0-9])\/$/;

// The tag or short code in a text, in capitals: typed, or as a label or the address of a unit's page holds it.
export function markIn(text) {
  const plain = text.replaceAll("\0", "").replace(/\s+/g, "").slice(0, 500);
  const colon = plain.indexOf(":");
  if (colon > 0 && plain.slice(0, colon).toUpperCase() === SCHEME) return plain.slice(colon + 1).toUpperCase();
  if (plain.includes("/")) return tagInAddress(plain) || plain;
  return plain.toUpperCase();
}

function tagInAddress(address) {
  try {
    return TAG_PAGE.exec(new URL(address, "http://here").pathname)?.[1] ?? "";
  } catch {
    return "";
  }
}

// Whether six characters are a short code with its right check character (ISO/IEC 7064, pure system, modulus 23).
export function isCode(mark) {
  if (mark.length !== LENGTH) return false;
  let total = 0;
  for (const character of mark) {
    const value = ALPHABET.indexOf(character);
    if (value < 0) return false;
    total = (total * 2 + value) % ALPHABET.length;
  }
  return total === 1;
}

// Whether this looks like a code in which one character is wrong.
export function wasMisread(mark) {
  const strange = [...mark].filter((character) => !ALPHABET.includes(character)).length;
  return mark.length === LENGTH && /^[A-Z0-9]+$/.test(mark) && strange <= 1 && !isCode(mark);
}
