// Puts a scanner's typing into the field from the start, and offers printing only where it can be done.
(() => {
  const field = document.getElementById("scan");
  const coarse = window.matchMedia("(pointer: coarse)").matches;
  if (field && !coarse) field.focus({ preventScroll: true });

  const offerPrinting = () => document.querySelectorAll("[data-print]").forEach((button) => { button.hidden = false; });
  offerPrinting();
  document.addEventListener("htmx:afterSettle", offerPrinting);
  document.addEventListener("packing:shown", offerPrinting);
  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-print]")) window.print();
  });
})();
